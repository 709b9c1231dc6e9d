"""Whose turn it is: the words of a note parted among its horses.

A part is of one horse, or of several that are told of at once. It begins where a horse is named or
described, or at a group's sentence ("both of them six weeks"); behind such a sentence the horse
before it goes on. "No, that's Bella I'm on" gives the part so far to Bella.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import partial

from fieldlog.language.horses.described import closing_descriptions, descriptions
from fieldlog.language.horses.groups import Group, groups
from fieldlog.language.horses.herd import Herd
from fieldlog.language.horses.listed import TELLS_OF_ONE
from fieldlog.language.horses.mentioned import (
    Said,
    clause_start,
    closing_start,
    how_said,
    leads_only,
)
from fieldlog.language.horses.naming import BREAKS, Opening, herd_words
from fieldlog.language.horses.put_right import cue_before, is_on, word_before
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_WHOLE_HORSE = frozenset({"time", "followup", "handling"})
"""What is told of whole horses, never of single feet."""
_WORDS = herd_words("turns")
_Event = tuple[int, int, Callable[[], None]]
"""A word, what comes first of several that begin there, and what is noted of it."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A part of the note."""

    begin: int
    """Its first word."""
    who: tuple[Opening, ...] = ()
    """The horses that it is of; none before the first is named."""
    horses: tuple[int, ...] = ()
    """The same, by their place among the horses of the note."""
    said: tuple[int, int] | None = None
    """The words that say so, one past the last; None where a horse before goes on."""


