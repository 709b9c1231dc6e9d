"""The language model: drawn dictation, general English and written talk, mixed and pruned.

    python build_lm.py OUT [--notes 500000] [--shares 0.14 0.12 0.74] [--prune 2.5e-7]
    ... [--wide TEXT=SHARE ...] [--held NAME=TEXT ...]

Drawn dictation comes from the grammar and knows every term in every place; written talk
(``written/*.txt``; no note of tests/gold is among them) is how people go on. General English is the
trigram of the pocketsphinx package, and one of each ``--wide`` text (novels; what
``models/recurrent/general_text.py`` drew) by its share of it. The words of the shipped graph stay:
its network of the second look knows them. Writes OUT/lm.arpa, OUT/words.json (word ->
pronunciations) and OUT/report.json with perplexities on held-out dictation (``heldout.txt``,
written by hand), on fresh drawn notes, and on the utterances of ``--held``.
"""

from __future__ import annotations

import argparse
import itertools
import json
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import dictation
import forms
import general
import ngram
import numpy as np
from lexicon import Lexicon
from ngram import Ngram
from talk import phrases, typed_notes, unstopped, written_talk
from wide import often_in, texts
from words import LANGUAGE_DATA, NAME, choose, common_names, lexicon_terms, shipped_words, tokens

from models.inputs import asking, existing, packages

HERE = Path(__file__).parent
LEAST = 3
"""How often a word that CMUdict knows stands in general texts to be among the words."""
NAMED = frozenset(common_names()) | {"tansy"}


def written() -> list[list[str]]:
    """Words of written talk, line by line, and of the phrases and notes the second opinion learnt
    from."""
    notes = (unstopped(note) for note in typed_notes())
    return [tokens(line) for line in (*written_talk(), *phrases(), *notes)]


@dataclass(frozen=True)
class Texts:
    """What is learnt from, as words line by line."""

    drawn: list[list[str]]
    """Notes of the grammar and spoken forms of the patterns."""
    talk: list[list[str]]
    """``written``."""
    read: dict[Path, float]
    """General texts, with their shares of general English."""


@dataclass(frozen=True)
class Parts:
    """A model of each kind of text, over the same words."""

    drawn: Ngram
    general: Ngram
    written: Ngram

    def mixed(self, shares: Sequence[float]) -> Ngram:
        return ngram.mix([self.drawn, self.general, self.written], list(shares))


