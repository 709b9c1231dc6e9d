"""Human recordings, packed for the way to the GPU, with the phones that were said.

    python people.py HUMAN_FOLDER OUT_FOLDER [--more g=FOLDER ...] [--judge weights/acoustic.npz]

Held-out speakers (models/evaluation/held_out.json) go into ``dev`` and are never trained on. A
``--more`` folder has an ``index.tsv`` with the columns file, speaker and transcript; the letter
``t`` is for following the training only. With ``--judge`` (needs torch) earlier weights pick among
the pronunciations of each word, and recordings in which they do not find the words at all are left
out. Writes ``index-*.json`` and one tar of recordings per corpus (WAV of ``--more`` folders as
Opus, the rest unchanged).
"""

from __future__ import annotations

import io
import json
import sys
import tarfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "graph"), str(ROOT / "evaluation"), str(ROOT.parent)]

import sets  # noqa: E402
from lexicon import Lexicon  # noqa: E402
from phones import ID  # noqa: E402

from models.inputs import asking, existing  # noqa: E402

CORPORA = {"l": "librispeech-dev-clean-part", "s": "speechocean762-train", "w": "wake-words"}


def speaker_of(corpus: str, key: str) -> str:
    """librispeech: before the dash; speechocean762: the first five digits; wake words: unknown."""
    return {"l": key.split("-")[0], "s": key[:5], "w": ""}.get(corpus, "")


def recordings(folder: Path) -> Iterator[tuple[Path, str]]:
    """Files of one corpus with their words, in order."""
    index = folder / "index.tsv"
    if index.exists():
        for line in index.read_text("utf-8").splitlines()[1:]:
            name, _, said = line.split("\t")[:3]
            yield folder / name, said
        return
    files = {p.stem: p for p in folder.iterdir()}
    for key, said in sorted(sets.transcripts(folder).items()):
        if key in files:
            yield files[key], said


class Judge:
    """Earlier weights, asked what was really said.

    Args:
        weights: an ``.npz`` of acoustic.py's network.
        worst: recordings with a higher CTC loss per phone (nats) are not believed.
    """

    def __init__(self, weights: Path, worst: float) -> None:
        import numpy as np
        import torch
        from acoustic import CONFIG, Acoustic, Cepstra

        self.torch, self.worst = torch, worst
        with np.load(weights) as found:
            state = {k: torch.from_numpy(found[k]).float() for k in found.files}
        size = {"hidden": len(state["c1.bias"]), "narrow": len(state["c2.weight"])}
        self.front, self.net = Cepstra(), Acoustic(CONFIG | size).eval()
        self.net.load_state_dict(state, strict=False)

    def losses(self, scores: Any, guesses: list[list[int]]) -> list[float]:
        torch = self.torch
        many = scores.expand(len(guesses), -1, -1).transpose(0, 1)
        found = torch.nn.functional.ctc_loss(
            many,
            torch.tensor([p for g in guesses for p in g]),
            torch.full((len(guesses),), scores.shape[1]),
            torch.tensor([len(g) for g in guesses]),
            reduction="none",
        )
        return [float(x) for x in found]

    def __call__(self, sound: Any, words: list[list[list[int]]]) -> list[int] | None:
        """The likeliest phones: per word the best of its pronunciations, the others held."""
        torch = self.torch
        with torch.no_grad():
            x = torch.from_numpy(sound).float()
            x = x / (x.abs().max() + 3) * 0.6 * 32767
            scores = self.net(self.front(x[None]))
            first = [prons[0] for prons in words]
            tries = [(i, p) for i, prons in enumerate(words) for p in prons[1:]]
            guesses = [[q for p in first for q in p]]
            for i, other in tries:
                changed = [*first[:i], other, *first[i + 1 :]]
                guesses.append([q for p in changed for q in p])
            base, *rest = self.losses(scores, guesses)
            best = list(first)
            gain = [0.0] * len(words)
            for (i, other), loss in zip(tries, rest, strict=True):
                if base - loss > gain[i]:
                    gain[i], best[i] = base - loss, other
            phones = [q for p in best for q in p]
            if self.losses(scores, [phones])[0] / len(phones) > self.worst:
                return None
        return phones


