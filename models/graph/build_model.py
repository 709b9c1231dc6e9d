"""Make the packed model folder from weights and a language model.

    python build_model.py LM_FOLDER WEIGHTS OUT [--recurrent NETWORK.npz] ...

LM_FOLDER comes from build_lm.py. WEIGHTS is a ``.npz`` with a ``.json`` beside it (what
models/train writes), the first ``.pt`` weights, or the word ``same`` to keep the network that OUT
has. Takes one to two minutes on a laptop.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "models" / "train")]

from models.inputs import asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/README.md", "kaldifst", "kaldilm", "pocketsphinx", "hibari")

import numpy as np  # noqa: E402
import starter_net  # noqa: E402
from compose import Prons, phone_graph, word_numbers  # noqa: E402
from lexicon import Lexicon  # noqa: E402
from phones import PHONES  # noqa: E402
from words import common_names  # noqa: E402

from fieldlog.speech.kaldi import Network  # noqa: E402
from fieldlog.speech.packed import in_bytes, write_graph  # noqa: E402
from fieldlog.speech.rescoring import pack_recurrent  # noqa: E402
from fieldlog.speech.shipped import FORMAT  # noqa: E402

TOLD = ("weights", "name", "hours", "steps", "dev_phone_error")
"""Facts of the training that go into model.json."""
LOOK_WEIGHT, LOOK_SCALE = 2.0, 0.3
"""Of the second look by the recurrent language model: its weight, the scale of all costs."""
NONE = np.zeros(0, np.float32)
Facts = dict[str, Any]
"""What a JSON file says."""
MFCC = {
    "use-energy": "false", "sample-frequency": 16000, "num-mel-bins": 40, "num-ceps": 40,
    "low-freq": 20, "high-freq": 7600, "dither": 0,
}  # fmt: skip


def read_weights(path: Path) -> tuple[Network, dict[str, Any]]:
    """(network, facts of the training) of either kind of weights."""
    if path.suffix == ".pt":
        return starter_net.network(starter_net.load(path)), {"weights": path.stem}
    import network as trained  # models/train/network.py

    facts = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    with np.load(path) as data:
        state = {k: data[k].astype(np.float64) for k in data.files}
    net = trained.network(state, facts)
    priors = np.array(facts.get("log_priors", []), np.float32)
    return replace(net, log_priors=priors), facts


def save_network(net: Network, path: Path) -> dict[str, Any]:
    """Write the matrices as bytes, scaled per output; returns the layout for ``model.json``."""
    arrays = {}
    for c in net.components:
        if c.weight is not None and c.bias is not None:
            arrays[f"{c.name}.weight"], arrays[f"{c.name}.scale"] = in_bytes(c.weight)
            arrays[f"{c.name}.bias"] = c.bias.astype(np.float16)
    if len(net.log_priors):
        arrays["log_priors"] = net.log_priors.astype(np.float32)
    np.savez_compressed(path, **arrays)
    return {
        "left": net.left_context,
        "right": net.right_context,
        "lines": list(net.lines),
        "components": [{"name": c.name, "kind": c.kind, "dim": c.dim} for c in net.components],
    }


def decoding(args: argparse.Namespace, scale: float) -> str:
    """model.conf; ``scale`` is that of all costs (``fieldlog/speech/rescoring.py``).

    The endpoint rules wait long: a pause while holding a hoof ends nothing.

    Only once a stretch lasts 40 seconds is a short pause taken to cut it, so that memory stays
    bounded and the forced cut (rule 5) hardly ever falls into a word.
    """
    rules = {
        "min-active": 200,
        "max-active": args.max_active,
        "beam": round(scale * args.beam, 3),
        "lattice-beam": round(scale * args.lattice_beam, 3),
        "acoustic-scale": round(scale * args.acoustic_scale, 3),
        "frame-subsampling-factor": 3,
        "endpoint.silence-phones": 1,
        "endpoint.rule1.min-trailing-silence": 10.0,
        "endpoint.rule2.min-trailing-silence": 2.0,
        "endpoint.rule3.min-trailing-silence": 0.5,
        "endpoint.rule3.min-utterance-length": 40.0,
        "endpoint.rule4.min-trailing-silence": 4.0,
        "endpoint.rule5.min-utterance-length": 75.0,
    }
    return "".join(f"--{k}={v}\n" for k, v in rules.items())


def weights_or_same(text: str) -> Path:
    """Weights that are there, or the word "same"."""
    return Path(text) if text == "same" else existing("weights of models/train, or same")(text)


def arguments() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
    ask.add_argument("lm", help="folder of build_lm.py",
                     type=existing("make it: models/graph/build_lm.py", "lm.arpa", "words.json",
                                   "report.json"))  # fmt: skip
    ask.add_argument("weights", type=weights_or_same, help=".npz, .pt, or the word same")
    ask.add_argument("out", type=Path, help="folder of the packed model")
    ask.add_argument("--name", default="farrier-en", help="of the model")
    ask.add_argument("--version", default="1", help="of the model")
    ask.add_argument("--acoustic-scale", type=float, default=0.9, help="sound against words")
    ask.add_argument("--beam", type=float, default=13.0, help="cost behind the best that is kept")
    ask.add_argument("--lattice-beam", type=float, default=8.0, help="the same of the lattice")
    ask.add_argument("--max-active", type=int, default=5000, help="states kept a frame, at most")
    ask.add_argument("--quiet", type=float, default=0.3, help="chance of silence between words")
    ask.add_argument("--silence", type=float, nargs=2, default=(0.95, 0.05),
                     help="chances to stay in silence and to leave it")  # fmt: skip
    ask.add_argument(
        "--sound",
        type=float,
        nargs=3,
        default=(0.4, 0.3, 0.3),
        help="of a phone: to stay, to leave by its blank, to leave at once",
    )
    ask.add_argument("--blank", type=float, nargs=2, default=(0.3, 0.7),
                     help="the same of a phone's blank")  # fmt: skip
    ask.add_argument("--prior-scale", type=float, default=0.0,
                     help="share of the log priors that is subtracted")  # fmt: skip
    ask.add_argument("--recurrent", type=existing(), help="an .npz of models/recurrent/train.py")
    ask.add_argument("--look-weight", type=float, default=LOOK_WEIGHT, help="of it, in halves")
    ask.add_argument("--look-each", type=float, default=0.3, help="added to each word's score")
    ask.add_argument("--look-scale", type=float, default=LOOK_SCALE, help="of all costs")
    ask.add_argument("--same-graph", action="store_true", help="keep OUT's graph, new weights")
    return ask.parse_args()


def write_words_and_graph(lm: Path, prons: Prons, folder: Path, quiet: float) -> None:
    """The graph folder: the words, the phone graph, and how common names are pronounced."""
    numbers = word_numbers(list(prons))
    words = folder / "words.txt"
    words.write_text("".join(f"{w} {i}\n" for w, i in numbers.items()), encoding="utf-8")
    graph = phone_graph(lm / "lm.arpa", words, prons, numbers, quiet)
    write_graph(folder / "phones.bin", graph)
    print(f"graph: {len(graph.finals)} states, {len(graph.source)} arcs", flush=True)
    lexicon = Lexicon()
    lines = [f"{n}\t{' '.join(p)}" for n in common_names() for p in lexicon(n)[:2]]
    (folder / "names.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_network(weights: Path, prior_scale: float, out: Path) -> tuple[Facts, Facts]:
    """The acoustic network, unless ``weights`` is "same"; its layout and how it was trained."""
    if str(weights) == "same":
        before = json.loads((out / "model.json").read_text("utf-8"))
        return before["network"], before["training"]
    net, facts = read_weights(weights)
    priors = net.log_priors * prior_scale if prior_scale else NONE
    return save_network(replace(net, log_priors=priors), out / "am" / "network.npz"), facts


def write_recurrent(trained: Path, out: Path) -> None:
    """The network of the second look, packed."""
    with np.load(trained) as data:
        weights = {k: data[k] for k in data.files}
    known = weights.pop("words").tolist()
    pack_recurrent(out, known, weights)


def hashes(folder: Path) -> dict[str, str]:
    """The SHA-256 of each part of the model, by its path in the folder."""
    told = ("model.json", "README.md")
    parts = sorted(p for p in folder.rglob("*") if p.is_file() and p.name not in told)
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in parts
    }


def described(args: argparse.Namespace, words: int, layout: Facts, training: Facts) -> Facts:
    """``model.json`` of what lies in the folder by now."""
    return {
        "format": FORMAT,
        "name": args.name,
        "version": args.version,
        "language": "en",
        "licence": "Apache-2.0 (sources and their licences: models/README.md)",
        "graph": "static: takes no run-time word list; its name class is filled when expanded",
        "words": words,
        "phones": PHONES,
        "topology": {"silence": args.silence, "sound": args.sound, "blank": args.blank},
        "training": {k: v for k, v in training.items() if k in TOLD},
        "language_model": json.loads((args.lm / "report.json").read_text("utf-8"))["final"],
        "files": hashes(args.out),
        "network": layout,
    }


def main() -> None:
    args = arguments()
    start = time.time()
    for part in ("am", "graph", "conf"):
        (args.out / part).mkdir(parents=True, exist_ok=True)
    loaded: dict[str, list[list[str]]] = json.loads((args.lm / "words.json").read_text("utf-8"))
    prons: Prons = {w: [tuple(p) for p in ps] for w, ps in loaded.items()}
    if not args.same_graph:
        write_words_and_graph(args.lm, prons, args.out / "graph", args.quiet)
    layout, training = write_network(args.weights, args.prior_scale, args.out)
    recurrent = args.out / "recurrent" / "network.npz"
    if args.recurrent:
        write_recurrent(args.recurrent, recurrent)
    looks = recurrent.is_file()
    scale = args.look_scale if looks else 1.0
    mfcc = "".join(f"--{k}={v}\n" for k, v in (MFCC | training.get("mfcc", {})).items())
    (args.out / "conf" / "mfcc.conf").write_text(mfcc, encoding="ascii")
    (args.out / "conf" / "model.conf").write_text(decoding(args, scale), encoding="ascii")
    about = described(args, len(prons), layout, training)
    if looks:
        about["second_look"] = {"weight": args.look_weight, "each": args.look_each, "scale": scale}
    (args.out / "model.json").write_text(json.dumps(about, indent=1) + "\n", encoding="utf-8")
    size = sum(p.stat().st_size for p in args.out.rglob("*") if p.is_file())
    print(f"{args.out}: {size / 1e6:.1f} MB, {time.time() - start:.0f} s")


if __name__ == "__main__":
    main()
