"""Finds many phrase patterns in a list of words at once.

The pattern language of the data files::

    thrush                  a word
    (high|tall) heel        one of several, each may be several words
    [old] scar              optional
    ~trim                   a regular verb in all its forms: trim, trims, trimmed, trimming
    #                       a word of a spoken or written number, one to four of them
    set ... back            up to five other words between two parts

All patterns are compiled into one automaton whose deterministic states are made as they are
needed, so thousands of alternatives cost no more than the words that are really spoken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import count
from typing import NamedTuple

GAP = 5
"""Most words that ``...`` may stand for."""
NUMBER = "#"
_SYNTAX = "()[]|"
_ENDS = ("|", ")", "]")
_PIECE = re.compile(r"[()\[\]|]|[^\s()\[\]|-]+")
_GROUP_OR_PIECE = re.compile(rf"[(\[][^()\[\]]*[)\]]|{_PIECE.pattern}")
_CLITIC = re.compile(r"(?<=\w)('(?:s|ll|d|re|ve|m)\b)")
"""Notes are cut into words the same way: "it's" is two words, "don't" is one."""


class Hit(NamedTuple):
    """A pattern found at words ``start`` to ``end`` (end excluded)."""

    start: int
    end: int
    key: int
    gap: tuple[int, int] | None = None
    """The words that ``...`` stood for; they do not belong to the hit."""

    @property
    def size(self) -> int:
        """How many words belong to it."""
        return self.end - self.start - (self.gap[1] - self.gap[0] if self.gap else 0)


@dataclass(slots=True, eq=False)
class _State:
    """The nodes that some words lead to."""

    nodes: frozenset[int]
    keys: tuple[int, ...] = ()
    """The patterns that end here."""
    steps: dict[str, _State] = field(default_factory=dict)
    """Where the words lead that were spoken here so far."""
    numbers: dict[str, _State] = field(default_factory=dict)
    """The same for words of a number."""


class Matcher:
    """A set of patterns, each with a number of the caller's choice."""

    def __init__(self, stands_for: Mapping[str, Sequence[str]] | None = None) -> None:
        """An empty set.

        Args:
            stands_for: words of a note that may also stand where these words of a pattern are.
        """
        self._stands_for = stands_for or {}
        self._node = count(1).__next__
        # By node: the nodes that each word spoken there leads to.
        self._leads: dict[int, dict[str, tuple[int, ...]]] = {}
        # By node: those that are reached from it without a word.
        self._free: dict[int, list[int]] = {}
        self._keys: dict[int, list[int]] = {}
        self._gaps: dict[int, tuple[int, int]] = {}
        self._next_part = -1
        self._forget()

    def _forget(self) -> None:
        """Drop the states made so far: the patterns have changed."""
        self._first: dict[str, list[int]] = {}
        self._spoken_at: dict[str, list[int]] = {}
        self._states: dict[frozenset[int], _State] = {}
        self._start = _State(frozenset({0}))

    def add(self, pattern: str, key: int) -> None:
        """Add a pattern.

        Args:
            pattern: see the module text.
            key: not negative; reported in ``Hit.key``.

        Raises:
            ValueError: brackets that do not match, or nothing in the pattern.
        """
        if self._first:
            self._forget()
        if "..." in pattern:
            head, _, tail = pattern.partition("...")
            first, second = self._next_part, self._next_part - 1
            self._next_part -= 2
            self._gaps[first] = (second, key)
            self._add_plain(head.strip(), first)
            self._add_plain(tail.strip(), second)
        else:
            self._add_plain(pattern, key)

    def _add_plain(self, pattern: str, key: int) -> None:
        pieces = _GROUP_OR_PIECE.findall(_apart(pattern))
        if not pieces:
            raise ValueError(f"empty pattern: {pattern!r}")
        end, at = self._sequence(pieces, 0, 0)
        if at != len(pieces):
            raise ValueError(f"brackets do not match in {pattern!r}")
        self._keys.setdefault(end, []).append(key)

    def _lead(self, node: int, words: Iterable[str], to: int) -> None:
        """Let words spoken at a node lead to another."""
        known = self._leads.get(node)
        if known is None:
            self._leads[node] = dict.fromkeys(words, (to,))
            return
        for word in words:
            known[word] = (*known[word], to) if word in known else (to,)

    def _join(self, node: int, to: int) -> None:
        if node in self._free:
            self._free[node].append(to)
        else:
            self._free[node] = [to]

    def _sequence(self, pieces: Sequence[str], at: int, begin: int) -> tuple[int, int]:
        """Pieces up to a mark that ends them: the node that they lead to, and where the mark is."""
        here = begin
        while at < len(pieces) and pieces[at] not in _ENDS:
            if pieces[at] in ("(", "["):
                here, at = self._group(pieces, at, here)
                continue
            piece_of = self._choice if pieces[at][0] in "([" else self._word
            here, at = piece_of(pieces[at], here), at + 1
        return here, at

    def _word(self, piece: str, here: int) -> int:
        """A word, a verb or a number."""
        if piece == NUMBER:
            return self._number(here)
        following = self._node()
        self._lead(here, verb_forms(piece[1:]) if piece[0] == "~" else (piece,), following)
        return following

    def _number(self, here: int) -> int:
        """One to four words of a number."""
        out = self._node()
        for _ in range(4):
            following = self._node()
            self._lead(here, (NUMBER,), following)
            self._join(following, out)
            here = following
        return out

    def _choice(self, group: str, begin: int) -> int:
        """A group that holds no other."""
        words, phrases = _choices(group)
        out = self._node()
        self._lead(begin, words, out)
        for phrase in phrases:
            here = begin
            for piece in phrase:
                here = self._word(piece, here)
            self._join(here, out)
        if group[0] == "[":
            self._join(begin, out)
        return out

    def _group(self, pieces: Sequence[str], at: int, begin: int) -> tuple[int, int]:
        """A group with others in it."""
        closing = ")" if pieces[at] == "(" else "]"
        out = self._node()
        if closing == "]":
            self._join(begin, out)
        while True:
            end, at = self._sequence(pieces, at + 1, begin)
            self._join(end, out)
            if at >= len(pieces):
                raise ValueError("a bracket is not closed in " + " ".join(pieces))
            if pieces[at] != "|":
                break
        if pieces[at] != closing:
            raise ValueError("brackets do not match in " + " ".join(pieces))
        return out, at + 1

    def words(self) -> set[str]:
        """Every single word that some pattern names."""
        return set().union(*self._leads.values()) - {NUMBER}

    def find(
        self, words: Sequence[str], numbers: Iterable[int] = (), walls: Iterable[int] = ()
    ) -> list[Hit]:
        """Every hit of every pattern; shorter hits of the same pattern are included.

        Args:
            words: the words to search.
            numbers: indices of words that belong to numbers.
            walls: indices that no ``...`` may reach over.
        """
        if not self._first:
            self._index()
        is_number = set(numbers)
        blocked = set(walls)
        found: list[Hit] = []
        halves: dict[int, list[Hit]] = {}
        for start in range(len(words)):
            for key, end in self._walk(words, start, is_number):
                hit = Hit(start, end, key)
                if key >= 0:
                    found.append(hit)
                else:
                    halves.setdefault(key, []).append(hit)
        for first, (second, key) in self._gaps.items():
            for head in halves.get(first, ()):
                for tail in halves.get(second, ()):
                    between = range(head.end, tail.start)
                    if 0 <= tail.start - head.end <= GAP and not blocked.intersection(between):
                        gap = (head.end, tail.start) if between else None
                        found.append(Hit(head.start, tail.end, key, gap))
        return found

    def _walk(self, words: Sequence[str], start: int, is_number: set[int]) -> list[tuple[int, int]]:
        ends: list[tuple[int, int]] = []
        state = self._start
        for at in range(start, len(words)):
            word = words[at]
            number = at in is_number
            steps = state.numbers if number else state.steps
            following = steps.get(word) or self._step(state, word, number)
            if not following.nodes:
                break
            state = following
            for key in state.keys:
                ends.append((key, at + 1))
        return ends

    def _index(self) -> None:
        """At which nodes each word may be spoken, and where it leads as the first of a pattern:
        nearly every step of a note starts one anew."""
        for node, leads in self._leads.items():
            for word in leads:
                self._spoken_at.setdefault(word, []).append(node)
        for node in self._closure([0]):
            for word, ends in self._leads.get(node, {}).items():
                self._first.setdefault(word, []).extend(ends)

    def _closure(self, nodes: Iterable[int]) -> frozenset[int]:
        """The nodes and those that are reached from them without a word."""
        seen, free = set(nodes), self._free
        todo = [node for node in seen if node in free]
        while todo:
            for node in free[todo.pop()]:
                if node not in seen:
                    seen.add(node)
                    if node in free:
                        todo.append(node)
        return frozenset(seen)

    def _step(self, state: _State, word: str, number: bool) -> _State:
        """Where a word leads, or one that it stands for, or that it is of a number."""
        nodes = self._reached(state, word)
        for other in (*self._stands_for.get(word, ()), *([NUMBER] if number else ())):
            nodes |= self._reached(state, other)
        steps = state.numbers if number else state.steps
        steps[word] = following = self._state(nodes)
        return following

    def _reached(self, state: _State, word: str) -> frozenset[int]:
        if state is self._start:
            reached = self._first.get(word, [])
        else:
            reached = self._led(state.nodes, word)
        return self._closure(reached) if reached else frozenset()

    def _led(self, nodes: frozenset[int], word: str) -> list[int]:
        """Where a word leads from some nodes; it or they may be many, so the fewer are tried."""
        spoken_at = self._spoken_at.get(word, ())
        if len(spoken_at) < len(nodes):
            able = [node for node in spoken_at if node in nodes]
        else:
            able = [node for node in nodes if word in self._leads.get(node, ())]
        return [to for node in able for to in self._leads[node][word]]

    def _state(self, nodes: frozenset[int]) -> _State:
        known = self._states.get(nodes)
        if known is None:
            ends = self._keys
            keys = {key for node in nodes if node in ends for key in ends[node]}
            self._states[nodes] = known = _State(nodes, tuple(keys))
        return known


