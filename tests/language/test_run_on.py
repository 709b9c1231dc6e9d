"""Whole notes with and without their stops: the feet must come out the same.

Notes are put together by a seeded die from clauses whose facts are known, in two orders of talk:
the foot before what is said of it, or behind.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact

Facts = Callable[[str], list[Fact]]

FEET = {"LF": ("left front", "near fore"), "RF": ("right front", "off fore"),
        "LH": ("left hind", "near hind"), "RH": ("right hind", "off hind")}  # fmt: skip
THINGS = {
    "thrush": "thrush", "a bit of thrush": "thrush", "no thrush": "not thrush", "flare": "flare",
    "a crack in the outside quarter": "quarter_crack", "a bruised sole": "bruise", "heat": "heat",
    "a corn": "corn", "low heels": "low_heel", "a long toe": "long_toe",
    "thrush in the central sulcus": "thrush", "swelling at the coronet": "swelling",
    "a sprung shoe": "shoe_sprung", "stretched white line": "white_line_stretched",
}  # fmt: skip
STATES = {"clean": "normal", "fine": "normal", "cracked": "crack", "a bit thrushy": "thrush"}
JOBS = {"trimmed": "trim", "reset": "reset", "shod": "shoe"}


def clause(dice: random.Random, foot_first: bool) -> tuple[str, str, list[str]]:
    """A clause, its foot and the codes of its facts ("not" before a denied one)."""
    code = dice.choice(list(FEET))
    foot = dice.choice(FEET[code])
    thing = dice.choice(list(THINGS))
    job = dice.choice(list(JOBS))
    if foot_first:
        state = dice.choice(list(STATES))
        other = dice.choice([t for t in THINGS if THINGS[t][-4:] != THINGS[thing][-4:]])
        both = "" if thing.startswith("no ") or other.startswith("no ") else f" and {other}"
        return dice.choice(
            [
                (f"{foot} {thing}", code, [THINGS[thing]]),
                (f"{foot} has {thing}", code, [THINGS[thing]]),
                (f"{foot} is {state}", code, [STATES[state]]),
                (f"{foot} {thing}{both}", code, [THINGS[thing]] + [THINGS[other]] * bool(both)),
                (f"on the {foot} there's {thing}", code, [THINGS[thing]]),
                (f"{foot} {job}", code, [JOBS[job]]),
            ]
        )
    bare = re.sub(r"^an? (?!bit)", "", thing)
    return dice.choice(
        [
            (f"{bare} {foot}", code, [THINGS[thing]]),
            (f"{thing} in the {foot}", code, [THINGS[thing]]),
            (f"{job} the {foot}", code, [JOBS[job]]),
        ]
    )


def note(seed: int) -> tuple[list[str], set[str]]:
    """Clauses of one note about two to four feet, and what they tell ("LF thrush")."""
    dice = random.Random(seed)
    foot_first = seed % 2 == 0
    by_foot: dict[str, tuple[str, list[str]]] = {}
    for _ in range(12):
        text, foot, codes = clause(dice, foot_first)
        by_foot.setdefault(foot, (text, codes))
    chosen = list(by_foot.items())[: dice.randint(2, 4)]
    told = {f"{foot} {code}" for foot, (_, codes) in chosen for code in codes}
    texts = [text for _, (text, _) in chosen]
    if seed % 3 == 0 and not any("flare" in text for text in texts):
        texts.append("trimmed all four")
        told |= {f"{foot} trim" for foot in FEET}
    return texts, told


def read(facts: list[Fact]) -> set[str]:
    return {
        f"{foot} {'not ' if fact.negated else ''}{fact.code}"
        for fact in facts
        for foot in fact.feet
    }


@pytest.mark.parametrize("seed", range(60))
def test_stops_do_not_change_whose_foot_it_is(facts: Facts, seed: int) -> None:
    texts, told = note(seed)
    for joined in (". ", ", ", " "):
        assert read(facts(joined.join(texts))) == told, joined.join(texts)
