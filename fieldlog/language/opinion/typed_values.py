"""A value that was typed in digits with its unit stands, whatever the network makes of it.

The network learnt from spoken words, in which nobody says "3 1/4 in"; what it finds unlikely there
says nothing.
"""

from __future__ import annotations

import re
from dataclasses import replace

from fieldlog.core.facts import Entry, Fact, FactKind
from fieldlog.core.typed import NUMBER
from fieldlog.language.opinion.gist_facts import shares

_VALUE = re.compile(
    rf"{NUMBER}\s*(?:(?:in|inch|inches|mm|cm|deg|degrees|kg|lb|lbs)\b|[\"°])", re.IGNORECASE
)


def typed_values_stand(entry: Entry) -> Entry:
    """The entry with measures taken back in that were set aside though they were typed whole."""
    taken = tuple(
        fact
        for passage in entry.passages
        for fact in entry.offers(passage)
        if fact.kind is FactKind.MEASUREMENT and _VALUE.search(entry.text, *fact.span)
    )
    if not taken:
        return entry

    def heard_instead(fact: Fact) -> bool:
        return fact.only_heard and any(
            fact.quantity == t.quantity and shares(fact.span, t.span) for t in taken
        )

    facts = [f for f in entry.facts if not heard_instead(f)]
    passages = [
        p for p in entry.passages if not any(_within(p.span, t.span) for t in taken)
    ]  # the words of what is taken are told by it
    return replace(
        entry,
        facts=tuple(sorted((*facts, *taken), key=lambda f: f.span)),
        passages=tuple(passages),
    )


def _within(inner: tuple[int, int], outer: tuple[int, int]) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]
