"""Fit what the network's hearing weighs against the rules: for what is said, feet and manner.

    python models/confidence/weigh.py [--test SPLIT] [--write] --of NETWORK NOTES.txt ... [--of ...]

NOTES are annotated notes (``tests/gold``'s form) that neither the rules nor the NETWORK before them
have learnt from; each is read as typed and without punctuation. A row is a fact, whose code is
right or not; or a foot, or a manner, of a fact whose code is right. Prints how often rules, network
and both together are right, and with ``--test`` the same for a split that was not fitted on.
``--write`` writes ``data/weighing.toml``.
"""

from __future__ import annotations

import multiprocessing
import sys
from argparse import ArgumentTypeError
from collections import Counter, defaultdict
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]

from fit import fit  # noqa: E402

from fieldlog.core.facts import Fact  # noqa: E402
from fieldlog.core.feet import Foot  # noqa: E402
from fieldlog.language import pipeline, second_opinion  # noqa: E402
from fieldlog.language.numbers.shorthand import trade_numbers  # noqa: E402
from fieldlog.language.opinion import (  # noqa: E402
    gist,
    standing,
    weighed_feet,
    weighed_manner,
    weighed_parts,
    weighing,
)
from fieldlog.language.opinion.labels import label  # noqa: E402
from fieldlog.language.opinion.numbers_heard import spans_of  # noqa: E402
from models.inputs import asking, existing  # noqa: E402
from tests.gold.annotation import (  # noqa: E402
    SPLITS,
    TOGETHER,
    Note,
    notes_in,
    one_of,
    read_notes,
)
from tests.gold.evaluate import KIN, Item, joined_feet, single_feet, understood  # noqa: E402

DATA = ROOT / "fieldlog" / "language" / "data" / "weighing.toml"
LEAST = 20
"""Signs of fewer rows than this get no weight."""
OWN = {"feet": ("feet:named", "feet:heard"), "said": ("said", "said:near")}
"""The signs of the rules and of the network, where they are not named as the others."""
Row = tuple[dict[str, float], bool]
"""Signs, and whether the foot or manner is so."""


def rows_of(notes: list[Note]) -> dict[str, list[Row]]:
    """The rows of the feet and of each group, by its name."""
    reader = pipeline.load()
    out: dict[str, list[Row]] = defaultdict(list)
    for note in notes:
        gold = joined_feet(note.facts)
        for text in (note.text, note.as_heard):
            heard = gist.opinion(text)
            facts = understood(reader, text)
            often = Counter(label(f.code, f.negated) for f in facts)
            at = spans_of(facts, trade_numbers(text))
            for fact, told, sorts in weighing.weighable(facts, heard, at) if heard else ():
                alike = [
                    item for item in gold
                    if item["kind"] == fact.kind and item["negated"] == fact.negated
                    and item["code"] == KIN.get(fact.code, fact.code)
                ]  # fmt: skip
                if heard.knows(fact.code, fact.negated):
                    many = often[label(fact.code, fact.negated)]
                    out["said"].append((standing.said_signs(fact, heard, many), bool(alike)))
                if told and alike:
                    twins = [f for f in facts if f.code == fact.code and f is not fact]
                    _manners(out, fact, told, sorts, _meant(fact, alike, twins))
    return out


def _rows_with(job: tuple[str, str]) -> dict[str, list[Row]]:
    """The rows of a file of notes, or a split, with a network; run in a process of its own."""
    network, name = gist.Network(Path(job[0])), job[1]
    gist.network = lambda: network  # type: ignore[assignment]
    gist.opinion.cache_clear()
    for as_the_rules_say in ("weighed", "with_feet", "with_times"):
        setattr(second_opinion, as_the_rules_say, lambda facts, *_: list(facts))
    for keeps_all in ("set_aside", "said_once"):
        setattr(second_opinion, keeps_all, lambda facts, *_: (list(facts), []))
    return rows_of(notes_in(Path(name)) if name.endswith(".txt") else read_notes(name))


def _meant(fact: Fact, alike: list[Item], twins: list[Fact]) -> list[Item]:
    """The annotated facts of one code that a fact means: of its value, and on no twin's foot."""
    values = [item["value"] for item in single_feet([fact.to_dict()])]
    alike = [item for item in alike if item["value"] in values] or alike
    taken = {foot for twin in twins for foot in twin.feet} - set(fact.feet)
    return [item for item in alike if item["foot"] not in taken] or alike


