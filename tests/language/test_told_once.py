"""What rules and network tell side by side is told once, and no word of it is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.core.facts import (
    Comparison,
    Due,
    Fact,
    FactKind,
    FootBasis,
    Reporter,
    SpokenCorrection,
    Trend,
)
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.entries.told_once import (
    asked_if_done,
    no_more_told,
    on_no_one_side,
    told_once,
)

TEXT = "Crack in the right hind toe, no change. Lame on it, two out of five."


def finding(code: str, span: tuple[int, int], rule: str = "lexicon", **more: object) -> Fact:
    """A finding of the right hind over some characters."""
    feet = more.pop("feet", (Foot.RH,))
    return Fact(FactKind.FINDING, code, feet, span=span, rule=f"{rule}:{code}", **more)  # type: ignore[arg-type]


def test_the_closer_name_of_a_crack_takes_over_what_the_rules_know() -> None:
    plain = finding("crack", (0, 23), comparison=Comparison(Trend.SAME))
    closer = finding("toe_crack", (24, 38), rule="gist", quantity=Quantity(1.0, Unit.INCH))
    (one,) = told_once([plain, closer], TEXT)
    assert (one.code, one.span) == ("toe_crack", (0, 38))
    assert one.comparison == Comparison(Trend.SAME)
    assert one.quantity == Quantity(1.0, Unit.INCH)
    assert no_more_told([plain, closer], [one]) == []


def test_cracks_of_two_feet_or_of_two_places_are_two() -> None:
    plain = finding("crack", (0, 23))
    other = finding("toe_crack", (24, 38), rule="gist", feet=(Foot.LH,))
    assert told_once([plain, other], TEXT) == [plain, other]
    placed = finding("crack", (0, 23), places=("central_sulcus",))
    heel = finding("heel_crack", (24, 38), rule="gist")
    assert told_once([placed, heel], TEXT) == [placed, heel]


def test_a_lameness_beside_its_grade_is_offered_only() -> None:
    lame = finding("lameness", (40, 50))
    grade = Fact(
        FactKind.SCORE, "lameness", (Foot.RH,), quantity=Quantity(2.0, Unit.GRADE),
        span=(52, 67), rule="score:lameness",
    )  # fmt: skip
    assert told_once([lame, grade], TEXT) == [grade]
    assert no_more_told([lame, grade], [grade]) == [lame]


def test_a_lameness_of_another_foot_or_earlier_has_not_that_grade() -> None:
    grade = Fact(
        FactKind.SCORE, "lameness", (Foot.RH,), quantity=Quantity(2.0, Unit.GRADE),
        span=(52, 67), rule="score:lameness",
    )  # fmt: skip
    for other in (
        finding("lameness", (40, 50), feet=(Foot.LF,)),
        finding("lameness", (40, 50), historical=True),
        finding("lameness", (40, 50), negated=True),
    ):
        assert told_once([other, grade], TEXT) == [other, grade]


def test_what_is_only_heard_in_correcting_words_is_not_told() -> None:
    heard = finding("thrush", (24, 32), rule="gist", negated=True)
    said = finding("thrush", (0, 23))
    correction = SpokenCorrection((22, 38), "move_foot")
    assert told_once([said, heard], TEXT, [correction]) == [said]


def test_a_note_that_names_no_side_has_no_one_sided_feet() -> None:
    before = finding("laminitis", (9, 18), feet=())
    weighed = finding("laminitis", (9, 18), feet=(Foot.RF,), id=before.id,
                      foot_basis=FootBasis.HEARD)  # fmt: skip
    text = "Vet says laminitis."
    assert on_no_one_side([weighed], [before], text)[0].feet == ()
    assert on_no_one_side([weighed], [before], text + " Right one's hot.") == [weighed]


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("Went to shoe him all round but he was too sore.", True),
        ("was going to shoe him all round but he wouldn't stand", True),
        ("Shod him all round but he was sore.", False),
        ("Went to Hollow Farm. Shod him all round.", False),
    ],
)
def test_a_job_that_was_only_meant_is_asked_about(text: str, asked: bool) -> None:
    begin = text.lower().index("sho")
    job = Fact(FactKind.WORK, "shoe", (Foot.LF,), span=(begin, begin + 18), rule="lexicon:shoe")
    (told,) = asked_if_done([job], text)
    assert any(d.code == "competing_readings" for d in told.doubts) is asked


def test_a_finding_that_is_worse_than_on_its_own_foot_is_of_two_feet() -> None:
    worse = finding(
        "thin_sole", (0, 23), feet=(Foot.LF, Foot.RF),
        comparison=Comparison(Trend.WORSE, against=Foot.RF),
    )  # fmt: skip
    one, other = told_once([worse], TEXT)
    assert (one.feet, one.comparison) == ((Foot.LF,), worse.comparison)
    assert (other.feet, other.comparison) == ((Foot.RF,), None)


def promise(code: str, span: tuple[int, int], rule: str = "lexicon") -> Fact:
    """A promise in ten days."""
    due = Due(period="P10D")
    return Fact(FactKind.FOLLOW_UP, code, due=due, span=span, rule=f"{rule}:{code}")


def test_the_vets_next_look_is_no_recheck_beside_it() -> None:
    text = "She wants to see it again in ten days."
    recheck = replace(promise("recheck", (0, 37)), reporter=Reporter.VET)
    visit = promise("vet_visit", (13, 37), rule="gist")
    assert told_once([recheck, visit], text) == [visit]
    mine = promise("recheck", (0, 37))
    assert told_once([mine, visit], text) == [mine, visit]


def test_a_visit_that_is_named_by_its_job_was_not_done() -> None:
    text = "The full reset is six weeks from today."
    visit = promise("next_trim", (9, 38))
    job = Fact(FactKind.WORK, "reset", (Foot.LF,), span=(0, 14), rule="gist:reset")
    assert told_once([visit, job], text) == [visit]
    done = Fact(FactKind.WORK, "reset", (Foot.LF,), span=(0, 14), rule="lexicon:reset")
    assert told_once([visit, done], text) == [visit, done]


def test_a_note_that_names_no_feet_tells_of_none() -> None:
    before = finding("heat", (0, 7), feet=(), negated=True)
    weighed = finding("heat", (0, 7), feet=(Foot.LF, Foot.RF), negated=True, id=before.id)
    assert on_no_one_side([weighed], [before], "No heat.")[0].feet == ()
    in_front = on_no_one_side([weighed], [before], "No heat in the fronts.")
    assert in_front[0].feet == (Foot.LF, Foot.RF)


WEDGE = Fact(
    FactKind.WORK, "wedge", (Foot.LF, Foot.RF), quantity=Quantity(2.0, Unit.DEGREE), span=(20, 38),
    rule="lexicon:wedge",
)  # fmt: skip


def test_what_is_mentioned_again_is_told_once_by_the_fuller_fact() -> None:
    bare = replace(WEDGE, id="bare", quantity=None, span=(0, 12))
    one = replace(bare, feet=(Foot.LF,))
    assert told_once([bare, WEDGE], TEXT) == [WEDGE]
    assert told_once([WEDGE, one], TEXT) == [WEDGE]
    assert told_once([WEDGE, replace(WEDGE, id="same")], TEXT) == [WEDGE]
    assert no_more_told([bare, WEDGE], [WEDGE]) == [bare]


@pytest.mark.parametrize(
    "changes",
    [
        {"quantity": Quantity(3.0, Unit.DEGREE)},
        {"quantity": None, "planned": True},
        {"quantity": None, "historical": True},
        {"quantity": None, "reporter": Reporter.VET},
        {"quantity": None, "feet": (Foot.LH,)},
        {"quantity": None, "places": ("heel",)},
        {"quantity": None, "due": Due(period="P4W")},
    ],
)
def test_what_tells_something_of_its_own_stays(changes: dict[str, object]) -> None:
    other = replace(WEDGE, id="other", **changes)  # type: ignore[arg-type]
    assert told_once([WEDGE, other], TEXT) == [WEDGE, other]


def test_one_visit_is_promised_once_and_two_are_two() -> None:
    visit = promise("next_trim", (0, 10))
    bare = replace(promise("next_trim", (20, 30)), due=None)
    later = replace(promise("next_trim", (20, 30)), due=Due(period="P6W"))
    assert told_once([visit, bare], TEXT) == [visit]
    assert told_once([visit, later], TEXT) == [visit, later]