def opus(sound: Any) -> bytes:
    import soundfile

    out = io.BytesIO()
    soundfile.write(out, sound, 16000, format="OGG", subtype="OPUS", compression_level=0.85)
    return out.getvalue()


class Packer:
    """Recordings with the phones that were said, one tar a corpus.

    Args:
        out: folder of the tars.
        judge: picks among pronunciations; without, the first of each word is taken.
    """

    def __init__(self, out: Path, judge: Judge | None) -> None:
        self.out, self.judge, self.lexicon = out, judge, Lexicon()
        held_out = sets.held_out()
        self.kept_out = {s for name in CORPORA.values() for s in held_out.get(name, [])}
        self.index: dict[str, list[Any]] = {"train": [], "dev": []}

    def corpus(self, corpus: str, folder: Path) -> int:
        """Pack a corpus; returns how many recordings the judge refused."""
        refused = 0
        with tarfile.open(self.out / f"{corpus}.tar", "w") as out:
            for path, said in recordings(folder):
                sound = sets.read_sound(path)
                words = [self.lexicon(w) for w in said.replace("-", " ").split()]
                if not words or not all(words) or len(sound) < 4000:
                    continue
                options = [[[ID[p] for p in pron] for pron in prons] for prons in words]
                part = self.part(corpus, path)
                phones = self.phones(corpus, part, sound, options)
                if phones is None:
                    refused += 1
                    continue
                name = put(out, corpus, path, sound)
                self.index[part].append([name, len(sound), phones, corpus])
        return refused

    def part(self, corpus: str, path: Path) -> str:
        """``dev`` for speakers who are held out and for the corpus that is only followed."""
        held = corpus == "t" or speaker_of(corpus, path.stem) in self.kept_out
        return "dev" if held else "train"

    def phones(
        self, corpus: str, part: str, sound: Any, options: list[list[list[int]]]
    ) -> list[int] | None:
        """What was said; none if the judge does not find the words. Wake words are believed."""
        if self.judge and part == "train" and corpus != "w":
            return self.judge(sound, options)
        return [q for prons in options for q in prons[0]]


def put(out: tarfile.TarFile, corpus: str, path: Path, sound: Any) -> str:
    """Put a recording into the tar, WAV of further folders as Opus; returns its name there."""
    if corpus in CORPORA or path.suffix != ".wav":
        out.add(path, path.name)
        return path.name
    data = opus(sound)
    info = tarfile.TarInfo(f"{path.stem}.ogg")
    info.size = len(data)
    out.addfile(info, io.BytesIO(data))
    return info.name


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("human", type=existing(), help="folder with a folder of each corpus")
    ask.add_argument("out", type=Path, help="folder of the packed recordings")
    ask.add_argument("--more", nargs="*", default=[], help="letter=folder")
    ask.add_argument("--only", help="letters of the corpora of this call, e.g. ls")
    ask.add_argument("--judge", type=existing("weights of train.py"), help="earlier weights")
    ask.add_argument("--worst", type=float, default=3.5, help="nats a phone that are believed")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    folders = {c: args.human / name for c, name in CORPORA.items()}
    folders |= {c: Path(name) for c, name in (m.split("=", 1) for m in args.more)}
    folders = {c: f for c, f in folders.items() if c in (args.only or c)}
    missing = [f for f in folders.values() if not f.is_dir()]
    if missing:
        ask.error(f"there is no {missing[0]}; --only names the corpora that are there")
    packer = Packer(args.out, Judge(args.judge, args.worst) if args.judge else None)
    for corpus, folder in folders.items():
        print(corpus, folder.name, "refused:", packer.corpus(corpus, folder), flush=True)
    index = json.dumps(packer.index)
    (args.out / f"index-{''.join(folders)}.json").write_text(index, encoding="utf-8")
    for part, rows in packer.index.items():
        hours = {c: sum(r[1] for r in rows if r[3] == c) / 16000 / 3600 for c in folders}
        print(part, len(rows), {c: round(h, 2) for c, h in hours.items()})


if __name__ == "__main__":
    main()
