"""A correction of a saved entry, taken back: by one more revision, step by step.

Nothing is removed for it. A revision that took one back is known by its reason and by standing
where the entry stood before, so the next step goes to what was corrected before that.
"""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.facts import Fact
from fieldlog.errors import InputError
from fieldlog.records.parting import Parting
from fieldlog.records.types import EntryState, StoredEntry

TAKEN_BACK = "the change before was taken back"
ONE_HORSE = "two spellings of one horse"
"""The reason of a revision that put a note under the horse's other name; no name is in it, since
a reason cannot be taken out on request."""
TWO_HORSES = "two horses after all"
"""The reason of a revision that put it back."""


class TakingBack(Parting):
    """From the newest revision to the one that it corrected."""

    def take_back(self, entry_id: str) -> StoredEntry:
        """Put facts, horse and day from before the last correction back, by one more revision.

        Raises:
            InputError: the entry is a draft, or stands as it was first saved.
        """
        with self.write():
            now = self.entry(entry_id)
            if now.state is not EntryState.SAVED:
                raise InputError("This entry is still a draft.", "Take its corrections back there.")
            before, last = self._last_step(entry_id)
            if before is None or before.horse is None or now.horse is None:
                raise _nothing(last)
            # One revision parts the note, or changes the horse, the day or the facts.
            if last.parted_to:
                self.rejoin(entry_id, before, last.parted_to, TAKEN_BACK)
            elif before.horse.id != now.horse.id:
                self.give_to_horse(entry_id, before.horse.id, TAKEN_BACK)
            elif before.day != now.day:
                self.give_saved_day(entry_id, before.day, before.entry.facts, TAKEN_BACK)
            else:
                self.revise_entry(entry_id, before.entry.facts, TAKEN_BACK)
        return self.entry(entry_id)

    def can_take_back(self, entry_id: str) -> bool:
        """Whether a saved entry has a correction that was not taken back."""
        return self._last_step(entry_id)[0] is not None

    def _last_step(self, entry_id: str) -> tuple[StoredEntry | None, StoredEntry]:
        """The newest correction that was not taken back (or the first revision), behind how the
        entry stood before it."""
        steps: list[StoredEntry] = []
        for revision in _under_one_name(self.revisions(entry_id)):
            back = len(steps) > 1 and revision.reason == TAKEN_BACK
            if back and _same(revision, steps[-2]):
                steps.pop()
            else:
                steps.append(revision)
        return (steps[-2] if len(steps) > 1 else None), steps[-1]


def _nothing(first: StoredEntry) -> InputError:
    """That nothing is left to take back."""
    if first.parted_from:
        return InputError(
            "This note was parted from another one, and stands as it was then.",
            f"To take that back: fieldlog notes undo {first.parted_from[:8]}",
        )
    return InputError("There is nothing to take back.", "This note stands as it was first saved.")


def _under_one_name(revisions: list[StoredEntry]) -> list[StoredEntry]:
    """The revisions without those that only spelt the horse otherwise, which corrects nothing.

    Where a horse stood under two names, all stand under the newest of them.
    """
    steps: list[StoredEntry] = []
    for revision in revisions:
        if not steps or not _only_spelt(revision, steps[-1]):
            steps.append(revision)
            continue
        was = steps[-1].horse
        steps = [replace(s, horse=revision.horse) if s.horse == was else s for s in steps]
    return steps


def _only_spelt(revision: StoredEntry, before: StoredEntry) -> bool:
    spelt = revision.reason in (ONE_HORSE, TWO_HORSES)
    return spelt and revision.day == before.day and _plain(revision) == _plain(before)


def _same(one: StoredEntry, other: StoredEntry) -> bool:
    """The same facts of the same horse and day; doubts end where somebody looks: no news."""
    same_visit = (_whose(one), one.day) == (_whose(other), other.day)
    return same_visit and _plain(one) == _plain(other)


def _whose(stored: StoredEntry) -> str:
    return stored.horse.id if stored.horse else ""


def _plain(stored: StoredEntry) -> list[Fact]:
    return [replace(fact, doubts=(), confidence=0.0) for fact in stored.entry.facts]
