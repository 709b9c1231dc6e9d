"""The texts that the recurrent language model learns from, as numbers.

    python models/recurrent/texts.py OUT.npz [--words words.json] [--drawn drawn.json.gz]
    ... [--wide TEXT ...] [--held NAME=TEXT ...]

Needs what ``models/graph`` needs, and no torch. The words are those of the shipped graph, or those
of ``build_lm.py`` for a new one (``--words``). ``--wide`` are texts of general English, as there;
``--held`` are utterances, one a line, that only measure. Written
talk and notes, drawn dictation and general English are those of ``models/graph/build_lm.py``
(general English, of which there is only a trigram, is drawn from it); ``--drawn`` are the notes of
``models/gist/draw.py``. A word that the graph does not know and every other common name become the
class of names. OUT holds ``words`` and, for each part and for the held-out dictation, one array of
word numbers in which ``SENTENCE`` ends a sentence and ``NOTE`` a note.
"""

from __future__ import annotations

import gzip
import json
import random
import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "graph"), str(HERE.parents[1])]

import dictation  # noqa: E402
import forms  # noqa: E402
import general  # noqa: E402
import numpy as np  # noqa: E402
from ngram import BOS, EOS, SPECIAL, UNK, Ngram  # noqa: E402
from talk import phrases, typed_notes, unstopped, written_talk  # noqa: E402
from wide import texts as wide_texts  # noqa: E402
from words import LANGUAGE_DATA, NAME, common_names, shipped_words, tokens  # noqa: E402

from models.inputs import asking, existing  # noqa: E402

SENTENCE, NOTE = -1, -2
"""Marks of an end in the arrays; ``train.py`` reads them."""
STOP = re.compile(r"[.?!;]+(?=\s|$)")
GRAPH = HERE.parent / "graph"


def vocabulary(chosen: Path | None) -> list[str]:
    """``<s>``, ``</s>``, ``<name>`` and the words of a list, or of the shipped graph."""
    if chosen:
        return ["<s>", "</s>", NAME, *json.loads(chosen.read_text(encoding="utf-8"))]
    return ["<s>", "</s>", NAME, *shipped_words()]


def sentences(text: str) -> list[list[str]]:
    """The words of each sentence of a note as it was typed."""
    return [t for t in (tokens(unstopped(part)) for part in STOP.split(text)) if t]


def plain(lines: Iterable[str]) -> Iterator[list[list[str]]]:
    """Lines that are one utterance each."""
    for line in lines:
        words = tokens(line)
        if words:
            yield [words]


def drawn_from(model: Ngram, count: int, seed: int) -> Iterator[list[list[str]]]:
    """Lines drawn from a trigram: the next word from what follows the last two, or the last."""
    dice, size = random.Random(seed), model.size
    ones = np.cumsum(np.exp(model.p1))

    def one() -> int:
        return int(np.searchsorted(ones, dice.random() * ones[-1]))

    def after(keys: np.ndarray, chances: np.ndarray, before: int) -> int | None:
        first, last = np.searchsorted(keys, [before * size, (before + 1) * size])
        at = dice.random()
        for i in range(first, last):
            at -= float(np.exp(chances[i]))
            if at < 0:
                return int(keys[i] % size)
        return None

    for _ in range(count):
        line, past = [], [BOS]
        while len(line) < 60:
            word = after(model.k3, model.p3, past[-2] * size + past[-1]) if len(past) > 1 else None
            if word is None:
                word = after(model.k2, model.p2, past[-1])
            if word is None:
                word = one()
            if word in (BOS, UNK):
                continue
            if word == EOS:
                break
            past.append(word)
            line.append(model.words[word])
        if len(line) > 1:
            yield [line]


def as_numbers(
    notes: Iterable[Sequence[Sequence[str]]], ids: dict[str, int], names: set[str]
) -> np.ndarray:
    """One array for all notes."""
    out: list[int] = []
    seen = 0
    for note in notes:
        for sentence in note:
            for word in sentence:
                seen += 1
                number = ids.get(word, ids[NAME])
                out.append(ids[NAME] if word in names and seen % 2 else number)
            out.append(SENTENCE)
        out.append(NOTE)
    return np.array(out, np.int32)


def main() -> None:
    ask = asking(__doc__)
    ask.add_argument("out", type=Path, help="the arrays, .npz")
    ask.add_argument("--drawn", nargs="*", default=[], help="notes of models/gist/draw.py",
                     type=existing("make it: models/gist/draw.py"))  # fmt: skip
    ask.add_argument("--words", help="words.json of build_lm.py",
                     type=existing("make it: models/graph/build_lm.py"))  # fmt: skip
    ask.add_argument("--wide", type=existing(), nargs="*", default=[],
                     help="texts of general English")  # fmt: skip
    ask.add_argument("--held", nargs="*", default=[], metavar="NAME=TEXT",
                     help="utterances that are only measured on, one a line")  # fmt: skip
    ask.add_argument("--grammar", type=int, default=60_000, help="notes of the grammar")
    ask.add_argument("--general", type=int, default=70_000, help="lines of general English")
    ask.add_argument("--seed", type=int, default=21, help="of what is drawn")
    args = ask.parse_args()
    words = vocabulary(args.words)
    ids = {w: i for i, w in enumerate(words)}
    names = set(common_names()) | {"tansy"}
    wide = general.restrict(general.read_trie(general.package_file("en-us.lm.bin")),
                            [*SPECIAL, *words[2:]])  # fmt: skip
    parts: dict[str, Iterable[Sequence[Sequence[str]]]] = {
        "talk": plain([*written_talk(), *phrases()]),
        "notes": (sentences(note) for note in typed_notes()),
        "grammar": plain(dictation.notes(args.grammar, args.seed)),
        "forms": plain(forms.phrases(LANGUAGE_DATA, args.grammar // 5, args.seed)),
        "general": drawn_from(wide, args.general, args.seed),
    }
    for i, file in enumerate(args.drawn):
        with gzip.open(file, "rt", encoding="utf-8") as f:
            texts = [" ".join(n["words"]) for n in json.load(f)]
        parts[f"drawn{i}"] = (sentences(t) for t in texts if not any(c.isdigit() for c in t))
    for file in args.wide:
        parts[f"wide_{file.name.split('.')[0]}"] = wide_texts([file], ids)
    held = {h: GRAPH / f"{h}.txt" for h in ("heldout", "heldout_numbers")}
    held |= {f"heldout_{n}": Path(f) for n, f in (h.split("=", 1) for h in args.held)}
    parts |= {h: plain(dictation.lines_of(file)) for h, file in held.items()}
    arrays = {k: as_numbers(notes, ids, names) for k, notes in parts.items()}
    for k, a in arrays.items():
        print(k, int((a == NOTE).sum()), "notes,", int((a >= 0).sum()), "words,",
              f"{np.mean(a[a >= 0] == ids[NAME]):.4f} names", flush=True)  # fmt: skip
    np.savez_compressed(args.out, words=np.array(words), **arrays)


if __name__ == "__main__":
    main()
