"""Numbers without a cue: what the turn before, a heading or a comparison says of them."""

from __future__ import annotations

from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import fits, likely_units
from fieldlog.language.values.neighbours import pair_before
from fieldlog.language.values.order import is_cue
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_NUMBERED = frozenset({"number", "page", "list", "lot", "stall", "box", "road", "route", "channel"})
_COINS = frozenset({"money", "dollars", "dollar", "bucks", "quid", "euro", "euros", "pence",
                    "cents", "grand"})  # fmt: skip
_BY_WORD = {"wider": "hoof_width", "narrower": "hoof_width", "steeper": "toe_angle",
            "upright": "toe_angle", "shallower": "toe_angle", "longer": "toe_length",
            "shorter": "toe_length"}  # fmt: skip


def in_series(note: Around, mark: Mark) -> str:
    """The kind that stood in the same turn for the foot before, or nothing.

    "Left front fifty-two, toe three and a quarter. Right front fifty-three, three and an
    eighth": what has no cue follows the order of the first foot.
    """
    groups: list[list[Mark]] = [[]]
    for other in note.line.marks:
        if other.start >= mark.start:
            break
        if other.kind == "foot" and "compared" not in other.tags and groups[-1]:
            if not (len(groups) == 1 and _named_late(note, other, groups[-1])):
                groups.append([])
        elif other.kind == "value":
            groups[-1].append(other)
    if len(groups) < 2 or len(groups[-1]) >= len(groups[-2]):
        return ""
    turn = groups[-2][len(groups[-1])]
    if any(a.code != b.code for a, b in zip(groups[-1], groups[-2], strict=False)):
        return ""
    near, span = turn.value.quantity, mark.value
    unit = span.unit or near.unit
    same = UNITS[unit].dimension is UNITS[near.unit].dimension
    ratio = span.value / max(near.value, 0.01)
    sided = any(m.kind == "foot" and 0 <= m.start - mark.end <= 2 for m in note.line.marks)
    small = turn.code in ("sole_depth", "depth", "palmar_angle", "remaining")
    wide = sided or small or (span.unit is not None and span.unit is near.unit)
    likely = 0.35 <= ratio <= 2.8 if wide else 0.7 <= ratio <= 1.4
    return turn.code if same and likely and turn.value.rule != "measure:hands" else ""


def _named_late(note: Around, foot: Mark, values: list[Mark]) -> bool:
    """ "Fifty-two on the left front, toe three and a quarter": still the same foot's turn."""
    if len(values) != 1 or foot.start - values[0].end > 2:
        return False
    after = next((m for m in note.line.marks if m.start >= foot.end and m.kind != "role"), None)
    return after is not None and is_cue(after) and after.start - foot.end <= 1


def is_like(mark: Mark, other: Mark) -> bool:
    """Whether two numbers are of one kind: "fourteen mil left, sixteen mil right"."""
    span, near = mark.value, other.value.quantity
    unit = span.unit or near.unit
    return (
        other.value.rule.startswith("measure")
        and other.value.sure
        and mark.start - other.end <= 5
        and UNITS[unit].dimension is UNITS[near.unit].dimension
        and 0.7 <= span.value / max(near.value, 0.01) <= 1.4
    )


def of_the_toe(mark: Mark, heel: Mark) -> bool:
    """ "Heel one and a half, fifty-two degrees": the heel has its length, the foot an angle."""
    near, span = heel.value.quantity, mark.value
    steep = span.unit is Unit.DEGREE or (
        span.unit is None and near.unit in (Unit.INCH, Unit.CM) and 40 <= span.value <= 65
    )
    return bool(steep) and UNITS[near.unit].dimension is Dimension.LENGTH


def told_between(note: Around, cue: Mark, mark: Mark) -> bool:
    """Whether something else is told between a cue and its number."""
    return any(
        m.kind in (*HEADS, "place", "measure", "number")
        for m in note.line.marks
        if cue.end <= m.start < mark.start
    )


def per_foot(mark: Mark) -> bool:
    item = find_item(mark.code, "measure")
    return item is None or item.per == "foot"


def pair_said(note: Around, mark: Mark) -> bool:
    """ "Fifty-two and fifty-two." after both feet of a pair, alone in its sentence."""
    others = [m for m in note.line.marks if note.same_sentence(m, mark) and m.kind != "role"]
    if len(others) != 2 or any(m.number is None for m in others):
        return False
    between = range(others[0].end, others[1].start)
    joined = {note.line.norm(i) for i in between} == {"and"}
    return joined and pair_before(note.line, others[0]) is not None


def stands_at(note: Around, mark: Mark) -> bool:
    """ "So he's sitting at fifty-four now": of the feet that the sentence told of."""
    line = note.line
    foot = any(m.kind == "foot" and m.end <= mark.start and note.same_sentence(m, mark)
               for m in line.marks)  # fmt: skip
    stands = line.norm(mark.start - 2) in ("sitting", "sits", "standing", "stands", "running",
                                           "reading", "him", "them", "both")  # fmt: skip
    return foot and line.norm(mark.start - 1) == "at" and stands


