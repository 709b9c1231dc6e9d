"""What is said of one more foot by a short word only: "left hind does", "off one's tight".

"Thrush left front, left hind does": the same thing, so the foot gets a head ``change:same``.
"Shoe's loose on the off, near never had it": it gets ``change:denied``. The ways of saying so stand
in ``data/mates.toml``.
"""

from __future__ import annotations

from functools import cache

from fieldlog.core.facts import Severity
from fieldlog.language.lexicon import read_data
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.matcher import Matcher
from fieldlog.language.words.units_said import HEADS, Line

_WAYS = ("none", "same", "story", "less", "mild", "smaller", "larger")
_GOES_ON = frozenset({"and", "but", "though", "so", "either", "yet", "at", "on", "in", "too",
                      "just", "like", "only", "that", "which", "from", "down", "there", "as",
                      "except", "with", "bar", "now", "today"})  # fmt: skip
_CLOSES = frozenset({"and", "but", "though", "so", "either", "yet"})
_MORE_THAN_BEFORE = frozenset({"worse", "better", "bigger", "longer", "wider", "deeper"})
_SILENT = frozenset({"normal", "better_shape", "change", "sound", "tester_negative"})


@cache
def _ways() -> Matcher:
    matcher, data = Matcher(), read_data("mates")
    for key, way in enumerate(_WAYS):
        for form in data[way]:
            matcher.add(form, key)
    return matcher


@cache
def good_words() -> tuple[Matcher, tuple[tuple[str, ...], ...]]:
    """How a foot is that denies something of its mate, and the findings that each row denies."""
    matcher, rows = Matcher(), read_data("mates")["well"]
    for key, row in enumerate(rows):
        for form in row["forms"]:
            matcher.add(form, key)
    return matcher, tuple(tuple(row["codes"]) for row in rows)


def told_of_mates(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with heads for feet of which only such a word is said."""
    hits: dict[int, list[tuple[int, str]]] = {}
    for hit in _ways().find([w.norm for w in line.words]):
        hits.setdefault(hit.start, []).append((hit.end, _WAYS[hit.key]))
    out: list[Mark] = []
    for mark in marks:
        out.append(mark)
        if mark.kind != "foot" or "compared" in mark.tags:
            continue
        begin = mark.end + (line.norm(mark.end) == ",")
        begin += line.norm(begin) in ("he", "she", "it")
        found = [
            (end, way) for end, way in hits.get(begin, ()) if _ends(line, marks, begin, end, way)
        ]
        if found:
            head = _head(marks, mark, begin, *max(found))
            out += [head] if head is not None else []
    heads = {i for m in out if m.kind == "change" for i in m.covers()}
    out = [m for m in out if m.kind == "change" or not m.touches(heads)]
    return in_order(out)


def _head(marks: list[Mark], foot: Mark, begin: int, end: int, way: str) -> Mark | None:
    told = [m for m in marks if m.kind in HEADS and m.end <= foot.start]
    found = [m for m in told if m.kind == "finding" and m.code not in _SILENT]
    if not (told if way == "story" else found):
        return None
    if way == "none":
        return Mark("change", "denied", begin, end)
    if way == "story":
        return Mark("change", "same", begin, end, tags={"story"})
    value = Severity.MILD if way == "mild" else None
    tags = {"does", "less"} if way in ("less", "mild") else {"does"}
    tags |= {f"than:{way}"} if way in ("smaller", "larger") else set()
    return Mark("change", "same", begin, end, value=value, tags=tags)


def _than_it_was(line: Line, at: int) -> bool:
    """ "Near hind not as bad | as it was", "as last time": than before, not than its mate."""
    if line.norm(at) != "as":
        return False
    return line.norm(at + 1) in ("it", "he", "she", "they", "last", "before", "in")


def _ends(line: Line, marks: list[Mark], begin: int, at: int, way: str) -> bool:
    """Whether nothing follows that the words would only lead to: "never had | a shoe"."""
    if line.break_at(at) or any(m.kind == "foot" and m.start == at for m in marks):
        return True
    if way != "none":
        return line.norm(at) in _GOES_ON and not _than_it_was(line, at)
    if at - begin < 2 or line.norm(begin) in ("none", "never"):
        return line.norm(at) in _CLOSES
    ahead = any(m.kind in HEADS and 0 <= m.start - at <= 2 for m in marks)
    return not ahead and line.norm(at) not in _MORE_THAN_BEFORE
