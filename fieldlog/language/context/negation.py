"""What a "no" denies: the head behind it, and the list that runs on from there.

The list goes on ("no thrush, cracks or heat") until something positive starts: an article, "got
a", "but", another foot. A denial behind a list ("heat, swelling and pulse absent") is of it all.
"""

from __future__ import annotations

from fieldlog.language.context.head_context import Context
from fieldlog.language.feet.exceptions import leaves_out
from fieldlog.language.lexicon import word_set
from fieldlog.language.senses.work_words import nothing_done
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, SEVERITIES, Line, UnitSaid

NEGATIONS = ("negation", "work_negation")
_MASS = frozenset({"thrush", "heat", "swelling", "digital_pulse", "sore", "discharge", "canker",
                   "bleeding", "lameness", "bad_smell", "laminitis", "founder", "tester_positive",
                   "white_line_disease", "white_line_separation"})  # fmt: skip
_GOES_ON = word_set("negation_goes_on")
_NOT_INSIDE = frozenset({"isn't", "aren't", "wasn't", "not", "hasn't", "haven't", "hadn't",
                         "didn't"})  # fmt: skip
_GOOD = frozenset({"normal", "tester_negative", "pulse_normal", "sound", "better_shape",
                   "axis_straight", "stood_well"})  # fmt: skip
"""What is denied does not run on to good news: "no corns, soles nice and firm"."""


def _bridge_is_list(line: Line, left: UnitSaid, right: UnitSaid) -> str:
    """How two heads are joined: ``or``, ``and``, ``comma``, ``bare`` or empty if they are not."""
    begin, end = left.head.end, right.head.start
    if any("of" in {line.norm(i) for i in m.covers()} for m in right.roles("mild")):
        return ""
    words = list(line.words[begin:end])
    allowed = {"or", "nor", "and", ",", "any", "other", "even", "either"}
    attributes = {
        i
        for m in (*left.after, *right.before)
        if m.kind in ("place", "side") or (m.kind == "role" and m.code in ("joint", *SEVERITIES))
        for i in range(m.start, m.end)
    }
    rest = [
        w.norm
        for i, w in enumerate(words, begin)
        if i not in attributes and w.sort != "comma" and w.norm not in allowed
    ]
    if any(word not in ("in", "at", "the", "on", "of") or not attributes for word in rest):
        return ""
    norms = {w.norm for w in words}
    if norms & {"or", "nor"}:
        return "or"
    if "and" in norms:
        return "and"
    return "comma" if any(w.sort == "comma" for w in words) else "bare"


def mark_negation(line: Line, units: list[UnitSaid], found: list[Context]) -> None:
    """Set ``negated`` on the contexts of one sentence's units."""
    direct = [_negated_here(line, unit) for unit in units]
    at = 0
    while at < len(units):
        found[at].negated = found[at].negated or direct[at]
        denies = direct[at] and units[at].head.kind == "finding"
        joins = _listed_behind(line, units, direct, at) if denies else []
        end = at + 1 + len(joins)
        _deny_list(line, units[at:end], found[at:end], joins)
        at = end
    _reach_back(line, units, found)


def _listed_behind(line: Line, units: list[UnitSaid], direct: list[bool], at: int) -> list[str]:
    """How the findings behind a denied one go on its list: "no heat, swelling or pulse"."""
    joins: list[str] = []
    for following in range(at + 1, len(units)):
        unit = units[following]
        item = unit.head.item
        if (
            unit.head.kind != "finding"
            or direct[following]
            or (item is not None and item.more.get("emits_negated"))
            or unit.head.code in _GOOD
            or (unit.feet() and _pre_foot(unit))
        ):
            break
        join = _bridge_is_list(line, units[following - 1], unit)
        if not join:
            break
        joins.append(join)
    return joins


def _deny_list(line: Line, run: list[UnitSaid], found: list[Context], joins: list[str]) -> None:
    """Deny the findings of a list as far as its "no" reaches.

    Args:
        line: the words.
        run: the denied finding and those listed behind it.
        found: their contexts.
        joins: what joins each to the one before: ``or``, ``and``, ``comma`` or ``bare``.
    """
    last_or = max((i for i, j in enumerate(joins) if j == "or"), default=-1)
    last_joint = max((i for i, j in enumerate(joins) if j in ("or", "and")), default=-1)
    for place, join in enumerate(joins):
        left, unit, context = run[place], run[place + 1], found[place + 1]
        if place > last_or and _asserted(unit):
            break
        if place <= last_or or join in ("and", "comma"):
            context.negated = True
        elif join == "bare" and (
            place < last_joint or _listy(line, unit) or (place and _last_of_list(left, unit))
        ):
            context.negated = context.list_unsure = True
        else:
            break


SHAPES = frozenset(
    {
        "underrun", "contracted_heel", "crushed_heel", "sheared_heel", "low_heel", "high_heel",
        "long_toe", "clubby", "imbalance", "overgrown", "mismatched", "flat_sole", "dropped_sole",
        "axis_broken_back", "axis_broken_forward", "toed_in", "toed_out",
    }
)  # fmt: skip
"""How a foot is; behind "no heat," it is rather the next thing seen."""


def _asserted(unit: UnitSaid) -> bool:
    """ "No heat, small crack", "no corns and contracted heels": not denied any more."""
    if unit.head.code in SHAPES:
        return True
    sized = any(m.end <= unit.head.start for m in unit.roles(*SEVERITIES))
    return sized or unit.has("better", "worse", "same", "growing_out", "larger", "smaller")


