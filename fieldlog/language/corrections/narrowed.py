"""A pair that is narrowed at once: "thrush in both hinds. Well, the left." is of the left only."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_CUTS = frozenset({"well", "just", "only", "actually", "rather", "mean"})
"""Words of which one has to stand there."""
_SMALL = _CUTS | {"the", "one", "that", "is", "'s", "it", "not", "both", "in", "on", "i", "really",
                  "no", "or", "him", "her", "his", ",", "."}  # fmt: skip
_OF_FEET = frozenset({FactKind.FINDING, FactKind.WORK, FactKind.MEASUREMENT})


def narrowed(
    line: Line,
    loose: Sequence[Mark],
    stretch: tuple[int, int],
    tracker: FootTracker,
    facts: Sequence[Fact],
) -> tuple[list[Fact], SpokenCorrection] | None:
    """The facts with the last one cut to a foot of its pair, and the correction that says so.

    Args:
        line: words and marks.
        loose: the marks of a sentence that tells nothing by itself.
        stretch: its first word and the one behind its last.
        tracker: resolves the name of the foot, which is then in hand.
        facts: what was told so far.

    Returns:
        None unless the sentence names one foot of the last fact's pair and nothing else.
    """
    feet = [m for m in loose if m.kind == "foot"]
    last = facts[-1] if facts else None
    if last is None or len(feet) != 1 or len(last.feet) != 2 or last.kind not in _OF_FEET:
        return None
    words = {line.norm(i) for i in range(*stretch) if i not in feet[0].covers()}
    if not words & _CUTS or words - _SMALL:
        return None
    held = tracker.in_hand
    named = tracker.name(feet[0].code, line.text(feet[0])).feet
    if len(named) != 1 or named[0] not in last.feet:
        tracker.in_hand = held
        return None
    why = f"“{line.text(feet[0])}” was said of the pair just told of."
    cut = replace(last, feet=named, foot_basis=FootBasis.SAID, why_foot=why)
    span = (line.words[stretch[0]].start, line.words[stretch[1] - 1].end)
    return [*facts[:-1], cut], SpokenCorrection(span, "move_foot", (last,), (cut,))
