"""The record of a neglected horse: dated, numbered, sealed by its hash chain, first hand only.

That a report should hold only what the reporter has seen, and that only police or authorised
inspectors may remove an animal, on a veterinarian's certificate, is UK practice (National Equine
Welfare Council reporting page, newc.co.uk). That one should find the authority, document, and not
trespass, seize or publish is US advice (EQUUS, 29 July 2016). The law differs from place to place:
the paper points to it and does not state it.
"""

from __future__ import annotations

from datetime import date

from fieldlog.core.facts import FactKind, Reporter
from fieldlog.papers.content import (
    NOT_A_DIAGNOSIS,
    OTHER_OWNER,
    HorseFile,
    Link,
    SealedEntry,
    Writer,
    first_hand,
    lines_by_foot,
    long_day,
    measure_table,
    of_kind,
    short_day,
)
from fieldlog.papers.corrections import correction_blocks, saved_words
from fieldlog.papers.document import (
    Block,
    Bullets,
    Document,
    Heading,
    Paragraph,
    Picture,
    Signature,
    Table,
)

STATEMENT = (
    "I state what I saw, felt and measured myself on the days given. What others told me is kept "
    "apart and marked as told. I make no diagnosis and accuse nobody; whether there is neglect, "
    "and what follows from it, is for the authorities and a licensed veterinarian to decide."
)

WHERE_TO_TURN = (
    "Whom to tell depends on the place: police or sheriff, animal control, an inspectorate or "
    "a humane society that the law names. Look up your local law and ask them first. Report only "
    "what you have seen yourself. Do not enter land without leave, do not take the animal away, "
    "do not publish. A horse in acute distress needs a veterinarian now."
)


def neglect_record(
    file: HorseFile,
    writer: Writer,
    today: date,
    chain_ok: bool,
    charts: tuple[tuple[bytes, str], ...] = (),
) -> Document:
    """The record.

    Args:
        file: the horse; ``sealed`` are the entries to print, oldest first.
        writer: the farrier who states it.
        today: the day of printing.
        chain_ok: whether the hash chain was verified just now.
        charts: PNG pictures with a caption each.
    """
    blocks: list[Block] = [Heading("Statement"), Paragraph(STATEMENT)]
    if not file.sealed:
        blocks.append(Paragraph("No entry has been saved for this horse."))
    for entry in file.sealed:
        blocks += _entry(entry, writer)
    if file.given_away:
        blocks += [Heading("No longer in this record"), Bullets(file.given_away)]
    if file.promises:
        blocks.append(Heading("What was asked for, and what became of it"))
        blocks.append(Bullets(tuple(p.account(writer.british) for p in file.promises)))
    if charts:
        blocks.append(Heading("Course"))
        blocks += [Picture(png, caption) for png, caption in charts]
    blocks += _seal(file, chain_ok)
    blocks += [
        Heading("Where to turn"),
        Paragraph(WHERE_TO_TURN),
        Paragraph(NOT_A_DIAGNOSIS, small=True),
        Signature(f"{writer.signature()}, place and date"),
    ]
    return Document(
        title=f"Dated record: {file.subject.horse}",
        subtitle=f"Printed {long_day(today)}; {_numbered(file)}",
        facts=(*file.subject.head(), ("Stated by", writer.stated())),
        blocks=tuple(blocks),
        footer=f"Dated record of {file.subject.horse}, printed {today.isoformat()}",
    )


def _entry(entry: SealedEntry, writer: Writer) -> list[Block]:
    title = f"Entry {entry.links[0].number}: {long_day(entry.day)}"
    if not entry.visited:
        title += ", without a visit"
    if entry.corrections:
        title += f", corrected {_times(len(entry.corrections))}"
    blocks: list[Block] = [Heading(title)]
    blocks += [Paragraph(OTHER_OWNER)] if entry.other_owner else []
    seen = (FactKind.FINDING, FactKind.SCORE, FactKind.HANDLING)
    kinds = (*seen, FactKind.WORK)
    own = of_kind(first_hand(entry.facts), *seen)
    done = of_kind(first_hand(entry.facts), FactKind.WORK)
    told = [f for f in entry.facts if f.reporter is not Reporter.FARRIER]
    agreed = of_kind(entry.facts, FactKind.FOLLOW_UP, FactKind.ADVICE)
    earlier = [f for f in of_kind(entry.facts, *kinds) if f.historical and f not in told]
    for name, facts in (
        ("Seen first hand", own),
        ("Done, and left undone", done),
        ("Told by others", told),
        ("Of an earlier time", earlier),
        ("Advised or agreed", agreed),
    ):
        if facts:
            blocks.append(Paragraph(f"{name}:"))
            blocks.append(Bullets(tuple(lines_by_foot(facts, writer.british))))
    measures = measure_table([f for f in entry.facts if f not in told], writer.british)
    if measures is not None:
        blocks.append(measures)
    if entry.text:
        blocks.append(Paragraph(f"Words as kept: “{entry.text}”"))
    return blocks + correction_blocks(entry.corrections, writer)


def _numbered(file: HorseFile) -> str:
    number = len(file.sealed)
    return f"{number} numbered {'entry' if number == 1 else 'entries'}"


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _seal(file: HorseFile, chain_ok: bool) -> list[Block]:
    if not file.sealed:
        return []
    rows = tuple(
        (str(link.number), f"{short_day(e.day)}{_as(link)}", saved_words(link.saved_at), link.hash)
        for e in file.sealed
        for link in e.links
    )
    corrected = any(e.corrections for e in file.sealed)
    state = (
        "The chain was verified when this was printed: nothing that was saved has been changed in "
        "place, and the entries above are printed as they were sealed."
        + (" Each correction is a link of its own; the one before it stays." * corrected)
        if chain_ok
        else "THIS DOES NOT VERIFY. Run “fieldlog data verify” before you rely on this record."
    )
    return [
        Heading("Seal"),
        Paragraph(
            "Each entry's SHA-256 hash covers its content and the hash before it. A changed or "
            f"missing entry breaks every hash after it. {state} The numbers run through all that "
            "this farrier saved; those that are not here are of other horses."
            + " What became of what was asked for is kept beside the chain."
            * bool(file.promises)
        ),
        Table(("No", "Visit", "Saved", "SHA-256"), rows, (1, 2, 3, 7)),
    ]


def _as(link: Link) -> str:
    return f", revision {link.revision}" if link.revision > 1 else ""
