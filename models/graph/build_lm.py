"""The language model: invented dictation and general English, mixed and pruned.

    python build_lm.py OUT [--notes 400000] [--share 0.55] [--prune 1.5e-7]

Writes OUT/lm.arpa, OUT/words.json (word -> pronunciations) and OUT/report.json with perplexities
on held-out dictation (``heldout.txt``, written by hand) and on fresh drawn notes.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import dictation
import forms
import general
import ngram
import numpy as np
from lexicon import Lexicon
from words import LANGUAGE_DATA, NAME, choose, common_names, lexicon_terms, tokens

HERE = Path(__file__).parent


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("out", type=Path)
    ask.add_argument("--notes", type=int, default=400_000, help="drawn notes to count")
    ask.add_argument("--common", type=int, default=18_000, help="general English words")
    ask.add_argument("--share", type=float, default=0.55, help="weight of the dictation model")
    ask.add_argument("--prune", type=float, default=1.5e-7, help="relative perplexity threshold")
    ask.add_argument("--general-prune", type=float, default=1e-8)
    ask.add_argument("--seed", type=int, default=11)
    ask.add_argument("--tune", action="store_true", help="print the perplexity over shares")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    start = time.time()
    drawn = [
        *dictation.notes(args.notes, args.seed),
        *forms.phrases(LANGUAGE_DATA, args.notes // 5, args.seed),
    ]
    lines = [tokens(line) for line in drawn]
    seen = Counter(w for line in lines for w in line)
    wide = general.read_trie(general.package_file("en-us.lm.bin"))
    lexicon = Lexicon()
    extra = [*lexicon_terms(), *lexicon.own, *common_names()]
    words, prons = choose([*seen, *extra], wide, lexicon, args.common)
    ids = {w: i for i, w in enumerate(words)}
    print(f"{len(words)} words, {time.time() - start:.0f} s", flush=True)
    domain = ngram.train(([ids.get(w, ngram.UNK) for w in line] for line in lines), words)
    plain = general.restrict(wide, words)
    # The general model knows no name class; give it the mass of an uncommon noun.
    plain.p1[ids[NAME]] = np.log(2e-3)
    if args.general_prune:
        plain = ngram.prune(plain, args.general_prune)
    print(f"domain {len(domain.k2)} + {len(domain.k3)}, general {len(plain.k2)} + {len(plain.k3)}"
          f", {time.time() - start:.0f} s", flush=True)  # fmt: skip
    heldout = [
        line.strip()
        for line in (HERE / "heldout.txt").read_text(encoding="utf-8").splitlines()
        if line.strip() and not line.startswith("#")
    ]
    names = set(common_names()) | {"tansy"}
    dev = [
        " ".join(NAME if w in names and i % 2 == 0 else w for w in tokens(line))
        for i, line in enumerate(heldout)
    ]
    fresh = [" ".join(tokens(line)) for line in dictation.notes(500, args.seed + 1000)]
    report: dict[str, object] = {"words": len(words)}
    if args.tune:
        for share in (0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95):
            trial = ngram.mix([domain, plain], [share, 1 - share])
            print(share, ngram.perplexity(trial, dev), ngram.perplexity(trial, fresh), flush=True)
    mixed = ngram.mix([domain, plain], [args.share, 1 - args.share])
    small = ngram.without_middle(ngram.prune(mixed, args.prune), ids[NAME])
    for name, model in (("domain", domain), ("general", plain), ("mixed", mixed), ("final", small)):
        ppl, oov = ngram.perplexity(model, dev)
        drawn, _ = ngram.perplexity(model, fresh)
        report[name] = {
            "bigrams": len(model.k2),
            "trigrams": len(model.k3),
            "perplexity_heldout": round(ppl, 1),
            "unknown_heldout": round(oov, 4),
            "perplexity_drawn": round(drawn, 1),
        }
        print(name, report[name], flush=True)
    report |= {k: v for k, v in vars(args).items() if k != "out"}
    ngram.write_arpa(small, args.out / "lm.arpa")
    (args.out / "words.json").write_text(json.dumps(prons), encoding="utf-8")
    (args.out / "report.json").write_text(json.dumps(report, indent=1), encoding="utf-8")
    print(f"{time.time() - start:.0f} s")


if __name__ == "__main__":
    main()
