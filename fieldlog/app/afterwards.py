"""What the saved facts are for: what is due, search, one horse, and papers."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from fieldlog.app.by_hand import one_follow_up, promises_in
from fieldlog.app.due_groups import DueView
from fieldlog.app.naming import KnownHorse
from fieldlog.config import Settings
from fieldlog.core.facts import Fact
from fieldlog.errors import NotAllowed, NotFound
from fieldlog.language.promised import promised
from fieldlog.paths import Places
from fieldlog.records.types import FollowUp, HorsePage, SavedFact, SearchHit, VisitDue
from fieldlog.waiting import waiting

if TYPE_CHECKING:
    from fieldlog.records.store import Store


VISIT = "visit:"
"""Before the horse's id in the key of a next visit by cycle, which is no promise."""


@dataclass(frozen=True, slots=True)
class HorseStory:
    """Everything that the horse screen shows."""

    page: HorsePage
    facts: tuple[SavedFact, ...]


@dataclass(frozen=True, slots=True)
class WrittenPaper:
    """A paper on the disk."""

    path: Path
    lacks: str
    """What of the horse is not saved and so not in it, or empty."""


def due(store: Store, settings: Settings) -> list[DueView]:
    """What is open, and the next visits by cycle of horses that have no promised one."""
    apart = store.told_apart()
    open_ones = [_promise(f) for f in store.lines()] + [
        _visit(v)
        for v in store.visits_due(usual_weeks=settings.cycle_weeks)
        if v.due is not None and not v.promised
    ]
    return [replace(o, horse=apart.get(o.horse_id, o.horse)) for o in open_ones]


def _promise(item: FollowUp) -> DueView:
    return DueView(
        id=item.id,
        what=item.text,
        horse=item.horse,
        horse_id=item.horse_id or "",
        barn=item.barn,
        feet=item.feet,
        on=item.due,
        condition=item.condition,
        who=item.who,
        entry_id=item.entry_id or "",
        fact_id=item.fact_id or "",
        urgent=item.urgent,
        also=item.also,
        where_said=item.where_said,
    )


def _visit(item: VisitDue) -> DueView:
    return DueView(
        id=f"{VISIT}{item.horse.id}",
        what=f"next visit, every {item.weeks} weeks",
        horse=item.horse.name,
        horse_id=item.horse.id,
        barn=item.horse.barn,
        on=item.due,
        by_cycle=True,
    )


def promise(
    store: Store, horse: KnownHorse | None, facts: Sequence[Fact], text: str, today: date
) -> list[str]:
    """Enter the follow-ups of typed facts for a horse, or about none; returns their ids.

    Words that promise nothing known are kept as they are, on the day that they name.
    """
    horse_id = horse.id if horse else None
    wanted = promises_in(facts)
    if not wanted:
        task = one_follow_up((), text, today)
        made = store.add_follow_up(
            task.code, text, horse_id=horse_id, due=task.due, due_spoken=task.due_spoken
        )
        return [made.id]
    if len(wanted) == 1:  # whatever else was typed belongs to it: no note keeps the words
        wanted = [replace(wanted[0], details={**wanted[0].details, "said": text})]
    with store.write():
        return [
            store.add_follow_up(
                fact.code,
                promised(fact, ""),
                who=fact.details.get("who") or "farrier",
                horse_id=horse_id,
                feet=fact.feet,
                due=fact.due.on if fact.due else None,
                due_spoken=(fact.due.spoken if fact.due else "") or text,
                condition=fact.details.get("condition", ""),
            ).id
            for fact in wanted
        ]


def paper(
    store: Store, places: Places, settings: Settings, kind: str, horse_id: str, today: date
) -> WrittenPaper:
    """Write the owner's summary or the vet's letter of the last saved visit as PDF.

    Its name says the day of that visit, not today's: drafts of today are not in it.
    """
    from fieldlog.papers.gather import horse_file, nameless, not_in_it, visit_on, writer_from
    from fieldlog.papers.pdf import to_pdf
    from fieldlog.papers.vet import vet_letter
    from fieldlog.papers.visit import owner_summary
    from fieldlog.records.files import write_whole

    file = horse_file(store, store.horse(horse_id), settings, today)
    visit = visit_on(file, None)
    make = {"owner": owner_summary, "vet": vet_letter}[kind]
    document = make(file, visit, writer_from(settings))
    folder = places.data / "papers"
    target = folder / f"{kind}-{_file_name(store, horse_id)}-{visit.day.isoformat()}.pdf"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(target, to_pdf(document))
    except OSError as problem:
        raise NotAllowed(
            f"The paper {target} cannot be written: {problem.strerror}.",
            "If it is open in another program, close it there; else check the folder and the "
            "free space.",
        ) from problem
    lacks = (not_in_it(store, horse_id), nameless(settings))
    return WrittenPaper(target, ". ".join(filter(None, lacks)))


def _file_name(store: Store, horse_id: str) -> str:
    """A horse's name for a file, unlike any other horse's: a paper must replace only its own."""
    horse = store.horse(horse_id)
    name = _letters(horse.name)
    if sum(_letters(h.name) == name for h in store.horses()) > 1:
        name = f"{name}-{_letters(horse.client)}-{horse_id[:6]}"
    return name


def _letters(text: str) -> str:
    """What every system takes in a file's name, and not too long for any."""
    plain = "".join(c if c.isascii() and c.isalnum() else "-" for c in text)
    return re.sub("-+", "-", plain)[:60].strip("-").lower() or "horse"


@dataclass(frozen=True, slots=True)
class Found:
    """What a search line found, and how it was understood."""

    hits: tuple[SearchHit, ...]
    unclear: tuple[str, ...] = ()
    """What was not understood: sentences."""
    taken: tuple[str, ...] = ()
    """How it was taken: a bare number's unit, a name as a word. Sentences."""
    missed: str = ""
    """Why nothing may have been found: a sentence, or empty."""
    cut: bool = False
    """There may be older ones: no more are read."""


def search(store: Store, line: str, settings: Settings, today: date) -> Found:
    """What one line finds, the newest first."""
    from fieldlog.records.search import LIMIT
    from fieldlog.records.search_line import read_line

    wanted = read_line(line, today, settings.length_unit)
    apart = store.told_apart()
    found = store.search(wanted, today)
    hits = tuple(replace(h, horse=apart.get(h.horse_id, h.horse)) for h in found)
    missed = "" if hits else store.nobody_meant(wanted) or _not_searched(store)
    told = (*wanted.taken, *filter(None, [store.named_in(wanted)]))
    return Found(hits, wanted.unclear, told, missed, len(hits) == LIMIT)


def _not_searched(store: Store) -> str:
    said = waiting(store)
    return f"{said}; drafts are not searched." if said else ""


def story(store: Store, horse_id: str, entry_id: str, settings: Settings) -> HorseStory:
    """Everything about one horse, known by its id or by one of its entries.

    Raises:
        NotFound: no such horse or entry, or the entry has no horse yet.
    """
    if not horse_id:
        horse = store.entry(entry_id).horse
        if horse is None:
            raise NotFound("That entry has no horse yet.", "Give it one on the Day screen.")
        horse_id = horse.id
    horse_id = store.standing(horse_id).id  # a window may still show a spelling that is no more
    return HorseStory(
        store.page(horse_id, settings.cycle_weeks),
        tuple(store.saved_facts(horse_id)),
    )
