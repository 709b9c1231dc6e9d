"""Values worked out from what was said, red flags, and the small charts."""

from __future__ import annotations

from datetime import date

from fieldlog.app.charts import LEGEND, Point, plot, trend_words
from fieldlog.app.grouping import Part
from fieldlog.app.horse_text import growth_words, score_lines
from fieldlog.app.worked_out import flag_sentences, length_words, worked_out
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.types import SavedFact
from tests.app.barn import measured, seen


def angles(toe: float, heel: float) -> list[Fact]:
    return [
        measured("toe_angle", toe, Unit.DEGREE, Foot.LF),
        measured("heel_angle", heel, Unit.DEGREE, Foot.LF),
    ]


def test_underrun_examples() -> None:
    """Turner's 5 degrees (equipodiatry.com/hoofbal): 52/46 flag, 52/47 boundary, 52/48 none."""
    flag, boundary, none = (worked_out(angles(52, heel))[Part.LF] for heel in (46, 47, 48))
    assert flag == ("heel 6° under toe: underrun, over 5°",)
    assert boundary == ("heel 5° under toe: at the limit, no verdict",)
    assert none == ("heel 4° under toe",)


def test_left_against_right() -> None:
    facts = [
        measured("toe_length", 3.5, Unit.INCH, Foot.LF),
        measured("toe_length", 3.25, Unit.INCH, Foot.RF),
        measured("toe_angle", 50, Unit.DEGREE, Foot.LH),
        measured("toe_angle", 52, Unit.DEGREE, Foot.RH),
    ]
    shown = worked_out(facts)
    assert shown[Part.FRONTS] == ("toe length: left 1/4 in longer",)
    assert shown[Part.HINDS] == ("toe angle: left 2° less",)
    assert worked_out(facts, inches=False)[Part.FRONTS] == ("toe length: left 6.3 mm longer",)


def test_frog_ratio_is_a_number_without_a_verdict() -> None:
    """1 7/8 over 3 1/4 in is 57.7 %: published limits contradict each other, so none is given."""
    facts = [
        measured("frog_width", 1.875, Unit.INCH, Foot.LF),
        measured("frog_length", 3.25, Unit.INCH, Foot.LF),
    ]
    assert worked_out(facts)[Part.LF] == ("frog width 58% of its length",)


def test_growing_out_states_its_assumption() -> None:
    """6 to 10 mm a month (horsesport.com): half an inch, 12.7 mm, takes 1.3 to 2.1 months."""
    (line,) = worked_out([measured("remaining", 0.5, Unit.INCH, Foot.LF)])[Part.LF]
    assert line == "grown out in 1.3 to 2.1 months, at 6 to 10 mm a month"


def test_ranges_denials_and_history_are_not_computed_with() -> None:
    from dataclasses import replace

    toe, heel = angles(52, 40)
    for other in (
        replace(heel, historical=True),
        replace(heel, negated=True),
        replace(heel, quantity=Quantity(38, Unit.DEGREE, high=40)),
    ):
        assert worked_out([toe, other]) == {}


def test_the_value_after_the_work_counts() -> None:
    from dataclasses import replace

    before = replace(measured("toe_length", 4, Unit.INCH, Foot.LF), details={"moment": "before"})
    after = replace(measured("toe_length", 3.5, Unit.INCH, Foot.LF), details={"moment": "after"})
    right = measured("toe_length", 3.5, Unit.INCH, Foot.RF)
    for order in ([before, after, right], [after, before, right]):
        assert worked_out(order)[Part.FRONTS] == ("toe length: left and right alike",)


def test_a_nail_in_the_foot_calls_a_veterinarian_unless_denied() -> None:
    """Morton, University of Florida 2012: a penetrating object is a true emergency."""
    nail = seen("penetrating_object", Foot.RH)
    call, defer = flag_sentences([nail])
    assert call.startswith("Call a veterinarian now")
    assert "Local law" in defer
    from dataclasses import replace

    assert flag_sentences([replace(nail, negated=True)]) == ()
    assert flag_sentences([seen("flare", Foot.LF)]) == ()


def points(*rows: tuple[int, float, Foot, bool]) -> list[Point]:
    return [Point(date(2026, month, 1), value, foot, before) for month, value, foot, before in rows]


def test_plot_puts_high_up_and_late_right() -> None:
    rows = plot(
        points((1, 80, Foot.LF, False), (6, 90, Foot.LF, False), (6, 80, Foot.RF, True)), 50, 6
    )
    assert {len(row) for row in rows} <= {50, 51}
    assert rows[0].rstrip().endswith("L")
    assert rows[0].startswith(" 90 ┤")
    assert rows[5].rstrip().endswith("r")
    assert rows[5].split("┤")[1][0] == "L"
    assert "2026-01-01" in rows[-1]
    assert rows[-1].rstrip().endswith("2026-06-01")


def test_plot_marks_two_at_one_place_and_bears_one_or_none() -> None:
    same = plot(points((1, 80, Foot.LF, False), (1, 80, Foot.RF, False)), 40)
    assert sum("B" in row for row in same) == 1
    assert [row for row in same if "80" in row]
    assert plot([], 40) == []


def test_before_and_after_the_work_are_told_apart_where_left_and_right_agree() -> None:
    before = [(1, 90, foot, True) for foot in (Foot.LF, Foot.RF)]
    after = [(1, 80, foot, False) for foot in (Foot.LF, Foot.RF)]
    rows = plot(points(*before, *after), 40, 6)
    assert rows[0].split("┤")[1].strip() == "b"
    assert rows[5].split("┤")[1].strip() == "B"
    unchanged = plot(points((1, 80, Foot.LF, True), (1, 80, Foot.LF, False)), 40)
    assert sum("*" in row for row in unchanged) == 1
    assert all(f"{sign} " in LEGEND for sign in ("L", "R", "B", "*"))
    assert "small letter: before" in LEGEND
    assert len(LEGEND) <= 78


def test_the_chart_is_told_in_words_too() -> None:
    told = trend_words(
        points((1, 88.9, Foot.LF, False), (3, 82.55, Foot.LF, False)),
        lambda v: length_words(v, True),
    )
    assert told == ["left front: first 3 1/2 in, last 3 1/4 in (2 values)"]


def test_growth_needs_after_then_before_and_gives_its_interval() -> None:
    """13 mm in 6 weeks is 2.17 mm a week (worked example in the growth literature)."""
    rows = [
        Point(date(2026, 1, 5), 82.0, Foot.LF, before=False),
        Point(date(2026, 2, 16), 95.0, Foot.LF, before=True),
    ]
    (told,) = growth_words(rows)
    assert "grew 2.2 mm a week (1.8 to 2.5" in told
    assert growth_words(rows[:1]) == []


def test_scores_are_listed_by_scale_and_never_mixed() -> None:
    def score(month: int, value: float, scale: str) -> SavedFact:
        fact = Fact(
            FactKind.SCORE,
            "condition",
            quantity=Quantity(value, Unit.GRADE),
            details={"scale": scale},
        )
        return SavedFact(fact, "e", "h", date(2026, month, 1))

    lines = score_lines(
        [score(3, 6.5, "henneke_1_9"), score(1, 6, "henneke_1_9"), score(2, 3, "bcs_0_5")]
    )
    assert lines == [
        "body condition score of 5 (UK condition score): 2026-02-01 3",
        "body condition score of 9 (Henneke): 2026-01-01 6   2026-03-01 6.5",
    ]
