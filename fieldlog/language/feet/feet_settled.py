"""Which words of a note name a foot: what their neighbours settle.

``settled_foot`` has the order: a value's own foot, feet that are left out, words that are no foot
here ("trotted up both ways", "pulled it right back out"), then the sides and ends of
``sides_settled``.
"""

from __future__ import annotations

from fieldlog.language.feet.exceptions import without
from fieldlog.language.feet.foot_said import ONE_FOOT, FootSaid, Rule, foot_said, number_before
from fieldlog.language.feet.sides_settled import (
    AFTER_VERB_LEFT,
    settled_end,
    settled_near_off,
    settled_side,
)
from fieldlog.language.feet.some_feet import all_but_next, is_bare_rest, one_of_a_pair
from fieldlog.language.words.marks import ALL_FOUR, PAIRS, Mark
from fieldlog.language.words.units_said import HEADS, Line

TWO_OF_A_FOOT = frozenset({"bars", "quarters", "heels", "corn", "seats", "walls", "bulbs",
                            "branches", "clips", "grooves", "sulci"})  # fmt: skip
_HIS = frozenset({"the", "his", "her"})


def settled_foot(line: Line, mark: Mark) -> Mark | None:
    """Settle a foot mark; None drops it."""
    if mark.kind != "foot":
        return mark
    said = foot_said(line, mark)
    if _still_to_do(line, mark):
        mark.tags.add("idle")
    if _right_round(said):
        return None
    if _in_front_and_behind_he(said):
        mark.code, mark.end = PAIRS[0], mark.end - 2
        return mark
    if mark.code == "three":
        mark.code = all_but_next(line, mark)
        return mark if mark.code else None
    if counted := _counted(said):
        mark.code = counted
        mark.tags.add("looks_back")
        return mark
    if (rest := without(line, mark)) is not None:
        return rest
    if any(no_foot(said) for no_foot in _NO_FOOT):
        return None
    return _settled_by_its_words(said)


def _in_front_and_behind_he(said: FootSaid) -> bool:
    """ "Shod in front and behind he has nothing": the hinds begin what is told next."""
    both = said.words.endswith(("front and behind", "fronts and behind"))
    return both and said.mark.code == ALL_FOUR and said.after in ("he", "she", "they", "it")


def _settled_by_its_words(said: FootSaid) -> Mark | None:
    """A mark that may name a foot, with the feet that its own words mean."""
    mark, words = said.mark, said.words
    if _feet_of_a_side(said):
        mark.code = "LF+LH" if mark.code == "left" else "RF+RH"
    elif words in ("anywhere", "everywhere"):
        return _settled_anywhere(said)
    elif mark.code in ("left", "right") and words in ("left", "right"):
        return settled_side(said)
    elif words == "right and left" and said.after in AFTER_VERB_LEFT:
        mark.code, mark.end = "right", mark.start + 1  # "done the right and left the left alone"
    elif mark.code in ("near_word", "off_word"):
        return settled_near_off(said)
    elif mark.code in ("front_word", "hind_word"):
        return settled_end(said)
    return mark


def _feet_of_a_side(said: FootSaid) -> bool:
    """ "Left side feet", "the off side pair"."""
    feet = said.after in ("feet", "ones", "pair", "hooves", "both")
    return feet and said.mark.code in ("left", "right") and said.words.endswith("side")


def _settled_anywhere(said: FootSaid) -> Mark | None:
    """ "No thrush anywhere": the feet told of before, at the end of a clause."""
    exempt = said.after in ("bar", "except", "but", "today", "and")
    said.mark.tags.add("looks_back")
    return said.mark if said.ends() or exempt else None


# -- words that are no foot here ----------------------------------------------------------------


def _some_of_the_rest(said: FootSaid) -> bool:
    """ "One of the hinds", "he can have a rest"."""
    bare = said.words in ("rest", "others") and not is_bare_rest(said.line, said.mark)
    return bare or one_of_a_pair(said.line, said.mark)


def _both_sides_of_one(said: FootSaid) -> bool:
    """ "Left hind, the wall's broken away both sides": inside and outside."""
    if said.mark.code != "both" or "side" not in said.words:
        return False
    earlier = [m for m in said.feet_before() if not m.code.endswith("_word")]
    return bool(earlier) and earlier[-1].code in ONE_FOOT


def _says_bad_one(said: FootSaid) -> bool:
    """ "Right front's the bad one"."""
    return said.mark.code == "bad_one" and any(
        m.kind == "foot" and m.code in ONE_FOOT and said.mark.start - m.end == 1
        for m in said.line.marks
    )


def _in_the_lot(said: FootSaid) -> bool:
    """ "Two weeks in the lot"."""
    return said.words == "the lot" and said.before == "in"


def _both_ways(said: FootSaid) -> bool:
    """ "Trotted up both ways"."""
    return said.words == "both" and said.after in ("ways", "times", "reins", "directions")


