"""A horse's record for a period, and the page to read before a visit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fieldlog.core.counting import counted
from fieldlog.core.facts import Fact, FactKind
from fieldlog.papers.content import (
    NOT_A_DIAGNOSIS,
    OTHER_OWNER,
    SEEN,
    HorseFile,
    MeasureKey,
    Promise,
    VisitNotes,
    Writer,
    asked_once,
    lines_by_foot,
    long_day,
    measure_keys,
    measure_table,
    of_kind,
    sentence,
    short_day,
    unique,
)
from fieldlog.papers.corrections import correction_blocks
from fieldlog.papers.document import (
    Block,
    Bullets,
    Caution,
    Document,
    Heading,
    Paragraph,
    Picture,
    Signature,
    bullets_or,
)
from fieldlog.papers.trends import assumptions, values_of, worked_out

HANDLE_WITH_CARE = (
    "Never under a horse with a screen in hand; stop if horse, holder or place is not safe. "
    "Only a veterinarian sedates."
)


def horse_record(
    file: HorseFile,
    writer: Writer,
    since: date | None = None,
    until: date | None = None,
    charts: Sequence[tuple[bytes, str]] = (),
) -> Document:
    """Every saved visit of a period, oldest first.

    Args:
        file: the horse.
        writer: the farrier.
        since: first day, or from the beginning.
        until: last day, or to the end.
        charts: PNG pictures with a caption each, put at the end.
    """
    visits = [
        v
        for v in file.visits
        if (since is None or v.day >= since) and (until is None or v.day <= until)
    ]
    blocks: list[Block] = []
    if not visits:
        blocks.append(Paragraph("Nothing was saved in this period."))
    for visit in visits:
        blocks += _visit(visit, writer)
    promises = _promised_in(file.promises, since, until)
    if promises:
        blocks.append(Heading("Follow-ups"))
        blocks.append(Bullets(tuple(p.account(writer.british) for p in promises)))
    blocks += _worked_out(visits, writer)
    if charts:
        blocks.append(Heading("Course"))
        blocks += [Picture(png, caption) for png, caption in charts]
    blocks += [Paragraph(NOT_A_DIAGNOSIS, small=True), Signature(writer.signature())]
    return Document(
        title=f"Hoof care record: {file.subject.horse}",
        subtitle=_period(visits, since, until),
        facts=(*file.subject.head(), ("Farrier", writer.stated())),
        blocks=tuple(blocks),
        footer=f"Record of {file.subject.horse}",
    )


def _promised_in(
    promises: Sequence[Promise], since: date | None, until: date | None
) -> list[Promise]:
    """Those of a visit in the period, those that were added by hand, and what was open in it."""
    early, late = since or date.min, until or date.max
    return [
        p
        for p in promises
        if p.asked is None or early <= p.asked <= late or (p.state == "open" and p.asked <= late)
    ]


def _period(visits: Sequence[VisitNotes], since: date | None, until: date | None) -> str:
    first = since or (visits[0].day if visits else None)
    last = until or (visits[-1].day if visits else None)
    if first is None or last is None:
        return ""
    days = short_day(first) if first == last else f"{short_day(first)} to {short_day(last)}"
    return f"{days}, {counted(sum(v.visited for v in visits), 'visit')}"


def _visit(visit: VisitNotes, writer: Writer) -> list[Block]:
    unseen = "" if visit.visited else ", without a visit"
    blocks: list[Block] = [Heading(f"{long_day(visit.day)}{unseen}")]
    blocks += [Paragraph(OTHER_OWNER)] if visit.other_owner else []
    blocks += [Caution(flag, urgent=True) for flag in unique(visit.red_flags)]
    parts = (
        ("Seen", of_kind(visit.facts, *SEEN)),
        ("Done", of_kind(visit.facts, FactKind.WORK)),
        ("Handling", of_kind(visit.facts, FactKind.HANDLING)),
        ("Agreed", of_kind(visit.facts, FactKind.FOLLOW_UP, FactKind.ADVICE, FactKind.NOTE)),
    )
    for name, facts in parts:
        if facts:
            lines = lines_by_foot(facts, writer.british)
            blocks.append(Paragraph(f"{name}:"))
            blocks.append(Bullets(tuple(lines)))
    measures = measure_table(visit.facts, writer.british)
    if measures is not None:
        blocks.append(measures)
    if visit.loose:
        blocks.append(Paragraph("As spoken: " + " ".join(sentence(s) for s in visit.loose)))
    if visit.named_others:
        blocks.append(Paragraph("What was spoken with the name of another is left out."))
    return blocks + correction_blocks(visit.corrections, writer)


def before_visit(file: HorseFile, writer: Writer, today: date) -> Document:
    """One page to read in the truck: safety, what is open, last findings, last measures.

    Args:
        file: the horse with its visits, promises and cautions.
        writer: the farrier.
        today: the day of the coming visit.
    """
    blocks: list[Block] = [Heading("Safety first")]
    for noted in (file.last_visit, *_since(file)):
        if noted is not None and noted.red_flags:
            when = "From the last visit" if noted is file.last_visit else "Noted"
            blocks.append(Paragraph(f"{when}, {short_day(noted.day)}:"))
            blocks += [Caution(flag, urgent=True) for flag in unique(noted.red_flags)]
    blocks += [Caution(f"Caution: {line}") for line in file.cautions]
    if not file.cautions:
        blocks.append(Paragraph("No handling caution is on record for this horse."))
    blocks.append(Paragraph(HANDLE_WITH_CARE, small=True))
    open_ones = asked_once(file.promises, on=None)
    blocks.append(Heading("Open follow-ups"))
    blocks.append(
        Bullets(
            tuple(f"{p.mark(today)}{p.who}: {p.line(writer.british)}" for p in open_ones),
            tick_boxes=True,
        )
        if open_ones
        else Paragraph("None.")
    )
    blocks += _last_visit(file, writer, today)
    blocks += _last_measures(file, writer)
    blocks += _worked_out(file.visits, writer)
    return Document(
        title=f"Before the visit: {file.subject.horse}",
        subtitle=f"{long_day(today)}; {_next_visit(file, today)}",
        facts=file.subject.head(),
        blocks=tuple(blocks),
        footer=f"Before the visit: {file.subject.horse}, {today.isoformat()}",
    )


def _last_visit(file: HorseFile, writer: Writer, today: date) -> list[Block]:
    """What was seen and done when the horse was last visited, and what was planned then."""
    last = file.last_visit
    if last is None:
        unseen = Paragraph("This horse has no saved visit yet.")
        return [Heading("Last visit"), unseen, *_noted_since(file, writer)]
    weeks = (today - last.day).days // 7
    ago = f" ({counted(weeks, 'week')} ago)" if weeks > 0 else ""
    blocks: list[Block] = [Heading(f"Last visit: {long_day(last.day)}{ago}")]
    seen = lines_by_foot(of_kind(last.facts, *SEEN), writer.british)
    nothing = "Nothing out of the ordinary was noted."
    if not last.facts and last.loose:
        nothing = "No fact was made of what was said: " + " ".join(map(sentence, last.loose))
    elif not last.facts and last.named_others:
        nothing = "No fact was made of what was said; read the note itself."
    blocks.append(bullets_or(seen, nothing))
    work = lines_by_foot(of_kind(last.facts, FactKind.WORK), writer.british)
    if work:
        blocks += [Paragraph("Done then:"), Bullets(tuple(work))]
    blocks += _noted_since(file, writer)
    planned = _planned(last.facts)
    if planned:
        blocks += [Heading("Planned for this time"), Bullets(planned)]
    return blocks


def _since(file: HorseFile) -> list[VisitNotes]:
    """What was noted after the last visit without one, the oldest first."""
    last = file.last_visit
    return [v for v in file.visits if last is None or v.day > last.day]


def _noted_since(file: HorseFile, writer: Writer) -> list[Block]:
    """Who rang, and what they told; what was promised stands above."""
    lines = []
    for noted in _since(file):
        facts = [f for f in noted.facts if f.kind is not FactKind.FOLLOW_UP]
        said = [*lines_by_foot(facts, writer.british), *map(sentence, noted.loose)]
        if said:
            lines.append(f"{short_day(noted.day)}: {' '.join(said)}")
    return [Heading("Noted since, without a visit"), Bullets(tuple(lines))] if lines else []


def _next_visit(file: HorseFile, today: date) -> str:
    """``next visit due Friday 4 December 2026``, or why there is none."""
    if file.next_visit is None:
        return f"visited no more, {file.left}" if file.left else "next visit not set"
    late = ", overdue" if file.next_visit < today else ""
    return f"next visit due {long_day(file.next_visit)}{late}"


def _planned(facts: Sequence[Fact]) -> tuple[str, ...]:
    plans = [
        f
        for f in facts
        if (f.kind is FactKind.FOLLOW_UP and f.code == "staged_correction") or f.planned
    ]
    return unique(lines_by_foot(plans))


def _last_measures(file: HorseFile, writer: Writer) -> list[Block]:
    """Each measure of each foot as it was last taken, whenever that was."""
    taken: dict[MeasureKey, date] = {}
    kept: list[Fact] = []
    for visit in reversed(file.visits):
        now = visit is file.last_visit
        for fact in visit.facts:
            if fact.historical or (fact.code in _OF_A_FINDING and not now):
                continue
            newest = [k for k in measure_keys(fact) if taken.setdefault(k, visit.day) == visit.day]
            if newest:
                kept.append(replace(fact, feet=tuple(foot for feet, *_ in newest for foot in feet)))
    several = len(set(taken.values())) > 1
    table = measure_table(kept, writer.british, taken if several else None)
    if table is None:
        return []
    day = "" if several else f", {short_day(next(iter(taken.values())))}"
    return [Heading(f"Last measurements{day}"), table]


_OF_A_FINDING = frozenset({"finding_size", "depth", "remaining", "taken_off"})
"""Measures that mean nothing without the finding or the work of their own visit."""


def _worked_out(visits: Sequence[VisitNotes], writer: Writer) -> list[Block]:
    lines = worked_out(values_of(visits), writer.british)
    if not lines:
        return []
    return [Heading("Worked out"), Bullets(tuple(lines)), Paragraph(assumptions(), small=True)]
