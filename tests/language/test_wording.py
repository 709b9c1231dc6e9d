"""The short lines that screens and papers show."""

from __future__ import annotations

from datetime import date

import pytest

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter, Severity
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language import wording
from fieldlog.language.lexicon import KINDS, items
from fieldlog.language.promised import as_suspicion, promised
from fieldlog.language.wording import describe, describe_feet, label, unit_fits

LF = (Foot.LF,)


def test_measurement_line() -> None:
    fact = Fact(FactKind.MEASUREMENT, "toe_length", LF, quantity=Quantity(3.25, Unit.INCH))
    assert describe(fact) == "left front · toe length · 3 1/4 in"
    assert describe(fact, british=True).startswith("near fore")


def test_disease_words_are_worded_as_suspicion() -> None:
    fact = Fact(FactKind.FINDING, "founder", FRONTS, uncertain=True)
    assert describe(fact) == "both fronts · suspected founder"
    assert "suspected" in describe(Fact(FactKind.FINDING, "founder", LF))
    told = Fact(FactKind.FINDING, "laminitis", LF, reporter=Reporter.VET)
    assert describe(told) == "left front · laminitis · vet says"


def test_negation_severity_and_place() -> None:
    fact = Fact(FactKind.FINDING, "thrush", LF, places=("central_sulcus",), severity=Severity.MILD)
    assert describe(fact) == "left front · thrush, central sulcus · mild"
    assert describe(Fact(FactKind.FINDING, "thrush", LF, negated=True)) == "left front · no thrush"
    assert describe(Fact(FactKind.WORK, "trim", LF, negated=True)) == "left front · not done: trim"


@pytest.mark.parametrize(
    ("kind", "code", "words"),
    [
        (FactKind.HANDLING, "kicked", "did not kick"),
        (FactKind.HANDLING, "stood_well", "did not stand well"),
        (FactKind.HANDLING, "nervous", "not nervous"),
        (FactKind.HANDLING, "twitched", "no twitch used"),
        (FactKind.FINDING, "tester_positive", "not sore to hoof testers"),
        (FactKind.FINDING, "lands_flat", "does not land flat"),
        (FactKind.FINDING, "not_weight_bearing", "bears weight"),
        (FactKind.FINDING, "sound", "not sound"),
        (FactKind.FINDING, "lameness", "sound"),
        (FactKind.FINDING, "heat", "no heat"),
    ],
)
def test_what_was_not_so_is_said_in_english(kind: FactKind, code: str, words: str) -> None:
    assert describe(Fact(kind, code, negated=True)) == words


def test_every_exception_is_an_id_of_the_vocabulary() -> None:
    known = {item.id for kind in ("findings", "handling") for item in items(kind)}
    assert set(wording._NOT_SO) | wording._NOT_BEFORE <= known


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        (Unit.INCH, "inches fit the size"),
        (Unit.MM, "millimetres fit the size"),
        (Unit.DEGREE, "degrees fit the size"),
        (Unit.GRADE, "a grade fits the size"),
    ],
)
def test_why_a_unit_was_taken(unit: Unit, words: str) -> None:
    assert unit_fits(unit) == f"The unit was not spoken; {words}."


def test_unknown_foot_is_a_question() -> None:
    fact = Fact(FactKind.FINDING, "heat", foot_basis=FootBasis.UNSTATED)
    assert describe(fact) == "foot? · heat"


def test_follow_up_says_when_and_who() -> None:
    due = Due(spoken="in four weeks", period="P4W", on=date(2026, 12, 23))
    fact = Fact(FactKind.FOLLOW_UP, "radiographs", due=due, details={"who": "vet"})
    assert describe(fact).endswith("by vet · in four weeks (2026-12-23)")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("medial_quarter", "inside quarter"),
        ("lateral", "outside"),
        ("clock_12", "12 o'clock"),
        ("lateral_heel", "outside heel"),
        ("no_such_code", "no such code"),
    ],
)
def test_labels(code: str, words: str) -> None:
    assert label(code) == words


def test_british_feet() -> None:
    assert describe_feet(FRONTS, british=True) == "both fores"
    assert describe_feet((Foot.RH,), british=True) == "off hind"


