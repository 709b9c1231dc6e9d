"""The disjoint marks of a whole note: times, numbers, the vocabulary, what the farrier taught.

What a pattern matches and other words of the sentence make something else is left out here
(``other_words``); what no pattern knows and the second opinion hears is added as a candidate.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from datetime import date
from typing import NamedTuple

from fieldlog.language.corrections.spoken import plans
from fieldlog.language.horses.naming import NameAt
from fieldlog.language.horses.opened import introductions, openings
from fieldlog.language.horses.parting import Turn
from fieldlog.language.horses.turns import turns_of
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.gist import HowRead, opinion
from fieldlog.language.opinion.gist_marks import proposed, with_proposed
from fieldlog.language.personal import Phrase
from fieldlog.language.senses.other_words import other_words
from fieldlog.language.senses.weak_words import strong
from fieldlog.language.times.dates import TimeSpan
from fieldlog.language.times.times_past import gone_by, not_ahead
from fieldlog.language.words.marks import (
    ALL_FOUR,
    Mark,
    candidates,
    own_phrases,
    pattern_words,
    resolve,
)
from fieldlog.language.words.tokens import Token
from fieldlog.language.words.units_said import SIDES, Line

_PRONOUN_ONE = frozenset({"left", "right", "other", "that", "this", "the", "next", "last", "each",
                          "no", "which", "every", "any", "near", "off", "same", "good", "bad",
                          "new", "old", "front", "hind", "back", "first", "second", "wrong",
                          "worst", "best", "sore", "lame", "odd", "only", "big",
                          "small"})  # fmt: skip


_NO_WORDS: frozenset[int] = frozenset()
_ALL_FOUR = re.compile(r"\ball four\b", re.IGNORECASE)
"""Its number belongs to no "five weeks" behind it; what stands for it is as long."""
_FORE = re.compile(r"\b(near|off|left|right) fore\b", re.IGNORECASE)
"""A fore is no four where its side stands before it."""


def how_read(words: Sequence[Token], named: Sequence[NameAt], turns: Sequence[Turn]) -> HowRead:
    """How the second opinion reads a note: each horse's words by themselves, and no name that a
    rule's word is too (a Copper is no copper sulphate).

    Args:
        words: those of the note.
        named: where names of horses stand.
        turns: whose turn it is.
    """
    hidden = tuple(
        (word.start, word.end)
        for first, last, _ in named
        for word in words[first:last]
        if word.norm in pattern_words()
    )
    return HowRead(hidden, tuple(words[turn.begin].start for turn in turns))


class MarksFound(NamedTuple):
    """What is found in the words of a note."""

    marks: list[Mark]
    """Disjoint, in order."""
    refused: list[Mark]
    """Patterns that matched and did not become marks."""
    turns: list[Turn]
    """Whose turn it is."""


def find_marks(
    text: str,
    words: Sequence[Token],
    recorded: date,
    named: Sequence[NameAt] = (),
    phrases: Sequence[Phrase] = (),
) -> MarksFound:
    """The disjoint marks of a note, and whose turn it is in it.

    Args:
        text: the note.
        words: its significant words.
        recorded: day of the recording, from which times are counted.
        named: where names of horses stand (``horses.known_names``).
        phrases: the farrier's own words for ids.
    """
    from fieldlog.language.numbers.shorthand import trade_numbers
    from fieldlog.language.times.dates import find_times

    masked = _FORE.sub(r"\1 foot", _ALL_FOUR.sub("all feet", text))
    times = _time_marks(words, find_times(masked, recorded))
    numbers = _number_marks(words, trade_numbers(masked))
    walls = [i for i, w in enumerate(words) if w.sort in ("comma", "stop", "pause")]
    norms = [w.norm for w in words]
    matched = candidates(norms, {i for m in numbers for i in range(m.start, m.end)}, walls)
    spans = [(m.start, m.end) for m in times if m.kind == "time"]
    found = [
        *times,
        *numbers,
        *(
            m
            for m in matched
            if not (m.kind == "followup" and _ends_in_a_time(m, spans))
            and not other_words(words, m)
            and not _is_a_name(words, m, named)
        ),
        *own_phrases(norms, phrases),
    ]
    marks = _settled(words, found, lambda marks: _useful(text, words, marks, named))
    refused = _refused(matched, marks)
    turns = turns_of(words, marks, openings(words, marks, named, text))
    heard = opinion(text, how_read(words, named, turns))
    if heard is not None and (more := proposed(heard, words, marks, matched)):
        marks = with_proposed(marks, more)
        turns = turns_of(words, marks, openings(words, marks, named, text))
    return MarksFound(marks, refused, turns)


def _refused(matched: Sequence[Mark], marks: Sequence[Mark]) -> list[Mark]:
    """The patterns that matched and did not become marks."""
    kept: dict[str, set[int]] = {}
    for mark in marks:
        kept.setdefault(mark.code, set()).update(mark.covers())
    return [m for m in matched if not m.touches(kept.get(m.code, _NO_WORDS))]


def _time_marks(words: Sequence[Token], times: Sequence[TimeSpan]) -> list[Mark]:
    """Times to come; a time gone by is a word of history."""
    found: list[Mark] = []
    for at, span in enumerate(times):
        begin, end = _word_range(words, span.start, span.end)
        if begin >= end or not_ahead(words, begin, end, span.due.period):
            continue
        if gone_by(words, begin, span):
            found.append(Mark("role", "history_after", begin, end))
            continue
        following = times[at + 1] if at + 1 < len(times) else None
        if following is not None and (
            _made_exact(words, span, following) or _named_visit(words, span, end, following)
        ):
            continue
        if end - begin > 1 and words[begin].norm in ("on", "in", "at"):
            # "Pop back on Saturday": the preposition may belong to the verb.
            begin += 1
        found.append(Mark("time", "time", begin, end, value=span))
    return found


def _named_visit(words: Sequence[Token], span: TimeSpan, end: int, following: TimeSpan) -> bool:
    """ "Next visit, the fifth of May": the day behind it is the time."""
    if span.due.anchor != "next_visit" or not (following.due.on or following.due.ambiguous):
        return False
    return _word_range(words, following.start, following.end)[0] - end <= 2


def _number_marks(words: Sequence[Token], numbers: Sequence[NumberSpan]) -> list[Mark]:
    """Numbers; no ordinals, no "inside quarter", no "left one"."""
    found: list[Mark] = []
    for number in numbers:
        begin, end = _word_range(words, number.start, number.end)
        if begin >= end or number.form == "ordinal":
            continue
        if end - begin == 1:
            word, before = words[begin].norm, words[begin - 1].norm if begin else ""
            if word == "quarter" and before in SIDES:
                continue
            if word == "one" and (not begin or before in _PRONOUN_ONE):
                continue
        found.append(Mark("number", "number", begin, end, value=number, number=number))
    return found


def _ends_in_a_time(mark: Mark, times: Sequence[tuple[int, int]]) -> bool:
    """ "Calling the vet this afternoon": the time keeps its first word."""
    return any(mark.start < a < mark.end < b for a, b in times)


def _useful(
    text: str, words: Sequence[Token], marks: list[Mark], named: Sequence[NameAt]
) -> set[int]:
    """The ``id`` of each correction that has an effect, and of each word that begins a horse."""
    made = plans(Line(words, marks))
    kept = {
        id(m)
        for m in marks
        if m.kind == "correction" and any(p.mark.start <= m.start < p.end for p in made)
    }
    openers = {o.start for o in introductions(words, marks, named, text)}
    for mark in marks:
        if mark.code == "end_horse" or (mark.code == "new_horse" and mark.start in openers):
            kept.add(id(mark))
    return kept


def _settled(
    words: Sequence[Token], found: Sequence[Mark], useful: Callable[[list[Mark]], set[int]]
) -> list[Mark]:
    """Disjoint marks in which no correction or horse word stands that does nothing.

    Args:
        words: the significant words.
        found: candidates.
        useful: given disjoint marks, the ``id`` of each correction mark that has an effect.
    """
    times = {m.start for m in found if m.kind == "time"}
    feet = {m.start for m in found if m.kind == "foot"}
    all_four = {m.start for m in found if m.kind == "foot" and m.code == ALL_FOUR}
    kept = [
        m
        for m in found
        if strong(words, m, times)
        and not (m.code == "dress_flare" and m.end in all_four)
        and not (m.code == "new_horse" and _starts_with_a_foot(words, m, feet))
    ]
    first = resolve(kept)
    effective = useful(first)
    if all(id(m) in effective for m in first if m.kind == "correction"):
        return first
    return resolve(m for m in kept if m.kind != "correction" or id(m) in effective)


def _starts_with_a_foot(words: Sequence[Token], mark: Mark, feet: set[int]) -> bool:
    """ "Starting with the left front": no new horse, unless the note begins so."""
    begins = mark.start > 2 and words[mark.start].norm.startswith(("start", "begin"))
    return begins and bool(feet & {mark.end, mark.end + 1, mark.end + 2})


def _is_a_name(words: Sequence[Token], mark: Mark, named: Sequence[NameAt]) -> bool:
    """Whether a word for what something is made of is the horse: Copper, not copper nails."""
    if mark.code != "material":
        return False
    behind = words[mark.end].norm if mark.end < len(words) else ""
    own = any(first <= mark.start and mark.end <= last for first, last, _ in named)
    return own and behind not in _MADE_OF


_MADE_OF = frozenset({"nail", "nails", "coated", "shoe", "shoes", "plate", "plates", "pad", "pads"})


def _made_exact(words: Sequence[Token], span: TimeSpan, following: TimeSpan) -> bool:
    """ "Next week, say Tuesday": the second time is the one that is meant."""
    begin, _ = _word_range(words, following.start, following.end)
    _, end = _word_range(words, span.start, span.end)
    said = {w.norm for w in words[max(end, begin - 2) : begin]}
    first, last, day = span.due.on, span.due.until, following.due.on
    return (
        bool(said & {"say", "probably", "ideally", "maybe"})
        and begin - end <= 12
        and first is not None
        and last is not None
        and day is not None
        and first <= day <= last
    )


def _word_range(words: Sequence[Token], start: int, end: int) -> tuple[int, int]:
    """The words that touch some characters; a pause has none."""
    first = bisect_right(words, start, key=lambda w: w.end)
    last = bisect_left(words, end, key=lambda w: w.start)
    while first < last and words[first].sort == "pause":
        first += 1
    while first < last and words[last - 1].sort == "pause":
        last -= 1
    return (first, last) if first < last else (0, 0)
