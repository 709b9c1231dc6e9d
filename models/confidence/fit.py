"""Fit the chance that a fact is right, and the chance from which it counts as sure.

    python models/confidence/fit.py [--gold tests/gold/dev.jsonl ...] [--rounds 12] [--write]

Annotated notes (the demo's by default, and any gold files that are given; never a test split) are
read as written and again as a bad recogniser would hear them: words lost, swapped for words that
sound alike or for other trade words, each with a plausible word confidence. Every fact made is
right if all its fields are. Logistic regression over ``confidence.features`` on two thirds of the
notes; everything printed is measured on the last third.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import tomllib
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fieldlog.core.facts import Fact
from fieldlog.core.words import Transcript, Word
from fieldlog.language import confidence
from fieldlog.language.pipeline import load

ROOT = Path(__file__).resolve().parents[2]
DATA = ROOT / "fieldlog" / "language" / "data" / "confidence.toml"
RECORDED = datetime(2026, 11, 25, 9, 0)
ALIKE = {
    "fore": "four", "sole": "soul", "heel": "heal", "toe": "tow", "frog": "fog", "thrush": "rush",
    "off": "of", "front": "font", "hind": "hide", "left": "lift", "right": "ride", "white": "wide",
    "no": "now", "not": "knot", "fifty": "fifteen", "sixty": "sixteen", "forty": "fourteen",
    "three": "free", "eight": "eighty", "crack": "track", "flare": "flair", "bruise": "brews",
    "eighths": "eighth", "weeks": "week", "inside": "in side", "quarter": "quarters",
}  # fmt: skip
FALLBACK = 0.9
"""Used while too few annotated notes are there to bound the wrong ones at 0.5 in a hundred."""
Floats = NDArray[np.float64]


def notes(paths: list[Path]) -> list[dict[str, Any]]:
    """Annotated notes: the demo's TOML, or JSON lines with ``text`` and ``facts``."""
    out: list[dict[str, Any]] = []
    for path in paths:
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".toml":
            out += tomllib.loads(text)["note"]
        else:
            out += [json.loads(line) for line in text.splitlines() if line.strip()]
    return out


def is_right(fact: Fact, truth: dict[str, Any]) -> bool:
    """Whether every annotated field of ``truth`` is met and no flag is added."""
    said = fact.to_dict()
    if (said["kind"], said["code"]) != (truth["kind"], truth["code"]):
        return False
    if set(said["feet"]) != set(truth.get("feet", [])):
        return False
    for flag in ("negated", "uncertain", "historical", "planned"):
        if bool(said.get(flag)) != bool(truth.get(flag)):
            return False
    if set(said.get("places", [])) != set(truth.get("places", [])):
        return False
    if said.get("severity") != truth.get("severity"):
        return False
    if said.get("reporter", "farrier") != truth.get("reporter", "farrier"):
        return False
    quantity = truth.get("quantity")
    if bool(quantity) != bool(said.get("quantity")):
        return False
    for group in ("quantity", "due", "comparison"):
        for key, value in (truth.get(group) or {}).items():
            if str(said.get(group, {}).get(key)) != str(value):
                return False
    return True


def heard(text: str, dice: random.Random, trade: list[str], noise: float) -> Transcript:
    """``text`` as a recogniser with ``noise`` wrong words in a hundred might write it."""
    words: list[Word] = []
    at = 0.0
    for word in re.sub(r"[^\w\s']", " ", text.lower()).split():
        sure = min(1.0, dice.betavariate(14, 1.2))
        shown = word
        if dice.random() < noise:
            sure = dice.betavariate(3, 2.5)
            pick = dice.random()
            if pick < 0.12:
                continue
            shown = ALIKE.get(word, dice.choice(trade)) if pick < 0.8 else dice.choice(trade)
        elif dice.random() < 0.03:
            sure = dice.betavariate(3, 2.5)
        for piece in shown.split():
            words.append(Word(piece, at, at + 0.3, sure))
            at += 0.35
    return Transcript(tuple(words), text="" if words else " ")


