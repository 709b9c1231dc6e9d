"""Sentences to be spoken by synthetic voices: dictation, written talk, numbers, general English.

    python texts.py OUT.txt [--dictation 26000] [--talk 0] [--numbers 0] [--general 13000]
                            [--book NOVELS.txt --read 13000]

Dictation comes from the grammar of models/graph (another seed than the language model's), talk
from the lines of models/graph/written, those with a number in them twice as likely; ``--numbers``
draws measurements, sizes, dates and counts alone, which the notes' words cannot guess; general
English from WordNet's glosses and examples (Debian package wordnet-base, WordNet licence) and from
novels in the public domain (the measured run: Jane Austen's, in Debian's r-cran-janeaustenr).
"""

from __future__ import annotations

import random
import re
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "graph"), str(HERE.parents[1])]

import dictation  # noqa: E402
from talk import written_talk  # noqa: E402
from wide import sentences  # noqa: E402

from models.inputs import asking, existing  # noqa: E402

WORDNET = Path("/usr/share/wordnet")
SEED = 20261125
NAME = re.compile(r"<name>")
COUNTED = {*dictation.ONES, *dictation.TENS, "half", "quarter", "quarters", "eighth", "eighths",
           "sixteenth", "sixteenths"} - {""}  # fmt: skip
"""Words of numbers."""
MEASURES = ("measured",) * 6 + ("long", "angle", "sized", "number", "number", "shoeing", "date",
                                "when", "digits")  # fmt: skip
"""Rules of the grammar that are mostly numbers."""
NAMES = [
    "juniper", "copper", "biscuit", "dakota", "duke", "willow", "maverick", "pepper", "rosie",
    "sundance", "bandit", "cricket", "shadow", "whiskey", "daisy", "ranger", "nugget", "banjo",
    "hazel", "tucker", "clover", "ginger", "smoky", "dolly", "trigger", "annie", "buck",
    "scout", "penny", "gus", "otis", "blue", "lady", "sage", "comet", "domino", "ruby",
    "jasper", "moose", "tilly", "bramble", "storm",
]  # fmt: skip
"""What the synthetic voices call horses."""


def glosses(count: int, rng: random.Random) -> list[str]:
    """Plain lower-case phrases of 4 to 18 words out of WordNet's glosses and examples."""
    if not count:
        return []
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


def talk(count: int, rng: random.Random) -> list[str]:
    """Different lines of written talk; a line with a number is twice as likely as one without."""
    lines = [line.strip() for line in written_talk()]
    # The largest keys of u ** (1 / weight) are a draw by weight without putting back.
    keys = [rng.random() ** (0.5 if COUNTED & set(line.split()) else 1) for line in lines]
    order = sorted(range(len(lines)), key=keys.__getitem__, reverse=True)
    return [lines[i] for i in order[:count]]


def numbers(count: int, seed: int) -> list[str]:
    """One to three measurements, sizes, dates or counts a line, little between them."""
    source = dictation.Dictation(seed)
    rng = source.rng
    return [
        " ".join(source.draw(rng.choice(MEASURES)) for _ in range(rng.choice([1, 1, 2, 3])))
        for _ in range(count)
    ]


def read_aloud(book: Path, count: int, rng: random.Random) -> list[str]:
    """Sentences of 4 to 28 words out of a book."""
    found = [" ".join(words) for words in sentences(book) if 4 <= len(words) <= 28]
    rng.shuffle(found)
    return found[:count]


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("out", type=Path, help="file, a sentence a line")
    ask.add_argument("--dictation", type=int, default=26_000, help="notes of the grammar")
    ask.add_argument("--talk", type=int, default=0, help="lines of written talk")
    ask.add_argument("--numbers", type=int, default=0, help="lines of measurements alone")
    ask.add_argument("--general", type=int, default=13_000, help="phrases of WordNet")
    ask.add_argument("--book", type=existing(), help="a text in the public domain, .txt or .gz")
    ask.add_argument("--read", type=int, default=13_000, help="sentences of the book")
    ask.add_argument("--seed", type=int, default=SEED, help="of all draws")
    args = ask.parse_args()
    if args.general and not (WORDNET / "data.noun").exists():
        ask.error(f"there is no {WORDNET}: apt install wordnet-base, or --general 0")
    rng = random.Random(args.seed)
    spoken = [
        NAME.sub(lambda _: rng.choice(NAMES), line.replace(" 's", "'s"))
        for line in [
            *dictation.notes(args.dictation, args.seed),
            *numbers(args.numbers, args.seed + 1),
        ]
    ]
    lines = spoken + talk(args.talk, rng) + glosses(args.general, rng)
    if args.book:
        lines += read_aloud(args.book, args.read, rng)
    rng.shuffle(lines)
    args.out.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(len(lines), "lines,", sum(len(line.split()) for line in lines), "words")


if __name__ == "__main__":
    main()
