"""Score the understanding against the gold notes: ``python -m tests.gold.evaluate``.

Facts about several feet count once per foot. Gold and found facts are paired within a note by
kind and code, then by how many fields agree. Every field that is set counts as one item; micro-F1
is over all items. Errors are never listed for the test and blind splits, so that they cannot steer
the rules.
"""

from __future__ import annotations

import argparse
import json
import random
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from fieldlog.core.facts import Fact
from fieldlog.core.words import Transcript, Word
from fieldlog.language.opinion.labels import SAME, TURNED, denies
from fieldlog.language.pipeline import Understander, load
from fieldlog.speech.homophones import mend
from tests.gold.annotation import (
    HERE,
    OPEN_SPLITS,
    SPLITS,
    TOGETHER,
    UNSEEN,
    Note,
    notes_in,
    one_of,
    read_notes,
    when_meant,
)

RECORDED = datetime(2026, 11, 25, 9, 0)
FIELDS = (
    "code", "foot", "place", "value", "severity", "negated", "uncertain", "historical",
    "planned", "reporter", "comparison", "due",
)  # fmt: skip
OPPOSITE = denies() | {code: SAME[code] for code in TURNED}
"""Two codes for one saying: the first is the second denied."""
KIN = {code: name for code, name in SAME.items() if code not in TURNED}
SIDE = {"lateral_wall": "lateral", "medial_wall": "medial"}
"""An outside or inside of which no part is named is its wall, however a writer put it."""
FAMILY = {
    "quarter_crack": "crack", "toe_crack": "crack", "heel_crack": "crack", "sand_crack": "crack",
    "grass_crack": "crack", "white_line_separation": "white_line", "seedy_toe": "white_line",
    "white_line_disease": "white_line", "white_line_stretched": "white_line",
    "abscess_track": "abscess", "bounding_pulse": "digital_pulse", "pulse_normal": "digital_pulse",
    "tester_positive": "sore", "underrun": "low_heel", "long_toe": "overgrown",
    "recheck": "next_trim",
}  # fmt: skip

TAKEN_AT = {
    "shorten_toe": ("toe",), "set_back_toe": ("toe",), "roll_toe": ("toe",),
    "lower_heel": ("heel",), "dress_flare": ("wall", "quarter"),
}  # fmt: skip
"""Jobs that take something off, and the places where it may be said to come off."""

Item = dict[str, Any]


def single_feet(facts: Iterable[Item]) -> list[Item]:
    """Each fact once per foot, its fields flattened to comparable values."""
    out = []
    for fact in facts:
        for foot in fact.get("feet") or [""]:
            q, c = (fact.get(k) or {} for k in ("quantity", "comparison"))
            item: Item = {
                "kind": fact["kind"],
                "code": KIN.get(fact["code"], fact["code"]),
                "foot": foot,
                "place": tuple(
                    sorted(SIDE.get(p, p) for p in fact.get("places", ()) if p not in fact["code"])
                ),
                "value": (q["value"], q.get("high"), q["unit"]) if q else None,
                "severity": fact.get("severity"),
                "reporter": fact.get("reporter") if fact.get("reporter") != "farrier" else None,
                "comparison": (c["trend"], c.get("against", "last_visit")) if c else None,
                "due": when_meant(fact.get("due")),
            }
            for flag in ("negated", "uncertain", "historical", "planned"):
                item[flag] = bool(fact.get(flag))
            if item["code"] in OPPOSITE:
                item["code"], item["negated"] = OPPOSITE[item["code"]], not item["negated"]
            out.append(item)
    return out


def with_amounts_joined(items: list[Item]) -> list[Item]:
    """Each item; for an amount taken off the item of the job that took it, which gets the amount.

    Writers have put "took a quarter inch off the toe" both ways: as the job's value, or as an
    amount taken off at the toe beside the job. Same order as ``items``; a job may stand twice.
    """
    out = list(items)
    for at, amount in enumerate(items):
        if amount["code"] != "taken_off" or amount["value"] is None:
            continue
        for job in items:
            at_place = TAKEN_AT.get(job["code"])
            if (
                at_place is not None
                and job["foot"] == amount["foot"]
                and job["value"] in (None, amount["value"])
                and all(any(p.endswith(own) for own in at_place) for p in amount["place"])
                and not job["negated"]
            ):
                job["value"] = amount["value"]
                out[at] = job
                break
    return out


