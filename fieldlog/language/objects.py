"""What a follow-up is about, and whose job it is: things named that make no fact of their own."""

from __future__ import annotations

from fieldlog.language.units_said import Line, UnitSaid

_OBJECT_WORDS = frozenset({"the", "that", "this", "his", "her", "those", "these", "for", "about",
                           "on", "of", "any", "a", "regarding", "with", "my"})  # fmt: skip
_ALWAYS_A_FACT = frozenset({"penetrating_object", "wound", "bounding_pulse", "laminitis",
                            "founder", "not_weight_bearing"})  # fmt: skip
_TAKES_OBJECT = frozenset({"recheck", "owner_care", "tell_owner", "radiographs", "vet_visit",
                           "call", "bring"})  # fmt: skip


def with_objects(line: Line, units: list[UnitSaid]) -> list[UnitSaid]:
    """ "Recheck the crack": a thing that a follow-up is about makes no fact of its own."""
    out: list[UnitSaid] = []
    for unit in units:
        left = out[-1] if out else None
        if left is not None and _is_object(line, left, unit):
            left.after += [*unit.before, *unit.after]
            if unit.head.kind == "value":
                left.after.append(unit.head)
            left.end = unit.end
            left.about = unit.head.code
            continue
        out.append(unit)
    return out


def _is_object(line: Line, left: UnitSaid, unit: UnitSaid) -> bool:
    if left.head.kind == "advice":
        # "spoke to Jen about the thrush": what was talked of is told elsewhere
        words = [line.norm(i) for i in range(left.head.end, unit.head.start)]
        talked = unit.head.kind in ("finding", "work") and "about" in words and len(words) <= 5
        return talked and not unit.feet() and unit.head.code not in _ALWAYS_A_FACT
    if left.head.kind != "followup" or left.head.code not in _TAKES_OBJECT:
        return False
    brought = left.head.code == "bring" and unit.head.kind == "value"
    if (unit.head.kind not in ("finding", "work") and not brought) or unit.roles("if"):
        return False
    if unit.head.code in _ALWAYS_A_FACT:
        return False
    if not 0 <= unit.head.start - left.head.end <= 6:
        return False
    attributes = {
        i
        for m in (*left.marks(), *unit.marks())
        if m.kind in ("place", "side", "foot", "time", "size", "count", "number", "value")
        for i in m.covers()
    }
    between = range(left.head.end, unit.head.start)
    return all(i in attributes or line.norm(i) in _OBJECT_WORDS for i in between)


def owners_job(unit: UnitSaid) -> bool:
    """Work that the owner is to do is care, not our work."""
    return unit.head.code in _OWNER_CAN and any(
        m.end <= unit.head.start for m in unit.roles("by_owner")
    )


_OWNER_CAN = frozenset({"poultice", "wrap", "treat", "boot", "clean_out", "packing", "seal", "trim",
                        "pare_frog", "dress_flare", "trot_up", "measure"})  # fmt: skip
