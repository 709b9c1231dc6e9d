"""Times that are no appointment: how long it has been, how old, how often, and days gone by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fieldlog.language.times.dates import TimeSpan
from fieldlog.language.words.tokens import Token

_WORN = frozenset({"shoes", "shoe", "plates", "set", "been", "only", "they", "these", "those"})
_IS = frozenset({"'s", "is", "was", "about", "nearly", "over", "are", "'re", "been", "at"})


class _Time(NamedTuple):
    """A time, with the words beside it."""

    words: Sequence[Token]
    begin: int
    end: int
    before: str
    after: str
    later: str
    """The second word behind it."""

    @property
    def first(self) -> str:
        """Its first word."""
        return self.words[self.begin].norm

    @property
    def led(self) -> str:
        """The second word before it."""
        return self.words[self.begin - 2].norm if self.begin > 1 else ""


def not_ahead(words: Sequence[Token], begin: int, end: int, period: str) -> bool:
    """A time that is past ("two weeks ago"), an age, or how often ("twice a week")."""
    after = words[end].norm if end < len(words) else ""
    later = words[end + 1].norm if end + 1 < len(words) else ""
    before = words[begin - 1].norm if begin else ""
    said = _Time(words, begin, end, before, after, later)
    if _not_then(said, period):
        return True
    if after == "since" and _because(words, end + 1):
        return False
    if period and words[end - 1].norm == "now":
        return False  # "it's five weeks from now on"
    if (period and _so_long(said, period)) or _gone(said, period):
        return True
    if period and before == "next" and begin > 2:
        # "watch it the next few days" tells how long, "in the next two weeks" by when
        return words[begin - 3].norm not in ("in", "within")
    if period and ((before == "on" and said.led in _WORN) or _has_lasted(words, begin)):
        return True  # "shoes on three weeks and loose already"
    return _of_now(said) or before in ("twice", "once", "times", "thrice")


def _not_then(said: _Time, period: str) -> bool:
    """ "Not in a month, by Friday", "five weeks, not a day more", "Friday's horse"."""
    if said.after in ("'s", "done") and not period:
        return True
    if said.before == "not" and (
        said.first in ("in", "for") or said.after in ("more", "longer", "later", "over")
    ):
        return True
    return bool(period) and _ought_not(said.words, said.begin)


def _so_long(said: _Time, period: str) -> bool:
    """ "Duke, five weeks on", "seven weeks it's been", "three weeks out": how long it has been."""
    words, begin, end = said.words, said.begin, said.end
    before, after, later = said.before, said.after, said.later
    if after == "on" and begin and words[begin].sort != "stop" and _ends(words, end + 1):
        return True
    if (
        (after == "it" and later in ("has", "'s", "was"))
        or (after in ("he", "she", "they") and _has_gone(words, end + 1))
        or (after in ("is", "was") and later in ("too", "a", "plenty", "pushing", "long", "not"))
        or (after == "for" and later == "you")
        or (after == "on" and later in ("it", "them", "him", "her"))
        or after in ("between", "work", "worth", "wear", "of", "growth")
        or (after == "on" and (before in ("only", *_IS) or later in ("and", "now", "but")))
    ):
        return True
    if after == "out" and before in _IS and later not in ("from", "of"):
        return True
    return _is_no_date(words, begin, end, period)


_AGO = frozenset({"ago", "old", "since", "late", "overdue", "gone", "off", "after"})


def _gone(said: _Time, period: str) -> bool:
    """ "Two weeks ago", "last Friday", "from Monday", "said six weeks"."""
    if said.after in _AGO:
        return True
    if said.after == "back" and said.later not in ("in", "on", "for", "at"):
        return True
    if said.before == "from" or (not period and said.before in ("last", "since")):
        return True
    return bool(period) and said.before == "said"


def _of_now(said: _Time) -> bool:
    """ "For now"; "now, the left front": no time of a visit."""
    if said.first != "now":
        return False
    opens = said.begin == 0 or said.words[said.begin - 1].sort == "stop"
    return said.before == "for" or (opens and said.end - said.begin == 1)


def _has_gone(words: Sequence[Token], at: int) -> bool:
    """ "Seven weeks he | 's been", "eight weeks she | went"."""
    said = [w.norm for w in words[at : at + 2]]
    done = said[1:] in (["been"], ["gone"], ["had"], ["done"])
    return said[:1] in (["went"], ["lasted"], ["did"], ["managed"], ["had"]) or (
        done and said[0] in ("has", "'s", "had", "'d", "have", "'ve")
    )


_NOT = frozenset({"can't", "cannot", "shouldn't"})


def _ought_not(words: Sequence[Token], begin: int) -> bool:
    """ "You can't leave a cob fourteen weeks", "she shouldn't be let go ten weeks"."""
    lead = [w.norm for w in words[max(0, begin - 8) : begin]]
    left = next((i for i, w in enumerate(lead) if w in ("leave", "let")), None)
    if left is None or {"past", "over", "than"} & {*lead[left:]}:
        return False  # "I wouldn't leave him past seven weeks" says when
    said = max((i for i, w in enumerate(lead[:left]) if w in _NOT), default=left)
    return said < left and not {",", "."} & {*lead[said:]}


def _ends(words: Sequence[Token], at: int) -> bool:
    return at >= len(words) or words[at].sort in ("stop", "comma")


def _because(words: Sequence[Token], at: int) -> bool:
    """ "Eight weeks since it's winter": no time that has gone by."""
    said = [w.norm for w in words[at : at + 3]]
    return (
        said[:1] in (["it"], ["he"], ["she"], ["they"])
        and said[1:2] in (["is"], ["'s"], ["are"], ["'re"])
        and said[2:] not in (["been"], ["had"], ["seen"], ["last"])
    )


_SO_LONG = frozenset({"only", "just", "nearly", "about", "'s", "is", "barely", "now"})
_CALLED = frozenset({"called", "call", "calling", "make", "made"})


_GREW = frozenset({"mil", "inch", "inches", "growth", "eighth", "quarter", "eighths", "sixteenths",
                   "millimeters", "millimetres"})  # fmt: skip
_NUMBERS = frozenset({"one", "two", "three", "four", "five", "six"})


def _how_long(words: Sequence[Token], begin: int, end: int) -> bool:
    """ "Four mil more in ten weeks", "a week before the ride", "forty miles a week"."""
    before = words[begin - 1].norm if begin else ""
    after = [w.norm for w in words[end : end + 2]]
    first = words[begin].norm
    earlier = words[begin - 2].norm if begin > 1 else ""
    if first == "in" and (before == "growth" or (before == "more" and earlier in _GREW)):
        return True
    if after[:1] == ["before"] and first != "in":
        return True
    if before in ("already", "long", "lame") or (
        before in ("wait", "waiting", "waited")
        and bool({"don't", "not", "n't", "never"} & {w.norm for w in words[begin - 4 : begin]})
    ):
        return True
    if first == "a" and before.endswith("s") and before not in ("'s", "is", "his", "this", "was"):
        return True
    if after[:1] == ["in"] and after[1:] in (["them"], ["him"], ["her"]):
        return True
    return bool(after[:1] and after[0] in _NUMBERS and after[1:] in (["days"], ["day"]))


_YOUNG = frozenset({"foal", "foals", "filly", "colt"})


def _so_old(words: Sequence[Token], begin: int, end: int) -> bool:
    """ "Foal, seven weeks, turned out", "he's at nine weeks", "rested her a fortnight"."""
    lead = [w.norm for w in words[max(0, begin - 3) : begin]]
    after = words[end].norm if end < len(words) else ""
    if lead[-1:] == ["at"] and lead[-2:-1] in (["'s"], ["is"], ["was"], ["are"]):
        return after not in ("now", "from")
    named = lead[:-1] if lead[-1:] == [","] else lead
    if named and named[-1] in _YOUNG and words[begin].norm != "in":
        return True
    kept = len(lead) > 1 and lead[-1] in ("it", "her", "him", "them") and lead[-2] == "rested"
    return kept or after == "behind"


def _is_no_date(words: Sequence[Token], begin: int, end: int, period: str) -> bool:
    """ "Fourteen years", "ten weeks and it shows", "five weeks and six days since"."""
    if period.endswith("Y") and period not in ("P1Y", "P0.5Y"):
        return True
    after = [w.norm for w in words[end : end + 5]]
    if after[:1] == ["and"] and {"since", "ago", "old"} & set(after[2:]):
        return True
    if after[:2] == ["and", "it"] and after[2:3] in (["shows"], ["showed"], ["looks"]):
        return True
    if after[:1] == ["for"] and after[2:4] in (["is", "too"], ["'s", "too"], ["was", "too"]):
        return True
    fresh = after[:1] == ["in"] and after[1:2] in (["so"], ["and"], ["but"], ["now"])
    if fresh and words[begin - 1].norm in ("only", "just"):
        return True  # "he's only three weeks in, so I didn't trim"
    if _how_long(words, begin, end) or _so_old(words, begin, end):
        return True
    if (
        after[:1] in (["shod"], ["barefoot"], ["trimmed"], ["done"])
        and words[begin - 1].norm in _SO_LONG
    ):
        return begin > 0  # "he's only five weeks shod"
    lead = [w.norm for w in words[max(0, begin - 6) : begin]]
    if period == "P1D" and lead[-1:] == ["'s"] and "if" in lead:
        return True  # "she's an eight if she's a day"
    if period == "P1D" and words[begin].norm == "a" and lead[-1:] == ["it"]:
        return lead[-2:-1] != [] and lead[-2] in _CALLED  # "I've called it a day"
    if lead[-1:] == ["over"] or (lead[-2:] == ["that", "'s"] and "since" in lead):
        return True
    if len(lead) > 1 and lead[-1] in ("it", "her", "him", "them"):
        return lead[-2] == "left" or (
            lead[-2] in ("leave", "leaving")
            and bool({"not", "n't", "never", "don't", "won't", "shouldn't"} & set(lead))
        )
    return False


def _has_lasted(words: Sequence[Token], begin: int) -> bool:
    """ "The shoe's been on nine weeks", "he's been lame for a month": how long it has been."""
    for at in range(begin - 1, max(-1, begin - 6), -1):
        word = words[at].norm
        if words[at].sort in ("stop", "comma") or word in ("will", "'ll", "should", "would", "to"):
            return False
        if word in ("grew", "grown", "gained", "lost", "dropped", "improved", "changed"):
            return "see" not in {w.norm for w in words[max(0, at - 5) : at]}
        if word in ("done", "had", "lasted", "managed", "gone") and at == begin - 1:
            return words[begin].norm != "in"
        if word == "been":
            return words[at - 1].norm not in ("should", "ought", "would") if at else True
    return False


_WAS = frozenset({"was", "were", "had", "came", "saw", "did", "went", "since", "'d", "rode", "got",
                  "pulled", "pulling", "last", "back", "threw", "lost", "seen", "been", "blew",
                  "bought", "happened", "started", "stood", "took", "shot", "gave",
                  "found"})  # fmt: skip
_WILL = frozenset({"will", "'ll", "be", "book", "booked", "due", "coming", "come", "next", "by",
                   "recheck", "again", "call", "ring", "if", "see", "trim", "until", "till",
                   "to", "should", "for", "want", "get", "going"})  # fmt: skip


def gone_by(words: Sequence[Token], begin: int, span: TimeSpan) -> bool:
    """A bare day or month behind a past verb: "he was short Sunday", "the abscess in October"."""
    if span.due.period or span.due.anchor or span.due.on is None:
        return False
    if begin and words[begin - 1].norm in ("was", "were"):
        return True
    first = words[begin + 1 if words[begin].norm == "on" else begin].norm
    month = first == "in" or words[begin - 1].norm == "in"
    if not (first.endswith("day") and first not in ("today", "the")) and not month:
        return False
    if first.endswith("day") and "week" in span.due.spoken.lower():
        return False
    low = begin
    while low > 0 and begin - low < 9 and words[low - 1].sort != "stop":
        low -= 1
    lead = [w.norm for w in words[low:begin]]
    if lead[-1:] == ["back"]:
        return month
    told = any(w.endswith("ed") for w in lead[-3:]) or "from" in lead[-5:]
    past = bool(set(lead) & _WAS) or (month and told)
    return past and not set(lead) & _WILL