def _reach_back(line: Line, units: list[UnitSaid], found: list[Context]) -> None:
    """ "Heat, swelling and pulse absent": a denial behind a list is of all that it lists."""
    for at, unit in enumerate(units):
        if not any(m.start >= unit.head.end for m in unit.roles("negation_after")):
            continue
        joined = False
        for back in range(at - 1, -1, -1):
            join = _bridge_is_list(line, units[back], units[back + 1])
            joined = joined or join in ("and", "or")
            if not joined or join not in ("and", "or", "comma"):
                break
            if units[back].head.kind != "finding" or units[back].has(*SEVERITIES):
                break
            found[back].negated = True


def _listy(line: Line, unit: UnitSaid) -> bool:
    """A plural or mass word reads as one more item of a list; a single crack does not."""
    return unit.head.code in _MASS or line.norm(unit.head.end - 1).endswith("s")


def _last_of_list(left: UnitSaid, unit: UnitSaid) -> bool:
    """ "No heat swelling flare": nothing is told of the last one, so it is one more item."""
    placed = unit.head.size > 1 or unit.of("place") or unit.of("size")
    if unit.head.start != left.head.end or placed:
        return False
    return not unit.has("mild", "moderate", "severe", "copula", "new")


def _pre_foot(unit: UnitSaid) -> bool:
    return any(m.kind == "foot" for m in unit.before)


_NOT_DONE = frozenset({"need", "get", "able", "bother", "going", "gonna", "want", "held", "hold",
                       "holding", "skipped", "skipping", "decided"})  # fmt: skip
_NO_WORRY = frozenset({"worry", "worried", "worrying", "reason", "cause", "fuss", "concern",
                       "because", "until", "unless", "before", "bothered", "happy", "over",
                       "near", "touching", "saying", "grading", "when",
                       "myself"})  # fmt: skip
_DID_NOT = frozenset({"didn't", "don't", "couldn't", "wouldn't", "can't"})
_BEGINS_ANEW = frozenset({"just", "i", "i've", "we", "so", "only", "then", "instead"})


def _negated_here(line: Line, unit: UnitSaid) -> bool:
    """Whether the words of a unit itself deny its head."""
    if _denied_by_its_words(line, unit):
        return True
    spared = any("all_but" in m.tags for m in unit.of("foot"))
    if not spared and any(m.start >= unit.head.end for m in unit.roles("except")):
        return False
    if _on_neither(line, unit):
        return True
    if unit.head.kind == "advice":
        return False
    triggers = (m for m in unit.before if m.kind == "role" and m.code in NEGATIONS)
    return any(_reaches(line, unit, trigger) for trigger in triggers)


def _denied_by_its_words(line: Line, unit: UnitSaid) -> bool:
    """ "Thrush free", "hinds done bar the clenching", "not much of a crack": in or behind it."""
    head = unit.head
    if head.item is not None and head.item.more.get("may_say_not"):
        told = {line.norm(i) for i in head.covers()}
        lacking = told & {"much", "enough", "any", "lot"}  # "not much heel": there is little
        if _NOT_INSIDE & told and not lacking:
            return True
    if head.kind == "work":
        return leaves_out(line, head) or nothing_done(line, head)
    if head.kind != "finding":
        return False
    none_behind = any(m.start >= head.end for m in unit.roles("negation_after"))
    return none_behind or line.norm(head.end) == "free"


def _on_neither(line: Line, unit: UnitSaid) -> bool:
    """ "Neither hind has thrush", "shod neither hind"."""
    head, object_ = unit.head, unit.head.kind == "work"
    return any(
        m.start < head.start or (object_ and m.start == head.end)
        for m in unit.of("foot")
        if line.norm(m.start) in ("neither", "none")
    )


def _reaches(line: Line, unit: UnitSaid, trigger: Mark) -> bool:
    """Whether a "no" or a "didn't" before a head denies it."""
    if unit.head.code == "leave_alone" and line.norm(trigger.end - 1) not in _DID_NOT:
        return False  # "I'll not chase it", "no, leave the heels": that is what is left alone
    return not _clause_between(line, unit, trigger) and not _other_denial(line, unit, trigger)


def _clause_between(line: Line, unit: UnitSaid, trigger: Mark) -> bool:
    """Whether another clause or another foot begins between a denial and the head."""
    between = [m for m in unit.before if m.start >= trigger.end]
    if any(
        m.kind == "role" and m.code == "starter" and line.norm(m.start) not in _GOES_ON
        for m in between
    ):
        return True
    feet = [m for m in between if m.kind == "foot"]
    if any(
        line.norm(m.start - 1) not in ("on", "in", "the", "of") and trigger.end != m.start
        for m in feet
    ):
        return True
    # "hinds weren't so bad, the left hind was long"
    return any(line.norm(m.end) in COPULAS and m.start > trigger.end + 2 for m in feet)


def _other_denial(line: Line, unit: UnitSaid, trigger: Mark) -> bool:
    """Whether a denial is too far from the head, or of what else is said: "no need to treat"."""
    head = unit.head
    far = head.start - trigger.end
    if far > (1 if head.item and head.item.more.get("emits_negated") else 7):
        return True
    said = {line.norm(i) for i in trigger.covers()}
    reach = {line.norm(i) for i in range(trigger.end, head.start)}
    if reach & _NO_WORRY or ("bad" in reach and reach & {"too", "so", "half"}):
        return True
    if head.kind == "finding":
        # "she won't take nails, thin soles"; "no need to treat the thrush": the thrush is there
        return (trigger.code == "work_negation" and far > 1) or bool(said & _NOT_DONE)
    if head.kind == "work":
        # "found nothing, trimmed all four"
        return far > 3 or bool(reach & _BEGINS_ANEW) or said == {"nothing"}
    return head.kind == "handling" and far > 1
