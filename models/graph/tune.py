"""Choose decoding settings on development speech: word error and work over a grid.

    python tune.py PACKED_MODEL WORK scale=0.5,0.7 beam=11 ... [--people FOLDER --speakers 84 ...]

Settings: scale (acoustic scale), beam, lattice (lattice beam), active (max-active), prior (share
of the log priors subtracted; build with ``--prior-scale 1`` first), sound/blank/silence (chance to
stay in a state). Development speech: ``heldout.txt`` by the development voices, and the held-out
speakers. The test dictations and test voices are not used.
"""

from __future__ import annotations

import argparse
import hashlib
import itertools
import json
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "models" / "evaluation")]

from models.inputs import ask_for_packed, asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/README.md", "jiwer", "vosk")

import numpy as np  # noqa: E402
import scores  # noqa: E402
import sets  # noqa: E402
from decode import Decoder, Heard  # noqa: E402
from dictation import lines_of  # noqa: E402

from fieldlog.speech import shipped  # noqa: E402

CONF = {
    "scale": "acoustic-scale",
    "beam": "beam",
    "lattice": "lattice-beam",
    "active": "max-active",
}
"""Settings of model.conf, and their names there."""
STAYS = {"silence": 1, "blank": 1, "sound": 2}
"""Chances to stay in a state, and among how many ways to leave it the rest is shared."""
SETTINGS = (*CONF, *STAYS, "prior")


def development(work: Path, people: Path | None, speakers: list[str]) -> list[sets.Item]:
    """Held-out dictation by the development voices, half of it noisy, and people."""
    texts = [line.strip() for line in lines_of(Path(__file__).with_name("heldout.txt"))]
    if not people:
        speakers = []

    def make() -> list[sets.Item]:
        items = sets.spoken(texts, sets.DEV_VOICES, 1)
        if people:
            items += sets.human(people / sets.LIBRISPEECH, speakers, 40)
        return items

    work.mkdir(parents=True, exist_ok=True)
    return sets.kept(work / f"dev-{'-'.join(speakers)}", make)


def variant(packed: Path, folder: Path, settings: dict[str, float]) -> Path:
    """A copy of the packed model with other settings, expanded."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(packed, folder / "packed")
    conf = folder / "packed" / "conf" / "model.conf"
    lines = dict(x[2:].split("=") for x in conf.read_text("ascii").split())
    about = json.loads((folder / "packed" / "model.json").read_text("utf-8"))
    costs = about.get("second_look", {}).get("scale", 1.0)
    for name, value in settings.items():
        if name in CONF:
            lines[CONF[name]] = f"{value if name == 'active' else costs * value:g}"
        elif name in STAYS:
            about["topology"][name] = [value, *((1 - value) / STAYS[name],) * STAYS[name]]
        else:
            scale_priors(folder / "packed" / "am" / "network.npz", value)
    conf.write_text("".join(f"--{k}={v}\n" for k, v in lines.items()), encoding="ascii")
    for part in ("conf/model.conf", "am/network.npz"):
        about["files"][part] = hashlib.sha256((folder / "packed" / part).read_bytes()).hexdigest()
    (folder / "packed" / "model.json").write_text(json.dumps(about), encoding="utf-8")
    return shipped.ensure_expanded(folder / "packed", folder / "expanded")


def scale_priors(path: Path, share: float) -> None:
    """Subtract only a share of the log priors that the network was built with."""
    with np.load(path) as data:
        arrays = dict(data)
    arrays["log_priors"] = arrays["log_priors"] * share
    np.savez(path, **arrays)


def setting(text: str) -> tuple[str, list[float]]:
    """``name=value,value``, as the type of an argument."""
    name, _, values = text.partition("=")
    if name not in SETTINGS:
        raise argparse.ArgumentTypeError(f"no setting {name!r}; there are {', '.join(SETTINGS)}")
    return name, [float(value) for value in values.split(",")]


def kind_of(item: sets.Item) -> str:
    """The voice that spoke, or ``people``."""
    return item.key.split("/")[0] if "/" in item.key else "people"


def by_kind(items: list[sets.Item], heard: list[Heard]) -> Iterator[str]:
    """Words wrong of each voice, and of people."""
    for kind in sorted({kind_of(x) for x in items}):
        pick = [i for i, x in enumerate(items) if kind_of(x) == kind]
        score = scores.error_rate([items[i].said for i in pick], [heard[i].text for i in pick])
        yield f"{kind} {100 * score.value:.1f}"


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
    ask_for_packed(ask)
    ask.add_argument("work", type=Path, help="folder of the sounds and of each variant")
    ask.add_argument("--people", type=existing(), help="folder of the human recordings")
    ask.add_argument("--speakers", nargs="*", default=[], help="of them, kept out of training")
    ask.add_argument("grid", nargs="*", type=setting, help="name=value,value")
    return ask.parse_args()


def main() -> None:
    args = asked()
    items = development(args.work, args.people, args.speakers)
    seconds = sum(len(x.sound) for x in items) / 16000
    print(f"{len(items)} sounds, {seconds:.0f} s")
    for values in itertools.product(*(v for _, v in args.grid)):
        settings = dict(zip((n for n, _ in args.grid), values, strict=True))
        decoder = Decoder(variant(args.packed, args.work / "variant", settings))
        heard = [decoder(x.sound) for x in items]
        whole = scores.error_rate([x.said for x in items], [h.text for h in heard])
        work = sum(h.seconds for h in heard) / seconds
        parts = "; ".join(by_kind(items, heard))
        print(settings, f"all {whole}", parts, f"work {work:.3f}", flush=True)


if __name__ == "__main__":
    main()
