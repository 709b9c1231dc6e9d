"""A note about no horse, such as “order more size two shoes”: set aside, what it promises is kept.

It makes no record, as a record is of a horse. But what it promises is to be done all the same.
"""

from __future__ import annotations

from fieldlog.records.followups import is_promise, what_is_promised
from fieldlog.records.saving import Saving
from fieldlog.records.types import FollowUp, FollowUpState, StoredEntry


class AboutNoHorse(Saving):
    """Drafts that are about no horse."""

    NO_HORSE = "not about a horse"
    A_DRAFT_AGAIN = "its note is a draft again"

    def set_aside_without_horse(self, entry_id: str) -> list[FollowUp]:
        """Set a draft aside as about no horse; its promises become follow-ups of none.

        ``undo`` makes it a draft again and drops them.

        Raises:
            NotFound: no such entry.
            SavedIsFixed: it is saved.
        """
        with self.write():
            stored = self.entry(entry_id)
            promises = [fact for fact in stored.entry.facts if is_promise(fact)]
            self.discard(entry_id, self.NO_HORSE)
            return [
                self.add_follow_up(
                    **what_is_promised(fact, stored.entry.text),
                    entry_id=entry_id,
                    fact_id=fact.id,
                )
                for fact in promises
            ]

    def undo(self, entry_id: str) -> StoredEntry | None:
        """As ``Drafts.undo``; what was promised of no horse is promised by the draft again."""
        with self.write():
            row = self.one("SELECT state FROM entries WHERE id = ?", [entry_id])
            back = super().undo(entry_id)
            if back is not None and row is not None and row["state"] == "discarded":
                for promise in self.follow_ups(FollowUpState.OPEN, entry_id=entry_id):
                    self.drop_follow_up(promise.id, self.A_DRAFT_AGAIN)
        return back
