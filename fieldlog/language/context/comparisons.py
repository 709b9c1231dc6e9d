"""Trends told from findings: which words compare, and with which finding they go.

"Thrush much improved" speaks of the thrush, "no change in the quarter crack" of the crack behind
it; "heels look better" has a subject of its own and stays a statement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Trend
from fieldlog.core.feet import Foot
from fieldlog.language.context.pair_apart import as_mismatched
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

TRENDS = frozenset({"better", "worse", "same", "larger", "smaller", "growing_out"})
_STATES = frozenset({"new", "gone", "growing_out", "better", "worse"})
_SMALL = frozenset({"copula", "adverb", "article", "mild", "moderate"})
_NO_TREND = frozenset({"normal", "better_shape", "change", "not_examined", "sound"})
_LINKS = frozenset(
    {
        "in", "with", "to", "on", "the", "that", "his", "her", "this", "those", "of", ",", "old",
        "a", "an", "these", "its", "for", "report",
    }
)  # fmt: skip


def settle_trends(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with each trend beside the finding that it is about."""
    out = [_growing(line, _more(line, marks, m)) for m in marks]
    out = [
        m
        for m in out
        if not (_same_thing(line, out, m) or _new_other(out, m) or _no_trend(line, m, out))
    ]
    for at, mark in enumerate(out):
        if mark.kind == "finding" and mark.code in ("better_shape", "change"):
            if about_finding(line, out, at):
                better = mark.code == "better_shape"
                mark.kind, mark.code = "role", "better" if better else "worse"
                mark.item = None
        elif (
            mark.kind == "role"
            and mark.code in TRENDS
            and not about_finding(line, out, at)
            and _behind(line, out, at)
        ):
            mark.tags.add("forward")
        elif mark.kind == "role" and mark.code in _STATES and _alone(line, out, mark):
            mark.kind = "change"
    return out


_THINGS = word_set("same_things")


def _same_thing(line: Line, marks: list[Mark], mark: Mark) -> bool:
    """ "At the same height", "the same two": no trend."""
    if mark.code == "same" and mark.kind == "role" and line.norm(mark.end) in _MAKES:
        return line.norm(mark.end - 1) == "same" and line.norm(mark.end + 1) != "as"
    return (
        mark.kind == "role"
        and mark.code == "same"
        and line.norm(mark.end - 1) == "same"
        and (line.norm(mark.end) in _THINGS or _a_noun(line, mark, marks))
        and not any(m.code == "against_last" and 0 <= m.start - mark.end <= 3 for m in marks)
        and not any(m.kind == "foot" and 0 <= m.start - mark.end <= 4 for m in marks)
    )


