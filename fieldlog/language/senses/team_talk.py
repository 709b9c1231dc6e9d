"""Talk of whole teams: "four off, four on", "pulled four, trimmed four": jobs of all four feet.

The number is no amount there: it counts the feet, or the shoes.
"""

from __future__ import annotations

from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import ALL_FOUR, Mark, in_order
from fieldlog.language.words.units_said import Line

_FOUR = frozenset({"four", "4"})
_VERBS = frozenset({"pulled", "pull", "trimmed", "trim", "shod", "shoe", "reset", "plated",
                    "nailed", "rasped"})  # fmt: skip
_GOES_ON = frozenset({"", "and", "then", "new", "hot", "cold", "so", "no", "with", "put",
                      "shod", "trimmed", "reset", "back", "today"})  # fmt: skip
_ON_AND_OFF = ("off", "on")
_FAR = 8
"""Words before "four off" among which another number makes it a value: "six near, four off"."""


def with_team_talk(line: Line) -> list[Mark]:
    """The marks of a line with the fours that count feet or shoes made what they mean."""
    fours = [m for m in line.marks if m.kind == "number" and _is_four(line, m)]
    gone: set[int] = set()
    made: list[Mark] = []
    for four in fours:
        if any(_over(four, mark) for mark in made):
            continue
        if (both := _off_then_on(line, four)) is not None:
            made += both
            gone.add(id(four))
        elif line.norm(four.start - 1) in _VERBS and _closes(line, four.end):
            made.append(Mark("foot", ALL_FOUR, four.start, four.end, tags={"looks_back"}))
            gone.add(id(four))
        elif (job := _off_or_on(line, four, made)) is not None:
            made.append(job)
            gone.add(id(four))
    if not made:
        return list(line.marks)
    kept = [m for m in line.marks if id(m) not in gone and not any(_over(m, n) for n in made)]
    return in_order([*kept, *made])


def _is_four(line: Line, number: Mark) -> bool:
    return number.size == 1 and _four_at(line, number.start)


def _four_at(line: Line, at: int) -> bool:
    """Behind "off" a four is mended to a fore, which it is nowhere here."""
    return line.norm(at) in _FOUR or (line.norm(at) == "fore" and line.words[at].mended)


def _off_then_on(line: Line, four: Mark) -> list[Mark] | None:
    """ "Four off four on", where no comma parts them."""
    at = four.end
    if line.norm(at) != "off" or not _four_at(line, at + 1) or line.norm(at + 2) != "on":
        return None
    return [_all_four("pull", four.start, at + 1), _all_four("shoe", at + 1, at + 3)]


def _all_four(code: str, begin: int, end: int) -> Mark:
    """A job of all four that these words tell plainly."""
    mark = Mark("work", code, begin, end, find_item(code, "work"))
    mark.tags |= {"plain", f"feet:{ALL_FOUR}"}
    return mark


def _over(mark: Mark, other: Mark) -> bool:
    return mark.start < other.end and other.start < mark.end


def _closes(line: Line, at: int) -> bool:
    return line.break_at(at) or line.norm(at) in _GOES_ON


def _off_or_on(line: Line, four: Mark, made: list[Mark]) -> Mark | None:
    """ "Four off, four on": the shoes that were pulled, and those that were put on."""
    word = line.norm(four.end)
    if word not in _ON_AND_OFF:
        return None
    begin, end = four.start, four.end + 1
    code = "pull" if word == "off" else "shoe"
    led = bool(made) and made[-1].code == "pull" and begin - made[-1].end <= 2
    if not led and (line.norm(begin - 1) in _TAKES or _counted_before(line, begin)):
        return None
    if code == "shoe" and not led:
        return None  # "reset on Boss, four on": how many, of what was just told
    if not _closes(line, end):
        return None
    ahead = line.norm(end + line.break_at(end))
    if not led and not line.break_at(begin - 1) and ahead not in ("four", "new", "and", "all"):
        return None
    return _all_four(code, begin, end)


def _counted_before(line: Line, begin: int) -> bool:
    """ "Six on the near, four off": one more of a list of values."""
    return any(m.kind == "number" and 0 < begin - m.end <= _FAR for m in line.marks)


_TAKES = frozenset({"took", "take", "taking", "taken", "cut", "nipped", "rasped", "knocked", "and",
                    "another", "the", "about", "of", "is", "'s", "was", "at", "had", "got",
                    "maybe", "only", "just"})  # fmt: skip
"""Words before "four off" by which so much is taken off, or it is of one thing only."""
