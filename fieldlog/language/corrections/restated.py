"""What is put right without a word that says so: "mid December, say the sixteenth".

"Ten weeks is silly. Six." waves one period away and names another; "I have said seventy nine,
it's eighty nine" owns up to a wrong number; "swap those, right is the quarter" says once more what
was swapped.
"""

from __future__ import annotations

from itertools import pairwise

from fieldlog.language.lexicon import word_set
from fieldlog.language.values.kinds import about_as_large
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_NEARER = frozenset({",", "|", "say", "or", "well", "so", "let's", "call", "it", "we'll", "i'll"})
_IS = frozenset({",", "|", "is", "'s", "was", "the", "and", "a", "at", "one", "be", "should"})
_PARTS = frozenset({"quarter", "quarters", "half", "eighth", "eighths", "sixteenth",
                    "sixteenths"})  # fmt: skip
"""What a number ends with that may be taken for something else: "right is the quarter"."""
_SAID = frozenset({"said", "wrote", "written", "put", "told", "typed", "noted", "had"})
_BACK = 12
"""Words between "I have said" and what it is instead."""
_TOO = frozenset({"far", "way", "just", "a", "bit", "much", "really", "plain", "pure", "is", "'s",
                  "was", "that's", "it's", "are", "too", "being", "frankly", "would", "be", "'d",
                  "only"})  # fmt: skip
_SILLY = word_set("waved_away")
_TILL_WEEKS = 14
"""Words between a period that is waved away and the one that is meant."""
_LEADS = frozenset({"so", "then", "say", "make", "it", ".", ",", "to", "at", "do", "i", "want",
                    "go", "we'll", "i'll", "let's", "needs", "him", "her", "|",
                    "every"})  # fmt: skip
_FROM_NOW = frozenset({"from", "it", "and", "for", "is", "please", "then", "this", "again"})
_MOST_WEEKS = 16


def named_nearer(line: Line) -> list[Mark]:
    """ "Mid December, say the sixteenth": the second of two times says the first more nearly."""
    times = [m for m in line.marks if m.kind == "time"]
    out = []
    for one, other in pairwise(times):
        between = [line.norm(i) for i in range(one.end, other.start)]
        if "say" in between and {*between} <= _NEARER:
            out.append(Mark("correction", "nearer", one.end, other.start))
    return out


def derided(line: Line) -> list[Mark]:
    """ "Ten weeks is silly and I've said so. Six.": words that ask for nothing, and those that do.

    Returns:
        A mark ``unheard`` over each period that is waved away, and a mark ``weeks`` over the
        number that takes its place; its value is that number's mark.
    """
    out: list[Mark] = []
    for time in line.marks:
        if time.kind != "time" or not time.value.due.period:
            continue
        end = _waved_away(line, time)
        if not end:
            continue
        out.append(Mark("correction", "unheard", time.start, end))
        if (new := _weeks_meant(line, end)) is not None:
            out.append(Mark("correction", "weeks", new.start, new.end, value=new))
    return out


def _waved_away(line: Line, time: Mark) -> int:
    """One past the words that wave a period away; 0 if they do not."""
    at = time.end
    while line.norm(at) in _TOO:
        at += 1
    too = at > time.end and line.norm(at - 1) == "too"
    if at == time.end or not (line.norm(at) in _SILLY or (too and line.norm(at) == "long")):
        return 0
    return at + 1


def _weeks_meant(line: Line, begin: int) -> Mark | None:
    """The bare number behind: "so five from now on", "Six."; None where a time is said itself."""
    for mark in line.marks:
        if not begin <= mark.start <= begin + _TILL_WEEKS:
            continue
        if mark.kind in ("time", "foot", "finding", "work", "measure"):
            return None
        if mark.number is None:
            continue
        return mark if _as_weeks(line, mark) else None
    return None


def _as_weeks(line: Line, mark: Mark) -> bool:
    """Whether a number stands as weeks do: whole, alone, with nothing behind it."""
    number, after = mark.number, line.norm(mark.end)
    whole = number.unit is None and number.value % 1 == 0 and 1 <= number.value <= _MOST_WEEKS
    led = line.norm(mark.start - 1) in _LEADS or line.break_at(mark.start - 1)
    closes = line.break_at(mark.end) or mark.end >= len(line.words) or after in _FROM_NOW
    return bool(whole and closes and (led or mark.end >= len(line.words)))


def said_wrongly(line: Line, mark: Mark, new: Mark) -> bool:
    """ "I have said front right seventy nine, it's eighty nine": a number that I said."""
    old = next((m for m in reversed(line.marks) if m.end <= mark.start and m.number), None)
    if old is None or new.number is None or mark.start - old.end > 2:
        return False
    if not about_as_large(old.number, new.number) or old.number.value == new.number.value:
        return False
    begin = max(line.sentence_begin(old.start), old.start - _BACK)
    return any(line.norm(i) in _SAID and _mine(line, i) for i in range(begin, old.start))


def _mine(line: Line, at: int) -> bool:
    """ "I said", "I have said", "I've put"; "she said" is another's word."""
    led = (line.norm(at - 1), line.norm(at - 2))
    return led[0] in ("i", "i've", "i'd") or (led[0] in ("have", "had", "'ve") and led[1] == "i")


def restated(line: Line, mark: Mark) -> list[Mark]:
    """The feet and numbers of "right is the quarter and left is the three eighths"; else none."""
    said: list[Mark] = []
    at = mark.end
    for new in line.marks:
        amount = new.number is not None or line.norm(new.end - 1) in _PARTS
        small = new.kind == "role" or ("gist" in new.tags and not amount)
        if new.start < mark.end or small:
            continue
        wanted = "number" if len(said) % 2 else "foot"
        told = amount if wanted == "number" else new.kind == wanted
        if not told or {line.norm(i) for i in range(at, new.start)} - _IS - {""}:
            break
        said.append(new)
        at = new.end
    whole = said[: len(said) // 2 * 2]
    return whole if len(whole) >= 4 else []