def drawn_lines(notes: int, seed: int) -> list[list[str]]:
    """Words of ``notes`` notes of the grammar, and of a fifth as many spoken forms."""
    lines = [*dictation.notes(notes, seed), *forms.phrases(LANGUAGE_DATA, notes // 5, seed)]
    return [tokens(line) for line in lines]


def vocabulary(
    texts_: Texts, wide: Ngram, common: int, without: Sequence[str]
) -> tuple[list[str], dict[str, list[tuple[str, ...]]]]:
    """The words, special ones first, and how each is pronounced.

    Args:
        texts_: what is learnt from.
        wide: the package's general English.
        common: how many of its commonest words are taken.
        without: words to leave out, unless a text of ours has them.
    """
    lexicon = Lexicon()
    for word in without:
        lexicon.cmu.pop(word, None)
    often = Counter(w for line in texts_.talk for w in line)
    known = [w for w in often if often[w] > 1 or w.removesuffix("'s") in lexicon.cmu]
    often_read = [w for w in often_in(texts_.read, LEAST) if w in lexicon.cmu]
    extra = [*lexicon_terms(), *lexicon.own, *common_names(), *known, *often_read]
    extra += [w for w in shipped_words() if w not in without]
    # The patterns draw "weeks'd" as readily as "he'd"; somebody must have written it.
    seen = Counter(w for line in texts_.drawn for w in line)
    said = {w for w in (*seen, *extra) if "'" not in w or w in lexicon.cmu or w in often}
    return choose(sorted(said), wide, lexicon, common)


def some_named(line: Sequence[str], words: Mapping[str, int] | None = None) -> list[str]:
    """Every other name, and every word that is not among ``words``, as the class of names."""
    return [
        NAME if (words is not None and w not in words) or (w in NAMED and i % 2 == 0) else w
        for i, w in enumerate(line)
    ]


def general_english(
    wide: Ngram, words: list[str], read: Mapping[Path, float], prune: float
) -> Ngram:
    """The package's trigram and one of each general text, mixed by their shares and pruned."""
    ids = {w: i for i, w in enumerate(words)}
    plain = general.restrict(wide, words)
    # The general model knows no name class; give it the mass of an uncommon noun.
    plain.p1[ids[NAME]] = np.log(2e-3)
    if read:

        def numbered(path: Path) -> Iterator[list[int]]:
            return ([ids[w] for w in line] for text in texts([path], ids) for line in text)

        others = [ngram.train(numbered(path), words) for path in read]
        plain = ngram.mix([*others, plain], [*read.values(), 1 - sum(read.values())])
    return ngram.prune(plain, prune) if prune else plain


def parts_of(texts_: Texts, wide: Ngram, words: list[str], general_prune: float) -> Parts:
    """A trigram of each kind of text."""
    ids = {w: i for i, w in enumerate(words)}
    drawn = ngram.train(([ids.get(w, ngram.UNK) for w in x] for x in texts_.drawn), words)
    named = (some_named(line, ids) for line in texts_.talk)
    written_ = ngram.train(([ids[w] for w in line] for line in named), words)
    return Parts(drawn, general_english(wide, words, texts_.read, general_prune), written_)


def measured(model: Ngram, held: Mapping[str, Sequence[str]]) -> dict[str, float]:
    """Size, perplexity of each held-out text, and the share of words of the first not known."""
    found = {name: ngram.perplexity(model, lines) for name, lines in held.items()}
    unknown = next(iter(found.values()))[1]
    return {
        "bigrams": len(model.k2),
        "trigrams": len(model.k3),
        **{f"perplexity_{name}": round(value, 1) for name, (value, _) in found.items()},
        "unknown_heldout": round(unknown, 4),
    }


def held_out(seed: int, more: Sequence[str]) -> dict[str, list[str]]:
    """Texts that are only measured on, by name: written by hand, drawn anew, and ``NAME=TEXT``."""
    by_hand = dictation.lines_of(HERE / "heldout.txt")
    fresh = dictation.notes(500, seed + 1000)
    others = (item.split("=", 1) for item in more)
    return {
        "heldout": [" ".join(some_named(tokens(line))) for line in by_hand],
        "drawn": [" ".join(tokens(line)) for line in fresh],
        **{n: [x.lower() for x in dictation.lines_of(Path(file))] for n, file in others},
    }


def found(text: str) -> Path:
    """The file of that name.

    Raises:
        SystemExit: there is none.
    """
    try:
        return existing()(text)
    except argparse.ArgumentTypeError as problem:
        raise SystemExit(str(problem)) from None


def arguments() -> argparse.Namespace:
    """What the command line asks for."""
    packages(__doc__, "models/README.md", "pocketsphinx", "hibari")
    ask = asking(__doc__)
    ask.add_argument("out", type=Path, help="folder to write")
    ask.add_argument("--notes", type=int, default=500_000, help="drawn notes to count")
    ask.add_argument("--common", type=int, default=36_000, help="general English words")
    ask.add_argument(
        "--shares", type=float, nargs=3, default=(0.14, 0.12, 0.74), metavar="SHARE",
        help="weights of drawn dictation, general English and written talk",
    )  # fmt: skip
    ask.add_argument("--prune", type=float, default=2.5e-7, help="relative perplexity threshold")
    ask.add_argument("--general-prune", type=float, default=1e-8,
                     help="the same of general English, before it is mixed")  # fmt: skip
    ask.add_argument(
        "--wide",
        nargs="*",
        default=[],
        metavar="TEXT=SHARE",
        help="general texts, .txt or .gz, and their share of general English",
    )
    ask.add_argument("--held", nargs="*", default=[], metavar="NAME=TEXT", help="only measured on")
    ask.add_argument("--without", nargs="*", default=[], help="general words to leave out")
    ask.add_argument("--seed", type=int, default=11, help="of the drawn notes")
    ask.add_argument("--tune", action="store_true", help="print the perplexity over shares")
    return ask.parse_args()


def main() -> None:
    args = arguments()
    args.out.mkdir(parents=True, exist_ok=True)
    start = time.time()
    read = {found(text): float(share) for text, share in (w.rsplit("=", 1) for w in args.wide)}
    learnt = Texts(drawn_lines(args.notes, args.seed), written(), read)
    wide = general.read_trie(general.package_file("en-us.lm.bin"))
    words, prons = vocabulary(learnt, wide, args.common, args.without)
    print(f"{len(words)} words, {time.time() - start:.0f} s", flush=True)
    parts = parts_of(learnt, wide, words, args.general_prune)
    print(f"three models, {time.time() - start:.0f} s", flush=True)
    held = held_out(args.seed, args.held)
    if args.tune:
        for first, second in itertools.product((0.1, 0.2, 0.3), (0.2, 0.3, 0.4)):
            shares = (first, second, 1 - first - second)
            print(shares, measured(parts.mixed(shares), held), flush=True)
    mixed = parts.mixed(args.shares)
    small = ngram.without_middle(ngram.prune(mixed, args.prune), words.index(NAME))
    made = {**vars(parts), "mixed": mixed, "final": small}
    report = {"words": len(words)} | {name: measured(m, held) for name, m in made.items()}
    for name in made:
        print(name, report[name], flush=True)
    kept = {k: v for k, v in vars(args).items() if k not in ("out", "without", "held")}
    report |= kept | {"wide": {path.name: share for path, share in read.items()}}
    ngram.write_arpa(small, args.out / "lm.arpa")
    (args.out / "words.json").write_text(json.dumps(prons), encoding="utf-8")
    (args.out / "report.json").write_text(json.dumps(report, indent=1), encoding="utf-8")
    print(f"{time.time() - start:.0f} s")


if __name__ == "__main__":
    main()