def _of_a_number(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Twenty mil or better", "longer than three quarters", "worse than it is"."""
    if line.norm(mark.start - 1) == "or" and mark.code in ("better", "worse"):
        return True
    at = mark.end + (line.norm(mark.end) == "than")
    if line.norm(at - 1) != "than":
        return False
    so = line.norm(at) in ("it", "he", "she") and line.norm(at + 1) in ("is", "'s", "looks")
    return so or any(m.kind == "number" and m.start in (at, at + 1) for m in marks)


_MAKES = frozenset({"kind", "sort", "size", "sizes", "pad", "pads", "shoe", "shoes", "ones"})


def _a_noun(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "The same sisters", "a better fence": a word behind it that no rule knows."""
    word = line.norm(mark.end)
    taken = any(m.holds(mark.end) for m in marks)
    things = word_set("bystanders") | word_set("owner_words")
    known = word in vocabulary() and word not in things
    return word.isalpha() and not taken and word not in _GLUE and not known


_GLUE = word_set("glue")
_GONE_SO = word_set("gone_so")
_UNMOVED = frozenset({"hasn't", "haven't", "has", "have", "not", "didn't"})
_CALMER = frozenset({"settled", "settling", "quieter"})


def _no_trend(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """Words of change that tell of none: "gone shiny", "less than an inch", "she's settled"."""
    before, last, after = (line.norm(i) for i in (mark.start - 1, mark.end - 1, mark.end))
    coming = mark.code in ("better", "better_shape") and line.text(mark) == "coming on"
    if coming and after in ("the", "his", "her", "that"):
        return True  # "a corn coming on the left front"
    if mark.kind != "role" or mark.code not in (*TRENDS, "gone"):
        return False
    if before == "be" and line.norm(mark.start - 2) in ("'ll", "will", "should", "would", "'d"):
        return True
    if mark.code != "gone" and _of_a_number(line, mark, marks):
        return True
    words = {line.norm(i) for i in mark.covers()}
    if words == {"better"} and before == "a":
        taken = any(m.holds(mark.end) for m in marks)
        return not taken and after.isalpha() and after not in _GLUE and after != "shape"
    if mark.code == "gone":
        return _gone_somewhere(line, mark, marks)
    if last == "worst":
        footed = any(m.kind in ("foot", "place") and 0 <= m.start - mark.end <= 3 for m in marks)
        return not (line.break_at(mark.end) or footed)
    if mark.code == "worse" and last == "back":
        return after in ("to", "from", "at", "for", "up", "into", "of", "where")
    if words == {"less"}:
        if after == "of" and line.norm(mark.end + 1) in ("it", "that", "them", "those", "this"):
            return line.norm(mark.end + 2) != "than" or _of_a_number(line, mark, marks)
        return after in ("than", "of") or before == "or"
    if mark.code == "same" and (other := _other_sameness(line, mark, marks, words)) is not None:
        return other
    return _if_or_calmer(line, mark, words)


def _gone_somewhere(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Gone shiny", "gone from fifty to fifty-two": not that it is there no more."""
    last, after = line.norm(mark.end - 1), line.norm(mark.end)
    if last == "from":
        return any(m.kind == "number" and m.start == mark.end for m in marks)
    if last != "gone":
        return False
    counted = any(m.kind == "number" and m.start == mark.end + 1 for m in marks)
    footed = any(m.kind == "foot" and 0 <= m.start - mark.end <= 2 for m in marks)
    return (after in _GONE_SO and not footed) or (after == "from" and counted)


def _other_sameness(line: Line, mark: Mark, marks: list[Mark], words: set[str]) -> bool | None:
    """ "The shoe hasn't moved", "filled to the knee but no further", "six weeks, same as always".

    Returns:
        Whether the words tell of no trend; None if they may.
    """
    before = line.norm(mark.start - 1)
    if line.norm(mark.start) in _UNMOVED and before in ("shoe", "shoes", "plate", "plates", "set"):
        return True
    if words == {"no", "further"} and before in ("and", "but"):
        return not any(m.code == "against_last" and 0 <= m.start - mark.end <= 2 for m in marks)
    as_ever = not words.isdisjoint(("always", "usual", "ever"))
    if as_ever and any(m.kind == "time" and mark.start - m.end in (0, 1) for m in marks):
        return True
    if "no" not in words or line.norm(mark.end) != "than":
        return None
    return line.norm(mark.end + 1) in ("a", "an", "my", "your", "the") or any(
        m.kind == "number" and m.start == mark.end + 1 for m in marks
    )


def _if_or_calmer(line: Line, mark: Mark, words: set[str]) -> bool:
    """ "If he's no better", "she's settled"."""
    supposed = "if" in (line.norm(mark.start - i) for i in (1, 2, 3))
    if supposed and words & {"better", "worse"}:
        return True
    back = mark.start - 1
    while line.norm(back) in ("'s", "is", "has", "was", "all", "a", "bit"):
        back -= 1
    return bool(words & _CALMER) and line.norm(back) in ("he", "she", "him", "her")


def _new_other(marks: list[Mark], mark: Mark) -> bool:
    """ "New rescue pony": "new" is of the finding only right before it."""
    if mark.kind != "role" or mark.code != "new" or mark.size > 1:
        return False
    following = next((m for m in marks if m.start >= mark.end and m.tells()), None)
    while following is not None and following.code in ("mild", "severe", "moderate"):
        at = following
        following = next((m for m in marks if m.start >= at.end and m.tells()), None)
    near = following is not None and following.start - mark.end <= 2
    return not near or following is None or following.kind not in ("finding", "place", "side")


def _alone(line: Line, marks: list[Mark], mark: Mark) -> bool:
    """ "Wasn't there last time." "Growing out nicely.": a sentence that only says the trend."""
    if mark.code == "new" and mark.size < 2:
        return False
    begin, end = next(r for r in line.sentences() if r[0] <= mark.start < r[1])
    others = [m for m in marks if begin <= m.start < end and m is not mark and m.tells()]
    extra = [m for m in others if m.code not in ("against_last", "mild", "history_after", "time")]
    return end - begin <= 9 and not extra


def _growing(line: Line, mark: Mark) -> Mark:
    """ "Have grown out to about half an inch": not gone yet."""
    grown = mark.code == "gone" and mark.kind == "role" and line.norm(mark.end - 1) == "out"
    if grown and line.norm(mark.end) in ("to", "about", "by", "half", "some", "past"):
        mark.code = "growing_out"
    return mark


def _more(line: Line, marks: list[Mark], mark: Mark) -> Mark:
    """ "More thrush than last time": the word before the finding is the trend."""
    if mark.kind != "finding" or line.norm(mark.start - 1) != "more" or mark.code in _NO_TREND:
        return mark
    later = [m for m in marks if m.start >= mark.end and m.code == "against_last"]
    if later and later[0].start - mark.end <= 5:
        later[0].tags.add("more")
    return mark


def rather(line: Line, unit: UnitSaid, feet: tuple[Foot, ...], before: tuple[Foot, ...]) -> bool:
    """ "(Both hinds...) Heels are low, the left more than the right": low on both."""
    if len(feet) != 1 or {*before} != {feet[0], feet[0].mate} or unit.head.kind != "finding":
        return False
    ends = [m.end for m in unit.feet() if m.start >= unit.head.end]
    said = bool(ends) and line.norm(ends[-1]) in ("more", "less", "worse")
    return said and line.norm(ends[-1] + 1) == "than"


def about_finding(line: Line, marks: Sequence[Mark], at: int) -> bool:
    """Whether the mark tells of the finding before it: no break, foot or place between."""
    start = marks[at].start
    for left in reversed(marks[:at]):
        if any(line.break_at(i) for i in range(left.end, start)):
            return False
        if left.kind == "role" and left.code in _SMALL:
            start = left.start
            continue
        if left.kind == "foot" and line.norm(left.start - 1) in ("in", "on"):
            start = left.start
            continue
        return left.kind == "finding" and left.code not in _NO_TREND
    return False


def _behind(line: Line, marks: list[Mark], at: int) -> bool:
    """ "No change in the crack", "same flare as last time": the finding stands behind."""
    mark = marks[at]
    covered = mark.end
    for right in marks[at + 1 :]:
        if any(line.norm(i) not in _LINKS for i in range(covered, right.start)):
            return False
        if right.kind == "role" and right.code in (*_SMALL, "against_last", "history_before"):
            covered = right.end
            continue
        if right.kind != "finding" or right.code in _NO_TREND:
            return False
        words = {line.norm(i) for i in range(mark.end, right.start)}
        if mark.code in ("better", "worse", "larger", "smaller", "growing_out"):
            # "better, thrush in the hinds too" is a list; "better, the thrush" says what is
            opens = not any(m.kind in ("finding", "foot", "place") for m in marks[:at])
            return opens and bool(words & {"the", "that", "his", "her", "this"}) and "," in words
        return right.start == mark.end or bool(words - {","})
    return False


_MORE_SO = frozenset({"thinner", "hotter", "warmer", "softer", "weaker", "flatter", "sorer",
                      "looser", "lamer", "ouchier", "footier", "clubbier",
                      "boxier"})  # fmt: skip


def more_so(line: Line, unit: UnitSaid) -> bool:
    """ "Soles thinner than last time": the finding itself is said to be more so."""
    return any(line.norm(i) in _MORE_SO for i in unit.head.covers())


_SPREADING = frozenset({"proud_flesh", "swelling", "hollow", "seedy_toe", "white_line_separation",
                        "white_line_disease", "corn", "bruise", "abscess_track", "open_track",
                        "wound", "sidebone", "lump"})  # fmt: skip


def grown_since(line: Line, unit: UnitSaid, trend: str) -> bool:
    """ "Proud flesh, it's smaller": of what grows or heals, its size was another one before."""
    if unit.head.code not in _SPREADING and not unit.head.code.endswith("crack"):
        return False
    return any(
        m.start >= unit.head.end
        and line.norm(m.start - 1) in ("is", "'s", "are", "looks", "looking")
        and line.norm(m.end) not in ("than", "on", "in", "at")
        for m in unit.roles(trend)
    )


_DENYING = frozenset({"not", "isn't", "never", "ain't", "hasn't", "haven't", "aren't"})


def not_so_much(line: Line, unit: UnitSaid, trend: str) -> str:
    """The trend, or ``same``: "isn't any longer than last time", "not going deeper"."""
    own = [unit.head] if unit.head.code == trend else []
    for mark in (*unit.roles(trend), *own):
        at = mark.start - 1
        while line.norm(at) in ("going", "getting", "gone", "any", "got", "much"):
            at -= 1
        if trend in ("larger", "worse") and line.norm(at) in _DENYING:
            return "same"
        words = {line.norm(mark.start - 1), line.norm(mark.start - 2)}
        if words & {"any", "no"} and words & {"isn't", "not", "no", "hasn't", "aren't"}:
            return "same"
    return trend


def no_more(line: Line, unit: UnitSaid) -> bool:
    """ "They're not underrun any more", "she quit stumbling"."""
    words = [line.norm(i) for i in range(unit.start, unit.end)]
    pairs = set(pairwise(words))
    ended = {"anymore", "stopped", "quit", "ceased"} & {*words}
    return bool(pairs & {("any", "more"), ("no", "more")} or ended)


def of_value(comparison: Comparison | None) -> Comparison | None:
    """An angle that is "coming down" gets smaller."""
    if comparison is None or comparison.trend is not Trend.GROWING_OUT:
        return comparison
    return replace(comparison, trend=Trend.SMALLER)


def _sized_against(fact: Fact) -> bool:
    """ "Near fore's a hair wider than the off fore, five and a quarter"."""
    told = fact.comparison
    return (
        told is not None
        and told.trend in (Trend.LARGER, Trend.SMALLER)
        and told.against != "last_visit"
    )


_GROW_OUT = frozenset({"abscess_track", "quarter_crack", "sand_crack", "heel_crack", "crack",
                       "event_line"})  # fmt: skip


def with_values(facts: Sequence[Fact]) -> list[Fact]:
    """ "Hinds same as last time, three and a quarter": the value that is the same."""
    out: list[Fact] = []
    for fact in facts:
        left = out[-1] if out else None
        if left is not None and left.kind is FactKind.HANDLING and _behaved(fact):
            fact = replace(fact, kind=FactKind.HANDLING, code="improving_manners", comparison=None)
        trend = fact.comparison.trend if fact.comparison else None
        if fact.code == "remaining" and trend is Trend.SMALLER and _grows_out(out, fact):
            fact = replace(fact, comparison=None)
        if left is not None and _value_of_change(left, fact):
            span = (left.span[0], fact.span[1])
            fact = replace(fact, comparison=left.comparison, span=span)
            out.pop()
        elif left is not None and _change_of_value(left, fact):
            fact = replace(left, comparison=fact.comparison, span=(left.span[0], fact.span[1]))
            out.pop()
        out.append(fact)
    return [as_mismatched(fact) for fact in out]


def _behaved(fact: Fact) -> bool:
    """ "Stood good. Better than last time"."""
    return fact.code == "better_shape" and fact.foot_basis is not FootBasis.SAID


def _grows_out(out: list[Fact], fact: Fact) -> bool:
    """ "Growing out, an inch to go": what grows is the track or the crack before."""
    at = next((i for i in range(len(out) - 1, -1, -1) if out[i].code in _GROW_OUT), None)
    if at is None or out[at].feet != fact.feet or out[at].negated:
        return False
    grown = out[at].comparison or Comparison(Trend.GROWING_OUT)
    out[at] = replace(out[at], comparison=grown, historical=False)
    return True


def _value_of_change(left: Fact, fact: Fact) -> bool:
    """ "Hinds same as last time, three and a quarter"."""
    return (
        left.code == "change"
        and left.comparison is not None
        and (left.comparison.trend is Trend.SAME or _sized_against(left))
        and not left.places
        and fact.kind is FactKind.MEASUREMENT
        and fact.comparison is None
        and set(left.feet) == set(fact.feet)
        and 0 <= fact.span[0] - left.span[1] <= 12
    )


def _change_of_value(left: Fact, fact: Fact) -> bool:
    """ "Three and a quarter, same as last time"."""
    return (
        left.kind is FactKind.MEASUREMENT
        and left.comparison is None
        and fact.code == "change"
        and fact.comparison is not None
        and fact.comparison.trend in (Trend.SAME, Trend.LARGER, Trend.SMALLER)
        and fact.comparison.against == "last_visit"
        and not fact.places
        and set(left.feet) == set(fact.feet)
        and fact.foot_basis is FootBasis.CARRIED
        and 0 <= fact.span[0] - left.span[1] <= 3
    )
