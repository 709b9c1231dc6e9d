"""What a promise hangs on: "ring the vet if he is no better in two weeks"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fieldlog.core.facts import Due
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_WONDERING = frozenset({"wonder", "wondering", "see", "know", "sure", "as", "like", "even", "what"})
"""Before "if": the finding behind it is still asked for or told of."""
_LONGEST = 16
"""Most words between "if" and the follow-up that hangs on it."""
_SHORT = 6
"""Most words of a condition that runs into the next follow-up without a pause."""


@dataclass(slots=True)
class Condition:
    """An "if" with the units that are only part of it."""

    words: str
    span: tuple[int, int]
    """First word and one past the last."""
    inside: set[int]
    """Units that make no fact of their own."""
    due: Due | None = None


def conditions(line: Line, units: list[UnitSaid]) -> dict[int, Condition]:
    """The condition of each follow-up of a sentence, by the unit's number.

    "if he's no better in two weeks ring the vet" and "ring me if he's worse" both hang on the
    follow-up; what stands inside the condition is not seen, so it makes no fact.
    """
    out: dict[int, Condition] = {}
    said = [m for unit in units for m in unit.marks() if m.kind == "role" and m.code == "if"]
    for trigger in sorted([*said, *_any_sign(line, units)], key=lambda m: m.start):
        condition = _If(line, units, trigger)
        if condition.hangs_ahead(out):
            continue
        at = condition.promise_before()
        if at is None:
            condition.stands_alone(out)
        elif at not in out:
            out[at] = condition.behind(at)
    return out


class _If:
    """One "if" of a sentence, and what stands before and behind it."""

    def __init__(self, line: Line, units: list[UnitSaid], trigger: Mark) -> None:
        self.line = line
        self.units = units
        self.trigger = trigger
        self.later = next(
            (
                at
                for at, unit in enumerate(units)
                if unit.head.kind == "followup" and 0 < unit.head.start - trigger.end <= _LONGEST
            ),
            None,
        )
        """The first follow-up behind it."""
        self.next_one = 0 if self.later is None else units[self.later].head.start
        """Where that begins."""
        self.between = [
            at
            for at, unit in enumerate(units)
            if trigger.start < unit.head.start
            and (self.later is None or unit.head.start < self.next_one)
        ]
        """The units behind it, up to the follow-up."""
        # "She will ring if he's worse the vet's coming": in one breath with what it hangs on
        self.breath = self.next_one - trigger.end >= 2 and _in_one_breath(line, units, trigger)

    def hangs_ahead(self, out: dict[int, Condition]) -> bool:
        """ "If he's no better in two weeks ring the vet": of the follow-up behind it."""
        blocked = any(self.units[b].head.kind in ("work", "value", "advice") for b in self.between)
        if self.later is None or self.later in out or blocked or self.breath:
            return False
        out[self.later] = self._up_to(self.next_one, set(self.between))
        return True

    def promise_before(self) -> int | None:
        """The last follow-up before it, if it is near enough."""
        start = self.trigger.start
        earlier = [
            at
            for at, unit in enumerate(self.units)
            if unit.head.kind == "followup" and unit.head.end <= start
        ]
        if not earlier or start - self.units[earlier[-1]].head.end > _LONGEST:
            return None
        return earlier[-1]

    def stands_alone(self, out: dict[int, Condition]) -> None:
        """ "If he pulls that shoe": nothing hangs on it, and what is supposed was not seen."""
        first = {
            at
            for at in self.between[:1]
            if self.units[at].head.start - self.trigger.end <= 4
            and (
                self.units[at].head.kind == "finding"
                or _by_the_horse(self.line, self.units[at], self.trigger)
            )
        }
        supposed = self._with_or_else(first)
        if supposed and self.line.norm(self.trigger.start - 1) not in _WONDERING:
            end = self.units[max(supposed)].head.end
            out[min(supposed)] = Condition("", (self.trigger.start, end), supposed)

    def behind(self, at: int) -> Condition:
        """ "Ring me if he's worse": of the follow-up before it."""
        near = {b for b in self.between[:1] if self.units[b].head.start - self.trigger.end <= 6}
        inside = self._with_or_else(near)
        return self._up_to(self._end(at, inside), inside)

    def _end(self, at: int, inside: set[int]) -> int:
        """Where the condition ends that hangs on the follow-up before it."""
        line, units = self.line, self.units
        end = max([units[at].end, *(units[b].head.end for b in inside)])
        if inside:
            end = min(end + 2, units[min(inside)].end)
        ahead = range(self.trigger.end, end)
        end = next((i for i in ahead if line.words[i].sort in ("comma", "pause")), end)
        end = _to_the_noun(line, end, [m for u in units for m in u.of("time")])
        if self.breath and self.next_one - self.trigger.end <= _SHORT:
            end = self.next_one
        instead = [m.start for u in units for m in u.roles("otherwise")]
        return min([end, *(i for i in instead if i > self.trigger.start)])

    def _with_or_else(self, supposed: set[int]) -> set[int]:
        """ "If he's lame or he won't put weight on it": with what an "or" adds."""
        for left, right in pairwise(self.between):
            if left in supposed and _or_else(self.line, self.units[left], self.units[right]):
                supposed.add(right)
        return supposed

    def _up_to(self, end: int, inside: set[int]) -> Condition:
        """The condition's words up to ``end``, with the time that is in them."""
        start = self.trigger.start
        times = [m for u in self.units for m in u.of("time") if start <= m.start < end]
        words = clause_words(self.line, start, end, times)
        return Condition(words, (start, end), inside, times[0].value.due if times else None)


