"""The words of a note, wrapped, with signs for what was heard unsurely or changed: pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content

from fieldlog.app.shown import plain
from fieldlog.core.disputes import TAKEN, quoted, readers_of, stretches
from fieldlog.core.spans import Span, touch
from fieldlog.core.words import Transcript, Word

UNSURE_BELOW = 0.6
"""Word confidence under which a word gets the sign (common practice, no source)."""

UNSURE, CHANGED, DIFFER = "?", "*", "≠"
LEGEND = f"word{UNSURE} unsure   word{CHANGED} changed   ›words of this fact‹"
DIFFER_LEGEND = f"word{DIFFER} two readers differ: o takes the second"


@dataclass(frozen=True, slots=True)
class NoteText:
    """The wrapped note."""

    content: Content
    lit_row: int
    """Row where the words of the selected fact begin; 0 if there are none."""
    rows: int


@dataclass(frozen=True, slots=True)
class _Piece:
    text: str
    style: str
    lit: bool


def _pieces(transcript: Transcript, lit: Span, about: Sequence[Span]) -> list[_Piece]:
    """One piece a word, with its sign and style."""
    words: list[tuple[Word, tuple[int, int]]]
    if transcript.words:
        words = list(zip(transcript.words, transcript.word_spans(), strict=True))
    else:
        words, at = [], 0
        for text in transcript.text.split():
            start = transcript.text.index(text, at)
            at = start + len(text)
            words.append((Word(text, 0.0, 0.0), (start, at)))
    out = []
    for word, (start, end) in words:
        sign = _sign(word)
        style = {"": "", CHANGED: "$text-accent italic"}.get(sign, "$text-warning")
        told = any(begin < stop for begin, stop in about)
        if told and not any(touch((start, end), part) for part in about):
            style = "$text-muted"
        is_lit = lit[0] < lit[1] and start < lit[1] and end > lit[0]
        out.append(_Piece(plain(word.text) + sign, style, is_lit))
    return out


def _sign(word: Word) -> str:
    if word.at_stake:
        return DIFFER
    if word.changed_by:
        return CHANGED
    return UNSURE if word.confidence < UNSURE_BELOW else ""


def who_heard(transcript: Transcript, second: str = "") -> list[str]:
    """Lines that say which reader and model made the words, and where two of them differ."""
    if not transcript.words:
        return []
    made = readers_of(transcript)
    # One reader made every word, or each is named with its share.
    lines = [
        f"Words by {next(iter(made))}."
        if len(made) == 1
        else "Words by " + ", ".join(f"{name} ({n})" for name, n in made.items()) + "."
    ]
    taken = [w for w in transcript.words if w.changed_by == TAKEN]
    lines += [
        f"“{w.text}” by {w.reader}, for “{w.heard}”." if w.heard else f"“{w.text}” by {w.reader}."
        for w in taken
    ]
    found = stretches(transcript)
    if second and not found and not taken:
        lines.append(f"{second} read it too and heard nothing else.")
    for reader in dict.fromkeys(s.reader for s in found):
        told = [(s, f"{quoted(s.theirs)} for “{s.ours}”") for s in found if s.reader == reader]
        asked = "; ".join(words for s, words in told if s.at_stake)
        other = "; ".join(words for s, words in told if not s.at_stake)
        if asked:
            lines.append(f"{reader} heard {asked} ({DIFFER}).")
        if other:
            lines.append(f"{reader} heard {other}, which changes no fact.")
    return lines


def note_text(
    transcript: Transcript,
    width: int,
    lit: Span = (0, 0),
    about: Sequence[Span] = (),
) -> NoteText:
    """The note, wrapped to ``width`` columns.

    Args:
        transcript: the note's words; ``lit`` and ``about`` are spans of its text.
        width: columns.
        lit: the words of the selected fact; they are shown reversed and between ``›`` and ``‹``.
        about: the stretches of the note that are about this horse; the rest is dimmed.
    """
    width = max(10, width)
    pieces = _pieces(transcript, lit, about)
    parts: list[Content | str] = []
    column, row, lit_row = 0, 0, -1
    for i, piece in enumerate(pieces):
        first = piece.lit and (i == 0 or not pieces[i - 1].lit)
        last = piece.lit and (i + 1 == len(pieces) or not pieces[i + 1].lit)
        text = f"{'›' if first else ''}{piece.text}{'‹' if last else ''}"
        if column and column + 1 + len(text) > width:
            parts.append("\n")
            column, row = 0, row + 1
        elif column:
            joined = piece.lit and not first
            parts.append(Content.styled(" ", "reverse bold") if joined else " ")
            column += 1
        if first and lit_row < 0:
            lit_row = row
        parts.append(Content.styled(text, "reverse bold" if piece.lit else piece.style))
        column += len(text)
    content = Content.assemble(*parts) if parts else Content("(no words were heard)")
    return NoteText(content, max(0, lit_row), row + 1)
