"""Measures of the whole horse: hands, girth in hundreds, weight."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import Unit, in_hands
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import Value
from fieldlog.language.values.making import value_of
from fieldlog.language.words.marks import Mark

_ROUGHLY = frozenset({"about", "around", "maybe", "only", "just", "a", "good", "nearly", "roughly",
                      "over", "under", "up", "to", "down", "at", "now", "probably", "easily",
                      "close", "still", "not", "quite", "well"})  # fmt: skip
_SCALES = frozenset({"tape", "tapes", "taped", "scales", "scale", "weighbridge", "weigh"})
_HORSE = frozenset({"he", "she", "it", "horse", "mare", "pony", "gelding"})


def _heavy(after: Mark | None) -> bool:
    unit = after.number.unit if after is not None and after.number is not None else None
    return unit in (Unit.LB, Unit.KG)


def _inches_of_a_hand(mark: Mark) -> bool:
    span = mark.number
    return bool(span.value in (1, 2, 3) or (span.form == "fraction" and 0 < span.value < 4))


_ROUND = ("coronet", "coronet_circumference")


def _may_be_hundreds(mark: Mark, after: Mark) -> bool:
    """ "Five fifty": a small number and two digits right behind it."""
    return (
        after.kind == "number"
        and after.start == mark.end
        and mark.value.unit is None
        and 1 <= mark.value.value <= 19
        and 10 <= after.value.value <= 99
    )


_OVER_A_HUNDRED = ("girth", "body_length", "neck", "weight", "hoof_width", "hoof_length")


def read_hundreds(note: Around, at: int, mark: Mark) -> None:
    """ "Girth one eighty": a hundred and eighty, for measures of the horse."""
    span = mark.value
    after = note.line.marks[at + 1] if at + 1 < len(note.line.marks) else None
    if after is not None and _may_be_hundreds(mark, after) and _cued_weight(note, at, mark):
        _join_hundreds(note, mark, after)
        return
    word = note.line.norm(mark.start - 1)
    if word not in ("one", "two") or not 10 <= span.value <= 99 or span.unit is Unit.DEGREE:
        return
    if _of_some_length(note, at, mark, word) or _over_hundred(note, at, mark):
        hundreds = 100 if word == "one" else 200
        mark.value = mark.number = replace(
            span, value=span.value + hundreds, spoken=f"{word} {span.spoken}"
        )


def _cued_weight(note: Around, at: int, mark: Mark) -> bool:
    """ "Weight five fifty", "five fifty kilos", "three forty behind it"."""
    marks = note.line.marks
    after = marks[at + 1]
    lately = [m for m in marks[:at] if m.kind == "value"][-1:]
    if any(m.code == "weight" for m in note.previous(at)[:2]) or _heavy(after):
        return True
    if any(m.code == "weight" and 0 <= m.start - after.end <= 3 for m in marks):
        return True
    if any(m.code == "weight" and mark.start - m.end <= 8 for m in lately):
        return True
    if mark.value.value not in (3, 4):
        return False
    return any(m.code in _ROUND for m in (*note.previous(at)[:3], *lately))


def _join_hundreds(note: Around, mark: Mark, after: Mark) -> None:
    """ "Five fifty": one number of two."""
    span = mark.value
    mark.value = mark.number = replace(
        span,
        value=span.value * 100 + after.value.value,
        unit=after.value.unit,
        spoken=f"{span.spoken} {after.value.spoken}",
    )
    mark.end = after.end
    after.kind, after.code = "count", "rest"
    if cue_behind := note.said_first.get(id(after)):
        note.said_first[id(mark)] = cue_behind  # "five fifty on the weigh tape"


def _of_some_length(note: Around, at: int, mark: Mark, word: str) -> bool:
    """ "Girth one eighty", "near fore one forty six wide", "toe one fifty-five"."""
    earlier = [m for m in note.previous(at)[:3] if m.kind != "count"]
    behind = [m for m in note.line.marks if 0 <= m.start - mark.end <= 2]
    if any(m.code in _OVER_A_HUNDRED for m in (*earlier, *behind)):
        return True
    if note.line.norm(mark.end) in ("wide", "long", "across"):
        return True
    # A toe that long is overgrown, and is written down for that.
    toe = note.line.norm(mark.start - 2) in ("toe", "toes") and word == "one"
    return bool(toe and mark.value.value < 80)


def _over_hundred(note: Around, at: int, mark: Mark) -> bool:
    """ "A hundred and thirty wide, one forty long"."""
    last = next((m for m in reversed(note.line.marks[:at]) if m.kind == "value"), None)
    if last is None or mark.start - last.end > 14:
        return False
    return bool(100 <= last.value.quantity.value < 300)


def hands(note: Around, at: int, mark: Mark) -> Value | None:
    """ "Stands fifteen two": hands and inches (four inches to the hand)."""
    span, marks = mark.value, note.line.marks
    earlier = note.previous(at)[:1]
    following = marks[at + 1] if at + 1 < len(marks) else None
    if (
        span.unit is not Unit.HAND
        and not (earlier and earlier[0].kind == "measure" and earlier[0].code == "height")
        and not _bare_hands(note, mark, following)
    ):
        return None
    if span.unit not in (None, Unit.HAND) or not 8 <= span.value <= 19:
        return None
    extra = 0.0
    if (
        following is not None
        and following.kind == "number"
        and following.start == mark.end
        and following.number.unit in (None, Unit.HAND)
        and _inches_of_a_hand(following)
    ):
        extra = following.number.value / 4
        mark.end = following.end
        following.kind, following.code = "count", "inches"
    found = value_of(note, "height", mark, "measure:hands", Unit.HAND)
    found.quantity = replace(found.quantity, value=in_hands(span.value) + extra)
    return found


def _bare_hands(note: Around, mark: Mark, following: Mark | None) -> bool:
    """ "She's fifteen two": said of the horse, with nothing else a pair like it could be."""
    line = note.line
    back = mark.start - 1
    while line.norm(back) in _ROUGHLY:
        back -= 1
    verb, subject = line.norm(back), line.norm(back - 1)
    return (
        mark.number.unit is None
        and mark.number.form == "plain"
        and 10 <= mark.number.value <= 18
        and following is not None
        and following.kind == "number"
        and following.start == mark.end
        and following.number.unit is None
        and _inches_of_a_hand(following)
        and (
            (verb in ("'s", "is", "be", "was", "makes") and (subject in _HORSE or subject == "'ll"))
            or _among_horses(note, mark, following)
        )
        and (
            line.break_at(following.end)
            or line.norm(following.end) in ("and", "or", "if")
            or _among_horses(note, mark, following)
        )
    )


def _among_horses(note: Around, mark: Mark, following: Mark) -> bool:
    """ "Seven fifty on the tape, thirteen one, girth sixty-five": beside a measure of it."""
    return any(
        (m.kind == "value" and m.code in ("weight", "girth") and 0 <= mark.start - m.end <= 4)
        or (m.code in ("weight", "girth") and 0 <= m.start - following.end <= 8)
        for m in note.line.marks
    )


def of_the_horse(note: Around, mark: Mark) -> bool:
    """ "He's about eleven hundred pounds": the number tells of the horse itself."""
    line, back = note.line, mark.start - 1
    if mark.number.unit is Unit.LB and mark.number.value >= 500:
        return True
    while line.norm(back) in _ROUGHLY:
        back -= 1
    near = (*range(back - 7, back), *range(mark.end, mark.end + 4))
    if {line.norm(i) for i in near} & _SCALES:
        return True
    if line.norm(back) in ("goes", "makes", "runs", "reads", "read", "said", "says"):
        return True
    return line.norm(back - 1) in _HORSE and line.norm(back) in (
        "'s",
        "is",
        "was",
        "'d",
        "be",
        "has",
    )
