"""Feet and times that the network hears of what the rules tell of others only."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fieldlog.core.facts import Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.opinion.feet_heard import said_once, with_feet
from fieldlog.language.opinion.gist_facts import reheard
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.times_heard import with_times
from fieldlog.language.times.dates import find_times
from tests.language.hearing import hears

CRACKED = "Grass crack, near fore, toe. Off fore, one."
WHOLE = (0, len(CRACKED))


def crack(*feet: Foot, **more: Any) -> Fact:
    more = {"rule": "lexicon:grass_crack", "span": (0, 11), "places": ("toe",), **more}
    code = more.pop("code", "grass_crack")
    return Fact(FactKind.FINDING, code, feet, FootBasis.SAID, id="1", **more)


def heard_of(**feet: float) -> Opinion:
    return hears(CRACKED, ("grass_crack", "one", {"LF": 0.1, **feet}))


def test_a_foot_that_is_surely_heard_too_becomes_a_marked_candidate() -> None:
    told, new = with_feet([crack(Foot.LF)], heard_of(RF=0.99, LH=0.2), WHOLE)
    assert told == crack(Foot.LF)
    assert (new.code, new.feet, new.places) == ("grass_crack", (Foot.RF,), ("toe",))
    assert [d.code for d in new.doubts] == ["model_candidate"]
    assert CRACKED[slice(*new.span)] == "one"


def test_feet_heard_at_the_same_words_are_one_candidate() -> None:
    _, new = with_feet([crack(Foot.LF)], heard_of(RF=0.99, RH=0.99), WHOLE)
    assert new.feet == (Foot.RF, Foot.RH)


def test_the_feet_of_a_job_behind_a_finding_that_its_foot_leads_are_not_proposed() -> None:
    text = "Right hind thrush all four trimmed."
    heard = hears(text, ("thrush", "thrush", dict.fromkeys(("LF", "RF", "LH", "RH"), 0.93)))
    thrush = Fact(
        FactKind.FINDING, "thrush", (Foot.RH,), FootBasis.SAID, id="1", rule="lexicon:thrush",
        span=(0, 17), why_foot="“right hind” was said here.",
    )  # fmt: skip
    assert with_feet([thrush], heard, (0, len(text))) == [thrush]
    carried = replace(thrush, foot_basis=FootBasis.CARRIED)
    assert len(with_feet([carried], heard, (0, len(text)))) == 2


@pytest.mark.parametrize(
    ("told", "chance"),
    [
        (crack(Foot.LF), 0.8),  # not surely
        (crack(Foot.LF, Foot.RF), 0.99),  # told already
        (crack(), 0.99),  # no foot is known at all
        (crack(Foot.LF, rule="personal:grass_crack"), 0.99),  # as the farrier taught it
    ],
)
def test_no_foot_is_proposed(told: Fact, chance: float) -> None:
    assert with_feet([told], heard_of(RF=chance), WHOLE) == [told]


def test_a_foot_on_which_it_is_denied_is_not_proposed() -> None:
    facts = [crack(Foot.LF), crack(Foot.RF, negated=True)]
    assert with_feet(facts, heard_of(RF=0.99), WHOLE) == facts


def test_where_something_is_taken_back_only_the_rules_know_the_foot() -> None:
    corrections = [SpokenCorrection((0, 5), "replace_word")]
    told = [crack(Foot.LF)]
    assert with_feet(told, heard_of(RF=0.99), WHOLE, corrections) == told


def test_the_words_of_another_horse_say_nothing() -> None:
    assert with_feet([crack(Foot.LF)], heard_of(RF=0.99), (0, 20)) == [crack(Foot.LF)]


def timed(text: str, made: list[Fact], opinion: Opinion) -> list[Fact]:
    times = [((t.start, t.end), t.due) for t in find_times(text, date(2026, 11, 25))]
    return with_times(made, opinion, times)


def test_a_time_alone_becomes_a_marked_promise() -> None:
    text = "No heat in any foot. Three weeks again."
    (new,) = timed(text, [], hears(text, ("next_trim", "weeks", {"LF": 0.1})))
    assert (new.kind, new.code, new.feet) == (FactKind.FOLLOW_UP, "next_trim", ())
    assert new.due is not None
    assert new.due.period == "P3W"
    assert [d.code for d in new.doubts] == ["model_candidate"]


def test_work_for_tomorrow_is_a_plan_for_the_feet_that_are_heard() -> None:
    text = "That will do. Hinds tomorrow."
    told = {"LH": 0.9, "RH": 0.9, "LF": 0.1, "planned": 0.9}
    (new,) = timed(text, [], hears(text, ("trim", "tomorrow", told)))
    assert (new.kind, new.code, new.feet) == (FactKind.WORK, "trim", (Foot.LH, Foot.RH))
    assert new.planned
    assert new.due is not None
    assert new.due.on == date(2026, 11, 26)


def test_work_that_was_done_gets_no_time() -> None:
    text = "Last shod four weeks ago I think, no, back in four weeks."
    assert timed(text, [], hears(text, ("shoe", "weeks", {"planned": 0.1}))) == []


def test_a_promise_without_a_time_gets_the_one_that_is_heard_of_it() -> None:
    text = "Vet, I said. Today."
    vet = Fact(FactKind.FOLLOW_UP, "vet_visit", span=(0, 3), rule="lexicon:vet_visit")
    (told,) = timed(text, [vet], hears(text, ("vet_visit", "today", {"LF": 0.1})))
    assert told.due is not None
    assert told.due.on == date(2026, 11, 25)
    assert [d.code for d in told.doubts] == ["second_opinion"]


@pytest.mark.parametrize("code", ["vet_visit", "next_trim"])
def test_a_time_that_a_rule_gave_to_something_stays_there(code: str) -> None:
    text = "Vet today."
    (time,) = find_times(text, date(2026, 11, 25))
    vet = Fact(FactKind.FOLLOW_UP, "vet_visit", span=(0, 3), rule="lexicon:vet", due=time.due)
    assert timed(text, [vet], hears(text, (code, "today", {"LF": 0.1}))) == [vet]


def again(*feet: Foot, **more: Any) -> Fact:
    return replace(crack(*feet, rule="gist:grass_crack"), **{"id": "2", "places": (), **more})


@pytest.mark.parametrize(
    "repeated",
    [again(Foot.LF), again(Foot.RF), again(Foot.LF, places=("toe",)), again()],
)
def test_a_candidate_that_only_says_it_again_is_offered_not_told(repeated: Fact) -> None:
    told = crack(Foot.LF, Foot.RF)
    assert said_once([repeated, told]) == ([told], [repeated])


@pytest.mark.parametrize(
    "new",
    [
        again(Foot.LH),
        again(Foot.LF, places=("heel",)),
        again(Foot.LF, historical=True),
        again(Foot.LF, negated=True),
        again(Foot.LF, quantity=Quantity(0.5, Unit.INCH)),
        again(Foot.LF, code="quarter_crack"),
        again(Foot.LF, rule="lexicon:grass_crack"),
    ],
)
def test_a_candidate_that_tells_more_stays(new: Fact) -> None:
    told = crack(Foot.LF, Foot.RF)
    assert said_once([told, new]) == ([told, new], [])


def test_of_two_candidates_that_say_the_same_one_stays() -> None:
    one, other = again(Foot.LF), again(Foot.LF, id="3")
    assert said_once([one, other]) == ([one], [other])


@pytest.mark.parametrize(("code", "becomes"), [("change", "change"), ("corn", "bruise")])
def test_the_same_is_not_retold_by_hearing(code: str, becomes: str) -> None:
    text = "Right fore the same as it was on the last visit. Packed it."
    told = crack(Foot.RF, code=code, rule=f"lexicon:{code}", span=(11, 19))
    opinion = hears(text, ("bruise", "same", {"RF": 0.9}), (code, "packed", {"RF": 0.1}))
    (fact,) = reheard([told], opinion)
    assert fact.code == becomes
