"""Are names that no training text had recognised once they are known? And what does it cost?

    python names_proof.py PACKED_MODEL WORK

Invented horse, owner and barn names are spoken in sentences by test voices. Four ways are measured:
the model alone, names put into its graph, names found by sound afterwards, and both. The cost is
the time to fill the graph and the harm done to dictation without names.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(ROOT), str(ROOT / "models" / "graph")]

from models.inputs import ask_for_packed, asking, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/README.md", "jiwer", "vosk", "rapidfuzz")

import numpy as np  # noqa: E402
import scores  # noqa: E402
import sets  # noqa: E402
from decode import Decoder, Heard  # noqa: E402
from voices import say  # noqa: E402
from words import common_names  # noqa: E402

from fieldlog.core.words import Word  # noqa: E402
from fieldlog.speech.names import find_names  # noqa: E402
from fieldlog.speech.pronounce import names_to_say, plain  # noqa: E402
from fieldlog.speech.shipped import ensure_expanded  # noqa: E402

NAMES = (
    "Quillaway", "Zephyrine", "Tolland Brook", "Merrowick", "Thistledown Jem", "Ostara", "Bellwyn",
    "Corvane", "Dunmarrow", "Ellisande", "Fenwick Lad", "Garrowby", "Hexmoor", "Inverly",
    "Jandalar", "Kestravane", "Lorimel", "Mistral Vey", "Nettlecombe", "Orrin Tay", "Pellamore",
    "Rookhurst", "Sabrellan", "Tavistella", "Umberlough", "Vanterpool", "Wexley Dune", "Yarrowmead",
    "Zindelle", "Ashgrovel",
)  # fmt: skip
FRAMES = (
    "this is {} left front toe three and a quarter",
    "next horse {} near fore a bit of thrush in the frog",
    "told {} to call the vet if she gets worse",
    "we are at {} today trimmed all four",
    "starting with {} right hind is better than the left",
)


def words(heard: Heard) -> list[Word]:
    return [Word(w["word"], w["start"], w["end"], w["conf"]) for w in heard.words]


def text(items: list[Word]) -> str:
    return " ".join(w.text for w in items)


def spoken() -> list[tuple[str, str, sets.Sound]]:
    """Each name in each sentence, by the test voices in turn: name, text, sound."""
    found = []
    for i, name in enumerate(NAMES):
        for j, frame in enumerate(FRAMES):
            voice = sets.TEST_VOICES[(i + j) % len(sets.TEST_VOICES)]
            found.append((name, frame.format(name.lower()), say(frame.format(name), voice)))
    return found


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
    ask_for_packed(ask)
    ask.add_argument("work", type=Path, help="folder of the sets and the expanded models")
    return ask.parse_args()


def main() -> None:
    args = asked()
    known = set(common_names())
    learnt = [n for n in NAMES if set(plain(n).split()) <= known]
    if learnt:
        raise SystemExit(f"these names were trained on: {', '.join(learnt)}")
    named, others = spoken(), sets.make(args.work / "sets", None, 0, ("c-clean",))["c-clean"][::7]
    base = ensure_expanded(args.packed, args.work / "expanded")
    start = time.perf_counter()
    fresh = args.work / f"expanded-{time.time_ns()}"
    filled = ensure_expanded(args.packed, fresh, names_to_say(NAMES))
    print(f"graph filled with {len(NAMES)} names in {time.perf_counter() - start:.1f} s")
    print("| way | names right | WER of these sentences | WER of dictation without names |")
    print("|---|---|---|---|")
    for label, folder, by_sound in (
        ("model alone", base, False),
        ("names in the graph", filled, False),
        ("names by sound", base, True),
        ("both", filled, True),
    ):
        decoder = Decoder(folder)

        def read(sound: np.ndarray, reader: Decoder = decoder, mend: bool = by_sound) -> str:
            found = words(reader(sound))
            return text(find_names(found, NAMES) if mend else found)

        heard = [read(sound) for _, _, sound in named]
        hits = [int(plain(n) in h) for (n, _, _), h in zip(named, heard, strict=True)]
        error = scores.error_rate([said for _, said, _ in named], heard)
        other = scores.error_rate([x.said for x in others], [read(x.sound) for x in others])
        right = scores.share(hits, [1] * len(hits))
        print(f"| {label} | {right} | {error} | {other} |", flush=True)


if __name__ == "__main__":
    main()
