"""The language model of the second, general graph: for measuring on book readers, not shipped.

    python build_general_lm.py OUT [--text BOOK.txt ...] [--common 60000] [--prune 2e-8]

The pocketsphinx package's trigram over its commoner words, mixed with a trigram of any books given
(public domain; the measured graph used the novels in Debian's r-cran-janeaustenr, read before this
script shared its reader with ``build_lm.py``).
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import general
import ngram
from lexicon import Lexicon
from wide import sentences
from words import choose

from models.inputs import asking, existing, packages


def main() -> None:
    packages(__doc__, "models/README.md", "pocketsphinx", "hibari")
    ask = asking(__doc__)
    ask.add_argument("out", type=Path, help="folder to write")
    ask.add_argument("--text", type=existing(), nargs="*", default=[], help="books, .txt or .gz")
    ask.add_argument("--common", type=int, default=60_000, help="words of the package to take")
    ask.add_argument("--share", type=float, default=0.3, help="weight of the books")
    ask.add_argument("--prune", type=float, default=2e-8, help="relative threshold")
    args = ask.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    wide = general.read_trie(general.package_file("en-us.lm.bin"))
    lexicon = Lexicon()
    lines = [line for path in args.text for line in sentences(path)]
    words, prons = choose(
        [w for line in lines for w in line if w in lexicon.cmu], wide, lexicon, args.common
    )
    ids = {w: i for i, w in enumerate(words)}
    model = general.restrict(wide, words)
    if lines:
        numbered = ([ids.get(w, ngram.UNK) for w in line] for line in lines)
        books = ngram.train(numbered, words)
        model = ngram.mix([books, model], [args.share, 1 - args.share])
    model = ngram.prune(model, args.prune)
    ngram.write_arpa(model, args.out / "lm.arpa")
    about = {"words": len(words), "bigrams": len(model.k2), "trigrams": len(model.k3)}
    print(about)
    (args.out / "words.json").write_text(json.dumps(prons), encoding="utf-8")
    (args.out / "report.json").write_text(json.dumps({"final": about}), encoding="utf-8")


if __name__ == "__main__":
    main()
