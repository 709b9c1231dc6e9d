"""Fit the chance that a fact is right, and the chance from which it counts as sure.

    python models/confidence/fit.py [--allowed 0.02] [--without-gist] [--write]
    python models/confidence/fit.py --save-rows OUT.jsonl --probes FILE.txt --gist NETWORK

Examples: ``unseen.jsonl``, the features and outcomes of the facts that the rules made of notes
*before* they were tuned on them, with a second opinion that had not learnt from them either
(``--save-rows`` with ``--gist``). As typed, without punctuation, and as a shipped model heard them
(``tests/gold/hear.py``), where it has. Everything printed is measured on them, each talker's style
predicted from the others (leave one style out).

Rows kept: dev_aa to dev_af, with a network that had learnt from none of them and rules that had
learnt only what many of their writers say. Rows of ``models/gist/notes`` beside them (14,900 of two
writers) made the chance worse on the four gold sets (calibration error .072, .109, .057, .056 for
.077, .092, .047, .044): those notes were annotated in one pass. Then ``tilth`` and ``meadow``
(2,804 rows), and ``fallow`` (4,010) as rules and network that had met none of it read them: with
these the calibration error of their own talkers, each foretold from the others, is .018 instead of
.033, and of the likeliest half 9.9 in 100 are wrong instead of 10.9.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from fieldlog.core.words import Transcript  # noqa: E402
from fieldlog.language import confidence  # noqa: E402
from fieldlog.language.note_marks import find_marks  # noqa: E402
from fieldlog.language.opinion import gist  # noqa: E402
from fieldlog.language.pipeline import load  # noqa: E402
from fieldlog.language.words.known_words import significant, unused_words  # noqa: E402
from fieldlog.language.words.tokens import tokenise  # noqa: E402
from models.inputs import asking, existing  # noqa: E402
from tests.gold.annotation import Note, notes_in  # noqa: E402
from tests.gold.evaluate import RECORDED, judged, recognised  # noqa: E402

DATA = ROOT / "fieldlog" / "language" / "data" / "confidence.toml"
UNSEEN = Path(__file__).parent / "unseen.jsonl"
LEAST = 30
"""Features of fewer facts than this get no weight."""
LEAST_COVERAGE = 0.25
"""A threshold that fewer facts than this reach on unseen talkers is not trusted."""
Floats = NDArray[np.float64]


@dataclass
class Row:
    """One fact that was made: its features, whether it was right, whether it raised doubts."""

    style: str
    values: dict[str, float]
    right: bool
    doubted: bool


def rows_of(notes: list[Note], sounds: dict[str, Transcript]) -> list[Row]:
    """A row for every fact made of the notes.

    They are read as typed, without punctuation, and as the shipped model heard them from synthetic
    voices where ``sounds`` (by text) has them.
    """
    reader = load()
    out: list[Row] = []
    for note in notes:
        versions = [Transcript.typed(note.text), Transcript.typed(note.as_heard)]
        if note.text in sounds:
            versions.append(sounds[note.text])
        for version in versions:
            words = significant(tokenise(version.text))
            unused = unused_words(words, find_marks(version.text, words, RECORDED.date()).marks)
            for entry in reader.understand(version, recorded=RECORDED):
                loose = sum(len(p.text.split()) for p in entry.passages)
                crowd = loose // max(1, len(entry.facts))
                made = [f for f in entry.facts if not f.rule.startswith("redflag")]
                for fact, right in zip(made, judged(made, note.facts), strict=True):
                    values = confidence.features(fact, version, crowd, entry.facts, unused)
                    out.append(Row(note.style, values, right, fact.needs_look))
    return out


def saved_rows(path: Path) -> list[Row]:
    """Rows written by ``--save-rows``."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [Row(**json.loads(line)) for line in lines]


def fit(matrix: Floats, target: Floats, ridge: float = 10.0) -> Floats:
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
    """The lowest chance from which facts without doubts are wrong at most ``allowed``.

    If none is, the one with the fewest wrong among those that ``LEAST_COVERAGE`` of the facts
    reach.
    """
    best, fewest = 0.995, 1.0
    for candidate in np.arange(0.5, 0.995, 0.005):
        chosen = free & (chance >= candidate)
        if chosen.mean() < LEAST_COVERAGE:
            break
        wrong = float(1 - target[chosen].mean())
        if wrong <= allowed:
            return float(candidate)
        if wrong < fewest:
            best, fewest = float(candidate), wrong
    return best


