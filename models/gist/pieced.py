"""Notes that nobody wrote, put together of pieces of notes that somebody did, without labels.

    python models/gist/pieced.py BUNDLE OUT.json.gz

The large networks say what they hear in them, and the small one learns that (``train.py --drawn``).
Each is a few sentences of up to three notes of one file, in a row or mixed; in half of them words
change places (left and right, toe and heel, better and worse), so that the small network must not
learn a note by heart. ``heard`` is what a recogniser might make of it. BUNDLE is the folder that
``examples.py`` wrote; what ``--without`` names is left out.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from files import read_list, write_list  # noqa: E402
from mishearing import Mishearing  # noqa: E402

from fieldlog.language.opinion.word_pieces import unstopped  # noqa: E402
from models.inputs import asking, existing, left_out  # noqa: E402

SWAPPED = (
    ("left", "right"), ("near", "off"), ("front", "hind"), ("fore", "hind"), ("fronts", "hinds"),
    ("inside", "outside"), ("medial", "lateral"), ("toe", "heel"), ("better", "worse"),
    ("longer", "shorter"), ("owner", "vet"),
)  # fmt: skip
SENTENCES, LONGEST, SHORTEST = 4, 110, 3
"""Of one note at most; words that a pieced note may have, and must."""


def sentences(words: Sequence[str]) -> list[list[str]]:
    """The words of each sentence, its full stop with them."""
    out: list[list[str]] = [[]]
    for word in words:
        out[-1].append(word)
        if word == ".":
            out.append([])
    return [sentence for sentence in out if sentence]


class Piecing:
    """Puts notes together."""

    def __init__(self, notes: Sequence[dict[str, Any]], seed: int) -> None:
        self.dice = random.Random(seed)
        pairs = [(unstopped(n["words"]), n["heard"]) for n in notes if n["heard"]]
        self.mishearing = Mishearing(pairs, seed)
        self.by_file: dict[str, list[dict[str, Any]]] = {}
        for note in notes:
            self.by_file.setdefault(note["split"], []).append(note)
        self.files = list(self.by_file)
        self.sizes = [len(self.by_file[name]) for name in self.files]

    def note(self) -> dict[str, Any] | None:
        """One more note; None where it came out too short."""
        dice = self.dice
        own = self.by_file[dice.choices(self.files, self.sizes)[0]]
        some = dice.sample(own, min(len(own), dice.choice((1, 2, 2, 2, 3))))
        row = [sentence for note in some for sentence in self._stretch(note["words"])]
        if dice.random() < 0.3:
            dice.shuffle(row)
        words = self._changed([word for sentence in row for word in sentence])[:LONGEST]
        if len(words) < SHORTEST:
            return None
        return {"words": words, "heard": self.mishearing.again(unstopped(words))}

    def _stretch(self, words: Sequence[str]) -> list[list[str]]:
        """Some sentences of a note that follow one another."""
        every = sentences(words)
        many = self.dice.randint(1, max(1, min(len(every), SENTENCES)))
        first = self.dice.randint(0, max(0, len(every) - many))
        return every[first : first + many]

    def _changed(self, words: list[str]) -> list[str]:
        """The words, in half of the notes with one or two of ``SWAPPED`` the other way."""
        if self.dice.random() < 0.5:
            return words
        other: dict[str, str] = {}
        for one, two in self.dice.sample(SWAPPED, self.dice.choice((1, 1, 2))):
            other.setdefault(one, two)
            other.setdefault(two, one)
        return [other.get(word, word) for word in words]


def main() -> None:
    """Write the notes."""
    parser = asking(__doc__)
    parser.add_argument(
        "bundle", help="folder of examples.py",
        type=existing("make it: models/gist/examples.py BUNDLE ...", "examples.json.gz"),
    )  # fmt: skip
    parser.add_argument("out", type=Path, help="file to write, .json.gz")
    parser.add_argument("--without", nargs="*", default=[], help="splits left out")
    parser.add_argument("--many", type=int, default=110_000, help="notes")
    parser.add_argument("--seed", type=int, default=28, help="of the dice")
    args = parser.parse_args()
    examples = read_list(args.bundle / "examples.json.gz")
    notes = [e for e in examples if e["kind"] == "note"]
    left_out(args.without, [e["split"] for e in notes])
    notes = [e for e in notes if e["split"] not in args.without]
    piecing = Piecing(notes, args.seed)
    made = [note for _ in range(args.many) if (note := piecing.note()) is not None]
    write_list(args.out, made)
    print(f"{len(made)} notes, {sum(len(note['words']) for note in made)} words")


if __name__ == "__main__":
    main()
