"""Choose decoding settings on development speech: word error and work over a grid.

    python tune.py PACKED_MODEL WORK scale=0.5,0.7 beam=11 ... [--people FOLDER --speakers 84 ...]

Settings: scale (acoustic scale), beam, lattice (lattice beam), active (max-active), prior (share
of the log priors subtracted; build with ``--prior-scale 1`` first), sound/blank/silence (chance to
stay in a state). Development speech: ``heldout.txt`` by the development voices, and the held-out
speakers. The test dictations and test voices are not used.
"""

from __future__ import annotations

import argparse
import itertools
import json
import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "models" / "evaluation")]

import numpy as np  # noqa: E402
import scores  # noqa: E402
import sets  # noqa: E402
from decode import Decoder  # noqa: E402

from fieldlog.speech import shipped  # noqa: E402

CONF = {
    "scale": "acoustic-scale",
    "beam": "beam",
    "lattice": "lattice-beam",
    "active": "max-active",
}


def development(work: Path, people: Path | None, speakers: list[str]) -> list[sets.Item]:
    """Held-out dictation by the development voices, half of it noisy, and people."""
    texts = [
        x.strip()
        for x in (Path(__file__).parent / "heldout.txt").read_text("utf-8").splitlines()
        if x.strip() and not x.startswith("#")
    ]

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
        elif name == "silence":
            about["topology"]["silence"] = [value, 1 - value]
        elif name == "blank":
            about["topology"]["blank"] = [value, 1 - value]
        elif name == "sound":
            about["topology"]["sound"] = [value, (1 - value) / 2, (1 - value) / 2]
        elif name == "prior":
            path = folder / "packed" / "am" / "network.npz"
            with np.load(path) as data:
                arrays = dict(data)
            arrays["log_priors"] = arrays["log_priors"] * value
            np.savez(path, **arrays)
        else:
            raise SystemExit(f"no setting {name!r}")
    conf.write_text("".join(f"--{k}={v}\n" for k, v in lines.items()), encoding="ascii")
    for part in ("conf/model.conf", "am/network.npz"):
        digest = shipped.hashlib.sha256((folder / "packed" / part).read_bytes()).hexdigest()
        about["files"][part] = digest
    (folder / "packed" / "model.json").write_text(json.dumps(about), encoding="utf-8")
    return shipped.ensure_expanded(folder / "packed", folder / "expanded")


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("packed", type=Path)
    ask.add_argument("work", type=Path)
    ask.add_argument("--people", type=Path)
    ask.add_argument("--speakers", nargs="*", default=[])
    ask.add_argument("grid", nargs="*", help="name=value,value")
    args = ask.parse_args()
    items = development(args.work, args.people, args.speakers)
    seconds = sum(len(x.sound) for x in items) / 16000
    grid = [(g.split("=")[0], [float(v) for v in g.split("=")[1].split(",")]) for g in args.grid]
    print(f"{len(items)} sounds, {seconds:.0f} s")
    for values in itertools.product(*(v for _, v in grid)):
        settings = dict(zip((n for n, _ in grid), values, strict=True))
        decoder = Decoder(variant(args.packed, args.work / "variant", settings))
        heard = [decoder(x.sound) for x in items]
        kinds = sorted({x.key.split("/")[0] if "/" in x.key else "people" for x in items})
        parts = []
        for kind in kinds:
            pick = [
                i
                for i, x in enumerate(items)
                if (x.key.split("/")[0] if "/" in x.key else "people") == kind
            ]
            score = scores.error_rate([items[i].said for i in pick], [heard[i].text for i in pick])
            parts.append(f"{kind} {100 * score.value:.1f}")
        whole = scores.error_rate([x.said for x in items], [h.text for h in heard])
        work = sum(h.seconds for h in heard) / seconds
        print(settings, f"all {whole}", "; ".join(parts), f"work {work:.3f}", flush=True)


if __name__ == "__main__":
    main()
