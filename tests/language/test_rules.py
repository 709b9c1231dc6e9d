"""One small test per behaviour of the rules. Common practice unless a source is named."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, Reporter, Trend
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot
from fieldlog.core.units import Unit

Lines = Callable[[str], list[str]]
Facts = Callable[[str], list[Fact]]


# --- feet ---------------------------------------------------------------------------------------


def test_near_is_left_and_off_is_right(facts: Facts) -> None:
    """Source: equestrianandhorse.com, gaits page."""
    assert facts("near hind thrush")[0].feet == (Foot.LH,)
    assert facts("off fore thrush")[0].feet == (Foot.RF,)


@pytest.mark.parametrize(
    ("words", "feet"),
    [
        ("both fronts", FRONTS),
        ("the hinds", HINDS),
        ("in front", FRONTS),
        ("behind", HINDS),
        ("all four", ALL_FEET),
        ("all round", ALL_FEET),
        ("left front and right hind", (Foot.LF, Foot.RH)),
        ("front left", (Foot.LF,)),
    ],
)
def test_sets_of_feet(words: str, feet: tuple[Foot, ...], facts: Facts) -> None:
    assert facts(f"trimmed {words}")[0].feet == feet


def test_foot_is_carried_on_and_says_so(facts: Facts) -> None:
    first, second = facts("left hind thrush in the frog. bruise at the toe.")
    assert (first.foot_basis, second.foot_basis) == (FootBasis.SAID, FootBasis.CARRIED)
    assert second.feet == (Foot.LH,)
    assert "left hind" in second.why_foot


def test_foot_named_after_the_finding(facts: Facts) -> None:
    assert facts("bruise at the toe right front")[0].feet == (Foot.RF,)


def test_the_other_one_is_the_mate(facts: Facts) -> None:
    second = facts("left hind thrush. the other one is clean.")[1]
    assert second.feet == (Foot.RH,)
    assert second.foot_basis is FootBasis.OTHER_OF_PAIR


def test_bare_side_uses_the_end_in_hand(facts: Facts) -> None:
    found = facts("both hinds trimmed. crack on the left.")
    assert found[-1].feet == (Foot.LH,)
    assert not {d.code for d in found[-1].doubts} & {"foot_assumed", "foot_unstated"}


def test_bare_side_without_an_end_is_a_guess_to_ask_about(facts: Facts) -> None:
    fact = facts("crack on the left")[0]
    assert fact.feet == (Foot.LF,)
    assert fact.foot_basis is FootBasis.ASSUMED
    assert [d.code for d in fact.doubts] == ["foot_assumed"]
    assert fact.readings[0].changes == {"feet": ["LH"]}


def test_no_foot_at_all_is_asked_about(facts: Facts) -> None:
    fact = facts("bruise at the toe")[0]
    assert fact.feet == ()
    assert fact.foot_basis is FootBasis.UNSTATED


def test_left_and_right_as_other_words_are_no_feet(facts: Facts) -> None:
    assert facts("thrush in the near hind, left it alone")[1].feet == (Foot.LH,)
    assert facts("all right, crack right at the toe, off hind")[0].feet == (Foot.RH,)


def test_all_four_of_a_job_is_not_carried_to_a_finding(facts: Facts) -> None:
    assert facts("trimmed all four. bit of thrush.")[1].foot_basis is FootBasis.UNSTATED


def test_same_on_the_other_foot_copies(lines: Lines) -> None:
    assert lines("left front toe three and a half. same on the right.") == [
        "left front · toe length · 3 1/2 in",
        "right front · toe length · 3 1/2 in",
    ]


# --- places -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("crack in the inside quarter", "medial_quarter"),
        ("crack, outside heel", "lateral_heel"),
        ("separation at two o'clock", "clock_2"),
        ("thrush in the central sulcus", "central_sulcus"),
        ("bruise at the seat of corn, inside", "medial_seat_of_corn"),
    ],
)
def test_places(words: str, place: str, facts: Facts) -> None:
    assert facts(f"left front {words}")[0].places == (place,)


# --- negation -----------------------------------------------------------------------------------


def test_no_runs_along_a_list(facts: Facts) -> None:
    found = facts("left hind no thrush cracks or heat")
    assert [f.code for f in found] == ["thrush", "crack", "heat"]
    assert all(f.negated for f in found)


def test_negation_stops_at_but_and_at_an_article(facts: Facts) -> None:
    assert [f.negated for f in facts("left hind no thrush but a crack at the toe")] == [True, False]
    assert [f.negated for f in facts("left hind no thrush, a bruise on the sole")] == [True, False]


def test_negation_stops_at_another_foot(facts: Facts) -> None:
    assert [f.negated for f in facts("left hind no thrush right hind thrush")] == [True, False]


@pytest.mark.parametrize(
    "words",
    [
        "no sign of thrush",
        "didn't see any thrush",
        "free of thrush",
        "ruled out thrush",
        "not thrush",
    ],
)
def test_negation_triggers(words: str, facts: Facts) -> None:
    assert facts(f"left hind {words}")[0].negated


@pytest.mark.parametrize("words", ["no doubt thrush", "can't rule out thrush", "not bad thrush"])
def test_look_alikes_do_not_negate(words: str, facts: Facts) -> None:
    assert not facts(f"left hind {words}")[-1].negated


def test_not_looked_at_is_not_negative(facts: Facts) -> None:
    fact = facts("haven't looked at the hinds")[0]
    assert (fact.code, fact.negated, fact.feet) == ("not_examined", False, HINDS)


def test_sound_is_of_the_whole_horse(facts: Facts) -> None:
    fact = facts("Sound.")[0]
    assert (fact.code, fact.negated, fact.feet) == ("sound", False, ())
    fact = facts("left hind clean not lame")[1]
    assert (fact.code, fact.negated) == ("lameness", True)


# --- doubt, history, reporter -------------------------------------------------------------------


@pytest.mark.parametrize("word", ["laminitis", "foundered", "navicular", "a keratoma", "sidebone"])
def test_disease_words_are_always_suspicions(word: str, facts: Facts) -> None:
    """Only a veterinarian diagnoses (Veterinary Surgeons Act 1966 s.19, RCVS guidance ch. 19)."""
    assert facts(f"left front {word}")[0].uncertain


def test_reported_disease_is_reported_not_suspected(facts: Facts) -> None:
    fact = facts("vet says laminitis in both fronts")[0]
    assert (fact.reporter, fact.uncertain) == (Reporter.VET, False)


@pytest.mark.parametrize(
    "words", ["might be a bruise", "looks like a bruise", "bruise i'd say", "maybe a bruise"]
)
def test_doubt(words: str, facts: Facts) -> None:
    assert facts(f"left front {words}")[0].uncertain


def test_alternatives_name_each_other(facts: Facts) -> None:
    first, second = facts("left front might be an abscess might be the shoe")
    assert first.details["alternative"] == second.code
    assert second.details["alternative"] == first.code


def test_history(facts: Facts) -> None:
    assert not facts("old bruise at the toe left front")[0].historical
    assert facts("old event line on both fronts")[0].historical
    assert facts("he had thrush last winter left hind")[0].historical


def test_owner_says(facts: Facts) -> None:
    fact = facts("owner says he was stumbling")[0]
    assert fact.reporter is Reporter.OWNER


# --- comparison ---------------------------------------------------------------------------------


def test_compared_with_the_last_visit_and_with_a_foot(facts: Facts) -> None:
    fact = facts("left hind thrush better than last time")[0]
    assert fact.comparison is not None
    assert (fact.comparison.trend, fact.comparison.against) == (Trend.BETTER, "last_visit")
    fact = facts("right hind's better than the left")[0]
    assert fact.comparison is not None
    assert (fact.feet, fact.comparison.against) == ((Foot.RH,), "LH")


def test_gone_is_negative(facts: Facts) -> None:
    fact = facts("left hind the thrush has cleared up")[0]
    assert fact.negated
    assert fact.comparison is not None
    assert fact.comparison.trend is Trend.GONE


# --- measurements -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "code", "value", "unit"),
    [
        ("toe's three and a quarter", "toe_length", 3.25, Unit.INCH),
        ("toe eighty four mil", "toe_length", 84, Unit.MM),
        ("toe fifty two", "toe_angle", 52, Unit.DEGREE),
        ("fifty two degrees", "toe_angle", 52, Unit.DEGREE),
        ("heel's at forty six", "heel_angle", 46, Unit.DEGREE),
        ("three inches of toe", "toe_length", 3, Unit.INCH),
        ("a fifty two degree toe", "toe_angle", 52, Unit.DEGREE),
        ("sole depth twelve mil", "sole_depth", 12, Unit.MM),
    ],
)
def test_values(words: str, code: str, value: float, unit: Unit, facts: Facts) -> None:
    fact = facts(f"left front {words}")[0]
    assert fact.quantity is not None
    assert (fact.code, fact.quantity.value, fact.quantity.unit) == (code, value, unit)
    assert fact.feet == (Foot.LF,)


def test_unsaid_unit_is_marked_and_the_other_is_offered(facts: Facts) -> None:
    fact = facts("left front toe seventy five")[0]
    other = {r.changes.get("code") for r in fact.readings}
    assert (fact.code, "toe_angle" in other) == ("toe_length", True)
    fact = facts("left front toe sixty two")[0]
    assert any(r.changes.get("code") == "toe_length" for r in fact.readings)
    fact = facts("left front toe three and a half")[0]
    assert fact.quantity is not None
    assert fact.quantity.unit_inferred
    assert not fact.doubts
    two_ways = facts("left front toe seventy five")[0]
    assert two_ways.readings


def test_unit_said_later_counts_for_its_neighbour(facts: Facts) -> None:
    first, second = facts("inside heel forty one outside thirty six mil off fore")
    assert first.quantity is not None
    assert first.quantity.unit is Unit.MM
    assert first.feet == second.feet == (Foot.RF,)


def test_implausible_value_is_asked_about_and_kept(facts: Facts) -> None:
    fact = facts("left front toe is fourteen inches")[0]
    assert fact.quantity is not None
    assert fact.quantity.value == 14
    assert "out_of_range" in [d.code for d in fact.doubts]


def test_before_and_after(facts: Facts) -> None:
    found = facts("left front toe four and a half before three and a half after")
    assert [f.details["moment"] for f in found] == ["before", "after"]


def test_hands(facts: Facts) -> None:
    """Four inches to the hand: fifteen two is 15.5 hands."""
    fact = facts("stands fifteen two")[0]
    assert fact.quantity is not None
    assert (fact.quantity.value, fact.quantity.unit) == (15.5, Unit.HAND)


def test_size_of_a_finding_and_depth(facts: Facts) -> None:
    fact = facts("left front quarter crack about an inch long")[0]
    assert fact.quantity is not None
    assert (fact.quantity.value, fact.quantity.unit) == (1, Unit.INCH)
    depth = facts("left front separation at the toe probes half an inch")[1]
    assert (depth.code, depth.places) == ("depth", ("toe",))


def test_scales_are_kept_never_converted(facts: Facts) -> None:
    """AAEP 0-5 and UK 0-10 are not multiples (equinepainmatters.com; Vet Times 2015-12-07)."""
    aaep = facts("trotted him two out of five left front")[-1]
    british = facts("lame four out of ten left front")[-1]
    assert aaep.details["scale"] == "aaep_0_5"
    assert british.details["scale"] == "uk_0_10"
    assert british.quantity is not None
    assert british.quantity.value == 4


# --- work ---------------------------------------------------------------------------------------


def test_work_amount(facts: Facts) -> None:
    fact = facts("took a quarter inch off the toes in front")[0]
    assert (fact.code, fact.feet) == ("shorten_toe", FRONTS)
    assert fact.quantity is not None
    assert fact.quantity.value == 0.25


def test_work_not_done_has_its_reason(facts: Facts) -> None:
    fact = facts("didn't trim the off hind he wouldn't stand")[0]
    assert (fact.code, fact.negated, fact.details["reason"]) == ("trim", True, "would_not_stand")


def test_work_for_next_time_is_planned(facts: Facts) -> None:
    fact = facts("i'll put pads on the fronts next time")[0]
    assert (fact.code, fact.planned) == ("pad", True)


def test_shoe_particulars(facts: Facts) -> None:
    fact = facts("new set in front size two side clips e four slim six nails")[0]
    assert fact.details == {"size": "2", "clips": "side", "nails": "E 4 slim", "nail_count": "6"}


def test_a_horse_called_copper_is_no_material(
    entries: Callable[..., tuple[Entry, ...]],
) -> None:
    said = "still copper reset the fronts same shoes six nails each"
    (entry,) = entries(said, "Copper")
    (reset,) = entry.facts
    assert reset.details == {"nail_count": "6"}
    (other,) = entries("bramble new shoes in front six copper nails each", "Bramble")
    assert {f.details.get("material") for f in other.facts} == {"copper"}


def test_bare_shoe_size_implies_the_job_and_asks(facts: Facts) -> None:
    fact = facts("triple aught behind")[0]
    assert (fact.code, fact.details["size"]) == ("shoe", "000")
    assert "implied_work" in [d.code for d in fact.doubts]


# --- follow-ups ---------------------------------------------------------------------------------


def test_condition_before_and_after_the_follow_up(facts: Facts) -> None:
    before = facts("if he's no better in two weeks ring the vet")[0]
    assert (before.code, before.details["condition"]) == ("vet_visit", "if he's no better")
    assert before.due is not None
    assert before.due.period == "P2W"
    after = facts("ring me if he's worse")
    assert [f.code for f in after] == ["call"]
    assert after[0].details["condition"] == "if he's worse"


def test_owner_is_to_do_it(facts: Facts) -> None:
    fact = facts("owner to pick out the feet every day for two weeks")[0]
    assert (fact.kind, fact.code) == (FactKind.FOLLOW_UP, "owner_care")
    assert fact.details["who"] == "owner"


def test_bare_weeks_are_the_next_visit(facts: Facts) -> None:
    fact = facts("Trimmed all four. Six weeks.")[-1]
    assert fact.code == "next_trim"
    assert fact.due is not None
    assert fact.due.period == "P6W"


def test_cycle(facts: Facts) -> None:
    fact = facts("put her on a five week cycle")[0]
    assert fact.due is not None
    assert (fact.code, fact.due.period) == ("cycle", "P5W")


def test_what_is_rechecked_is_not_found_again(facts: Facts) -> None:
    assert [f.code for f in facts("recheck the crack in five weeks")] == ["recheck"]


# --- corrections --------------------------------------------------------------------------------


def corrections(entries: Callable[..., tuple[Entry, ...]], text: str) -> list[str]:
    return [c.kind for e in entries(text) for c in e.corrections]


def test_scratch_that_keeps_both_sides(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("left front thrush in the frog. crack at the toe. scratch that.")[0]
    assert [f.code for f in entry.facts] == ["thrush"]
    assert [f.code for f in entry.corrections[0].before] == ["toe_crack"]


def test_make_it(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("left front toe three and a half no make it three and a quarter")[0]
    quantity = entry.facts[0].quantity
    assert quantity is not None
    assert quantity.value == 3.25
    before = entry.corrections[0].before[0].quantity
    assert before is not None
    assert before.value == 3.5


def test_it_was_the_other_foot(entries: Callable[..., tuple[Entry, ...]]) -> None:
    text = (
        "right hind crack at the toe bruise on the sole "
        "cancel that it was the left hind not the right"
    )
    entry = entries(text)[0]
    assert [(f.code, f.feet) for f in entry.facts] == [
        ("toe_crack", (Foot.LH,)),
        ("bruise", (Foot.LH,)),
    ]
    assert entry.corrections[0].kind == "move_foot"


def test_leave_one_in_and_take_one_out(entries: Callable[..., tuple[Entry, ...]]) -> None:
    text = "left hind thrush. crack at the toe. no leave the thrush bit in i meant the crack"
    entry = entries(text)[0]
    assert [f.code for f in entry.facts] == ["thrush"]
    assert entry.corrections[0].kind == "restore"


def test_time_corrected(facts: Facts) -> None:
    due = facts("six weeks make it five")[0].due
    assert due is not None
    assert due.period == "P5W"


def test_correction_words_in_ordinary_speech_do_nothing(
    entries: Callable[..., tuple[Entry, ...]],
) -> None:
    assert corrections(entries, "left front no thrush, it was sore at the toe, actually fine") == []


# --- horses -------------------------------------------------------------------------------------


def test_two_horses(entries: Callable[..., tuple[Entry, ...]]) -> None:
    found = entries("left front thrush. next horse Juniper. right hind crack.")
    assert [e.horse.name if e.horse else None for e in found] == [None, "Juniper"]
    assert [[f.code for f in e.facts] for e in found] == [["thrush"], ["crack"]]


def test_known_name_opens_a_part(entries: Callable[..., tuple[Entry, ...]]) -> None:
    found = entries("storm left front thrush", "Storm", "Juniper")
    assert found[0].horse is not None
    assert (found[0].horse.name, found[0].horse.known) == ("Storm", True)


def test_corrected_colour_of_a_horse(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("next one's the grey mare, er, bay mare, Tilly")[0]
    assert entry.horse is not None
    assert entry.horse.name == "Tilly"
    assert entry.horse.details == {"colour": "bay", "sex": "mare"}
    assert [c.kind for c in entry.corrections] == ["replace_word"]


def test_a_foot_is_not_carried_to_the_next_horse(entries: Callable[..., tuple[Entry, ...]]) -> None:
    found = entries("left front thrush. next horse Juniper. bruise at the toe.")
    assert found[1].facts[0].foot_basis is FootBasis.UNSTATED


# --- red flags ----------------------------------------------------------------------------------


def test_red_flag_calls_a_veterinarian_once(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("off hind nail in the sole")[0]
    assert entry.red_flags
    assert entry.facts[0].code == "vet_visit"
    spoken = entries("off hind nail in the sole call the vet today")[0]
    assert [f.code for f in spoken.facts].count("vet_visit") == 1


# --- mis-hearings -------------------------------------------------------------------------------


def test_mended_word_is_marked(facts: Facts) -> None:
    fact = facts("near four thrush")[0]
    assert fact.feet == (Foot.LF,)
    assert "changed_word" in [d.code for d in fact.doubts]


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("this is the bay gelding Domino left front thrush", "Domino"),
        ("next horse domino left front thrush", "Domino"),
        ("moving on to the hinds thrush", None),
        ("this is a good foot", None),
        ("this one is fine", None),
    ],
)
def test_unlisted_names(
    words: str, name: str | None, entries: Callable[..., tuple[Entry, ...]]
) -> None:
    found = entries(words)
    assert len(found) == 1
    assert (found[0].horse.name if found[0].horse else None) == name


def test_one_known_name_anywhere_is_the_horse(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("trimmed domino all four", "Domino")[0]
    assert entry.horse is not None
    assert (entry.horse.name, entry.horse.known) == ("Domino", True)


def test_what_came_off_says_which_job(facts: Facts) -> None:
    found = facts("took a good half inch off both front toes and a quarter off the heels behind")
    assert [(f.code, f.feet) for f in found] == [("shorten_toe", FRONTS), ("lower_heel", HINDS)]


def test_value_against_value_is_the_other_foot(facts: Facts) -> None:
    found = facts("right front clubby fifty eight against fifty two")
    assert [f.feet for f in found[1:]] == [(Foot.RF,), (Foot.LF,)]


def test_past_times_are_no_follow_ups(facts: Facts) -> None:
    found = facts("left hind abscess two weeks ago, back in august he was lame")
    assert not [f for f in found if f.kind is FactKind.FOLLOW_UP]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("left front toe three and a quarter no wait three and a half",
         "left front · toe length · 3 1/2 in"),
        ("left front thrush that was right front not left front", "right front · thrush"),
        ("i said left hind crack i meant right hind", "right hind · crack"),
        ("thrush in the right hind make that the left", "left hind · thrush"),
        ("trimmed the fronts i mean the hinds", "both hinds · trim"),
        ("both fronts reset six nails no eight nails", "both fronts · reset · 8 nails"),
        ("shod in front size one no size two", "both fronts · new shoe · size 2"),
        ("recheck in four weeks no make that five weeks", "recheck · five weeks (2026-12-30)"),
    ],
)  # fmt: skip
def test_corrections_in_other_words(words: str, line: str, lines: Lines) -> None:
    assert lines(words) == [line]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ("no thrush except in the left hind", "left hind · thrush"),
        ("the hinds are thrush free", "both hinds · no thrush"),
        ("neither hind has any thrush", "both hinds · no thrush"),
        ("left front no longer sore", "left front · no soreness"),
        ("not much thrush left hind", "left hind · thrush · mild"),
        ("left hind crack isn't any longer than last time",
         "left hind · crack · unchanged since last visit"),
    ],
)  # fmt: skip
def test_denials_in_other_words(words: str, line: str, lines: Lines) -> None:
    assert lines(words) == [line]