def like_last(note: Around, at: int, mark: Mark) -> str:
    """ "Two fifty across the fronts. Two forty on the hinds.": what was measured last."""
    last = next((m for m in reversed(note.line.marks[:at]) if m.kind == "value"), None)
    if last is None or mark.start - last.end > 14 or not per_foot(last):
        return ""
    near = last.value.quantity.value
    return last.code if 0.8 <= mark.value.value / max(near, 0.01) <= 1.25 else ""


def no_measure(note: Around, at: int, mark: Mark) -> bool:
    """ "Fifty to go", "number fifty-two", a fifty-fifty chance, prices that go on."""
    line = note.line
    after, before = line.norm(mark.end), line.norm(mark.start - 1)
    if after in ("over", "thousand", "odd", "other", "chance") or before in _NUMBERED:
        return True
    if after == "to" and line.norm(mark.end + 1) in ("go", "do", "trim", "shoe", "see"):
        return True
    beside = [m for m in line.marks if m.number is not None and m is not mark]
    even = any(m.number.value == 50 and (m.start == mark.end or m.end == mark.start)
               for m in beside)  # fmt: skip
    if mark.number.value == 50 and even:
        return True
    return any(m.kind == "count" and m.code in _COINS and 0 <= mark.start - m.end <= 5
               for m in line.marks[:at])  # fmt: skip


def header(note: Around, mark: Mark) -> str:
    """ "Heel angles now. Left front forty-two": a sentence that only names the measure."""
    here = note.sentence_of.get(mark.start, 0)
    for back in (1, 2):
        said = [m for m in note.line.marks if note.sentence_of.get(m.start) == here - back]
        named = [m for m in said if is_cue(m)]
        only = all(m.kind in ("role", "time") or is_cue(m) for m in said)
        if named and only:
            kind = named[-1].code
            if named[-1].kind == "place":
                return kind
            span = mark.value
            unit = span.unit or next(iter(likely_units(kind, span.value, note.habit)), None)
            return kind if unit is not None and fits(kind, span.value, unit) else ""
        if any(m.kind in (*HEADS, "measure") for m in said):
            return ""
    return ""


def compared_kind(note: Around, at: int, mark: Mark) -> str:
    """ "A hair wider than the off fore, five and a quarter against five": by the comparison."""
    for other in note.previous(at)[:6]:
        words = {note.line.norm(i) for i in other.covers()}
        kind = next((k for word, k in _BY_WORD.items() if word in words), "")
        if kind == "toe_length" and 38 <= mark.value.value <= 65:
            return ""
        if other.code in ("larger", "smaller") and kind:
            return kind if likely_units(kind, mark.value.value, note.habit) else ""
    return ""


def toe_behind(note: Around, mark: Mark) -> bool:
    """ "Forty-three against a fifty-one toe": the first is the heel's."""
    later = next((m for m in note.line.marks if m.start > mark.end and m.number), None)
    if later is None or later.start - mark.end > 3:
        return False
    toe = note.line.norm(later.end) in ("toe", "at") and "heel" not in note.line.norm(later.end)
    return toe and 25 <= mark.value.value < later.number.value <= 65


def by_pair(note: Around, at: int, mark: Mark) -> str:
    """ "They measured five and an eighth by five and a quarter": width by length."""
    marks = note.line.marks
    for low, high, kind in ((at, at + 2, "hoof_width"), (at - 2, at, "hoof_length")):
        if low < 0 or high >= len(marks) or marks[low + 1].code != "by":
            continue
        first, second = marks[low].number, marks[high].number
        near = marks[high].start - marks[low].end <= 2 and first and second
        if near and 0.75 <= first.value / max(second.value, 0.01) <= 1.33:
            return kind if likely_units(kind, mark.value.value, note.habit) else ""
    return ""


def sides_of_hoof(note: Around, at: int, mark: Mark) -> str:
    """ "Five and a quarter wide by five and a half long": a hoof, where a foot was named."""
    following = note.next(at, most=0)
    if following is None or following.code not in ("wide", "long"):
        return ""
    said = {m.code for m in note.line.marks if m.kind == "role" and note.same_sentence(m, mark)}
    last = next((m.code for m in reversed(note.line.marks[:at]) if m.kind == "value"), "")
    if last.startswith(("frog_", "hoof_")):
        kind = f"{last.partition('_')[0]}_{'width' if following.code == 'wide' else 'length'}"
        if likely_units(kind, mark.value.value, note.habit):
            return kind
    found = any(
        m.kind == "finding" and 0 <= mark.start - m.end <= 8 and note.same_sentence(m, mark)
        for m in note.line.marks
    )
    both = {"wide", "long"} <= said or (following.code == "wide" and mark.value.value >= 3)
    inches = mark.value.unit in (None, Unit.INCH)
    foot_wide = following.code == "wide" and inches and 4 <= mark.value.value <= 8
    if (found and not foot_wide) or not both or not foot_said(note, mark):
        return ""
    kind = "hoof_width" if following.code == "wide" else "hoof_length"
    return kind if likely_units(kind, mark.value.value, note.habit) else ""


def foot_said(note: Around, mark: Mark) -> bool:
    """Whether the sentence of a number names a foot."""
    return any(m.kind == "foot" and note.same_sentence(m, mark) for m in note.line.marks)
