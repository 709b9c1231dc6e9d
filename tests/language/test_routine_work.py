"""Routine work as it is told in passing: whole teams, bare feet, horses not done, condition.

Ways of talking: common practice, no source. The condition scale runs from one to nine
(Henneke and others, Equine Veterinary Journal 1983).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.app.choices import choices
from fieldlog.core.facts import Entry, Fact, FactKind
from fieldlog.language.lexicon import KINDS, find_item, items
from tests.language.said import heard

Facts = Callable[[str], list[Fact]]
ALL = ("LF", "RF", "LH", "RH")


def feet_of(found: list[Fact], code: str, negated: bool = False) -> list[str]:
    """The feet that a job or a finding was told of, in order."""
    told = [f for f in found if f.code == code and f.negated == negated and not f.historical]
    return [foot.value for fact in told for foot in fact.feet]


@pytest.mark.parametrize(
    "text", ["Thunder, four off, four on.", "Jock, four off, four on. Toes long."]
)
def test_four_off_four_on_is_a_new_set(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert feet_of(facts(said), "pull") == [*ALL]
        assert feet_of(facts(said), "shoe") == [*ALL]


@pytest.mark.parametrize(
    "text",
    ["Palmar angle six near, four off.", "Took four off the left heel.",
     "Heels six on the near and four off.", "She's a three and a half, four on a good day."],
)  # fmt: skip
def test_four_off_may_be_an_amount(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert not feet_of(facts(said), "pull")
        assert not feet_of(facts(said), "shoe")


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("Pulled four, trimmed four.", ("pull", "trim")),
        ("Left front was warm. Just a trim, four feet.", ("trim",)),
        ("Trimmed four. Shod four.", ("trim", "shoe")),
        ("Left front was loose. Jughead, new all around.", ("shoe",)),
        ("Hector, whole set.", ("shoe",)),
        ("Pulled the lot, new set all round.", ("pull", "shoe")),
    ],
)
def test_the_whole_team(facts: Facts, text: str, codes: tuple[str, ...]) -> None:
    for said in (text, heard(text)):
        for code in codes:
            assert feet_of(facts(said), code) == [*ALL], (said, code)


def test_a_reset_of_four_is_no_new_set(facts: Facts) -> None:
    assert not feet_of(facts("Reset on Boss, four on, clinches smoothed off."), "shoe")


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("All four trimmed, no iron.", [*ALL]),
        ("Trimmed all round, left without iron.", [*ALL]),
        ("Sprung shoe on the off hind. I pulled it and I've left the shoe off.", ["RH"]),
        ("Right hind tender. Pulled the shoe. Left it off, wrapped it.", ["RH"]),
        ("Shoes loose behind, took them off, no nailing till that heals.", ["LH", "RH"]),
        ("Walls broke on both fronts. Nothing on those till they grow.", ["LF", "RF"]),
        ("Hinds I just trimmed and let go bare.", ["LH", "RH"]),
        ("Poultice on the right front, and the shoe stays off until Saturday.", ["RF"]),
        ("Left front had a bruise. No shoes on none of 'em.", [*ALL]),
        ("Left front's long in the toe. Gave her no shoe.", [*ALL]),
        ("Behind I just trimmed them and left him barefooted.", ["LH", "RH"]),
    ],
)
def test_left_bare(facts: Facts, text: str, feet: list[str]) -> None:
    for said in (text, heard(text)):
        assert feet_of(facts(said), "barefoot") == feet, said


def test_nothing_on_her_is_of_the_horse(facts: Facts) -> None:
    found = facts("Right hind's not open. She'd nothing on and she's nothing on now.")
    assert feet_of(found, "barefoot") == [*ALL]


@pytest.mark.parametrize(
    "text",
    ["Near fore no shoe lost since June.", "He had nothing on the testers, left front.",
     "No shoe pressure on the left front.", "Boots rubbed, left it off, both fronts."],
)  # fmt: skip
def test_what_is_off_may_be_no_shoe(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert not feet_of(facts(said), "barefoot")


@pytest.mark.parametrize("text", ["Soles thin on the right front. Trim, no shoe, he's too young.",
                                  "Crack in the left front. Just a trim."])  # fmt: skip
def test_a_trim_that_stands_alone_is_of_the_whole_horse(facts: Facts, text: str) -> None:
    assert feet_of(facts(text), "trim") == [*ALL]


@pytest.mark.parametrize(
    ("text", "feet"),
    [("Left front, crack at the toe, trim.", ["LF"]), ("Near fore done, trim.", ["LF"]),
     ("The mare, trim, and the right hind has a crack.", [*ALL])],
)  # fmt: skip
def test_a_trim_beside_its_foot(facts: Facts, text: str, feet: list[str]) -> None:
    assert feet_of(facts(text), "trim") == feet


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("Both fronts warm. Nothing trimmed.", [*ALL]),
        ("And the gray I didn't do, too dark.", [*ALL]),
        ("Left front done, gave up before the right front so that's not done.", ["RF"]),
        ("Trimmed both lefts and he said no to the rights.", ["RF", "RH"]),
    ],
)
def test_not_done(facts: Facts, text: str, feet: list[str]) -> None:
    assert feet_of(facts(text), "trim", negated=True) == feet


@pytest.mark.parametrize(
    "text", ["Didn't lift a foot.", "Duke got nothing. Never even got a look at his feet."]
)
def test_not_looked_at(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert feet_of(facts(said), "not_examined") == [*ALL]


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("He's fat, that's seven at least, maybe seven and a half.", 7, 7.5),
        ("The thin mare, score two.", 2, None),
        ("She dropped weight, I'd say she's a three and a half, four on a good day.", 3.5, 4),
        ("He's a six on the fat scale.", 6, None),
        ("Ribs showing. Score four out of five.", 4, None),
    ],
)
def test_condition_in_passing(facts: Facts, text: str, low: float, high: float | None) -> None:
    for said in (text, heard(text)):
        (score,) = [f for f in facts(said) if f.kind is FactKind.SCORE]
        assert score.code == "condition"
        assert score.quantity is not None
        assert (score.quantity.value, score.quantity.high) == (low, high)


@pytest.mark.parametrize(
    "text",
    ["He's fat. Five weeks.", "Fat as butter, left front toe three and a half.",
     "Ribs showing. Took two off the left front heel.", "Fat pony, trimmed, four shoes."],
)  # fmt: skip
def test_a_number_beside_fat_may_be_another(facts: Facts, text: str) -> None:
    for said in (text, heard(text)):
        assert not [f for f in facts(said) if f.kind is FactKind.SCORE]


@pytest.mark.parametrize(
    ("text", "code", "feet"),
    [
        ("Full reset, swedge in front went back on.", "reset", ["LF", "RF"]),
        ("In front I put flat ones. Behind nothing yet.", "barefoot", ["LH", "RH"]),
        ("Right front shoe's loose. Hinds don't have shoes.", "barefoot", ["LH", "RH"]),
        ("Toes in, in front. Tough feet, wouldn't put shoes on that.", "barefoot", [*ALL]),
        ("Toes came back, all round.", "set_back_toe", [*ALL]),
        ("Pulled the fronts, put fronts back on new.", "shoe", ["LF", "RF"]),
    ],
)
def test_work_in_passing(facts: Facts, text: str, code: str, feet: list[str]) -> None:
    assert feet_of(facts(text), code) == feet


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("His new boots have rubbed both front heels.", "boot"),
        ("Sore on rocks, both fronts. We talked about boots.", "boot"),
        ("The hinds were shod by some fella, badly.", "shoe"),
        ("I'd like to get the shoes off her over the winter, both fronts.", "pull"),
        ("Pulled one nail on the right hind, too close, so I reset that one.", "reset"),
        ("Pulled the fronts, put fronts back on new.", "reset"),
        ("Bar shoe on the left hind, left the other hind alone except for a trim.", "leave_alone"),
        ("Pads in front as always, leather, new ones.", "shoe"),
        ("Left front, trimmed it like a regular foot.", "normal"),
    ],
)
def test_no_job_now(facts: Facts, text: str, code: str) -> None:
    for said in (text, heard(text)):
        assert not feet_of(facts(said), code), said


def test_shod_by_me_is_a_job(facts: Facts) -> None:
    assert feet_of(facts("Both hinds shod by me today."), "shoe") == ["LH", "RH"]
    assert feet_of(facts("Loose shoe on the left front, I reset it."), "reset") == ["LF"]


Entries = Callable[..., tuple[Entry, ...]]


def test_names_that_are_announced_part_the_note(entries: Entries) -> None:
    found = entries(
        "Two ponies, Pip and Squeak. Pip trimmed all round. Squeak's trimmed all round as well."
    )
    assert [e.horse.name for e in found if e.horse] == ["Pip", "Squeak"]
    assert [feet_of(list(e.facts), "trim") for e in found] == [[*ALL], [*ALL]]


@pytest.mark.parametrize(
    "text",
    ["Heat and Pulse. Heat none. Pulse normal.", "Left and Right. Left front fine. Right is long.",
     "Told Ann and Bob. Trimmed all four.", "Ann and Bob. Ann held her. Trimmed all four."],
)  # fmt: skip
def test_other_lists_part_nothing(entries: Entries, text: str) -> None:
    assert len(entries(text)) == 1


@pytest.mark.parametrize(
    ("text", "looks", "trims"),
    [
        ("The foal, trim all round. The mare, trim all round.", ["foal", "mare"], [4, 4]),
        ("The chestnut, trimmed in front. Then the old donkey: all four trimmed.",
         ["chestnut", ""], [2, 4]),
        ("roan, trimmed all four. the paint, trimmed behind.", ["roan", "paint"], [4, 2]),
    ],
)  # fmt: skip
def test_looks_that_open_sentences_part_the_note(
    entries: Entries, text: str, looks: list[str], trims: list[int]
) -> None:
    found = entries(text)
    told = [next(iter(e.horse.details.values()), "") for e in found if e.horse]
    assert told == looks
    assert [len(feet_of(list(e.facts), "trim")) for e in found] == trims


@pytest.mark.parametrize(
    "text",
    ["The mare, left front toe three and a half. Right front the same.",
     "Discharge on the left front. Grey, watery.",
     "The mare, trimmed all round. The mare, thrush in the left front."],
)  # fmt: skip
def test_one_horse_told_of_by_its_looks(entries: Entries, text: str) -> None:
    assert len(entries(text)) == 1


def test_trimmed_nothing_to_report_is_a_trim(facts: Facts) -> None:
    assert [f.negated for f in facts("Trimmed. Nothing to report.") if f.code == "trim"] == [False]


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("Flare on both fronts. Behind she's as right as you like.", ["LH", "RH"]),
        ("Both hinds heel high. Both fronts just square and right.", ["LF", "RF"]),
        ("Left front's sprung. Right front, solid.", ["RF"]),
    ],
)
def test_nothing_wrong_in_passing(facts: Facts, text: str, feet: list[str]) -> None:
    assert feet_of(facts(text), "normal") == feet


def test_rolled_and_kept_barefoot_is_of_the_horse(facts: Facts) -> None:
    found = facts("The fronts have grass cracks. Rolled the edges and kept him barefoot.")
    assert feet_of(found, "mustang_roll") == [*ALL]
    assert feet_of(found, "barefoot") == [*ALL]


def test_a_plain_row_is_no_code_of_its_own(facts: Facts) -> None:
    rows = [item for name in KINDS for item in items(name) if item.plain]
    assert {"bare_said", "all_new", "horse_undone", "not_looked_at"} <= {row.id for row in rows}
    assert all(find_item(row.means, row.table) is not None for row in rows)
    assert not {row.means for row in rows} & {row.id for row in rows}
    bare = next(f for f in facts("Left front, left the shoe off.") if f.code == "barefoot")
    assert not {c.changes.get("code") for c in choices(bare)} & {row.id for row in rows}
