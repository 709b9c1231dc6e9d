"""The whole note on a sheet: every word, what was taken back, and what made no fact."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldlog.app.note_text import note_text, who_heard
from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.shown import content, plain
from fieldlog.app.views import EntryView
from fieldlog.app.widgets.entry_pane import kept_as_said
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.app.desk import Desk

WIDTH = 76
"""Columns of text on a full sheet."""


def _lines(text: str) -> str:
    return "\n".join(plain(line) for line in text.split("\n"))


class NoteScreen(Sheet[None]):
    """Shows one entry's note; returns nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("w,n,enter,q", "close", "close"),
        ("p,space", "play", "play"),
        ("1,f2", "correct", "correct it on the day screen"),
    ]

    def __init__(
        self, desk: Desk, view: EntryView, fact: Fact | None, correct: Callable[[str, str], None],
        british: bool = False,
    ) -> None:  # fmt: skip
        """Set up; ``correct`` opens an entry at a fact on the day screen."""
        super().__init__()
        self._open = correct
        self._desk = desk
        self._view = view
        self._fact = fact
        self._british = british

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="sheet", classes="tall") as sheet:
            sheet.border_title = "The whole note"
            sheet.border_subtitle = "↑ ↓ scroll   p plays   1 corrects it   Esc closes"
            when = f"{self._view.when:%Y-%m-%d %H:%M}"
            yield Static(content(f"{self._view.name}, {when}"), classes="gap")
            width = min(WIDTH, self.app.size.width - 10)
            lit = self._fact.span if self._fact is not None else (0, 0)
            words = note_text(self._view.transcript, width, lit, self._view.entry.stretches)
            yield Static(words.content, classes="gap")
            yield Static(kept_as_said(self._view, self._british))
            who = "\n".join(who_heard(self._view.transcript, self._view.second))
            if who:
                yield Static(Content.styled(_lines(who), "$text-muted"), classes="above")

    def on_mount(self) -> None:
        self.query_one("#sheet").focus()

    def action_correct(self) -> None:
        """On the day screen, whatever day it is of; a saved one changes by a new revision."""
        self.dismiss()
        self._open(self._view.entry.id, self._fact.id if self._fact is not None else "")

    async def action_play(self) -> None:
        """The piece of the lit words, or the whole note."""
        fact, sheet = self._fact, self.query_one("#sheet")
        start, end = fact.sound if fact is not None and fact.sound is not None else (0.0, None)
        if self._view.sound is None:
            sheet.border_subtitle = "There is no sound for this note."
            return
        try:
            await self._desk.play(self._view.sound, start, end)
        except FieldlogError as problem:
            sheet.border_subtitle = problem.message