def save_rows(probes: Path, out: Path) -> None:
    """Append a row for every fact made of the annotated notes of ``probes``."""
    rows = rows_of(notes_in(probes), recognised(probes.stem, probes.parent))
    with out.open("a", encoding="utf-8") as file:
        for row in rows:
            short = {k: round(v, 3) for k, v in row.values.items() if v}
            line = json.dumps({**vars(row), "values": short}, separators=(",", ":"))
            file.write(line + "\n")
    print(f"{len(rows)} rows, {sum(r.right for r in rows)} right")


def features_of(rows: list[Row], without_gist: bool) -> tuple[list[str], Floats]:
    """The names of the features that stand often enough, and rows by features."""
    often = Counter(name for row in rows for name, value in row.values.items() if value)
    names = sorted(name for name, many in often.items() if many >= LEAST)
    if without_gist:
        names = [n for n in names if not n.startswith(("gist", "doubt:second"))]
    where = {name: at for at, name in enumerate(names)}
    matrix = np.zeros((len(rows), len(names)))
    for at, row in enumerate(rows):
        for name, value in row.values.items():
            if name in where:
                matrix[at, where[name]] = value
    return names, matrix


def foretold(matrix: Floats, target: Floats, styles: NDArray[np.str_]) -> Floats:
    """The chance of every row, by weights fitted without its talker's style."""
    chance = np.zeros(len(target))
    for style in sorted(set(styles)):
        out_of = styles == style
        learned = fit(matrix[~out_of], target[~out_of])
        chance[out_of] = 1 / (1 + np.exp(-np.clip(matrix[out_of] @ learned, -30, 30)))
    return chance


def tell(chance: Floats, target: Floats, free: NDArray[np.bool_], accept: float) -> None:
    """Print how right the chances are, and what is taken from ``accept`` and other bars."""
    taken = free & (chance >= accept)
    print(f"{len(target)} facts, {target.mean():.3f} of them right")
    print("measured on unseen talkers, one style left out at a time:")
    print(f"expected calibration error {calibration_error(chance, target):.3f}")
    print(f"accept from {accept:.3f}: {taken.mean():.3f} of facts, "
          f"{1 - target[taken].mean() if taken.any() else 0:.4f} of them wrong")  # fmt: skip
    for bar in (0.6, 0.7, 0.8, 0.85, 0.9, 0.925, 0.95, 0.97):
        some = free & (chance >= bar)
        if some.any():
            print(f"  from {bar}: {some.mean():.3f} taken, {1 - target[some].mean():.4f} wrong")


def write(names: list[str], weights: Floats, accept: float) -> None:
    """The package's weights; those next to nothing are left out."""
    head = f"""\
# Logistic weights of the chance that a fact is right in every field, and the chance
# from which one without doubts counts as sure. Written by models/confidence/fit.py.
accept_above = {accept:.3f}

[weight]
"""
    lines = [
        f'"{name}" = {value:.3f}\n'
        for name, value in zip(names, weights, strict=True)
        if abs(value) >= 0.02
    ]
    DATA.write_text(head + "".join(lines), encoding="utf-8")


def main() -> None:
    parser = asking(__doc__)
    parser.add_argument("--without-gist", action="store_true", help="leave its features out")
    parser.add_argument("--allowed", type=float, default=0.02, help="share of wrong facts taken")
    parser.add_argument("--write", action="store_true", help="write the weights of the package")
    parser.add_argument("--save-rows", type=Path, help="append the rows of --probes to this file")
    parser.add_argument(
        "--probes", type=existing(), help="annotated notes in the form of tests/gold"
    )
    parser.add_argument(
        "--gist",
        type=existing("", "network.onnx"),
        help="a network that did not learn from the probes",
    )
    args = parser.parse_args()
    if args.gist:
        gist.network = lambda: gist.Network(args.gist)  # type: ignore[assignment]
    if bool(args.save_rows) != bool(args.probes):
        parser.error("--save-rows and --probes go together")
    if args.save_rows:
        save_rows(args.probes, args.save_rows)
        return
    rows = saved_rows(UNSEEN)
    for row in rows:
        row.values = confidence.crossed(row.values)
    names, matrix = features_of(rows, args.without_gist)
    target = np.array([row.right for row in rows], float)
    free = ~np.array([row.doubted for row in rows])
    chance = foretold(matrix, target, np.array([row.style for row in rows]))
    accept = threshold(chance, target, free, args.allowed)
    tell(chance, target, free, accept)
    if args.write:
        write(names, fit(matrix, target), accept)


if __name__ == "__main__":
    main()
