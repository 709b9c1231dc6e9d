"""Numbers of a change: by how much, what it was, and what it was brought to."""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import (
    PLACE_KINDS,
    Value,
    dimension_of,
    fits,
    horn,
    likely_units,
)
from fieldlog.language.values.making import size_of, value_of
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_WORKED = {"set_back_toe": "toe", "shorten_toe": "toe", "trim": "toe", "roll_toe": "toe",
           "lower_heel": "heel", "raise_heel": "heel"}  # fmt: skip


def is_difference(note: Around, mark: Mark) -> bool:
    """ "Down two inches from last time", "gained two degrees since": no value but a change."""
    line = note.line
    before, after = line.norm(mark.start - 1), line.norm(mark.end)
    if after in ("apart", "difference", "different", "uneven"):
        return True
    said = line.norm(mark.start - 2) in ("'s", "is", "are", "he's")
    if before in ("up", "down") and said and mark.number.unit is not None:
        # "that's up three centimetres"
        lately = [m for m in line.marks if m.kind == "value" and m.end <= mark.start][-1:]
        if lately and mark.value.value < 0.3 * lately[0].value.quantity.value:
            return True
    if before in ("gained", "lost", "grew", "grown") and after in ("in", "since", "over"):
        return True
    higher = {"up": "larger", "more": "larger", "down": "smaller", "less": "smaller"}.get(after)
    against = line.norm(mark.end + 1) in ("on", "from", "than", "since")
    old = line.norm(mark.end + 2) in ("last", "before", "what", "when", "then")
    if higher and against and old:
        # "three degrees up on last time": the value before it has grown
        for other in line.marks:
            if other.start == mark.end and other.kind == "role":
                other.code = higher
        return True
    then = line.norm(mark.end + 1) in ("last", "before", "what", "when", "then")
    moved = before in ("up", "down", "gained", "lost", "grew", "grown")
    return moved and (after == "since" or (after in ("from", "on", "over") and then))


def was_before(note: Around, at: int, mark: Mark) -> str:
    """ "Tape says seven hundred. She was six forty in October": what was measured before."""
    before, now = note.line.norm(mark.start - 1), note.line.norm(mark.end) in ("now", "today")
    had = before == "at" and note.line.norm(mark.start - 3) in ("had", "has", "put")
    here = now and before in ("'s", "is", "at", "are")
    straight = any(m.kind == "value" and m.end == mark.start - 1 for m in note.line.marks)
    down = before == "from" and (straight or note.line.norm(mark.start - 2) in ("down", "up"))
    then = before == "to" and note.line.norm(mark.start - 2) in (
        "down",
        "up",
        "back",
        "in",
        "out",
    )
    got = note.line.norm(mark.start - 2) in ("it", "them", "him", "her", "that")
    brought = note.line.norm(mark.start - 3) in ("got", "took", "brought", "get", "have")
    then = then or (before == "to" and got and brought)
    if before not in ("was", "were") and not here and not had and not down and not then:
        return ""
    earlier = [m for m in note.line.marks[:at] if m.kind == "value"]
    if not earlier or mark.start - earlier[-1].end > (20 if had else 12 if then else 8):
        return ""
    last, near = earlier[-1], earlier[-1].value.quantity
    ratio = mark.value.value / max(near.value, 0.01)
    like = 0.6 <= ratio <= 1.6 or (down and straight and 0.3 <= ratio <= 3.3)
    like = like or (here and last.code in ("depth", "remaining") and 0.1 <= ratio <= 10)
    if had and last.code == "weight":
        return "weight" if like else ""
    apart = any(m.kind in HEADS or m.kind == "foot" for m in note.line.marks
                if last.end <= m.start < mark.start and m.kind != "value")  # fmt: skip
    return last.code if like and not apart else ""


