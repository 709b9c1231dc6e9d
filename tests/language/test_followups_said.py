"""What is to happen, when and on what condition, in everyday words.

Ways of talking: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind

Facts = Callable[[str], list[Fact]]


def ahead(found: list[Fact]) -> list[tuple[str, str]]:
    """Code and time of every follow-up."""
    return [
        (f.code, "" if f.due is None else f.due.period or f.due.anchor or str(f.due.on))
        for f in found
        if f.kind is FactKind.FOLLOW_UP
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("See her again five weeks Thursday.", [("next_trim", "2026-12-31")]),
        ("cancelled today rescheduled to friday", [("next_trim", "2026-11-27")]),
        ("Appointment moved to Monday.", [("next_trim", "2026-11-30")]),
        (
            "Called off Wednesday, rebooked for the ninth of December.",
            [("next_trim", "2026-12-09")],
        ),
        ("X-rays within the week.", [("radiographs", "P1W")]),
        ("Call me Friday and let me know how he is.", [("call", "2026-11-27")]),
        ("Come back in a fortnight and check that heel.", [("recheck", "P2W")]),
        ("Check the clinches in two weeks.", [("recheck", "P2W")]),
        ("She's calling the vet this afternoon.", [("vet_visit", "2026-11-25")]),
        ("I'll be back Friday to shoe him.", [("next_trim", "2026-11-27")]),
        ("I'll see him in eight weeks.", [("next_trim", "P8W")]),
        ("I want him every six.", [("cycle", "P6W")]),
        ("Six weeks, same time.", [("next_trim", "P6W")]),
        ("Hand walk him for ten days.", [("owner_care", "P10D")]),
    ],
)
def test_what_and_when(facts: Facts, text: str, expected: list[tuple[str, str]]) -> None:
    assert ahead(facts(text)) == expected
    assert not [f for f in facts(text) if f.kind is not FactKind.FOLLOW_UP]


@pytest.mark.parametrize(
    "text",
    [
        "Bring him back into work slowly.",
        "The left front shoe's been on nine weeks.",
        "He was bad to do today.",
        "He's owned by two people.",
        "He'd only let me take a bit off.",
        "We have the x rays now.",
        "It was worse on the first films.",
        "Last time was the tenth of October.",
    ],
)
def test_no_follow_up_where_none_was_asked(facts: Facts, text: str) -> None:
    assert ahead(facts(text)) == []


def test_any_sign_is_a_condition_and_no_finding(facts: Facts) -> None:
    (only,) = facts("Any heat in it and she's to call the vet.")
    assert only.code == "vet_visit"
    assert only.details["condition"] == "any heat in it"


def test_a_condition_keeps_its_words_without_its_time(facts: Facts) -> None:
    (call,) = facts("If he's no better in a week you call me.")
    assert call.details["condition"] == "if he's no better"
    assert ahead([call]) == [("call", "P1W")]


def test_what_is_only_supposed_is_not_found(facts: Facts) -> None:
    (job,) = facts("I'll pull that left front shoe if he's still sore.")
    assert (job.code, job.planned) == ("pull", True)


def test_a_bare_verb_with_a_day_is_work_to_come(facts: Facts) -> None:
    (job,) = facts("Pull the shoes in two weeks.")
    assert job.planned
    assert job.due is not None
    assert job.due.period == "P2W"


@pytest.mark.parametrize(
    "text",
    [
        "Snow by Friday, they are saying.",
        "He pays in January.",
        "My daughter's wedding is in three weeks.",
        "Trimmed all four and the show season starts in ten days.",
        "Plan is to bring that left front along.",
        "The vet took pictures of the fronts on Monday.",
    ],
)
def test_times_of_other_things_are_no_appointments(facts: Facts, text: str) -> None:
    assert not [f for f in facts(text) if f.kind is FactKind.FOLLOW_UP]


@pytest.mark.parametrize(
    "text", ["Usual six weeks for this one.", "Trimmed all four, grand job, six weeks."]
)
def test_a_bare_time_is_the_next_visit(facts: Facts, text: str) -> None:
    assert ahead(facts(text)) == [("next_trim", "P6W")]
    assert ahead(facts(text.lower().replace(",", "").replace(".", ""))) == [("next_trim", "P6W")]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Put him on the list for the twelfth.", [("next_trim", "2026-12-12")]),
        ("He can go eight weeks this time.", [("next_trim", "P8W")]),
        ("Pushing him out to seven weeks.", [("next_trim", "P7W")]),
        ("I want to see how that heel's grown in three weeks.", [("recheck", "P3W")]),
        ("Owner wants to skip a cycle, so twelve weeks.", [("next_trim", "P12W")]),
        ("Order him a pair of size four glue ons.", [("bring", "")]),
        ("Must remember to bring the hoof testers next time.", [("bring", "next_visit")]),
        ("Sedation next time.", [("sedation_by_vet", "next_visit")]),
        ("Measure again next time.", [("recheck", "next_visit")]),
        ("Take another set of films before Christmas.", [("radiographs", "2026-12-25")]),
        ("Rest him till I see him again.", [("owner_care", "")]),
        ("No rush on this one.", []),
    ],
)
def test_more_that_is_to_happen(facts: Facts, text: str, expected: list[tuple[str, str]]) -> None:
    found = facts(text)
    assert ahead(found) == expected
    assert all(f.kind is FactKind.FOLLOW_UP for f in found)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Vet'll be here this afternoon.", [("vet_visit", "2026-11-25")]),
        ("I rang the vet and she'll be out this evening.", [("vet_visit", "2026-11-25")]),
        # The day of the next trim is not the vet's, who is to be rung only if it is needed.
        (
            "call the vet if he goes short next trim in five weeks",
            [("vet_visit", ""), ("next_trim", "P5W")],
        ),
        (
            "ring the vet if she gets worse back in six weeks",
            [("vet_visit", ""), ("next_trim", "P6W")],
        ),
        ("If she isn't better by Saturday, vet.", [("vet_visit", "2026-11-28")]),
        (
            "Ring me if he's short on it, otherwise six weeks.",
            [("call", ""), ("next_trim", "P6W")],
        ),
        (
            "Next time bring the boots. And a second pair of hands.",
            [("bring", "next_visit"), ("second_handler", "next_visit")],
        ),
        ("Told the boss to watch it the next few days.", [("owner_care", "")]),
        (
            "Poultice it tonight and ring the vet in the morning.",
            [("owner_care", "2026-11-25"), ("vet_visit", "2026-11-26")],
        ),
    ],
)
def test_who_and_when(facts: Facts, text: str, expected: list[tuple[str, str]]) -> None:
    assert ahead(facts(text)) == expected


def test_a_visit_has_the_feet_of_what_it_is_for(facts: Facts) -> None:
    (visit,) = facts("I'm back Friday to trim the hinds.")
    assert visit.code == "next_trim"
    assert {f.value for f in visit.feet} == {"LH", "RH"}


def test_a_planned_job_keeps_its_own_time(facts: Facts) -> None:
    found = facts("In six weeks I'll set the toe back on the off fore.")
    assert [(f.code, f.planned, f.due and f.due.period) for f in found] == [
        ("set_back_toe", True, "P6W")
    ]
    wanted = facts("Vet wants a heart bar on the left front and a wedge on the right next time.")
    assert {(f.code, f.due and f.due.anchor) for f in wanted} == {
        ("heart_bar", "next_visit"),
        ("wedge", "next_visit"),
    }


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Come in lame on the right front.", []),
        ("Vet sent me the films for the fronts.", []),
        ("Another trim and it's history.", []),
        ("Told Wade to pack that foot every other day.", [("owner_care", "")]),
        ("I'll come do the hinds in a week.", [("next_trim", "P1W")]),
        (
            "If the pulse comes up they're to ring me, otherwise I'll recheck her in a fortnight.",
            [("call", ""), ("recheck", "P2W")],
        ),
        ("Next time bring the pads and the bigger boots.", [("bring", "next_visit")]),
        (
            "five weeks for her not six and text me on sunday",
            [("next_trim", "P5W"), ("call", "2026-11-29")],
        ),
    ],
)
def test_what_is_asked_and_what_is_only_told(
    facts: Facts, text: str, expected: list[tuple[str, str]]
) -> None:
    assert ahead(facts(text)) == expected


def test_a_bare_verb_goes_on_with_the_plan(facts: Facts) -> None:
    found = facts("Next time we'll go to a heart bar and drop the heel on the left front.")
    assert {f.code for f in found if f.planned} == {"heart_bar", "lower_heel"}


def test_how_long_shoes_have_done_is_no_appointment(facts: Facts) -> None:
    assert ahead(facts("Those shoes have done ten weeks.")) == []
    assert ahead(facts("I'll shorten him to six weeks.")) == [("next_trim", "P6W")]


def test_times_go_with_what_is_to_come_without_punctuation(facts: Facts) -> None:
    found = facts("off fore toe three and a quarter in six weeks i'll set the toe back")
    planned = [(f.code, f.due and f.due.period) for f in found if f.planned]
    assert planned == [("set_back_toe", "P6W")]
    assert ahead(facts("she's out to pasture till the new year next time bring the egg bars")) == [
        ("bring", "next_visit")
    ]


def test_what_is_brought_is_not_done(facts: Facts) -> None:
    (fact,) = facts("Next time bring the twelve mil pads and the bigger boots.")
    assert fact.code == "bring"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Have a look at it next visit.", [("recheck", "next_visit")]),
        ("Check in two weeks.", [("recheck", "P2W")]),
        ("Vet to see her next week, say Tuesday.", [("vet_visit", "2026-12-01")]),
        ("Finish him off Friday.", [("next_trim", "2026-11-27")]),
        ("Have the vet X-ray it before Friday.", [("radiographs", "2026-11-27")]),
        ("Let me know how he goes.", [("call", "")]),
        ("Book him the seventeenth.", [("next_trim", "2026-12-17")]),
        ("Leave him out of work for six weeks.", [("owner_care", "P6W")]),
        ("Poultice twice a day for three days.", [("owner_care", "P3D")]),
        ("Vet if he's not right by Friday.", [("vet_visit", "2026-11-27")]),
    ],
)
def test_short_orders(facts: Facts, text: str, expected: list[tuple[str, str]]) -> None:
    found = facts(text)
    assert ahead(found) == expected
    assert len(found) == len(expected)


def test_new_shoes_that_are_due_are_not_on_yet(facts: Facts) -> None:
    found = facts("Fronts are due in three weeks with new shoes.")
    assert ahead(found) == [("next_trim", "P3W")]
    assert len(found) == 1


@pytest.mark.parametrize(
    ("text", "code", "condition"),
    [
        ("spoke to alice she will ring if he's worse the vet's coming", "call", "if he's worse"),
        ("spoke to alice she will ring if he's worse the vet's coming", "vet_visit", ""),
        ("owner will ring if he goes lame i'll be back in six weeks", "call", "if he goes lame"),
        ("get the vet out if there is any more heat in the foot", "vet_visit",
         "if there is any more heat in the foot"),
    ],
)  # fmt: skip
def test_a_condition_is_not_cut_in_mid_phrase(
    facts: Facts, text: str, code: str, condition: str
) -> None:
    (found,) = [f for f in facts(text) if f.code == code]
    assert found.details.get("condition", "") == condition


def test_the_next_trim_is_of_the_whole_horse_whatever_foot_was_told_of_before(facts: Facts) -> None:
    (trim,) = (
        f
        for f in facts("tacked the off fore all the vet about the off fore next trim in five weeks")
        if f.code == "next_trim"
    )
    assert trim.feet == ()
    (fronts,) = (f for f in facts("Fronts next trim in six weeks.") if f.code == "next_trim")
    assert len(fronts.feet) == 2


@pytest.mark.parametrize(
    "text",
    [
        "Call the vet if he goes short. Next trim in five weeks.",
        "call the vet if he goes short next trim in five weeks",
        "call the vet if he goes short back in five weeks",
    ],
)
def test_the_call_keeps_its_condition_and_the_next_trim_has_none(facts: Facts, text: str) -> None:
    call, trim = facts(text)
    assert (call.code, call.details.get("condition")) == ("vet_visit", "if he goes short")
    assert (trim.code, trim.details.get("condition")) == ("next_trim", None)
