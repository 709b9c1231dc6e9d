"""The whole note on a sheet: every word, what was taken back, and what made no fact."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from fieldlog.app.note_text import note_text
from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.views import EntryView
from fieldlog.app.widgets.entry_pane import kept_as_said

WIDTH = 76
"""Columns of text on a full sheet."""


class NoteScreen(Sheet[None]):
    """Shows one entry's note; returns nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [("w,enter,q", "close", "close")]

    def __init__(self, view: EntryView, lit: tuple[int, int], british: bool = False) -> None:
        super().__init__()
        self._view = view
        self._lit = lit
        self._british = british

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="sheet", classes="tall") as sheet:
            sheet.border_title = "The whole note"
            sheet.border_subtitle = "↑ ↓ scroll   Esc closes"
            width = min(WIDTH, self.app.size.width - 10)
            words = note_text(self._view.transcript, width, self._lit, self._view.entry.span)
            yield Static(words.content, classes="gap")
            yield Static(kept_as_said(self._view, width, self._british))

    def on_mount(self) -> None:
        self.query_one("#sheet").focus()