def test_ids_are_unique_within_a_kind() -> None:
    for name in KINDS:
        ids = [item.id for item in items(name)]
        assert len(ids) == len(set(ids)), name


def follow_up(code: str, text: str, said: str, due: Due | None = None, **details: str) -> Fact:
    at = text.index(said)
    span = (at, at + len(said))
    return Fact(FactKind.FOLLOW_UP, code, span=span, due=due, details=details)


def test_a_promise_keeps_the_words_that_were_spoken() -> None:
    text = "Trimmed. Roy is to pick out the feet daily. Bring boots next time."
    care = follow_up("owner_care", text, "pick out the feet daily")
    assert promised(care, text) == "owner care: pick out the feet daily"
    boots = follow_up("bring", text, "Bring boots next time", Due("next time"))
    assert promised(boots, text) == "Bring boots next time"


def test_what_stands_beside_a_promise_is_not_said_twice() -> None:
    day = Due("in four weeks", "P4W", date(2026, 12, 23))
    text = "back in four weeks and owner is to poultice it until friday she will ring if he's worse"
    assert promised(follow_up("next_trim", text, "back in four weeks", day), text) == (
        "next trim or shoeing"
    )
    till = Due("friday", on=date(2026, 11, 27))
    care = follow_up("owner_care", text, "owner is to poultice it until friday", till)
    assert promised(care, text) == "owner care: poultice it until friday"
    call = follow_up("call", text, "she will ring if he's worse", condition="if he's worse")
    assert promised(call, text) == "call or message: she will ring"


def test_the_body_of_a_promise_is_not_cut_where_its_span_ends() -> None:
    text = "tell her to keep him in a dry stall"
    fact = follow_up("owner_care", text, "keep him in a dr", what="keep him in a dry stall")
    assert promised(fact, text) == "owner care: keep him in a dry stall"
    bare = follow_up("owner_care", text, "keep him in a d")
    assert promised(bare, text) == "owner care: keep him in a dry"


def test_nobody_said_the_words_under_a_red_flag() -> None:
    text = "looks like founder both fronts"
    fact = Fact(FactKind.FOLLOW_UP, "vet_visit", span=(0, len(text)), rule="redflag:laminitis")
    assert promised(fact, text) == "veterinarian to see the horse"


def test_an_advice_goes_on_with_what_was_told() -> None:
    text = "explained to her that the heels need time. All else fine."
    advice = Fact(FactKind.ADVICE, "spoke_to", span=(0, len("explained to her that the heels")))
    assert promised(advice, text) == "explained to her that the heels need time"
    spoke = "spoke to alice she will ring"
    to = Fact(FactKind.ADVICE, "spoke_to", span=(0, 14), details={"to": "Alice"})
    assert promised(to, spoke, 14) == "spoke to Alice"


@pytest.mark.parametrize(
    ("text", "span", "words"),
    [
        (
            "sole medial quarter call the vet if he goes lame",
            "medial quarter call the vet",
            "call the vet",
        ),
        ("left hind ring the farm", "left hind ring the farm", "ring the farm"),
        (
            "heel bulb swab it, get the vet",
            "bulb swab it, get the vet",
            "bulb swab it, get the vet",
        ),
    ],
)
def test_a_place_before_a_call_is_no_part_of_it(text: str, span: str, words: str) -> None:
    call = follow_up("vet_visit", text, span)
    assert promised(call, text) == f"veterinarian to see the horse: {words}"


def test_a_place_before_the_telling_is_no_part_of_the_advice() -> None:
    text = "set back the toe a quarter told the owner to pick the feet out"
    start = text.index("a quarter")
    told = (start, text.index(" to pick"))
    advice = Fact(FactKind.ADVICE, "spoke_to", span=told, details={"to": "owner"})
    assert promised(advice, text) == "told the owner to pick the feet out"
    care = Fact(
        FactKind.FOLLOW_UP, "owner_care", span=(text.index("the owner"), len(text)),
        details={"what": "pick the feet out"},
    )  # fmt: skip
    assert promised(care, text) == "owner care: pick the feet out"


def test_a_disease_in_spoken_words_is_a_suspicion() -> None:
    assert as_suspicion("recheck the abscess") == "recheck the suspected abscess"
    assert as_suspicion("recheck the suspected abscess") == "recheck the suspected abscess"
