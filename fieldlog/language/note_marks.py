"""The disjoint marks of a whole note: times, numbers, the vocabulary, what the farrier taught.

What a pattern matches and other words of the sentence make something else is left out here
(``_other_words``); what no pattern knows and the second opinion hears is added as a candidate.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from fieldlog.language.corrections import plans
from fieldlog.language.dates import TimeSpan
from fieldlog.language.gist import Span, opinion
from fieldlog.language.gist_marks import with_proposed
from fieldlog.language.horses import NameAt, openings
from fieldlog.language.marks import Mark, candidates, own_phrases, pattern_words, settle
from fieldlog.language.personal import Phrase
from fieldlog.language.times_past import gone_by, not_ahead
from fieldlog.language.tokens import Token
from fieldlog.language.units_said import SIDES, Line
from fieldlog.language.work_words import no_work

_PRONOUN_ONE = frozenset({"left", "right", "other", "that", "this", "the", "next", "last", "each",
                          "no", "which", "every", "any", "near", "off", "same", "good", "bad",
                          "new", "old", "front", "hind", "back", "first", "second", "wrong",
                          "worst", "best", "sore", "lame", "odd", "only", "big",
                          "small"})  # fmt: skip


_ALL_FOUR = re.compile(r"\ball four\b", re.IGNORECASE)
"""Its number belongs to no "five weeks" behind it; what stands for it is as long."""
_FORE = re.compile(r"\b(near|off|left|right) fore\b", re.IGNORECASE)
"""A fore is no four where its side stands before it."""


def hidden_names(words: Sequence[Token], named: Sequence[NameAt]) -> tuple[Span, ...]:
    """Characters of horses' names that a rule's words are too: a Copper is no copper sulphate."""
    return tuple(
        (word.start, word.end)
        for first, last, _ in named
        for word in words[first:last]
        if word.norm in pattern_words()
    )


def find_marks(
    text: str,
    words: Sequence[Token],
    recorded: date,
    named: Sequence[NameAt] = (),
    phrases: Sequence[Phrase] = (),
    refused: list[Mark] | None = None,
) -> list[Mark]:
    """The disjoint marks of a note.

    Args:
        text: the note.
        words: its significant words.
        recorded: day of the recording, from which times are counted.
        named: where names of horses stand (``horses.known_names``).
        phrases: the farrier's own words for ids.
        refused: gets the patterns that matched and did not become marks.
    """
    from fieldlog.language.dates import find_times
    from fieldlog.language.shorthand import trade_numbers

    found: list[Mark] = []
    number_words: set[int] = set()
    masked = _FORE.sub(r"\1 foot", _ALL_FOUR.sub("all feet", text))
    times = find_times(masked, recorded)
    for at, span in enumerate(times):
        begin, end = _word_range(words, span.start, span.end)
        if begin >= end or not_ahead(words, begin, end, span.due.period):
            continue
        if gone_by(words, begin, span):
            found.append(Mark("role", "history_after", begin, end))
            continue
        following = times[at + 1] if at + 1 < len(times) else None
        if following is not None and _made_exact(words, span, following):
            continue
        if (
            span.due.anchor == "next_visit"
            and following is not None
            and following.due.on is not None
            and _word_range(words, following.start, following.end)[0] - end <= 2
        ):
            continue
        if end - begin > 1 and words[begin].norm in ("on", "in", "at"):
            # "Pop back on Saturday": the preposition may belong to the verb.
            begin += 1
        found.append(Mark("time", "time", begin, end, value=span))
    for number in trade_numbers(masked):
        begin, end = _word_range(words, number.start, number.end)
        if begin >= end or number.form == "ordinal":
            continue
        sided = begin > 0 and words[begin - 1].norm in SIDES
        if sided and end - begin == 1 and words[begin].norm == "quarter":
            continue
        if (
            end - begin == 1
            and words[begin].norm == "one"
            and (begin == 0 or words[begin - 1].norm in _PRONOUN_ONE)
        ):
            continue
        number_words.update(range(begin, end))
        found.append(Mark("number", "number", begin, end, value=number, number=number))
    walls = [i for i, w in enumerate(words) if w.sort in ("comma", "stop", "pause")]
    spans = [(m.start, m.end) for m in found if m.kind == "time"]
    matched = candidates([w.norm for w in words], number_words, walls)
    found += [
        m
        for m in matched
        # "calling the vet this afternoon": the time keeps its first word
        if (m.kind != "followup" or not any(m.start < a < m.end < b for a, b in spans))
        and not _other_words(words, m)
        and not _is_a_name(words, m, named)
    ]
    found += own_phrases([w.norm for w in words], phrases)

    def useful(marks: list[Mark]) -> set[int]:
        line = Line(words, marks)
        made = plans(line)
        kept = {
            id(m)
            for m in marks
            if m.kind == "correction" and any(p.mark.start <= m.start < p.end for p in made)
        }
        openers = {o.start for o in openings(words, marks, named, text)}
        for mark in marks:
            if mark.code == "end_horse" or (mark.code == "new_horse" and mark.start in openers):
                kept.add(id(mark))
        return kept

    marks = settle(words, found, useful)
    if refused is not None:
        kept = {(m.code, at) for m in marks for at in m.covers()}
        refused += [m for m in matched if not any((m.code, at) in kept for at in m.covers())]
    heard = opinion(text, hidden_names(words, named))
    return with_proposed(heard, words, marks, matched) if heard is not None else marks


def _is_a_name(words: Sequence[Token], mark: Mark, named: Sequence[NameAt]) -> bool:
    """Whether a word for what something is made of is the horse: Copper, not copper nails."""
    if mark.code != "material":
        return False
    behind = words[mark.end].norm if mark.end < len(words) else ""
    own = any(first <= mark.start and mark.end <= last for first, last, _ in named)
    return own and behind not in _MADE_OF


_MADE_OF = frozenset({"nail", "nails", "coated", "shoe", "shoes", "plate", "plates", "pad", "pads"})
_PRICED = frozenset({"quoted", "quote", "charge", "charged", "price", "cost", "costs", "dollars",
                     "quid", "euro", "euros", "bucks", "pay", "paid", "pays", "owes"})  # fmt: skip
_MUCK = frozenset({"grit", "dirt", "mud", "muck", "stones", "gravel", "sand", "clay", "snow",
                   "manure", "rubbish", "debris", "dung", "stone"})  # fmt: skip
_GETS_WELL = frozenset({"percent", "is", "'s", "has", "nearly", "all", "fully", "well", "it",
                        "completely", "been", "half", "almost", "mostly"})  # fmt: skip
_HAVE_DONE = frozenset({"did", "didn't", "already", "have", "i've", "'ve"})
_MEASURED = frozenset({"wide", "long", "deep", "narrow", "wider", "narrower", "inch", "inches",
                       "mil", "open", "split", "low", "high", "thin", "short"})  # fmt: skip


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


def _other_words(words: Sequence[Token], mark: Mark) -> bool:
    """ "Dressed the walls in | front", "I | never trimmed": the words belong elsewhere."""
    after = words[mark.end].norm if mark.end < len(words) else ""
    before = words[mark.start - 1].norm if mark.start else ""
    if mark.kind == "work" and no_work(words, mark):
        return True
    if mark.kind == "foot" and words[mark.end - 1].norm == "side" and after in ("bone", "bones"):
        return True  # "near fore | side bone"
    if mark.code == "shifting_weight" and words[mark.start].norm in ("resting", "rests"):
        return after in ("till", "until", "for", "over", "through")  # from work, till January
    if mark.code in _BEFELL and before in ("almost", "nearly"):
        return True  # "nearly quicked him", "almost lost the shoe": it did not happen
    if mark.kind in ("work", "followup", "handling") and after in ("front", "behind"):
        return words[mark.end - 1].norm in ("in", "up", "out")
    if mark.code == "recheck" and mark.size == 2 and words[mark.end - 1].norm == "in":
        # "come in lame": how the horse came
        return words[mark.start].norm in ("come", "comes", "coming")
    if mark.code in ("recheck", "check_weak") and before in _HAVE_DONE:
        # "I did check that twice"
        return words[mark.start].norm not in ("see", "keep", "keeping")
    if mark.code in ("recheck", "next_trim") and after in ("to", "the", "a"):
        # "the heels come back to the last bearing point"
        later = words[mark.end + (after == "to")].norm if mark.end + 1 < len(words) else ""
        comes = words[mark.start].norm in ("come", "comes", "coming")
        return comes and words[mark.end - 1].norm == "back" and later in ("the", "where", "a")
    spans = ("weeks", "week", "days", "months")
    if mark.kind == "work" and words[mark.start].norm == "shod" and before in spans:
        return True  # "he's five weeks shod"
    counted = mark.kind == "work" and words[mark.end - 1].norm == "one" and mark.size > 1
    if counted and after in ("degree", "degrees", "inch", "and"):
        return True  # "put a | one degree wedge on it"
    if mark.code == "end_horse" and after in ("till", "until"):
        return True  # "that'll do till the tenth"
    led = words[mark.start - 2].norm if mark.start > 1 else ""
    if mark.code == "trim" and before == "the" and led in ("before", "after", "since"):
        return True  # "before the trim left front three and five eighths"
    if mark.code == "trim" and words[mark.start].norm in ("trim", "trims") and mark.size == 1:
        # "another two trims and it's out"
        return before in ("two", "three", "four", "few", "more", "couple", "many", "another", "of",
                          "before", "after")  # fmt: skip
    if mark.code == "heat" and mark.size == 1 and words[mark.start].norm == "hot":
        return after in ("fit", "fitted", "fitting", "shod", "shoe", "shoed", "set")
    if mark.code == "shoe_lost" and words[mark.end - 1].norm == "off":
        # "a plain open shoe on the | off": a side
        return mark.size > 2 and words[mark.end - 2].norm in ("the", "his", "her")
    if mark.kind == "work" and mark.size == 1 and before in ("before", "after"):
        # "toe angle before shoeing was forty-six": when it was measured
        return words[mark.start].norm in ("shoeing", "trimming", "trim", "shoe", "resetting")
    if mark.code == "wedge" and mark.size == 1:
        return after == "of"  # "a wedge of flare"
    if mark.code == "quick_nail" and words[mark.start].norm == "quick" and mark.size == 1:
        return before in ("be", "so", "too", "very", "pretty", "real", "as", "was", "it", "that's")
    if mark.kind == "place" and words[mark.start].norm == "healed" and mark.size == 1:
        # "ninety percent healed", where a heel is not meant
        return before in _GETS_WELL or after in ("up", "over", "well", "nicely", "and", "now")
    if mark.kind == "work" and before == "for":
        # "quoted her one eighty for heart bars"
        return bool({w.norm for w in words[max(0, mark.start - 7) : mark.start]} & _PRICED)
    if mark.code == "packing":
        # "dirt packed in", "packed with grit": not by us
        beside = (*range(mark.start - 2, mark.start), *range(mark.end, mark.end + 2))
        return bool({words[i].norm for i in beside if 0 <= i < len(words)} & _MUCK)
    if mark.kind == "foot" and mark.size > 2 and words[mark.end - 1].norm == "left":
        # "on the right and | left the other one alone"
        return after in (
            "the",
            "it",
            "him",
            "her",
            "them",
            "that",
            "his",
            "alone",
            "bare",
            "plenty",
        )
    if mark.kind == "foot" and mark.size == 3 and words[mark.end - 1].norm == "back":
        # "an inch wide at the back": of the frog or the foot in hand
        return before in _MEASURED
    if mark.code == "twitched":
        return _not_used(words, mark)
    return mark.code == "green" and words[mark.start].norm == "never" and before in ("i", "we")


_BEFELL = frozenset({"quick_nail", "shoe_lost", "kicked", "bit"})
_PUT_BY = frozenset({"away", "down", "back", "stayed", "stays", "in"})
_UNUSED = frozenset({"never", "didn't", "without", "wasn't"})


def _not_used(words: Sequence[Token], mark: Mark) -> bool:
    """ "Put the twitch away", "twitch stayed in the truck", "had the twitch out, never used it"."""
    after = [w.norm for w in words[mark.end : mark.end + 7]]
    left = words[mark.start - 1].norm if mark.start else ""
    lead = words[mark.start - 2].norm if mark.start > 1 else ""
    if after[:1] and after[0] in _PUT_BY and after[:2] != ["back", "on"]:
        return True
    if lead in ("left", "leave", "leaving") and left in ("the", "my", "a"):
        return after[:1] != ["on"] or "hook" in after
    return any(
        a in _UNUSED and b in ("used", "use", "using", "need", "needed", "wanted")
        for a, b in pairwise(after)
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
