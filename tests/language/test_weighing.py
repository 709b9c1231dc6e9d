"""What the rules say of feet and manner, weighed against what the network hears."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from fieldlog.app.editing import change
from fieldlog.core.facts import Comparison, Fact, FootBasis, Reporter, Severity, Trend
from fieldlog.core.feet import Foot
from fieldlog.language.numbers.shorthand import trade_numbers
from fieldlog.language.opinion import weighing
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.labels import told_with
from fieldlog.language.opinion.numbers_heard import spans_of
from fieldlog.language.opinion.weighed_manner import GROUPS

Facts = Callable[[str], list[Fact]]
TEXT = "Left front has thrush."
HEARD = {f"{group}:heard": 1.0 for group in ("feet", *GROUPS)}
"""Weights by which only the network counts."""


def told(text: str, code: str, **manners: float) -> Opinion:
    """An opinion that hears the code in the last word, and each manner with a chance."""
    words = tuple(words_of(text))
    names = {f"@{name}": at for at, name in enumerate(manners)}
    manner = np.tile(np.array(list(manners.values())), (len(words), 1))
    not_said = np.zeros((len(words), 1))
    not_said[[at for at, (word, _, _) in enumerate(words) if word != "."][-1]] = -3.0
    return Opinion(words, not_said, {code: 0}, manner, names)


def feet(**chances: float) -> dict[str, float]:
    return {"LF": 0.02, "RF": 0.02, "LH": 0.02, "RH": 0.02, **chances}


@pytest.fixture
def only_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weighing, "read_data", lambda _: {"weight": HEARD})


def test_how_a_fact_is_told_in_the_networks_names() -> None:
    fact = {"feet": ["LF"], "places": ["medial_quarter", "toe", "lateral_wall"], "uncertain": True,
            "severity": "mild", "reporter": "owner", "comparison": {"trend": "better"}}  # fmt: skip
    assert told_with(fact) == ["@LF", "@medial", "@at_quarter", "@at_toe", "@lateral",
                               "@uncertain", "@mild", "@owner", "@better"]  # fmt: skip


@pytest.mark.usefixtures("only_heard")
def test_another_foot_is_taken_marked_and_one_key_from_the_rules(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    (new,) = weighing.weighed([fact], told(TEXT, "thrush", **feet(LF=0.97, RF=0.97)))
    assert (new.feet, new.foot_basis) == ((Foot.LF, Foot.RF), FootBasis.HEARD)
    assert [d.code for d in new.doubts] == ["second_opinion"]
    assert new.readings[0].label == "left front"
    back = change(new, new.readings[0].changes)
    assert (back.feet, back.foot_basis) == (fact.feet, fact.foot_basis)


@pytest.mark.usefixtures("only_heard")
@pytest.mark.parametrize("chance", [0.53, 0.4])
def test_what_is_hardly_heard_leaves_the_rules_word(facts: Facts, chance: float) -> None:
    (fact,) = facts(TEXT)
    found = weighing.weighed([fact], told(TEXT, "thrush", **feet(LF=chance, RF=chance)))
    assert found == [fact]


@pytest.mark.usefixtures("only_heard")
def test_a_finding_keeps_a_foot_and_a_promise_need_not(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    assert weighing.weighed([fact], told(TEXT, "thrush", **feet())) == [fact]


@pytest.mark.usefixtures("only_heard")
def test_a_number_is_of_the_foot_that_is_heard_at_its_own_words(facts: Facts) -> None:
    text = "Toe angles, fifty-one left front and fifty-three right front."
    both = facts(text)
    at = spans_of(both, trade_numbers(text))
    words = tuple(words_of(text.replace("-", " ")))
    manner = np.full((len(words), 4), 0.02)
    not_said = np.zeros((len(words), 1))
    for number, word in enumerate(words):
        if word[0] in ("fifty", "one", "three"):
            not_said[number] = -3.0
            manner[number, 2 if word[1] < text.index("and") else 3] = 0.97
    names = {f"@{foot}": n for n, foot in enumerate(("LF", "RF", "LH", "RH"))}
    heard = Opinion(words, not_said, {"toe_angle": 0}, manner, names)
    assert [f.feet for f in both] == [(Foot.LF,), (Foot.RF,)]
    assert [f.feet for f in weighing.weighed(both, heard, (), at)] == [(Foot.LH,), (Foot.RH,)]


@pytest.mark.usefixtures("only_heard")
@pytest.mark.parametrize(
    ("text", "feet_told"),
    [
        ("Right hind thrush all four trimmed.", "RH"),
        ("Right hind mild thrush in the sulcus. All four trimmed.", "RH"),
        ("Thrush right hind. All four trimmed.", "RH"),  # a clause by itself
        ("Trimmed. Thrush in the right hind. All four done.", "RH"),
        ("Thrush, right hind and the rest.", "LF RF LH RH"),  # neither
    ],
)
def test_a_finding_led_by_its_foot_does_not_take_all_four_of_the_job_behind_it(
    facts: Facts, text: str, feet_told: str
) -> None:
    thrush = next(f for f in facts(text) if f.code == "thrush")
    thrush = replace(thrush, feet=(Foot.RH,), foot_basis=FootBasis.SAID)
    heard = told(text, "thrush", **dict.fromkeys(("LF", "RF", "LH", "RH"), 0.93))
    (new,) = weighing.weighed([thrush], heard)
    assert [foot.value for foot in new.feet] == feet_told.split()


@pytest.mark.usefixtures("only_heard")
@pytest.mark.parametrize(("fronts", "becomes"), [(0.75, "LH RH"), (0.9, "LF RF LH RH")])
def test_a_pair_becomes_all_four_only_where_that_is_plainly_heard(
    facts: Facts, fronts: float, becomes: str
) -> None:
    text = "Thrush in both hinds."
    (fact,) = facts(text)
    heard = told(text, "thrush", **feet(LF=fronts, RF=fronts, LH=0.97, RH=0.97))
    (new,) = weighing.weighed([fact], heard)
    assert [foot.value for foot in new.feet] == becomes.split()


@pytest.mark.usefixtures("only_heard")
def test_where_the_rules_are_silent_a_place_is_told_without_a_doubt(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    heard = told(TEXT, "thrush", **feet(LF=0.97), at_toe=0.9, mild=0.9, better=0.9)
    (new,) = weighing.weighed([fact], heard)
    assert (new.places, new.severity) == (("toe",), Severity.MILD)
    assert new.comparison == Comparison(Trend.BETTER)
    assert not new.needs_look
    assert new.readings[0].label == "no severity, no comparison, no place"
    back = change(new, new.readings[0].changes)
    assert (back.places, back.severity, back.comparison) == ((), None, None)


@pytest.mark.usefixtures("only_heard")
def test_no_side_is_told_where_nobody_can_have_said_one(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    sides = {**feet(LF=0.97), "at_quarter": 0.9, "medial": 0.8}
    (new,) = weighing.weighed([fact], told(TEXT, "thrush", **sides))
    assert new.places == ("quarter",)
    (new,) = weighing.weighed([fact], told(f"{TEXT} Inside", "thrush", **sides))
    assert new.places == ("medial_quarter",)


@pytest.mark.usefixtures("only_heard")
def test_a_place_that_was_said_stays_unless_little_speaks_for_it(facts: Facts) -> None:
    (fact,) = facts("Left front has thrush in the frog.")
    assert fact.places == ("frog",)
    (kept,) = weighing.weighed(
        [fact], told("Left front has thrush in the frog.", "thrush", **feet(LF=0.97), at_frog=0.4)
    )
    assert kept == fact
    (new,) = weighing.weighed(
        [fact], told("Left front has thrush in the frog.", "thrush", **feet(LF=0.97), at_frog=0.05)
    )
    assert new.places == ()
    assert new.needs_look
    assert change(new, new.readings[0].changes).places == ("frog",)


@pytest.mark.usefixtures("only_heard")
def test_an_hour_on_the_hoof_stays(facts: Facts) -> None:
    text = "Left front has thrush at seven o'clock."
    (fact,) = facts(text)
    assert fact.places == ("clock_7",)
    heard = told(text, "thrush", **feet(LF=0.97), at_toe=0.97)
    assert weighing.weighed([fact], heard) == [fact]


@pytest.mark.usefixtures("only_heard")
def test_a_call_that_hangs_on_two_facts_stays(facts: Facts) -> None:
    text = "Left front is hot. Left front has a digital pulse."
    both = facts(text)
    heard = told(text, "digital_pulse", **feet(LF=0.97), historical=0.97)
    assert weighing.weighed(both, heard) == both


@pytest.mark.usefixtures("only_heard")
def test_what_is_there_is_not_gone_and_a_comparison_of_feet_stays(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    heard = told(TEXT, "thrush", **feet(LF=0.97), gone=0.97, better=0.02)
    assert weighing.weighed([fact], heard) == [fact]
    versus = replace(fact, comparison=Comparison(Trend.WORSE, "RF"))
    assert weighing.weighed([versus], heard) == [versus]


@pytest.mark.usefixtures("only_heard")
def test_doubt_and_reporter(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    heard = told(TEXT, "thrush", **feet(LF=0.97), uncertain=0.97, owner=0.97, vet=0.02)
    (new,) = weighing.weighed([fact], heard)
    assert (new.uncertain, new.reporter) == (True, Reporter.OWNER)
    assert new.readings[0].label == "not doubtful, your own word"
    back = change(new, new.readings[0].changes)
    assert (back.uncertain, back.reporter) == (False, Reporter.FARRIER)


@pytest.mark.usefixtures("only_heard")
def test_who_is_named_as_saying_so_says_so(facts: Facts) -> None:
    text = "Owner says the left front has thrush."
    (fact,) = facts(text)
    assert fact.reporter is Reporter.OWNER
    heard = told(text, "thrush", **feet(LF=0.97), owner=0.02, vet=0.97)
    assert weighing.weighed([fact], heard) == [fact]


@pytest.mark.usefixtures("only_heard")
def test_a_disease_stays_a_suspicion_and_a_call_for_a_veterinarian_stays(facts: Facts) -> None:
    text = "I think he's foundered on the left front."
    (fact,) = facts(text)
    heard = told(text, fact.code, **feet(LF=0.97), uncertain=0.02, historical=0.97)
    assert weighing.weighed([fact], heard) == [fact]
    text = "There's a nail in the left front."
    (fact,) = facts(text)
    heard = told(text, fact.code, **feet(LF=0.97), historical=0.97)
    assert weighing.weighed([fact], heard) == [fact]


def test_without_weights_the_rules_stand(facts: Facts, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weighing, "read_data", lambda _: {})
    (fact,) = facts(TEXT)
    assert weighing.weighed([fact], told(TEXT, "thrush", **feet(RH=0.99))) == [fact]
