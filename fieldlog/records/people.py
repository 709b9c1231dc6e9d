"""Clients, horses and visits."""

from __future__ import annotations

import unicodedata
from dataclasses import asdict, replace
from datetime import date
from typing import Any

import jellyfish
from rapidfuzz import fuzz

from fieldlog.core.facts import new_id
from fieldlog.errors import InputError, NotFound
from fieldlog.records.base import Connection, Row
from fieldlog.records.types import Client, Horse, Visit

_HORSE = """SELECT h.*, coalesce(c.name, '') AS client
            FROM horses h LEFT JOIN clients c ON c.id = h.client_id"""
CLOSE_NAME = 80
"""rapidfuzz ratio (0 to 100) from which a name is offered as a likely spelling."""

_SHORT = 8
"""Letters of an id that are enough to type."""


class People(Connection):
    """Who the horses are and whose."""

    def add_client(self, name: str, **more: str) -> Client:
        """A new client.

        Raises:
            InputError: an empty name, or one that a client has already.
        """
        client = Client(new_id(), _named(name, "client"), **more)
        self._check_free(client)
        self._put("clients", asdict(client))
        return client

    def update_client(self, client: Client) -> None:
        """Store the changed client.

        Raises:
            InputError: another client has the new name, or it is empty.
        """
        client = replace(client, name=_named(client.name, "client"))
        if self.client(client.id).name.casefold() != client.name.casefold():
            self._check_free(client)
        self._put("clients", asdict(client))

    def client(self, client_id: str) -> Client:
        """One client.

        Raises:
            NotFound: no such client.
        """
        row = self.one("SELECT * FROM clients WHERE id = ?", [client_id])
        if row is None:
            raise NotFound("There is no such client.", "See “fieldlog clients”.")
        return Client(**row)

    def has_client(self, client_id: str) -> bool:
        """Whether there is a client of this id; one that is another spelling now is none."""
        return self.one("SELECT 1 FROM clients WHERE id = ?", [client_id]) is not None

    def clients(self) -> list[Client]:
        """All clients by name."""
        return [
            Client(**r) for r in self.query("SELECT * FROM clients ORDER BY name COLLATE NOCASE")
        ]

    def find_client(self, name: str) -> Client | None:
        """The client of exactly this name, whatever the case."""
        wanted = composed(name.strip())
        row = self.one("SELECT * FROM clients WHERE name = ? COLLATE NOCASE", [wanted])
        if row is None and (stays := self._stays("client", wanted)):
            row = self.one("SELECT * FROM clients WHERE id = ?", [self.client_now(stays)])
        return Client(**row) if row else None

    def client_now(self, client_id: str | None) -> str | None:
        """The id of a client, or of the one it is another spelling of; None: forgotten."""
        if self.one("SELECT 1 FROM clients WHERE id = ?", [client_id]):
            return client_id
        row = self.one(
            """SELECT stays FROM spellings WHERE what = 'client' AND went = ?
               AND parted_at IS NULL ORDER BY id DESC LIMIT 1""",
            [client_id],
        )
        return self.client_now(row["stays"]) if row else None

    def _stays(self, what: str, name: str) -> str:
        """The id (of a barn the name) that another spelling ``name`` is one with, or empty."""
        row = self.one(
            """SELECT stays FROM spellings WHERE what = ? AND name = ? COLLATE NOCASE
               AND parted_at IS NULL ORDER BY id DESC LIMIT 1""",
            [what, name],
        )
        return str(row["stays"]) if row else ""

    def close_clients(self, name: str) -> list[Client]:
        """Other clients whose name looks or sounds like ``name``, the likeliest first."""
        wanted = _key(name)
        scored = [
            (_likeness(wanted, _key(c.name)), c) for c in self.clients() if _key(c.name) != wanted
        ]
        return [c for s, c in sorted(scored, key=lambda pair: -pair[0]) if s >= CLOSE_NAME]

    def _check_free(self, client: Client) -> None:
        found = self.find_client(client.name)
        if found is not None and found.id != client.id:
            raise InputError(
                f"There is a client called {client.name} already.",
                f'To change what is known: fieldlog clients change "{client.name}" --phone ... '
                "For another person of that name add something that tells them apart.",
            )

    def add_horse(self, name: str, **more: Any) -> Horse:
        """A new horse; ``more`` are fields of ``Horse``.

        Raises:
            InputError: an empty name, or an impossible cycle.
            BadIdentity: a microchip or UELN that fails its rules.
        """
        horse = _checked(Horse(new_id(), _named(name, "horse"), **more))
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
            checked = _checked(replace(horse, name=_named(horse.name, "horse")))
            self._put_horse(replace(checked, barn=self._one_spelling(checked.barn, before.barn)))
            if all_along:
                self.run("UPDATE visits SET client_id = NULL WHERE horse_id = ?", [horse.id])
            elif horse.client_id and before.client_id != horse.client_id:
                self.run(
                    "UPDATE visits SET client_id = ? WHERE horse_id = ? AND client_id IS NULL",
                    [before.client_id, horse.id],
                )
        return self.horse(horse.id)

    def _one_spelling(self, barn: str, before: str = "") -> str:
        """The barn as others are noted at it: “alder creek” is no second stop of a trip.

        Where only the capitals of a horse's own barn change (``before``), all go along.
        """
        if barn.casefold() == before.casefold() and barn != before:
            with self.write():
                self.run("UPDATE horses SET barn = ? WHERE barn = ?", [barn, before])
            return barn
        return self._barn_with_horses(barn) or self._barn_called(barn)

    def _barn_with_horses(self, barn: str) -> str:
        """The barn as it is written where horses stand; empty if none does."""
        known = self.one(
            """SELECT barn FROM horses WHERE barn = ? COLLATE NOCASE AND same_as IS NULL
               LIMIT 1""",
            [barn],
        )
        return str(known["barn"]) if known else ""

    def _barn_called(self, barn: str) -> str:
        """What an empty barn is called now; a name that was taken up again later leads nowhere."""
        since = 0
        while row := self.one(
            """SELECT id, stays FROM spellings WHERE what = 'barn' AND name = ? COLLATE NOCASE
               AND parted_at IS NULL AND id > ? ORDER BY id DESC LIMIT 1""",
            [barn, since],
        ):
            barn, since = row["stays"], row["id"]
            if there := self._barn_with_horses(barn):
                return there
        return barn

    def days_of_another_owner(self, horse: Horse) -> frozenset[date]:
        """The days on which the horse was visited while it belonged to somebody else."""
        rows = self.query(
            "SELECT day FROM visits WHERE horse_id = ? AND client_id <> coalesce(?, '')",
            [horse.id, horse.client_id],
        )
        return frozenset(date.fromisoformat(r["day"]) for r in rows)

    def visit_owners(self, horse_id: str) -> dict[str, str | None]:
        """In whose time each visit stands, by its id; None: in that of the owner of today."""
        rows = self.query("SELECT id, client_id FROM visits WHERE horse_id = ?", [horse_id])
        return {r["id"]: r["client_id"] for r in rows}

    def put_visit_owners(self, horse_id: str, owners: dict[str, str | None]) -> None:
        """Put the visits back into the time of whom ``visit_owners`` had told."""
        with self.write():
            for visit_id, client_id in owners.items():
                self.run(
                    "UPDATE visits SET client_id = ? WHERE id = ? AND horse_id = ?",
                    [self.client_now(client_id), visit_id, horse_id],
                )

    def remove_client(self, client_id: str) -> bool:
        """Take out a client entered by mistake; False if a horse or a visit is theirs: it stays."""
        with self.write():
            if any(
                self.one(f"SELECT 1 FROM {table} WHERE client_id = ? LIMIT 1", [client_id])
                for table in ("horses", "visits")
            ) or self.one("SELECT 1 FROM spellings WHERE stays = ? LIMIT 1", [client_id]):
                return False
            self.run("DELETE FROM clients WHERE id = ?", [client_id])
        return True

    def horses_once_of(self, client_id: str) -> list[Horse]:
        """Horses that were visited while they were this client's and are another's now, by name."""
        rows = self.query(
            f"""{_HORSE} WHERE h.client_id IS NOT ? AND h.id IN
                (SELECT horse_id FROM visits WHERE client_id = ?) AND h.same_as IS NULL
                ORDER BY h.name COLLATE NOCASE""",
            [client_id, client_id],
        )
        return [_horse(r) for r in rows]

    def remove_horse(self, horse_id: str) -> Horse:
        """Take out a horse of which nothing was ever noted: one that was entered by mistake.

        Raises:
            InputError: something is noted of it, if only a draft that was set aside.
        """
        with self.write():
            horse = self.horse(horse_id)
            for table in ("entries", "revisions", "follow_ups", "visits"):
                if self.one(f"SELECT 1 FROM {table} WHERE horse_id = ? LIMIT 1", [horse_id]):
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
                [horse_id, horse_id],
            )
            if undoable:
                raise InputError(
                    f"A draft was {horse.name}'s before it was given to another horse.",
                    "Save that draft first, since undo would give it back; or give this horse "
                    "another name (fieldlog horses change).",
                )
            if names := self.other_names(horse_id):
                raise InputError(
                    f"{names[0]} is another spelling of {horse.name}, so it stays.",
                    f'Part the two first: fieldlog horses apart "{names[0]}"',
                )
            self.run("DELETE FROM horses WHERE id = ?", [horse_id])
        return horse

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
            if _key(spelt.name) not in map(_key, (horse.name, *names)):
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

    def horse_names(self) -> list[str]:
        """Every name by which a horse may be spoken of."""
        return [h.name for h in (*self.horses(), *self.spelt_otherwise())]

    def find_horses(self, name: str) -> list[Horse]:
        """Horses whose name is, sounds or looks like ``name``, the likeliest first."""
        wanted = _key(name)
        if not wanted:
            return []
        every = (*self.horses(), *self.spelt_otherwise())
        scored = [(_likeness(wanted, _key(h.name)), h) for h in every]
        close = [(s, h) for s, h in scored if s >= CLOSE_NAME]
        found = [self.standing(h.id) for _, h in sorted(close, key=lambda pair: -pair[0])]
        return list({h.id: h for h in found}.values())

    def horse_named(self, name: str) -> Horse:
        """The one horse meant by a typed name or the beginning of one; it may be told from others
        as ``full_name`` does.

        Raises:
            NotFound: none, with the closest names in the remedy.
            InputError: several horses share the name.
        """
        found = self.find_horses(name)
        exact = [h for h in found if _key(h.name) == _key(name)]
        if not exact:
            exact = self._with_owner(name) or self._spelt(name)
        if len(exact) == 1:
            return exact[0]
        if exact:
            names = " or ".join(f'"{self.full_name(h)}"' for h in exact)
            raise InputError(f"Several horses are called {exact[0].name}.", f"Say which: {names}.")
        begun = [h for h in found if _key(h.name).startswith(_key(name))]
        if len(found) == len(begun) == 1:
            return found[0]  # a mistyped name is asked about: a note or a letter would go astray
        close = ", ".join(h.name for h in found[:3])
        raise NotFound(
            f"There is no horse called “{name}”.",
            f"Did you mean {close}?"
            if close
            else "“fieldlog horses” lists them; “fieldlog horses add NAME” adds one.",
        )

    def _spelt(self, name: str) -> list[Horse]:
        """Horses of which ``name`` is another spelling."""
        spelt = [h for h in self.spelt_otherwise() if _key(h.name) == _key(name)]
        return list({h.id: h for h in (self.standing(s.id) for s in spelt)}.values())

    def full_name(self, horse: Horse) -> str:
        """How a horse is told from others of its name: ``Juniper of Marta Ellery``, or where one
        owner has both, of its barn; else by its id.

        ``horse_named`` understands it.
        """
        twins = self.twins(horse)
        if not twins:
            return horse.name
        if horse.client and all(t.client_id != horse.client_id for t in twins):
            return f"{horse.name} of {horse.client}"
        if horse.barn and all(
            _key(horse.barn) not in (_key(t.barn), _key(t.client)) for t in twins
        ):
            return f"{horse.name} of {horse.barn}"
        return f"{horse.name} of {horse.id[:_SHORT]}"

    def twins(self, horse: Horse) -> list[Horse]:
        """The other horses of the same name."""
        wanted = _key(horse.name)
        return [h for h in self.horses() if h.id != horse.id and _key(h.name) == wanted]

    def told_apart(self) -> dict[str, str]:
        """What a list calls the horses that share their name: the full name of each, by its id."""
        named: dict[str, list[Horse]] = {}
        for horse in self.horses():
            named.setdefault(_key(horse.name), []).append(horse)
        shared = (h for same in named.values() if len(same) > 1 for h in same)
        return {h.id: self.full_name(h) for h in shared}

    def _with_owner(self, name: str) -> list[Horse]:
        """Horses meant by ``NAME of`` an owner, a barn or an id; if none fits, those to choose."""
        wanted = _key(" ".join(name.split()))
        named = [h for h in self.horses() if wanted.startswith(f"{_key(h.name)} of ")]
        longest = max((len(_key(h.name)) for h in named), default=0)
        named = [h for h in named if len(_key(h.name)) == longest]
        owner = wanted[longest + len(" of ") :]
        exact = [h for h in named if owner in (_key(h.client), h.id, h.id[:_SHORT])]
        exact = exact or [h for h in named if owner == _key(h.barn)]
        # A single horse of that name but another owner is not the one that was meant.
        return exact or (named if len(named) > 1 else [])

    def names_of_the_day(self) -> list[str]:
        """Horse, client and barn names for the recogniser, no doubles."""
        horses, clients = self.horses(), self.clients()
        names = {h.name for h in (*horses, *self.spelt_otherwise()) if not h.forgotten}
        names |= {client.name for client in clients if not client.forgotten}
        return sorted(names | {horse.barn for horse in horses if horse.barn})

    def visit_for(self, horse_id: str, day: date) -> Visit:
        """The visit of this horse on this day, made if new; one that had left before is back."""
        with self.write():
            self.run(
                """UPDATE horses SET left_on = '', left_why = ''
                   WHERE id = ? AND left_on <> '' AND left_on < ?""",
                [horse_id, day.isoformat()],
            )
            row = self.one(
                "SELECT * FROM visits WHERE horse_id = ? AND day = ?", [horse_id, day.isoformat()]
            )
            if row is None:
                visit = Visit(new_id(), horse_id, day, self.horse(horse_id).barn)
                self._put("visits", {**asdict(visit), "day": day.isoformat()})
                return visit
        return _visit(row)

    def visits(self, horse_id: str) -> list[Visit]:
        """This horse's visits, the newest first."""
        rows = self.query("SELECT * FROM visits WHERE horse_id = ? ORDER BY day DESC", [horse_id])
        return [_visit(r) for r in rows]

    def _put_horse(self, horse: Horse) -> None:
        self._put("horses", {k: v for k, v in asdict(horse).items() if k != "client"})

    def _put(self, table: str, row: dict[str, Any]) -> None:
        columns = ", ".join(row)
        marks = ", ".join("?" for _ in row)
        changes = ", ".join(f"{c} = excluded.{c}" for c in row if c != "id")
        with self.write():
            self.run(
                f"INSERT INTO {table} ({columns}) VALUES ({marks}) "
                f"ON CONFLICT (id) DO UPDATE SET {changes}",
                list(row.values()),
            )


def _likeness(wanted: str, name: str) -> float:
    score = fuzz.ratio(wanted, name)
    # Digits and letters of other scripts have no sound here: they would all sound alike.
    if (sound := jellyfish.metaphone(wanted)) and sound == jellyfish.metaphone(name):
        score = max(score, 90.0)
    if name.startswith(wanted) and len(wanted) >= 3:
        score = max(score, 85.0)
    return float(score)


def composed(text: str) -> str:
    """Letters with their accents as one character each.

    A Mac takes names of files apart into letter and accent; two names that look alike were two
    names (source: Unicode Standard Annex 15, form NFC).
    """
    return unicodedata.normalize("NFC", text)


def _key(name: str) -> str:
    """A name as it is compared."""
    return composed(name.strip().casefold())


def _named(name: str, what: str) -> str:
    clean = composed(" ".join(name.split()))
    if not clean:
        raise InputError(f"A {what} needs a name.", "Type one.")
    return clean


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


def _visit(row: Row) -> Visit:
    return Visit(row["id"], row["horse_id"], date.fromisoformat(row["day"]), row["barn"])
