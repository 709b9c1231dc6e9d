"""A foot set against the one before it: "the near one's clear", "the off isn't", "not thin".

Behind a finding on one foot such words deny it on another. Each gets a head of its own,
``change:denied``; the note reader copies the finding from the foot where it is.
"""

from __future__ import annotations

from fieldlog.language.ellipsis.mate_words import good_words
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import HEADS, Line

_IS = frozenset({"'s", "is", "are", "'re", "was", "were", "looks", "all", "nice", "and", "both",
                 "back", "to", "down"})  # fmt: skip
_LOOKS = _IS | {"tapped", "sounds", "feels", ",", "stays", "goes", "tracks", "swings", "travels",
                "comes", "points", "still", "stayed", "good", "pretty", "stands",
                "quite"}  # fmt: skip
_CLEAN = frozenset({"clean", "clear"})
ISNT = frozenset({"isn't", "aren't", "wasn't", "weren't", "ain't", "not"})
_SIDES = {"near": "left", "off": "right"}
_NO_MATE = frozenset({"normal", "sound", "tester_negative", "pulse_normal", "better_shape",
                      "change", "not_examined", "shoe_lost"})  # fmt: skip
_PULSES = frozenset({"digital_pulse", "bounding_pulse"})
_CLOSES = frozenset({"", "and", "but", "so", "i", "no", "though", "too", "he", "she", "as"})


