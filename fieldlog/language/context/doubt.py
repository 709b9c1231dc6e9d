"""What is only supposed: "maybe a bruise", "thrush I'd say", "a bruise or an abscess"."""

from __future__ import annotations

from fieldlog.language.context.head_context import Context
from fieldlog.language.context.negation import SHAPES
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import SEVERITIES, Line, UnitSaid

_TRAILING = frozenset({"maybe", "probably", "possibly", "perhaps", "could", "query", "suspected",
                       "possible", "likely", "questionable"})  # fmt: skip
_NEXT_SUBJECT = frozenset({"it", "that", "there", "he", "she", "they", "this"})


def unsure(
    line: Line, unit: UnitSaid, left: UnitSaid | None, found: list[Context], at: int
) -> bool:
    """Whether a unit is only supposed: "maybe a bruise", "thrush I'd say", "vet suspects"."""
    if unit.has("unsure_after") and _doubted_behind(line, unit):
        return True
    for mark in unit.roles("vet_says"):
        if {line.norm(i) for i in mark.covers()} & _SUPPOSES and unit.head.kind == "finding":
            return True
    for mark in unit.roles("unsure_before"):
        if _of_the_amount(line, unit, mark):
            continue
        if mark.end <= unit.head.start:
            if _goes_on(line, mark, unit):
                continue
            return True
        trailing = line.norm(mark.start) in _TRAILING
        if trailing or any(m.kind == "size" and m.start >= mark.end for m in unit.after):
            return True
    if left is not None and found[at - 1].uncertain:
        return alternative(line, left, unit)
    return False


def _doubted_behind(line: Line, unit: UnitSaid) -> bool:
    """ "Thrush I'd say", "bruise, I think": a doubt that is of what stands before it."""
    if unit.head.kind == "score":
        return False  # "three out of five I'd say" is how a grade is given
    late = [
        m
        for m in unit.roles("unsure_after")
        if m.start >= unit.head.end
        and not (line.norm(m.start) == "i" and line.norm(m.end) in _NEXT_SUBJECT)
        and line.norm(m.end) not in ("me", "us")
        and not _of_an_amount(unit, m)
    ]
    early = [m for m in unit.roles("unsure_after") if m.end <= unit.head.start]
    if unit.head.kind in ("work", "advice", "handling"):
        # "That's the vet's call. Poulticed it": the doubt is of what stands before
        early = []
        # "glued one on, and we'll see": it is done all the same
        late = [m for m in late if line.norm(m.start) not in ("we", "we'll", "time")]
    return bool(late) or any(not line.break_at(m.end) for m in early)


def _of_the_amount(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "Maybe a quarter inch": so much or about so much, of what is there."""
    if line.norm(mark.end - 1) != "maybe" or not _of_an_amount(unit, mark):
        return False
    if line.break_at(mark.start - 1):
        # how a foot is shaped is judged by eye: "sheared, maybe a quarter inch" may be none
        return unit.head.code not in SHAPES
    told = {i for m in unit.marks() for i in m.covers() if m.kind != "role"}
    return mark.start - 1 not in told - unit.head.covers()


_SUPPOSES = frozenset({"suspects", "suspected", "suspect", "thinks", "thinking", "figures"})


def _goes_on(line: Line, doubt: Mark, unit: UnitSaid) -> bool:
    """ "Looks like a cauliflower, and it stinks", "never worried about": no doubt of this."""
    if line.norm(doubt.start) == "worried" and line.norm(doubt.start - 1) in ("never", "not"):
        return True
    verb = line.norm(unit.head.start).endswith("s") and unit.head.size == 1
    subject = line.norm(unit.head.start - 1) in ("it", "he", "she", ",", "and")
    return verb and subject and unit.head.start - doubt.end > 2


def _of_an_amount(unit: UnitSaid, doubt: Mark) -> bool:
    """ "Maybe three eighths", "quarter of an inch I'd say": the amount is rough, not the thing."""
    amounts = ("size", "value", "number", *SEVERITIES)
    return any(
        (m.kind in amounts or m.code in amounts) and (m.end == doubt.start or m.start == doubt.end)
        for m in unit.marks()
    )


def alternative(line: Line, left: UnitSaid, right: UnitSaid) -> bool:
    between = [line.norm(i) for i in range(left.head.end, right.head.start)]
    return "or" in between and len([w for w in between if w not in _COULD_BE]) <= 4


_COULD_BE = frozenset({"could", "might", "be", "it", "'s", "just", "only", "maybe"})