def with_places_joined(items: list[Item]) -> list[Item]:
    """Each item; several that differ in nothing but the place are one, with the places of all.

    Writers have put "cracked at the toe and at the quarter" both ways: as one line with two
    places, or as two lines.
    """
    alike: dict[tuple[Any, ...], Item] = {}
    out = []
    for item in items:
        if not item["place"]:
            out.append(item)
            continue
        key = tuple(value for name, value in item.items() if name != "place")
        one = alike.setdefault(key, {**item, "place": ()})
        one["place"] = tuple(sorted({*one["place"], *item["place"]}))
        out.append(one)
    return out


def joined_feet(facts: Iterable[Item]) -> list[Item]:
    """``single_feet`` of a whole note, each amount taken off counted with its job, and one finding
    at several places once."""
    items = with_places_joined(with_amounts_joined(single_feet(facts)))
    return list({id(item): item for item in items}.values())


def judged(facts: Sequence[Fact], annotated: Iterable[Item]) -> list[bool]:
    """For each fact of a note, whether it is right in every field on every foot.

    One at a place is also right where the note's facts that differ in nothing else have the same
    places together as the annotated ones have.
    """
    gold = with_amounts_joined(single_feet(annotated))
    of_fact = [single_feet([fact.to_dict()]) for fact in facts]
    amounts = with_amounts_joined([item for items in of_fact for item in items])
    either = [*gold, *with_places_joined(gold)]
    told = zip(amounts, with_places_joined(amounts), strict=True)
    right = iter([item in either or joined in either for item, joined in told])
    return [False not in [next(right) for _ in items] for items in of_fact]


def agree(name: str, gold: Any, found: Any, relaxed: bool) -> bool:
    """Whether one field agrees; relaxed takes kin codes, shared places, values within 2%."""
    if gold == found:
        return True
    if not relaxed or not gold or not found:
        return False
    if name == "code":
        return bool(FAMILY.get(gold, gold) == FAMILY.get(found, found))
    if name == "place":
        return any(a in b or b in a for a in gold for b in found)
    if name == "value":
        return bool(gold[2] == found[2] and abs(gold[0] - found[0]) <= 0.02 * abs(gold[0]))
    if name == "comparison":
        return bool(gold[0] == found[0])
    return False


def paired(
    gold: list[Item], found: list[Item], relaxed: bool
) -> list[tuple[Item | None, Item | None]]:
    """Gold and found facts matched one to one, the best agreeing pairs first."""
    options = [
        (sum(agree(n, g[n], f[n], relaxed) for n in FIELDS) + (g["foot"] == f["foot"]), -i, -j)
        for i, g in enumerate(gold)
        for j, f in enumerate(found)
        if g["kind"] == f["kind"] and agree("code", g["code"], f["code"], relaxed)
    ]
    pairs: list[tuple[Item | None, Item | None]] = []
    left, right = set(range(len(gold))), set(range(len(found)))
    for _, i, j in sorted(options, reverse=True):
        if -i in left and -j in right:
            left.remove(-i)
            right.remove(-j)
            pairs.append((gold[-i], found[-j]))
    pairs += [(gold[i], None) for i in sorted(left)]
    return pairs + [(None, found[j]) for j in sorted(right)]


@dataclass
class Tally:
    """Hits, and what was found wrongly or missed."""

    hit: int = 0
    extra: int = 0
    missed: int = 0

    def add(self, gold: Any, found: Any, same: bool) -> None:
        """Count one item: what is annotated and what was found of it, either perhaps nothing."""
        self.hit += same
        self.extra += bool(found and not same)
        self.missed += bool(gold and not same)

    @property
    def precision(self) -> float:
        return self.hit / (self.hit + self.extra) if self.hit + self.extra else 1.0

    @property
    def recall(self) -> float:
        return self.hit / (self.hit + self.missed) if self.hit + self.missed else 1.0

    @property
    def f1(self) -> float:
        total = 2 * self.hit + self.extra + self.missed
        return 2 * self.hit / total if total else 1.0


