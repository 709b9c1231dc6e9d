"""Words that may be a side or an end: "left" is a verb too, "off" and "near" are often no sides.

"Front" and "hind" alone are a pair only before a plural.
"""

from __future__ import annotations

from fieldlog.language.feet.foot_said import FootSaid, Rule
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, Line

AFTER_VERB_LEFT = word_set("after_verb_left")
_NOT_SIDE_AFTER = {"left": AFTER_VERB_LEFT, "right": word_set("after_adverb_right")}
"""Behind the verb "left" and the adverb "right"."""
_SIDE_BEFORE = word_set("before_side")
_SIDE_AFTER = word_set("after_side")
_PLURALS = word_set("plural_of_feet")
_OPENERS = frozenset({"", ".", ",", ";", "|", "and", "um", "uh"})
_COMPARATIVES = frozenset({"lower", "higher", "longer", "shorter", "wider", "narrower", "bigger",
                           "smaller", "worse", "better", "more", "less"})  # fmt: skip
_TELLS = frozenset({"mild", "moderate", "severe", "better", "worse"})
_LANDS = frozenset({"lands", "landing", "landed", "wings", "paddles", "toes", "points", "comes",
                    "swings", "goes", "hits", "drags", "flexes", "loads"})  # fmt: skip
_PARTS = frozenset({"toe", "heel", "frog", "sole"})
_HIS = frozenset({"the", "his", "her"})
_SIDE_OF = {"near_word": "left", "off_word": "right"}


def settled_side(said: FootSaid) -> Mark | None:
    """ "Left", "right": the mark if it is a side; None if it is a verb or an adverb."""
    if any(no_side(said) for no_side in _NO_SIDE):
        return None
    side = any(is_side(said) for is_side in _SIDE_TOLD) or _side_by_its_neighbours(said)
    return said.mark if side else None


def settled_near_off(said: FootSaid) -> Mark | None:
    """ "Near", "off": left and right where a foot is told of; None in "near the barn"."""
    if not any(is_side(said) for is_side in _NEAR_OFF):
        return None
    said.mark.code = _SIDE_OF[said.mark.code]
    return said.mark


def settled_end(said: FootSaid) -> Mark | None:
    """ "Front", "hind": a pair before a plural, one of it in "the front's"; None elsewhere."""
    front = said.mark.code == "front_word"
    if said.after in _PLURALS or said.before == "both":
        said.mark.code = "LF+RF" if front else "LH+RH"
        return said.mark
    if said.before in _HIS and said.after in ("'s", "is", "has", "one", "foot", "looks"):
        said.mark.code = "front_one" if front else "hind_one"
        return said.mark
    return None


# -- "left" and "right" -------------------------------------------------------------------------


def _all_right(said: FootSaid) -> bool:
    """ "All right", "that's right", "just right"."""
    fine = ("all", "that's", "about", "just", "not", "isn't")
    return said.words == "right" and said.before in fine


def _is_right(said: FootSaid) -> bool:
    """ "And she's right.": whoever says so."""
    told = said.words == "right" and said.before in ("'s", "is", "'re", "was")
    who = said.lead(2) in ("she", "he", "it", "that", "they", "vet", "owner")
    return told and who and said.ends()


def _somebody_left(said: FootSaid) -> bool:
    """ "I left", "we've left"."""
    who = ("i", "i've", "he", "'ve", "we", "have", "got")
    return said.words == "left" and said.before in who


_NO_SIDE: tuple[Rule, ...] = (_all_right, _is_right, _somebody_left)


def _starts(said: FootSaid) -> bool:
    return said.mark.start == 0 or said.line.words[said.mark.start - 1].sort == "stop"


def _told_apart(said: FootSaid) -> bool:
    """ "In front left small right none": a pair, then its one side and its other."""
    line = said.line
    first, second = _both_sides(line, said.mark)
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


def _both_sides(line: Line, mark: Mark) -> tuple[Mark, Mark]:
    """The side and the other one near it, in their order; twice the side if there is no other."""
    other = "right" if mark.code == "left" else "left"
    sides = [m for m in line.marks if m.kind == "foot" and m.code == other]
    behind = next((m for m in sides if 0 <= m.start - mark.end <= 5), None)
    if behind is not None:
        return mark, behind
    before = next((m for m in reversed(sides) if 0 <= mark.start - m.end <= 5), mark)
    return before, mark


def _moves(said: FootSaid) -> bool:
    """ "Left lands flat": at a beginning."""
    return said.after in _LANDS and (_starts(said) or said.before in _OPENERS)


def _set_apart(said: FootSaid) -> bool:
    """ "Left, a bit of thrush"."""
    return _starts(said) and said.after == ","


def _before_its_number(said: FootSaid) -> bool:
    """ "Toe left three and a half": a measure, a place or a beginning before the side."""
    at, cues = said.mark.start, ("place", "measure", "number", "foot")
    cued = any(m.end == at and m.kind in cues for m in said.line.marks)
    return (said.opens() or cued) and _number_next(said.line, said.mark)


