"""What was told of one horse, told of another one too: "Dolly, same as Copper, only no pads".

Jobs, findings and the next visit are copied; measured values and manners are not, nor what the
words beside it leave out. Every copy says whom it is from, and is looked at before it is taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, Passage, new_id
from fieldlog.core.feet import ALL_FEET, LEFTS, RIGHTS, Foot
from fieldlog.core.spans import Span, touch
from fieldlog.language.entries.by_horse import PartRead
from fieldlog.language.entries.redflags import with_red_flags
from fieldlog.language.horses.alike import Alike
from fieldlog.language.horses.naming import BREAKS
from fieldlog.language.horses.same_words import SAME_WORDS
from fieldlog.language.words.units_said import Line

_VISITS = frozenset({"next_trim", "cycle"})
_NEAR = 9
"""Words behind "same as Copper" in which it is told what is not the same, where no stop is."""
_LEAST = 0.4
"""Chance of being right from which what no rule reads is worth a copy."""
_OF_A_COPY = 0.7
"""How much of its chance a copy keeps (a guess: copies are rare in the notes, and each is asked
about anyway)."""
_SIDES = {"left": LEFTS, "near": LEFTS, "right": RIGHTS, "off": RIGHTS}


@dataclass(frozen=True, slots=True)
class _Beside:
    """What is told beside "same as Copper"."""

    told: frozenset[FactKind]
    """The kinds that are told anew."""
    feet: tuple[Foot, ...]
    """The feet that alone are the same: "but only the right front"."""
    side: tuple[Foot, ...]
    """The same, if only a side is said."""
    other_degree: bool
    """Whether it is better or worse."""

    def narrowed(self, fact: Fact) -> Fact | None:
        """A fact on the feet that alone are the same; None if none of its feet is."""
        said = self.feet or tuple(f for f in self.side if f in fact.feet)
        if not self.feet and not self.side:
            return fact
        if not fact.feet or not said or (len(fact.feet) == len(ALL_FEET) and len(said) == 1):
            return None
        if len(fact.feet) > 1 and not {*said} & {*fact.feet}:
            return None
        return replace(fact, feet=said, foot_basis=FootBasis.SAID)


def with_likenesses(
    parts: Sequence[PartRead], likenesses: Sequence[Alike], first: int, line: Line
) -> list[PartRead]:
    """The parts; those that a horse is told in to be like another have copies of its facts.

    Args:
        parts: all of the note, in order.
        likenesses: where a horse is told to be like another one.
        first: the part that the first turn of the note is.
        line: the words and marks of the note, as they were read.
    """
    out = list(parts)
    for said in likenesses:
        at = said.turn + first
        own = [f for p in out if {*p.about.horses} & {*out[at].about.horses} for f in p.entry.facts]
        others = [f for p in out[:at] if said.like in p.about.horses for f in p.entry.facts]
        beside = _beside(said, out[at], line)
        out[at] = out[at]._replace(entry=_alike(out[at].entry, said, others, own, beside, line))
    return out


def _alike(
    entry: Entry,
    said: Alike,
    others: Sequence[Fact],
    own: Sequence[Fact],
    beside: _Beside,
    line: Line,
) -> Entry:
    """An entry with what is copied."""
    span = line.words[said.start].start, line.words[said.end - 1].end
    reason = f"Taken from {said.name or 'another horse'}: “{entry.text[slice(*span)]}”."
    copies = list(_copies(others, own, beside, span, reason))
    if not copies:
        return entry
    flagged, flags = with_red_flags(copies, entry.text)
    facts = sorted([*entry.facts, *flagged], key=lambda f: f.span)
    return replace(
        entry,
        facts=tuple(facts),
        red_flags=tuple(dict.fromkeys([*entry.red_flags, *flags])),
        passages=tuple(_uncovered(entry, span)),
    )


def _copies(
    others: Sequence[Fact], own: Sequence[Fact], beside: _Beside, span: Span, reason: str
) -> Iterator[Fact]:
    """What is told of the other horse, as far as it is told of this one too."""
    made: list[Fact] = []
    for fact in others:
        if not _may_be_alike(fact) or fact.kind in beside.told:
            continue
        narrowed = beside.narrowed(fact)
        if narrowed is None or any(_speaks_of(other, narrowed) for other in [*own, *made]):
            continue
        worse = beside.other_degree
        copy = replace(
            narrowed, id=new_id(), span=span, quantity=None, comparison=None, sound=None,
            severity=None if worse else fact.severity, confidence=fact.confidence * _OF_A_COPY,
            doubts=(), readings=(), why_foot="As it was told of the other horse.",
        ).with_doubt("same_as", reason)  # fmt: skip
        made.append(copy)
        yield copy


def _may_be_alike(fact: Fact) -> bool:
    """Whether "the same" can mean a fact of another horse."""
    if fact.historical or fact.planned or fact.urgent:
        return False
    if fact.only_heard and fact.confidence < _LEAST:
        return False
    return fact.kind in (FactKind.FINDING, FactKind.WORK) or fact.code in _VISITS


def _speaks_of(own: Fact, fact: Fact) -> bool:
    """Whether a fact of the horse itself tells the same thing, or that it is not so."""
    same = own.code == fact.code or (own.code in _VISITS and fact.code in _VISITS)
    clear = own.code == "normal" and fact.kind is FactKind.FINDING and fact.code != "normal"
    return (same or clear) and (not own.feet or not fact.feet or bool({*own.feet} & {*fact.feet}))


def _beside(said: Alike, part: PartRead, line: Line) -> _Beside:
    """What is told behind a likeness, in its sentence."""
    end = min(_sentence_end(said.end, line), part.about.end)
    behind = [w for w in line.words[said.end : end] if w.sort not in BREAKS]
    norms = [w.norm for w in behind]
    began = line.words[said.end - 1].end
    until = behind[-1].end if behind else began
    told = [f for f in part.entry.facts if began <= f.span[0] < until and not f.negated]
    anew = frozenset(f.kind for f in told) & {FactKind.FINDING, FactKind.WORK}
    other_degree = said.other_degree or bool({*norms} & SAME_WORDS["other_degree"])
    adds = bool({*norms[:1]} & SAME_WORDS["adds"])
    feet, side = _feet_said(said.end, end, line) if adds and not anew else ((), ())
    return _Beside(frozenset() if adds else anew, feet, side, other_degree)


def _sentence_end(at: int, line: Line) -> int:
    """One past the last word of the sentence; no further than near by, where no stop is."""
    stopped = any(w.sort == "stop" for w in line.words)
    end = at
    while end < len(line.words) and line.words[end].sort != "stop":
        if not stopped and end - at >= _NEAR:
            break
        end += 1
    return end


def _feet_said(begin: int, end: int, line: Line) -> tuple[tuple[Foot, ...], tuple[Foot, ...]]:
    """The feet named among some words, and the feet of a side."""
    feet = {code for m in line.marks if m.kind == "foot" and begin <= m.start < end
            for code in m.code.split("+") if code in Foot.__members__}  # fmt: skip
    sides = [_SIDES[w.norm] for w in line.words[begin:end] if w.norm in _SIDES]
    return tuple(f for f in ALL_FEET if f.value in feet), sides[0] if sides else ()


def _uncovered(entry: Entry, span: Span) -> Iterator[Passage]:
    """The passages, without the words that tell of a copy now."""
    for passage in entry.passages:
        if passage.perhaps or not touch(passage.span, span):
            yield passage
            continue
        for start, end in ((passage.span[0], span[0]), (span[1], passage.span[1])):
            piece = entry.text[start:end]
            lead = len(piece) - len(piece.lstrip(" \t\n,;.-"))
            text = piece.strip(" \t\n,;.-")
            if start < end and text:
                yield Passage((start + lead, start + lead + len(text)), text)
