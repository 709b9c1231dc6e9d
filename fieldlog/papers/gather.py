"""From the saved records to what a paper is about; one horse at a time, nobody else's data."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING

from fieldlog.config import Settings
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.redflags import red_flags
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import NotFound
from fieldlog.language.promised import as_suspicion, promised
from fieldlog.language.wording import DOT, label
from fieldlog.papers.charts import draw
from fieldlog.papers.content import (
    Correction,
    HorseFile,
    Link,
    Promise,
    SealedEntry,
    Subject,
    VisitNotes,
    Writer,
    of_kind,
    sentence,
    short_day,
    unique,
)
from fieldlog.papers.discretion import discreet, names_any, names_of_others
from fieldlog.papers.trends import panels, values_of
from fieldlog.records.types import (
    FollowUp,
    FollowUpState,
    Horse,
    StoredEntry,
)

if TYPE_CHECKING:
    from fieldlog.records.store import Store


def writer_from(settings: Settings) -> Writer:
    """The farrier as set in the settings."""
    return Writer(settings.farrier_name, settings.farrier_contact, settings.british_names)


def subject_of(horse: Horse, today: date) -> Subject:
    """A horse as papers name it."""
    looks = " ".join(part for part in (horse.colour, horse.sex) if part)
    age = _age(horse.born, today)
    return Subject(
        horse.name,
        horse.client,
        horse.barn,
        ", ".join(part for part in (looks, age) if part),
        horse.microchip,
        horse.ueln,
    )


def _age(born: str, today: date) -> str:
    if not born[:4].isdigit():
        return f"born {born}" if born else ""
    years = today.year - int(born[:4])
    if years < 0:
        return f"born {born}"
    return f"{years} years" if years != 1 else "1 year"


def horse_file(
    store: Store,
    horse: Horse,
    settings: Settings,
    today: date,
    *,
    with_seal: bool = False,
) -> HorseFile:
    """Everything a paper may use about this horse, and nothing of any other.

    Args:
        store: the records.
        horse: the one horse.
        settings: the farrier's.
        today: ages count to this day.
        with_seal: also the entries with their place in the hash chain.
    """
    entries = store.entries_of(horse.id)
    page = store.page(horse.id, settings.cycle_weeks)
    strangers = names_of_others(store, horse)
    days = {s.id: s.day for s in entries}
    promises = [
        promise_of(f, strangers, days.get(f.entry_id or ""))
        for f in store.follow_ups(None, horse_id=horse.id)
    ]
    corrected = {s.id: corrections_of(store, s, strangers) for s in entries if s.revision > 1}
    others = store.days_of_another_owner(horse)
    return HorseFile(
        subject=subject_of(horse, today),
        visits=tuple(visit_notes(entries, strangers, corrected, others)),
        promises=tuple(promises),
        cautions=cautions_of(store, horse),
        next_visit=page.due.due if page.due else None,
        left=_left(horse, page.last_day),
        sealed=tuple(sealed(store, entries, corrected, strangers, others)) if with_seal else (),
        given_away=tuple(given_away(store, horse)) if with_seal else (),
    )


def _left(horse: Horse, last: date | None) -> str:
    """``left 4 Dec 2026: sold``, or empty while it is visited."""
    if not horse.gone(last):
        return ""
    return f"left {short_day(date.fromisoformat(horse.left_on))}: {horse.left_why}"


def visit_notes(
    entries: Iterable[StoredEntry],
    strangers: frozenset[str] = frozenset(),
    corrected: Mapping[str, tuple[Correction, ...]] | None = None,
    others: frozenset[date] = frozenset(),
) -> list[VisitNotes]:
    """Saved entries as one set of notes for each day, oldest first.

    Args:
        entries: saved entries about one horse.
        strangers: an advice whose words hold one of these names gives only its label; a passage
            that does is left out.
        corrected: what was changed after it was saved, by the id of the entry.
        others: days on which the horse was another's.
    """
    by_day: dict[date, list[StoredEntry]] = {}
    for stored in entries:
        by_day.setdefault(stored.day, []).append(stored)
    return [
        VisitNotes(
            day,
            tuple(f for s in group for f in _facts(s, strangers)),
            tuple(words for words in _loose(group) if not names_any(words, strangers)),
            unique([flag.text for flag in red_flags(f for s in group for f in s.entry.facts)]),
            {key: words for s in group for key, words in _advice(s, strangers)},
            tuple(c for s in group for c in (corrected or {}).get(s.id, ())),
            day in others,
            any(names_any(words, strangers) for words in _loose(group)),
            any(tells_of_a_visit(s.entry) for s in group),
        )
        for day, group in sorted(by_day.items())
    ]


def _loose(group: Iterable[StoredEntry]) -> list[str]:
    """Passages that made no fact and are long enough to say something."""
    return [p.text for s in group for p in s.entry.passages if len(p.text.split()) > 2]


def _facts(stored: StoredEntry, strangers: frozenset[str]) -> tuple[Fact, ...]:
    return tuple(discreet(_on_its_scale(f, stored), strangers) for f in stored.entry.facts)


def _on_its_scale(fact: Fact, stored: StoredEntry) -> Fact:
    """A score says that its scale was not spoken, unless somebody looked: 2 of 5 is not 2 of 9."""
    assumed = any(d.code == "scale_assumed" for d in fact.doubts)
    if not assumed or fact.id in stored.looked_at:
        return fact
    return replace(fact, details={**fact.details, "scale_assumed": "yes"})


def _advice(stored: StoredEntry, strangers: frozenset[str]) -> Iterator[tuple[str, str]]:
    """The words of each advice of an entry, by the id of its fact."""
    facts = stored.entry.facts
    for fact in of_kind(facts, FactKind.ADVICE):
        ends = [f.span[0] for f in facts if f.span[0] >= fact.span[1]]
        ends += [stored.entry.span[1]] if stored.entry.span[1] > fact.span[1] else []
        words = promised(fact, stored.entry.text, min(ends, default=None))
        if not names_any(f"{words} {fact.details.get('to', '')}", strangers):
            yield fact.id, as_suspicion(words)


def cautions_of(store: Store, horse: Horse) -> tuple[str, ...]:
    """The handling cautions of a horse, as papers write them."""
    return tuple(line.replace(DOT, ", ") for line in shorter(store.cautions(horse.id)))


def shorter(cautions: Sequence[str]) -> list[str]:
    """Repeated behaviour as one line: ``kicked (4 times, last 25 Nov 2026)``; newest first."""
    kept: dict[str, list[str]] = {}
    for line in cautions:
        words, _, rest = line.partition(" (")
        kept.setdefault(words, []).append(rest.rstrip(")"))
    lines = []
    for words, days in kept.items():
        known = sorted(_day_of(d) for d in days if d)
        if not known:
            lines.append(words)
        elif len(known) == 1:
            lines.append(f"{words} ({known[0][1]})")
        else:
            lines.append(f"{words} ({len(known)} times, last {known[-1][1]})")
    return lines


def _day_of(text: str) -> tuple[str, str]:
    """A day to sort by, and as papers write it; words that are no day stay."""
    try:
        return text, short_day(date.fromisoformat(text))
    except ValueError:
        return text, text


def promise_of(
    follow_up: FollowUp, strangers: frozenset[str] = frozenset(), asked: date | None = None
) -> Promise:
    """A follow-up as papers word it.

    Args:
        follow_up: the promise.
        strangers: names that must not stand on the paper; words that hold one give way to the
            label.
        asked: the day of the note that it comes from.
    """
    what = follow_up.text or label(follow_up.code, "followup")
    if names_any(what, strangers):
        what = label(follow_up.code, "followup")
    condition = "" if names_any(follow_up.condition, strangers) else follow_up.condition
    spoken = follow_up.due_spoken
    return Promise(
        what=as_suspicion(what),
        who=follow_up.who or "farrier",
        due=follow_up.due,
        condition=as_suspicion(condition),
        feet=follow_up.feet,
        state=follow_up.state.value,
        before_next_visit=follow_up.due is None and "next" in spoken and spoken not in what,
        urgent=follow_up.urgent and follow_up.state is FollowUpState.OPEN,
        code=follow_up.code,
        asked=asked,
        became=_became(follow_up, strangers),
    )


def _became(item: FollowUp, strangers: frozenset[str]) -> str:
    """When a follow-up was closed and how, as a sentence; empty while it is open."""
    if item.state is FollowUpState.OPEN:
        return ""
    reason = "the reason names another" if names_any(item.reason, strangers) else item.reason
    visited = _WITH_ITS_DAY.fullmatch(reason)
    if visited and item.state is FollowUpState.DONE:  # not the day on which that was entered
        return sentence(f"{visited[1]} {short_day(date.fromisoformat(visited[2]))}")
    closed = f" on {short_day(item.closed_at.astimezone().date())}" if item.closed_at else ""
    return sentence(f"{item.state.value}{closed}{f': {as_suspicion(reason)}' if reason else ''}")


_WITH_ITS_DAY = re.compile(r"(.+ on) (\d{4}-\d{2}-\d{2})")


def corrections_of(
    store: Store, stored: StoredEntry, strangers: frozenset[str] = frozenset()
) -> tuple[Correction, ...]:
    """What was changed in a saved entry since it was first saved, the oldest first.

    Args:
        store: the records.
        stored: the entry.
        strangers: a reason that holds one of these names is not told on a paper.
    """
    found = store.revisions(stored.id)
    return tuple(
        Correction(
            after.saved_at,
            after.revision,
            "the reason names another" if names_any(after.reason, strangers) else after.reason,
            before.entry.facts,
            after.entry.facts,
            _moved(store, before, after, stored),
        )
        for before, after in pairwise(found)
    )


def _moved(store: Store, before: StoredEntry, after: StoredEntry, now: StoredEntry) -> str:
    if after.parted_to:
        return "What was left out is about another horse, and is a note of its own."
    if before.day != after.day:
        return f"Had been saved under {before.day}, is of {after.day}."
    if before.horse == after.horse:
        return ""
    if before.horse and store.standing(before.horse.id) == now.horse:
        return f"Had been saved under this horse's other name, {before.horse.name}."
    if after.horse == now.horse:
        return "Had been saved under another horse."
    return "Given to another horse."


def sealed(
    store: Store,
    entries: Sequence[StoredEntry],
    corrected: Mapping[str, tuple[Correction, ...]],
    strangers: frozenset[str] = frozenset(),
    others: frozenset[date] = frozenset(),
) -> list[SealedEntry]:
    """A horse's entries as they stand, with the place of every revision in the hash chain."""
    links: dict[str, list[Link]] = {s.id: [] for s in entries}
    for row in store.query(
        "SELECT link, entry_id, number, saved_at, hash FROM revisions ORDER BY link"
    ):
        if row["entry_id"] in links:
            links[row["entry_id"]].append(
                Link(
                    int(row["link"]),
                    int(row["number"]),
                    datetime.fromisoformat(str(row["saved_at"])),
                    str(row["hash"]),
                )
            )
    found = [
        SealedEntry(
            s.day,
            tuple(links[s.id]),
            s.entry.text,
            _facts(s, strangers),
            corrected.get(s.id, ()),
            s.day in others,
            tells_of_a_visit(s.entry),
        )
        for s in entries
        if links[s.id]
    ]
    return sorted(found, key=lambda e: (e.day, e.links[0].number))


