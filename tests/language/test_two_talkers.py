"""Ways of saying what the rules know that two more writers brought."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, Reporter, Severity
from fieldlog.core.feet import FRONTS, HINDS, Foot

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("Left hind shoe was snug.", "not shoe_loose"),
        ("Right front, the pad's holding.", "not pad_loose"),
        ("The hinds are boring.", "normal"),
        ("Left front looks all right.", "normal"),
        ("Left front, the pulse is slamming.", "bounding_pulse"),
        ("The right hind toe is curled up like a jester shoe.", "overgrown"),
        ("Right front has bits gone from the wall.", "wall_broken"),
        ("There's a ridge all the way round it, left front.", "event_line"),
        ("Pebble jammed in beside the frog, left hind.", "stone_lodged"),
        ("Bar on the left front is laying flat on the sole.", "folded_bar"),
        ("Walls coming away on the left front.", "wall_separation"),
        ("Found the spot where it broke out, right hind.", "abscess_track"),
        ("He winced when I poked it, left front.", "sore"),
        ("Left hind, he flinched when I squeezed it.", "tester_positive"),
        ("That mare can't get up.", "will_not_rise"),
        ("The left hind shoe's been digging in the bar.", "shoe_pressure"),
        ("Right hind frog's been weeping black.", "thrush"),
        ("There's a hole at the coronet on the left front where it popped.", "abscess_track"),
        ("Got a dribble of brown muck out of the left front.", "discharge"),
        ("Caught her with the heel nail, right front.", "quick_nail"),
        ("There's a catch in his stride behind.", "lameness"),
        ("Left front bells out at the ground.", "flare"),
        ("Feet were ridiculous long.", "overgrown"),
        ("I can dent the sole with a thumb, left front.", "thin_sole"),
        ("Three nails gone off the right front.", "nail_missing"),
        ("Left front pad's worked loose.", "pad_loose"),
        ("He's easing off the left front.", "shifting_weight"),
        ("His head was bobbing up and down.", "head_nod"),
        ("Left front toed in. Right front's straight enough.", "not toed_in"),
        ("Sheared heel on the left front, right front's level.", "not sheared_heel"),
        ("His angles match.", "not mismatched"),
        ("Right front wall's all flaky.", "dry_horn"),
        ("He isn't fond of the gravel.", "sore"),
        ("Not enough heel to her in front.", "low_heel"),
        ("Hardly any frog left, and it has withered away to a string, left hind.", "frog_atrophy"),
        ("Split at the inside heel, left hind.", "heel_crack"),
        ("Testers didn't show up anything.", "tester_negative"),
        ("Left hind came off in the bog.", "shoe_lost"),
        ("She isn't moving quite right.", "lameness"),
        (
            "Off he walked as if nothing had happened, he jogged away like nothing was wrong.",
            "sound",
        ),
        ("Left front was tender with the squeeze.", "tester_positive"),
        ("Near hind pastern's as thick as a post.", "swelling"),
        ("Toes were way out in the next parish, both fronts.", "long_toe"),
        ("There's a pile of foot on her, heaps of hoof on her.", "overgrown"),
        ("Heels were lying flat in front.", "underrun"),
        ("Heels are standing up on the left front.", "high_heel"),
        ("Off hind's tilted to the outside.", "imbalance"),
        ("A knife went right up the white line, left front.", "white_line_separation"),
        ("Clenches were poking out on the near fore.", "clench_risen"),
        ("She keeps touching behind.", "interference"),
        ("Tendon boots had rubbed both hinds.", "rub"),
        ("Left front testers, not a peep.", "tester_negative"),
        ("Bulbs are split on the near fore.", "heel_crack"),
        ("Hind toes: worn clean off at the toe, left hind.", "worn_hoof"),
        ("The wall's in rags on the off hind.", "wall_broken"),
        ("She tore the outside quarter off, right front.", "wall_broken"),
        ("Nails are poking through on the left front.", "clench_risen"),
        ("He didn't want that foot touched, left front.", "sore"),
        ("Left front's fixing to burst.", "abscess"),
        ("She pushes the wall out on the right hind.", "flare"),
        ("Nail went too deep on the left front.", "quick_nail"),
        ("He isn't stepping out in front.", "short_strided"),
        ("She's clacking her shoes together.", "forging"),
        ("He dings himself, left hind.", "interference"),
        ("Pulse was hardly noticeable in the left front.", "not digital_pulse"),
        ("Heels are sucked in tight on the near fore.", "contracted_heel"),
        ("I could wiggle the heel bulbs, right front.", "sheared_heel"),
        ("Left hind had worked itself loose.", "shoe_loose"),
        ("The near fore was twisted right round.", "shoe_sprung"),
        ("Pebbles were packed up into the left hind.", "stone_lodged"),
        ("She's holding the off hind up.", "not_weight_bearing"),
    ],
)
def test_a_finding_said_another_way(words: str, code: str, facts: Facts) -> None:
    found = [("not " if f.negated else "") + f.code for f in facts(words)]
    assert code in found


@pytest.mark.parametrize(
    ("words", "code", "feet"),
    [
        ("Bars are laid over on the left front, took them down.", "pare_bar", (Foot.LF,)),
        ("Left front clenches were up, tapped them down.", "clinch", (Foot.LF,)),
        ("Heels were tall in front, took them down.", "lower_heel", FRONTS),
        ("Had the shoes off behind.", "pull", HINDS),
        ("Eased all the edges round in front.", "mustang_roll", FRONTS),
        ("Took a touch off the hinds.", "trim", HINDS),
        ("Bound it up, left front.", "wrap", (Foot.LF,)),
        ("Left the hinds as they were.", "leave_alone", HINDS),
        ("Old fronts went straight back on.", "reset", FRONTS),
        ("Doused the left hind with some iodine.", "treat", (Foot.LH,)),
        ("Looked the right hind over.", "examine", (Foot.RH,)),
        ("Got him nice and level behind.", "balance", HINDS),
        ("Whipped his front shoes off.", "pull", FRONTS),
        ("Hung on new plates behind.", "shoe", HINDS),
        ("Gave it a shot of iodine, left hind.", "treat", (Foot.LH,)),
        ("Freshened up the hinds.", "trim", HINDS),
        ("Switched him into alloys in front.", "shoe", FRONTS),
        ("Hinds went back on.", "reset", HINDS),
        ("Snugged those up, left front.", "clinch", (Foot.LF,)),
        ("Alloys on the fronts.", "shoe", FRONTS),
        ("Stuck it on with glue, near fore.", "glue_on", (Foot.LF,)),
        ("Cut down till I found it, off hind.", "open_track", (Foot.RH,)),
        ("Tucked the toes back in under her in front.", "set_back_toe", FRONTS),
        ("Got more heel under her behind.", "raise_heel", HINDS),
        ("Gave the foot a proper wash, left hind.", "clean_out", (Foot.LH,)),
        ("Made it a drain hole, right front.", "open_track", (Foot.RF,)),
        ("The near hind got a splash of bleach.", "treat", (Foot.LH,)),
        ("Leather and oakum in front.", "pad", FRONTS),
        ("Re-clenched the off fore.", "clinch", (Foot.RF,)),
    ],
)
def test_a_job_said_another_way(
    words: str, code: str, feet: tuple[Foot, ...], facts: Facts
) -> None:
    assert (code, feet) in [(f.code, f.feet) for f in facts(words)]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("Gave him a going over, all four.", "trim"),
        ("Never got round to the hinds.", "not trim"),
        ("Skipped the rest.", "not trim"),
        ("Gave the off fore a miss.", "not trim"),
        ("He hangs all his weight on me.", "leaned"),
        ("Calm as you please.", "stood_well"),
        ("She kept turning round on me.", "would_not_stand"),
        ("He sent one past my ear.", "kicked"),
        ("He roots that near hind.", "hard_to_pick_up"),
        ("He was only just getting handled.", "green"),
        ("Vet had given her a shot.", "sedated_by_vet"),
        ("Not shoeing her again without dope.", "sedation_by_vet"),
        ("Swing by in a week to check it.", "recheck"),
        ("Back in ten days to look at it.", "recheck"),
        ("That's a vet's job.", "vet_visit"),
        ("Tub the foot, soak it in warm salts every night.", "owner_care"),
        ("Fortnightly from here on.", "cycle"),
        ("He was on her best manners.", "stood_well"),
        ("She wouldn't quit fussing.", "would_not_stand"),
        ("He tried to clobber me.", "kicked"),
        ("Heavy as a house, this one.", "leaned"),
        ("It's the first time she's been shod.", "green"),
        ("Couldn't budge the near hind off the floor.", "hard_to_pick_up"),
        ("Explained the whole thing to the girl.", "spoke_to"),
        ("This one's a job for the vet.", "vet_visit"),
        ("I'll get the rest off in three weeks.", "next_trim"),
    ],
)
def test_the_horse_and_its_people(words: str, code: str, facts: Facts) -> None:
    assert code in [("not " if f.negated else "") + f.code for f in facts(words)]


def test_a_nail_that_is_pulled_is_no_shoe(facts: Facts) -> None:
    assert "pull" not in [f.code for f in facts("Screw in the left hind frog. I didn't pull it.")]
    assert "pull" not in [f.code for f in facts("Right front, pulled that nail again.")]
    assert "pull" in [f.code for f in facts("Left front shoe's bent. Pulled it.")]


def test_nobody_trims(facts: Facts) -> None:
    found = facts("Nobody is trimming her today.")
    assert found
    assert all(f.code == "trim" and f.negated for f in found)


def test_a_heel_just_spoken_of_has_the_angle(facts: Facts) -> None:
    found = facts("Left front heel's crushed. Forty-one degrees.")
    assert [f.code for f in found] == ["crushed_heel", "heel_angle"]


def test_an_amount_off_feet_is_no_job_on_the_toe(facts: Facts) -> None:
    found = facts("Fronts are long. Took half an inch off each in front.")
    assert ("taken_off", FRONTS) in [(f.code, f.feet) for f in found]
    assert "shorten_toe" not in [f.code for f in found]


def test_two_out_of_three_on_the_testers(facts: Facts) -> None:
    found = facts("Left front sore to the testers at the heel, one out of three.")
    assert ("hoof_tester_grade", (Foot.LF,)) in [(f.code, f.feet) for f in found]


def test_an_old_scar_is_there_today(facts: Facts) -> None:
    (fact,) = facts("Old scar on the left front.")
    assert not fact.historical
    (fact,) = facts("He had an old abscess in the left front last year.")
    assert fact.historical


def test_the_inside_groove_is_beside_the_frog(facts: Facts) -> None:
    (fact,) = facts("Thrush in the outside groove, right hind.")
    assert fact.places == ("lateral_collateral_sulcus",)


def test_what_is_done_is_done_whatever_comes_of_it(facts: Facts) -> None:
    (fact,) = facts("Glued a shoe on the left hind and we'll see.")
    assert not fact.uncertain


def test_a_hair_is_little(facts: Facts) -> None:
    (fact,) = facts("Right front toed in a hair.")
    assert fact.severity is Severity.MILD


def test_nothing_behind_a_comma(facts: Facts) -> None:
    found = facts("Left front bruise at the toe. Hinds, nothing.")
    assert ("normal", HINDS) in [(f.code, f.feet) for f in found]


def test_a_denial_ends_where_the_talker_begins_anew(facts: Facts) -> None:
    found = facts("not going to fix it just kept her level in front")
    assert [(f.code, f.negated) for f in found] == [("balance", False)]
    found = facts("right hind isn't too bad flaky wall though")
    assert not any(f.negated for f in found if f.code == "dry_horn")


def test_films_are_for_the_day_of_the_vet(facts: Facts) -> None:
    found = facts("Vet's coming Friday to take pictures.")
    assert {f.code for f in found if f.due and f.due.spoken == "Friday"} == {
        "vet_visit",
        "radiographs",
    }


def test_who_was_bitten_says_so(facts: Facts) -> None:
    found = facts("His owner says he's an angel, he bit me right on the arm.")
    assert [f.reporter for f in found if f.code == "bit"] == [Reporter.FARRIER]


def test_a_stone_that_pops_out_is_no_abscess(facts: Facts) -> None:
    codes = [f.code for f in facts("Stone wedged beside the frog, left hind, popped it out.")]
    assert codes == ["stone_lodged"]


def test_what_stopped_is_gone(facts: Facts) -> None:
    (fact,) = facts("She quit stumbling.")
    assert fact.negated
    assert fact.comparison is not None


def test_standing_in_mud_is_no_way_to_point_a_toe(facts: Facts) -> None:
    assert facts("He's been standing in mud all week.") == []


@pytest.mark.parametrize(
    ("words", "period"),
    [
        ("Four and a half weeks, no, make it six.", "P6W"),
        ("Ten days, no, make it five.", "P5D"),
        ("I want her on seven from now on.", "P7W"),
        ("Keep him at five, not eight.", "P5W"),
    ],
)
def test_weeks_that_are_not_said(words: str, period: str, facts: Facts) -> None:
    assert [f.due.period for f in facts(words) if f.due] == [period]
