"""A saved note that stands under a wrong day goes to the right one, with all that hangs on it.

A recorder's clock, or the date of a copied file, may be wrong. The chain keeps under which day the
note stood before, and why it moved.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from fieldlog.core.facts import Fact
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError
from fieldlog.records.rehorsing import Rehorsing
from fieldlog.records.saving import reasoned
from fieldlog.records.types import StoredEntry


class Redating(Rehorsing):
    """From one day of a horse's record to another."""

    def give_saved_day(
        self, entry_id: str, day: date, facts: Sequence[Fact], reason: str
    ) -> StoredEntry:
        """Put a saved entry under another day by a new revision; the old one stays readable.

        Its visit, its promises and its place in history and search go along. What the visit of the
        wrong day had closed opens again, unless another note tells of that visit.

        Args:
            entry_id: which entry.
            day: the day on which it was said.
            facts: its facts, with the times that are counted from it.
            reason: why.

        Raises:
            InputError: no reason, the entry is still a draft, was taken out on request, or is of
                that day already.
        """
        why = reasoned(reason)
        with self.write():
            stored, horse = self._movable(entry_id, "Give the draft its day.")
            if stored.day == day:
                raise InputError(f"This note is of {day} already.", "Give another day.")
            entry = replace(stored.entry, facts=tuple(facts))
            at = datetime.combine(day, stored.at.timetz())
            moved = replace(stored, entry=entry, day=day, at=at)
            number = stored.revision + 1
            self.run(
                "UPDATE entries SET revision = ?, body = ? WHERE id = ?",
                [number, json.dumps(entry.to_dict()), entry_id],
            )
            self._put_time(entry_id, at)
            self._append(moved, entry, number, why)
            self.correct_promises(stored, facts, why)
            self._visit_along(stored, moved, horse.id)
        return self.entry(entry_id)

    def _visit_along(self, stored: StoredEntry, moved: StoredEntry, horse_id: str) -> None:
        """The visit of the note, and what visits keep of what was promised."""
        whose = self.one(
            "SELECT client_id FROM visits WHERE horse_id = ? AND day = ?",
            [horse_id, stored.day.isoformat()],
        )
        there = {v.day for v in self.visits(horse_id)}
        self.was_not_visited(horse_id, stored.day)
        if tells_of_a_visit(moved.entry):
            visit = self.visit_for(horse_id, moved.day)
            if whose is not None and moved.day not in there:
                self.put_visit_owners(horse_id, {visit.id: whose["client_id"]})
        self._kept_anew(moved, horse_id)
