"""Which words of a note name a foot: sides, ends and pairs that their neighbours settle.

"Left" may be a verb, "off" and "near" are no sides everywhere, "front" is a pair only before a
plural, and "all but the left hind" means the other three.
"""

from __future__ import annotations

from fieldlog.core.feet import ALL_FEET
from fieldlog.language.exceptions import without
from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import ALL_FOUR, PAIRS, Mark
from fieldlog.language.some_feet import all_but_next, is_bare_rest, one_of_a_pair
from fieldlog.language.units_said import COPULAS, HEADS, Line

_NOT_SIDE_AFTER_LEFT = word_set("after_verb_left")
_NOT_SIDE_AFTER_RIGHT = word_set("after_adverb_right")
_SIDE_BEFORE = word_set("before_side")
_OPENERS = frozenset({"", ".", ",", ";", "|", "and", "um", "uh"})
_NEAR_OFF_BEFORE = frozenset({"the", "his", "her"})
_SIDE_AFTER = word_set("after_side")
_PLURALS = word_set("plural_of_feet")
_COMPARATIVES = frozenset({"lower", "higher", "longer", "shorter", "wider", "narrower", "bigger",
                           "smaller", "worse", "better", "more", "less"})  # fmt: skip
_ONE_FOOT = frozenset(f.value for f in ALL_FEET)
_OTHER_THINGS = frozenset({"way", "day", "week", "end", "night", "horse", "farrier", "vet", "lad",
                           "fella", "hand", "time", "three", "shoe", "pony", "mare"})  # fmt: skip
_TELLS = frozenset({"mild", "moderate", "severe", "better", "worse"})
TWO_OF_A_FOOT = frozenset({"bars", "quarters", "heels", "corn", "seats", "walls", "bulbs",
                            "branches", "clips", "grooves", "sulci"})  # fmt: skip
_END_WORDS = {"front": "LF+RF", "fore": "LF+RF", "hind": "LH+RH", "back": "LH+RH", "rear": "LH+RH"}


