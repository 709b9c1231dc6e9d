"""Are names that no training text had recognised once they are known? And what does it cost?

    python names_proof.py PACKED_MODEL WORK

Invented horse, owner and barn names are spoken in sentences by test voices. Four ways are measured:
the model alone, names put into its graph, names found by sound afterwards, and both. The cost is
the time to fill the graph and the harm done to dictation without names.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(ROOT), str(ROOT / "models" / "graph")]

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


def main() -> None:
    packed, work = Path(sys.argv[1]), Path(sys.argv[2])
    known = set(common_names())
    assert not [n for n in NAMES if set(plain(n).split()) <= known]
    spoken = [
        (n, f.format(n.lower()), say(f.format(n), v))
        for i, n in enumerate(NAMES)
        for j, f in enumerate(FRAMES)
        for v in (sets.TEST_VOICES[(i + j) % len(sets.TEST_VOICES)],)
    ]
    plain_set = sets.make(work / "sets", None, 0)["c-clean"][::7]
    base = ensure_expanded(packed, work / "expanded")
    start = time.perf_counter()
    filled = ensure_expanded(packed, work / f"expanded-{time.time_ns()}", names_to_say(NAMES))
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

        heard = [read(s) for _, _, s in spoken]
        hits = [int(plain(n) in h) for (n, _, _), h in zip(spoken, heard, strict=True)]
        named = scores.share(hits, [1] * len(hits))
        error = scores.error_rate([t for _, t, _ in spoken], heard)
        other = scores.error_rate([x.said for x in plain_set], [read(x.sound) for x in plain_set])
        print(f"| {label} | {named} | {error} | {other} |", flush=True)


if __name__ == "__main__":
    main()
