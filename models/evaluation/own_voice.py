"""What learning a voice is worth: ``python own_voice.py WORK [--people PEOPLE] [--jobs N]``.

People kept out of all training: the model learns from the first part of their sentences and is
measured on the rest, before and after. Test voices: it learns from the sentences that a farrier is
asked to read aloud (``fieldlog/speech/data/reading.txt``) and is measured on the dictations that
``evaluate.py`` uses, in quiet and with barn noise, of which it learnt nothing. Prints Markdown;
results stay in WORK/own_voice, one file a speaker.
"""

from __future__ import annotations

import json
import sys
import time
from collections import defaultdict
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(ROOT), str(ROOT / "models" / "graph")]

from models.inputs import asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/README.md", "jiwer", "vosk")

import scores  # noqa: E402
import sets  # noqa: E402
from decode import Decoder  # noqa: E402

from fieldlog.speech import own_voice, readings  # noqa: E402
from fieldlog.speech.shipped import ensure_expanded  # noqa: E402

SHIPPED = ROOT / "models" / "farrier-en"
SHARE = 0.5
"""Of a person's sentences, how many are learnt from."""
SHARE_OF_FEW = 0.75
"""The same where there are so few seconds that half of them would be too little."""
TESTS = ("c-clean", "c-10dB", "c-numbers")


def learn(items: Sequence[sets.Item]) -> tuple[own_voice.OwnVoice, own_voice.Proof, float]:
    """The voice of some sentences, what its proof says, and the seconds of work."""
    ear = readings.teacher()
    begun = time.process_time()
    heard = [ear.spoken(x.said, x.sound) for x in items]
    changes, proof = own_voice.learn(ear.network, heard)
    voice = own_voice.OwnVoice(changes, ear.digest, {})
    return voice, proof, time.process_time() - begun


def heard_by(folder: Path, items: Sequence[sets.Item]) -> list[str]:
    decoder = Decoder(folder)
    return [decoder(x.sound).text for x in items]


def measured(job: tuple[str, list[sets.Item], dict[str, list[sets.Item]], Path]) -> dict[str, Any]:
    """One speaker: what was said and heard in each test, before and after."""
    name, lesson, tests, work = job
    kept = work / "own_voice" / f"{name}.json"
    if kept.is_file():
        found: dict[str, Any] = json.loads(kept.read_text("utf-8"))
        return found
    voice, proof, took = learn(lesson)
    folders = [
        ensure_expanded(SHIPPED, work / "expanded"),
        ensure_expanded(SHIPPED, work / "expanded", voice=voice),
    ]
    found = {
        "name": name,
        "seconds": sum(len(x.sound) for x in lesson) / 16_000,
        "work": took,
        "unlike": proof.unlike,
        "tests": {
            test: [[x.said for x in items], *(heard_by(f, items) for f in folders)]
            for test, items in tests.items()
        },
    }
    kept.parent.mkdir(parents=True, exist_ok=True)
    kept.write_text(json.dumps(found), "utf-8")
    return found


def people(
    work: Path, folder: Path, corpus: str, share: float
) -> list[tuple[str, list[sets.Item], Any]]:
    """(speaker, sentences to learn from, the others as a test)."""
    by: dict[str, list[sets.Item]] = defaultdict(list)
    held = sets.held_out()[corpus]
    kept = work / "sets" / f"every-{corpus}"
    for item in sets.kept(kept, lambda: sets.human(folder / corpus, held, 10_000)):
        by[next(s for s in held if item.key.startswith(s))].append(item)
    parts = []
    for speaker, items in by.items():
        cut = round(len(items) * share)
        parts.append((f"{corpus}-{speaker}", items[:cut], {corpus: items[cut:]}))
    return parts


def voices(work: Path, tests: Sequence[str]) -> list[tuple[str, list[sets.Item], Any]]:
    """(test voice, its reading of the sentences, its dictations)."""
    whole = sets.make(work / "sets", None, 0, tests)
    said = list(readings.sentences())
    parts = []
    for voice in sets.TEST_VOICES:
        lesson = sets.kept(
            work / "sets" / f"reading-{voice}", lambda v=voice: sets.spoken(said, (v,), 1)
        )
        own = {t: [x for x in whole[t] if x.key.startswith(f"{voice}/")] for t in tests}
        parts.append((voice, lesson, own))
    return parts


def row(name: str, found: list[dict[str, Any]], test: str) -> str:
    """A line of the table: several speakers together."""
    said, before, after = (
        [text for one in found for text in one["tests"][test][part]] for part in range(3)
    )
    seconds = np.mean([one["seconds"] for one in found])
    work = np.mean([one["work"] for one in found])
    errors = [str(scores.error_rate(said, heard)) for heard in (before, after)]
    numbers = [str(scores.exact_numbers(said, heard)) for heard in (before, after)]
    told = " | ".join([*errors, *numbers])
    return f"| {name} | {len(found)} | {seconds:.0f} | {work:.0f} | {told} |"


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("work", type=Path, help="folder of the sets and the results")
    ask.add_argument("--people", type=existing(), help="folder of the human recordings")
    ask.add_argument("--jobs", type=int, default=1, help="speakers at once")
    ask.add_argument("--tests", nargs="+", choices=TESTS, default=TESTS, help="dictations")
    args = ask.parse_args()
    groups = {}
    if args.people:
        groups[sets.LIBRISPEECH] = people(args.work, args.people, sets.LIBRISPEECH, SHARE)
        groups[sets.OCEAN] = people(args.work, args.people, sets.OCEAN, SHARE_OF_FEW)
    groups |= {voice[0]: [voice] for voice in voices(args.work, args.tests)}
    ensure_expanded(SHIPPED, args.work / "expanded")
    jobs = [(*one, args.work) for group in groups.values() for one in group]
    with ProcessPoolExecutor(args.jobs) as pool:
        found = {one["name"]: one for one in pool.map(measured, jobs)}
    print("| who | speakers | seconds read | work, s | words wrong before | after", end=" ")
    print("| numbers right before | after |")
    print("|---|---|---|---|---|---|---|---|")
    for name, group in groups.items():
        mine = [found[one[0]] for one in group]
        for test in mine[0]["tests"]:
            print(row(f"{name}, {test}" if test != name else name, mine, test))


if __name__ == "__main__":
    main()