def _apart(pattern: str) -> str:
    """The pattern with its words cut as those of a note are."""
    return _CLITIC.sub(r" \1", pattern) if "'" in pattern else pattern


def _lex(pattern: str) -> list[str]:
    """The words and marks of a pattern."""
    return _PIECE.findall(_apart(pattern))


@cache
def _choices(group: str) -> tuple[list[str], list[list[str]]]:
    """The words that a group offers, and what else it offers; many groups are met again.

    Raises:
        ValueError: its brackets do not match.
    """
    if group[0] + group[-1] not in ("()", "[]"):
        raise ValueError(f"brackets do not match in {group!r}")
    words, others = [], []
    for offer in group[1:-1].split("|"):
        pieces = offer.replace("-", " ").split()
        if len(pieces) == 1 and pieces[0][0] not in NUMBER + "~":
            words += pieces
        else:
            others.append(pieces)
    return words, others


@cache
def verb_forms(verb: str) -> tuple[str, ...]:
    """The regular forms of a verb: ``trim`` gives trim, trims, trimmed, trimming."""
    vowels = "aeiou"
    if verb.endswith("e"):
        return (verb, verb + "s", verb + "d", verb[:-1] + "ing")
    if verb.endswith("y") and verb[-2:-1] not in tuple(vowels):
        return (verb, verb[:-1] + "ies", verb[:-1] + "ied", verb + "ing")
    ending = "es" if verb.endswith(("s", "sh", "ch", "x", "z")) else "s"
    short = (
        len(verb) >= 3
        and verb[-1] not in vowels + "wxyh"
        and verb[-2] in vowels
        and verb[-3] not in vowels
        and sum(letter in vowels for letter in verb) == 1
    )
    stem = verb + verb[-1] if short else verb
    return (verb, verb + ending, stem + "ed", stem + "ing")


def words_of(pattern: str) -> set[str]:
    """The single words that a pattern mentions, for vocabulary audits."""
    out: set[str] = set()
    for piece in _lex(pattern.replace("...", " ")):
        if piece.startswith("~"):
            out.update(verb_forms(piece[1:]))
        elif piece not in _SYNTAX and piece != NUMBER:
            out.add(piece)
    return out
