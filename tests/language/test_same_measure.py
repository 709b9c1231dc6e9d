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


@pytest.mark.parametrize("as_heard", [False, True])
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (
            "White line stretched on the left front six mil and on the right four.",
            {("LF", 6), ("RF", 4)},
        ),
        ("White line stretched at the toe, left front six mil.", {("LF", 6)}),
    ],
)
def test_four_behind_a_side_is_a_number_where_its_mate_has_one(
    facts: Callable[[str], list[Fact]],
    words: str,
    expected: set[tuple[str, float]],
    as_heard: bool,
) -> None:
    found = facts(heard(words) if as_heard else words)
    sizes = {(x.value, f.quantity.value) for f in found if f.quantity for x in f.feet}
    assert sizes == expected


def test_right_four_without_such_a_number_is_the_right_fore(
    facts: Callable[[str], list[Fact]],
) -> None:
    (corn,) = [f for f in facts("corn in the right four") if f.code == "corn"]
    assert [x.value for x in corn.feet] == ["RF"]
