"""What the papers say, and above all what they must not say."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import date

import pypdf
import pytest

from fieldlog.cli.demo_day import DemoDay
from fieldlog.core.facts import Fact, FactKind, FootBasis, Reporter
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.papers.content import (
    Correction,
    HorseFile,
    Promise,
    Subject,
    VisitNotes,
    Writer,
    lines_by_foot,
    measure_table,
    shown_twice,
)
from fieldlog.papers.day import BarnStop, day_sheet
from fieldlog.papers.document import Document, Table
from fieldlog.papers.horse import before_visit, horse_record
from fieldlog.papers.html import to_html
from fieldlog.papers.neglect import neglect_record
from fieldlog.papers.pdf import to_pdf
from fieldlog.papers.plain import to_text
from fieldlog.papers.vet import asked_of_vet, vet_letter
from fieldlog.papers.visit import owner_summary, plain_words
from tests.papers.conftest import horse_file

ALL = ("juniper", "copper", "rosie", "bramble", "duke", "storm", "willow", "biscuit")


def flat(document: Document) -> str:
    return " ".join(to_text(document, 1000).split())


def papers_of(day: DemoDay, key: str, writer: Writer) -> list[Document]:
    file = horse_file(day, key)
    visit = file.visits[-1]
    return [
        owner_summary(file, visit, writer),
        vet_letter(file, visit, writer, "Dr. A. Vet"),
        horse_record(file, writer),
        before_visit(file, writer, day.on),
        neglect_record(file, writer, day.on, chain_ok=True),
    ]


@pytest.mark.parametrize("key", ALL)
def test_no_paper_names_another_client_or_horse(day: DemoDay, writer: Writer, key: str) -> None:
    own = day.horse(key)
    owner = next(c for c in day.clients if c.key == own.client)
    strangers = [h.name for h in day.horses if h.key != key]
    strangers += [c.name for c in day.clients if c.key != owner.key]
    strangers += [c.phone for c in day.clients]
    for paper in papers_of(day, key, writer):
        text = flat(paper) + to_html(paper)
        assert own.name in text
        assert not [name for name in strangers if re.search(rf"\b{re.escape(name)}\b", text)]


@pytest.mark.parametrize("key", ["bramble", "storm"])
def test_every_paper_prints(day: DemoDay, writer: Writer, key: str) -> None:
    for paper in papers_of(day, key, writer):
        pages = pypdf.PdfReader(io.BytesIO(to_pdf(paper))).pages
        words = " ".join(" ".join(p.extract_text() for p in pages).split())
        assert day.horse(key).name in words
        assert "page 1 of" in words


def test_what_the_owner_was_told_to_do_stands_there_once(day: DemoDay, writer: Writer) -> None:
    file = horse_file(day, "rosie")
    care = Fact(FactKind.FOLLOW_UP, "owner_care", details={"what": "pick the feet out"})
    told = Fact(FactKind.ADVICE, "spoke_to", details={"to": "owner"}, id="told")
    words = {"told": "told the owner to pick the feet out every day"}
    for facts, lines in (((care, told), 0), ((told,), 1)):
        visit = replace(file.visits[-1], facts=facts, advice=words)
        text = flat(owner_summary(replace(file, visits=(visit,)), visit, writer))
        assert text.count("Told the owner to pick the feet out") == lines


def test_owner_summary_says_what_to_do_and_when(day: DemoDay, writer: Writer) -> None:
    file = horse_file(day, "rosie")
    text = flat(owner_summary(file, file.visits[-1], writer))
    assert "Left hind: thrush, central sulcus, moderate, worse since last visit." in text
    assert "Both hinds: clean out." in text
    assert "[ ] Owner care, by Wednesday 9 December 2026." in text
    assert "Recheck, by Wednesday 23 December 2026." in text
    assert "Thrush: a smelly, soft rot" in text
    assert "Due Wednesday 6 January 2027." in text


def test_founder_is_a_suspicion_on_every_paper(day: DemoDay, writer: Writer) -> None:
    """A farrier suspects; only a veterinarian diagnoses (Veterinary Surgeons Act 1966 s. 19)."""
    for paper in papers_of(day, "bramble", writer)[:3]:
        text = flat(paper)
        assert "suspected founder" in text
        assert not re.search(r"(?<!suspected )founder", text)


def test_a_bare_disease_word_becomes_a_suspicion_in_the_letter(writer: Writer) -> None:
    bare = Fact(FactKind.FINDING, "abscess", (Foot.LF,), FootBasis.SAID)
    said_by_vet = replace(bare, feet=(Foot.RH,), reporter=Reporter.VET)
    visit = VisitNotes(date(2026, 11, 25), (bare, said_by_vet))
    text = flat(vet_letter(HorseFile(Subject("Tilly"), (visit,)), visit, writer))
    suspected = text.split("Suspected, for you to confirm or rule out")[1].split("Reported")[0]
    assert "Left front: suspected abscess" in suspected
    reported = text.split("Reported to me")[1]
    assert "vet says" in reported


def test_the_letter_asks_and_does_not_order(day: DemoDay, writer: Writer) -> None:
    file = horse_file(day, "bramble")
    text = flat(vet_letter(file, file.visits[-1], writer))
    asked = text.split("Asked of you")[1]
    assert "Radiographs by a veterinarian, before the next visit." in asked
    assert "I make no diagnosis" in text
    assert "to me directly" in asked
    assert "Earlier visits" in asked
    assert "28 Oct 2026" in asked


def test_neglect_record_keeps_hearsay_apart(day: DemoDay, writer: Writer) -> None:
    seen = Fact(FactKind.FINDING, "overgrown", (Foot.LF,), FootBasis.SAID)
    told = Fact(FactKind.FINDING, "lameness", reporter=Reporter.OWNER)
    file = horse_file(day, "bramble")
    entry = replace(file.sealed[0], facts=(seen, told), text="Way overgrown.")
    text = flat(neglect_record(replace(file, sealed=(entry,)), writer, day.on, chain_ok=True))
    own, others = text.split("Told by others:")
    assert "overgrown" in own.split("Seen first hand:")[1]
    assert "lameness" not in own
    assert "owner says" in others
    assert entry.links[0].hash in others.replace(" ", "")
    assert "local law" in others
    assert "“Way overgrown.”" in others


def test_neglect_record_does_not_hide_a_broken_chain(day: DemoDay, writer: Writer) -> None:
    file = horse_file(day, "bramble")
    good = flat(neglect_record(file, writer, day.on, chain_ok=True))
    bad = flat(neglect_record(file, writer, day.on, chain_ok=False))
    assert "DOES NOT VERIFY" in bad
    assert "DOES NOT VERIFY" not in good
    assert "Entry 5: Wednesday 25 November 2026" in good


def test_record_keeps_to_its_period(day: DemoDay, writer: Writer) -> None:
    file = horse_file(day, "copper")
    text = flat(horse_record(file, writer, date(2026, 9, 1), date(2026, 10, 31)))
    assert "Wednesday 16 September 2026" in text
    assert "Wednesday 21 October 2026" in text
    assert "25 November" not in text
    assert "2 visits" in text
    assert "Nothing was saved" in flat(horse_record(file, writer, date(2030, 1, 1)))


def test_record_keeps_its_promises_to_its_period(writer: Writer) -> None:
    old, open_one, late = (
        replace(promise, asked=day)
        for promise, day in (
            (Promise("bring pads", state="done"), date(2025, 3, 1)),
            (Promise("get films"), date(2025, 3, 1)),
            (Promise("bring studs", state="done"), date(2026, 5, 1)),
        )
    )
    by_hand = Promise("call the owner", state="done")
    file = HorseFile(Subject("Tilly"), promises=(old, open_one, late, by_hand))
    text = flat(horse_record(file, writer, since=date(2026, 1, 1)))
    assert [w in text for w in ("pads", "films", "studs", "owner")] == [False, True, True, True]
    text = flat(horse_record(file, writer, until=date(2025, 12, 31)))
    assert [w in text for w in ("pads", "films", "studs", "owner")] == [True, True, False, True]


def test_words_left_out_for_a_name_are_not_nothing(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), (), named_others=True)
    text = flat(before_visit(HorseFile(Subject("Tilly"), (visit,)), writer, date(2026, 12, 1)))
    assert "No fact was made of what was said; read the note itself." in text
    assert "Nothing out of the ordinary" not in text


def test_before_the_visit_puts_safety_first(day: DemoDay, writer: Writer) -> None:
    file = replace(horse_file(day, "biscuit"), cautions=("kicked (25 Nov 2026)",))
    text = flat(before_visit(file, writer, date(2027, 1, 20)))
    assert text.index("Safety first") < text.index("Caution: kicked") < text.index("Last visit")
    assert "OVERDUE, vet: Veterinarian to see the horse" in text
    assert "(8 weeks ago)" in text
    empty = flat(before_visit(HorseFile(Subject("New")), writer, day.on))
    assert "no saved visit yet" in empty
    assert "No handling caution" in empty


def test_staged_plan_is_shown_before_the_next_visit(day: DemoDay, writer: Writer) -> None:
    text = flat(before_visit(horse_file(day, "bramble"), writer, date(2026, 12, 23)))
    assert "staged correction" in text.split("Planned for this time")[1]


def test_day_sheet_goes_barn_by_barn(day: DemoDay, writer: Writer) -> None:
    stops = [
        BarnStop("Stony Ridge", (horse_file(day, "rosie"), horse_file(day, "bramble")), ("Roy",)),
        BarnStop("", (horse_file(day, "duke"),)),
    ]
    text = flat(day_sheet(stops, writer, day.on))
    assert "2 barns, 3 horses" in text
    assert "Stony Ridge: 2 horses" in text
    assert "No barn noted: 1 horse " in text
    assert "No horse is due" in flat(day_sheet([], writer, day.on))


def test_measures_before_and_after_share_a_row(day: DemoDay) -> None:
    table = measure_table(horse_file(day, "bramble").visits[-1].facts)
    assert isinstance(table, Table)
    assert table.rows[0] == ("left front", "toe length", "4 1/2 in (114 mm)", "3 7/8 in (98 mm)")


def test_lengths_are_shown_in_both_systems() -> None:
    """3 1/4 in is 82.55 mm exactly (1 in = 25.4 mm, international yard and pound agreement)."""

    def words(value: float, unit: Unit) -> str:
        return shown_twice(Fact(FactKind.MEASUREMENT, "toe_length", quantity=Quantity(value, unit)))

    assert words(3.25, Unit.INCH) == "3 1/4 in (83 mm)"
    assert words(84, Unit.MM) == "84 mm (about 3 5/16 in)"
    assert words(52, Unit.DEGREE) == "52°"


def test_lines_follow_the_feet_and_the_settings_words() -> None:
    facts = [
        Fact(FactKind.FINDING, "thrush", (Foot.RH, Foot.LH), FootBasis.SAID, negated=True),
        Fact(FactKind.FINDING, "crack", (Foot.LF,), FootBasis.SAID),
        Fact(FactKind.FINDING, "sore", foot_basis=FootBasis.UNSTATED),
    ]
    assert lines_by_foot(facts, british=True) == [
        "Near fore: crack.",
        "Both hinds: no thrush.",
        "Whole horse: soreness (foot not stated).",
    ]


def test_words_that_were_denied_are_not_explained() -> None:
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID)
    assert plain_words((fact, fact)) != ()
    assert len(plain_words((fact, fact))) == 1
    assert plain_words((replace(fact, negated=True),)) == ()


@pytest.mark.parametrize(
    ("value", "scale", "said"),
    [
        # Source: AAEP lameness scale, equinepainmatters.com.
        (4, "aaep_0_5", "4 of 5 (AAEP): obvious at the walk."),
        (2.5, "aaep_0_5", ""),  # no half grade is published
        (4, "", ""),
    ],
)
def test_a_grade_is_explained_as_its_scale_has_it(value: float, scale: str, said: str) -> None:
    fact = Fact(FactKind.SCORE, "lameness", quantity=Quantity(value, Unit.GRADE),
                details={"scale": scale} if scale else {})  # fmt: skip
    assert plain_words((fact,)) == ((said,) if said else ())
    assert plain_words((replace(fact, negated=True),)) == ()


def test_only_words_that_stand_on_the_paper_are_explained(writer: Writer) -> None:
    staged = Fact(FactKind.FOLLOW_UP, "staged_correction")
    visit = VisitNotes(date(2026, 11, 25), (staged,))
    promise = Promise("staged correction: a little more next time")
    without = flat(owner_summary(HorseFile(Subject("Tilly"), (visit,)), visit, writer))
    assert "taged correction" not in without
    there = flat(owner_summary(HorseFile(Subject("Tilly"), (visit,), (promise,)), visit, writer))
    assert "Staged correction: a badly shaped foot" in there


def test_what_was_asked_at_two_visits_is_asked_once(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), ())
    asked = (Promise("films: Get films", "vet"), Promise("films: get films", "vet"))
    text = flat(owner_summary(HorseFile(Subject("Tilly"), (visit,), asked), visit, writer))
    assert text.lower().count("get films") == 1
    before = flat(before_visit(HorseFile(Subject("Tilly"), (visit,), asked), writer, visit.day))
    assert before.lower().count("get films") == 1


def test_what_another_visit_left_open_says_of_which_it_is(writer: Writer) -> None:
    """An overdue line of October on the paper of November reads like a slip otherwise."""
    today, before = date(2026, 11, 25), date(2026, 10, 28)
    call = Promise("ring me", "owner", date(2026, 11, 4), "if he is no better", asked=before)
    promises = (
        call,
        Promise("pick the feet out", "owner", asked=today),
        Promise("bring pads", due=date(2026, 12, 9)),
        Promise("radiographs", "vet", asked=before),
    )
    visit = VisitNotes(today, ())
    file = HorseFile(Subject("Tilly"), (visit,), promises)
    text = flat(owner_summary(file, visit, writer))
    late = (
        "Ring me, due Wednesday 4 November 2026 and still open, agreed on 28 Oct 2026 (if he is "
        "no better)"
    )
    assert late in text
    assert "Pick the feet out." in text
    assert "Bring pads, by Wednesday 9 December 2026." in text
    assert "Radiographs, agreed on 28 Oct 2026." in text
    assert "Radiographs, agreed on 28 Oct 2026." in flat(vet_letter(file, visit, writer))
    again = replace(file, promises=(*promises, replace(call, asked=today)))
    twice = flat(owner_summary(again, visit, writer))
    assert twice.count("Ring me") == 1
    assert "agreed on 28 Oct 2026 (if" not in twice


def test_without_a_name_there_is_a_line_to_write_it_on(writer: Writer) -> None:
    """“From farrier” looks like a name; a paper is signed by a person."""
    visit = VisitNotes(date(2026, 11, 25), ())
    file = HorseFile(Subject("Tilly"), (visit,))
    today = visit.day
    for nameless, head in ((Writer(), "_" * 24), (Writer(contact="5 Mill Lane"), "5 Mill Lane")):
        for paper in (
            owner_summary(file, visit, nameless),
            vet_letter(file, visit, nameless),
            horse_record(file, nameless),
            neglect_record(file, nameless, today, chain_ok=True),
        ):
            (stated,) = [v for k, v in paper.facts if k in ("Farrier", "From", "Stated by")]
            assert "farrier" not in stated
            assert head in stated
    assert dict(vet_letter(file, visit, writer).facts)["From"] == writer.signature()


def test_each_correction_stands_apart_from_the_words_before_it(writer: Writer) -> None:
    flare = Fact(FactKind.FINDING, "flare", (Foot.LF,), FootBasis.SAID, id="f")
    change = Correction(None, 2, "misheard", (flare,), (replace(flare, feet=(Foot.RF,)),))
    visit = VisitNotes(
        date(2026, 11, 25), (flare,), ("and the dog ran off",), corrections=(change,)
    )
    text = to_text(horse_record(HorseFile(Subject("Tilly"), (visit,)), writer))
    assert "As spoken: And the dog ran off.\n\nCorrected on an unknown day, revision 2" in text


def test_what_the_owner_told_is_not_said_to_be_told_twice(writer: Writer) -> None:
    told = Fact(FactKind.FINDING, "forging", historical=True, reporter=Reporter.OWNER)
    visit = VisitNotes(date(2026, 11, 25), (told,))
    text = flat(owner_summary(HorseFile(Subject("Tilly"), (visit,)), visit, writer))
    assert "You told me: - Whole horse: forging (earlier)." in text
    before = replace(visit, other_owner=True)
    text = flat(owner_summary(HorseFile(Subject("Tilly"), (before,)), before, writer))
    assert "I was told: - Whole horse: forging (earlier), owner says." in text


def test_the_owner_reads_todays_handling_once(writer: Writer) -> None:
    kicked = Fact(FactKind.HANDLING, "kicked", (Foot.RH,), FootBasis.SAID)
    today = VisitNotes(date(2026, 11, 25), (kicked,))
    cautions = ("right hind, kicked (25 Nov 2026)", "snatched the foot away (29 Jul 2026)")
    paper = flat(owner_summary(HorseFile(Subject("Tilly"), (today,), cautions=cautions),
                               today, writer))  # fmt: skip
    assert paper.count("kicked") == 1
    assert "Caution: snatched the foot away (29 Jul 2026)" in paper


def test_a_record_of_one_day_is_of_that_day(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), ())
    assert horse_record(HorseFile(Subject("Tilly"), (visit,)), writer).subtitle == (
        "25 Nov 2026, 1 visit"
    )


def test_that_no_work_was_noted_does_not_say_that_none_was_done(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), ())
    for paper in (vet_letter, owner_summary):
        text = flat(paper(HorseFile(Subject("Tilly"), (visit,)), visit, writer))
        assert "No work was noted." in text


def test_dropped_and_done_promises_are_not_asked_again(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), ())
    promises = (Promise("soak", "owner", state="done"), Promise("films", "vet", state="dropped"))
    file = HorseFile(Subject("Tilly"), (visit,), promises)
    text = flat(owner_summary(file, visit, writer))
    assert "Soak" not in text
    assert "Films" not in text
    assert "Nothing in particular" in text


def test_a_unit_that_was_not_spoken_is_marked() -> None:
    girth = Fact(
        FactKind.MEASUREMENT, "girth", quantity=Quantity(76, Unit.INCH, unit_inferred=True)
    )
    table = measure_table([girth])
    assert isinstance(table, Table)
    assert table.rows == (("whole horse", "girth", "76 in (1930 mm) *"),)
    assert table.caption.startswith("* The unit was not spoken")


def test_before_a_visit_each_foot_has_its_last_measures_whenever_taken(writer: Writer) -> None:
    """A visit that measured one foot must not take the others off the page."""

    def toe(foot: Foot, inches: float) -> Fact:
        return Fact(FactKind.MEASUREMENT, "toe_length", (foot,), FootBasis.SAID,
                    quantity=Quantity(inches, Unit.INCH))  # fmt: skip

    depth = Fact(FactKind.MEASUREMENT, "depth", (Foot.LH,), FootBasis.SAID,
                 quantity=Quantity(0.25, Unit.INCH))  # fmt: skip
    first = VisitNotes(date(2026, 10, 1), (toe(Foot.LF, 3.5), toe(Foot.RF, 3.25), depth))
    last = VisitNotes(date(2026, 11, 1), (toe(Foot.LF, 3.0),))
    file = HorseFile(Subject("Willow"), (first, last))
    tables = [b for b in before_visit(file, writer, date(2026, 12, 1)).blocks
              if isinstance(b, Table)]  # fmt: skip
    assert tables[0].rows == (
        ("left front", "toe length", "3 in (76 mm)", "1 Nov 2026"),
        ("right front", "toe length", "3 1/4 in (83 mm)", "1 Oct 2026"),
    ), "the depth of a finding of an earlier visit says nothing without it"


def test_a_measure_without_a_foot_is_not_of_the_whole_horse() -> None:
    lost = Fact(FactKind.MEASUREMENT, "toe_length", (), FootBasis.UNSTATED,
                quantity=Quantity(3, Unit.INCH))  # fmt: skip
    table = measure_table([lost])
    assert isinstance(table, Table)
    assert table.rows[0][0] == "not stated"


def test_an_urgent_promise_is_marked_on_the_farriers_own_pages(writer: Writer) -> None:
    promise = Promise("veterinarian to see the horse", "vet", urgent=True, code="vet_visit")
    file = HorseFile(Subject("Storm"), promises=(promise,))
    wanted = "URGENT, vet: Veterinarian to see the horse."
    assert wanted in flat(before_visit(file, writer, date(2026, 12, 1)))
    assert wanted in flat(day_sheet([BarnStop("", (file,))], writer, date(2026, 12, 1)))


def test_what_to_call_a_vet_for_stands_before_everything_else(writer: Writer) -> None:
    visit = VisitNotes(date(2026, 11, 25), (), red_flags=("Call a veterinarian now: signs.",))
    file = HorseFile(Subject("Storm"), (visit,), cautions=("kicked (30 Sep 2026)",))
    text = flat(before_visit(file, writer, date(2026, 12, 1)))
    assert text.index("Safety first") < text.index("Call a vet") < text.index("Caution: kicked")


def test_the_letter_asks_the_vet_to_come_in_words_for_the_vet(writer: Writer) -> None:
    def see(words: str = "", due: date | None = None) -> Promise:
        what = f"veterinarian to see the horse: {words}" if words else "veterinarian to see"
        return Promise(what, "vet", due, code="vet_visit")

    on = date(2026, 11, 25)
    assert asked_of_vet((see("vet's coming"), see("call the vet", on), see())) == [
        "Please see the horse, by Wednesday 25 November 2026."
    ]
    assert asked_of_vet((see(),)) == ["Please see the horse."]
    assert asked_of_vet((see("vet to look at the swelling above the knee"),)) == [
        "Please see the horse: vet to look at the swelling above the knee."
    ]


def test_the_letter_says_todays_handling_once(writer: Writer) -> None:
    pulled = Fact(FactKind.HANDLING, "pulled_away", (Foot.RH,), FootBasis.SAID)
    visit = VisitNotes(date(2026, 11, 25), (pulled,))
    file = HorseFile(
        Subject("Bramble"),
        (visit,),
        cautions=("young or unhandled (25 Nov 2026)", "both hinds, kicked (29 Jul 2026)"),
    )
    text = flat(vet_letter(file, visit, writer)).partition("Handling")[2]
    assert "young or unhandled" not in text
    assert "Both hinds, kicked (29 Jul 2026)" in text


def test_the_owner_is_told_once_to_have_the_horse_seen(writer: Writer) -> None:
    coming = Promise("veterinarian to see the horse: vet's coming", "vet", code="vet_visit")
    called = replace(
        coming, what="veterinarian to see the horse: call the vet", due=date(2026, 11, 25)
    )
    visit = VisitNotes(date(2026, 11, 25), ())
    text = flat(
        owner_summary(HorseFile(Subject("Storm"), (visit,), (called, coming)), visit, writer)
    )
    asked = text.partition("please arrange it):")[2]
    assert "See the horse, by Wednesday 25 November 2026." in asked
    assert "coming" not in asked


def test_the_letter_does_not_tell_the_vet_to_call_a_vet(writer: Writer) -> None:
    """Each flag is worded for an owner; to a veterinarian it is what was seen, and how urgent."""
    from fieldlog.core.redflags import _RULES, DEFER

    flags = tuple(f"{rule.text} {DEFER}" for rule in _RULES)
    visit = VisitNotes(date(2026, 11, 25), (), red_flags=flags)
    text = flat(vet_letter(HorseFile(Subject("Storm"), (visit,)), visit, writer))
    assert "a veterinarian:" not in text
    assert "a veterinarian now" not in text
    assert "Urgent, as I see it: signs that may be laminitis. " in text
    assert "Urgent, as I see it: something has gone into the foot. " in text
    assert "For your early attention: lameness that is plain at the walk. " in text
    assert "For your early attention: this may be an abscess. " in text
    assert text.count("Urgent, as I see it") + text.count("For your early") == len(flags)


def test_two_depths_on_one_foot_are_told_apart() -> None:
    def depth(inches: float, place: str) -> Fact:
        return Fact(FactKind.MEASUREMENT, "depth", (Foot.LH,), FootBasis.SAID, (place,),
                    quantity=Quantity(inches, Unit.INCH))  # fmt: skip

    table = measure_table([depth(0.25, "toe"), depth(0.5, "central_sulcus")])
    assert isinstance(table, Table)
    assert table.rows[0][2] == "toe: 1/4 in (6 mm), central sulcus: 1/2 in (13 mm)"


def test_a_day_without_a_visit_is_not_told_as_one(writer: Writer) -> None:
    """“Nothing out of the ordinary was noted” of a horse that nobody looked at says too much."""
    called_off = VisitNotes(date(2026, 11, 20), (), visited=False)
    file = HorseFile(Subject("Tilly"), (called_off,), (Promise("next trim"),))
    owner = flat(owner_summary(file, called_off, writer))
    assert "I did not see Tilly on this day." in owner
    letter = flat(vet_letter(file, called_off, writer))
    assert "when I did not see the horse" in letter
    for empty in ("Nothing out of the ordinary", "No work was noted", "Nothing further was noted"):
        assert empty not in owner + letter
    assert "Next trim." in owner
    seen = replace(called_off, visited=True)
    assert "did not see" not in flat(owner_summary(file, seen, writer))
