"""A note of a telephone call is no visit; common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, Reporter
from fieldlog.core.feet import Foot
from fieldlog.core.visits import tells_of_a_visit

THRUSH = Fact(FactKind.FINDING, "thrush", (Foot.LF,))
TRIM = Fact(FactKind.WORK, "trim")
NEXT = Fact(FactKind.FOLLOW_UP, "next_trim")
SOAK = Fact(FactKind.ADVICE, "soak")
VET = Fact(FactKind.FOLLOW_UP, "vet_visit")


def tells(text: str, *facts: Fact) -> bool:
    return tells_of_a_visit(Entry(facts, text, (0, len(text))))


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("thrush left front", (THRUSH,)),
        ("no thrush", (replace(THRUSH, negated=True),)),
        ("trimmed", (TRIM,)),
        ("all done, back in six weeks", (NEXT,)),
        ("all good", ()),
        ("told her to soak it", (SOAK,)),
        ("owner cancelled last time, trimmed today", (TRIM,)),
    ],
)
def test_a_visit(text: str, facts: tuple[Fact, ...]) -> None:
    assert tells(text, *facts)


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("owner rang, wants the vet to look", (VET,)),
        ("owner says he has thrush", (replace(THRUSH, reporter=Reporter.OWNER),)),
        ("he had thrush last year, call the vet", (replace(THRUSH, historical=True), VET)),
        ("owner cancelled, back next tuesday", (NEXT,)),
        ("called off, back in a week", (NEXT,)),
        ("nobody there", ()),
        ("she rang, told her to soak it", (SOAK,)),
        ("Wasn\u2019t there", ()),
        ("not trimmed, no show", (replace(TRIM, negated=True),)),
        ("trim her next time, call the vet", (replace(TRIM, planned=True), VET)),
    ],
)
def test_no_visit(text: str, facts: tuple[Fact, ...]) -> None:
    assert not tells(text, *facts)
