"""What each correction does to a fact."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.app.choices import MOST, as_it_fits, choices
from fieldlog.app.editing import (
    CannotEdit,
    accept,
    change,
    join,
    move,
    reworded,
    split,
    toggle_negated,
    toggle_uncertain,
)
from fieldlog.app.retyping import with_value
from fieldlog.core.facts import Doubt, Fact, FactKind, FootBasis, Severity
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.units import Quantity, Unit
from tests.app.facts import finding, inferred_toe, recheck, toe


def test_accept_ends_every_doubt_and_keeps_the_value() -> None:
    doubtful = inferred_toe()
    done = accept(doubtful)
    assert not done.needs_look
    assert (done.id, done.quantity, done.span) == (doubtful.id, doubtful.quantity, doubtful.span)


def test_change_takes_the_fields_of_a_reading() -> None:
    doubtful = inferred_toe()
    done = change(doubtful, doubtful.readings[0].changes)
    assert done.quantity == Quantity(3.75, Unit.INCH)
    assert done.id == doubtful.id
    assert not done.needs_look
    assert done.span == doubtful.span


def test_change_can_remove_a_field_and_refuses_nonsense() -> None:
    mild = finding("flare", Foot.LF, severity=Severity.MILD)
    assert change(mild, {"severity": None}).severity is None
    with pytest.raises(ValueError, match="enormous"):
        change(mild, {"severity": "enormous"})


def test_move_ends_only_the_doubts_about_the_foot() -> None:
    asked = finding(
        "thrush",
        doubts=(Doubt("foot_unstated", "Which foot?"), Doubt("word_confidence", "Unsure word.")),
    )
    moved = move(asked, (Foot.RH,))
    assert moved.feet == (Foot.RH,)
    assert moved.foot_basis is FootBasis.CHOSEN
    assert [d.code for d in moved.doubts] == ["word_confidence"]
    assert move(moved, ()).foot_basis is FootBasis.WHOLE_HORSE


def test_not_and_maybe_go_both_ways() -> None:
    seen = finding("thrush", Foot.LH)
    assert toggle_negated(toggle_negated(seen)) == seen
    assert toggle_negated(seen).negated
    assert toggle_uncertain(seen).uncertain
    with pytest.raises(CannotEdit, match="Delete it"):
        toggle_negated(toe())


def test_split_by_foot_then_place_then_alternative() -> None:
    pair = finding("flare", *FRONTS, places=("medial_quarter",))
    left, right = split(pair)
    assert (left.feet, right.feet) == ((Foot.LF,), (Foot.RF,))
    assert left.id == pair.id != right.id
    one = finding("flare", Foot.LF, places=("medial_quarter", "toe"))
    assert [f.places for f in split(one)] == [("medial_quarter",), ("toe",)]
    either = finding("bruise", Foot.LF, details={"alternative": "abscess"})
    assert [f.code for f in split(either)] == ["bruise", "abscess"]
    assert all("alternative" not in f.details for f in split(either))
    with pytest.raises(CannotEdit, match="nothing to split"):
        split(finding("flare", Foot.LF))


def test_join_undoes_split() -> None:
    pair = finding("flare", *FRONTS)
    left, right = split(pair)
    joined = join(left, right)
    assert (joined.feet, joined.code, joined.id) == (pair.feet, pair.code, pair.id)


def test_join_keeps_the_words_and_sound_of_both() -> None:
    a = finding("flare", Foot.LF, span=(5, 9), sound=(1.0, 2.0))
    b = finding("flare", Foot.RF, span=(20, 29), sound=(3.0, 4.5))
    joined = join(a, b)
    assert (joined.span, joined.sound) == ((5, 29), (1.0, 4.5))


def test_join_refuses_different_things() -> None:
    with pytest.raises(CannotEdit, match="same sort"):
        join(finding("flare", Foot.LF), finding("thrush", Foot.LF))
    with pytest.raises(CannotEdit, match="different values"):
        join(toe(), toe(value=3.5))
    with pytest.raises(CannotEdit, match="cannot be joined"):
        join(finding("flare", Foot.LF), finding("flare", Foot.RF, negated=True))


def test_reworded_keeps_place_and_foot_unless_a_foot_was_typed() -> None:
    old = finding("thrush", Foot.LH, span=(3, 9), sound=(1.0, 2.0))
    typed = finding("flare", foot_basis=FootBasis.UNSTATED)
    new = reworded(old, typed)
    assert (new.code, new.feet, new.span, new.sound) == ("flare", (Foot.LH,), (3, 9), (1.0, 2.0))
    named = reworded(old, finding("flare", Foot.RF))
    assert named.feet == (Foot.RF,)
    assert named.rule == "by_hand"


def test_choices_begin_with_the_readings() -> None:
    offered = choices(inferred_toe())
    assert [c.label for c in offered[:2]] == ["3 3/4 in", "heel length 3 1/4 in"]
    assert len(offered) <= MOST
    assert len({c.label for c in offered}) == len(offered)


def test_an_inferred_unit_offers_the_other_units_that_fit() -> None:
    heel = replace(inferred_toe(), code="heel_length", readings=())
    labels = [c.label for c in choices(heel)]
    assert labels[0] == "3.25 cm"
    assert "3.25 mm" not in labels
    assert change(heel, choices(heel)[0].changes).quantity == Quantity(3.25, Unit.CM)


def test_the_other_units_are_offered_where_one_was_said_too() -> None:
    said = replace(inferred_toe(), quantity=Quantity(8.5, Unit.CM), readings=())
    assert "3.5 in" not in [c.label for c in choices(said)]
    small = replace(said, quantity=Quantity(3.5, Unit.CM))
    assert "3 1/2 in" in [c.label for c in choices(small)]


def test_a_number_without_a_unit_takes_one_that_fits() -> None:
    assert as_it_fits("toe_length", Quantity(84, Unit.CM)) == Quantity(84, Unit.MM)
    assert as_it_fits("toe_length", Quantity(3.5, Unit.INCH)) == Quantity(3.5, Unit.INCH)
    assert as_it_fits("toe_length", Quantity(350, Unit.CM)) is None
    assert as_it_fits("flare", Quantity(350, Unit.CM)) == Quantity(350, Unit.CM)


def test_inside_is_offered_for_outside() -> None:
    flare = finding("flare", Foot.LF, places=("lateral_quarter",))
    first = choices(flare)[0]
    assert first.label == "inside quarter"
    assert change(flare, first.changes).places == ("medial_quarter",)


@pytest.mark.parametrize(("code", "graded"), [("thrush", True), ("normal", False)])
def test_how_bad_is_asked_only_of_what_can_be_bad(code: str, graded: bool) -> None:
    offered = {c.label for c in choices(finding(code, Foot.LH))}
    assert offered.issuperset({"mild", "moderate", "severe"}) is graded
    assert offered.isdisjoint({"mild", "moderate", "severe"}) is not graded


def test_every_choice_can_be_applied() -> None:
    for fact in (inferred_toe(), toe(), finding("thrush", Foot.LH), recheck()):
        for choice in choices(fact):
            assert change(fact, choice.changes).id == fact.id


@pytest.mark.parametrize(
    ("code", "value", "scale", "others"),
    [
        ("lameness", 4, "aaep_0_5", ["4 of 10 (UK)"]),
        ("lameness", 7, "uk_0_10", []),
        ("condition", 3.5, "henneke_1_9", ["3 1/2 of 5 (UK condition score)"]),
        ("condition", 0.5, "bcs_0_5", []),
        ("obel", 2, "obel_1_4", []),
    ],
)
def test_the_other_scales_are_offered_where_the_value_fits(
    code: str, value: float, scale: str, others: list[str]
) -> None:
    details = {"scale": scale, "gait": "at the trot"}
    quantity = Quantity(value, Unit.GRADE)
    fact = Fact(FactKind.SCORE, code, quantity=quantity, details=details)
    offered = [c for c in choices(fact) if "details" in c.changes]
    assert [c.label.replace("3.5", "3 1/2") for c in offered] == others
    for choice in offered:
        changed = change(
            fact.with_doubt("scale_assumed", "The scale was not named."), choice.changes
        )
        assert changed.quantity == quantity
        assert changed.details["scale"] != scale
        assert changed.details["gait"] == "at the trot"
        assert not changed.needs_look


@pytest.mark.parametrize(
    ("kind", "code", "text", "shown"),
    [
        (FactKind.FINDING, "crack", "20 mm", "20 mm"),
        (FactKind.WORK, "set_back", "1/8 in", "1/8 in"),
        (FactKind.FINDING, "thrush", "53 degrees", ""),
        (FactKind.FINDING, "thrush", "500 kg", ""),
        (FactKind.FOLLOW_UP, "recheck", "6 weeks", ""),
        (FactKind.HANDLING, "stood_well", "80 mm", ""),
    ],
)
def test_a_typed_value_is_taken_only_where_it_can_be_the_size(
    kind: FactKind, code: str, text: str, shown: str
) -> None:
    """“6 weeks” over a promise left its day as it was and gave it a value of six weeks."""
    valued = with_value(Fact(kind, code, (Foot.LF,), FootBasis.SAID), text)
    assert (valued.quantity.shown() if valued and valued.quantity else "") == shown