def worked_to(note: Around, mark: Mark, job: Mark) -> Value | None:
    """ "Brought them back to three and a half": how long the toe is now, not what came off."""
    region = _WORKED.get(job.code)
    before = note.line.norm(mark.start - 1)
    ended = note.line.norm(mark.start - 2) in ("finished", "ended", "up", "out", "left", "sits")
    if region is None or not (before == "to" or (before == "at" and (ended or mark.value.unit))):
        return None
    kinds = PLACE_KINDS[region]
    last = next((m for m in reversed(note.line.marks) if m.end <= mark.start
                 and m.kind == "value"), None)  # fmt: skip
    if last is not None and mark.start - last.end <= 10 and alike(mark, last):
        return value_of(note, last.code, mark, "measure:worked_to", last.value.quantity.unit)
    for kind in (kinds[Dimension.ANGLE], kinds[Dimension.LENGTH]):
        unit = mark.value.unit
        if unit is Unit.DEGREE and dimension_of(kind) is not Dimension.ANGLE:
            continue
        for one in [unit] if unit is not None else likely_units(kind, mark.value.value):
            if fits(kind, mark.value.value, one):
                return value_of(note, kind, mark, "measure:worked_to", one)
    return None


def alike(mark: Mark, other: Mark) -> bool:
    """Whether two numbers are of one size, and of one unit as far as units were said."""
    near = other.value.quantity
    unit = mark.value.unit
    return unit in (None, near.unit) and 0.6 <= mark.value.value / max(near.value, 0.01) <= 1.6


def trimmed_off(note: Around, at: int, mark: Mark) -> bool:
    """ "A quarter inch of heel" is what was taken off; "three inches of toe" is its length."""
    line, span = note.line, mark.value
    following = note.next(at, most=3)
    if following is not None and following.kind == "foot":
        behind = note.line.marks.index(following)
        following = note.next(behind, most=1) or following
        if note.line.norm(following.end - 1) in ("toes", "heels") and following.kind == "foot":
            return _off_pair(note, mark, following)
    length = span.unit is None or UNITS[span.unit].dimension is Dimension.LENGTH
    told = [m for m in note.line.marks[max(0, at - 6) : at] if m.kind in (*HEADS, "foot")]
    last = told[-1] if told else None
    took = last is not None and last.kind == "work" and last.code in _WORKED
    ties = ("of", "off", "at", "from") if took else ("of", "off")
    small = span.value <= 1.25 if span.unit in (None, Unit.INCH) else span.value <= 30
    if (
        following is None
        or following.kind != "place"
        or following.code not in ("toe", "heel")
        or (line.norm(mark.end) not in ties and line.norm(mark.end - 1) != "of")
        or not (length and small)
    ):
        return False
    code = "shorten_toe" if following.code == "toe" else "lower_heel"
    mark.value = size_of(mark, "amount", "size:of")
    mark.kind, mark.code, mark.item = "work", code, find_item(code, "work")
    return True


def _off_pair(note: Around, mark: Mark, feet: Mark) -> bool:
    """ "Five eighths off the front toes": the pair's own words name the place."""
    if note.line.norm(mark.end) != "off":
        return False
    code = "shorten_toe" if note.line.norm(feet.end - 1) == "toes" else "lower_heel"
    mark.value = size_of(mark, "amount", "size:of")
    mark.kind, mark.code, mark.item = "work", code, find_item(code, "work")
    return True


def each_off(note: Around, at: int, mark: Mark) -> bool:
    """ "Toes a bit long both fronts, ten off each": that much toe came off."""
    line, span = note.line, mark.value
    behind = line.norm(mark.end + 1)
    if line.norm(mark.end) != "off" or behind not in ("each", "both", "them", "all", "the"):
        return False
    if any(m.gap and m.gap[0] <= mark.start < m.gap[1] for m in line.marks):
        return False
    if any(m.kind == "foot" and 0 <= m.start - mark.end - 2 <= 1 for m in line.marks):
        return False  # "off each in front": of those feet, wherever it came off
    amount = span.unit is None and 2 <= span.value <= 25 and float(span.value).is_integer()
    sized = span.form == "fraction" or (span.unit is not None and horn(span) <= 30)
    toes = ("toe", "toe_length", "long_toe", "overgrown")
    held = next((m for m in reversed(line.marks[:at]) if m.code in (*toes, "heel")), None)
    if behind == "the" or held is None or mark.start - held.end > 16 or not (amount or sized):
        return False
    code = "shorten_toe" if held.code in toes else "lower_heel"
    mark.value = size_of(mark, "amount", "size:off")
    mark.tags.add("each")
    mark.kind, mark.code, mark.item = "work", code, find_item(code, "work")
    return True
