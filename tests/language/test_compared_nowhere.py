"""A comparison that nothing tells: what was found before it is asked about."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Trend
from fieldlog.core.feet import FRONTS
from fieldlog.language.entries.compared_nowhere import asked_what_compares

FOUND = Fact(FactKind.FINDING, "underrun", FRONTS, FootBasis.SAID, span=(0, 23))


def doubts(text: str, *facts: Fact) -> list[list[str]]:
    return [[d.code for d in f.doubts] for f in asked_what_compares(facts, text, (0, len(text)))]


@pytest.mark.parametrize(
    "text",
    [
        "Underrun on both fronts. Brought the toes back. Better than last time.",
        "Underrun on both fronts. They have opened up some since September.",
        "Underrun on both fronts, the off worse.",
        "Underrun on both fronts, and the left's the worse of the two.",
    ],
)
def test_the_finding_before_it_is_asked_about(text: str) -> None:
    assert doubts(text, FOUND) == [["competing_readings"]]


@pytest.mark.parametrize(
    "text",
    [
        "Underrun on both fronts. If he's no better by Friday the vet comes.",
        "Underrun on both fronts. Six weeks.",
        "Underrun on both fronts. " + "And so on. " * 30 + "Better than last time.",
    ],
)
def test_other_words_ask_nothing(text: str) -> None:
    assert doubts(text, FOUND) == [[]]


def test_a_comparison_that_a_fact_tells_asks_nothing() -> None:
    told = replace(FOUND, comparison=Comparison(Trend.BETTER))
    assert doubts("Underrun on both fronts. Better than last time.", told) == [[]]