def deny_mates(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks, with a head for each foot that is clear of what was found on another."""
    out = _bare_sides(line, marks)
    for foot in [m for m in out if m.kind == "foot" and not m.tags & {"compared"}]:
        words = _same_word(line, out, foot)
        codes: tuple[str, ...] = ()
        found = _found_before(out, foot)
        if found is not None:
            words = words or _clear_of_it(line, foot, found) or _not_so(line, foot)
            words = words or _nothing_there(line, foot)
        if words is None:
            words, codes = _well(line, out, foot)
        over = _over_with(line, out, foot)
        words = over or words
        if words is None or _tells_more(line, out, words[1]):
            continue
        taken = set(range(*words))
        out = [m for m in out if not m.touches(taken) or m.kind == "foot"]
        out.append(Mark("change", "denied", *words, value=codes))
        out[-1].tags |= {"gone"} if over else set()
    return in_order(out)


def _bare_sides(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Near fore is lame, the off isn't": a side that names the mate of the foot before."""
    out = list(marks)
    for at, word in enumerate(line.words):
        if word.norm not in _SIDES or any(m.holds(at) for m in marks):
            continue
        denied = line.norm(at + 1) in ("isn't", "wasn't", "ain't", "doesn't", "hasn't")
        denied = denied or (line.norm(at + 1) == "not" and line.break_at(at + 2))
        before = [m for m in marks if m.kind == "foot" and m.end <= at]
        than = "than" in (line.norm(at - 1), line.norm(at - 2)) and line.norm(at - 1) in (
            "than", "the",
        )  # fmt: skip
        if than and before and line.norm(at + 1) not in ("side", "sides"):
            out.append(Mark("foot", _SIDES[word.norm], at, at + 1))
            continue
        led = line.norm(at - 1) in ("the", "but", "and") or line.norm(at + 1) == "not"
        if denied and led and before:
            out.append(Mark("foot", _SIDES[word.norm], at, at + 1))
    return in_order(out)


def _found_before(marks: list[Mark], foot: Mark) -> Mark | None:
    """The finding on another foot that stands last before this foot, if it is no denied one."""
    heads = [m for m in marks if m.end <= foot.start and m.kind in HEADS and m.kind != "value"]
    if not heads or heads[-1].kind != "finding" or heads[-1].code in _NO_MATE:
        return None
    found = heads[-1]
    if foot.start - found.end > 14:
        return None
    if _denied(marks, found, foot):
        return None
    feet = [m for m in marks if m.kind == "foot" and m.end <= foot.start]
    return found if feet and feet[-1].code != foot.code else None


def _clear_of_it(line: Line, foot: Mark, found: Mark) -> tuple[int, int] | None:
    """ "The near one's clear"; of a pulse also "the other one's normal"."""
    at = foot.end
    while line.norm(at) in _IS:
        at += 1
    clean = line.norm(at) in _CLEAN or (line.norm(at) == "normal" and found.code in _PULSES)
    copula = any(line.norm(i) in ("'s", "is", "are", "'re") for i in range(foot.end, at))
    closes = line.break_at(at + 1) or line.norm(at + 1) in _CLOSES
    listed = line.norm(foot.start - 1) == "and"  # "left has thrush and right is clean"
    return (at, at + 1) if clean and copula and closes and not listed else None


def _well(
    line: Line, marks: list[Mark], foot: Mark
) -> tuple[tuple[int, int] | None, tuple[str, ...]]:
    """ "Left front toed in, right front straight".

    Returns:
        The words, and which findings they deny.
    """
    at = begin = foot.end + line.break_at(foot.end)
    while line.norm(at) in _LOOKS:
        at += 1
    matcher, rows = good_words()
    hits = [h for h in matcher.find([w.norm for w in line.words[at : at + 5]]) if not h.start]
    end = at + max((h.end for h in hits), default=0)
    codes = {code for h in hits if at + h.end == end for code in rows[h.key]}
    end += line.norm(end) == "enough"
    if not codes or not (line.break_at(end) or line.norm(end) in _CLOSES - {"as"}):
        return None, ()
    for found in reversed([m for m in marks if m.kind == "finding" and m.end <= foot.start]):
        if foot.start - found.end <= 30 and found.code in codes and not _denied(marks, found, foot):
            near = min(found.end + 4, foot.start)
            feet = [m for m in marks if m.kind == "foot" and m.start < near]
            own = not feet or feet[-1].code == foot.code
            return (None, ()) if own else ((begin, end), tuple(codes))
    return None, ()


def _over_with(line: Line, marks: list[Mark], foot: Mark) -> tuple[int, int] | None:
    """ "The right one had it too and it's gone": what was found before was there as well."""
    at = foot.end
    what = line.norm(at + 1) in ("it", "one", "that", "some")
    if line.norm(at) not in ("had", "has") or not what:
        return None
    for end in range(at + 2, min(at + 14, len(line.words))):
        if any(m.kind in ("finding", "work", "foot") and m.holds(end) for m in marks):
            return None
        if line.norm(end) in ("gone", "closed", "healed", "cleared"):
            return (at, end + 1 + (line.norm(end + 1) in ("over", "up", "now")))
    return None


def _denied(marks: list[Mark], found: Mark, foot: Mark) -> bool:
    said = [m for m in marks if m.code in ("negation", "negation_after") and m.start < foot.start]
    return any(-1 <= found.start - m.end <= 3 or 0 <= m.start - found.end <= 2 for m in said)


def _same_word(line: Line, marks: list[Mark], foot: Mark) -> tuple[int, int] | None:
    """ "Soles are thin on the fronts, hinds aren't thin": the same word denied of other feet."""
    at = _isnt(line, foot)
    if at is None:
        return None
    word = line.norm(at + 1)
    said = any(
        m.kind == "finding" and m.end <= foot.start and foot.start - m.end <= 25 and m.size > 1
        and word in {line.norm(i) for i in m.covers()}
        for m in marks
    )  # fmt: skip
    small = word in ("the", "a", "in", "on", "is", "are", "of", "", ",", ".")
    return (at, at + 2) if said and not small else None


def _not_so(line: Line, foot: Mark) -> tuple[int, int] | None:
    """ "Near fore is lame, the off isn't"."""
    at = _isnt(line, foot)
    if at is None:
        return None
    closes = line.break_at(at + 1) or line.norm(at + 1) in _CLOSES - {"so", "as", "too", "no"}
    return (at, at + 1) if closes else None


def _nothing_there(line: Line, foot: Mark) -> tuple[int, int] | None:
    """ "Near fore flinched at the testers, off fore I got nothing"."""
    at = foot.end
    while line.norm(at) in ("'s", "has", "had", "got", "i", "have", ","):
        at += 1
    none = line.norm(at) in ("nothing", "none")
    end = at + 1 + (line.norm(at + 1) == "anywhere")
    if line.norm(at) in ("no", "not") and "sign" in (line.norm(at + 1), line.norm(at + 2)):
        none, end = True, at + 4 + (line.norm(at + 1) == "a")  # "not a sign of it"
    ends = line.break_at(end) or not line.norm(end)
    return (at, end) if none and ends else None


def _isnt(line: Line, foot: Mark) -> int | None:
    at = foot.end
    if line.norm(at) in ("'s", "is", "are") and line.norm(at + 1) == "not":
        at += 1
    return at if line.norm(at) in ISNT else None


def _tells_more(line: Line, marks: list[Mark], end: int) -> bool:
    """ "The left's clean, no thrush": it goes on to say of what, so it is a good word."""
    at = end
    while at < len(line.words) and (line.break_at(at) or line.norm(at) == "and"):
        if line.words[at].sort == "stop":
            return False
        at += 1
    return any(m.start == at and m.code == "negation" for m in marks) and at < len(line.words)
