"""The day sheet: the barns of a day, their horses, cautions first. For the farrier's own eyes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fieldlog.core.counting import counted
from fieldlog.papers.content import HorseFile, Promise, Writer, long_day, short_day
from fieldlog.papers.document import Block, Bullets, Caution, Document, Heading, Paragraph


@dataclass(frozen=True, slots=True)
class BarnStop:
    """One barn of the day and its horses."""

    barn: str
    horses: tuple[HorseFile, ...]
    phones: tuple[str, ...] = ()
    """``Marta Ellery, 555 0101``."""


def day_sheet(
    stops: Sequence[BarnStop], writer: Writer, day: date, errands: Sequence[Promise] = ()
) -> Document:
    """Barn by barn: who is due, what is open, what to beware of.

    Args:
        stops: in the order of the trip.
        writer: the farrier.
        day: the day it is for.
        errands: what is to be done about no horse.
    """
    blocks: list[Block] = []
    if errands:
        blocks += [Heading("About no horse"), _open(errands, writer, day)]
    elif not stops:
        blocks.append(Paragraph("No horse is due and nothing is promised for this day."))
    for stop in stops:
        blocks.append(
            Heading(f"{stop.barn or 'No barn noted'}: {counted(len(stop.horses), 'horse')}")
        )
        if stop.phones:
            blocks.append(Paragraph("; ".join(stop.phones)))
        for file in stop.horses:
            blocks += _horse(file, writer, day)
    total = sum(len(stop.horses) for stop in stops)
    return Document(
        title="Day sheet",
        subtitle=f"{long_day(day)}: {counted(len(stops), 'barn')}, {counted(total, 'horse')}",
        facts=(("Farrier", writer.signature()),) if writer.name else (),
        blocks=tuple(blocks),
        footer=f"Day sheet {day.isoformat()}; names of clients: not for handing out",
    )


def _horse(file: HorseFile, writer: Writer, day: date) -> list[Block]:
    looks = f" ({file.subject.looks})" if file.subject.looks else ""
    due = f", due {short_day(file.next_visit)}" if file.next_visit else ""
    late = (day - file.next_visit).days if file.next_visit else 0
    due += f", {counted(late, 'day')} late" if late > 0 else ""
    seen = file.last_visit
    last = f", last seen {short_day(seen.day)}" if seen else ", not seen before"
    owner = f", {file.subject.owner}" if file.subject.owner else ""
    blocks: list[Block] = [Paragraph(f"{file.subject.horse}{looks}{owner}{due}{last}", strong=True)]
    blocks += [Caution(f"Caution: {line}") for line in file.cautions]
    still = [p for p in file.promises if p.state == "open"]
    return [*blocks, _open(still, writer, day)] if still else blocks


def _open(promises: Sequence[Promise], writer: Writer, day: date) -> Bullets:
    lines = (f"{p.mark(day)}{p.who}: {p.line(writer.british)}" for p in promises)
    return Bullets(tuple(lines), tick_boxes=True)