@dataclass
class Scores:
    """Tallies by field, by note, and every fact's confidence against whether it was right."""

    by_field: dict[str, Tally] = field(default_factory=lambda: defaultdict(Tally))
    by_note: list[Tally] = field(default_factory=list)
    sure: list[tuple[float, bool, bool]] = field(default_factory=list)
    """Confidence, right in every field, accepted without a look."""

    @property
    def micro(self) -> Tally:
        total = Tally()
        for name in FIELDS:
            one = self.by_field[name]
            total.hit += one.hit
            total.extra += one.extra
            total.missed += one.missed
        return total


def count(scores: Scores, gold: list[Item], found: list[Item], relaxed: bool) -> list[str]:
    """Add one note's pairs to the scores; return its errors in words."""
    note, errors = Tally(), []
    for g, f in paired(gold, found, relaxed):
        if (g or f or {})["kind"] == "measurement":
            scores.by_field["whole measurement"].add(g, f, same_measurement(g, f, relaxed))
        if not (g and f):
            errors.append(f"{'missed' if g else 'extra'} {shown(g or f or {})}")
        for name in FIELDS:
            a, b = g[name] if g else None, f[name] if f else None
            if not a and not b:
                continue
            same = bool(g and f and agree(name, a, b, relaxed))
            for tally in (scores.by_field[name], note):
                tally.add(a, b, same)
            if not same and g and f:
                errors.append(f"{g['code']} {g['foot']}: {name} should be {a}, found {b}")
    scores.by_note.append(note)
    return errors


def same_measurement(gold: Item | None, found: Item | None, relaxed: bool) -> bool:
    """Whether both say the same value of the same thing on the same foot."""
    if gold is None or found is None:
        return False
    return all(agree(n, gold[n], found[n], relaxed) for n in ("code", "foot", "value"))


def shown(item: Item) -> str:
    """The set fields of a fact on one line."""
    return " ".join(str(v) for v in item.values() if v)


def understood(reader: Understander, said: str | Transcript, apart: bool = False) -> list[Fact]:
    """The facts of a text, without the calls that red flags add by themselves.

    Args:
        reader: the understanding.
        said: the text.
        apart: whether what is said once of several horses is a fact of each.
    """
    note = Transcript.typed(said) if isinstance(said, str) else said
    entries = reader.understand(note, recorded=RECORDED)
    told = [f for e in entries for f in e.facts if not f.rule.startswith("redflag")]
    if apart:
        return told
    alike = [replace(fact, id="") for fact in told]
    return [fact for at, fact in enumerate(told) if alike[at] not in alike[:at]]


def recognised(split: str, folder: Path = HERE) -> dict[str, Transcript]:
    """What the shipped model heard of a split (``tests/gold/hear.py``), by the note's text.

    Mended by the rules of today, which may be newer than those that it was heard with.
    """
    rows: list[dict[str, Any]] = []
    for part in TOGETHER.get(split, (split,)):
        path = folder / f"heard-{part}.jsonl"
        if path.exists():
            rows += map(json.loads, path.read_text(encoding="utf-8").splitlines())
    return {row["text"]: Transcript(tuple(mend([Word(*w) for w in row["words"]]))) for row in rows}


def unlooked(fact: Fact, chance: float, bar: float) -> bool:
    """Whether a fact is taken without a look: likely enough, and nothing else asks for one."""
    return chance >= bar and not fact.needs_look


