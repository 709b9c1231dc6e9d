"""Train the second opinion on what was said (``fieldlog/language/opinion/gist.py``).

    python models/gist/train.py BUNDLE OUT --teach KIND ... [--without SPLIT ...]
    python models/gist/train.py BUNDLE OUT --taught-by TEACHER.pt ... [--begin NETWORK]

BUNDLE is the folder that ``examples.py`` wrote. Needs numpy, torch and onnx, and a GPU to be quick.
Large networks learn from the labelled texts (``--teach``: ``sentence`` and ``deep``, the six and
the twelve layers of two sentence models; ``twice`` and ``around``, a language model that reads a
text twice or looks both ways; ``coder_twice`` and ``coder``, one of ten times its size); their mean
then teaches the small network (``--taught-by``), word by word, also on talk that nobody labelled;
``--share`` puts it part of the way from the one that it went on from. The loss of the labels is
that of a noisy or over the words of a text: some word must say each code, and no word another.
``--without`` leaves the notes of splits out and prints how well their codes are found. OUT gets
``KIND-SEED.pt`` of each large network; of the small one ``network.onnx``, ``pieces.txt`` and
``codes.txt``. ``--drawn`` names notes of ``draw.py`` or ``pieced.py``, of which some more are asked
about in each round.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from models.inputs import asking, existing, left_out, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/gist/README.md", "torch", "onnx", "gguf")

import torch  # noqa: E402
from batches import SORTS, Reader  # noqa: E402
from deep_sentence import DeepSentence  # noqa: E402
from device import DEVICE  # noqa: E402
from files import read_list  # noqa: E402
from fitting import Schedule, Taught, fit, taught, untaught  # noqa: E402
from language_model import CODER, SMOLLM, LanguageModel, Shape, Speller  # noqa: E402
from network import Encoder, Small, packed, ready, unpacked  # noqa: E402
from rounds import BATCH, ROOM, Rounds, Source  # noqa: E402
from scoring import found  # noqa: E402
from stored import write  # noqa: E402
from torch import nn  # noqa: E402

LEAST = 4
"""A code in fewer examples than this is not learnt."""
SPELT = {
    "twice": (SMOLLM, True), "around": (SMOLLM, False),
    "coder": (CODER, False), "coder_twice": (CODER, True),
}  # fmt: skip
"""The language models, and whether each reads a text twice or looks both ways; the small network
and the sentence models read alike."""
LARGE = ("sentence", "deep", *SPELT)
"""The kinds of large networks."""
RATES = {
    "sentence": 2.5e-4, "deep": 1e-4, "twice": 2e-4, "around": 2e-4,
    "coder": 6e-5, "coder_twice": 6e-5, "small": 5e-4,
}  # fmt: skip
"""Peak rate of learning of each kind of network."""
ROOMS = {"coder_twice": ROOM // 2}
"""Kinds that learn from fewer words at once: all their steps must be kept until the last."""
OTHER_ROUNDS, TAUGHT_ROUNDS = 100, 99
"""Where rounds are drawn from: so much behind the seed when a network goes on, and for teachers."""
FEW = 300
"""Examples of each kind where only the script is tried."""


def speller_of(bundle: Path, shape: Shape, twice: bool) -> Speller:
    """What spells texts for a language model of a bundle."""
    path = bundle / f"{shape.file}_spelling.json"
    if not path.exists():
        raise SystemExit(f"{path} is missing: models/gist/examples.py writes it (--coder)")
    return Speller(json.loads(path.read_text(encoding="utf-8")), twice)


def large(kind: str, bundle: Path, codes: int) -> nn.Module:
    """A large network before it has learnt."""
    if kind == "sentence":
        return Encoder(ready(bundle / "encoder.npz"), codes).to(DEVICE)
    if kind == "deep":
        return DeepSentence(bundle, codes).to(DEVICE)
    shape, twice = SPELT[kind]
    return LanguageModel(bundle, codes, twice, shape).to(DEVICE)


def wanted() -> argparse.Namespace:
    """What the command line asks for."""
    parser = asking(__doc__)
    parser.add_argument(
        "bundle", help="folder of examples.py",
        type=existing("make it: models/gist/examples.py BUNDLE ...", "examples.json.gz",
                      "pieces.txt", "encoder.npz"),
    )  # fmt: skip
    parser.add_argument("out", type=Path, help="folder for the networks")
    parser.add_argument("--without", nargs="*", default=[], help="splits left out")
    parser.add_argument("--teach", nargs="*", default=[], choices=LARGE, help="kinds")
    parser.add_argument("--taught-by", nargs="*", default=[], help="large networks",
                        type=existing("make it: --teach, without --taught-by"))  # fmt: skip
    parser.add_argument("--drawn", help="notes of draw.py",
                        type=existing("make it: models/gist/draw.py BUNDLE ..."))  # fmt: skip
    parser.add_argument("--begin", help="a small network to go on from",
                        type=existing("the shipped one is models/gist-net", "network.onnx",
                                      "pieces.txt", "codes.txt"))  # fmt: skip
    parser.add_argument(
        "--share", type=float, default=1.0, help="of what was learnt since --begin, 0 to 1"
    )
    parser.add_argument(
        "--seed", type=int, default=0, help="of weights that are new, and of rounds"
    )
    parser.add_argument("--rate", type=float, help="peak rate of learning, if another")
    parser.add_argument("--epochs", type=int, default=10, help="rounds")
    parser.add_argument("--kept", type=int, default=4, help="rounds that are asked about")
    parser.add_argument("--limit", type=float, default=1e9, help="seconds for each network")
    parser.add_argument("--batch", type=int, default=BATCH, help="texts learnt from at once")
    parser.add_argument("--few", action="store_true", help="only a few texts: tries the script")
    return parser.parse_args()


def codes_of(examples: Sequence[Any]) -> list[str]:
    """Labels that are said often enough to be learnt, then the ways they are told likewise."""
    count = Counter(c for e in examples for c in e["labels"])
    hows = Counter(h for e in examples for told in e.get("told", {}).values() for h in told)
    often = sorted(c for c, n in count.items() if n >= LEAST)
    return often + sorted(how for how, n in hows.items() if n >= LEAST)


class Lessons:
    """What every network of one call learns from, and what it is asked afterwards."""

    def __init__(self, args: argparse.Namespace) -> None:
        self.args = args
        examples = read_list(args.bundle / "examples.json.gz")
        self.pieces = (args.bundle / "pieces.txt").read_text(encoding="utf-8").split("\n")
        self.codes = codes_of(examples)
        left_out(args.without, [e["split"] for e in examples if "split" in e])
        self.held = [e for e in examples if e.get("split") in args.without]
        by_kind = self._by_kind([e for e in examples if e.get("split") not in args.without])
        sizes = {k: len(v) for k, v in by_kind.items()}
        print(sizes, len(self.held), len(self.codes), DEVICE, flush=True)
        asked = {*args.teach, *(kind_of(path) for path in args.taught_by)}
        self.spelt = [kind for kind in SPELT if kind in asked]
        """The language models of this call, in the order of the batches' further views."""
        spellers = [speller_of(args.bundle, *SPELT[kind]) for kind in self.spelt]
        room = min(ROOMS.get(kind, ROOM) for kind in (*args.teach, "small"))
        source = Source(self.pieces, self.codes, by_kind, spellers, args.batch, room)
        self.source = Rounds(source)
        self.reader = Reader(self.pieces, self.codes, 0, spellers)
        self.valued = self._valued(by_kind["note"])

    def _by_kind(self, examples: Sequence[Any]) -> dict[str, list[Any]]:
        kinds = ("phrase", "talk", "unsure", "note")
        many = FEW if self.args.few else None
        by_kind = {k: [e for e in examples if e["kind"] == k][:many] for k in kinds}
        by_kind["drawn"] = read_list(self.args.drawn) if self.args.drawn else []
        return by_kind

    def _valued(self, notes: Sequence[Any]) -> Any:
        """1 for each sort of number and label that were ever tied (sorts, labels)."""
        column = self.reader.column
        valued = torch.zeros(len(SORTS), len(column), device=DEVICE)
        for tie in (tie for e in notes for tie in e["tied"]):
            if tie["code"] in column:
                valued[SORTS.index(tie["sort"]), column[tie["code"]]] = 1
        return valued

    def teach(self, net: nn.Module, rounds: Iterator[list[Taught]], kind: str, name: str) -> None:
        """Teach a network of a kind the rounds, and print what it then finds."""
        args = self.args
        schedule = Schedule(args.epochs, args.rate or RATES[kind], args.limit)
        fit(net, rounds, schedule, self.valued, name)
        self.ask([net], name)

    def ask(self, nets: Sequence[nn.Module], name: str) -> None:
        """Print what networks find in the notes that were left out, if any were."""
        if self.held:
            print(name, found(nets, self.reader, self.held), flush=True)

    def large(self, kind: str, weights: Path | None) -> nn.Module:
        """A large network of a kind, with weights of earlier where there are some."""
        net = large(kind, self.args.bundle, len(self.codes))
        if kind in self.spelt:
            net.view = 1 + self.spelt.index(kind)
        if weights is not None:
            net.load_state_dict(torch.load(weights, map_location=DEVICE, weights_only=True))
        return net


