"""A letter to the veterinarian: observations, measures, suspicion as suspicion, what is asked for.

It never names a diagnosis. Films and treatment are asked for, not prescribed. That instructions
for shoeing should come from the veterinarian directly, and not by way of the owner, is an old rule
of conduct of the trade (a farriers' guild code of 1999, anvilmag.com/comment/coegpf.htm).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fieldlog.core.facts import Fact, FactKind, Reporter
from fieldlog.papers.content import (
    NOT_A_DIAGNOSIS,
    SEEN,
    HorseFile,
    Promise,
    VisitNotes,
    Writer,
    asked_once,
    lines_by_foot,
    long_day,
    measure_table,
    of_kind,
    sentence,
    short_day,
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
    Signature,
    bullets_or,
)

_DISEASES = frozenset(
    {"abscess", "laminitis", "founder", "rotation", "sinking", "navicular", "keratoma", "fracture"}
    | {"sidebone", "ringbone", "canker", "white_line_disease", "seedy_toe"}
)
"""Findings that only a veterinarian can establish: always written as a suspicion."""


def vet_letter(
    file: HorseFile, visit: VisitNotes, writer: Writer, vet: str = "", earlier: int = 3
) -> Document:
    """The letter.

    Args:
        file: the horse and its open promises; its earlier visits give the background.
        visit: the day that the letter reports.
        writer: the farrier.
        vet: name of the veterinarian or practice, if known.
        earlier: how many visits before are summed up.
    """
    british = writer.british
    flags = unique([_told_vet(flag) for flag in visit.red_flags])
    blocks: list[Block] = [Caution(flag, urgent=True) for flag in flags]
    blocks.append(
        Paragraph(
            f"I saw {file.subject.horse} on {long_day(visit.day)} for hoof care. Below is what I "
            "observed and measured. I make no diagnosis."
            if visit.visited
            else f"Below is what I noted about {file.subject.horse} on {long_day(visit.day)}, when "
            "I did not see the horse. I make no diagnosis."
        )
    )
    blocks += _seen(visit, british)
    work = of_kind(visit.facts, FactKind.WORK)
    if work or visit.visited:
        blocks.append(Heading("Done, and left undone"))
        blocks.append(bullets_or(lines_by_foot(work, british), "No work was noted."))
    blocks += _told_since(file, visit, british)
    blocks += _handling(file, visit, british)
    blocks += _asked(file, visit, british)
    blocks += _background(file, visit, earlier, british)
    blocks += corrected_note(visit.corrections, "letter")
    blocks += [Paragraph(NOT_A_DIAGNOSIS, small=True), Signature(writer.signature())]
    return Document(
        title=f"Letter to the veterinarian: {file.subject.horse}",
        subtitle=long_day(visit.day),
        facts=(
            ("To", vet or "the attending veterinarian"),
            ("From", writer.stated()),
            *file.subject.head(),
        ),
        blocks=tuple(blocks),
        footer=f"{file.subject.horse}, {visit.day.isoformat()}",
    )


_FLAG = re.compile(r"(?:Call|Tell) a veterinarian( now)?: (.+?)(?:, within 48 hours.*?)?\.(?: |$)")


def _told_vet(flag: str) -> str:
    """A red flag for the one whom it says to call: what it is, and how urgent it seems."""
    found = _FLAG.match(flag)
    if found is None:
        return flag
    return f"{'Urgent, as I see it' if found[1] else 'For your early attention'}: {found[2]}."


def _seen(visit: VisitNotes, british: bool) -> list[Block]:
    """What was observed and measured, what is suspected, and what others told, each apart."""
    found = of_kind(visit.facts, FactKind.FINDING)
    suspected = [f for f in found if is_suspicion(f)]
    seen = of_kind(visit.facts, *SEEN)
    observed = [f for f in seen if f not in suspected and f.reporter is Reporter.FARRIER]
    reported = [f for f in seen if f.reporter is not Reporter.FARRIER]
    blocks: list[Block] = []
    if observed or visit.visited:
        blocks.append(Heading("Observed first hand"))
        blocks.append(bullets_or(lines_by_foot(observed, british), "Nothing further was noted."))
    measures = measure_table(visit.facts, british)
    if measures is not None:
        blocks += [Heading("Measured"), measures]
    if suspected:
        blocks += [
            Heading("Suspected, for you to confirm or rule out"),
            Bullets(tuple(suspicions(suspected, british))),
        ]
    if reported:
        blocks += [Heading("Reported to me"), Bullets(tuple(lines_by_foot(reported, british)))]
    return blocks


def _told_since(file: HorseFile, visit: VisitNotes, british: bool) -> list[Block]:
    """What was told after the last visit without another: the letter is often about just that."""
    if visit is not file.last_visit:
        return []
    later = [v for v in file.visits if v.day > visit.day]
    lines = [
        f"{short_day(v.day)}: {' '.join(lines_by_foot(of_kind(v.facts, *SEEN), british))}"
        for v in later
        if of_kind(v.facts, *SEEN)
    ]
    return [Heading("Reported to me since, without a visit"), Bullets(tuple(lines))] * bool(lines)


def _handling(file: HorseFile, visit: VisitNotes, british: bool) -> list[Block]:
    """How it stood, and what to beware of from earlier visits."""
    handling = [f for f in of_kind(visit.facts, FactKind.HANDLING) if not f.negated]
    known = [sentence(line) for line in file.cautions_before(visit.day)]
    if not (handling or known):
        return []
    return [Heading("Handling"), Bullets(unique([*lines_by_foot(handling, british), *known]))]


def _asked(file: HorseFile, visit: VisitNotes, british: bool) -> list[Block]:
    asked = asked_of_vet(file.promises, british, on=visit.day)
    if not asked:
        opinion = "Your opinion, and any instruction for trimming or shoeing, to me directly."
        return [Heading("Asked of you"), Paragraph(opinion)]
    return [
        Heading("Asked of you"),
        Bullets(unique(asked)),
        Paragraph(
            "Please send any instruction for trimming or shoeing, and pictures if you may "
            "share them, to me directly."
        ),
    ]


def asked_of_vet(
    promises: Sequence[Promise],
    british: bool = False,
    see: str = "Please see the horse",
    on: date | None = None,
) -> list[str]:
    """What is open for the veterinarian, said to them; to come and look is asked once.

    Args:
        promises: of the horse, of anybody.
        british: near fore, off hind...
        see: how to come and look is asked for.
        on: the day of the visit that the paper is about.
    """
    asked: list[str] = []
    bare = ""
    for promise in asked_once(promises, on):
        if promise.who != "vet":
            continue
        if promise.code != "vet_visit":
            asked.append(promise.line(british, on))
            continue
        said = promise.what.partition(": ")[2]
        plain = set(re.findall(r"[\w']+", said.lower())) <= _CALLING
        what = see if plain else f"{see}: {said}"
        line = replace(promise, what=what).line(british, on)
        if line == f"{see}.":
            bare = line
        else:
            asked.append(line)
    if bare and not any(line.startswith(see) for line in asked):
        asked.insert(0, bare)
    return asked


_CALLING = frozenset(
    {"a", "and", "ask", "at", "call", "come", "comes", "coming", "get", "have", "her", "him"}
    | {"horse", "is", "it", "look", "now", "out", "phone", "ring", "see", "tell", "the", "them"}
    | {"to", "today", "vet", "vet's", "vets", "veterinarian"}
)
"""Words that only say that the veterinarian was to be called."""


def is_suspicion(fact: Fact) -> bool:
    """True for a finding that must be worded as a suspicion in a letter."""
    if fact.negated or fact.reporter is Reporter.VET or fact.historical:
        return False
    return fact.uncertain or fact.code in _DISEASES


def suspicions(facts: Sequence[Fact], british: bool = False) -> list[str]:
    """Lines by foot with every finding worded as suspected."""
    return lines_by_foot([replace(f, uncertain=True) for f in facts], british)


def _background(file: HorseFile, visit: VisitNotes, earlier: int, british: bool) -> list[Block]:
    before = [v for v in file.visits if v.day < visit.day][-earlier:] if earlier > 0 else []
    if not before:
        return []
    lines = []
    for old in reversed(before):
        facts = of_kind(old.facts, *SEEN, FactKind.WORK)
        if facts:
            day = short_day(old.day) + ("" if old.visited else ", without a visit")
            lines.append(f"{day}: {' '.join(lines_by_foot(facts, british))}")
    return [Heading("Earlier visits"), Bullets(tuple(lines))] if lines else []
