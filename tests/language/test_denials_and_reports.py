"""Denials, reports, history, comparisons and corrections in words of our own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact, Reporter, Trend
from tests.gold.annotation import as_heard

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("said", "denied", "found"),
    [
        ("Left front, thrush: none.", {"thrush"}, set()),
        ("Near fore, heat and pulse absent.", {"heat", "digital_pulse"}, set()),
        ("Both hinds free from thrush and cracks.", {"thrush", "crack"}, set()),
        ("Not a bit of heat in the off fore.", {"heat"}, set()),
        ("Zero heat, zero pulse, both fronts.", {"heat", "digital_pulse"}, set()),
        ("I wouldn't call it thrush, left hind.", {"thrush"}, set()),
        ("Thrush not present in the left hind.", {"thrush"}, set()),
        ("No thrush left hind though it's got a crack.", {"thrush"}, {"crack"}),
        ("Not sure it isn't an abscess, right front.", set(), {"abscess"}),
        ("No need to worry about the flare on the left front.", set(), {"flare"}),
    ],
)
def test_what_is_denied(said: str, denied: set[str], found: set[str], facts: Facts) -> None:
    for text in (said, as_heard(said)):
        told = [f for f in facts(text) if f.kind.value == "finding"]
        assert {f.code for f in told if f.negated} == denied, text
        assert {f.code for f in told if not f.negated} == found, text


def test_an_answer_belongs_to_its_question(facts: Facts) -> None:
    assert [(f.code, f.negated) for f in facts("Left hind. Cracks? None. Thrush, no.")] == [
        ("crack", True),
        ("thrush", True),
    ]


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Mrs Ames reckons he's been short on the left front.", Reporter.OWNER),
        ("Jenny rang to say he'd lost a shoe, left front.", Reporter.OWNER),
        ("The girls at the yard noticed heat in the left front.", Reporter.OWNER),
        ("Left front has been warm according to Mrs Pike.", Reporter.OWNER),
        ("Owner hasn't noticed any lameness.", Reporter.OWNER),
        ("Vet was out Tuesday and found thrush in both hinds.", Reporter.VET),
        ("Doctor Hale says sidebone in the left front.", Reporter.VET),
        ("They had him x-rayed and it showed navicular in both fronts.", Reporter.VET),
        ("Vet ruled out navicular in the left front.", Reporter.VET),
        ("Told Mrs Green he has thrush in both hinds.", Reporter.FARRIER),
        ("I noticed a crack in the left hind.", Reporter.FARRIER),
        ("He stood on a nail with the near hind, the vet saw to it.", Reporter.FARRIER),
    ],
)
def test_who_says_so(said: str, who: Reporter, facts: Facts) -> None:
    for text in (said, as_heard(said)):
        found = [f for f in facts(text) if f.kind.value == "finding"]
        assert [f.reporter for f in found] == [who], text


def test_the_farrier_may_contradict_a_report(facts: Facts) -> None:
    told, own = facts("Owner thinks there's heat in the left front but I found none.")
    assert (told.reporter, told.negated) == (Reporter.OWNER, False)
    assert (own.reporter, own.negated, own.feet) == (Reporter.FARRIER, True, told.feet)


def test_values_of_one_set_of_films_are_all_the_vets(facts: Facts) -> None:
    found = facts(
        "Vet says rotation in the right front. Sole depth eight millimetres on the right."
    )
    assert {f.reporter for f in found} == {Reporter.VET}


@pytest.mark.parametrize(
    ("said", "code", "trend"),
    [
        ("Thrush much improved since last visit, both hinds.", "thrush", Trend.BETTER),
        ("No change in the quarter crack, left front.", "quarter_crack", Trend.SAME),
        ("Same flare as last time on the left front.", "flare", Trend.SAME),
        ("Crack's opening up on the right hind.", "crack", Trend.LARGER),
        ("More thrush than last time in the left hind.", "thrush", Trend.WORSE),
        ("Flare on the left front has come down a bit.", "flare", Trend.SMALLER),
        ("Left front bruise from last time has grown out.", "bruise", Trend.GONE),
        ("Crack in the left hind that wasn't there last time.", "crack", Trend.NEW),
    ],
)
def test_a_trend_goes_with_its_finding(said: str, code: str, trend: Trend, facts: Facts) -> None:
    for text in (said, as_heard(said)):
        (fact,) = facts(text)
        assert fact.code == code, text
        assert fact.comparison is not None, text
        assert fact.comparison.trend is trend, text


def test_what_was_and_what_is_now(facts: Facts) -> None:
    then, now = facts("Pulse was up last time in the left front, normal today.")
    assert (then.code, then.historical, then.negated) == ("digital_pulse", True, False)
    assert (now.code, now.historical, now.negated) == ("digital_pulse", False, True)


def test_of_two_things_joined_by_or_neither_is_sure(facts: Facts) -> None:
    found = facts("Bruise or an abscess in the right hind.")
    assert [f.uncertain for f in found] == [True, True]


@pytest.mark.parametrize(
    ("said", "want"),
    [
        ("left hind no sorry right hind thrush", [("thrush", "RH")]),
        ("near fore crack oops off fore", [("crack", "RF")]),
        ("left front has a corn no I mean a bruise", [("bruise", "LF")]),
        ("Abscess in the left front, no, bruise.", [("bruise", "LF")]),
        ("it's the left hind not the right that has the crack", [("crack", "LH")]),
    ],
)
def test_corrections_of_what_and_where(
    said: str, want: list[tuple[str, str]], facts: Facts
) -> None:
    assert [(f.code, "".join(x.value for x in f.feet)) for f in facts(said)] == want


def test_a_place_said_again_replaces_the_first(facts: Facts) -> None:
    (fact,) = facts("flare on the inside quarter no the outside quarter left front")
    assert fact.places == ("lateral_quarter",)


def test_a_thing_unsaid_at_once_is_only_denied(facts: Facts) -> None:
    (fact,) = facts("Thrush in the left hind, no, not thrush, just dirt.")
    assert fact.negated


@pytest.mark.parametrize(
    "said",
    [
        "Bruise on the left front the size of a quarter.",
        "Cracking set of feet on him.",
        "Nodding off on the cross ties.",
        "Old founder line on the left front.",
    ],
)
def test_words_that_only_look_like_findings(said: str, facts: Facts) -> None:
    found = facts(said)
    assert not {f.code for f in found} & {"crack", "head_nod", "founder"}
    assert all("quarter" not in f.places for f in found)


@pytest.mark.parametrize(
    "said",
    [
        "Coffee's hot.",
        "My knee's sore from kneeling.",
        "I cut my thumb on the rasp.",
        "The farm cat's lame.",
        "The muck heap stinks.",
        "Couldn't put a price on one like that.",
    ],
)
def test_what_is_said_of_others_is_no_finding(said: str, facts: Facts) -> None:
    assert facts(said) == []


@pytest.mark.parametrize(
    "said",
    [
        "She won't put the near hind to the ground.",
        "Hardly using the near hind.",
        "Can't put weight on it, near hind.",
    ],
)
def test_a_foot_that_bears_nothing(said: str, facts: Facts) -> None:
    (fact,) = facts(said)
    assert fact.code == "not_weight_bearing"


def test_a_sentence_may_only_say_the_trend(facts: Facts) -> None:
    (new,) = facts("Quarter crack, off fore. Wasn't there last time.")
    assert new.comparison is not None
    assert new.comparison.trend is Trend.NEW
    (gone,) = facts("Crack in the left front. It's gone now.")
    assert gone.negated


@pytest.mark.parametrize(
    "said",
    [
        "somebody moved my rasp",
        "he asked us to get the near hind shoe off while she was sleepy",
        "let's stretch it out while it's warm",
        "had to re cut the toe clip seats",
        "the clocks went back last month",
        "diet's good but they're short on zinc and copper",
        "new shoes in front with borium on the toe and both heels",
    ],
)
def test_everyday_words_make_no_finding(said: str, facts: Facts) -> None:
    codes = {f.code for f in facts(said) if f.kind.value in ("finding", "handling")}
    assert not codes - {"sleepy"}


def test_a_crack_gone_from_one_length_to_another_is_there(facts: Facts) -> None:
    found = [f for f in facts("the crack's gone from eighteen up to twenty six") if f.negated]
    assert found == []


def test_what_was_looked_for_is_not_found(facts: Facts) -> None:
    found = facts("checked for heat and pulses on all four everything's cool and quiet")
    assert all(f.negated for f in found if f.code in ("heat", "digital_pulse"))
    (denied,) = facts("Looked for thrush in the hinds and found none.")
    assert denied.negated


@pytest.mark.parametrize(
    "said",
    [
        "renewed those clenches and put a fresh nail in the lateral heel",
        "what'll keep them from slipping is gravel",
        "clenched up six out of the eight before he tried to lie on me",
        "crest three and a half out of five",
        "the wedge goes down by a degree",
        "he asked us to get the shoe off with him holding the leg up",
        "when i stood back they looked balanced",
    ],
)
def test_no_red_flag_without_a_sign(said: str, entries: Callable[..., tuple[Entry, ...]]) -> None:
    assert [flag for entry in entries(said) for flag in entry.red_flags] == []
