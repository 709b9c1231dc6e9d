"""Which foot is being talked about: a small state machine that can explain itself.

The state is the *feet in hand* (none, one, a pair, all four), whether they were named for a job
on all four only, and the *end* (front or hind) that a bare "left" would mean.

===================  ==========================  =============================  ============
spoken               state before                feet                           basis
===================  ==========================  =============================  ============
"left front", LF     any                         that foot                      said
"both fronts", ...   any                         that set                       said
"left", "right"      an end is in hand           that side of the end           said
"left", "right"      no end                      that side, front guessed       assumed
"the off side"       the other side's two feet   both of that side              said
"that foot"          feet in hand                the same feet                  carried
"the bad one"        something found on a foot   that foot                      carried
"the other one"      one foot in hand            its mate                       other_of_pair
"the other one"      pair, or none               none                           unstated
"both"               an end is in hand           that pair                      said
"both"               two other feet in hand      those two                      said
"both"               no end                      both fronts guessed            assumed
"diagonals"          any                         all four                       assumed
(nothing)            feet in hand                the same feet                  carried
(nothing)            guessed feet in hand        the same feet                  assumed
(nothing)            all four, for a job         none                           unstated
(nothing)            each of a pair was told     the pair, for findings         carried
                     of in a sentence before
(nothing)            none                        none                           unstated
(nothing), a mend    nothing wrong seen on the   the feet that something was    carried
                     feet in hand                found on last
new horse            any                         none; forget everything        -
===================  ==========================  =============================  ============

Every assignment carries one sentence that says how it was made.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.core.facts import FootBasis
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, LEFTS, RIGHTS, Foot, describe_feet

OF_THE_HORSE = frozenset({"base_narrow", "base_wide", "trot_up", "bit", "held", "lost_patience",
                           "twitched", "sleepy", "would_not_stand", "reared",
                           "improving_manners", "shifting_weight",
                           "pulled_back", "forging", "stumbling", "drugs_given", "spoke_to",
                           "advised_vet", "cross_tied", "green", "call", "bring",
                           "sedation_by_vet"})  # fmt: skip
"""A foot that was named beside them says nothing: the horse did it, or it was done to him."""
OF_A_FOOT = frozenset({"pulse_grade", "hoof_tester_grade", "club_grade"})
"""Grades of what was found on the foot in hand."""
MENDS = frozenset({"float_heel", "lower_heel", "dress_flare", "clean_out", "treat", "packing",
                    "pare_frog", "pare_bar", "open_track", "balance", "poultice",
                    "seal"})  # fmt: skip
"""Jobs that follow from a finding."""
OF_ALL = "The whole horse was done, and no foot of it was named beside that."
"""Why a job is of all four feet."""
NO_FAULT = frozenset({"normal", "better_shape", "change", "lands_flat", "not_examined"})


@dataclass(frozen=True, slots=True)
class Assignment:
    """Feet, how they came to be known, and why."""

    feet: tuple[Foot, ...]
    basis: FootBasis
    why: str


def _said(feet: tuple[Foot, ...], words: str) -> Assignment:
    return Assignment(feet, FootBasis.SAID, f"“{words}” was said here.")


UNSTATED = Assignment((), FootBasis.UNSTATED, "No foot was named and none was in hand.")


def _side(side: str, end: tuple[Foot, ...]) -> tuple[Foot, ...]:
    return tuple(f for f in end if f.is_left == (side == "left"))


@dataclass(slots=True)
class FootTracker:
    """The feet in hand; see the module text for its rules."""

    in_hand: tuple[Foot, ...] = ()
    for_job_only: bool = False
    guessed: bool = False
    """The feet in hand were assumed, so what is carried on is assumed too."""
    sick: tuple[Foot, ...] = ()
    """The one foot that something was found on last."""
    ailing: tuple[Foot, ...] = ()
    """The feet that something was found on last, which an aside about others does not change."""
    found: dict[str, tuple[Foot, ...]] = field(default_factory=dict)
    """By code: the feet that it was found on last."""
    last: tuple[str, tuple[Foot, ...]] = ("", ())
    """Code and feet of the fact before."""
    both: tuple[int, tuple[Foot, ...]] = (0, ())
    """A pair of which the same was told foot by foot, and the sentence that did."""
    distance: int = 0
    """Facts since the feet in hand were last named."""

    def forget(self) -> None:
        """A new horse: nothing carries over."""
        self.in_hand, self.for_job_only, self.distance = (), False, 0
        self.guessed, self.sick, self.ailing = False, (), ()
        self.last, self.both = ("", ()), (0, ())
        self.found.clear()

    @property
    def end(self) -> tuple[Foot, ...]:
        """The pair that a bare side would belong to, or nothing."""
        if self.in_hand and len(self.in_hand) < 4:
            if all(f in FRONTS for f in self.in_hand):
                return FRONTS
            if all(f in HINDS for f in self.in_hand):
                return HINDS
        return ()

    def name(self, means: str, words: str, take: bool = True) -> Assignment:
        """Feet for spoken words.

        Args:
            means: the ``means`` of a row in feet.toml.
            words: the words as spoken, for the explanation.
            take: take the feet in hand (False for a mere comparison).
        """
        found = self._resolve(means, words)
        if take and found.feet:
            self.in_hand, self.for_job_only, self.distance = found.feet, False, 0
            self.guessed = found.basis is FootBasis.ASSUMED
        return found

    def _resolve(self, means: str, words: str) -> Assignment:
        """The feet that words mean with what is in hand."""
        if means in ("left", "right"):
            return self._side(means, words)
        if means in ("front_one", "hind_one"):
            return self._one_of_an_end(means, words)
        if means in ("in_hand", "bad_one"):
            return self._in_hand(means, words)
        if means == "both":
            return self._both(words)
        if means.startswith("other"):
            return self._other(means, words)
        if means == "rest":
            return self._rest(words)
        if means == "diagonals":
            why = f"“{words}” does not say which diagonal."
            return Assignment(ALL_FEET, FootBasis.ASSUMED, why)
        return _said(tuple(Foot(f) for f in means.split("+")), words)

    def _side(self, means: str, words: str) -> Assignment:
        """ "The left": of the end in hand; a front, as a guess, if there is none."""
        if self.in_hand in (LEFTS, RIGHTS) and "side" in words:
            return _said(LEFTS if means == "left" else RIGHTS, words)
        if self.end:
            which = "fronts" if self.end == FRONTS else "hinds"
            why = f"“{words}” was said while the {which} were in hand."
            return Assignment(_side(means, self.end), FootBasis.SAID, why)
        why = f"“{words}” was said, front or hind was not; front is a guess."
        return Assignment(_side(means, FRONTS), FootBasis.ASSUMED, why)

    def _one_of_an_end(self, means: str, words: str) -> Assignment:
        """ "The front's better": of the side in hand, else both."""
        end = FRONTS if means == "front_one" else HINDS
        sides = {f.is_left for f in self.in_hand}
        if len(sides) != 1:
            return _said(end, words)
        left = sides.pop()
        why = f"“{words}” was said while the {'left' if left else 'right'} side was in hand."
        return Assignment(tuple(f for f in end if f.is_left == left), FootBasis.SAID, why)

    def _in_hand(self, means: str, words: str) -> Assignment:
        """ "That foot", "the bad one"."""
        feet = self.sick if means == "bad_one" and self.sick else self.in_hand
        if not feet:
            return UNSTATED
        why = f"“{words}” is the {describe_feet(feet)}, named before."
        return Assignment(feet, FootBasis.ASSUMED if self.guessed else FootBasis.CARRIED, why)

    def _both(self, words: str) -> Assignment:
        """ "Both": the pair in hand, else the fronts as a guess."""
        if self.end:
            return Assignment(self.end, FootBasis.SAID, f"“{words}”: the pair in hand.")
        if len(self.in_hand) == 2 and not self.guessed:
            return Assignment(self.in_hand, FootBasis.SAID, f"“{words}”: the two in hand.")
        why = f"“{words}” was said without a pair in hand."
        return Assignment(FRONTS, FootBasis.ASSUMED, why)

    def _rest(self, words: str) -> Assignment:
        """ "The rest": the feet that are not in hand."""
        rest = tuple(f for f in ALL_FEET if f not in self.in_hand)
        if not self.in_hand or not rest:
            return Assignment((), FootBasis.UNSTATED, "It was not said which feet came before.")
        why = f"“{words}” after the {describe_feet(self.in_hand)} means the other feet."
        return Assignment(rest, FootBasis.OTHER_OF_PAIR, why)

    def _other(self, means: str, words: str) -> Assignment:
        """ "The other one": the mate of the one foot in hand."""
        end = {"other_front": FRONTS, "other_hind": HINDS}.get(means)
        known = [f for f in self.in_hand if end is None or f in end]
        if len(known) == 1:
            mate = known[0].mate
            return Assignment(
                (mate,),
                FootBasis.OTHER_OF_PAIR,
                f"“{words}” after the {known[0].american} means the {mate.american}.",
            )
        return Assignment(
            (), FootBasis.UNSTATED, f"“{words}” was said, but not which foot came before."
        )

    def told(
        self, code: str, feet: tuple[Foot, ...], sentence: int, named: bool, again: bool
    ) -> None:
        """Keep in mind what was told of which feet.

        Args:
            code: what was told.
            feet: of which feet.
            sentence: in which sentence.
            named: whether the feet were named beside it.
            again: a measurement, or what was said before told again of other feet.
        """
        same = code == self.last[0] or code in ("change", "better_shape")
        if again and same and len(feet) == 1 and feet[0].mate in self.last[1]:
            self.both = sentence, tuple(f for f in ALL_FEET if f in (feet[0], feet[0].mate))
        elif named:
            self.both = 0, ()
        self.last = code, feet

    def back_to_both(self, sentence: int) -> None:
        """ "Left front fifty, right front fifty-two. No heat.": of both, in a later sentence."""
        if sentence > self.both[0] and {*self.in_hand} < {*self.both[1]}:
            self.in_hand = self.both[1]

    def back_to(self, thing: str) -> bool:
        """ "Left the crack alone", "took the flare off": of the foot that has it."""
        feet = next((f for code, f in reversed(self.found.items()) if thing in code), ())
        if feet and not {*feet} & {*self.in_hand}:
            self.in_hand, self.for_job_only, self.guessed = feet, False, False
        return bool(feet)

    def carry(self, job: bool = False, mend: bool = False) -> Assignment:
        """Feet for a clause that names none.

        Args:
            job: the clause is about work, which may share "all four" with the job before it.
            mend: the work mends a finding: "right front's fine. Floated that heel" is of the left.
        """
        if mend and self.ailing and not {*self.ailing} & {*self.in_hand}:
            self.in_hand, self.for_job_only, self.guessed = self.ailing, False, False
        if not self.in_hand or (self.for_job_only and not job):
            return UNSTATED
        self.distance += 1
        return Assignment(
            self.in_hand,
            FootBasis.ASSUMED if self.guessed else FootBasis.CARRIED,
            f"Carried on from the {describe_feet(self.in_hand)}, named before.",
        )
