"""What a follow-up is about, and whose job it is: things named that make no fact of their own."""

from __future__ import annotations

from fieldlog.language.context.history import is_past
from fieldlog.language.lexicon import word_set
from fieldlog.language.senses.work_words import nothing_done
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.units_said import Line, UnitSaid

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
        if left is not None and taken_away(line, left, unit):
            unit.before = [*left.before, *left.after, *unit.before]
            unit.start = left.start
            out[-1] = unit
            continue
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
    if left.head.kind == unit.head.kind == "work" and left.head.code in ("reset", "pull"):
        apart = {line.norm(i) for i in range(left.head.end, unit.head.start)}
        first = next((line.norm(i) for i in range(unit.head.start, unit.head.end)
                      if line.norm(i) not in _SAME_ONES - _NOUNS), "")  # fmt: skip
        told_of = apart <= _SAME_ONES and first in _NOUNS
        own = any(m.kind == "foot" for m in unit.before) or (left.feet() and unit.feet())
        return told_of and unit.head.code in _IRON and not own
    visit = left.head.code in ("next_trim", "next_trim_weak") and unit.head.code in _IRON
    led = visit and line.norm(unit.head.start - 1) in ("with", "for") and not unit.feet()
    if left.head.kind != "followup" or (left.head.code not in _TAKES_OBJECT and not led):
        return False
    brought = left.head.code == "bring" and unit.head.kind == "value"
    if (unit.head.kind not in ("finding", "work") and not brought) or unit.roles("if"):
        return False
    if unit.head.code in _ALWAYS_A_FACT or _done_behind(line, unit):
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
    more = _MORE_KIT if left.head.code == "bring" else frozenset()
    return all(i in attributes or line.norm(i) in _OBJECT_WORDS | more for i in between)


def _done_behind(line: Line, unit: UnitSaid) -> bool:
    """ "Ring me Friday | trimmed all four", where nobody wrote the stop: done, and no object."""
    verb = line.norm(unit.head.start)
    led = line.norm(unit.head.start - 1) in _OBJECT_WORDS
    led = led or line.norm(unit.head.end) == "hay"  # "no grass, soaked hay only"
    return unit.head.kind == "work" and (is_past(verb) or verb == "reset") and not led


_MORE_KIT = frozenset({"and", "bigger", "smaller", "new", "other", "spare", "some", "two", "pair",
                       "soft", "set", "longer", "pads", "pad", "boots", "boot", "nails", "shoes",
                       "wedges", "bars", "glue", "studs", "big", "nippers", "rasp", "long",
                       "hammer", "knife", "more", "small", "light", "size"})  # fmt: skip
_SAME_ONES = frozenset({"the", "same", "old", "his", "her", "those", "that", "both", "them", "keg",
                        "plain", "steel", "rim", "worn"})  # fmt: skip
_NOUNS = frozenset({"shoes", "shoe", "plates", "plate", "keg", "rim", "bar", "egg", "heart",
                    "straight", "pads", "pad", "wedge", "wedges", "boots", "boot", "glue",
                    "eggbars", "leather", "leathers", "heartbars"})  # fmt: skip
_IRON = frozenset({"shoe", "bar_shoe", "egg_bar", "heart_bar", "glue_on", "pad", "wedge", "boot",
                   "hospital_plate"})  # fmt: skip


def taken_away(line: Line, left: UnitSaid, unit: UnitSaid) -> bool:
    """ "Egg bars pulled off": what is pulled was not put on."""
    between = {line.norm(i) for i in range(left.head.end, unit.head.start)}
    return (
        left.head.kind == unit.head.kind == "work"
        and left.head.code in _IRON
        and unit.head.code == "pull"
        and between <= {"were", "are", "got", "was", "came", "come", "all", "both"}
    )


def only_sizes(line: Line, unit: UnitSaid) -> bool:
    """Whether a shoe was told of by its size only: "twos behind"."""
    words = {line.norm(i) for i in unit.head.covers()} - {
        "on",
        "in",
        "behind",
        "front",
        "all",
        "up",
    }
    return "implied" in unit.head.tags or (bool(words) and words <= _SIZES)


_SIZES = frozenset({"ones", "twos", "threes", "fours", "fives", "sixes", "aughts", "noughts",
                    "double", "size", "number", "triple"})  # fmt: skip


def owners_job(unit: UnitSaid, asked: bool = False) -> bool:
    """Work that the owner is to do, or was asked to, is care and not our work."""
    theirs = asked or any(m.end <= unit.head.start for m in unit.roles("by_owner"))
    return unit.head.code in _OWNER_CAN and theirs


_OWNER_CAN = frozenset({"poultice", "wrap", "treat", "boot", "clean_out", "packing", "seal", "trim",
                        "pare_frog", "dress_flare", "trot_up", "measure"})  # fmt: skip


_ANIMALS = frozenset({"horse", "mare", "gelding", "pony", "cob", "donkey", "mule", "colt", "filly",
                      "stallion", "foal", "yearling"})  # fmt: skip


_DONE_TO = frozenset({"crack", "flare", "bruise", "corn", "abscess", "thrush"})