def given_away(store: Store, horse: Horse) -> list[str]:
    """A sentence for each entry that was saved under this horse and is another's now."""
    rows = store.query(
        """SELECT min(r.link) AS link, min(substr(e.at, 1, 10)) AS day
           FROM revisions r JOIN entries e ON e.id = r.entry_id
           WHERE r.horse_id = ? AND e.horse_id IS NOT r.horse_id
           GROUP BY r.entry_id ORDER BY link""",
        [horse.id],
    )
    return [
        f"Entry {row['link']}, of {short_day(date.fromisoformat(row['day']))}, was saved under "
        "this horse and later given to another."
        for row in rows
    ]


def visit_on(file: HorseFile, day: date | None) -> VisitNotes:
    """The notes of that day, or those of the last visit.

    Raises:
        NotFound: nothing was saved then, or at all.
    """
    name = file.subject.horse
    if not file.visits:
        raise NotFound(f"Nothing is saved about {name} yet.", "Save a draft about it first.")
    if day is None:
        return file.last_visit or file.visits[-1]
    for visit in file.visits:
        if visit.day == day:
            return visit
    near = ", ".join(v.day.isoformat() for v in file.visits[-5:])
    raise NotFound(f"Nothing was saved about {name} on {day}.", f"The last visits: {near}.")