@dataclass
class _Turns:
    """The parts found so far."""

    words: Sequence[Token]
    marks: Sequence[Mark]
    herd: Herd = field(default_factory=Herd)
    out: list[Turn] = field(default_factory=list)

    @property
    def now(self) -> Turn:
        return self.out[-1] if self.out else Turn(0)

    def told(self, begin: int, end: int, kinds: Set[str] = TELLS_OF_ONE) -> list[Mark]:
        """The marks of some kinds that begin among some words."""
        return [m for m in self.marks if m.kind in kinds and begin <= m.start < end]

    def named(self, opening: Opening) -> None:
        """A horse is named or described: its part begins, or it joins those named right before."""
        last = self.now
        if self._renames(opening) or self._names(opening):
            return
        begin = opening.start if opening.begins is None else opening.begins
        horse = self.herd.place_of(opening)
        if not opening.name:
            known = self.herd.beasts[horse].opening
            details = {**known.details, **opening.details}
            opening = replace(opening, name=known.name, known=known.known, details=details)
        if last.said and self._only_joined(last.said[1], opening.start) and last.who:
            if horse not in last.horses:
                self.out[-1] = replace(
                    last, who=(*last.who, opening), horses=(*last.horses, horse),
                    said=(last.said[0], opening.end),
                )  # fmt: skip
            return
        self._worked(begin)
        self.out.append(Turn(begin, (opening,), (horse,), (opening.start, opening.end)))

    def _names(self, opening: Opening) -> bool:
        """ "The mule, call him Gus", "box one, Quiet Thunder": the name of the horse described."""
        last = self.now
        if not opening.name or len(last.who) != 1 or last.who[0].name or last.said is None:
            return False
        between = self.words[last.said[1] : opening.start]
        linked = all(w.norm in _WORDS["called"] or w.sort == "comma" for w in between)
        beast = self.herd.beasts[last.horses[0]]
        if not linked or self.herd.named(opening.name) is not None:
            return False
        told = replace(opening, details={**last.who[0].details, **opening.details})
        beast.opening, beast.looks = told, beast.looks | opening.looks
        self.out[-1] = replace(last, who=(told,), said=(last.said[0], opening.end))
        return True

    def _only_joined(self, end: int, start: int) -> bool:
        """Whether only "and" and commas stand between two names."""
        between = self.words[end:start]
        if not between:
            return True
        return (
            len(between) <= 2
            and any(w.norm in ("and", ",") for w in between)
            and all(w.norm == "and" or w.sort == "comma" for w in between)
        )

    def _worked(self, end: int) -> None:
        """Note of the horses of the last part whether a job was told of them, or anything."""
        if not self.out:
            return
        self._tell(self.now.horses, self.now.begin, end)

    def _tell(self, horses: Sequence[int], begin: int, end: int) -> None:
        """Note of some horses what some words tell of them."""
        jobs = [m for m in self.told(begin, end, frozenset({"work"}))
                if not self._denied(m.start)]  # fmt: skip
        told = 2 if jobs else int(bool(self.told(begin, end)))
        for horse in horses:
            self.herd.beasts[horse].told = max(told, self.herd.beasts[horse].told)

    def _denied(self, at: int) -> bool:
        """Whether a word shortly before a job, or its first one, says that it was not done."""
        lead = range(max(0, at - 3), at + 1)
        return any(
            m.code in ("negation", "work_negation") and m.start in lead for m in self.marks
        ) or any(self.words[word].norm in _WORDS["denies"] for word in lead)

    def _renames(self, opening: Opening) -> bool:
        """ "No, that's Bella I'm on": the part so far is of another horse than was said."""
        cue = cue_before(self.words, opening.start)
        if cue is None or not opening.name or not self.out or not self.now.who:
            return False
        last = self.now
        behind = [w.norm for w in self.words[opening.end : opening.end + 1]]
        if behind == ["'s"] and not is_on(self.words, opening.end):
            begin = max(clause_start(self.words, word_before(self.words, cue)), last.begin)
            horse = self.herd.place_of(opening)
            self.out.append(Turn(begin, (opening,), (horse,), (cue, opening.end)))
            return True
        wrong = last.horses
        renamed = replace(opening, start=cue, replaced=last.said)
        self.out[-1] = replace(
            last, who=(renamed,), horses=(self.herd.place_of(opening),), said=last.said
        )
        for horse in wrong:
            if not any(horse in turn.horses for turn in self.out):
                self.herd.beasts[horse].opening = replace(
                    self.herd.beasts[horse].opening, name="", details={}
                )
                self.herd.beasts[horse].looks = set()
        return True

    def described(self, opening: Opening, strong: bool) -> None:
        """A horse is described: another one, or the one that is spoken of."""
        beasts = self.herd.beasts
        looks = opening.looks
        after_comma = opening.start > 0 and self.words[opening.start - 1].sort == "comma"
        owned = strong and any(
            w.norm == "'s" for w in self.words[opening.start : opening.end]
        )  # "the mare, the mare's daughter"
        if (not owned and self._same_described(opening)) or (after_comma and not strong):
            return
        if not self.out or not self.now.horses:
            self.named(opening)
            return
        current = [beasts[horse] for horse in self.now.horses]
        alike = [looks <= beast.looks for beast in current]
        if any(alike):
            if len(current) > 1 and alike.count(True) == 1:
                self.named(opening)
            return
        joined = self.now.said and [
            w.norm for w in self.words[self.now.said[1] : opening.start]
        ] == ["and"]
        known = joined or any(looks <= beast.looks for beast in beasts)
        conflict = all(_differs(opening, beast.opening) for beast in current)
        if known or strong or conflict:
            self.named(opening)

    def closed(self, opening: Opening, telling: Set[int]) -> None:
        """What stands before the looks of a horse told of before is that horse's."""
        known = any(opening.looks <= beast.looks for beast in self.herd.beasts)
        if not known or self.herd.place_of(opening) in self.now.horses:
            return
        said = self.now.said
        if said is not None and self._only_joined(said[1], opening.start):
            self.named(opening)
        elif how_said(self.words, (opening.start, opening.end, ""), (), telling) is Said.CLOSES:
            begin = closing_start(self.words, opening.start, self.marks)
            self.named(replace(opening, begins=begin))

    def _same_described(self, opening: Opening) -> bool:
        """ "Box three, the filly": more of what the horse described right before looks like."""
        last = self.now
        if len(last.who) != 1 or last.said is None or _differs(opening, last.who[0]):
            return False
        between = self.words[last.said[1] : opening.start]
        if not between or not all(w.norm in _WORDS["called"] or w.sort == "comma" for w in between):
            return False
        beast = self.herd.beasts[last.horses[0]]
        beast.looks |= opening.looks
        details = {**opening.details, **beast.opening.details}
        beast.opening = replace(beast.opening, details=details)
        told = replace(last.who[0], details={**opening.details, **last.who[0].details})
        self.out[-1] = replace(last, who=(told,), said=(last.said[0], opening.end))
        return True

    def grouped(self, group: Group) -> None:
        """Several horses are spoken of at once."""
        self._worked(group.start)
        members = self._members(group)
        if group.opens_sentence and group.start and self.words[group.start - 1].sort != "stop":
            return
        if len(members) < 2 or (self.now.said and self.now.said[1] > group.start):
            return
        leading = leads_only(self.words, group.start)
        begin, until = self._reach(group, leading)
        if begin is None or not self.told(begin, until, TELLS_OF_ONE | _WHOLE_HORSE):
            return
        if group.bare and not self._of_whole_horses(begin, until, group):
            return
        before = self.now
        excepted = self._excepted(group.end, until)
        if excepted is not None:
            members = [horse for horse in members if horse not in excepted.horses]
            end, until = until, excepted.begin
        who = tuple(
            replace(self.herd.beasts[horse].opening, start=group.start, end=group.end,
                    replaced=None, begins=None)
            for horse in members
        )  # fmt: skip
        self.out.append(Turn(begin, who, tuple(members), (group.start, group.end)))
        self._tell(members, begin, until)
        if excepted is not None:
            self.out.append(excepted)
            until = end
        if until < len(self.words):
            self.out.append(Turn(until, before.who, before.horses))

    def _excepted(self, begin: int, end: int) -> Turn | None:
        """ "Everybody six weeks except Juno, she's four": the part of the one that is excepted."""
        words = self.words
        found = [at for at in range(begin, end) if words[at].norm in _WORDS["except"]]
        for at in found[:1]:
            first = at + 1
            while first < end and words[first].norm in ("for", "the", "old", "little"):
                first += 1
            for horse, beast in enumerate(self.herd.beasts):
                name = beast.opening.name.lower().split()
                named = bool(name) and [w.norm for w in words[first : first + len(name)]] == name
                if named or (first < end and words[first].norm in beast.looks):
                    last = first + (len(name) if named else 1)
                    return Turn(at, (replace(beast.opening, start=at, end=last, begins=None),),
                                (horse,), (at, last))  # fmt: skip
        return None

    def _of_whole_horses(self, begin: int, until: int, group: Group) -> bool:
        """Whether what is told there is of whole horses: "both of them" are feet where feet are
        spoken of before in the sentence."""
        if self.told(begin, until, _WHOLE_HORSE):
            return True
        start = begin
        while start > 0 and self.words[start - 1].sort != "stop":
            start -= 1
        before = [t.said[1] for t in self.out if t.said is not None and len(t.who) > 1]
        start = max([start, self.out[-1].begin if self.out[-1].said else 0, *before])
        feet = self.told(start, until, frozenset({"foot", "place"}))
        stopped = any(w.sort in BREAKS for w in self.words)
        if group.hardly_feet(self.words[group.start].norm, stopped):
            feet = [m for m in feet if not group.start <= m.start < group.end]
        return not feet

    def _members(self, group: Group) -> list[int]:
        """The horses that a group is."""
        now = set(self.now.horses)
        if group.others:
            rest = [horse for horse in self.herd.last(0) if horse not in now]
            return rest[-group.count :] if group.count else rest
        if group.looks:
            alike = self.herd.looking(set(group.looks), group.count)
            if len(alike) > 1:
                return alike
        members = self.herd.last(group.count)
        if group.bare and group.count not in (0, len(members)):
            return []
        return members

    def _reach(self, group: Group, leading: bool) -> tuple[int | None, int]:
        """The first word of what is told of a group, and the one behind the last."""
        words = self.words
        stopped = any(w.sort in BREAKS for w in words)
        behind = self.told(group.end, group.end + 2, _WHOLE_HORSE)
        if behind and not stopped:
            return group.start, self._end_of_sentence(group.end)
        if leading:
            return group.start, self._end_of_sentence(group.end)
        begin = clause_start(words, group.start - 1) if group.start else 0
        begin = max(begin, self.now.begin)
        if not stopped:
            marks = [m for m in self.marks if m.end in (group.start, group.start - 1)]
            begins = [m.start for m in marks if m.kind in TELLS_OF_ONE | _WHOLE_HORSE | {"number"}]
            return min(begins, default=None), group.end
        end = group.end
        while end < len(words) and words[end].sort not in BREAKS:
            end += 1
        return begin, end

    def _end_of_sentence(self, at: int) -> int:
        """One past the last word of the sentence; without stops, the next foot behind a fact."""
        words = self.words
        if any(w.sort == "stop" for w in words):
            while at < len(words) and words[at].sort != "stop":
                at += 1
            return at
        first = next((m.end for m in self.told(at, len(words), TELLS_OF_ONE | _WHOLE_HORSE)), at)
        feet = [m.start for m in self.told(first, len(words), frozenset({"foot"}))]
        return min(feet, default=len(words))


