"""Ways of talking of three more writers, each in a sentence of its own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("He had a swing at me with the near hind.", "kicked"),
        ("Takes two of us to hold her.", "needs_two_people"),
        ("Took me ten minutes to get that foot off the ground.", "hard_to_pick_up"),
        ("She dozed through the lot.", "sleepy"),
        ("I about lost my rag with him.", "lost_patience"),
        ("Look at that sole again in ten days.", "recheck"),
        ("Ask the vet about it.", "vet_visit"),
        ("Ring the vet for some pictures.", "radiographs"),
        ("Vet'll have to give her something.", "sedation_by_vet"),
        ("Don't ride him, I told them.", "owner_care"),
        ("She can change the dressing every night.", "owner_care"),
        ("Handle his legs every day.", "owner_care"),
        ("The rest next visit.", "staged_correction"),
        ("Standing on three legs, near fore.", "not_weight_bearing"),
        ("No more sole on him than paper, near fore.", "thin_sole"),
        ("Wears the inside of his shoe, off hind.", "shoe_worn"),
        ("Nothing else wrong with her, all four.", "normal"),
        ("Near fore, frog's withered up to nothing.", "frog_atrophy"),
        ("Pad's hanging off on the near fore.", "pad_loose"),
        ("Near fore's a bit hot there.", "heat"),
        ("New shoe on the near fore. Put a clip either side.", "clips"),
        ("Nailed the same shoe back, near fore.", "reset"),
        ("Near fore, the shoe's shifted, I can rock it.", "shoe_loose"),
        ("Near hind, that gunk down the middle of the frog.", "discharge"),
        ("Get her in deep straw.", "owner_care"),
        ("I'm ringing him tomorrow.", "call"),
        ("Near hind's frog has gone off, black and smelly.", "thrush"),
        ("Off hind's pretty ripe.", "bad_smell"),
        ("White line's pulled wide, near fore.", "white_line_stretched"),
        ("Crack through the heel, off hind.", "heel_crack"),
        ("All four feet are a mile long.", "overgrown"),
        ("Heels have closed in on the near fore.", "contracted_heel"),
        ("Tons of heel on the near fore.", "high_heel"),
        ("Heels are flat to the ground, both fronts.", "low_heel"),
        ("One hind's a size bigger.", "mismatched"),
        ("She's sloughing her frogs behind.", "ragged_frog"),
        ("Deep split between the bulbs, near hind.", "deep_sulcus"),
        ("Off hind's up like a football.", "swelling"),
        ("Near fore was gone when I pulled in.", "shoe_lost"),
        ("He's short a shoe, near fore.", "shoe_lost"),
        ("Rattly shoe on the off hind.", "shoe_loose"),
        ("Clenches are sticking out on the near fore.", "clench_risen"),
        ("Put one a bit close on the off fore.", "nail_bind"),
        ("He's hitching on the near hind.", "lameness"),
        ("Outside quarter's swung out on the off hind.", "flare"),
        ("Happy with the lot.", "normal"),
        ("Ran the rasp around all four.", "trim"),
        ("Off with the old plates, all four.", "pull"),
        ("Fronts came straight back on.", "reset"),
        ("Straightened up the flares behind.", "dress_flare"),
        ("Welded a bar across, near fore.", "bar_shoe"),
        ("Shaped them hot, fronts.", "fit_shoe"),
        ("Found some drainage, off fore.", "open_track"),
        ("Couldn't get her to settle.", "would_not_stand"),
        ("He caught me on the knee.", "kicked"),
        ("Didn't put a foot wrong.", "stood_well"),
        ("Didn't want to give me his hinds.", "hard_to_pick_up"),
        ("Ran it all past the owner.", "spoke_to"),
        ("Stay off riding her.", "owner_care"),
        ("He could do with losing a few pounds.", "owner_care"),
        ("Not doing it all in one hit.", "staged_correction"),
        ("Near fore I trimmed away the hanging bits, put a dab of that green stuff on.", "treat"),
    ],
)
def test_short_forms(facts: Facts, said: str, code: str) -> None:
    assert code in [f.code for f in facts(said)]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("White line's nice and tight on the near fore.", "white_line_stretched"),
        ("Off fore lines up dead straight.", "axis_broken"),
        ("Couldn't get near the hinds.", "trim"),
        ("Thrush in the off hind, not to speak of.", "thrush"),
    ],
)
def test_short_denials(facts: Facts, said: str, code: str) -> None:
    assert [f.negated for f in facts(said) if f.code == code] == [True]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Flat soles in front to boot.", "boot"),
        ("Keep her off the green pick.", "green"),
        ("I've seen worse.", "change"),
        ("Me back's gone.", "change"),
        ("Near fore, quicked him. Pulled that nail.", "pull"),
        ("There's a screw in the off hind sole. I'm not pulling it.", "pull"),
        ("Clenches up on the off hind. Set them down and rasped them smooth.", "trim"),
        ("She walked out happy.", "trot_up"),
        ("Nail missing on the near fore, two backed out. Replaced them both.", "shoe"),
        ("Pus came out of the near hind.", "shoe_lost"),
    ],
)
def test_words_that_tell_of_nothing(facts: Facts, said: str, code: str) -> None:
    """No rule makes anything of them; what the network proposes is marked as such."""
    assert code not in [f.code for f in facts(said)]


def test_shoes_off_is_a_job_of_the_farrier(facts: Facts) -> None:
    found = facts("Shoes off, all four, mustang roll.")
    assert [(f.code, f.feet) for f in found if f.code == "pull"] == [("pull", ALL_FEET)]


def test_not_a_thing_was_trimmed_on_any_foot(facts: Facts) -> None:
    found = facts("Near fore is hot. Didn't trim a thing.")
    assert [(f.feet, f.negated) for f in found if f.code == "trim"] == [(ALL_FEET, True)]


def test_the_side_of_a_clench_is_told(facts: Facts) -> None:
    (fact,) = facts("Two clenches up on the outside, near hind.")
    assert fact.places == ("lateral",)


def test_nothing_on_the_other_foot_denies_what_the_first_has(facts: Facts) -> None:
    found = facts("Testers made her jump, right front. Left front I got nothing.")
    assert [(f.feet, f.negated) for f in found] == [((Foot.RF,), False), ((Foot.LF,), True)]


def test_not_as_bad_is_no_praise_of_the_other_foot(facts: Facts) -> None:
    found = facts("Off hind has thrush. The near one's not as bad, just smelly.")
    assert "better_shape" not in [f.code for f in found]


def test_both_ways_names_no_feet(facts: Facts) -> None:
    assert {f.feet for f in facts("Sound. Trotted out on the hard both ways.")} == {()}


def test_base_narrow_is_of_the_horse_and_leaves_its_feet_in_hand(facts: Facts) -> None:
    found = facts("Base narrow in front and pigeon toed.")
    assert [(f.code, f.feet) for f in found] == [("base_narrow", ()), ("toed_in", FRONTS)]


def _sizes(found: list[Fact]) -> list[tuple[str, tuple[Foot, ...], float]]:
    return [
        (f.code, f.feet, float(f.quantity.value))
        for f in found
        if f.kind is FactKind.MEASUREMENT and f.quantity
    ]


def test_so_much_off_the_fronts_and_so_much_off_the_hinds(facts: Facts) -> None:
    found = facts("I got ten mil off the fronts and six off the backs.")
    assert _sizes(found) == [("taken_off", FRONTS, 10), ("taken_off", HINDS, 6)]


def test_a_shrunken_frog_is_measured_across_and_along(facts: Facts) -> None:
    found = facts("Frog's narrow on the left front, an inch and a half wide by three inches long.")
    assert _sizes(found) == [("frog_width", (Foot.LF,), 1.5), ("frog_length", (Foot.LF,), 3)]


def test_an_angle_may_stand_alone_in_its_sentence(facts: Facts) -> None:
    found = facts("Club foot, left front. Fifty-eight.")
    assert _sizes(found) == [("toe_angle", (Foot.LF,), 58)]


def test_how_far_the_pick_goes_in_is_the_depth(facts: Facts) -> None:
    found = facts("Seedy toe on the near fore, the hoof pick goes in a good half inch.")
    assert _sizes(found) == [("depth", (Foot.LF,), 0.5)]
    assert found[0].quantity is None


@pytest.mark.parametrize("said", ["eleven hundred pounds give or take", "900 if he's a pound"])
def test_pounds_are_what_the_horse_weighs(facts: Facts, said: str) -> None:
    assert [code for code, _, _ in _sizes(facts(said))] == ["weight"]


@pytest.mark.parametrize(
    "said",
    [
        "Rang the vet, she's coming now.",
        "Called the vet and he's coming straight out.",
        "Get the vet out today.",
    ],
)
def test_a_vet_who_is_coming_comes_today(facts: Facts, said: str) -> None:
    (fact,) = facts(said)
    assert fact.code == "vet_visit"
    assert fact.due is not None
    assert str(fact.due.on) == "2026-11-25"


def test_weeks_before_pictures_are_those_of_the_next_visit(facts: Facts) -> None:
    found = facts("Five weeks, and get fresh films before I come.")
    dues = [(f.code, f.due.period or f.due.anchor) for f in found if f.due]
    assert dues == [("next_trim", "P5W"), ("radiographs", "before_next_visit")]


@pytest.mark.parametrize(
    "said",
    [
        "Near hind's heel is sheared, shoved up maybe a quarter inch.",
        "Near hind thrush, I'd say moderate.",
    ],
)
def test_a_rough_amount_is_no_doubt_of_the_finding(facts: Facts, said: str) -> None:
    assert [f.uncertain for f in facts(said)] == [False]


def test_a_grade_behind_a_club_foot_is_of_the_club_foot(facts: Facts) -> None:
    found = facts("Off fore's clubby, a two out of four.")
    assert [f.code for f in found] == ["clubby", "club_grade"]


def test_bars_that_were_taken_down(facts: Facts) -> None:
    found = facts("Bars laid over on both fronts, took them down.")
    assert [(f.code, f.feet) for f in found] == [("folded_bar", FRONTS), ("pare_bar", FRONTS)]


def test_better_after_how_she_stood_is_of_her_manners(facts: Facts) -> None:
    found = facts("She stood good. Better than last time.")
    assert [f.code for f in found] == ["stood_well", "improving_manners"]


def test_no_more_is_gone(facts: Facts) -> None:
    (fact,) = facts("Near fore ain't bleeding no more.")
    assert fact.negated
    assert fact.comparison is not None


def test_a_pair_and_a_colon_say_the_end_of_a_side(facts: Facts) -> None:
    (fact,) = facts("Hinds: near one has thrush.")
    assert fact.feet == (Foot.LH,)


def test_others_that_have_it_too(facts: Facts) -> None:
    found = facts("Event line on the near fore. Both hinds have it too.")
    assert [(f.code, f.feet) for f in found] == [
        ("event_line", (Foot.LF,)),
        ("event_line", HINDS),
    ]


def test_the_bad_one_is_the_foot_just_named(facts: Facts) -> None:
    (fact,) = facts("Right front's the bad one, hot.")
    assert fact.feet == (Foot.RF,)


def test_the_first_foot_named_is_of_the_sentence_before(facts: Facts) -> None:
    found = facts("Abscess, I'd say. Right front, hot and a big pulse.")
    assert {f.feet for f in found} == {(Foot.RF,)}


@pytest.mark.parametrize(
    ("said", "historical"),
    [
        ("Plain old thrush in the near hind.", False),
        ("Strip of old dead sole on the near fore.", False),
        ("Old bruise on the near fore.", False),
        ("There was an old bruise on the near fore.", True),
    ],
)
def test_old_is_not_always_past(facts: Facts, said: str, historical: bool) -> None:
    assert [f.historical for f in facts(said)] == [historical]


def test_a_corn_that_is_coming_gets_no_better(facts: Facts) -> None:
    (fact,) = facts("There's a corn coming on the left front.")
    assert fact.comparison is None


def test_toes_that_were_taken_back_are_no_flare(facts: Facts) -> None:
    found = facts("Toes a mile out on the fronts. Took them back.")
    assert [(f.code, f.feet) for f in found] == [("long_toe", FRONTS), ("set_back_toe", FRONTS)]


def test_hot_behind_shod_is_the_shoe(facts: Facts) -> None:
    assert "heat" not in [f.code for f in facts("Shod in front, twos, side clips, hot.")]
    assert "heat" in [f.code for f in facts("Left front's hot as hell.")]


def test_weeks_behind_no_follow_up_are_the_next_visit(facts: Facts) -> None:
    found = facts("No follow-up needed, just the usual seven weeks.")
    assert {f.code: f.due.period if f.due else None for f in found} == {
        "no_follow_up": None,
        "next_trim": "P7W",
    }


def test_what_he_says_is_the_word_of_the_vet_named_before(facts: Facts) -> None:
    found = facts("Doc sent the picture over. Palmar angle left front five degrees.")
    assert [f.reporter.value for f in found if f.code == "palmar_angle"] == ["vet"]


def test_a_side_that_is_the_same_has_the_same_length(facts: Facts) -> None:
    found = facts("Toes left three and a half, right the same.")
    assert [(f.code, f.feet) for f in found] == [
        ("toe_length", (Foot.LF,)),
        ("toe_length", (Foot.RF,)),
    ]


@pytest.mark.parametrize(
    "said",
    [
        "He's gone off his feed.",
        "She hasn't been shod since October.",
        "He keeps pulling his shoes.",
        "Up at the crack of dawn.",
        "What a lame excuse.",
        "The heat from the forge was savage.",
        "Pulled in for diesel.",
        "Forged some hooks at home.",
        "They're feeding him corn.",
        "Packing up now.",
        "Cleaned out the van.",
        "I tripped over the anvil.",
        "The paddock's overgrown.",
        "A funny noise out of the truck.",
    ],
)
def test_talk_that_makes_no_fact(facts: Facts, said: str) -> None:
    assert facts(said) == []


def test_what_a_job_is_to_spare_him_is_no_finding(facts: Facts) -> None:
    found = facts("Mustang roll in front so he doesn't chip up.")
    assert [f.code for f in found] == ["mustang_roll"]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Doc can give her something when I'm back.", "sedation_by_vet"),
        ("Get the boss to bring them to the next shoeing.", "bring"),
    ],
)
def test_when_i_am_back_is_the_next_visit(facts: Facts, said: str, code: str) -> None:
    (fact,) = facts(said)
    assert (fact.code, fact.due.anchor if fact.due else None) == (code, "next_visit")