def pair_at_the_end(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Left three and a half, right three and a quarter, hinds": the pair says the end of both."""
    gone: set[int] = set()
    for begin, end in line.sentences():
        feet = [m for m in marks if m.kind == "foot" and begin <= m.start < end]
        if len(feet) < 3 or feet[-1].code not in PAIRS:
            continue
        sides, last = feet[:-1], feet[-1]
        back = last.start - 1
        while line.norm(back) in ("the", "his", "her", "on", "in"):
            back -= 1
        later = [m for m in marks if last.end <= m.start < end and m.kind not in ("role",)]
        if "than" in {line.norm(i) for i in range(begin, end)}:
            continue
        apart = line.break_at(back) or any(m.kind == "number" and m.end == back + 1 for m in marks)
        if later or {m.code for m in sides} != {"left", "right"} or not apart:
            continue
        told = [m for m in marks if m.kind == "number" and sides[-1].end <= m.start < last.start]
        if len(told) > (not _number_before(line, sides[-1].start)):
            continue  # "fifty two left, fifty three right, fifty five and fifty six behind"
        for side in sides:
            side.code = ("L" if side.code == "left" else "R") + last.code[1]
        gone.add(id(last))
    return [m for m in marks if id(m) not in gone]


def ends_of_measures(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Front angles fifty-one and fifty-two": the measure's own words name the pair."""
    out: list[Mark] = []
    for mark in marks:
        word = line.norm(mark.start)
        plural = line.norm(mark.end - 1).endswith("s")
        if mark.kind == "measure" and mark.size > 1 and plural and word in _END_WORDS:
            out.append(Mark("foot", _END_WORDS[word], mark.start, mark.start + 1))
            mark.start += 1
        out.append(mark)
    return out


def sided_ends(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Fifty-three right in front": a side and its end are one foot."""
    out: list[Mark] = []
    for mark in marks:
        left = out[-1] if out else None
        if (
            left is not None
            and left.kind == mark.kind == "foot"
            and left.code in ("left", "right")
            and mark.code in PAIRS
            and left.end == mark.start
            and line.norm(mark.start) in ("in", "up", "out", "at")
        ):
            end = "F" if mark.code == "LF+RF" else "H"
            left.code = f"{'L' if left.code == 'left' else 'R'}{end}"
            left.end = mark.end
            continue
        out.append(mark)
    return out


_WHOLE_JOBS = frozenset({"trimmed", "shod", "reset", "pulled"})


def all_of_them(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Thrush right hind. All trimmed.": all four feet, not the one in hand.

    Behind a pair "all" only says that it is both of it: "hinds all trimmed".
    """
    jobs = {m.start for m in marks if m.kind == "work" and line.norm(m.start) in _WHOLE_JOBS}
    out = list(marks)
    for at in range(len(line.words)):
        if line.norm(at) != "all" or at + 1 not in jobs:
            continue
        foot = next((m for m in marks if m.kind == "foot" and m.end == at), None)
        if line.break_at(at - 1) if foot is None else foot.code in _ONE_FOOT:
            out = [m for m in out if at not in m.covers()]
            out.append(Mark("foot", _listed_before(line, marks, at) or ALL_FOUR, at, at + 1))
    return sorted(out, key=lambda m: (m.start, m.end))


def _listed_before(line: Line, marks: list[Mark], at: int) -> str:
    """ "Left front, right front, left hind, all trimmed": the feet that "all" counts up, or
    nothing."""
    named: list[str] = []
    for mark in reversed([m for m in marks if m.kind == "foot" and m.end <= at]):
        apart = [i for i in range(mark.end, at) if line.norm(i) not in ("and", ",")]
        if mark.code not in _ONE_FOOT or any(line.words[i].sort != "comma" for i in apart):
            break
        named.append(mark.code)
        at = mark.start
    return "+".join(f.value for f in ALL_FEET if f.value in named) if len(named) > 1 else ""


_AND_BEHIND = ("front and behind", "fronts and behind")
_HE = frozenset({"he", "she", "they", "it"})


def settled_foot(line: Line, mark: Mark) -> Mark | None:
    """Settle a foot mark; None drops it."""
    if mark.kind != "foot":
        return mark
    after = line.norm(mark.end)
    before = line.norm(mark.start - 1)
    words = line.text(mark)
    if _still_to_do(line, mark):
        mark.tags.add("idle")
    if mark.code == ALL_FOUR and words in _ROUND and _of_one_foot(line, mark):
        return None
    if mark.code == ALL_FOUR and words.endswith(_AND_BEHIND) and after in _HE:
        mark.code, mark.end = PAIRS[0], mark.end - 2  # "shod in front and behind he has nothing"
        return mark
    if mark.code == "three":
        mark.code = all_but_next(line, mark)
        return mark if mark.code else None
    counted = _counted(line, mark)
    if counted:
        mark.code = counted
        mark.tags.add("looks_back")
        return mark
    if (rest := without(line, mark)) is not None:
        return rest
    if one_of_a_pair(line, mark) or (words in ("rest", "others") and not is_bare_rest(line, mark)):
        return None
    if mark.code == "both" and "side" in words:
        earlier = [m for m in line.marks if m.kind == "foot" and m.end <= mark.start]
        earlier = [m for m in earlier if not m.code.endswith("_word")]
        if earlier and earlier[-1].code in _ONE_FOOT:
            return None  # "left hind, the wall's broken away both sides": inside and outside
    if mark.code == "bad_one" and any(
        m.kind == "foot" and m.code in _ONE_FOOT and mark.start - m.end == 1 for m in line.marks
    ):
        return None  # "right front's the bad one"
    if words == "the lot" and before == "in":
        return None  # "two weeks in the lot"
    if words == "both" and after in ("ways", "times", "reins", "directions"):
        return None  # "trotted up both ways"
    if words == "both" and after in ("at", "on", "of", "in") and not any(
            m.kind == "foot" and m.end <= mark.start for m in line.marks):  # fmt: skip
        aimed = mark.end + 1 + (line.norm(mark.end + 1) in ("the", "his", "her"))
        if any(m.kind in ("place", "side") and m.start == aimed for m in line.marks):
            return None  # "cracks, both at the toes": both cracks, of feet not named yet
    if mark.code == "other" and words.endswith("other") and after in _OTHER_THINGS:
        return None
    if mark.code == "other" and before in ("or", "nor", "way"):
        return None  # "one or the other", "one way or the other"
    if words in ("right back", "left back") and (after in _BACK_TO or before in _BACK_OF):
        return None  # "pulled it right back out"
    if mark.code == "rest" and before in ("see", "tell", "do") and line.break_at(mark.end):
        return None  # "the vet will see the rest"
    if words == "the rest":
        earlier_words = {line.norm(i) for i in range(mark.start - 12, mark.start)}
        if before in _SOME_OF or earlier_words & {"nail", "nails", "clinches", "clenches"}:
            return None  # "take the rest next time", "two nails gone, the rest are tight"
    if mark.code == ALL_FOUR and words.startswith("all of"):
        feet = [m for m in line.marks if m.kind == "foot" and m.end <= mark.start]
        if feet and feet[-1].code in _ONE_FOOT:
            return None  # "four cracks in the right front, all of them from the ground up"
    if mark.code == "rest" and after == "of" and line.norm(mark.end + 1) in ("it", "the"):
        return None
    if mark.code == "both" and (after in TWO_OF_A_FOOT or (
            words.endswith(("side", "sides")) and after in ("on", "of", "in"))):  # fmt: skip
        return None
    if mark.code in ("left", "right") and words.endswith("side") and after in (
            "feet", "ones", "pair", "hooves", "both"):  # fmt: skip
        mark.code = "LF+LH" if mark.code == "left" else "RF+RH"
        return mark
    if words.endswith(" any") and not line.break_at(mark.end):
        return None  # "in any case"
    if words in ("anywhere", "everywhere"):
        exempt = after in ("bar", "except", "but", "today", "and")
        mark.tags.add("looks_back")
        return mark if line.break_at(mark.end) or exempt else None
    if "four" in words.split() and line.norm(mark.start - 1) == "of" and line.norm(
            mark.start - 2) in ("one", "two", "three"):  # fmt: skip
        return None
    if mark.code in ("left", "right") and words in ("left", "right"):
        if before in ("all", "that's", "about", "just", "not", "isn't") and words == "right":
            return None
        banned = _NOT_SIDE_AFTER_LEFT if words == "left" else _NOT_SIDE_AFTER_RIGHT
        said = before in _SIDE_BEFORE and not (
            before in ("and", "just", "then", "to", "that") and after in banned
        )
        said_of = line.norm(mark.start - 2) in ("she", "he", "it", "that", "they", "vet", "owner")
        told = words == "right" and before in ("'s", "is", "'re", "was") and said_of
        if told and line.break_at(mark.end):
            return None  # "and she's right"
        if words == "left" and before in ("i", "i've", "he", "'ve", "we", "have", "got"):
            return None
        ends = line.break_at(mark.end)
        starts = mark.start == 0 or line.words[mark.start - 1].sort == "stop"
        if _told_apart(line, mark) or (after in _LANDS and (starts or before in _OPENERS)):
            return mark
        if starts and after == ",":
            return mark
        opens = starts or line.break_at(mark.start - 1)
        cued = any(
            m.end == mark.start and m.kind in ("place", "measure", "number", "foot")
            for m in line.marks
        )
        if (opens or cued) and _number_next(line, mark):
            return mark
        ahead = [line.norm(i) for i in range(mark.end, mark.end + 6)]
        if "than" in ahead and set(ahead[:3]) & _COMPARATIVES:
            return mark
        same = [line.norm(i) for i in range(mark.end, mark.end + 2)]
        if (same[0] == "same" or same == ["the", "same"]) and _side_before(line, mark, 12):
            return mark
        if after == "more" and line.norm(mark.end + 1) in ("so", "than"):
            return mark
        told = any(m.kind == "role" and m.code in _TELLS and 0 <= m.start - mark.end <= 1
                   for m in line.marks)  # fmt: skip
        severity = next((m for m in line.marks if m.start == mark.end and m.code in _TELLS), None)
        if severity is not None and _side_before(line, mark):
            beyond = severity.end
            if line.break_at(beyond) or any(
                m.start == beyond
                and (m.kind in ("foot", "work") or m.code in ("article", "starter"))
                for m in line.marks
            ):
                return mark  # "right just a touch, left a bit"
        if opens and told and any(m.kind == "foot" and m.end < mark.start for m in line.marks):
            return mark
        if after == "in" and line.norm(mark.end + 1) == "front" and _sided(line, mark):
            return mark
        if ends and not _sided(line, mark) and not said:
            return None
        if said or (after in _SIDE_AFTER and after not in banned) or (ends and not line.break_at(
                mark.start - 1)):  # fmt: skip
            return mark
        return (
            mark
            if after not in banned and after not in ("long", "full") and _sided(line, mark)
            else None
        )
    if words == "right and left" and after in _NOT_SIDE_AFTER_LEFT:
        mark.code, mark.end = "right", mark.start + 1
        return mark
    if mark.code in ("near_word", "off_word"):
        plain = _SIDE_AFTER - {"toe", "heel", "frog", "sole"} | {",", "i", "just", "more", "less"}
        about = after in ("about", "just", "much", "roughly") and "same" in {
            line.norm(i) for i in range(mark.end, mark.end + 3)
        }
        if (before == "than" and line.break_at(mark.end)) or (about and before == "the"):
            mark.code = "left" if mark.code == "near_word" else "right"
            return mark
        opens = mark.start == 0 or line.break_at(mark.start - 1)
        had = after == "never" and line.norm(mark.end + 1) == "had"
        mine = after == "i" and line.norm(mark.end + 1) in ("left", "'ve", "just", "did")
        told = after in _LANDS or after in COPULAS or after in ("just", "only")
        if opens and (told or had or mine):
            mark.code = "left" if mark.code == "near_word" else "right"
            return mark  # "off lands level", "off's got a pad", "near I left"
        if before == "the" and after == "never":
            mark.code = "left" if mark.code == "near_word" else "right"
            return mark
        lead = line.norm(mark.start - 2)
        placed = lead in ("in", "on") and after not in ("chance", "season")
        placed = placed or (lead == "off" and after in ("toe", "heel"))  # "off the near toe"
        other = "near" if mark.code == "off_word" else "off"
        in_turn = other in {line.norm(i) for i in range(max(0, mark.start - 12), mark.start)}
        goes_on = in_turn and any(m.kind == "number" and m.end == mark.start for m in line.marks)
        measured = (before in _OPENERS or goes_on) and any(
            m.kind == "number" and 0 <= m.start - mark.end - 1 <= 1 for m in line.marks
        )
        if measured and after in ("toe", "heel", "frog", "sole"):
            mark.code = "left" if mark.code == "near_word" else "right"
            return mark  # "near toe ninety-six, off toe ninety-four"
        if before in _NEAR_OFF_BEFORE and (placed or after in plain or line.break_at(mark.end)):
            mark.code = "left" if mark.code == "near_word" else "right"
            return mark
        return None
    if mark.code in ("front_word", "hind_word"):
        if after in _PLURALS or (before == "both"):
            mark.code = "LF+RF" if mark.code == "front_word" else "LH+RH"
            return mark
        if before in ("the", "his", "her") and after in ("'s", "is", "has", "one", "foot", "looks"):
            mark.code = "front_one" if mark.code == "front_word" else "hind_one"
            return mark
        return None
    if words == "at the back" and any(
            m.kind == "foot" and m.code in _ONE_FOOT and 0 <= mark.start - m.end <= 5
            for m in line.marks):  # fmt: skip
        return None  # "near fore boot's too tight at the back"
    if words == "behind" and before in _MORE_BEHIND:
        return None  # "plenty of length behind", "still good horn behind"
    if words in ("out front", "up front") and before == "straight":
        return None  # "seedy toe, straight out front": where the toe points
    sided = any(m.kind == "foot" and m.start == mark.end + 1 for m in line.marks)
    behind_what: tuple[str, ...] = ("the", "him", "her", "on", "it")
    if before in ("in", "from", "right", "just", "up"):
        behind_what += ("a", "an", "his", "that")  # "poured in behind a leather rim"
    if mark.code == "LH+RH" and words == "behind" and not sided and after in behind_what:
        return None if after != "on" else mark
    if words in ("right round", "right around") and any(
        m.kind == "foot" and m.start == mark.end for m in line.marks
    ):
        return None
    if mark.code == "LF+RF" and after == "of":
        return None
    if mark.code == "LF+RF" and words == "the front" and after in ("wall", "edge", "half"):
        return None
    return mark


_SOME_OF = frozenset({"after", "get", "take", "took", "taking", "off", "of"})
_LANDS = frozenset({"lands", "landing", "landed", "wings", "paddles", "toes", "points", "comes",
                    "swings", "goes", "hits", "drags", "flexes", "loads"})  # fmt: skip


_BACK_TO = frozenset({"out", "in", "on", "off", "up", "to", "down", "there", "where", "at", "into",
                      "over", "again", "together", "outside", "through"})  # fmt: skip
_BACK_OF = frozenset({"it", "them", "came", "come", "went", "go", "put", "him", "her"})
_MORE_BEHIND = frozenset({"length", "horn", "support", "steel", "room", "cover"})
_ROUND = ("right round", "right around", "all round", "all around")
_TO_DO = frozenset({"do", "finish", "measure", "check", "get", "try", "see", "pick", "write"})
_NOT_YET = frozenset({"'ll", "will", "to", "didn't", "haven't", "couldn't", "can't", "gonna",
                      "don't", "never", "not", "lemme", "let"})  # fmt: skip


_TWINS = {"left": ("right",), "right": ("left",), "near": ("off",), "off": ("near",),
          "front": ("behind", "hind", "back"), "behind": ("front",), "hind": ("front",),
          "back": ("front",)}  # fmt: skip
_COUNTED = {"left": "left", "near": "left", "right": "right", "off": "right", "front": "LF+RF",
            "behind": "LH+RH", "hind": "LH+RH", "back": "LH+RH"}  # fmt: skip


_OF_A_THING = frozenset({"each", "both", "all", "the", "it", "them", "of", "to", "his", "her",
                         "every", "either", "toe", "toes", "heel", "heels", "shoe"})  # fmt: skip


def _counted(line: Line, mark: Mark) -> str:
    """ "Eighty-nine near, ninety-two off", "fifty front, fifty-four behind": a value, its foot."""
    word = line.text(mark)
    if word not in _TWINS or not _number_before(line, mark.start):
        return ""
    near = range(max(0, mark.start - 12), mark.end + 12)
    twins = [i for i in near if line.norm(i) in _TWINS[word] and _number_before(line, i)]
    if not twins:
        return ""
    low, high, last = min(twins[0], mark.start), max(twins[0], mark.start), max(*twins, mark.start)
    ended = any(line.words[i].sort == "stop" for i in range(low, high))
    beyond = [m for m in line.marks if m.kind == "number" and m.start == last + 1]
    goes_on = any(line.norm(m.end) not in ("off", "from", "each") for m in beyond)
    thing = line.norm(mark.end) in _OF_A_THING
    return "" if ended or goes_on or thing else _COUNTED[word]


def _number_before(line: Line, at: int) -> bool:
    at -= line.norm(at - 1) in ("deep", "wide", "long")
    amounts = ("number", "quarter")  # a bare "quarter" is a place yet
    return any((m.kind in amounts or m.code in amounts) and m.end == at for m in line.marks)


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
    taken = any(at in m.covers() or 0 <= m.start - foot.end <= 3 for m in heads)
    return not taken and bool(heads) and heads[0].end <= at


def _of_one_foot(line: Line, mark: Mark) -> bool:
    """ "Near fore wall's thick and the white line's tight right round": of that foot."""
    timed = ("number", "clock", "time")
    aimed = line.norm(mark.start) == "right"
    if aimed and any(m.kind in timed and m.start == mark.end for m in line.marks):
        return True  # "at the toe, right around twelve o'clock"
    feet = [m for m in line.marks if m.kind == "foot" and m.end <= mark.start]
    if not feet or feet[-1].code not in _ONE_FOOT:
        return False
    return any(m.kind == "place" and feet[-1].end <= m.start and m.end <= mark.start
               and mark.start - m.end <= 3 for m in line.marks)  # fmt: skip


def _told_apart(line: Line, mark: Mark) -> bool:
    """ "In front left small right none": a pair, then its one side and its other."""
    other = "right" if mark.code == "left" else "left"
    sides = [m for m in line.marks if m.kind == "foot" and m.code in ("left", "right")]
    first, second = mark, next(
        (m for m in sides if m.code == other and 0 <= m.start - mark.end <= 5), mark
    )  # fmt: skip
    if second is mark:
        first = next((m for m in reversed(sides) if m.code == other and
                      0 <= mark.start - m.end <= 5), mark)  # fmt: skip
    if first is second or line.norm(second.start - 1) in ("the", "his", "her", "on", "in"):
        return False
    inside = range(first.end, second.start)
    if not inside or {line.norm(i) for i in inside} & {"on", "off", "it", "them", "him"}:
        return False
    if any(line.norm(i) == "the" and line.norm(i - 1) not in ("at", "in") for i in inside):
        return False
    low = first.start - line.break_at(first.start - 1)
    told = next((m for m in line.marks if m.kind == "finding" and m.end == low), None)
    low = told.start if told is not None else low
    return any(m.kind == "foot" and "+" in m.code and 0 <= low - m.end <= 1 for m in line.marks)


def _side_before(line: Line, mark: Mark, most: int = 6) -> bool:
    """The other side was said at most so many words before."""
    other = "right" if mark.code == "left" else "left"
    return other in {line.norm(i) for i in range(max(0, mark.start - most), mark.start)}


def _number_next(line: Line, mark: Mark) -> bool:
    """ "Left three and a half": a length or an angle right behind the side."""
    numbers = [m for m in line.marks if m.kind == "number"]
    return any(
        m.start == mark.end
        and (
            m.number.form == "fraction"
            or m.number.unit is not None
            or m.number.value >= 30
            # "sole depth left twelve right fourteen"
            or any(
                (line.norm(n.start - 1) == "right" and 1 <= n.start - m.end <= 2)
                or (line.norm(n.start - 1) == "left" and 0 <= mark.start - n.end <= 1)
                for n in numbers
            )
        )
        for m in numbers
    )


def _sided(line: Line, mark: Mark) -> bool:
    """A bare side between an adjective and an end ("broken back left, straight right")."""
    hit = next((m for m in line.marks if m.end == mark.start), None)
    if hit is not None and hit.code == "material":
        return False  # "plenty of steel left"
    return hit is not None and hit.kind in ("finding", "role", "number")