def score(
    notes: list[Note],
    reader: Understander,
    heard: bool | dict[str, Transcript] = False,
    relaxed: bool = False,
) -> tuple[Scores, dict[str, list[str]]]:
    """Scores of a list of notes and the errors by text."""
    from fieldlog.language.confidence import accept_threshold

    scores, errors = Scores(), {}
    bar = accept_threshold()
    for note in notes:
        said: str | Transcript = note.as_heard if heard else note.text
        if isinstance(heard, dict):
            said = heard[note.text]
        facts = understood(reader, said, apart=bool(note.horses))
        gold = joined_feet(note.facts)
        wrong = count(scores, gold, joined_feet(f.to_dict() for f in facts), relaxed)
        if wrong:
            errors[note.text] = wrong
        for fact, right in zip(facts, judged(facts, note.facts), strict=True):
            scores.sure.append((fact.confidence, right, unlooked(fact, fact.confidence, bar)))
    return scores, errors


def calibration_error(sure: list[tuple[float, bool, bool]], bins: int = 10) -> float:
    """Expected calibration error over bins of equal mass."""
    rows = sorted(sure)
    total, size = 0.0, max(1, len(rows) // bins)
    for at in range(0, len(rows), size):
        part = rows[at : at + size]
        gap = sum(r[0] for r in part) / len(part) - sum(r[1] for r in part) / len(part)
        total += abs(gap) * len(part) / len(rows)
    return total


def interval(notes: list[Tally], rounds: int = 400) -> tuple[float, float]:
    """95% bootstrap interval of the micro-F1, drawing whole notes."""
    dice = random.Random(1)
    draws = []
    for _ in range(rounds):
        hand = dice.choices(notes, k=len(notes))
        one = Tally(*(sum(getattr(t, n) for t in hand) for n in ("hit", "extra", "missed")))
        draws.append(one.f1)
    draws.sort()
    return draws[int(rounds * 0.025)], draws[int(rounds * 0.975)]


def report(split: str, notes: list[Note], reader: Understander, heard_in: Path = HERE) -> None:
    """Print every table of one split; what was recognised lies in ``heard_in``."""
    sounds = recognised(split, heard_in)
    forms: list[tuple[str, list[Note], bool | dict[str, Transcript]]] = [
        ("clean", notes, False),
        ("unpunctuated", notes, True),
    ]
    if sounds:
        spoken = [n for n in notes if n.text in sounds]
        forms.append(("recognised from synthetic voices", spoken, sounds))
    for form, some, heard in forms:
        exact, errors = score(some, reader, heard)
        loose, _ = score(some, reader, heard, relaxed=True)
        print(f"\n{split}, {form}: {len(some)} notes, {len(exact.sure)} facts found")
        print_fields(exact, loose)
        print_sureness(exact.sure)
        counts = Counter(e.split()[0] for es in errors.values() for e in es)
        print(f"  notes with an error {len(errors)}; missed {counts['missed']}, "
              f"extra {counts['extra']}")  # fmt: skip


def print_fields(exact: Scores, loose: Scores) -> None:
    """The table of fields, and the scores over all of them."""
    low, high = interval(exact.by_note)
    print(f"  {'field':<18}{'P':>7}{'R':>7}{'F1':>7}{'relaxed F1':>12}{'items':>7}")
    for name in (*FIELDS, "whole measurement"):
        t = exact.by_field[name]
        print(f"  {name:<18}{t.precision:7.3f}{t.recall:7.3f}{t.f1:7.3f}"
              f"{loose.by_field[name].f1:12.3f}{t.hit + t.missed:7}")  # fmt: skip
    print(f"  micro-F1 {exact.micro.f1:.3f} (95% {low:.3f} to {high:.3f}), "
          f"relaxed {loose.micro.f1:.3f}")  # fmt: skip


def print_sureness(sure: list[tuple[float, bool, bool]]) -> None:
    """What would be taken without a look, and how many of the surest facts are wrong."""
    print(f"  {taken_without_a_look(sure)}")
    ranked = [right for _, right, _ in sorted(sure, reverse=True)]
    curve = []
    for tenth in range(1, 11) if ranked else ():
        top = ranked[: max(1, len(ranked) * tenth // 10)]
        curve.append(f"{tenth * 10}%:{100 * (1 - sum(top) / len(top)):.1f}")
    print("  wrong in 100 at coverage  " + "  ".join(curve))


def taken_without_a_look(sure: list[tuple[float, bool, bool]]) -> str:
    """The share of facts taken without a look, how many of them are wrong, and the calibration."""
    kept = [right for _, right, taken in sure if taken]
    wrong = 100 * (1 - sum(kept) / len(kept)) if kept else 0.0
    share = 100 * len(kept) / max(1, len(sure))
    return (f"taken without a look {share:.1f} in 100, of them wrong {wrong:.2f} in 100; "
            f"calibration error {calibration_error(sure):.3f}")  # fmt: skip


def report_after_looks(split: str, notes: list[Note], reader: Understander) -> None:
    """The second half of a split, before and after what asked for a look in the first taught."""
    from fieldlog.language.confidence import accept_threshold
    from fieldlog.language.experience import Experience, Looked, learnt

    bar = accept_threshold()

    def told(some: list[Note]) -> list[tuple[Fact, bool]]:
        out: list[tuple[Fact, bool]] = []
        for note in some:
            facts = understood(reader, note.text)
            out += zip(facts, judged(facts, note.facts), strict=True)
        return out

    first, second = told(notes[: len(notes) // 2]), told(notes[len(notes) // 2 :])
    looks = tuple(
        Looked(fact.kind, fact.confidence, right)
        for fact, right in reversed(first)
        if not unlooked(fact, fact.confidence, bar)
    )
    known = learnt(looks)
    print(f"\n{split}: {len(looks)} looks, {known.stood} stood, {known.expected:.0f} expected; "
          f"the other half of the notes:")  # fmt: skip
    for name, one in (("before", Experience()), ("after", known)):
        sure = [(one.chance(f), right, unlooked(f, one.chance(f), bar)) for f, right in second]
        print(f"  {name:<7} {taken_without_a_look(sure)}")


def main() -> None:
    """Command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    counted, read = one_of((*SPLITS, *TOGETHER)), one_of(OPEN_SPLITS)
    parser.add_argument(
        "--split", type=counted, action="append", metavar="SPLIT",
        help="count this one, e.g. dev; may be given again; all if left out",
    )  # fmt: skip
    parser.add_argument("--errors", type=read, metavar="SPLIT", help="list every error of a split")
    parser.add_argument("--file", type=Path, nargs="+", help="score annotated notes of your own")
    parser.add_argument(
        "--file-errors", type=Path, nargs="+", metavar="FILE", help="list every error of them"
    )
    parser.add_argument(
        "--after-looks", action="store_true", help="what looks at half of a split do for the rest"
    )
    parser.add_argument(
        "--heard", type=Path, default=HERE, metavar="FOLDER", help="of what hear.py heard"
    )
    parser.add_argument("--as-heard", action="store_true", help="errors of the unpunctuated form")
    parser.add_argument("--jsonl", type=read, metavar="SPLIT", help="print a split as JSON lines")
    chosen = parser.parse_args()
    for path in (*(chosen.file or ()), *(chosen.file_errors or ()), chosen.heard):
        if not path.exists():
            parser.error(f"there is no {path}")
    closed = {(HERE / f"{split}.txt").resolve() for split in UNSEEN}
    if closed & {path.resolve() for path in chosen.file_errors or ()}:
        parser.error("Nobody reads the errors of these notes; --file counts them.")
    if chosen.jsonl:
        for note in read_notes(chosen.jsonl):
            print(json.dumps({"text": note.text, "facts": note.facts}))
        return
    reader = load()
    if chosen.file:
        report("notes", [n for path in chosen.file for n in notes_in(path)], reader)
        return
    if chosen.errors or chosen.file_errors:
        notes = read_notes(chosen.errors) if chosen.errors else []
        notes += [n for path in chosen.file_errors or () for n in notes_in(path)]
        found = score(notes, reader, chosen.as_heard)[1]
        for text, wrong in found.items():
            print(text, *(f"    {w}" for w in wrong), sep="\n")
        return
    for split in chosen.split or SPLITS:
        notes = read_notes(split)
        if notes and chosen.after_looks:
            report_after_looks(split, notes, reader)
        elif notes:
            report(split, notes, reader, chosen.heard)


if __name__ == "__main__":
    main()
