"""What was taken for something and was not: "seedy toe, left front. It isn't, just dirt"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, Reporter, SpokenCorrection
from fieldlog.language.words.units_said import HEADS, Line

_IT = frozenset({"it", "that", "he", "she"})
_NOT = frozenset({"isn't", "wasn't", "ain't"})
_IS = frozenset({"is", "'s"})
_GOES_ON = frozenset({"it", "just", "only", "but", "that", "though", "mind", "i", "so"})
"""Words behind the denial that begin something else."""
_NEAR = 9
"""Words between what is denied and the denial."""


def taken_to_be(line: Line, begin: int, end: int) -> list[tuple[int, int]]:
    """Where a bare "it isn't" stands behind a finding, with the word behind it.

    Args:
        line: words and marks.
        begin: first word.
        end: one past the last word.
    """
    out = []
    for at in range(begin, end):
        after = _denial(line, at)
        if after and after <= end and _behind_a_finding(line, at):
            out.append((at, after))
    return out


def _denial(line: Line, at: int) -> int:
    """The word behind an "it isn't" that says no more; 0 if there is none here."""
    if line.norm(at) not in _IT or not _opens(line, at):
        return 0
    after = at + 2 if line.norm(at + 1) in _NOT else 0
    if line.norm(at + 1) in _IS and line.norm(at + 2) == "not":
        after = at + 3
    asks = line.norm(after) == "it" and line.norm(after + 1) not in _IS  # "wasn't it two before"
    if not after or asks or not (line.break_at(after) or line.norm(after) in _GOES_ON):
        return 0
    return after


def _opens(line: Line, at: int) -> bool:
    """Whether a clause begins here: not in "I hope it isn't", "off fore it isn't"."""
    before = at - 1 - (line.norm(at - 1) in ("well", "but", "no"))
    return at == 0 or line.break_at(before) or any(
        m.kind == "finding" and m.end == at for m in line.marks
    )  # fmt: skip


def _behind_a_finding(line: Line, at: int) -> bool:
    told = [m for m in line.marks if m.end <= at and m.kind in HEADS]
    return bool(told) and told[-1].kind == "finding" and at - told[-1].end <= _NEAR


def with_last_denied(
    line: Line, facts: Sequence[Fact], at: int, after: int
) -> tuple[list[Fact], list[SpokenCorrection]]:
    """The facts, and what was put right: the last one, if it is a finding of today, is denied.

    Args:
        line: words and marks.
        facts: the facts so far.
        at: the first word of the denial.
        after: one past its last word.
    """
    last = facts[-1] if facts else None
    if last is None or last.kind is not FactKind.FINDING or last.negated or last.historical:
        return list(facts), []
    if last.reporter is not Reporter.FARRIER:
        return list(facts), []  # "owner says he's sound. He's not": two say two things
    said = (line.words[at].start, line.words[after - 1].end)
    denied = replace(last, negated=True, uncertain=False, span=(last.span[0], said[1]))
    return [*facts[:-1], denied], [SpokenCorrection(said, "replace_word", (last,), (denied,))]
