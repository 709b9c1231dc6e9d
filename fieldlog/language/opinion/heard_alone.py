"""Candidates for what the network surely hears and no fact tells.

``gist_marks`` proposes in words that no rule took. Here what is surely heard is proposed wherever
it stands, and what is as good as certain also where the rules had understood the words otherwise:
"a bit of thrush, none on the right" tells a rule of the right foot only.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, Reporter, SpokenCorrection
from fieldlog.core.feet import Foot
from fieldlog.language.lexicon import Item
from fieldlog.language.opinion.gist_facts import (
    GONE,
    NEAR_CORRECTION,
    SAID_ALONE,
    beside,
    kin,
    named,
    near_correction,
    on_heard_feet,
    shares,
)
from fieldlog.language.opinion.gist_marks import COMPARED, NEVER
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label

SURELY = 0.75
"""Chance from which what is heard is proposed wherever it stands in the note: of 551 such codes of
unseen writers, beside what other modules propose, 393 were so told."""
CERTAIN = 0.9
"""Chance from which it is proposed also where the rules had understood its words otherwise: of 135
such codes of unseen writers 112 were so told."""
BEYOND_DOUBT = 0.98
"""Chance from which what a promise is about, or hangs on, is a finding too."""
NEVER_TOLD = 2.0
"""No chance."""
OF_FEET = 0.5
"""Chance from which it is told of the feet that are heard, not of its host's."""
TIME_BEHIND = 40
"""Characters behind a candidate in which the time of a promise is told."""
FAR = 120
"""Characters: what lies farther apart is not one sentence, also where nobody wrote the stops."""


def heard_alone(
    facts: Sequence[Fact],
    opinion: Opinion,
    text: str,
    part: Span,
    times: Callable[[str], Due | None],
    refused: Sequence[tuple[str, Span]] = (),
    corrections: Sequence[SpokenCorrection] = (),
    mentions: Sequence[Span] = (),
) -> list[Fact]:
    """Candidates for what the network surely hears and no fact tells, also over a rule's words.

    Each is of the feet that are heard of it; foot, doubt, history and reporter else come from the
    fact whose words it shares, else from the nearest before it in its sentence; else only the foot,
    from the nearest before it. A promise takes the time that is told behind it.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        text: the note.
        part: first and last character of the entry.
        times: the first time in a phrase.
        refused: codes whose pattern a rule matched and refused, with its characters.
        corrections: what was taken back; only the rules know what holds there.
        mentions: where the horse is named; a Copper is no copper sulphate.
    """
    told = {label(f.code, f.negated) for f in facts}
    out: list[Fact] = []
    for name, span in opinion.sayings(part, SURELY):
        kind, item, negated = next(
            ((k, *named(k)[name]) for k in SAID_ALONE if name in named(k)), (None, None, False)
        )
        if item is None or kind is None or item.id in NEVER | COMPARED or name in told:
            continue
        if any(shares(m, span) for m in mentions):
            continue
        if _told_within(item, span, facts) or _scratched(item, span, corrections):
            continue
        settled = _settled(kind, item, span, facts, text)
        taken_back = near_correction(span, corrections)
        least = CERTAIN if taken_back or _refused(item, span, refused) else SURELY
        # Where something was taken back, what stands otherwise was meant to.
        if opinion.chance(item.id, negated, part) < max(least, settled) or (taken_back and settled):
            continue
        host, near = _host(facts, text, span)
        if host is None:
            continue
        told.add(name)
        out.append(_candidate(host, near, (kind, item, negated), opinion, span, text, times))
    return out


def _candidate(
    host: Fact, near: bool, heard: tuple[FactKind, Item, bool], opinion: Opinion, span: Span,
    text: str, times: Callable[[str], Due | None],
) -> Fact:  # fmt: skip
    """What is heard, told as its host is where that is ``near``."""
    kind, item, negated = heard
    fact = replace(beside(host, heard), span=span, places=(), comparison=None)
    if not near:
        fact = replace(
            fact, uncertain=False, historical=False, planned=False, reporter=Reporter.FARRIER
        )
    if kind is FactKind.FOLLOW_UP:
        due = times(text[span[0] : span[1] + TIME_BEHIND].partition(".")[0])
        return replace(fact, feet=(), foot_basis=FootBasis.WHOLE_HORSE, due=due, planned=False)
    feet = opinion.at_feet(item.id, negated, span, OF_FEET) if fact.feet else {}
    if feet:
        fact = on_heard_feet(fact, tuple(foot for foot in Foot if foot.value in feet))
    return fact


def _told_within(item: Item, span: Span, facts: Sequence[Fact]) -> bool:
    """Whether a fact over these words tells it among its own ("bar shoe with side clips"), or was
    taught."""
    return any((f.taught or item.id in f.details) and shares(f.span, span) for f in facts)


def _scratched(item: Item, span: Span, corrections: Sequence[SpokenCorrection]) -> bool:
    """ "Sole's thin on the near. Scratch that": these very words were taken back."""
    return any(
        before.code == item.id and shares(before.span, span)
        for correction in corrections
        if correction.kind in ("scratch", "restore")
        for before in correction.before
    )


def _refused(item: Item, span: Span, refused: Sequence[tuple[str, Span]]) -> bool:
    own = label(item.id, False)
    return any(label(code, False) == own and shares(at, span) for code, at in refused)


def _settled(kind: FactKind, item: Item, span: Span, facts: Sequence[Fact], text: str) -> float:
    """The chance that it takes where the rules have understood these words otherwise, and
    knowingly; 0 where they have not.

    What a promise is about, or hangs on, is no finding; what was taken away was not put on; the
    kin of a fact in its sentence is that fact; what a rule denies here is a doubt about it.
    """
    least = 0.0
    for fact in facts:
        over = shares(fact.span, span)
        alike = kin(item.id, fact.code, kind is fact.kind) or fact.code == item.id
        if over and any(r.changes.get("code") == item.id for r in fact.readings):
            least = NEVER_TOLD  # it is one key away there
        if alike and (over or _one_sentence(fact.span, span, text)):
            least = max(least, CERTAIN)
        if over and item.id == "normal" and fact.negated and fact.rule.startswith("same:"):
            least = NEVER_TOLD  # "thrush left front, right front's clean": of the thrush
        if over and fact.code in GONE and kind is FactKind.WORK:
            least = max(least, CERTAIN)
        if fact.kind is FactKind.FOLLOW_UP is not kind:
            # "ring the vet if he's lame or won't put weight on it": the condition may go on.
            tail = 0 <= span[0] - fact.span[1] < NEAR_CORRECTION
            if over or ("condition" in fact.details and tail):
                least = max(least, BEYOND_DOUBT)
    return least


def _one_sentence(one: Span, other: Span, text: str) -> bool:
    first, last = sorted((one, other))
    return "." not in text[first[1] : last[0]] and last[0] - first[1] < FAR


def _host(facts: Sequence[Fact], text: str, span: Span) -> tuple[Fact | None, bool]:
    """The fact whose foot a candidate takes, and whether it is told in the same breath."""
    over = [f for f in facts if shares(f.span, span)]
    before = sorted((f for f in facts if f.span[0] < span[0]), key=lambda f: -f.span[0])
    behind = sorted((f for f in facts if f.span[0] >= span[0]), key=lambda f: f.span[0])
    here = [f for f in before if _one_sentence(f.span, span, text)]
    return next(iter([*over, *here, *before, *behind]), None), bool(over or here)
