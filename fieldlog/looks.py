"""Between the records and the language: what the looks of this farrier say of the chances."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from fieldlog.language.confidence import accept_threshold
from fieldlog.language.experience import NEWEST, Experience, Looked, asked_of, learnt

if TYPE_CHECKING:
    from fieldlog.config import Settings
    from fieldlog.core.facts import Fact
    from fieldlog.records.store import Store


def experience(store: Store, settings: Settings) -> Experience:
    """What became of the facts that were looked at, or nothing if that is switched off."""
    if not settings.learn_from_looks:
        return Experience()
    found = store.looked_at_facts(NEWEST)
    return learnt(tuple(Looked(fact.kind, fact.confidence, stood) for fact, stood in found))


def asking(store: Store, settings: Settings) -> Callable[[Fact], Fact]:
    """What gives a fact its chance for this farrier, and its doubt where that is low."""
    sure_from = settings.accept_above or accept_threshold()
    return partial(asked_of, sure_from=sure_from, experience=experience(store, settings))


def in_words(found: Experience) -> str:
    """One sentence on it, for the settings."""
    if not found.looked:
        return "Nothing that you looked at is saved yet: facts are asked about as for anybody."
    more = "less" if found.shift > 0 else "more"
    return (
        f"Of the last {found.looked} facts that you looked at, {found.stood} stood as understood; "
        f"{found.expected:.0f} would have for a stranger. So you are asked {more} often."
    )
