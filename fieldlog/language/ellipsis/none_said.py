"""No fault on one more foot: "none in the right", "clean on the near fore", "off fore nothing"."""

from __future__ import annotations

from fieldlog.language.ellipsis.beside_foot import BesideFoot
from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, HEADS, Line

_SOUND_WORDS = frozenset({"clean", "clear", "fine", "good", "normal", "grand", "tidy", "lovely",
                          "perfect", "healthy", "nice", "excellent"})  # fmt: skip
_NONE = frozenset({"none", "nothing", "nil", "not"})


class NoneSaid(BesideFoot):
    """One sentence's feet, and the words that deny of them what was found on another."""

    def __init__(self, line: Line, begin: int, end: int) -> None:
        super().__init__(line, begin, end)
        self.none_first = False
        """ "None left front, none right front": said before each foot."""

    def _good_beside(self, foot: Mark) -> None:
        """ "Clean on the right", "off fore nothing": no fault seen on that foot."""
        at = self._lead(foot)
        heads = [m for m in self.marks if m.kind in HEADS and m.end <= at]
        if self._lands_beside(foot, at, heads) or self._good_before(foot, at):
            return
        no = foot.end + self.line.break_at(foot.end)
        if self.line.norm(no) in ("no", "nope") and no + 1 == self.end and not heads:
            self.make(Mark("change", "denied", no, no + 1), foot)  # "Right, no."
        elif (at := self._nothing_behind(foot)) >= 0:
            self._nothing_on(foot, at)

    def _lands_beside(self, foot: Mark, at: int, heads: list[Mark]) -> bool:
        """ "Lands toe first on the left, flat on the right"."""
        lands = bool(heads) and heads[-1].code.startswith("lands")
        flat = lands and self.line.norm(at) in ("flat", "level") and self._placed(foot, at + 1)
        if flat:
            item = find_item("lands_flat", "finding")
            self.make(Mark("finding", "lands_flat", at, at + 1, item), foot)
        return flat

    def _good_before(self, foot: Mark, at: int) -> bool:
        """ "Clean on the right"; not "not so clean on the right"."""
        before = next((m for m in self.marks if m.end == at + 1), None)
        if before is None or before.kind != "role" or before.code != "good_word":
            return False
        good = (
            self._placed(foot, at + 1)
            and self.line.norm(before.end - 1) in _SOUND_WORDS
            and self.line.norm(before.start - 1) not in ("not", "isn't", "aren't", "no", "any")
        )
        if good:
            before.kind, before.code = "finding", "normal"
            before.item = find_item("normal", "finding")
            foot.tags.add("looks_back")
        return good

    def _nothing_behind(self, foot: Mark) -> int:
        """Where "off fore nothing", "right has none", "left, nothing." says so; -1 if nowhere."""
        at = foot.end
        while self.line.norm(at) in ("has", "had", "'s", "got"):
            at += 1
        comma = at == foot.end and foot.start == self.begin and (
            self.line.norm(at) == "," and self.line.norm(at + 1) in ("nothing", "none")
        )  # fmt: skip
        at += bool(comma and (at + 2 >= self.end or self.line.break_at(at + 2)))
        word = self.line.norm(at)
        if word not in ("nothing", "none") or (word == "nothing" and at > foot.end and not comma):
            return -1
        return at

    def _nothing_on(self, foot: Mark, at: int) -> None:
        """Make the denial that stands at ``at`` behind a foot, if it closes what is said of it."""
        beyond = at + 1
        near = next((m for m in self.marks if m.start >= beyond), None)
        if self._listed_before(foot, at, near):
            self.none_first = self.behind = True
            foot.tags.add("looks_back")
            return
        closes = self.line.break_at(beyond) or beyond >= self.end or at > foot.end
        if not closes and (near is None or near.kind != "foot" or near.start != beyond):
            return
        if self.line.norm(at) == "nothing":
            item = find_item("normal", "finding")
            self.make(Mark("finding", "normal", foot.end, beyond, item), foot)
        elif any(m.kind == "finding" and m.end == foot.start for m in self.marks):
            self._denied_where_named(foot, at)
        else:
            self.make(Mark("change", "denied", at, beyond), foot)

    def _denied_where_named(self, foot: Mark, at: int) -> None:
        """ "Thrush left front none right front a bit": denied where it is named first."""
        none = Mark("role", "negation_after", at, at + 1)
        kept = [m for m in self.line.marks if not m.holds(at)]
        self.line.marks = sorted([*kept, none], key=lambda m: (m.start, m.end))
        self.marks = [m for m in self.line.marks if self.begin <= m.start < self.end]
        foot.tags.add("looks_back")

    def _none_before(self, foot: Mark) -> tuple[int, int] | None:
        """The words of "none in the right", "but not the right"."""
        at = self._lead(foot)
        if self.line.norm(at) == "nor":
            return at, at + 1
        back = at
        while self.line.norm(back) in ("to", "speak", "of", "at", "all", "much", "there", "really"):
            back -= 1
        if self.line.norm(back) in ("nothing", "none") and self._placed(foot, at + 1):
            at = back
        word = self.line.norm(at)
        if word not in _NONE:
            return None
        if word in ("none", "nil") and any(m.kind == "finding" and m.end == at for m in self.marks):
            return None  # "corn none in the left front": of the corn just named
        placed, before = self._placed(foot, at + 1), self.line.norm(at - 1)
        alone = before not in COPULAS and self._closes(foot)  # "..., not the right."
        if word == "not" and not placed and not alone and before != "but":
            return None
        told = [m for m in self.marks if m.end <= at and m.tells()]
        first = word == "none" and bool(told) and (told[-1].kind == "finding" or self.none_first)
        self.none_first = self.none_first or first
        if word != "not" and not placed and not first:
            return None
        hit = [m for m in self.marks if m.holds(at)]
        if any(m.code != "normal" and (m.kind != "role" or m.code == "pseudo_negation")
               for m in hit):  # fmt: skip
            return None
        return at, at + 1

    def _closes(self, foot: Mark) -> bool:
        """Whether nothing follows a foot in its clause."""
        ends = foot.end >= self.end or self.line.break_at(foot.end)
        return ends or self.line.norm(foot.end) in ("and", "but", "so", "though", "yet")

    def _listed_before(self, foot: Mark, at: int, near: Mark | None) -> bool:
        """ "(No heat | heat none) left front, none right front": each denial before its foot."""
        if near is None or near.kind != "foot" or near.start != at + 1 or at != foot.end:
            return False
        back = foot.start - 1
        denied = self.line.norm(back) in ("none", "nil")
        back -= denied
        head = next((m for m in self.marks if m.kind == "finding" and m.end == back + 1), None)
        if head is None:
            return self.none_first and denied
        none = denied or self.line.norm(head.start - 1) == "no"
        return denied or (none and self._right_of(near) is None)

    def _deny(self, words: tuple[int, int], foot: Mark) -> None:
        self.make(Mark("change", "denied", *words), foot)
