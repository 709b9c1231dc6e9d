"""Which feet one unit names: one name, names joined by "and", those in the words of its head."""

from __future__ import annotations

from fieldlog.language.feet.feet_settled import TWO_OF_A_FOOT
from fieldlog.language.feet.foot_order import is_heading, names_thing
from fieldlog.language.feet.tracker import Assignment
from fieldlog.language.words.marks import ALL_FOUR, Mark
from fieldlog.language.words.units_said import Line, UnitSaid


def spoken_feet(line: Line, unit: UnitSaid) -> list[Mark]:
    """The foot marks of a unit that belong together: one name, or names joined by "and"."""
    feet = sorted(unit.feet(), key=lambda m: m.start)
    if any(m.code != "both" for m in feet):
        feet = [m for m in feet if m.code != "both"]
    before = _joined(line, [m for m in reversed(feet) if m.start < unit.head.start])
    after = _joined(line, [m for m in feet if m.start >= unit.head.start])
    if before:
        # "both hinds first: left one ..."
        led = [m for m in feet if m.end <= min(b.start for b in before)][-1:]
        before += [m for m in led if is_heading(m, before[-1:])]
    if not before or not after:
        return sorted(before or after, key=lambda m: m.start)
    if is_heading(before[0], after) or any("all_but" in m.tags for m in after):
        return [*before, *after]
    broken = {line.norm(i) for i in range(before[0].end, unit.head.start)}
    if broken & {"but", "so", "and", "because", "while"}:
        return after
    apart = any(
        line.break_at(i) or (line.norm(i) in ("and", "but", "so") and i < after[0].start - 2)
        for i in range(unit.head.end, after[0].start)
    )
    back = after[0].start - 1
    while line.norm(back) in ("the", "his", "her", "both"):
        back -= 1
    cut = any(line.break_at(i) for i in range(before[0].end, unit.head.start))
    if cut and not apart and line.norm(back) in ("on", "in"):
        return after
    if line.norm(back) == "and":
        return [*before, *after]
    if unit.head.kind == "work":
        done = before[0].end == unit.head.start and line.norm(unit.head.start) in _TOLD_BEHIND
        return before if apart or done or names_thing(line, unit.head) else after
    if line.norm(after[0].start - 1) == "and":
        return [*before, *after]
    return before


_TOLD_BEHIND = frozenset({"reset", "shod", "trimmed", "pulled", "new"})
"""Done to the foot right before: "right front reset left hind new one"."""


def _joined(line: Line, feet: list[Mark]) -> list[Mark]:
    """The first of ``feet`` and those tied to it by "and", commas and articles."""
    out = feet[:1]
    for mark in feet[1:]:
        low, high = sorted((out[-1], mark), key=lambda m: m.start)
        between = {line.norm(i) for i in range(low.end, high.start)}
        lead = {line.norm(i) for i in range(low.start - 2, low.start)}
        if between == {","} and lead & {"off", "from"}:
            break  # "the clip's come off the left front, right front clip's fine"
        if "all_but" in mark.tags and mark.start > out[-1].start:
            out.append(mark)
            continue
        loose = between <= {"the", "his", "her"}
        if loose and "+" in high.code and "+" not in low.code:
            break
        if loose and low.code.count("+") == 2 and high.code not in low.code:
            break  # "trimmed three of them the near hind wouldn't come up"
        pair = between <= {","} and high is out[0] and "+" in high.code
        if pair and line.norm(high.end) in _HAVE:
            break  # "replaced both hinds, fronts had wear left so reset those"
        if not between <= {
            "and",
            ",",
            ":",
            "the",
            "or",
            "on",
            "in",
            "his",
            "her",
            "then",
            "also",
            "&",
        }:
            break
        out.append(mark)
    return out


_HAVE = frozenset({"had", "has", "have", "got"})
INNER_FEET = {"behind": "LH+RH", "hinds": "LH+RH", "fronts": "LF+RF", "fores": "LF+RF",
               "backs": "LH+RH"}  # fmt: skip


def inner_feet(line: Line, unit: UnitSaid) -> tuple[str, str] | None:
    """Feet that a head's own words name ("bare behind"), and those words."""
    if unit.head.kind not in ("work", "finding"):
        return None
    said = {line.norm(i) for i in unit.head.covers()}
    if unit.head.code == "shoe" and {"full", "set"} <= said:
        return ALL_FOUR, "full set"
    for at in sorted(unit.head.covers()):
        word = line.norm(at)
        if word == "all" and line.norm(at + 1) in ("four", "round", "around"):
            return ALL_FOUR, f"all {line.norm(at + 1)}"
        if word == "both" and line.norm(at + 1) not in TWO_OF_A_FOOT:
            return "both", word
        if word == "front" and line.norm(at - 1) in ("in", "up"):
            return "LF+RF", f"{line.norm(at - 1)} front"
        if word in ("front", "hind") and line.norm(at + 1) in ("shoes", "plates", "toes"):
            return "LF+RF" if word == "front" else "LH+RH", f"{word} {line.norm(at + 1)}"
        if word in INNER_FEET:
            return INNER_FEET[word], word
    return None


def narrowed(named: list[Assignment]) -> list[Assignment]:
    """ "Fronts, left fifty-two": the side is of the pair, and only it is told of."""
    return [
        one
        for at, one in enumerate(named)
        if not any(set(later.feet) < set(one.feet) for later in named[at + 1 :])
    ]


_ONE_EACH = frozenset({"toes", "soles", "frogs", "bars", "pads", "wedges", "plates",
                       "shoes", "clips"})  # fmt: skip
_WORK_ONE_EACH = frozenset({"egg_bar", "heart_bar", "bar_shoe", "pad", "wedge", "glue_on", "shoe",
                            "reset", "pull", "roll_toe", "set_back_toe", "shorten_toe",
                            "rocker_toe"})  # fmt: skip


def several(line: Line, unit: UnitSaid) -> bool:
    """ "Egg bars and rolled the toes", "soles are thin": more than one foot, whichever is held."""
    words = {line.norm(i) for i in unit.head.covers()} & _ONE_EACH
    if unit.head.kind == "work":
        return bool(words) and unit.head.code in _WORK_ONE_EACH
    return unit.head.kind == "finding" and bool(words - {"bars"})
