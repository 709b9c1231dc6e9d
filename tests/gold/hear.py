"""Write the gold notes as the shipped model hears them: ``python -m tests.gold.hear test``.

Says each note with the synthetic voices of ``models/graph/voices.py`` (one voice per note, in
turn), reads the sound with real libvosk and keeps words and confidences, one note a line, in
``heard-SPLIT.jsonl``. Already heard notes are kept, so that it can be stopped and run again. The
words are kept as heard; ``tests.gold.evaluate`` mends them by the rules of the day.
Synthetic voices only: real people in a barn are heard worse. With ``--own-voice FOLDER`` the model
first learns each voice, as ``fieldlog voice`` does; ``tests.gold.evaluate --heard FOLDER`` scores
what it then hears.
"""

from __future__ import annotations

import argparse
import importlib
import json
import sys
import tempfile
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from fieldlog.config import Settings
from fieldlog.paths import Places
from fieldlog.paths import places as places_under
from fieldlog.speech import readings
from fieldlog.speech.opening import open_recogniser
from fieldlog.speech.recogniser import transcribe
from tests.gold.annotation import HERE, SPLITS, TOGETHER, one_of, read_notes

SHORTHAND = ("Petra", "Quill")
"""Styles that are typed, not spoken: marks and abbreviations that no voice says."""
VOICES = ("flite-slt", "flite-rms", "flite-awb")


def say(text: str, voice: str) -> bytes:
    """16 kHz mono PCM with half a second of quiet at both ends."""
    sys.path.insert(0, str(Path(__file__).parents[2] / "models" / "graph"))
    voices = importlib.import_module("voices")

    quiet = bytes(16000)
    return quiet + bytes(voices.say(text, voice).tobytes()) + quiet


def learnt(voice: str, home: Path) -> Places:
    """Where a model has learnt a voice from the sentences that a farrier is asked to read."""
    places = places_under(home).make()
    if not places.own_voice.is_file():
        for number, text in enumerate(readings.sentences(), 1):
            readings.keep(places, number, say(text, voice))
        print(voice, readings.learn(places, datetime.now().astimezone()), flush=True)
    return places


def hear(split: str, into: Path, places: Mapping[str, Places]) -> None:
    """Hear what is not yet heard of a split.

    Args:
        split: notes of ``tests/gold``.
        into: the folder for ``heard-SPLIT.jsonl``.
        places: where the model of each voice is.
    """
    target = into / f"heard-{split}.jsonl"
    lines = target.read_text(encoding="utf-8").splitlines() if target.exists() else []
    done = {json.loads(line)["text"] for line in lines}
    with target.open("a", encoding="utf-8") as out:
        for number, note in enumerate(read_notes(split)):
            if note.text in done or note.style in SHORTHAND:
                continue
            voice = VOICES[number % len(VOICES)]
            sound = say(note.text, voice)
            pieces = (sound[at : at + 8000] for at in range(0, len(sound), 8000))
            words = transcribe(open_recogniser(Settings(), places[voice]), pieces).words
            heard = [
                [text, round(w.start, 2), round(w.end, 2), round(w.confidence, 3)]
                for w in words
                for text in (w.heard or w.text).split()
            ]
            row = {"text": note.text, "voice": voice, "words": heard}
            out.write(json.dumps(row) + "\n")
            out.flush()


def main() -> None:
    """Command line."""
    ask = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    ask.add_argument(
        "splits", nargs="*", default=["test"], type=one_of((*SPLITS, *TOGETHER)), metavar="SPLIT",
        help="e.g. dev; test if left out",
    )  # fmt: skip
    ask.add_argument(
        "--own-voice", type=Path, metavar="FOLDER", help="learn each voice first; all lies there"
    )
    args = ask.parse_args()
    with tempfile.TemporaryDirectory() as home:
        if args.own_voice:
            places = {voice: learnt(voice, args.own_voice / voice) for voice in VOICES}
        else:
            places = dict.fromkeys(VOICES, places_under(Path(home)).make())
        for split in args.splits:
            for part in TOGETHER.get(split, (split,)):
                hear(part, args.own_voice or HERE, places)


if __name__ == "__main__":
    main()
