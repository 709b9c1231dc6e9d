"""A visit for some feet and another for the rest."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from tests.language.said import heard


def visits(found: list[Fact]) -> set[tuple[str, str, str]]:
    return {
        (f.code, "+".join(foot.value for foot in f.feet), f.due.period)
        for f in found
        if f.kind is FactKind.FOLLOW_UP and f.due is not None
    }


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Left front in three weeks, the rest in six.",
         {("recheck", "LF", "P3W"), ("next_trim", "", "P6W")}),
        ("Left front again in three weeks, others in six.",
         {("recheck", "LF", "P3W"), ("next_trim", "", "P6W")}),
        ("Next trim on the left front in three weeks, the rest in six.",
         {("next_trim", "LF", "P3W"), ("next_trim", "", "P6W")}),
        ("See the near fore in two weeks, all of them in six.",
         {("recheck", "LF", "P2W"), ("next_trim", "", "P6W")}),
        ("I'll do the left hind in two weeks and the rest in six.",
         {("recheck", "LH", "P2W"), ("next_trim", "", "P6W")}),
        ("Six weeks, hinds in three.",
         {("recheck", "LH+RH", "P3W"), ("next_trim", "", "P6W")}),
        ("Fronts in four weeks, hinds in eight.",
         {("next_trim", "LF+RF", "P4W"), ("next_trim", "LH+RH", "P8W")}),
        ("Fronts every five weeks, hinds every ten.",
         {("cycle", "LF+RF", "P5W"), ("cycle", "LH+RH", "P10W")}),
        ("Six weeks for the fronts, ten weeks for the hinds.",
         {("next_trim", "LF+RF", "P6W"), ("next_trim", "LH+RH", "P10W")}),
        ("Three weeks for the near fore, six weeks for the rest.",
         {("recheck", "LF", "P3W"), ("next_trim", "", "P6W")}),
        ("Fronts in five weeks, ten weeks for the hinds.",
         {("next_trim", "LF+RF", "P5W"), ("next_trim", "LH+RH", "P10W")}),
    ],
)  # fmt: skip
def test_each_visit_has_its_own_feet_and_time(
    facts: Callable[[str], list[Fact]],
    text: str,
    expected: set[tuple[str, str, str]],
    as_heard: bool,
) -> None:
    assert visits(facts(heard(text) if as_heard else text)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Trimmed the hinds. Six weeks.", {("next_trim", "", "P6W")}),
        ("Hinds in two weeks.", {("next_trim", "", "P2W")}),
        ("Put the nails in the hinds in two.", set()),
    ],
)
def test_one_period_is_one_visit(
    facts: Callable[[str], list[Fact]], text: str, expected: set[tuple[str, str, str]]
) -> None:
    assert visits(facts(text)) == expected
