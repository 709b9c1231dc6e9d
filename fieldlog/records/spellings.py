"""Two spellings of one horse become one, and can be parted again.

Nothing is deleted for it. Each saved note gets one more revision, so the chain keeps under which
name it stood and from when on it was one horse; what stood before is kept beside it
(``spellings_kept.py``), and ``horse_apart`` puts it back. Owners and barns: ``owner_spellings.py``.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fieldlog.core.counting import counted
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError
from fieldlog.records.base import Row
from fieldlog.records.leaving import Leaving
from fieldlog.records.owner_spellings import OwnerSpellings
from fieldlog.records.taking_back import ONE_HORSE, TWO_HORSES, TakingBack
from fieldlog.records.types import EntryState, Horse, StoredEntry

_FILLED = ("colour", "sex", "born", "microchip", "ueln", "cycle_weeks", "barn", "client_id")
"""What the horse takes from its other spelling where nothing is known of it."""
_JOINED = ("caution", "notes")
"""What it takes in addition: a caution must not be lost."""
_PROMISE = ("horse_id", "state", "reason", "closed_at")


@dataclass(frozen=True, slots=True)
class BecameOne:
    """What became of two horses that are one."""

    horse: Horse
    name: str
    """The other spelling."""
    saved: int
    """Saved notes that went along."""
    drafts: int
    promises: int
    """Open promises that went along."""
    kept: int
    """Promises of either that a visit of the other had kept already."""
    differs: tuple[str, ...] = ()
    """What was known otherwise of the other spelling, and is not taken over: ``sex colt``."""

    def told(self) -> list[str]:
        """The same in sentences."""
        went = [
            counted(number, what)
            for number, what in (
                (self.saved, "saved note"),
                (self.drafts, "draft"),
                (self.promises, "follow-up"),
            )
            if number
        ]
        one = f"{self.name} and {self.horse.name} are one horse now, {self.horse.name}"
        more = " and ".join(filter(None, (", ".join(went[:-1]), *went[-1:])))
        lines = [f"{one}; it has {more} more." if went else f"{one}."]
        if self.kept:
            done = counted(self.kept, "follow-up")
            lines.append(f"Done by a visit under the other name: {done}.")
        if self.differs:
            lines.append(f"{self.name} had been noted as: {', '.join(self.differs)}.")
        return lines


class Spellings(TakingBack, Leaving, OwnerSpellings):
    """One horse instead of two, and two again; beside it owners and barns."""

    def horse_same(self, went_id: str, stays_id: str, all_along: bool = False) -> BecameOne:
        """All that was noted of one horse is another's: it is the same horse, spelt otherwise.

        Its notes (saved ones by a new revision), drafts, visits and promises go along; the name
        stays known as another spelling. Visits in the time of another owner stay in it.

        Args:
            went_id: the horse that is only another spelling.
            stays_id: the horse whose name is kept.
            all_along: both names have one owner, though two are noted.

        Raises:
            InputError: one and the same, or two horses by their microchip or UELN.
        """
        with self.write():
            went, stays = self.horse(went_id), self.standing(stays_id)
            _check_two(went, stays)
            before = self._whole(went, stays)
            if not all_along and went.client_id and went.client_id != stays.client_id:
                self.run(
                    "UPDATE visits SET client_id = ? WHERE horse_id = ? AND client_id IS NULL",
                    [went.client_id, went.id],
                )
            self._put_horse(replace(stays, **_taken_over(went, stays)))
            self.run("UPDATE horses SET same_as = ? WHERE id = ?", [stays.id, went.id])
            entries = self._of_horse(went.id)
            self._give_all(entries, stays, ONE_HORSE)
            self._visits_along(went.id, stays.id)
            kept = self._promises_along(before, went.id, stays.id, {e.id for e in entries})
            self._keep("horse", went.name, went.id, stays.id, before, self._whole(went, stays))
        return BecameOne(
            self.horse(stays.id),
            went.name,
            sum(e.state is EntryState.SAVED for e in entries),
            sum(e.state is EntryState.DRAFT for e in entries),
            sum(p["state"] == "open" for p in before["follow_ups"] if p["horse_id"] == went.id),
            kept,
            differences(went, stays),
        )

    def horse_apart(self, name: str) -> tuple[Horse, Horse]:
        """Two horses again; what was noted since stays with the one that it was noted of.

        Args:
            name: the other spelling, or the horse that has one only.

        Returns:
            the horse that is one of its own again, and the other.

        Raises:
            InputError: there is no such spelling, or it cannot be parted.
        """
        with self.write():
            row = self._spelling("horse", name)
            went, stays = self.horse(row["went"]), self.horse(row["stays"])
            if stays.same_as is not None:
                raise InputError(
                    f"{stays.name} is itself another spelling of {self.standing(stays.id).name}.",
                    f'Part those first: fieldlog horses apart "{stays.name}"',
                )
            before, after = json.loads(row["before"]), json.loads(row["after"])
            self.run("UPDATE horses SET same_as = NULL WHERE id = ?", [went.id])
            back = [
                e
                for e in self._of_horse(stays.id)
                if e.id in before["entries"] and before["entries"][e.id] == went.id
            ]
            self._give_all(back, went, TWO_HORSES)
            self._facts_back(before["horses"], after["horses"])
            seen = {e.day for e in back if _was_visit(e)}
            self._visits_back(before, went.id, stays.id, seen)
            self._promises_back(before, after, went.id, {e.id for e in back})
            self._parted(row)
        return self.horse(went.id), self.horse(stays.id)

    def _whole(self, *horses: Horse) -> dict[str, Any]:
        """Everything about some horses that another spelling changes."""
        ids = [h.id for h in horses]
        marks = ", ".join("?" for _ in ids)
        found: dict[str, Any] = {
            table: self.query(f"SELECT * FROM {table} WHERE {column} IN ({marks})", ids)
            for table, column in (
                ("horses", "id"),
                ("visits", "horse_id"),
                ("follow_ups", "horse_id"),
            )
        }
        found["follow_ups"] = [
            {k: p[k] for k in ("id", "entry_id", *_PROMISE)} for p in found["follow_ups"]
        ]
        rows = self.query(f"SELECT id, horse_id FROM entries WHERE horse_id IN ({marks})", ids)
        found["entries"] = {r["id"]: r["horse_id"] for r in rows}
        return found

    def _of_horse(self, horse_id: str) -> list[StoredEntry]:
        """Drafts and saved notes, by their day; not what was set aside."""
        found = self._entries("e.horse_id = ? AND e.state <> 'discarded'", [horse_id])
        return sorted(found, key=lambda e: e.day)

    def _give_all(self, entries: list[StoredEntry], to: Horse, reason: str) -> None:
        for stored in entries:
            if stored.state is EntryState.DRAFT:
                self.assign_horse(stored.id, to.id)
                continue
            if self._is_taken_out(stored.id):
                continue
            number = stored.revision + 1
            self.run(
                "UPDATE entries SET horse_id = ?, revision = ? WHERE id = ?",
                [to.id, number, stored.id],
            )
            self._append(replace(stored, horse=to), stored.entry, number, reason)

    def _visits_along(self, went: str, stays: str) -> None:
        self.run(
            """DELETE FROM visits WHERE horse_id = ?
               AND day IN (SELECT day FROM visits WHERE horse_id = ?)""",
            [went, stays],
        )
        self.run("UPDATE visits SET horse_id = ? WHERE horse_id = ?", [stays, went])

    def _promises_along(
        self, before: dict[str, Any], went: str, stays: str, moved: set[str]
    ) -> int:
        """Give the promises along; returns how many a visit of the other horse had kept."""
        self.run(
            "UPDATE follow_ups SET horse_id = ?, sequence = sequence + 1 WHERE horse_id = ?",
            [stays, went],
        )
        whose = {p["id"]: p["horse_id"] for p in before["follow_ups"] if p["state"] == "open"}
        kept = 0
        for entry in self.entries_of(stays):
            others = [i for i, h in whose.items() if (h == went) != (entry.id in moved)]
            kept += len(self.close_kept_by_visit(entry, among=others))
        return kept

    def _facts_back(self, before: list[Row], after: list[Row]) -> None:
        """What the horses took from each other goes, unless it was changed since."""
        then = {row["id"]: row for row in after}
        for row in before:
            now = self.one("SELECT * FROM horses WHERE id = ?", [row["id"]])
            for column in (*_FILLED, *_JOINED, "left_on", "left_why"):
                if now is not None and now[column] == then[row["id"]][column] != row[column]:
                    was = self.client_now(row[column]) if column == "client_id" else row[column]
                    self.run(f"UPDATE horses SET {column} = ? WHERE id = ?", [was, row["id"]])

    def _visits_back(self, before: dict[str, Any], went: str, stays: str, seen: set[date]) -> None:
        days = {day.isoformat() for day in seen}
        for visit in before["visits"]:
            visit = {**visit, "client_id": self.client_now(visit["client_id"])}
            if visit["horse_id"] != went:
                self.run(
                    "UPDATE visits SET client_id = ? WHERE id = ?",
                    [visit["client_id"], visit["id"]],
                )
            elif visit["day"] in days:
                self.run("DELETE FROM visits WHERE id = ?", [visit["id"]])
                self._insert("visits", visit)
        for stored in self.entries_of(stays):
            if _was_visit(stored):
                self._seen_on(stays, stored.day)
        for day in seen:
            self._seen_on(went, day)
            if day in {v.day for v in self.visits(stays)}:
                # A draft of before that was saved while they were one made it a visit of this one,
                # unless a note of its own tells of that day too.
                self.was_not_visited(stays, day)

    def _seen_on(self, horse_id: str, day: date) -> None:
        there = "SELECT 1 FROM visits WHERE horse_id = ? AND day = ?"
        if self.one(there, [horse_id, day.isoformat()]) is None:
            self.visit_for(horse_id, day)

    def _promises_back(
        self, before: dict[str, Any], after: dict[str, Any], went: str, moved: set[str]
    ) -> None:
        """Promises as they were, unless somebody changed them since."""
        then = {row["id"]: row for row in after["follow_ups"]}
        for row in before["follow_ups"]:
            now = self.one("SELECT * FROM follow_ups WHERE id = ?", [row["id"]])
            same = now and all(now[c] == then.get(row["id"], {}).get(c) for c in _PROMISE)
            if row["horse_id"] != went and not same:
                continue
            columns = _PROMISE if same else ("horse_id",)
            note = now["entry_id"] if now and row["horse_id"] == went else None
            if note is not None and note not in moved:
                continue  # Its note, or that part of it, was given to another horse since.
            sets = ", ".join(f"{c} = ?" for c in columns)
            self.run(
                f"UPDATE follow_ups SET {sets}, sequence = sequence + 1 WHERE id = ?",
                [*(row[c] for c in columns), row["id"]],
            )
        for entry_id in moved:
            self.run("UPDATE follow_ups SET horse_id = ? WHERE entry_id = ?", [went, entry_id])


def _was_visit(stored: StoredEntry) -> bool:
    return stored.state is EntryState.SAVED and tells_of_a_visit(stored.entry)


def _check_two(went: Horse, stays: Horse) -> None:
    if went.id == stays.id:
        raise InputError(f"That is {stays.name} already.", "Choose another horse.")
    if went.same_as is not None:
        raise InputError(f"{went.name} is another spelling already.", "Choose another horse.")
    for which in ("microchip", "ueln"):
        one, other = getattr(went, which), getattr(stays, which)
        if one and other and one != other:
            raise InputError(
                f"{went.name} and {stays.name} are two horses: each has a "
                f"{which.upper() if which == 'ueln' else which} of its own ({one}, {other}).",
                "If one of them is wrong, mend it first: fieldlog horses change.",
            )


def _taken_over(went: Horse, stays: Horse) -> dict[str, Any]:
    taken = {f: getattr(went, f) for f in _FILLED if not getattr(stays, f)}
    for name in _JOINED:
        parts = [p for p in (getattr(stays, name), getattr(went, name)) if p]
        taken[name] = "; ".join(dict.fromkeys(parts))
    if not went.left_on:
        # Sold, and entered again by its new owner: it is visited, so it is due.
        taken |= {"left_on": "", "left_why": ""}
    return taken


def differences(went: Horse, stays: Horse) -> tuple[str, ...]:
    """What is known of one horse and otherwise of the other, as the first has it: ``sex colt``."""
    told = {"colour": "colour", "sex": "sex", "born": "born", "cycle_weeks": "weeks",
            "barn": "barn", "client": "owner"}  # fmt: skip
    found = []
    for name, word in told.items():
        one, other = getattr(went, name), getattr(stays, name)
        if one and other and str(one).casefold() != str(other).casefold():
            found.append(f"{word} {one}")
    return tuple(found)
