"""What was corrected after it was saved: a dated record shows it, with the day and the reason."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime

from fieldlog.core.facts import Fact
from fieldlog.language.in_words import in_words
from fieldlog.language.wording import DOT
from fieldlog.papers.content import Correction, Writer
from fieldlog.papers.document import Block, Bullets, Paragraph

_SAID = {"was": "Was", "now": "Now", "gone": "Left out", "new": "Added"}


def changes(
    before: Iterable[Fact], after: Iterable[Fact], say: Callable[[Fact], str]
) -> list[tuple[str, str]]:
    """What differs between two revisions, as ``was``, ``now``, ``gone`` or ``new`` and the words.

    Args:
        before: the facts of the earlier revision.
        after: those of the later one.
        say: a fact in words.
    """
    old = {f.id: say(f) for f in before}
    new = {f.id: say(f) for f in after}
    lines: list[tuple[str, str]] = []
    for fact_id, said in old.items():
        if fact_id not in new:
            lines.append(("gone", said))
        elif new[fact_id] != said:
            lines += [("was", said), ("now", new[fact_id])]
    return lines + [("new", said) for fact_id, said in new.items() if fact_id not in old]


def correction_blocks(corrections: Sequence[Correction], writer: Writer) -> list[Block]:
    """Each correction with its day and its reason, and what it changed; the oldest first."""
    blocks: list[Block] = []
    for one in corrections:
        reason = one.reason or "no reason on record"
        blocks.append(
            Paragraph(
                f"Corrected {saved_words(one.saved_at)}, revision {one.revision}: {reason}",
                strong=True,
            )
        )

        def say(fact: Fact) -> str:
            return in_words(fact, writer.british).replace(DOT, ", ")

        lines = [f"{_SAID[how]}: {said}." for how, said in changes(one.before, one.after, say)]
        if one.moved:
            lines.append(one.moved)
        blocks.append(Bullets(tuple(lines or ["Nothing in the facts differs."])))
    return blocks


def corrected_note(corrections: Sequence[Correction], what: str) -> list[Block]:
    """For a paper of one visit: that the visit was corrected, since an earlier copy may be about.

    Args:
        corrections: those of the visit.
        what: the paper, ``summary`` or ``letter``.
    """
    if not corrections:
        return []
    last = max((c.saved_at for c in corrections if c.saved_at), default=None)
    return [
        Paragraph(
            f"My notes of this visit were corrected after I saved them, last {saved_words(last)}. "
            f"An earlier copy of this {what} may say something else.",
            small=True,
        )
    ]


def saved_words(at: datetime | None) -> str:
    """``2026-11-25 18:04 UTC``."""
    return f"{at:%Y-%m-%d %H:%M %Z}".strip() if at else "on an unknown day"