def kind_of(weights: Path) -> str:
    """The kind of a large network by the name of its file."""
    return weights.stem.split("-")[0]


def teach_large(lessons: Lessons, kind: str) -> None:
    """Train a large network of a kind and keep it; goes on from the one that is there."""
    args = lessons.args
    kept, name = args.out / f"{kind}-{args.seed}.pt", f"{kind} {args.seed}"
    there = kept.exists()
    net = lessons.large(kind, kept if there else None)
    begin = args.seed + OTHER_ROUNDS * there
    lessons.teach(net, untaught(lessons.source, args.epochs, begin), kind, name)
    # Sixteen bits: on a GPU it is read with no more, and the largest has 1.3 billion weights.
    torch.save({k: v.bfloat16() for k, v in net.state_dict().items()}, kept)


def teach_small(lessons: Lessons, teachers: Sequence[nn.Module]) -> None:
    """Train the small network on what the large ones say, and write all that reads with it."""
    args, codes = lessons.args, lessons.codes
    small = Small(Encoder(ready(args.bundle / "encoder.npz"), len(codes)), len(codes))
    if args.begin:
        unpacked(small, args.begin, lessons.pieces, codes)
    began = {name: weight.clone() for name, weight in small.state_dict().items()}
    small = small.to(DEVICE)
    rounds = taught(lessons.source, teachers, args.kept, args.epochs, TAUGHT_ROUNDS)
    lessons.teach(small, rounds, "small", "small")
    if args.share < 1:
        small = small.cpu()
        small.load_state_dict(
            {k: torch.lerp(began[k], v, args.share) for k, v in small.state_dict().items()}
        )
    write(packed(small), args.out / "network.onnx")
    (args.out / "pieces.txt").write_text("\n".join(lessons.pieces), encoding="utf-8")
    (args.out / "codes.txt").write_text("\n".join(codes), encoding="utf-8")


def main() -> None:
    """Train large networks, or the small one."""
    args = wanted()
    lessons = Lessons(args)
    args.out.mkdir(parents=True, exist_ok=True)
    torch.manual_seed(args.seed)
    for kind in args.teach:
        teach_large(lessons, kind)
    teachers = [lessons.large(kind_of(p), p).eval() for p in args.taught_by]
    if teachers:
        lessons.ask(teachers, "teachers")
        teach_small(lessons, teachers)


if __name__ == "__main__":
    main()