def examples(
    annotated: list[dict[str, Any]], rounds: int, seed: int
) -> tuple[list[dict[str, float]], list[bool], list[bool]]:
    """Features, whether right, and whether doubts were raised, for every fact made."""
    understander = load()
    dice = random.Random(seed)
    trade = sorted({w for n in annotated for w in re.findall(r"[a-z']+", n["text"].lower())})
    rows: list[dict[str, float]] = []
    right: list[bool] = []
    doubted: list[bool] = []
    for note in annotated:
        text = " ".join(note["text"].split())
        versions = [Transcript.typed(text), heard(text, dice, trade, 0.0)]
        versions += [
            heard(text, dice, trade, dice.choice([0.01, 0.03, 0.06])) for _ in range(rounds)
        ]
        for version in versions:
            left = list(note["facts"])
            for entry in understander.understand(version, recorded=RECORDED):
                loose = sum(len(p.text.split()) for p in entry.passages)
                crowd = loose // max(1, len(entry.facts))
                for fact in entry.facts:
                    if fact.rule.startswith(("redflag", "ner")) or fact.kind.value == "advice":
                        continue
                    hit = next((t for t in left if is_right(fact, t)), None)
                    if hit is not None:
                        left.remove(hit)
                    rows.append(confidence.features(fact, version, crowd))
                    right.append(hit is not None)
                    doubted.append(fact.needs_look)
    return rows, right, doubted


def fit(matrix: Floats, target: Floats, ridge: float = 2.0) -> Floats:
    """Logistic regression by Newton steps with a ridge on all weights."""
    weights = np.zeros(matrix.shape[1])
    for _ in range(40):
        chance = 1 / (1 + np.exp(-np.clip(matrix @ weights, -30, 30)))
        slope = matrix.T @ (target - chance) - ridge * weights
        curve = (matrix * (chance * (1 - chance))[:, None]).T @ matrix
        step = np.linalg.solve(curve + ridge * np.eye(len(weights)), slope)
        weights = weights + step
        if np.abs(step).max() < 1e-6:
            break
    return weights


def calibration_error(chance: Floats, target: Floats, bins: int = 10) -> float:
    """Expected calibration error over bins of equal mass."""
    order = np.argsort(chance)
    parts = np.array_split(order, bins)
    return float(
        sum(len(p) * abs(chance[p].mean() - target[p].mean()) for p in parts if len(p))
        / len(chance)
    )


def threshold(chance: Floats, target: Floats, free: NDArray[np.bool_], allowed: float) -> float:
    """The lowest chance above which facts without doubts are wrong at most ``allowed``."""
    best = 0.995
    for candidate in np.arange(0.5, 0.995, 0.005):
        chosen = free & (chance >= candidate)
        if chosen.any() and 1 - target[chosen].mean() <= allowed:
            best = float(candidate)
            break
    return best


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--gold", type=Path, nargs="*", default=[])
    parser.add_argument("--rounds", type=int, default=12)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    annotated = notes([ROOT / "demo_data" / "notes.toml", *args.gold])
    held = annotated[2::3]
    learn = [n for i, n in enumerate(annotated) if i % 3 != 2]
    rows, right, _ = examples(learn, args.rounds, 1)
    names = sorted({name for row in rows for name in row})
    where = {name: at for at, name in enumerate(names)}

    def matrix(data: list[dict[str, float]]) -> Floats:
        out = np.zeros((len(data), len(names)))
        for at, row in enumerate(data):
            for name, value in row.items():
                if name in where:
                    out[at, where[name]] = value
        return out

    target = np.array(right, float)
    weights = fit(matrix(rows), target)
    rows2, right2, doubted2 = examples(held, args.rounds, 2)
    chance = 1 / (1 + np.exp(-np.clip(matrix(rows2) @ weights, -30, 30)))
    target2 = np.array(right2, float)
    free = ~np.array(doubted2)
    accept = threshold(chance, target2, free, 0.005)
    if (free & (chance >= accept)).mean() < 0.3:
        print(f"no useful bound at 0.5 in a hundred (only from {accept:.3f}); {FALLBACK} is kept")
        accept = FALLBACK
    taken = free & (chance >= accept)
    print(f"facts: {len(rows)} to learn, {len(rows2)} held out ({target2.mean():.3f} right)")
    print(f"expected calibration error {calibration_error(chance, target2):.3f}")
    print(f"accept from {accept:.3f}: {taken.mean():.3f} of facts, "
          f"{1 - target2[taken].mean() if taken.any() else 0:.4f} of them wrong")  # fmt: skip
    for share in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
        top = np.argsort(-chance)[: int(len(chance) * share)]
        print(f"  surest {share:.0%}: {1 - target2[top].mean():.4f} wrong")
    if args.write:
        lines = [
            "# Logistic weights of the chance that a fact is right in every field, and the chance",
            "# from which one without doubts counts as sure. Written by models/confidence/fit.py.",
            f"accept_above = {accept:.3f}",
            "",
            "[weight]",
        ]
        lines += [
            f'"{name}" = {weight:.3f}'
            for name, weight in zip(names, weights, strict=True)
            if abs(weight) >= 0.02
        ]
        DATA.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