def _both_at_a_place(said: FootSaid) -> bool:
    """ "Cracks, both at the toes": both cracks, of feet not named yet."""
    if said.words != "both" or said.after not in ("at", "on", "of", "in") or said.feet_before():
        return False
    aimed = said.mark.end + 1 + (said.line.norm(said.mark.end + 1) in _HIS)
    return any(m.kind in ("place", "side") and m.start == aimed for m in said.line.marks)


def _two_of_a_foot(said: FootSaid) -> bool:
    """ "Both heels", "both sides of the frog"."""
    sides = said.words.endswith(("side", "sides")) and said.after in ("on", "of", "in")
    return said.mark.code == "both" and (said.after in TWO_OF_A_FOOT or sides)


_OTHER_THINGS = frozenset({"way", "day", "week", "end", "night", "horse", "farrier", "vet", "lad",
                           "fella", "hand", "time", "three", "shoe", "pony", "mare"})  # fmt: skip


def _other_thing(said: FootSaid) -> bool:
    """ "The other day", "the other horse"."""
    other = said.mark.code == "other" and said.words.endswith("other")
    return other and said.after in _OTHER_THINGS


def _one_or_the_other(said: FootSaid) -> bool:
    """ "One or the other", "one way or the other"."""
    return said.mark.code == "other" and said.before in ("or", "nor", "way")


_BACK_TO = frozenset({"out", "in", "on", "off", "up", "to", "down", "there", "where", "at", "into",
                      "over", "again", "together", "outside", "through"})  # fmt: skip
_BACK_OF = frozenset({"it", "them", "came", "come", "went", "go", "put", "him", "her"})


def _right_back_out(said: FootSaid) -> bool:
    """ "Pulled it right back out"."""
    back = said.words in ("right back", "left back")
    return back and (said.after in _BACK_TO or said.before in _BACK_OF)


def _will_see_the_rest(said: FootSaid) -> bool:
    """ "The vet will see the rest"."""
    seen = said.mark.code == "rest" and said.before in ("see", "tell", "do")
    return seen and said.ends()


_SOME_OF = frozenset({"after", "get", "take", "took", "taking", "off", "of"})
_NAILS = frozenset({"nail", "nails", "clinches", "clenches"})


def _rest_of_a_thing(said: FootSaid) -> bool:
    """ "Take the rest next time", "two nails gone, the rest are tight"."""
    if said.words != "the rest":
        return False
    at = said.mark.start
    earlier = {said.line.norm(i) for i in range(at - 12, at)}
    return said.before in _SOME_OF or bool(earlier & _NAILS)


def _rest_of_it(said: FootSaid) -> bool:
    """ "The rest of it", "the rest of the wall"."""
    of = said.mark.code == "rest" and said.after == "of"
    return of and said.line.norm(said.mark.end + 1) in ("it", "the")


def _all_of_what_one_has(said: FootSaid) -> bool:
    """ "Four cracks in the right front, all of them from the ground up"."""
    if said.mark.code != ALL_FOUR or not said.words.startswith("all of"):
        return False
    feet = said.feet_before()
    return bool(feet) and feet[-1].code in ONE_FOOT


def _in_any_case(said: FootSaid) -> bool:
    """ "In any case"."""
    return said.words.endswith(" any") and not said.ends()


def _one_of_four(said: FootSaid) -> bool:
    """ "Three of the four": which of them is not said."""
    counted = said.before == "of" and said.lead(2) in ("one", "two", "three")
    return counted and "four" in said.words.split()


def _at_the_back_of_one(said: FootSaid) -> bool:
    """ "Near fore boot's too tight at the back"."""
    return said.words == "at the back" and any(
        m.kind == "foot" and m.code in ONE_FOOT and 0 <= said.mark.start - m.end <= 5
        for m in said.line.marks
    )


_MORE_BEHIND = frozenset({"length", "horn", "support", "steel", "room", "cover"})


def _more_behind(said: FootSaid) -> bool:
    """ "Plenty of length behind", "still good horn behind"."""
    return said.words == "behind" and said.before in _MORE_BEHIND


_BEHIND_WHAT = frozenset({"the", "him", "her", "it"})
_IN_BEHIND_WHAT = _BEHIND_WHAT | {"a", "an", "his", "that"}


def _behind_a_thing(said: FootSaid) -> bool:
    """ "Stood behind him", "poured in behind a leather rim"; not "behind the left"."""
    if said.words != "behind" or said.mark.code != "LH+RH":
        return False
    put = said.before in ("in", "from", "right", "just", "up")
    if said.after not in (_IN_BEHIND_WHAT if put else _BEHIND_WHAT):
        return False
    return all(m.kind != "foot" or m.start != said.mark.end + 1 for m in said.line.marks)


def _straight_out_front(said: FootSaid) -> bool:
    """ "Seedy toe, straight out front": where the toe points."""
    return said.words in ("out front", "up front") and said.before == "straight"


