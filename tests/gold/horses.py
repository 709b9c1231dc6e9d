"""Score which horse a fact is filed under: ``python -m tests.gold.horses SPLIT``.

Notes whose writer told the horses apart (``horse`` lines, see GUIDE.md) are understood twice: with
the horses' names known, as of horses that are in the records, and without. Entries and annotated
horses are paired by name, then by looks, then by the facts that they share. A fact of the note that
was found (whatever else of it is wrong) counts as right where it stands under the right horse.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from fieldlog.core.facts import Entry
from fieldlog.core.words import Transcript
from fieldlog.language.pipeline import Understander, load
from tests.gold.annotation import UNSEEN, Note, notes_in, read_notes
from tests.gold.evaluate import RECORDED, Item, Tally, joined_feet, paired

NOBODY = "?"
"""Heads facts of which nobody could say the horse."""


@dataclass
class HorseScores:
    """What is counted over some notes."""

    horses: Tally = field(default_factory=Tally)
    """Horses that have an entry; entries that are no horse's."""
    filed: Tally = field(default_factory=Tally)
    """Facts that were found: under the right horse (``hit``), under another (``extra``)."""
    whole: Tally = field(default_factory=Tally)
    """Facts with their foot under the right horse; missed and extra ones too."""
    errors: dict[str, list[str]] = field(default_factory=dict)
    """What is wrong, by the note's text."""


def known_as(note: Note) -> list[str]:
    """The proper names among a note's horses, as records would hold them."""
    return [name for name in note.horses if name[:1].isupper()]


def plain(name: str) -> str:
    """A name or a description to compare by: no article, no capitals."""
    return re.sub(r"^(?:the|her|his|that|this) ", "", name.lower()).strip()


def by_horse(entry: Entry) -> list[Item]:
    """The items of an entry, without the calls that red flags add by themselves."""
    return joined_feet(f.to_dict() for f in entry.facts if not f.rule.startswith("redflag"))


def entries_of(entries: Sequence[Entry], note: Note, gold: Sequence[list[Item]]) -> dict[int, int]:
    """Which annotated horse each entry is: by name, then by looks, then by facts in
    common; what is described and left over, in order."""
    out: dict[int, int] = {}

    def pair(alike: Any) -> None:
        for at, entry in enumerate(entries):
            left = [h for h in range(len(note.horses)) if h not in out.values()]
            likest = max(left, key=partial(alike, entry), default=None)
            if at not in out and likest is not None and alike(entry, likest):
                out[at] = likest

    def named(entry: Entry, horse: int) -> bool:
        name = entry.horse.name if entry.horse else ""
        return bool(name) and plain(name) == plain(note.horses[horse])

    def looks(entry: Entry, horse: int) -> bool:
        details = set(entry.horse.details.values()) if entry.horse else set()
        return bool(details & set(plain(note.horses[horse]).split()))

    def shared(entry: Entry, horse: int) -> int:
        pairs = paired(list(gold[horse]), by_horse(entry), relaxed=False)
        return sum(g is not None and f is not None for g, f in pairs)

    for alike in (named, looks, shared):
        pair(alike)
    described = [h for h in range(len(note.horses)) if h not in out.values()]
    nameless = [
        at for at, e in enumerate(entries) if at not in out and e.horse and not e.horse.name
    ]
    return out | dict(zip(nameless, described, strict=False))


def count(scores: HorseScores, note: Note, entries: Sequence[Entry]) -> None:
    """Add one note."""
    gold = [
        joined_feet(f for f in note.facts if f["horse"] == horse)
        for horse in range(len(note.horses))
    ]
    told = [entry for entry in entries if entry.facts or entry.horse is not None]
    horse_of = entries_of(told, note, gold)
    scores.horses.hit += len(horse_of)
    scores.horses.extra += len(told) - len(horse_of)
    scores.horses.missed += sum(name != NOBODY for name in note.horses) - len(
        [h for h in horse_of.values() if note.horses[h] != NOBODY]
    )
    errors = [
        f"no entry for {name}"
        for horse, name in enumerate(note.horses)
        if name != NOBODY and horse not in horse_of.values()
    ]
    errors += [
        f"entry of no horse: {e.horse.name if e.horse else None!r}"
        for at, e in enumerate(told)
        if at not in horse_of
    ]
    errors += _filed(scores, note, gold, told, horse_of)
    if errors:
        scores.errors[note.text] = errors


