"""What lists made of saved notes do not know yet: the drafts that wait."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldlog.core.facts import Entry, FactKind
from fieldlog.core.redflags import Urgency, red_flags

if TYPE_CHECKING:
    from fieldlog.records.store import Store


def waiting(store: Store) -> str:
    """``3 notes wait to be looked at, 1 of them with an urgent call``; empty if none does."""
    drafts = store.drafts()
    if not drafts:
        return ""
    said = "1 note waits" if len(drafts) == 1 else f"{len(drafts)} notes wait"
    urgent = sum(calls(draft.entry) for draft in drafts)
    return f"{said} to be looked at" + (f", {urgent} with an urgent call" if urgent else "")


def calls(entry: Entry) -> bool:
    """Whether a note asks for somebody now: by an urgent promise, or by what was seen."""
    promised = any(
        fact.kind is FactKind.FOLLOW_UP and not fact.negated and fact.urgent for fact in entry.facts
    )
    return promised or any(flag.urgency is Urgency.NOW for flag in red_flags(entry.facts))
