"""Human recordings, packed for the way to the GPU, with the phones that were said.

    python people.py HUMAN_FOLDER OUT_FOLDER

Held-out speakers (models/evaluation/held_out.json) go into ``dev`` and are never trained on. Writes
``index.json`` and one tar of the unchanged recordings per corpus.
"""

from __future__ import annotations

import argparse
import json
import sys
import tarfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "graph"), str(ROOT / "evaluation")]

import sets  # noqa: E402
from lexicon import Lexicon  # noqa: E402
from phones import ID  # noqa: E402

CORPORA = {"l": "librispeech-dev-clean-part", "s": "speechocean762-train", "w": "wake-words"}


def speaker_of(corpus: str, key: str) -> str:
    """librispeech: before the dash; speechocean762: the first five digits; wake words: unknown."""
    return {"l": key.split("-")[0], "s": key[:5], "w": ""}[corpus]


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("human", type=Path)
    ask.add_argument("out", type=Path)
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    lexicon = Lexicon()
    held_out = sets.held_out()
    kept_out = {s for name in CORPORA.values() for s in held_out.get(name, [])}
    index: dict[str, list[Any]] = {"train": [], "dev": []}
    for corpus, name in CORPORA.items():
        folder = args.human / name
        said = sets.transcripts(folder)
        files = {p.stem: p for p in folder.iterdir()}
        with tarfile.open(args.out / f"{corpus}.tar", "w") as out:
            for key in sorted(said):
                if key not in files:
                    continue
                sound = sets.read_sound(files[key])
                words = [lexicon(w) for w in said[key].replace("-", " ").split()]
                if not all(words) or len(sound) < 4000:
                    continue
                phones = [ID[p] for prons in words for p in prons[0]]
                out.add(files[key], files[key].name)
                part = "dev" if speaker_of(corpus, key) in kept_out else "train"
                index[part].append([files[key].name, len(sound), phones, corpus])
    (args.out / "index.json").write_text(json.dumps(index), encoding="utf-8")
    for part, rows in index.items():
        hours = {c: sum(r[1] for r in rows if r[3] == c) / 16000 / 3600 for c in CORPORA}
        print(part, len(rows), {c: round(h, 2) for c, h in hours.items()})


if __name__ == "__main__":
    main()
