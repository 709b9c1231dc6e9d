"""The horses: entered, changed, taken out; the one that another spelling means."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import Any

from fieldlog.core.facts import new_id
from fieldlog.errors import InputError, NotFound
from fieldlog.records.barns import Barns
from fieldlog.records.base import Row
from fieldlog.records.clients import Clients
from fieldlog.records.names import clean_name, composed, key_of
from fieldlog.records.types import Horse

_HORSE = """SELECT h.*, coalesce(c.name, '') AS client
            FROM horses h LEFT JOIN clients c ON c.id = h.client_id"""


def _checked(horse: Horse) -> Horse:
    # Imported here so that the store works while the identity rules are read only when needed.
    from fieldlog.core.identity import check_microchip, check_ueln

    if horse.cycle_weeks is not None and not 1 <= horse.cycle_weeks <= 52:
        raise InputError(
            f"A cycle of {horse.cycle_weeks} weeks is not possible.", "Give 1 to 52 weeks."
        )
    return replace(
        horse,
        barn=composed(horse.barn),
        microchip=check_microchip(horse.microchip) if horse.microchip else "",
        ueln=check_ueln(horse.ueln) if horse.ueln else "",
    )


def _horse(row: Row) -> Horse:
    return Horse(**row)


class Horses(Clients, Barns):
    """Who the horses are."""

    def add_horse(self, name: str, **more: Any) -> Horse:
        """A new horse; ``more`` are fields of ``Horse``.

        Raises:
            InputError: an empty name, or an impossible cycle.
            BadIdentity: a microchip or UELN that fails its rules.
        """
        horse = _checked(Horse(new_id(), clean_name(name, "horse"), **more))
        self._put_horse(replace(horse, barn=self._one_spelling(horse.barn)))
        return self.horse(horse.id)

    def update_horse(self, horse: Horse, all_along: bool = False) -> Horse:
        """Store the changed horse.

        Args:
            horse: as it is now.
            all_along: its owner was wrong before; else another owner is one from today on, and the
                visits so far stay in the time of the one before.
        """
        with self.write():
            before = self.horse(horse.id)
            if before.same_as is not None:
                raise InputError(
                    f"{before.name} is another spelling of {self.standing(horse.id).name} now.",
                    "Change that one.",
                )
            checked = _checked(replace(horse, name=clean_name(horse.name, "horse")))
            self._put_horse(replace(checked, barn=self._one_spelling(checked.barn, before.barn)))
            if all_along:
                self.run("UPDATE visits SET client_id = NULL WHERE horse_id = ?", [horse.id])
            elif horse.client_id and before.client_id != horse.client_id:
                self.run(
                    "UPDATE visits SET client_id = ? WHERE horse_id = ? AND client_id IS NULL",
                    [before.client_id, horse.id],
                )
        return self.horse(horse.id)

    def remove_horse(self, horse_id: str) -> Horse:
        """Take out a horse of which nothing was ever noted: one that was entered by mistake.

        Raises:
            InputError: something is noted of it, if only a draft that was set aside.
        """
        with self.write():
            horse = self.horse(horse_id)
            self._check_never_noted(horse)
            self.run("DELETE FROM horses WHERE id = ?", [horse_id])
        return horse

    def _check_never_noted(self, horse: Horse) -> None:
        """Whether a horse may be taken out.

        Raises:
            InputError: something is noted of it, or it goes by other names.
        """
        for table in ("entries", "revisions", "follow_ups", "visits"):
            if self.one(f"SELECT 1 FROM {table} WHERE horse_id = ? LIMIT 1", [horse.id]):
                raise InputError(
                    f"Something is noted of {horse.name}, or was once, so it stays.",
                    "If it is another horse spelt otherwise: fieldlog horses same. Else give "
                    "its notes to the right horse (fieldlog notes horse); “fieldlog horses "
                    "left” then keeps it off the lists.",
                )
        # A draft that was this horse's for a moment can be given back to it by undo.
        undoable = self.one(
            """SELECT 1 FROM corrections c JOIN entries e ON e.id = c.entry_id
               WHERE e.state <> 'saved' AND (instr(c.before, ?) OR instr(c.after, ?))
               LIMIT 1""",
            [horse.id, horse.id],
        )
        if undoable:
            raise InputError(
                f"A draft was {horse.name}'s before it was given to another horse.",
                "Save that draft first, since undo would give it back; or give this horse "
                "another name (fieldlog horses change).",
            )
        if names := self.other_names(horse.id):
            raise InputError(
                f"{names[0]} is another spelling of {horse.name}, so it stays.",
                f'Part the two first: fieldlog horses apart "{names[0]}"',
            )

    def horse(self, horse_id: str) -> Horse:
        """One horse.

        Raises:
            NotFound: no such horse.
        """
        row = self.one(f"{_HORSE} WHERE h.id = ?", [horse_id])
        if row is None:
            raise NotFound("There is no such horse.", "See “fieldlog horses”.")
        return _horse(row)

    def horses(self, client_id: str | None = None) -> list[Horse]:
        """All horses by name, or one client's; not the other spellings of one."""
        where, values = ("AND h.client_id = ?", [client_id]) if client_id else ("", [])
        rows = self.query(
            f"{_HORSE} WHERE h.same_as IS NULL {where} ORDER BY h.name COLLATE NOCASE", values
        )
        return [_horse(r) for r in rows]

    def horses_once_of(self, client_id: str) -> list[Horse]:
        """Horses that were visited while they were this client's and are another's now, by name."""
        rows = self.query(
            f"""{_HORSE} WHERE h.client_id IS NOT ? AND h.id IN
                (SELECT horse_id FROM visits WHERE client_id = ?) AND h.same_as IS NULL
                ORDER BY h.name COLLATE NOCASE""",
            [client_id, client_id],
        )
        return [_horse(r) for r in rows]

    def spelt_otherwise(self) -> list[Horse]:
        """The horses that are only another spelling of one, by name."""
        rows = self.query(f"{_HORSE} WHERE h.same_as IS NOT NULL ORDER BY h.name COLLATE NOCASE")
        return [_horse(r) for r in rows]

    def standing(self, horse_id: str) -> Horse:
        """The horse itself, or the one of which it is another spelling.

        Raises:
            NotFound: no such horse.
        """
        horse = self.horse(horse_id)
        while horse.same_as is not None:
            horse = self.horse(horse.same_as)
        return horse

    def other_names(self, horse_id: str) -> list[str]:
        """How else a horse was spelt; where two of one name were one horse, no name comes twice."""
        return self.every_other_name().get(horse_id, [])

    def every_other_name(self) -> dict[str, list[str]]:
        """The other names of all horses that have some, by the id of the horse."""
        found: dict[str, list[str]] = {}
        for spelt in self.spelt_otherwise():
            horse = self.standing(spelt.id)
            names = found.setdefault(horse.id, [])
            if key_of(spelt.name) not in map(key_of, (horse.name, *names)):
                names.append(spelt.name)
        return found

    def other_spellings(self, what: str) -> list[tuple[str, str]]:
        """Spellings of owners or barns that are one with another, each with what it is one with.

        Args:
            what: ``client`` or ``barn``; of the first the id comes back, of the second the name.
        """
        rows = self.query(
            "SELECT name, stays FROM spellings WHERE what = ? AND parted_at IS NULL ORDER BY id",
            [what],
        )
        if what == "barn":
            return [(r["name"], self._one_spelling(r["stays"])) for r in rows]
        return [(r["name"], self.client_now(r["stays"]) or "") for r in rows]

    def _put_horse(self, horse: Horse) -> None:
        self._put("horses", {k: v for k, v in asdict(horse).items() if k != "client"})