def _manners(
    out: dict[str, list[Row]], fact: Fact, told: weighed_parts.Told, sorts: Sequence[str],
    meant: list[Item],
) -> None:  # fmt: skip
    for foot in Foot:
        so = any(item["foot"] == foot for item in meant)
        out["feet"].append((weighed_feet.foot_signs(fact, told, foot, sorts), so))
    mine = weighed_manner.told_of(fact.to_dict())
    on_feet = [item for item in meant if item["foot"] in fact.feet] or meant
    want = {name for item in on_feet for name in weighed_manner.told_of(_as_fact(item))}
    all_sorts = weighed_manner.manner_sorts(fact, sorts)
    for group, names in weighed_manner.GROUPS.items():
        for name in names:
            loud = name in told and (name in mine or told[name] >= weighed_manner.QUIET)
            if name in told and (loud or group not in weighed_manner.FILLED):
                signs = weighed_manner.manner_signs(told, group, name, mine, all_sorts)
                out[group].append((signs, name in want))


def _as_fact(item: Item) -> dict[str, Any]:
    trend = item["comparison"]
    return {**item, "places": item["place"], "comparison": {"trend": trend[0]} if trend else None}


Groups = dict[str, list[Row]]
"""The rows of the feet and of each group."""


def rows_read(of: Sequence[Sequence[str]], test: str | None) -> tuple[Groups, Groups]:
    """The rows that are fitted on, and those of the split ``test``; each file in a process."""
    jobs = [(network, path) for network, *paths in of for path in paths]
    if test:
        jobs.append((of[0][0], test))
    learn, held = defaultdict[str, list[Row]](list), Groups()
    with ProcessPoolExecutor(mp_context=multiprocessing.get_context("fork")) as pool:
        for (_, name), found in zip(jobs, pool.map(_rows_with, jobs), strict=True):
            if name == test:
                held = found
                continue
            for group, rows in found.items():
                learn[group] += rows
    return learn, held


def fitted(rows: Sequence[Row]) -> dict[str, float]:
    """The weight of each sign that some rows have."""
    often = Counter(name for signs, _ in rows for name, value in signs.items() if value)
    names = sorted(name for name, many in often.items() if many >= LEAST)
    learned = fit(_matrix(rows, names), np.array([so for _, so in rows], float), 3.0)
    return dict(zip(names, learned, strict=True))


def _matrix(rows: Sequence[Row], names: Sequence[str]) -> Any:
    return np.array([[signs.get(name, 0.0) for name in names] for signs, _ in rows])


def print_wrong(group: str, called: str, rows: Sequence[Row], weights: dict[str, float]) -> None:
    """How often the rules, the network and both together are wrong."""
    true = np.array([so for _, so in rows])
    own, hears = OWN.get(group, (f"{group}:said", f"{group}:heard"))
    said = np.array([signs.get(own, 0.0) > 0 for signs, _ in rows])
    heard = np.array([signs[hears] > 0 for signs, _ in rows])
    both = _matrix(rows, list(weights)) @ np.array(list(weights.values())) > 0
    wrong = [1000 * float(np.mean(one != true)) for one in (said, heard, both)]
    print(f"{group}, {called}: of 1,000 wrong by the rules {wrong[0]:.1f}, by the "
          f"network {wrong[1]:.1f}, by both {wrong[2]:.1f}")  # fmt: skip


def write(weights: dict[str, float]) -> None:
    """Write ``data/weighing.toml``."""
    lines = [
        "# Weights of what the rules say and the network hears, for feet and manner.",
        "# Written by models/confidence/weigh.py.",
        "",
        "[weight]",
        *(f'"{name}" = {value:.3f}' for name, value in sorted(weights.items())),
    ]
    DATA.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Fit, print, write."""
    parser = asking(__doc__)
    parser.add_argument(
        "--of",
        nargs="+",
        action="append",
        required=True,
        metavar="NETWORK NOTE",
        help="a network's folder, and files of notes, or splits, that it has not learnt from",
    )
    split = one_of((*SPLITS, *TOGETHER))
    parser.add_argument(
        "--test", type=split, metavar="SPLIT", help="a split that the first NETWORK does not know"
    )
    parser.add_argument("--write", action="store_true", help="write the weights of the package")
    args = parser.parse_args()
    there = existing()
    try:
        for network, *notes in args.of:
            there(network)
            for name in notes:
                (there if name.endswith(".txt") else split)(name)
    except ArgumentTypeError as problem:
        parser.error(str(problem))
    pipeline.load()  # once, before the processes fork
    learn, test = rows_read(args.of, args.test)
    weights: dict[str, float] = {}
    for group, rows in learn.items():
        learned = fitted(rows)
        weights |= learned
        for called, some in (("fitted", rows), ("not fitted", test.get(group, []))):
            if some:
                print_wrong(group, called, some, learned)
    if args.write:
        write(weights)


if __name__ == "__main__":
    main()
