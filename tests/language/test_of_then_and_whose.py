"""What is of then and what of today, whose word it is, and for when heard work is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, Reporter
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.language.entries.films import as_vets_word
from fieldlog.language.entries.than_before import of_today
from fieldlog.language.numbers.spoken import find_numbers
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.times_heard import with_own_times
from fieldlog.language.opinion.weighing import weighed
from fieldlog.language.times.dates import find_times
from tests.language.hearing import hears


def finding(code: str, **more: object) -> Fact:
    fact = Fact(FactKind.FINDING, code, (Foot.RF,), FootBasis.SAID, span=(0, 12),
                rule=f"lexicon:{code}")  # fmt: skip
    return replace(fact, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "code", "by_vet", "reporter"),
    [
        ("Five degrees of rotation off fore", "rotation", 0.35, Reporter.VET),
        ("Could be rotation off fore, I'd want films", "rotation", 0.2, Reporter.FARRIER),
        ("Films say it is navicular off fore", "navicular", 0.6, Reporter.VET),
        ("The vet's sheet has navicular", "navicular", 0.6, Reporter.VET),
        ("I say navicular, ask the vet", "navicular", 0.4, Reporter.FARRIER),
        ("Lands toe first, navicular I wonder", "navicular", 0.6, Reporter.FARRIER),
        ("Films show the off fore is flat", "flat_sole", 0.6, Reporter.FARRIER),
    ],
)
def test_what_only_pictures_show_is_the_vets_word_where_it_is_heard_to_be_his(
    text: str, code: str, by_vet: float, reporter: Reporter
) -> None:
    at_word = "off" if "off" in text else "navicular"
    heard = hears(text, (code, at_word, {"vet": by_vet}))
    fact = finding(code, uncertain=True, span=(0, len(text)))
    (told,) = as_vets_word([fact], heard)
    assert told.reporter is reporter
    assert told.uncertain is (reporter is Reporter.FARRIER)


@pytest.mark.parametrize("told", [{"reporter": Reporter.OWNER}, {"rule": "personal:rotation"}])
def test_whose_word_it_is_stays_where_it_was_said_or_taught(told: dict[str, object]) -> None:
    fact = finding("rotation", **told)
    heard = hears("rotation", ("rotation", "rotation", {"vet": 0.9}))
    assert as_vets_word([fact], heard) == [fact]


def test_the_vets_own_doubt_stays() -> None:
    heard = hears("perhaps rotation", ("rotation", "rotation", {"uncertain": 0.9, "vet": 0.9}))
    (fact,) = as_vets_word([finding("rotation", uncertain=True, span=(0, 16))], heard)
    assert fact.uncertain
    assert fact.reporter is Reporter.VET


def of_then(text: str, number: str) -> list[Fact]:
    first = text.index(number)
    fact = finding("proud_flesh", historical=True, quantity=Quantity(10, Unit.MM))
    at: dict[str, Span] = {fact.id: (first, first + len(number))}
    return of_today([fact], text, at, find_numbers(text))


@pytest.mark.parametrize(
    "text",
    [
        "Proud flesh, ten mil, it was sixteen in June.",
        "Proud flesh ten mil and was about sixteen last time.",
        "Proud flesh ten mil. Last time it was sixteen.",
    ],
)
def test_a_number_before_the_one_that_was_is_of_today(text: str) -> None:
    assert not of_then(text, "ten mil")[0].historical


@pytest.mark.parametrize(
    "text",
    [
        "Proud flesh was ten mil and in May it was sixteen.",
        "Last time proud flesh ten mil, it was never sixteen.",
        "Proud flesh ten mil in June.",
    ],
)
def test_a_number_of_then_stays_so(text: str) -> None:
    assert of_then(text, "ten mil")[0].historical


def test_what_he_had_in_a_season_is_of_then(facts: Callable[[str], list[Fact]]) -> None:
    (then,) = [f for f in facts("There was a corn in the near fore in winter.")
               if f.code == "corn"]  # fmt: skip
    (now,) = [f for f in facts("There is a corn in the near fore.") if f.code == "corn"]
    assert then.historical
    assert not now.historical


def test_what_is_left_alone_is_never_denied(facts: Callable[[str], list[Fact]]) -> None:
    told = [f for f in facts("Pads no, leave the heels, off fore.") if f.code == "leave_alone"]
    assert told
    assert not any(f.negated for f in told)


NAILS = "Glued in front, nails next time off fore."


def work(text: str, words: str, opinion: Opinion, **more: object) -> list[Fact]:
    first = text.index(words)
    fact = Fact(FactKind.WORK, "shoe", (Foot.RF,), FootBasis.HEARD, rule="gist:shoe",
                span=(first, first + len(words)))  # fmt: skip
    fact = replace(fact, **more).with_doubt("model_candidate", "heard")  # type: ignore[arg-type]
    times = [((t.start, t.end), t.due) for t in find_times(text, date(2026, 11, 25))]
    bare = [Fact(FactKind.FOLLOW_UP, "next_trim", span=at, due=due, rule="time:alone")
            for at, due in times]  # fmt: skip
    return with_own_times([fact, *bare], opinion, times, text)


def test_heard_work_is_for_the_time_at_its_words() -> None:
    heard = hears(NAILS, ("shoe", "nails", {"planned": 0.8}))
    (fact,) = work(NAILS, "nails", heard)
    assert fact.planned
    assert fact.due is not None
    assert fact.due.anchor == "next_visit"


@pytest.mark.parametrize(
    ("planned", "more"), [(0.1, {}), (0.8, {"historical": True}), (0.8, {"negated": True})]
)
def test_work_that_is_not_ahead_gets_no_time(planned: float, more: dict[str, object]) -> None:
    heard = hears(NAILS, ("shoe", "nails", {"planned": planned}))
    fact, visit = work(NAILS, "nails", heard, **more)
    assert fact.due is None
    assert visit.rule == "time:alone"


def test_a_time_in_the_next_sentence_is_not_of_the_work() -> None:
    text = "Nails in the off fore. Four weeks."
    fact, _ = work(text, "Nails", hears(text, ("shoe", "nails", {"planned": 0.8})))
    assert fact.due is None


def test_who_gave_a_score_is_weighed_and_nothing_else_of_it() -> None:
    text = "Obel two she calls it"
    score = Fact(FactKind.SCORE, "obel", quantity=Quantity(2, Unit.GRADE), span=(0, 8),
                 rule="score:obel")  # fmt: skip
    heard = hears(text, ("obel", "obel", {"vet": 0.98, "owner": 0.0, "other": 0.0,
                                          "historical": 0.98, "RF": 0.98}))  # fmt: skip
    (fact,) = weighed([score], heard)
    assert fact.reporter is Reporter.VET
    assert not fact.historical
    assert not fact.feet


@pytest.mark.parametrize(
    "text",
    [
        "Foal, nine weeks, turns out in front.",
        "He's at seven weeks and the off fore is loose.",
        "The groom rested her a fortnight, trimmed all four.",
        "I'm three weeks behind with the books.",
    ],
)
def test_how_old_or_how_long_is_no_visit(text: str, facts: Callable[[str], list[Fact]]) -> None:
    assert not [f for f in facts(text) if f.due is not None]


def test_the_next_visit_of_a_foal_is_one(facts: Callable[[str], list[Fact]]) -> None:
    (visit,) = [f for f in facts("Trimmed the foal. Four weeks.") if f.due is not None]
    assert visit.code == "next_trim"


@pytest.mark.parametrize(
    "text",
    [
        "The vet said laminitis in the spring.",
        "Laminitis in the summer, vet says.",
        "Vet called it laminitis back in the spring.",
        "Abscess in the spring, left front.",
    ],
)
def test_an_illness_of_a_season_gone_by(
    entries: Callable[..., tuple[Entry, ...]], text: str
) -> None:
    (entry,) = entries(text)
    assert [f.historical for f in entry.facts] == [True]
    assert not entry.red_flags


@pytest.mark.parametrize("text", ["Gets an abscess in the winter every year.", "Abscess, and "
                                  "he always gets an abscess in the winter."])  # fmt: skip
def test_what_comes_every_year_is_not_over(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert not any(f.historical for f in facts(text))


@pytest.mark.parametrize(
    "text",
    [
        "Seven weeks he's been, that's too long. Trimmed.",
        "Eight weeks she's gone this time. Trimmed.",
        "Nine weeks he went. Trimmed.",
        "Ten weeks they've had. Trimmed.",
    ],
)
def test_how_long_it_has_been_is_no_visit(facts: Callable[[str], list[Fact]], text: str) -> None:
    assert [f.code for f in facts(text)] == ["trim"]
