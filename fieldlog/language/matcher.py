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

GAP = 5
"""Most words that ``...`` may stand for."""
NUMBER = "#"
_SYNTAX = "()[]|"
_CLITIC = re.compile(r"(?<=\w)('(?:s|ll|d|re|ve|m)\b)")
"""Notes are cut into words the same way: "it's" is two words, "don't" is one."""


@dataclass(frozen=True, slots=True)
class Hit:
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


@dataclass(slots=True)
class _Node:
    words: dict[str, list[_Node]] = field(default_factory=dict)
    free: list[_Node] = field(default_factory=list)
    accepts: list[int] = field(default_factory=list)


class Matcher:
    """A set of patterns, each with a number of the caller's choice."""

    def __init__(self, stands_for: Mapping[str, Sequence[str]] | None = None) -> None:
        """An empty set.

        Args:
            stands_for: words of a note that may also stand where these words of a pattern are.
        """
        self._stands_for = stands_for or {}
        self._root = _Node()
        self._start: frozenset[int] | None = None
        self._nodes: list[_Node] = [self._root]
        self._steps: dict[tuple[frozenset[int], str], frozenset[int]] = {}
        self._accepts: dict[frozenset[int], tuple[int, ...]] = {}
        self._gaps: dict[int, tuple[int, int]] = {}
        self._next_part = -1

    def add(self, pattern: str, key: int) -> None:
        """Add a pattern.

        Args:
            pattern: see the module text.
            key: not negative; reported in ``Hit.key``.

        Raises:
            ValueError: brackets that do not match, or nothing in the pattern.
        """
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
        pieces = _lex(pattern)
        if not pieces:
            raise ValueError(f"empty pattern: {pattern!r}")
        end, at = self._sequence(pieces, 0, self._root)
        if at != len(pieces):
            raise ValueError(f"brackets do not match in {pattern!r}")
        end.accepts.append(key)

    def _node(self) -> _Node:
        node = _Node()
        self._nodes.append(node)
        return node

    def _sequence(self, pieces: list[str], at: int, begin: _Node) -> tuple[_Node, int]:
        here = begin
        while at < len(pieces) and pieces[at] not in ("|", ")", "]"):
            piece = pieces[at]
            if piece in ("(", "["):
                here, at = self._group(pieces, at, here)
                continue
            following = self._node()
            for word in verb_forms(piece[1:]) if piece.startswith("~") else (piece,):
                here.words.setdefault(word, []).append(following)
            if piece == NUMBER:
                nodes = [following]
                for _ in range(3):
                    nodes.append(self._node())
                    nodes[-2].words.setdefault(NUMBER, []).append(nodes[-1])
                following = self._node()
                for node in nodes:
                    node.free.append(following)
            here = following
            at += 1
        return here, at

    def _group(self, pieces: list[str], at: int, begin: _Node) -> tuple[_Node, int]:
        closing = ")" if pieces[at] == "(" else "]"
        entry, out = self._node(), self._node()
        begin.free.append(entry)
        while True:
            word, after = pieces[at + 1 : at + 2], pieces[at + 2 : at + 3]
            if after in (["|"], [closing]) and word[0] not in _SYNTAX + NUMBER + "~":
                # a choice of one word needs no state of its own
                entry.words.setdefault(word[0], []).append(out)
                at += 2
            else:
                end, at = self._sequence(pieces, at + 1, entry)
                end.free.append(out)
            if at >= len(pieces):
                raise ValueError("a bracket is not closed in " + " ".join(pieces))
            if pieces[at] != "|":
                break
        if pieces[at] != closing:
            raise ValueError("brackets do not match in " + " ".join(pieces))
        if closing == "]":
            entry.free.append(out)
        return out, at + 1

    def find(
        self, words: Sequence[str], numbers: Iterable[int] = (), walls: Iterable[int] = ()
    ) -> list[Hit]:
        """Every hit of every pattern; shorter hits of the same pattern are included.

        Args:
            words: the words to search.
            numbers: indices of words that belong to numbers.
            walls: indices that no ``...`` may reach over.
        """
        self._prepare()
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
        state = self._start or frozenset()
        for at in range(start, len(words)):
            following = self._step(state, words[at])
            for other in self._stands_for.get(words[at], ()):
                following |= self._step(state, other)
            if at in is_number:
                following |= self._step(state, NUMBER)
            if not following:
                break
            state = following
            ends += [(key, at + 1) for key in self._accepting(state)]
        return ends

    def _prepare(self) -> None:
        if self._start is None:
            self._index = {id(node): n for n, node in enumerate(self._nodes)}
            self._start = self._closure([0])

    def _closure(self, nodes: Iterable[int]) -> frozenset[int]:
        todo, seen = list(nodes), set(nodes)
        while todo:
            for node in self._nodes[todo.pop()].free:
                number = self._index[id(node)]
                if number not in seen:
                    seen.add(number)
                    todo.append(number)
        return frozenset(seen)

    def _step(self, state: frozenset[int], word: str) -> frozenset[int]:
        known = self._steps.get((state, word))
        if known is None:
            reached = [
                self._index[id(node)]
                for number in state
                for node in self._nodes[number].words.get(word, ())
            ]
            known = self._closure(reached) if reached else frozenset()
            self._steps[state, word] = known
        return known

    def _accepting(self, state: frozenset[int]) -> tuple[int, ...]:
        known = self._accepts.get(state)
        if known is None:
            known = tuple({key for number in state for key in self._nodes[number].accepts})
            self._accepts[state] = known
        return known


def _lex(pattern: str) -> list[str]:
    pattern = _CLITIC.sub(r" \1", pattern)
    for mark in _SYNTAX:
        pattern = pattern.replace(mark, f" {mark} ")
    return pattern.replace("-", " ").split()


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
