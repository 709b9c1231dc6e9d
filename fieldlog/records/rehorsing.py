"""A saved entry that was given to the wrong horse goes to the right one, with all that hangs on it.

Its facts stay as they were; the chain keeps under which horse it stood before, and why it moved.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError
from fieldlog.records.saving import Saving, reasoned
from fieldlog.records.types import FollowUp, FollowUpState, Horse, StoredEntry


class Rehorsing(Saving):
    """From one horse's record to another's."""

    def give_to_horse(self, entry_id: str, horse_id: str, reason: str) -> StoredEntry:
        """Put a saved entry under another horse by a new revision; the old one stays readable.

        Its promises and its place in history and search go along. The first horse was not visited
        by this note: what that visit had closed of its promises opens again, unless another note
        of that day is of it; what the second horse was promised before is closed as by any visit.

        Raises:
            InputError: no reason, the entry is still a draft, was taken out on request, or is that
                horse's already.
        """
        why = reasoned(reason)
        horse = self.standing(horse_id)
        horse_id = horse.id
        with self.write():
            stored, first = self._movable(entry_id, "Assign its horse itself.")
            if first.id == horse_id:
                raise InputError(f"This entry is {horse.name}'s already.", "Choose another horse.")
            moved = replace(stored, horse=horse)
            number = stored.revision + 1
            self.run(
                "UPDATE entries SET horse_id = ?, revision = ? WHERE id = ?",
                [horse_id, number, entry_id],
            )
            self._append(moved, stored.entry, number, why)
            self.run(
                "UPDATE follow_ups SET horse_id = ?, sequence = sequence + 1 WHERE entry_id = ?",
                [horse_id, entry_id],
            )
            self.was_not_visited(first.id, stored.day)
            if tells_of_a_visit(stored.entry):
                self.visit_for(horse_id, stored.day)
            self._kept_anew(moved, horse_id)
        return self.entry(entry_id)

    def _movable(self, entry_id: str, remedy: str) -> tuple[StoredEntry, Horse]:
        """A saved entry that may stand under another horse or day, and the horse that it is of."""
        stored = self._revisable(entry_id, remedy)
        if stored.horse is None:
            raise InputError("This entry is still a draft.", remedy)
        return stored, stored.horse

    def _kept_anew(self, moved: StoredEntry, horse_id: str) -> None:
        """What visits keep of what was promised, once a note stands under another horse or day.

        What a later visit there kept of the note's own promises opens again, for it may be no later
        visit here; then its visit, and those behind it, keep what they keep.
        """
        for promise in self.follow_ups(FollowUpState.DONE, horse_id=horse_id):
            if promise.entry_id == moved.id and kept_by_visit(promise):
                self.reopen_follow_up(promise.id)
        self.close_kept_by_visit(moved)
        for later in self.entries_of(horse_id, after=moved.day):
            self.close_kept_by_visit(later, promised_in=moved.id)


def kept_by_visit(promise: FollowUp) -> bool:
    """Whether a promise was closed by a visit, not by hand."""
    return promise.reason.startswith(Saving.VISITED)
