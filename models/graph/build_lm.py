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
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import dictation
import forms
import general
import ngram
import numpy as np
from lexicon import Lexicon
from talk import phrases, typed_notes, unstopped, written_talk
from wide import often_in, texts
from words import LANGUAGE_DATA, NAME, choose, common_names, lexicon_terms, shipped_words, tokens

HERE = Path(__file__).parent
LEAST = 3
"""How often a word that CMUdict knows stands in general texts to be among the words."""


def written() -> list[list[str]]:
    """Words of written talk, line by line, and of the phrases and notes the second opinion learnt
    from."""
    notes = (unstopped(note) for note in typed_notes())
    return [tokens(line) for line in (*written_talk(), *phrases(), *notes)]


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("out", type=Path)
    ask.add_argument("--notes", type=int, default=500_000, help="drawn notes to count")
    ask.add_argument("--common", type=int, default=36_000, help="general English words")
    ask.add_argument(
        "--shares", type=float, nargs=3, default=(0.14, 0.12, 0.74), metavar="SHARE",
        help="weights of drawn dictation, general English and written talk",
    )  # fmt: skip
    ask.add_argument("--prune", type=float, default=2.5e-7, help="relative perplexity threshold")
    ask.add_argument("--general-prune", type=float, default=1e-8)
    ask.add_argument("--wide", nargs="*", default=[], metavar="TEXT=SHARE")
    ask.add_argument("--held", nargs="*", default=[], metavar="NAME=TEXT", help="only measured on")
    ask.add_argument("--without", nargs="*", default=[], help="general words to leave out")
    ask.add_argument("--seed", type=int, default=11)
    ask.add_argument("--tune", action="store_true", help="print the perplexity over shares")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    read = {Path(text): float(share) for text, share in (w.rsplit("=", 1) for w in args.wide)}
    start = time.time()
    drawn = [
        *dictation.notes(args.notes, args.seed),
        *forms.phrases(LANGUAGE_DATA, args.notes // 5, args.seed),
    ]
    lines = [tokens(line) for line in drawn]
    seen = Counter(w for line in lines for w in line)
    wide = general.read_trie(general.package_file("en-us.lm.bin"))
    lexicon = Lexicon()
    for word in args.without:
        lexicon.cmu.pop(word, None)
    talk = written()
    often = Counter(w for line in talk for w in line)
    known = [w for w in often if often[w] > 1 or w.removesuffix("'s") in lexicon.cmu]
    often_read = [w for w in often_in(read, LEAST) if w in lexicon.cmu]
    extra = [*lexicon_terms(), *lexicon.own, *common_names(), *known, *often_read]
    extra += [w for w in shipped_words() if w not in args.without]
    # The patterns draw "weeks'd" as readily as "he'd"; somebody must have written it.
    said = {w for w in (*seen, *extra) if "'" not in w or w in lexicon.cmu or w in often}
    words, prons = choose(sorted(said), wide, lexicon, args.common)
    ids = {w: i for i, w in enumerate(words)}
    print(f"{len(words)} words, {time.time() - start:.0f} s", flush=True)
    domain = ngram.train(([ids.get(w, ngram.UNK) for w in line] for line in lines), words)
    names = set(common_names()) | {"tansy"}

    def named(line: list[str]) -> list[str]:
        """Every other name, and every word that nobody knows, as the class of names."""
        return [
            NAME if w not in ids or (w in names and i % 2 == 0) else w for i, w in enumerate(line)
        ]

    spoken = ngram.train(([ids[w] for w in named(line)] for line in talk), words)
    plain = general.restrict(wide, words)
    # The general model knows no name class; give it the mass of an uncommon noun.
    plain.p1[ids[NAME]] = np.log(2e-3)
    if read:

        def numbered(path: Path) -> Iterator[list[int]]:
            return ([ids[w] for w in line] for text in texts([path], ids) for line in text)

        others = [ngram.train(numbered(path), words) for path in read]
        plain = ngram.mix([*others, plain], [*read.values(), 1 - sum(read.values())])
    if args.general_prune:
        plain = ngram.prune(plain, args.general_prune)
    print(f"domain {len(domain.k2)} + {len(domain.k3)}, general {len(plain.k2)} + {len(plain.k3)}"
          f", {time.time() - start:.0f} s", flush=True)  # fmt: skip
    heldout = dictation.lines_of(HERE / "heldout.txt")
    dev = [
        " ".join(NAME if w in names and i % 2 == 0 else w for i, w in enumerate(tokens(line)))
        for line in heldout
    ]
    fresh = [" ".join(tokens(line)) for line in dictation.notes(500, args.seed + 1000)]
    report: dict[str, object] = {"words": len(words)}
    held = {
        name: [line.lower() for line in dictation.lines_of(Path(file))]
        for name, file in (h.split("=", 1) for h in args.held)
    }
    if args.tune:
        for shares in itertools.product((0.1, 0.2, 0.3), (0.2, 0.3, 0.4)):
            weights = [*shares, 1 - sum(shares)]
            trial = ngram.mix([domain, plain, spoken], weights)
            print(weights, ngram.perplexity(trial, dev), ngram.perplexity(trial, fresh), flush=True)
    mixed = ngram.mix([domain, plain, spoken], list(args.shares))
    small = ngram.without_middle(ngram.prune(mixed, args.prune), ids[NAME])
    for name, model in (("drawn", domain), ("general", plain), ("written", spoken),
                        ("mixed", mixed), ("final", small)):  # fmt: skip
        ppl, oov = ngram.perplexity(model, dev)
        drawn, _ = ngram.perplexity(model, fresh)
        report[name] = {
            "bigrams": len(model.k2),
            "trigrams": len(model.k3),
            "perplexity_heldout": round(ppl, 1),
            "unknown_heldout": round(oov, 4),
            "perplexity_drawn": round(drawn, 1),
            **{f"perplexity_{k}": round(ngram.perplexity(model, v)[0], 1) for k, v in held.items()},
        }
        print(name, report[name], flush=True)
    kept = {k: v for k, v in vars(args).items() if k not in ("out", "without", "held")}
    report |= kept | {"wide": {path.name: share for path, share in read.items()}}
    ngram.write_arpa(small, args.out / "lm.arpa")
    (args.out / "words.json").write_text(json.dumps(prons), encoding="utf-8")
    (args.out / "report.json").write_text(json.dumps(report, indent=1), encoding="utf-8")
    print(f"{time.time() - start:.0f} s")


if __name__ == "__main__":
    main()
