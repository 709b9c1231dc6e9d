"""One number that is the other foot's, and the one behind it that is not."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.language.said import heard, values


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("Left front same length, fifty three.", {("toe_length", 3.5), ("toe_angle", 53)}),
        ("Left front same angle, three and five eighths.",
         {("toe_length", 3.625), ("toe_angle", 51)}),
        ("Left front same angle.", {("toe_angle", 51)}),
    ],
)  # fmt: skip
def test_the_same_length_is_that_number_and_no_other(
    facts: Callable[[str], list[Fact]],
    words: str,
    expected: set[tuple[str, float]],
    as_heard: bool,
) -> None:
    text = f"Right front toe three and a half, angle fifty one. {words}"
    found = values(facts(heard(text) if as_heard else text))
    assert {(code, value) for foot, code, value in found if foot == "LF"} == expected


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (
            "Fifty on the near fore, call it fifty one on the off.",
            {("LF", "toe_angle", 50), ("RF", "toe_angle", 51)},
        ),
        ("Near fore fifty, no, call it fifty one.", {("LF", "toe_angle", 51)}),
    ],
)
def test_a_number_called_so_on_the_other_foot_puts_none_right(
    facts: Callable[[str], list[Fact]],
    words: str,
    expected: set[tuple[str, str, float]],
    as_heard: bool,
) -> None:
    assert values(facts(heard(words) if as_heard else words)) == expected
