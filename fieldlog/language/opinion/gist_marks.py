"""What the trained network hears and no rule does becomes a candidate, marked as one.

Only words that no rule took may carry a candidate, and only where the network is fairly certain.
The mark goes through the same rules as any other (foot, denial, history); its fact tells its origin
(rule ``gist:...``, doubt ``model_candidate``), so that it is always looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import expm1, log1p
from typing import Any

from fieldlog.core.changed import changed
from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.lexicon import Item, items
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.labels import label
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.tokens import Token

TAG = "gist"
CANDIDATE = "No rule tells this; the trained network hears it in these words."
FOOT_HEARD = "A second opinion on the words hears this foot."
LIKELY_SAID = 0.7
"""Chance from which a stretch is proposed."""
SURELY_SAID = 0.9
"""Chance from which it is also proposed near a pattern that a rule refused, or over words that only
say how something stands (a role), unless the code is told anywhere already."""
A_WORD_SAYS_SO = 0.1
"""Chance from which a single word belongs to the stretch."""
APART = 6
"""Words between a candidate and a mark of the same code, so that it is no second reading of it."""
COMPARED = frozenset({"change", "better_shape"})
"""Proposed only where no comparison of a rule stands: "much improved" is one of the finding."""
NEVER = frozenset({"next_trim", "cycle", "examine"})
"""A promise that is none without a time, and a word for any look at a foot: only what is as good as
certain (``BARE_PROMISE``) is proposed."""
BARE_PROMISE = 0.97
TABLES = {
    FactKind.FINDING: "findings",
    FactKind.WORK: "work",
    FactKind.HANDLING: "handling",
    FactKind.FOLLOW_UP: "followups",
}


def proposed(
    opinion: Opinion, words: Sequence[Token], marks: Sequence[Mark], matched: Sequence[Mark]
) -> list[Mark]:
    """The candidates of a note.

    Args:
        opinion: what the network says about it.
        words: its significant words.
        marks: what the rules found, disjoint.
        matched: all that a pattern matched; what a rule then refused is not proposed again.

    Returns:
        Marks that hold a word which no rule took; beside it they may only hold places and glue.
    """
    if not opinion.words:
        return []
    whole = opinion.whole
    taken = {i for m in marks if m.kind != "place" and m.tells() for i in m.covers()}
    held = taken - {i for m in marks if m.kind == "role" for i in m.covers()}
    placed = {i for m in marks if m.kind == "place" for i in m.covers()}
    said_at = _word_numbers(opinion, words)
    named, refused = _by_label(marks), _by_label(matched)
    best: list[tuple[float, Mark]] = []
    for table in TABLES.values():
        for item in items(table):
            column = opinion.columns.get(item.id)
            said = 0.0 if column is None else -expm1(float(whole[column]))
            if column is None or said < (BARE_PROMISE if item.id in NEVER else LIKELY_SAID):
                continue
            sure = said >= SURELY_SAID and item.id not in COMPARED
            logs = opinion.not_said[:, column]
            for run in _free_runs(logs, said_at, held if sure else taken):
                chance = -expm1(sum(float(logs[i]) for i in run))
                own = [said_at[i] for i in run]
                if chance < LIKELY_SAID or placed.issuperset(own):
                    continue
                if _told_already(item, min(own), max(own), named, refused, sure):
                    continue
                mark = Mark(item.table, item.id, min(own), max(own) + 1, item)
                mark.tags.add(TAG)
                best.append((chance, mark))
    out: list[Mark] = []
    for _, mark in sorted(best, key=lambda pair: -pair[0]):
        if not any(mark.start < o.end + 2 and o.start < mark.end + 2 for o in out):
            out.append(mark)
    return out


def with_origin(fact: Fact, head: Mark) -> Fact:
    """The fact of a mark, with its origin where that is not the vocabulary.

    A phrase that the farrier taught is beyond doubt by the network; what only the network heard is
    always looked at.
    """
    if "personal" in head.tags:
        return changed(fact, rule=f"personal:{head.code}")
    if TAG in head.tags:
        return changed(fact, rule=f"gist:{head.code}").with_doubt("model_candidate", CANDIDATE)
    return fact


def with_proposed(marks: Sequence[Mark], more: Sequence[Mark]) -> list[Mark]:
    """The marks with the candidates (``proposed``); places and glue under a candidate give way."""
    covered = {i for m in more for i in m.covers()}
    kept = [m for m in marks if not m.touches(covered)]
    return in_order([*kept, *more])


def _word_numbers(opinion: Opinion, words: Sequence[Token]) -> dict[int, int]:
    """From the network's words to the significant words."""
    out, at = {}, 0
    for number, (_, first, last) in enumerate(opinion.words):
        while at < len(words) and words[at].end <= first:
            at += 1
        if at < len(words) and words[at].start < last:
            out[number] = at
    return out


def _free_runs(logs: Any, said_at: dict[int, int], taken: set[int]) -> Iterator[list[int]]:
    """Runs of free words that may each say it; a word between them that does not is passed over."""
    run: list[int] = []
    for i in (logs <= log1p(-A_WORD_SAYS_SO)).nonzero()[0].tolist():
        if i not in said_at or said_at[i] in taken:
            continue
        between = range(said_at[run[-1]] + 1, said_at[i]) if run else ()
        if run and (i - run[-1] > 2 or any(k in taken for k in between)):
            yield run
            run = []
        run.append(i)
    if run:
        yield run


def _by_label(marks: Sequence[Mark]) -> dict[str, list[Mark]]:
    """The marks by the network's name for them, or for what they deny."""
    out: dict[str, list[Mark]] = {}
    for mark in marks:
        out.setdefault(label(mark.code, False).removeprefix("not:"), []).append(mark)
    return out


def _told_already(
    item: Item,
    begin: int,
    end: int,
    marks: Mapping[str, Sequence[Mark]],
    matched: Mapping[str, Sequence[Mark]],
    sure: bool,
) -> bool:
    """Whether a mark beside it says the same, or a rule has refused a pattern of it there.

    One that is ``sure`` may stand beside a refused pattern but not on one, and is nothing new where
    any mark says the same. The marks are those of ``_by_label``.
    """

    def within(mark: Mark, apart: int) -> bool:
        return mark.start < end + apart and begin < mark.end + apart

    same, refused = marks.get(item.id, ()), matched.get(item.id, ())
    if sure:
        return bool(same) or any(within(m, 1) for m in refused)
    promises = marks.values() if item.table == "followup" else ()
    return any(within(m, APART) for m in (*same, *refused)) or any(
        m.kind == "followup" and within(m, APART) for alike in promises for m in alike
    )