def _differs(one: Opening, other: Opening) -> bool:
    """Whether two descriptions cannot be of one horse."""
    return any(
        key in other.details and other.details[key] != value for key, value in one.details.items()
    )


def turns_of(
    words: Sequence[Token], marks: Sequence[Mark], opened: Sequence[Opening]
) -> list[Turn]:
    """The parts of a note, in order; none if no horse is named or described in it.

    Args:
        words: those of the note.
        marks: what patterns found in them.
        opened: where a horse is named.
    """
    found = _Turns(words, marks)
    for _, _, told in sorted(_events(found, opened), key=lambda e: e[:2]):
        told()
    if not opened and len(found.herd.beasts) < 2:
        return []
    return _in_order(found.out)


def _events(found: _Turns, opened: Sequence[Opening]) -> list[_Event]:
    """Where horses are named, described or spoken of together; none where nobody is named and one
    horse is described at most."""
    words, marks = found.words, found.marks
    taken = {at for o in opened for at in range(o.start, o.end)}
    starts = {m.start for m in marks if m.kind in TELLS_OF_ONE}
    looks = [(o, s) for o, s in descriptions(words, starts) if not taken & {*range(o.start, o.end)}]
    out: list[_Event] = [(o.start, 0, partial(found.named, o)) for o in opened]
    out += [(o.start, 1, partial(found.described, o, strong)) for o, strong in looks]
    if len(out) < 2:
        return out if opened else []
    telling = {at for m in marks if m.kind in TELLS_OF_ONE for at in m.covers()}
    out += [
        (o.start, 2, partial(found.closed, o, telling))
        for o in closing_descriptions(words)
        if not taken & {*range(o.start, o.end)}
    ]
    out += [
        (g.start, 3, partial(found.grouped, g))
        for g in groups(words)
        if not taken & {*range(g.start, g.end)}
    ]
    return out


def _in_order(turns: Sequence[Turn]) -> list[Turn]:
    """The turns by where they begin: a later one that begins there or before takes the words."""
    out: list[Turn] = []
    for turn in turns:
        while out and out[-1].begin >= turn.begin and out[-1].said is None:
            out.pop()
        if out and out[-1].begin >= turn.begin:
            turn = replace(turn, begin=out[-1].begin + 1)
        out.append(turn)
    return out
