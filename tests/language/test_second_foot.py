"""What is said of a second foot: severities, sizes, comparisons, denials, sides after a pair.

Each saying is read with its punctuation and as a recogniser writes it, without.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact
from tests.gold.annotation import as_heard

Facts = Callable[[str], list[Fact]]


def told(facts: list[Fact]) -> set[str]:
    """Each fact once per foot: foot, code, then whatever is set."""
    out = set()
    for fact in facts:
        parts = [fact.code, *sorted(fact.places), fact.severity or ""]
        if fact.quantity:
            parts.append(f"{fact.quantity.value:g}{fact.quantity.unit}")
        parts.append("not" if fact.negated else "")
        if fact.comparison:
            parts.append(f"{fact.comparison.trend} than {fact.comparison.against}")
        line = " ".join(p for p in parts if p)
        out |= {f"{foot} {line}" for foot in fact.feet} or {line}
    return out


def both_ways(facts: Facts, text: str) -> list[set[str]]:
    return [told(facts(text)), told(facts(as_heard(text)))]


SAYINGS = [
    ("Thrush bad in the left hind, mild on the right hind.", "LH thrush severe|RH thrush mild"),
    ("Thrush in the left hind bad, right hind mild.", "LH thrush severe|RH thrush mild"),
    ("Thrush in both hinds, bad in the left.", "LH thrush severe|RH thrush"),
    (
        "Thrush in all four, bad in the hinds, just a touch in the fronts.",
        "LF thrush mild|RF thrush mild|LH thrush severe|RH thrush severe",
    ),
    ("Both hinds have thrush, left pretty bad, right just a touch.",
     "LH thrush severe|RH thrush mild"),
    ("Both fronts cracked, worse on the right.", "LF crack|RF crack worse than LF"),
    ("Thrush in both hinds, left worse than the right.", "RH thrush|LH thrush worse than RH"),
    ("Both fronts have flare, the left more than the right.", "RF flare|LF flare worse than RF"),
    ("Thrush in both hinds, worse than last time.",
     "LH thrush worse than last_visit|RH thrush worse than last_visit"),
    ("All four have thrush but the left hind is worse.",
     "LF thrush|RF thrush|LH thrush|RH thrush"),
    ("Crack in the left front about an inch, half an inch on the right.",
     "LF crack 1in|RF crack 0.5in"),
    ("White line stretched in both fronts, three mil on the left, five on the right.",
     "LF white_line_stretched 3mm|RF white_line_stretched 5mm"),
    ("Took a quarter inch off the left front toe and an eighth off the right.",
     "LF shorten_toe 0.25in|RF shorten_toe 0.125in"),
    ("Thrush in the left hind, none in the right.", "LH thrush|RH thrush not"),
    ("Thrush in the left hind but not the right.", "LH thrush|RH thrush not"),
    ("Bruise in the left front, clean on the right.", "LF bruise|RF normal"),
    ("Left front has a corn, and so has the right.", "LF corn|RF corn"),
    ("Crack in the off fore, ditto the near fore.", "RF crack|LF crack"),
    ("Crack in the near fore and the other one as well.", "LF crack|RF crack"),
    ("Fronts, left is fifty two and right is fifty four.", "LF toe_angle 52deg|RF toe_angle 54deg"),
    ("Heels in front, left forty two, right forty four.",
     "LF heel_angle 42deg|RF heel_angle 44deg"),
    ("Toe length three and a half left, three and three eighths right, fronts.",
     "LF toe_length 3.5in|RF toe_length 3.375in"),
    ("On the hinds left has thrush and right is clean.", "LH thrush|RH normal"),
    ("All but the right front have thrush.", "LF thrush|LH thrush|RH thrush"),
    ("No heat in any of the feet except the left front.",
     "RF heat not|LH heat not|RH heat not"),
    ("Thrush in the left hind, mild on the right hind, none up front.",
     "LH thrush|RH thrush mild|LF thrush not|RF thrush not"),
    ("None of them sore.", "LF sore not|RF sore not|LH sore not|RH sore not"),
    ("Got the fronts trimmed and the left hind.", "LF trim|RF trim|LH trim"),
    ("Crack in the near fore at the toe and one in the off fore at the quarter.",
     "LF toe_crack|RF quarter_crack"),
    ("Right front has two cracks, one at the toe and one on the outside quarter.",
     "RF toe_crack|RF quarter_crack lateral_quarter"),
    ("Corn in the inside heel of the left fore and in the outside heel of the right fore.",
     "LF corn medial_heel|RF corn lateral_heel"),
    ("Old crack in the left front, there's a new one starting on the right front.",
     "LF crack|RF crack new than last_visit"),
    ("Off hind's got a sand crack. Near hind's not got one, nor either front.",
     "RH sand_crack|LH sand_crack not|LF sand_crack not|RF sand_crack not"),
    ("Right front crack is growing out, left front one is not.",
     "RF crack growing_out than last_visit|LF crack"),
    ("Threw the off fore and sprung the near hind.", "RF shoe_lost|LH shoe_sprung"),
    ("Front angles fifty one and fifty two.", "LF toe_angle 51deg|RF toe_angle 52deg"),
    ("Near side feet flared, off side fine.", "LF flare|LH flare|RF normal|RH normal"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "meant"), SAYINGS, ids=[text[:40] for text, _ in SAYINGS])
def test_a_second_foot_gets_what_is_said_of_it(facts: Facts, text: str, meant: str) -> None:
    assert both_ways(facts, text) == [set(meant.split("|"))] * 2


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("left front thrush right front clean", "LF thrush|RF normal"),
        ("flare left front thrush right front bruise left hind", "LF flare|RF thrush|LH bruise"),
        ("trimmed the toes back on the left hind and right hind a bit of flare",
         "LH set_back_toe|RH flare mild"),
        ("treated the thrush on the left hind and right hind had a crack",
         "LH thrush|LH treat|RH crack"),
        ("crack in the left front and right front thrush in the hinds",
         "LF crack|RF crack|LH thrush|RH thrush"),
        ("left front and right hind resets right front and left hind were worn out",
         "LF reset|RH reset|RF shoe_worn|LH shoe_worn"),
        ("on the left front there's a quarter crack on the right front there's a bruise",
         "LF quarter_crack|RF bruise"),
        ("reset the fronts with new pads hinds stay barefoot",
         "LF reset|RF reset|LF pad|RF pad|LH barefoot|RH barefoot"),
        ("winging a bit on the left front hinds go dead straight", "LF winging mild"),
        ("toe three and a half on the near hind okay the off hind had a loose shoe",
         "LH toe_length 3.5in|RH shoe_loose"),
        ("left hind a sprung shoe and a corn right front shod left front fine",
         "LH shoe_sprung|LH corn|RF shoe|LF normal"),
        ("right hind a crack in the outside quarter left front is cracked",
         "RH quarter_crack lateral_quarter|LF crack"),
        ("three and a quarter left front three and three eighths right front",
         "LF toe_length 3.25in|RF toe_length 3.375in"),
    ],
)  # fmt: skip
def test_order_of_feet_is_told_from_the_words_alone(facts: Facts, heard: str, meant: str) -> None:
    assert told(facts(heard)) == set(meant.split("|"))


def test_severity_before_a_head_stays_with_it(facts: Facts) -> None:
    found = facts("thrush in the left hind bad flare on the right hind")
    assert told(found) == {"LH thrush", "RH flare severe"}


def test_left_alone_is_no_side(facts: Facts) -> None:
    found = facts("Took the heel down on the right front and left the other one alone.")
    assert told(found) == {"RF lower_heel", "LF leave_alone"}


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("there's a nail in the left hind", "LH penetrating_object"),
        ("put another nail in the left hind", ""),
        ("separation from ten to two on the left front",
         "LF white_line_separation clock_10 clock_2"),
        ("crack in the dorsal wall left front", "LF crack dorsal_wall"),
        ("both bars were laid over on the near fore", "LF folded_bar"),
        ("thrush in the left hind right hind clean treated the bad one",
         "LH thrush|RH normal|LH treat"),
        ("trimmed all four five weeks", "LF trim|RF trim|LH trim|RH trim|next_trim"),
        ("heels near fore inch and five eighths off fore inch and a half",
         "LF heel_length 1.625in|RF heel_length 1.5in"),
        ("fronts eighty three and eighty four hinds eighty and eighty one",
         "LF toe_length 83mm|RF toe_length 84mm|LH toe_length 80mm|RH toe_length 81mm"),
        ("thrush in the left hind moderate worse than last time",
         "LH thrush moderate worse than last_visit"),
        ("flare in the left hind a bit worse than last time",
         "LH flare worse than last_visit"),
        ("white line separation on the right hind at the toe", "RH white_line_separation toe"),
        ("he isn't sore to the testers on the left front", "LF tester_positive not"),
        ("bar shoe on the right front with side clips five nails", "RF bar_shoe"),
        ("trimmed all four girth fifty six length fifty",
         "LF trim|RF trim|LH trim|RH trim|girth 56in|body_length 50in"),
        ("bruising in front left a little right a lot", "LF bruise mild|RF bruise severe"),
        ("cracks in front left small right none", "LF crack mild|RF crack not"),
        ("thrush behind left a bit right pretty bad flare in front",
         "LH thrush mild|RH thrush severe|LF flare|RF flare"),
        ("fronts long toed left a bit right a lot", "LF long_toe mild|RF long_toe severe"),
        ("no heat left front none right front", "LF heat not|RF heat not"),
        ("thrush none left hind none right hind", "LH thrush not|RH thrush not"),
        ("thrush left front none right front a bit", "LF thrush not|RF thrush mild"),
        ("left lands outside first right lands flat", "LF lands_uneven lateral|RF lands_flat"),
        ("cracks both at the toes", "toe_crack"),
        ("toes four and a quarter to three and seven eighths left and four and an eighth to three "
         "and seven eighths right", "LF toe_length 4.25in|LF toe_length 3.875in|"
         "RF toe_length 4.125in|RF toe_length 3.875in"),
        ("on the left front three and a half fifty two on the right front three and a quarter "
         "fifty three", "LF toe_length 3.5in|LF toe_angle 52deg|RF toe_length 3.25in|"
         "RF toe_angle 53deg"),
        ("near fore boot's too tight at the back", "LF boot"),
        ("fronts trimmed to eighty one and eighty two and the hinds to seventy seven and "
         "seventy six", "LF trim|RF trim|LF toe_length 81mm|RF toe_length 82mm|"
         "LH toe_length 77mm|RH toe_length 76mm"),
        ("thrush behind a bit of flare in front",
         "LH thrush|RH thrush|LF flare mild|RF flare mild"),
        ("stuff poured in behind a leather rim pad on the near fore", "LF pour_in|LF pad"),
        ("came in with the right front shoe missing and the other three loose",
         "RF shoe_lost|LF shoe_loose|LH shoe_loose|RH shoe_loose"),
        ("heels on the near fore an inch and a half and the off about the same",
         "LF heel_length 1.5in|RF heel_length 1.5in"),
        ("left front and right hind needed new shoes the other two i reset there's plenty of "
         "steel left", "LF shoe|RH shoe|RF reset|LH reset"),
        ("right front's got cracks across the toe all of em from the ground up", "RF toe_crack"),
        ("toes eighty nine near ninety two off", "LF toe_length 89mm|RF toe_length 92mm"),
        ("angles fifty front fifty four behind",
         "LF toe_angle 50deg|RF toe_angle 50deg|LH toe_angle 54deg|RH toe_angle 54deg"),
        ("fronts three and a quarter left fifty two right fifty three",
         "LF toe_length 3.25in|RF toe_length 3.25in|LF toe_angle 52deg|RF toe_angle 53deg"),
        ("angles forty eight left forty eight right on him",
         "LF toe_angle 48deg|RF toe_angle 48deg"),
        ("off side both flared", "RF flare|RH flare"),
        ("trimmed all round six weeks", "LF trim|RF trim|LH trim|RH trim|next_trim"),
        ("rolled toe shoes with plenty of length behind", "roll_toe"),
        ("straight bar on the near fore and a plain open shoe on the off", "LF bar_shoe|RF shoe"),
        ("seedy toe on the left front straight out front", "LF seedy_toe"),
        ("toe angle on the left front before shoeing was forty six", "LF toe_angle 46deg"),
        ("took three eighths off the front toes and a scant quarter off the hinds",
         "LF shorten_toe 0.375in|RF shorten_toe 0.375in|LH shorten_toe 0.25in|"
         "RH shorten_toe 0.25in"),
        ("left front toe length three and a half heel height one and a half and i'll do the right",
         "LF toe_length 3.5in|LF heel_height 1.5in"),
        ("hinds are trimmed and i've got the left hind left to finish up", "LH trim|RH trim"),
        ("hinds good left hind toe's a little dubbed off",
         "LH normal|RH normal|LH worn_hoof toe mild"),
        ("bruise in the white line right front at four o'clock and his hinds are fine",
         "RF bruise clock_4 white_line|LH normal|RH normal"),
        ("near fore the white line's tight right round", "LF white_line_stretched not"),
        ("crack at the toe of the right front and left front is clean", "RF toe_crack|LF normal"),
        ("flare in front left outside right inside", "LF flare lateral|RF flare medial"),
        ("flare lateral on the left front medial on the right", "LF flare lateral|RF flare medial"),
        ("cracks behind left at the toe right at the quarter", "LH toe_crack|RH quarter_crack"),
        ("bruise on the left front at the toe right front at the heel",
         "LF bruise toe|RF bruise heel"),
        ("steel shoes in front aluminium behind", "LF shoe|RF shoe|LH shoe|RH shoe"),
        ("crack on the left front toe and one on the right front quarter",
         "LF toe_crack|RF quarter_crack"),
    ],
)  # fmt: skip
def test_feet_and_places_in_everyday_words(facts: Facts, heard: str, meant: str) -> None:
    assert told(facts(heard)) == {m for m in meant.split("|") if m}


def test_a_pocket_told_beside_a_pair_leaves_the_pair_as_it_is(facts: Facts) -> None:
    said = "white line stretched at the toe in both hinds and a new pocket at seven on the left"
    pair = {"LH white_line_stretched toe", "RH white_line_stretched toe"}
    assert told(facts(said)) == pair


def test_two_values_of_a_pair_are_a_guess_to_look_at(facts: Facts) -> None:
    first, second = facts("Hinds fifty six and fifty five.")
    assert [str(f) for f in (*first.feet, *second.feet)] == ["LH", "RH"]
    assert all(f.doubts for f in (first, second))


@pytest.mark.parametrize(
    "heard",
    [
        "pads on the fronts leather left plastic right",
        "pads in front left leather right plastic",
        "put pads in front leather on the left front plastic on the right front",
        "Pads in front, leather on the left, plastic on the right.",
    ],
)
def test_each_foot_has_its_own_material(facts: Facts, heard: str) -> None:
    found = {str(f.feet[0]): f.details["material"] for f in facts(heard) if len(f.feet) == 1}
    assert found == {"LF": "leather", "RF": "plastic"}