def _round_the_foot(said: FootSaid) -> bool:
    """ "Right round the left front": how far, of the foot behind it."""
    return said.words in ("right round", "right around") and any(
        m.kind == "foot" and m.start == said.mark.end for m in said.line.marks
    )


def _front_of_a_thing(said: FootSaid) -> bool:
    """ "In front of", "the front wall"."""
    wall = said.words == "the front" and said.after in ("wall", "edge", "half")
    return said.mark.code == "LF+RF" and (said.after == "of" or wall)


_NO_FOOT: tuple[Rule, ...] = (
    # "both", "all", "four"
    _both_sides_of_one, _both_ways, _both_at_a_place, _two_of_a_foot, _all_of_what_one_has,
    _one_of_four, _in_the_lot, _in_any_case,
    # "the rest", "the other", "the bad one"
    _some_of_the_rest, _will_see_the_rest, _rest_of_a_thing, _rest_of_it, _other_thing,
    _one_or_the_other, _says_bad_one,
    # "right back", "behind", "in front"
    _right_back_out, _at_the_back_of_one, _more_behind, _behind_a_thing, _straight_out_front,
    _round_the_foot, _front_of_a_thing,
)  # fmt: skip


# -- a value before it, work still to do, how far round ------------------------------------------


_TWINS = {"left": ("right",), "right": ("left",), "near": ("off",), "off": ("near",),
          "front": ("behind", "hind", "back"), "behind": ("front",), "hind": ("front",),
          "back": ("front",)}  # fmt: skip
_COUNTED = {"left": "left", "near": "left", "right": "right", "off": "right", "front": "LF+RF",
            "behind": "LH+RH", "hind": "LH+RH", "back": "LH+RH"}  # fmt: skip
_OF_A_THING = frozenset({"each", "both", "all", "the", "it", "them", "of", "to", "his", "her",
                         "every", "either", "toe", "toes", "heel", "heels", "shoe"})  # fmt: skip


def _counted(said: FootSaid) -> str:
    """ "Eighty-nine near, ninety-two off", "fifty front, fifty-four behind": a value, its foot."""
    line, start = said.line, said.mark.start
    if said.words not in _TWINS or not number_before(line, start):
        return ""
    near = range(max(0, start - 12), said.mark.end + 12)
    twins = [i for i in near if line.norm(i) in _TWINS[said.words] and number_before(line, i)]
    if not twins:
        return ""
    low, high, last = min(twins[0], start), max(twins[0], start), max(*twins, start)
    ended = any(line.words[i].sort == "stop" for i in range(low, high))
    beyond = [m for m in line.marks if m.kind == "number" and m.start == last + 1]
    goes_on = any(line.norm(m.end) not in ("off", "from", "each") for m in beyond)
    return "" if ended or goes_on or said.after in _OF_A_THING else _COUNTED[said.words]


_TO_DO = frozenset({"do", "finish", "measure", "check", "get", "try", "see", "pick", "write"})
_NOT_YET = frozenset({"'ll", "will", "to", "didn't", "haven't", "couldn't", "can't", "gonna",
                      "don't", "never", "not", "lemme", "let"})  # fmt: skip


def _still_to_do(line: Line, foot: Mark) -> bool:
    """ "I'll do the right in a minute", "got the left hind left to finish": nothing is told yet."""
    heads = [m for m in line.marks if m.kind in HEADS or m.kind == "number"]
    behind = [line.norm(i) for i in range(foot.end, foot.end + 3)]
    if behind[:2] in (["left", "to"], ["still", "to"], ["yet", "to"]) or behind[:2] == ["to", "go"]:
        return True
    at = foot.start - 1
    while line.norm(at) in ("the", "his", "her", "that", "other"):
        at -= 1
    lead = {line.norm(i) for i in range(at - 3, at)}
    if line.norm(at) not in _TO_DO or not lead & _NOT_YET:
        return False
    taken = any(m.holds(at) or 0 <= m.start - foot.end <= 3 for m in heads)
    return not taken and bool(heads) and heads[0].end <= at


_ROUND = ("right round", "right around", "all round", "all around")


def _right_round(said: FootSaid) -> bool:
    """ "Near fore wall's thick and the white line's tight right round": round that foot."""
    line, mark = said.line, said.mark
    if mark.code != ALL_FOUR or said.words not in _ROUND:
        return False
    timed = ("number", "clock", "time")
    aimed = line.norm(mark.start) == "right"
    if aimed and any(m.kind in timed and m.start == mark.end for m in line.marks):
        return True  # "at the toe, right around twelve o'clock"
    feet = said.feet_before()
    if not feet or feet[-1].code not in ONE_FOOT:
        return False
    return any(m.kind == "place" and feet[-1].end <= m.start and m.end <= mark.start
               and mark.start - m.end <= 3 for m in line.marks)  # fmt: skip
