"""Ways of talking of eight more writers: what names a job or a finding, and what names none."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Near fore's loose, so off came the shoe.", "pull"),
        ("Popped the wedge pads off both fronts.", "take_off"),
        ("Nail in the frog, near hind. I haven't pulled it.", "leave_alone"),
        ("Off fore's hot. I've not touched her.", "leave_alone"),
        ("Never went near the soles, both fronts.", "leave_alone"),
        ("Trimmed both fronts, took the edge off all the way round.", "mustang_roll"),
        ("Near hind, no shoe on that foot.", "barefoot"),
        ("Shod the fronts, side clips.", "clips"),
        ("Bar shoe on the off fore, clips both sides of the crack.", "clips"),
        ("Four new shoes.", "shoe"),
        ("Off hind gets a size bigger.", "shoe"),
        ("Near fore, crack on the inside quarter.", "quarter_crack"),
        ("Near fore, crack from the ground up.", "grass_crack"),
        ("Off hind, a crack from the hairline down.", "sand_crack"),
        ("There's a ring on both fronts an inch under the hairline.", "event_line"),
        ("Near hind, the wall has come away at the inside.", "wall_separation"),
        ("I advised Morag to get the vet.", "advised_vet"),
        ("I advised Morag to get the vet.", "vet_visit"),
        ("I said get the vet anyhow.", "advised_vet"),
        ("I said to ring the vet.", "advised_vet"),
        ("I said to ring the vet.", "vet_visit"),
        ("Five weeks from now on, I said to Morag.", "spoke_to"),
        ("Doctor Quillen ought to see him.", "vet_visit"),
        ("Get the vet to take some pictures.", "radiographs"),
        ("I'd like that foot's toe filmed. I want it filmed.", "radiographs"),
        ("Took a quarter off both toes, another quarter next time.", "staged_correction"),
        ("Get someone on her head next time.", "second_handler"),
        ("They'd called the vet out and he'd sedated her.", "sedated_by_vet"),
        ("She was sedated by the vet.", "sedated_by_vet"),
        ("Rising three, never had his feet picked up.", "green"),
        ("He bit my hat.", "bit"),
        ("Wouldn't let me lift the near hind.", "hard_to_pick_up"),
        ("She sat down on me, off hind.", "would_not_stand"),
        ("Testers at the toe, near fore, he about sat down.", "tester_positive"),
        ("Pinched all round the near fore, not a twitch.", "tester_negative"),
        ("Off hind, the cleft's that deep.", "deep_sulcus"),
        ("Off hind, the clinches on the outside are standing open.", "clench_risen"),
        ("Heel's away under him, near fore.", "underrun"),
        ("Blew out at the coronet, near hind.", "abscess_track"),
        ("Three legged on the off hind.", "not_weight_bearing"),
        ("A flint wedged in the white line, near fore.", "stone_lodged"),
        ("The glue-ons came off, both fronts.", "shoe_lost"),
        ("Ragged frog on the near hind, cut the strips off.", "pare_frog"),
        ("Cut the frogs back to something clean, both hinds.", "pare_frog"),
        ("Near hind, painted it.", "treat"),
    ],
)
def test_it_is_told(facts: Facts, said: str, code: str) -> None:
    assert code in {f.code for f in facts(said) if not f.negated}, said


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("The abscess blew at the bulb, near hind. It's dry now.", "discharge"),
        ("Drew the nail on the off fore and it came out dry.", "discharge"),
        ("Off fore, the hole's dry.", "discharge"),
        ("Sole's damp, off fore, but it doesn't smell.", "bad_smell"),
        ("Near fore's shoe is still on there tight.", "shoe_loose"),
        ("Near hind's shoe is hanging, off one's tight.", "shoe_loose"),
        ("White lines are tight, both fronts.", "white_line_stretched"),
    ],
)
def test_it_is_denied(facts: Facts, said: str, code: str) -> None:
    assert code in {f.code for f in facts(said) if f.negated}, said


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Roofing nail in the frog, near hind. I have not pulled it.", "pull"),
        ("Keep that hole wrapped and dry, near hind.", "discharge"),
        ("She was sedated by the vet.", "sedation_by_vet"),
        ("Cob mare, clipped. Trimmed all four.", "clips"),
        ("The hole's filling in, near fore.", "swelling"),
        ("He was kicking at his belly.", "kicked"),
        ("A worn spot on the outside branch, near fore.", "normal"),
        ("Hollow at the toe, packed with muck, off hind.", "packing"),
        ("Third trim of his life.", "trim"),
        ("Bring the boots next time.", "boot"),
        ("Near fore, no rush.", "thrush"),
        ("Bars folded on the near fore, off fore's bars are fine.", "normal"),
        ("Chip out of the near hind, rasped that.", "trim"),
        ("Pared the frog back, near hind.", "clean_out"),
    ],
)
def test_it_is_not_told(facts: Facts, said: str, code: str) -> None:
    assert code not in {f.code for f in facts(said)}, said