def _in_one_breath(line: Line, units: list[UnitSaid], trigger: Mark) -> bool:
    """Whether a call ends right before the "if", with no pause between."""
    return not line.break_at(trigger.start - 1) and any(
        unit.head.kind == "followup"
        and (unit.head.code.startswith("call") or unit.head.code == "vet_visit")
        and unit.head.end == trigger.start
        for unit in units
    )


def _to_the_noun(line: Line, end: int, times: Sequence[Mark]) -> int:
    """Where a condition ends that would stop before its noun: "if there is heat in the | foot"."""
    begun = {m.start for m in times}
    while (
        line.norm(end - 1) in _LEADS_ON
        and end not in begun
        and not line.break_at(end)
        and line.words[end].sort == "word"
    ):
        end += 1
    return end


_LEADS_ON = frozenset({"the", "a", "an", "that", "this", "his", "its", "any", "of", "in", "on"})


def _or_else(line: Line, left: UnitSaid, right: UnitSaid) -> bool:
    """ "If he's lame or he won't put weight on it": the condition goes on."""
    between = [line.norm(i) for i in range(left.head.end, right.head.start)]
    alike = right.head.kind in ("finding", "handling", "change")
    return alike and "or" in between and len(between) <= 8


def _by_the_horse(line: Line, unit: UnitSaid, trigger: Mark) -> bool:
    """ "If he pulls that shoe": the horse's doing, not ours."""
    horse = line.norm(trigger.end) in ("he", "she", "it", "the", "they")
    return unit.head.kind == "work" and horse and unit.head.start - trigger.end <= 2


def _any_sign(line: Line, units: list[UnitSaid]) -> list[Mark]:
    """ "Any heat in it and she's to call the vet": a finding that has not been made."""
    out = []
    for unit, after in pairwise(units):
        at = unit.head.start - 1
        while line.norm(at) in (
            "more",
            "further",
            "new",
            "sign",
            "of",
            "signs",
            "hint",
            "at",
            "all",
        ):
            at -= 1
        begins = at == 0 or line.break_at(at - 1) or line.norm(at - 1) in ("and", "but", "so", "if")
        if (
            unit.head.kind == "finding"
            and line.norm(at) == "any"
            and begins
            and after.head.kind == "followup"
            and after.head.code in ("call", "call_weak", "vet_visit", "vet_weak", "recheck")
        ):
            out.append(Mark("role", "if", at, at + 1))
    return out


def clause_words(line: Line, begin: int, end: int, without: Sequence[Mark] = ()) -> str:
    """The words of a clause, without the times in it and what belongs to what comes after."""
    skipped = {i for m in without for i in m.covers()}
    skipped |= {m.start - 1 for m in without if line.norm(m.start - 1) in ("in", "by", "on", "at")}
    words = [
        w.norm
        for i, w in enumerate(line.words[begin:end], begin)
        if w.sort == "word" and i not in skipped
    ]
    text = " ".join(words).replace(" '", "'")
    said = text.split()
    while said and said[-1] in _CUT_OFF:
        said.pop()
    return " ".join(said) if said != ["if"] else ""


_CUT_OFF = frozenset({"you", "and", "then", "by", "in", "on", "the", "a", "an", "of", "but", "or",
                      "i'll", "we'll", "she'll", "he'll", "they'll"})  # fmt: skip
"""Words at the end of a condition that belong to what comes after it."""
