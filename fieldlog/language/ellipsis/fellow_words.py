"""What is said of one more foot without any amount: another one, the same, the other side.

"Another on the left front", "so has the right", "and in the outside heel of the right fore",
"leather left, plastic right": the thing is the one just named, and a head is made for its fellow.
"""

from __future__ import annotations

from functools import cache

from fieldlog.language.lexicon import read_data
from fieldlog.language.senses.sentence_words import WHERE, SentenceWords
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_PREPOSITIONS = frozenset({"in", "on", "off", "at", "for", "from", "with", "of", "behind"})
TO_FOOT = _PREPOSITIONS | {"the", "his", "her", "up", "so", "my", "both"}
_TO_PLACE = frozenset({"in", "on", "at", "the", "along", "round", "around", "down", "of", "near"})
_UP = frozenset({"up", "raised", "elevated", "there"})
SAME_WHAT = frozenset({"place", "spot", "thing", "story", "deal", "job", "way", "again"})


class FellowWords(SentenceWords):
    """One sentence's feet, and the words around them that name a fellow of the thing before."""

    def __init__(self, line: Line, begin: int, end: int) -> None:
        super().__init__(line, begin, end)
        self.settle()
        self.glue = {
            i
            for m in self.marks
            if m.kind == "role" and m.code in ("copula", "adverb", "article", "starter")
            for i in m.covers()
        }

    def _between(self, low: int, high: int, words: frozenset[str]) -> bool:
        return all(
            self.line.norm(i) in words or i in self.glue or self.line.words[i].sort == "comma"
            for i in range(low, high)
        )

    def _placed(self, foot: Mark, low: int) -> bool:
        """Whether a preposition stands right before the foot ("in the", "up front")."""
        if self.line.norm(foot.start) in ("in", "up", "out", "behind", "at"):
            return True
        at = foot.start - 1
        feet = {i for m in self.marks if m.kind == "foot" for i in m.covers()}
        while at >= low and self.line.norm(at) in TO_FOOT and at not in feet:
            if self.line.norm(at) in _PREPOSITIONS:
                return True
            at -= 1
        return False

    def _lead(self, foot: Mark) -> int:
        """The word before a foot and before what leads to it: "mild in the | left hind"."""
        at = foot.start - 1
        while self.line.norm(at) in TO_FOOT and at > self.begin:
            at -= 1
        return at

    def _also_before(self, foot: Mark) -> tuple[int, int] | None:
        """The words of "so has the right", "ditto the near fore", "also in the right"."""
        at = foot.start - 1
        while self.line.norm(at) in TO_FOOT - {"so"} and at > self.begin:
            at -= 1
        word = self.line.norm(at)
        if self.line.norm(at - 1) == "same" and word in SAME_WHAT and self._placed(foot, at + 1):
            return at - 1, at + 1
        if word in ("ditto", "likewise"):
            return at, at + 1
        if word == "also" and self._placed(foot, at + 1):
            return at, at + 1
        if word in ("has", "does", "is", "did", "do", "have", "are") and self.line.norm(at - 1) in (
            "so",
            "as",
        ):
            return at - 1, at + 1
        return None

    def _same_behind(self, foot: Mark) -> bool:
        """ "Off hind same again", "in the hinds it hasn't changed"."""
        pronoun = self.line.norm(foot.end) in ("it", "they", "is", "are", "'s")
        same = next(
            (m for m in self.marks if m.code == "same" and m.start == foot.end + pronoun), None
        )
        if same is None or same.kind != "role" or self.line.norm(same.end) in ("as", "than"):
            return False
        same.kind = "change"
        foot.tags.add("looks_forward")
        return True

    def _another(self, foot: Mark) -> bool:
        """ "Another on the left front", "and one in the off fore at the quarter"."""
        at = self._lead(foot)
        if not self._placed(foot, at + 1):
            return False
        if self.line.norm(at) in ("starting", "coming", "beginning", "forming", "developing"):
            at -= 1
        begin = at
        if self.line.norm(at) == "one" and self.line.norm(at - 1) in ("another", "other"):
            begin -= 1
        before = self.line.norm(begin - 1)
        tags = {"new"} if before == "new" else set()
        if tags:
            before = "and"
        lone = before in ("the", "and", "also", "plus", "got", "'s", "is") or self.line.break_at(
            begin - 1
        )
        plenty = self.line.norm(at) in ("plenty", "some", "loads", "lots")
        pulses = [m for m in self.marks if m.kind == "finding" and m.end <= at]
        if pulses and "pulse" in pulses[-1].code and self.line.norm(at) in _UP:
            plenty = True  # "bounding in the left front, up in the right"
        if plenty or self.line.norm(begin) == "another" or (self.line.norm(at) == "one" and lone):
            self.make(Mark("change", "again", begin, at + 1, tags=tags), foot)
            return True
        return False

    def _is_so(self, source: Mark, foot: Mark) -> bool:
        """ "Neither front is sore, both hinds are": what is denied before is so here."""
        so = self.line.norm(foot.end) in ("is", "are", "was", "were", "has", "have", "does", "did")
        at = foot.end + 1
        if not so or not (self.line.break_at(at) or self.line.norm(at) in ("and", "but", "though")):
            return False
        denied = any(
            m.code in ("negation", "negation_after")
            or (m.kind == "foot" and self.line.norm(m.start) in ("neither", "none"))
            for m in self.marks
            if m.start < source.end + 3 and m.end <= foot.start
        )
        if denied:
            self.make(Mark("change", "again", foot.end, at), foot)
        return denied

    def _has_one(self, foot: Mark) -> bool:
        """ "The other front has one starting", "right front one at the toe"."""
        at = foot.end
        while self.line.norm(at) in ("has", "'s", "had", "got", "also", "even"):
            at += 1
        led = at > foot.end
        begin = at
        if self.line.norm(at) in ("another", "a") and self.line.norm(at + 1) in ("one", "smaller"):
            at += 1 + (self.line.norm(at + 1) == "smaller")
        if self.line.norm(at) != "one":
            return False
        after = self.line.norm(at + 1)
        begun = after in ("starting", "coming", "beginning", "forming", "developing")
        closes = led and (self.line.break_at(at + 1) or after in ("too", "also", "and", "but"))
        placed = after in ("at", "on", "in") and any(
            m.kind in WHERE and 0 <= m.start - at - 2 <= 1 for m in self.marks)  # fmt: skip
        if not (begun or closes or placed):
            return False
        self.make(Mark("change", "again", begin, at + 1 + begun), foot)
        return True

    def _elsewhere(self, foot: Mark) -> bool:
        """ "And in the outside heel of the right fore": the same thing at another place."""
        at = foot.start
        while self.line.norm(at - 1) in TO_FOOT and at - 1 > self.begin:
            at -= 1
        chain: list[Mark] = []
        for mark in reversed([m for m in self.marks if m.kind in WHERE]):
            if mark.end == (chain[-1].start if chain else at):
                chain.append(mark)
        if chain:
            begin = chain[-1].start
            back = begin
            while self.line.norm(back - 1) in _TO_PLACE:
                back -= 1
            if self.line.norm(back - 1) != "and":
                return False
        else:
            after = [m for m in self.marks if m.start == foot.end and m.kind in WHERE]
            if not after or self.line.norm(at - 1) != "and" or not self._placed(foot, at):
                return False
            begin = after[0].start
        self.make(Mark("change", "again", begin, begin), foot)
        return True

    def _apart(self, source: Mark, foot: Mark, earlier: list[Mark], led: bool) -> bool:
        """ "Flare in front, left outside, right inside", "leather left, plastic right"."""
        if not earlier or earlier[-1].code == foot.code:
            return False
        if "+" in foot.code and {*foot.code.split("+")} & {*earlier[-1].code.split("+")}:
            return False
        begun = any("apart" in m.tags for m in self.marks)
        jobs = [m for m in self.marks if m.kind == "work" and m.end <= foot.start]
        materials = [m for m in self.marks if m.kind == "role" and m.code == "material"]
        named = {self.line.text(m) for m in materials}
        named |= _materials() & {self.line.norm(i) for m in jobs[-1:] for i in m.covers()}
        if jobs and (source is jobs[-1] or begun) and len(named) > 1:
            before, after = self._beside(foot, materials)
            aside = after if led and after else before or after
        elif source.kind == "finding" or (source.kind == "change" and begun):
            where = [m for m in self.marks if m.kind in WHERE and m.start >= jobs_end(jobs)]
            aside = self._own_place(source, foot, earlier[-1], where, led)
        else:
            return False
        if not aside:
            return False
        behind = aside[0].start >= foot.end
        at = foot.end if behind else aside[0].start
        self.make(Mark("change", "again", at, at, tags={"apart"}), foot)
        foot.tags -= {"looks_back", "looks_forward"}
        foot.tags.add("looks_forward" if behind else "looks_back")
        return True

    def _own_place(
        self, source: Mark, foot: Mark, left: Mark, where: list[Mark], led: bool
    ) -> list[Mark]:
        """The places that are said of this foot, as others were of the foot before.

        "Lateral on the left front, medial on the right", "left front at the toe, right front at
        the heel".
        """
        before, after = self._beside(foot, where)
        if led:
            return after
        if "+" in left.code + foot.code or self.claimed(foot) or source.end > left.start:
            return []
        one, two = self._beside(left, where)
        if one and before and self._placed(foot, before[-1].end):
            return before
        return after if two else []

    def _beside(self, foot: Mark, told: list[Mark]) -> tuple[list[Mark], list[Mark]]:
        """Those of the marks that stand right before and right behind a foot."""
        before: list[Mark] = []
        low = foot.start
        for mark in reversed(told):
            if mark.end <= low and self._between(mark.end, low, TO_FOOT):
                before.insert(0, mark)
                low = mark.start
        after: list[Mark] = []
        high = foot.end
        for mark in told:
            if mark.start >= high and self._between(high, mark.start, _TO_PLACE):
                after.append(mark)
                high = mark.end
        return before, after


@cache
def _materials() -> frozenset[str]:
    """What shoes and pads are made of."""
    row = next(r for r in read_data("context")["role"] if r["id"] == "material")
    return frozenset(word for form in row["forms"] for word in form.strip("()").split("|"))


def jobs_end(jobs: list[Mark]) -> int:
    """Where the last of the jobs ends; 0 if there is none."""
    return max((m.end for m in jobs), default=0)