def _compared(said: FootSaid) -> bool:
    """ "Left is a bit lower than the right"."""
    ahead = [said.line.norm(i) for i in range(said.mark.end, said.mark.end + 6)]
    return "than" in ahead and bool(set(ahead[:3]) & _COMPARATIVES)


def _the_same(said: FootSaid) -> bool:
    """ "Left's got a corn, right the same"."""
    same = said.after == "same" or (
        said.after == "the" and said.line.norm(said.mark.end + 1) == "same"
    )
    return same and _side_before(said.line, said.mark, 12)


def _more_so(said: FootSaid) -> bool:
    """ "Thrush in both, left more so"."""
    return said.after == "more" and said.line.norm(said.mark.end + 1) in ("so", "than")


def _graded_in_turn(said: FootSaid) -> bool:
    """ "Right just a touch, left a bit": the other side was told, and no more follows."""
    line, mark = said.line, said.mark
    grade = next((m for m in line.marks if m.start == mark.end and m.code in _TELLS), None)
    if grade is None or not _side_before(line, mark):
        return False
    return line.break_at(grade.end) or any(
        m.start == grade.end and (m.kind in ("foot", "work") or m.code in ("article", "starter"))
        for m in line.marks
    )


def _graded_behind_feet(said: FootSaid) -> bool:
    """ "Thrush in the hinds, right worse"."""
    marks, start, end = said.line.marks, said.mark.start, said.mark.end
    return (
        said.opens()
        and any(
            m.kind == "role" and m.code in _TELLS and 0 <= m.start - end <= 1 for m in marks
        )
        and any(m.kind == "foot" and m.end < start for m in marks)
    )  # fmt: skip


def _sided_in_front(said: FootSaid) -> bool:
    """ "Fifty three right in front"."""
    in_front = said.after == "in" and said.line.norm(said.mark.end + 1) == "front"
    return in_front and _sided(said.line, said.mark)


_SIDE_TOLD: tuple[Rule, ...] = (
    _told_apart, _moves, _set_apart, _before_its_number, _compared, _the_same, _more_so,
    _graded_in_turn, _graded_behind_feet, _sided_in_front,
)  # fmt: skip


def _side_by_its_neighbours(said: FootSaid) -> bool:
    """ "The left", "right heel", "broken back left": by the words right beside it."""
    banned = said.after in _NOT_SIDE_AFTER[said.words]
    weak = said.before in ("and", "just", "then", "to", "that") and banned
    if said.before in _SIDE_BEFORE and not weak:
        return True
    sided = _sided(said.line, said.mark)
    if said.ends():
        if not sided:
            return False
        if not said.line.break_at(said.mark.start - 1):
            return True
    if said.after in _SIDE_AFTER and not banned:
        return True
    return not banned and said.after not in ("long", "full") and sided


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


# -- "near" and "off" ---------------------------------------------------------------------------


def _than_the_off(said: FootSaid) -> bool:
    """ "Longer than off."."""
    return said.before == "than" and said.ends()


def _about_the_same(said: FootSaid) -> bool:
    """ "The off about the same"."""
    end = said.mark.end
    roughly = said.after in ("about", "just", "much", "roughly")
    same = roughly and "same" in {said.line.norm(i) for i in range(end, end + 3)}
    return same and said.before == "the"


def _subject_off(said: FootSaid) -> bool:
    """ "Off lands level", "off's got a pad", "near I left"."""
    following = said.line.norm(said.mark.end + 1)
    had = said.after == "never" and following == "had"
    mine = said.after == "i" and following in ("left", "'ve", "just", "did")
    told = said.after in _LANDS or said.after in COPULAS or said.after in ("just", "only")
    return said.opens() and (told or had or mine)


def _the_off_never(said: FootSaid) -> bool:
    """ "The off never grew"."""
    return said.before == "the" and said.after == "never"


def _near_toe_measured(said: FootSaid) -> bool:
    """ "Near toe ninety-six, off toe ninety-four"."""
    line, start, end = said.line, said.mark.start, said.mark.end
    other = "near" if said.mark.code == "off_word" else "off"
    in_turn = other in {line.norm(i) for i in range(max(0, start - 12), start)}
    goes_on = in_turn and any(m.kind == "number" and m.end == start for m in line.marks)
    if said.after not in _PARTS or not (said.before in _OPENERS or goes_on):
        return False
    return any(m.kind == "number" and 0 <= m.start - end - 1 <= 1 for m in line.marks)


_AFTER_THE_OFF = _SIDE_AFTER - _PARTS | {",", "i", "just", "more", "less"}


def _the_off(said: FootSaid) -> bool:
    """ "In the off", "off the near toe", "the near is"."""
    lead = said.lead(2)
    placed = lead in ("in", "on") and said.after not in ("chance", "season")
    placed = placed or (lead == "off" and said.after in ("toe", "heel"))
    return said.before in _HIS and (placed or said.after in _AFTER_THE_OFF or said.ends())


_NEAR_OFF: tuple[Rule, ...] = (
    _than_the_off, _about_the_same, _subject_off, _the_off_never, _near_toe_measured, _the_off,
)  # fmt: skip
