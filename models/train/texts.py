"""Sentences to be spoken by synthetic voices: half dictation, half general English.

    python texts.py OUT.txt [--dictation 26000] [--general 13000] [--book NOVELS.txt --read 13000]

Dictation comes from the grammar of models/graph (another seed than the language model's); general
English from WordNet's glosses and examples (Debian package wordnet-base, WordNet licence) and from
novels in the public domain (the measured run: Jane Austen's, in Debian's r-cran-janeaustenr).
"""

from __future__ import annotations

import argparse
import random
import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))

import dictation
from build_general_lm import sentences

WORDNET = Path("/usr/share/wordnet")
SEED = 20261125
NAME = re.compile(r"<name>")
NAMES = [
    "juniper",
    "copper",
    "biscuit",
    "dakota",
    "duke",
    "willow",
    "maverick",
    "pepper",
    "rosie",
    "sundance",
    "bandit",
    "cricket",
    "shadow",
    "whiskey",
    "daisy",
    "ranger",
    "nugget",
    "banjo",
    "hazel",
    "tucker",
    "clover",
    "ginger",
    "smoky",
    "dolly",
    "trigger",
    "annie",
    "buck",
    "scout",
    "penny",
    "gus",
    "otis",
    "blue",
    "lady",
    "sage",
    "comet",
    "domino",
    "ruby",
    "jasper",
    "moose",
    "tilly",
    "bramble",
    "storm",
]


def glosses(count: int, rng: random.Random) -> list[str]:
    """Plain lower-case phrases of 4 to 18 words out of WordNet's glosses and examples."""
    found = []
    for part in ("noun", "verb", "adj", "adv"):
        text = (WORDNET / f"data.{part}").read_text("utf-8", errors="ignore")
        for line in text.splitlines():
            if "|" not in line or line.startswith("  "):
                continue
            for piece in re.split(r'[;"]', line.split("|", 1)[1]):
                phrase = re.sub(r"\([^)]*\)", " ", piece).strip().lower().replace("-", " ")
                if 4 <= len(phrase.split()) <= 18 and re.fullmatch(r"[a-z' ,]+", phrase):
                    found.append(re.sub(r"\s+", " ", phrase.replace(",", "")))
    rng.shuffle(found)
    return found[:count]


def read_aloud(book: Path, count: int, rng: random.Random) -> list[str]:
    """Sentences of 4 to 28 words out of a book, as build_general_lm.py cuts them."""
    found = [" ".join(words) for words in sentences(book) if 4 <= len(words) <= 28]
    rng.shuffle(found)
    return found[:count]


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("out", type=Path)
    ask.add_argument("--dictation", type=int, default=26_000)
    ask.add_argument("--general", type=int, default=13_000)
    ask.add_argument("--book", type=Path)
    ask.add_argument("--read", type=int, default=13_000)
    ask.add_argument("--seed", type=int, default=SEED)
    args = ask.parse_args()
    rng = random.Random(args.seed)
    spoken = [
        NAME.sub(lambda _: rng.choice(NAMES), line.replace(" 's", "'s"))
        for line in dictation.notes(args.dictation, args.seed)
    ]
    lines = spoken + glosses(args.general, rng)
    if args.book:
        lines += read_aloud(args.book, args.read, rng)
    rng.shuffle(lines)
    args.out.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(len(lines), "lines,", sum(len(line.split()) for line in lines), "words")


if __name__ == "__main__":
    main()
