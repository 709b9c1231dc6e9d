"""What the rules say of feet and manner, weighed against what the network hears."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from fieldlog.app.editing import change
from fieldlog.core.facts import Fact, FootBasis, Reporter
from fieldlog.core.feet import Foot
from fieldlog.language import weighing
from fieldlog.language.gist import Opinion, told_with, words_of

Facts = Callable[[str], list[Fact]]
TEXT = "Left front has thrush."
HEARD = {"feet:heard": 1.0, "uncertain:heard": 1.0, "historical:heard": 1.0, "reporter:heard": 1.0,
         "planned:heard": 1.0}  # fmt: skip
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
@pytest.mark.parametrize("chance", [0.6, 0.4])
def test_what_is_hardly_heard_leaves_the_rules_word(facts: Facts, chance: float) -> None:
    (fact,) = facts(TEXT)
    found = weighing.weighed([fact], told(TEXT, "thrush", **feet(LF=chance, RF=chance)))
    assert found == [fact]


@pytest.mark.usefixtures("only_heard")
def test_a_finding_keeps_a_foot_and_a_promise_need_not(facts: Facts) -> None:
    (fact,) = facts(TEXT)
    assert weighing.weighed([fact], told(TEXT, "thrush", **feet())) == [fact]


@pytest.mark.usefixtures("only_heard")
def test_of_two_with_one_code_nothing_is_weighed(facts: Facts) -> None:
    text = "Left front has thrush in the frog. Right front has a bit of thrush."
    both = facts(text)
    assert len(both) == 2
    assert weighing.weighed(both, told(text, "thrush", **feet(LH=0.97))) == both


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
