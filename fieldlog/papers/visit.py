"""The owner's summary of a visit, in plain words."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path

from fieldlog.core.facts import Fact, FactKind, Reporter
from fieldlog.core.scales import grade_in_words
from fieldlog.language.wording import label, on_scale
from fieldlog.papers.content import (
    NOT_A_DIAGNOSIS,
    OTHER_OWNER,
    SEEN,
    HorseFile,
    VisitNotes,
    Writer,
    asked_once,
    lines_by_foot,
    long_day,
    measure_table,
    of_kind,
    sentence,
    unique,
)
from fieldlog.papers.corrections import corrected_note
from fieldlog.papers.document import (
    Block,
    Bullets,
    Caution,
    Document,
    Heading,
    Paragraph,
    bullets_or,
)
from fieldlog.papers.vet import asked_of_vet

_TABLES = {FactKind.FINDING: "finding", FactKind.WORK: "work", FactKind.FOLLOW_UP: "followup"}


def owner_summary(file: HorseFile, visit: VisitNotes, writer: Writer) -> Document:
    """One page or two: what was seen, what was done, what to do, the next date, cautions.

    Args:
        file: the horse, its open promises and handling cautions.
        visit: the day that the summary is about.
        writer: the farrier.
    """
    blocks: list[Block] = [Caution(flag, urgent=True) for flag in unique(visit.red_flags)]
    blocks += [Paragraph(OTHER_OWNER)] if visit.other_owner else []
    if not visit.visited:
        blocks.append(Paragraph(f"I did not see {file.subject.horse} on this day."))
    blocks += _seen_and_told(visit, writer)
    measures = measure_table(visit.facts, writer.british)
    if measures is not None:
        blocks += [Heading("Measurements"), measures]
    work = of_kind(visit.facts, FactKind.WORK)
    if work or visit.visited:
        blocks.append(Heading("What was done"))
        blocks.append(bullets_or(lines_by_foot(work, writer.british), "No work was noted."))
    to_do = _to_do(file, visit, writer)
    blocks += to_do
    blocks += _next_visit(file)
    blocks += _how_it_stood(file, visit, writer)
    words = plain_words(_shown(visit.facts, to_do))
    if words:
        blocks += [Heading("Words used"), Bullets(words)]
    blocks += corrected_note(visit.corrections, "summary")
    blocks.append(Paragraph(NOT_A_DIAGNOSIS, small=True))
    return Document(
        title=f"Hoof care summary: {file.subject.horse}",
        subtitle=long_day(visit.day),
        facts=(*file.subject.head(), ("Farrier", writer.stated())),
        blocks=tuple(blocks),
        footer=f"{file.subject.horse}, {visit.day.isoformat()}",
    )


def _seen_and_told(visit: VisitNotes, writer: Writer) -> list[Block]:
    """What the farrier saw, and apart from it what the owner said."""
    seen = [f for f in of_kind(visit.facts, *SEEN) if f.reporter is not Reporter.OWNER]
    told = [f for f in of_kind(visit.facts, *SEEN) if f.reporter is Reporter.OWNER]
    lines = lines_by_foot(seen, writer.british)
    blocks: list[Block] = []
    if lines or visit.visited:
        blocks.append(Heading("What was seen"))
        blocks.append(bullets_or(lines, "Nothing out of the ordinary was noted."))
    if told:
        blocks.append(Paragraph("I was told:" if visit.other_owner else "You told me:"))
        # Who said so stands above: “You told me: ..., owner says” says it twice.
        plain = told if visit.other_owner else [replace(f, reporter=Reporter.FARRIER) for f in told]
        blocks.append(Bullets(tuple(lines_by_foot(plain, writer.british))))
    return blocks


def _how_it_stood(file: HorseFile, visit: VisitNotes, writer: Writer) -> list[Block]:
    """How the horse was to handle that day, and the cautions from before."""
    handling = of_kind(visit.facts, FactKind.HANDLING)
    earlier = file.cautions_before(visit.day)
    if not handling and not earlier:
        return []
    blocks: list[Block] = [Heading("How it stood")]
    blocks += [Bullets(tuple(lines_by_foot(handling, writer.british)))] if handling else []
    blocks += [Caution(f"Caution: {caution}") for caution in earlier]
    return blocks


def _to_do(file: HorseFile, visit: VisitNotes, writer: Writer) -> list[Block]:
    open_ones = asked_once(file.promises, visit.day)
    mine = [_to_me(p.line(writer.british, visit.day)) for p in open_ones if p.who == "farrier"]
    theirs = [_to_owner(p.line(writer.british, visit.day)) for p in open_ones if p.who == "owner"]
    vets = asked_of_vet(open_ones, writer.british, "See the horse", visit.day)
    others = [
        f"{p.who}: {p.line(writer.british, visit.day)}"
        for p in open_ones
        if p.who not in ("farrier", "owner", "vet")
    ]
    asked = [str(f.details.get("what", "")) for f in of_kind(visit.facts, FactKind.FOLLOW_UP)]
    advice = [
        sentence(words)
        for f in of_kind(visit.facts, FactKind.ADVICE)
        if (words := _advice(f, visit.advice.get(f.id, ""), file.subject.owner))
        # What was asked of the owner stands there once: "told her to soak it" says it again.
        and not any(what and what.lower() in words.lower() for what in asked)
    ]
    blocks: list[Block] = [Heading("What to do")]
    if not (mine or theirs or vets or others or advice):
        return [*blocks, Paragraph("Nothing in particular until the next visit.")]
    if theirs or advice:
        blocks += [Paragraph("For you:"), Bullets(unique(theirs + advice), tick_boxes=True)]
    if vets:
        blocks += [
            Paragraph("For your veterinarian (please arrange it):"),
            Bullets(unique(vets), tick_boxes=True),
        ]
    if mine:
        blocks += [Paragraph("For me:"), Bullets(unique(mine))]
    if others:
        blocks += [Paragraph("For others:"), Bullets(unique(others))]
    return blocks


def _to_owner(line: str) -> str:
    """A line under “For you”, which need not say that it is for the owner."""
    return sentence(line.removeprefix(f"{sentence(label('owner_care', 'followup'))[:-1]}: "))


_SPOKEN_TO = re.compile(
    r"\b(ask|call|e-?mail|message|phone|remind|ring|send|show|tell|text)( the)? owner\b(?!')", re.I
)


def _to_me(line: str) -> str:
    """A line under “For me”: the owner, who reads it, is “you”."""
    return _SPOKEN_TO.sub(r"\1 you", line)


def _advice(fact: Fact, words: str, owner: str) -> str:
    """What the owner can act on; empty if all that is known is who was spoken to."""
    to = str(fact.details.get("to") or "")
    if to[:1].isupper() and not {*to.lower().split()} & {*owner.lower().split()}:
        words = ""  # said to somebody else
    said = words or str(fact.details.get("text") or "")
    if fact.code != "spoke_to":
        return said or label(fact.code, "advice")
    return "" if to and said.lower().endswith(to.lower()) else said


def _next_visit(file: HorseFile) -> list[Block]:
    if file.next_visit is None:
        return [Heading("Next visit"), Paragraph("No date yet.")]
    return [Heading("Next visit"), Paragraph(f"Due {long_day(file.next_visit)}.")]


@cache
def _glossary() -> dict[str, dict[str, str]]:
    text = (Path(__file__).parent / "plain_words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _shown(facts: tuple[Fact, ...], to_do: list[Block]) -> tuple[Fact, ...]:
    """The facts that stand on the paper: a promise only if it is among what is to do."""
    asked = " ".join(line for b in to_do if isinstance(b, Bullets) for line in b.items).lower()
    return tuple(
        f
        for f in facts
        if f.kind is not FactKind.FOLLOW_UP or label(f.code, "followup").lower() in asked
    )


def plain_words(facts: tuple[Fact, ...]) -> tuple[str, ...]:
    """What the trade words of these facts mean, each once."""
    glossary = _glossary()
    found = [
        glossary[_TABLES[f.kind]][f.code]
        for f in facts
        if f.kind in _TABLES and f.code in glossary.get(_TABLES[f.kind], {}) and not f.negated
    ]
    return unique([*found, *filter(None, map(_grade, facts))])


def _grade(fact: Fact) -> str:
    """What a grade means on its scale: a bare “2 of 5” tells an owner little."""
    scale, quantity = fact.details.get("scale", ""), fact.quantity
    if fact.kind is not FactKind.SCORE or fact.negated or quantity is None:
        return ""
    words = grade_in_words(scale, quantity.value)
    return f"{on_scale(quantity, scale)}: {words}." if words else ""
