"""Facts of neighbouring units that tell of one thing: a shoe and its clips, a refusal's reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, FootBasis
from fieldlog.language.facts.objects import only_sizes
from fieldlog.language.facts.reading_work import SHOES
from fieldlog.language.numbers.shoes import shoe_slots
from fieldlog.language.words.units_said import Line, UnitSaid

Made = list[tuple[UnitSaid, Fact]]
"""The facts of one sentence so far, each with the words that it was made of."""


def join(line: Line, facts: Sequence[Fact], made: Made) -> None:
    """Fold shoe particulars into the shoe, pair alternatives, give reasons; changes ``made``.

    Args:
        line: the words.
        facts: what the sentences before told.
        made: what this sentence tells.
    """
    joining = _Joining(line, facts, made)
    for at in range(len(made)):
        joining.look_at(at)
    for at in sorted(joining.drop, reverse=True):
        del made[at]


class _Joining:
    """One sentence's facts while they are joined."""

    def __init__(self, line: Line, facts: Sequence[Fact], made: Made) -> None:
        self.line = line
        self.facts = facts
        self.made = made
        self.shoe_at: int | None = None
        """The shoe that clips and nails behind it belong to."""
        self.drop: set[int] = set()
        """Facts that another one holds now."""

    def look_at(self, at: int) -> None:
        """Join one fact with those before it."""
        unit, fact = self.made[at]
        if self._sizes_of_the_same(at, unit, fact):
            self.drop.add(at)
            return
        if "implied" in unit.head.tags:
            fact = fact.with_doubt("implied_work", "A shoe size was said, but not the job.")
            self._put(at, fact)
        if fact.kind is FactKind.WORK:
            fact = self._with_shoe(at, unit, fact)
            if at in self.drop:
                return
        if code := self._job_meant(at, unit, fact):
            fact = replace(fact, code=code, rule=f"lexicon:{code}")
            self._put(at, fact)
        if fact.code == "staged_correction" and at and at - 1 not in self.drop:
            self._about_the_plan(at, fact)
        if fact.code == "clips":
            self._put(
                at, replace(fact, details={**fact.details, "clips": _clip_kind(self.line, unit)})
            )
        if at and fact.kind is FactKind.HANDLING:
            self._reason(at, fact)
        if at and fact.kind is FactKind.FINDING and fact.uncertain:
            self._alternatives(at, unit, fact)

    def _put(self, at: int, fact: Fact) -> None:
        self.made[at] = (self.made[at][0], fact)

    # -- shoes ----------------------------------------------------------------------------------

    def _sizes_of_the_same(self, at: int, unit: UnitSaid, fact: Fact) -> bool:
        """ "Shod all round, threes in front, twos behind": sizes of the same shoes."""
        if fact.code != "shoe" or not only_sizes(self.line, unit):
            return False
        so_far = [*self.facts[-4:], *(f for _, f in self.made[:at])]
        shod = [f for f in so_far if f.code in (*SHOES, "boot")]
        return any(set(f.feet) >= set(fact.feet) for f in shod)

    def _with_shoe(self, at: int, unit: UnitSaid, fact: Fact) -> Fact:
        """A job behind a shoe: its clips are on the shoe's feet, its nails and sizes the shoe's."""
        if fact.code in SHOES:
            self.shoe_at = at
        elif self.shoe_at is None:
            pass
        elif fact.code != "clips":
            slots = shoe_slots(self.line, unit.marks())
            if slots:
                self._fold(slots, None)
                rest = {k: v for k, v in fact.details.items() if k not in slots}
                self._put(at, replace(fact, details=rest))
        elif not unit.feet():
            return self._clips_of_shoe(at, self.shoe_at, unit, fact)
        return fact

    def _clips_of_shoe(self, at: int, shoe_at: int, unit: UnitSaid, fact: Fact) -> Fact:
        """ "Bar shoes with side clips" is one thing, "shod, side clips" are two jobs."""
        slots = shoe_slots(self.line, unit.marks())
        bar = self.made[shoe_at][1].code not in ("shoe", "reset")
        linked = "with" in [self.line.norm(unit.head.start - i) for i in (1, 2)]
        one = bar if linked else "nail_count" in slots
        self._fold({"clips": _clip_kind(self.line, unit), **slots}, fact if one else None)
        if one:
            self.drop.add(at)
        shoe = self.made[shoe_at][1]
        return replace(fact, feet=shoe.feet, foot_basis=shoe.foot_basis)

    def _fold(self, details: dict[str, str], folded: Fact | None) -> None:
        """Give the shoe its particulars, and the words of what is one with it."""
        if self.shoe_at is None:
            return
        shoe = self.made[self.shoe_at][1]
        span = shoe.span
        if folded is not None:
            span = (min(span[0], folded.span[0]), max(span[1], folded.span[1]))
        self._put(self.shoe_at, replace(shoe, details={**shoe.details, **details}, span=span))

    # -- jobs -----------------------------------------------------------------------------------

    def _job_meant(self, at: int, unit: UnitSaid, fact: Fact) -> str:
        """ "Frog's ragged, trimmed it", "flare on the outside, took it back": by what was found."""
        before = self.made[at - 1][1] if at else (self.facts[-1] if self.facts else None)
        if before is None:
            return ""
        of_frog = "frog" in before.code or "frog" in before.places
        if fact.code == "trim" and of_frog and self._says(unit, _TIDIED):
            return "pare_frog"
        if fact.code == "clean_out" and before.code == "retained_sole":
            return "pare_sole"
        if fact.code in ("open_track", "clean_out") and before.code == "folded_bar":
            return "pare_bar"
        if fact.code in _TAKES_FLARE and before.code == "flare" and self._says(unit, _IT):
            return "dress_flare"
        return ""

    def _says(self, unit: UnitSaid, words: frozenset[str]) -> bool:
        """Whether a head or the word behind it is one of these."""
        return any(self.line.norm(i) in words for i in (*unit.head.covers(), unit.head.end))

    def _about_the_plan(self, at: int, fact: Fact) -> None:
        """ "Wedge comes down next time, a bit at a time": the plan is what the steps are of."""
        planned = self.made[at - 1][1]
        if planned.kind is not FactKind.WORK or not planned.planned:
            return
        told = {**fact.details, "about": planned.code}
        fact = replace(fact, details=told, span=(planned.span[0], fact.span[1]))
        said = planned.foot_basis is FootBasis.SAID
        self._put(at, fact.on_feet_of(planned) if said else fact)
        self.drop.add(at - 1)

    # -- reasons and alternatives ---------------------------------------------------------------

    def _reason(self, at: int, fact: Fact) -> None:
        """ "Couldn't do the hinds, he kicked"; "sore to testers, snatched it away every time"."""
        earlier = self.made[at - 1][1]
        if earlier.kind is FactKind.WORK and earlier.negated:
            details = {**earlier.details, "reason": fact.code}
            self._put(at - 1, replace(earlier, details=details))
        elif earlier.code == "tester_positive" and fact.code == "snatched":
            details = {**earlier.details, "repeatable": "yes"}
            span = (earlier.span[0], fact.span[1])
            self._put(at - 1, replace(earlier, details=details, span=span))
            self.drop.add(at)

    def _alternatives(self, at: int, unit: UnitSaid, fact: Fact) -> None:
        """ "Might be a bruise or an abscess": each may be the other."""
        left, earlier = self.made[at - 1]
        either = any(self.line.norm(i) == "or" for i in range(left.head.end, unit.head.start))
        if (
            earlier.kind is FactKind.FINDING
            and earlier.uncertain
            and earlier.code != fact.code
            and (unit.has("unsure_before") or either)
            and "alternative" not in earlier.details
        ):
            self._put(at - 1, replace(earlier, details=_or_rather(earlier, fact)))
            self._put(at, replace(fact, details=_or_rather(fact, earlier)))


_IT = frozenset({"it", "them", "that"})
_TIDIED = frozenset({"it", "them", "those", "tidied"})
_TAKES_FLARE = ("pull", "set_back_toe", "trim", "lower_heel")


def _or_rather(fact: Fact, other: Fact) -> dict[str, str]:
    return {**fact.details, "alternative": other.code}


def _clip_kind(line: Line, unit: UnitSaid) -> str:
    """``toe``, ``side`` or ``quarter``; ``plain`` if that was not said."""
    words = {line.norm(i) for i in unit.head.covers()}
    return next((kind for kind in ("toe", "side", "quarter") if kind in words), "plain")
