"""Facts of drafts, put right one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Entry, Fact, FootBasis, Passage
from fieldlog.errors import NotFound
from fieldlog.records.changes import Changes
from fieldlog.records.types import StoredEntry


class DraftFacts(Changes):
    """The facts of drafts."""

    def change_fact(self, entry_id: str, fact: Fact, *, looked_at: bool = True) -> StoredEntry:
        """Put a corrected fact in the place of the one with its id.

        Args:
            entry_id: the draft.
            fact: with the id of the one that it replaces.
            looked_at: it counts as looked at; False if only a part of it was corrected and other
                doubts stay.
        """

        def changed(entry: Entry) -> Entry:
            _fact_of(entry, fact.id)
            facts = tuple(fact if f.id == fact.id else f for f in entry.facts)
            return replace(entry, facts=facts)

        return self._change(entry_id, "change", changed, look_at=[fact.id] if looked_at else [])

    def accept_fact(self, entry_id: str, fact_id: str) -> StoredEntry:
        """Mark a fact as looked at and right."""

        def accepted(entry: Entry) -> Entry:
            _fact_of(entry, fact_id)
            return entry

        return self._change(entry_id, "accept", accepted, look_at=[fact_id])

    def add_fact(self, entry_id: str, fact: Fact) -> StoredEntry:
        """Add a fact by hand."""
        return self._change(
            entry_id,
            "add",
            lambda entry: replace(entry, facts=(*entry.facts, fact)),
            look_at=[fact.id],
        )

    def delete_fact(self, entry_id: str, fact_id: str) -> StoredEntry:
        """Take a fact out; its words stay as free text."""

        def without(entry: Entry) -> Entry:
            gone = _fact_of(entry, fact_id)
            facts = tuple(f for f in entry.facts if f.id != fact_id)
            kept = entry.passages
            if gone.span[1] > gone.span[0] and not any(f.span == gone.span for f in facts):
                words = entry.text[gone.span[0] : gone.span[1]]
                kept = (*kept, Passage(gone.span, words))
            return replace(entry, facts=facts, passages=kept)

        return self._change(entry_id, "delete", without)

    def set_facts(self, entry_id: str, facts: Sequence[Fact], action: str) -> StoredEntry:
        """Replace all facts in one correction that is undone as one.

        Facts whose foot was chosen by hand count as looked at, unless another doubt is left.
        """
        return self._change(
            entry_id,
            action,
            lambda entry: replace(entry, facts=tuple(facts)),
            look_at=[f.id for f in facts if f.foot_basis is FootBasis.CHOSEN and not f.needs_look],
        )


def _fact_of(entry: Entry, fact_id: str) -> Fact:
    """The fact of an entry with an id.

    Raises:
        NotFound: there is none.
    """
    for fact in entry.facts:
        if fact.id == fact_id:
            return fact
    raise NotFound("There is no such fact in this entry.", "It may have been undone.")