def done_to(line: Line, unit: UnitSaid) -> str:
    """ "The crack", "that flare" that a job is done to."""
    for at in range(unit.head.start, unit.head.end + 3):
        if line.norm(at) in _DONE_TO and line.norm(at - 1) in ("the", "that"):
            return line.norm(at)
    return ""


def _a_name(line: Line, at: int) -> bool:
    """ "Trimmed Bess, thrush in both hinds": a word that no rule knows, and then something else."""
    word, after = line.norm(at), line.norm(at + 1)
    if not word.isalpha() or len(word) < 3:
        return False
    if word in vocabulary() or word in word_set("glue"):
        return False
    marked = any(m.holds(at) for m in line.marks)
    begins = {m.start for m in line.marks if m.tells()}
    closes = line.break_at(at + 1) or after in ("and", "today", "but", "so") or at + 1 in begins
    return closes and not marked and not word.endswith(("ly", "ed", "ing"))


_PASSED = frozenset({",", "just", "only", "got", "was", "is", "'s", "a", "been", "has", "quick",
                     "plain"})  # fmt: skip
_OWNED = frozenset({".", "the", "her", "his", "that", "this", "then", "and", "", ",", "grey",
                    "gray", "bay", "chestnut", "black", "brown", "little", "old", "big", "wee",
                    "young", "other", "last", "next"})  # fmt: skip


def _of_an_animal(line: Line, start: int) -> bool:
    """ "Her foal, trimmed", "the pony Marmite trimmed only": the job is of an animal."""
    at = start - 1
    while at >= 0 and line.norm(at) in _PASSED:
        at -= 1
    if line.norm(at) not in _ANIMALS:
        at -= 1  # his name
        named = at >= 0 and line.norm(at) in _ANIMALS
        if not named or any(m.holds(at + 1) for m in line.marks if m.tells()):
            return False
    return line.norm(at - 1) in _OWNED


WHOLE_JOBS = frozenset({"trim", "reset", "barefoot", "mustang_roll"})
"""Jobs that are of all four feet where only the horse is named beside them."""
_ALONE = frozenset({"trim", "mustang_roll"})
"""Those that are so too where nothing is named."""
_ONLY = frozenset({"just", "only", "round", "around", "a", "and", "so", "then", "plain", "today",
                   "though", "him", "her"})  # fmt: skip


def stands_alone(line: Line, unit: UnitSaid) -> bool:
    """ "Crack in the left front. Trim, no shoe.": a clause that is the job and nothing else, in a
    sentence that names no foot before it."""
    if unit.head.code not in _ALONE:
        return False
    begin, end = unit.head.start, unit.head.end
    while line.norm(begin - 1) in _ONLY:
        begin -= 1
    while line.norm(end) in _ONLY:
        end += 1
    if not (line.break_at(begin - 1) and line.break_at(end)):
        return False
    low = line.sentence_begin(unit.head.start)
    return not any(m.kind == "foot" and low <= m.start < unit.head.start for m in line.marks)


def _kept_him_bare(line: Line, unit: UnitSaid) -> bool:
    """ "Rolled the edges and kept him barefoot": both are of the horse, in a sentence that names no
    foot."""
    if unit.head.code not in ("mustang_roll", "barefoot"):
        return False
    low, high = next(r for r in line.sentences() if r[0] <= unit.head.start < r[1])
    if any(m.kind == "foot" and low <= m.start < high for m in line.marks):
        return False
    bare = [m for m in line.marks if m.code == "barefoot" and low <= m.start < high]
    return any({"him", "her"} & {line.norm(i) for i in range(m.start, m.end)} for m in bare)


def told_apart(line: Line, unit: UnitSaid) -> bool:
    """ "The mare, trim, and the right hind has a gap": what its only feet begin is told next."""
    at = unit.head.end
    if not (line.break_at(at) and line.norm(at + 1) in ("and", "but")):
        return False
    return all(m.start > at for m in unit.feet()) and stands_alone(line, unit)


def the_whole_horse(line: Line, unit: UnitSaid) -> bool:
    """ "No heat today, no pulses. Trimmed him": all four, unless a foot or a job leads to it."""
    if nothing_done(line, unit.head) or _kept_him_bare(line, unit):
        return True
    words = [line.norm(i) for i in range(unit.head.start, unit.head.end + 2)]
    said = {line.norm(i) for i in unit.head.covers()}
    animal = words[-2] in ("the", "that", "this") and words[-1] in _ANIMALS
    named = _a_name(line, unit.head.end)
    told = {"him", "her", "thing", "anything"} & set(words[1:]) | {"he", "she"} & said
    if unit.head.code in ("trim", "trim_not"):
        told |= {"nothing"} & said
    if _of_an_animal(line, unit.head.start):
        return True
    if not (animal or named or told):
        return False
    last = next((m for m in reversed(line.marks) if m.end <= unit.head.start and m.tells()), None)
    begin = next(a for a, b in line.sentences() if a <= unit.head.start < b)
    return last is None or last.start < begin or last.kind not in ("work", "foot", "place")
