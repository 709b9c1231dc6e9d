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

import argparse
import gzip
import json
import random
import re
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "gist"), str(HERE.parent / "graph")]

LONGEST = 256
"""Pieces of an opening and what follows it."""
BESIDE = 4096
"""Texts drawn side by side."""
LIKELY, WARMTH = 300, 0.85
"""How many of the likeliest pieces may come next, and what their log chances are divided by: the
model is small, and what it thinks unlikely is mostly no English."""
EVERY = 16
"""Steps after which the texts that ended are put aside."""
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
    import gguf
    from language_model import LAYERS, NORMS, PARTS
    from tokenizers import Tokenizer, decoders, models, pre_tokenizers
    from words import common_names

    reader = gguf.GGUFReader(source)

    def texts(key: str) -> list[str]:
        field = reader.fields[key]
        return [bytes(field.parts[at]).decode("utf-8") for at in field.data]

    listed = texts("tokenizer.ggml.tokens")
    number = {piece: at for at, piece in enumerate(listed)}
    merges = [tuple(m.split(" ")) for m in texts("tokenizer.ggml.merges")]
    speller = Tokenizer(models.BPE(number, merges))
    speller.pre_tokenizer = pre_tokenizers.ByteLevel(add_prefix_space=False)
    speller.decoder = decoders.ByteLevel()
    special = re.compile(r"(<\|[a-z_]+\|>)")

    def spelt(text: str) -> Row:
        parts = [p for p in special.split(text) if p]
        each = ([number[p]] if special.fullmatch(p) else speller.encode(p).ids for p in parts)
        return [i for ids in each for i in ids]

    names = [n.title() for n in common_names()]
    told = [spelt(line) for line in openings(many, common_words(), names, seed)]
    raw = {t.name: np.array(t.data) for t in reader.tensors}
    table = gguf.quants.dequantize(raw["token_embd.weight"], gguf.GGMLQuantizationType.Q8_0)
    scale = np.abs(table).max(1) / 127 + 1e-9
    parts: list[dict[str, Any]] = [
        {
            "table": np.round(table / scale[:, None]).astype(np.int8),
            "table.scale": scale.astype(np.float32),
            "output_norm": raw["output_norm.weight"],
        },
        {},
        {},
    ]
    for n in range(LAYERS):
        for name in (*PARTS, *NORMS):
            parts[1 + (n >= LAYERS // 2)][f"{n}.{name}"] = raw[f"blk.{n}.{name}.weight"]
    folder.mkdir(parents=True, exist_ok=True)
    for n, arrays in enumerate(parts, 1):
        np.savez(folder / f"language_model_{n}.npz", **arrays)
    letters = [speller.decode([at], skip_special_tokens=False) for at in range(len(listed))]
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
    from language_model import LanguageModel

    about = json.loads((folder / "openings.json").read_text(encoding="utf-8"))
    letters, rows, ends = about["letters"], about["openings"], about["ends"]
    device = "cuda" if torch.cuda.is_available() else "cpu"
    net = LanguageModel(folder, 1, twice=True, drop=0.0).to(device).eval()
    for part in net.modules() if device == "cuda" else ():
        if isinstance(part, torch.nn.Linear):
            part.to(torch.bfloat16)
    beside = 8 if few else BESIDE
    began, texts, words = time.time(), 0, 0
    with gzip.open(out, "wt", encoding="utf-8", compresslevel=4) as file:
        for at in range(0, len(rows), beside):
            if time.time() - began > limit or (few and at):
                break
            for pieces in gone_on(net, rows[at : at + beside], ends, at):
                kept = sentences("".join(letters[p] for p in pieces))
                texts, words = texts + 1, words + sum(s.count(" ") + 1 for s in kept)
                file.write("\n".join([*kept, "", ""]) if kept else "")
            print(f"{texts} texts, {words} words, {time.time() - began:.0f} s", flush=True)


def gone_on(net: Any, rows: Sequence[Row], ends: Sequence[int], seed: int) -> Iterable[Row]:
    """Openings with what the model says after them, without the marks of a question."""
    import torch
    from draw import one_more
    from language_model import BASE, KEYS, ONE

    torch.manual_seed(seed)
    device = net.table.weight.device
    kind = torch.bfloat16 if device.type == "cuda" else torch.float32
    begin = ends[0]
    rows = [[begin, *row][:LONGEST] if len(row) < LONGEST // 2 else [begin] for row in rows]
    many = len(rows)
    given = torch.full((many, LONGEST + 1), -1, device=device)
    for n, row in enumerate(rows):
        given[n, : len(row)] = torch.tensor(row, device=device)
    stops = torch.tensor(ends, device=device)
    each = torch.pow(BASE, -torch.arange(0, ONE, 2, device=device).float() / ONE)
    kept = [torch.zeros(2, many, KEYS, LONGEST, ONE, dtype=kind, device=device)
            for _ in net.layers]  # fmt: skip
    ids = given.clamp(min=begin)
    out: list[Row] = []
    table = net.table.weight.to(kind).T
    with torch.inference_mode(), torch.autocast(device.type, torch.bfloat16, device.type == "cuda"):
        over = torch.zeros(many, dtype=torch.bool, device=device)
        for at in range(LONGEST):
            turn = torch.polar(torch.ones_like(each), at * each)[None]
            x = net.table(ids[:, at : at + 1])
            for layer, cache in zip(net.layers, kept, strict=True):
                x = one_more(layer, x, turn, cache, at)
            logits = (net.norm(x)[:, 0].to(kind) @ table).float()
            best, which = logits.topk(LIKELY)
            come = which.gather(1, torch.multinomial(torch.softmax(best / WARMTH, -1), 1))[:, 0]
            told = given[:, at + 1]
            ids[:, at + 1] = torch.where(told >= 0, told, come)
            over |= (told < 0) & torch.isin(come, stops)
            if at % EVERY == EVERY - 1 or at == LONGEST - 1:
                done = over if at < LONGEST - 1 else torch.ones_like(over)
                new = given[done, : at + 2] < 0
                for row, fresh in zip(ids[done, : at + 2].tolist(), new.tolist(), strict=True):
                    out.append(_plain(row, fresh, ends))
                left = ~done
                ids, given, over = ids[left], given[left], over[left]
                kept = [cache[:, left] for cache in kept]
                if not len(ids):
                    break
    return out


def _plain(row: Row, fresh: Sequence[bool], ends: Sequence[int]) -> Row:
    """What the model said; with its opening, unless that was a question; up to its end."""
    first = fresh.index(True)
    begin = first if ends[1] in row[:first] else 1
    rest = [n for n in range(first, len(row)) if row[n] in ends]
    return row[begin : rest[0] if rest else len(row)]


def main() -> None:
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    kinds = ask.add_subparsers(dest="work", required=True)
    packs = kinds.add_parser("pack")
    packs.add_argument("source", type=Path)
    packs.add_argument("bundle", type=Path)
    packs.add_argument("--many", type=int, default=160_000)
    packs.add_argument("--seed", type=int, default=24)
    draws = kinds.add_parser("draw")
    draws.add_argument("bundle", type=Path)
    draws.add_argument("out", type=Path)
    draws.add_argument("--limit", type=float, default=1e9, help="seconds")
    draws.add_argument("--few", action="store_true", help="only eight texts: tries the script")
    args = ask.parse_args()
    if args.work == "pack":
        pack(args.source, args.bundle, args.many, args.seed)
    else:
        draw(args.bundle, args.out, args.limit, args.few)


if __name__ == "__main__":
    main()