def _filed(
    scores: HorseScores,
    note: Note,
    gold: Sequence[list[Item]],
    told: Sequence[Entry],
    horse_of: dict[int, int],
) -> list[str]:
    """Count the facts; what stands under another horse."""
    wanted = [{**item, "horse": horse} for horse, items in enumerate(gold) for item in items]
    found = [
        {**item, "horse": horse_of.get(at)} for at, entry in enumerate(told)
        for item in by_horse(entry)
    ]  # fmt: skip
    errors = []
    for g, f in pairs_by_horse(wanted, found):
        right = bool(g and f and g["horse"] == f["horse"])
        scores.whole.hit += bool(right and g and f and g["foot"] == f["foot"])
        scores.whole.missed += bool(g and not (right and f and g["foot"] == f["foot"]))
        scores.whole.extra += bool(f and not (right and g and g["foot"] == f["foot"]))
        if g and f:
            scores.filed.hit += right
            scores.filed.extra += not right
            if not right:
                under = "none" if f["horse"] is None else note.horses[f["horse"]]
                errors.append(
                    f"{g['code']} {g['foot']}: of {note.horses[g['horse']]}, found under {under}"
                )
    return errors


def pairs_by_horse(wanted: list[Item], found: list[Item]) -> list[tuple[Item | None, Item | None]]:
    """``paired``, those of one horse first: only what is left over is paired across horses."""
    out: list[tuple[Item | None, Item | None]] = []
    left: list[Item] = []
    over: list[Item] = []
    horses = {item["horse"] for item in [*wanted, *found]}
    for horse in sorted(horses, key=lambda h: (h is None, h)):
        own = [g for g in wanted if g["horse"] == horse]
        for g, f in paired(own, [f for f in found if f["horse"] == horse], relaxed=False):
            if g is not None and f is not None:
                out.append((g, f))
            else:
                left += [g] if g is not None else []
                over += [f] if f is not None else []
    return out + paired(left, over, relaxed=False)


def score(
    notes: Sequence[Note], reader: Understander, known: bool = True, heard: bool = False
) -> HorseScores:
    """Scores of those notes whose horses were told apart.

    Args:
        notes: annotated notes.
        reader: the understanding.
        known: whether the horses' names are known before.
        heard: without capitals and punctuation.
    """
    scores = HorseScores()
    for note in notes:
        if note.horses:
            said = Transcript.typed(note.as_heard if heard else note.text)
            names = known_as(note) if known else ()
            count(scores, note, reader.understand(said, recorded=RECORDED, names=names))
    return scores


def main() -> None:
    """Print the scores of splits; errors only of those that may be read."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("splits", nargs="*", metavar="SPLIT",
                        help="splits, or names of several")  # fmt: skip
    parser.add_argument(
        "--file", nargs="*", type=Path, default=[], help="annotated notes of your own"
    )
    parser.add_argument("--errors", action="store_true", help="tell what is wrong")
    args = parser.parse_args()
    reader = load()
    print(
        f"{'':>10} {'form':>12} {'horses':>6} {'F1':>6}  {'facts':>5} {'rightly filed':>13}"
        "  whole F1"
    )
    for split in [*args.splits, *args.file]:
        notes = notes_in(split) if isinstance(split, Path) else read_notes(split)
        for known in (True, False):
            for heard in (False, True):
                got = score(notes, reader, known, heard)
                form = ("known" if known else "new") + (", heard" if heard else "")
                print(
                    f"{Path(split).stem:>10} {form:>12} {got.horses.hit + got.horses.missed:>6}"
                    f" {got.horses.f1:>6.3f}  {got.filed.hit + got.filed.extra:>5}"
                    f" {got.filed.precision:>13.3f}  {got.whole.f1:.3f}"
                )
                if args.errors and split not in UNSEEN:
                    for text, errors in got.errors.items():
                        print("  >", text, *(f"\n      {error}" for error in errors))


if __name__ == "__main__":
    main()