def not_in_it(store: Store, horse_id: str, day: date | None = None) -> str:
    """What a paper lacks: ``3 drafts of this horse are not saved and not in it``, or empty.

    Args:
        store: the records.
        horse_id: the horse of the paper.
        day: only drafts of this day; of every day if None.
    """
    waiting = [d for d in store.drafts(day) if d.horse is not None and d.horse.id == horse_id]
    if not waiting:
        return ""
    what = (
        "1 draft of this horse is"
        if len(waiting) == 1
        else f"{len(waiting)} drafts of this horse are"
    )
    return f"{what} not saved and not in it"


def nameless(settings: Settings) -> str:
    """A sentence if a paper says of nobody that it is from him, else empty."""
    return "" if settings.farrier_name else "Your name is not on it (setting farrier_name)"


def chart_of(file: HorseFile, british: bool = False) -> tuple[tuple[bytes, str], ...]:
    """One picture with a horse's charts, or none if nothing was measured on two days."""
    found = [
        p
        for p in panels(values_of(file.visits), british)
        if any(len({q.day for q in t.points}) > 1 for t in p.traces)
    ]
    if not found:
        return ()
    names = ", ".join(p.title for p in found)
    caption = f"Course of {names}. Hollow marks: before the work."
    return ((draw(found, file.subject.horse), caption),)
