"""The help: what the screen is for and every key that it has."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldlog.app.keys import Key
from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.widgets.chrome import NAMES

EVERYWHERE = (
    "F2 to F6 open the same five screens while you type. The number of the screen you are on reads "
    "it anew, if another window may have changed something."
)
CAUTION = (
    "fieldlog notes what a farrier sees; it does not diagnose. Diagnosis, sedation, radiographs "
    "and medicines belong to a licensed veterinarian; local law and codes come first. "
    "Never handle a screen while you are under a horse."
)


SHEET_COLUMNS = 84
"""As in app.tcss, where it is at most 96 of 100 columns wide as well."""
_EDGES = 10
"""Border, margin and scroll bar, left and right."""
_INDENT = " " * 11
"""A phrase that is too long goes on under its beginning, not under the key."""


class HelpScreen(Sheet[None]):
    """A page over the screen that asked."""

    BINDINGS: ClassVar[list[BindingType]] = [("question_mark,f1,q,enter", "close", "close")]

    def __init__(self, name: str, about: str, keys: Sequence[Key], shared: Sequence[Key]) -> None:
        super().__init__()
        self._title = NAMES.get(name, name)
        self._about = about
        self._keys = tuple(keys)
        self._shared = tuple(shared)

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="sheet", classes="tall") as sheet:
            sheet.border_title = f"Help: {self._title}"
            sheet.border_subtitle = "↑ ↓ scroll   Esc closes"
            yield Static(Content(self._about), classes="gap")
            if self._keys:
                yield Static(self._table("On this screen", self._keys), classes="gap")
            yield Static(self._table("Everywhere", self._shared), classes="gap")
            yield Static(Content(EVERYWHERE), classes="gap")
            yield Static(Content(CAUTION))

    def on_mount(self) -> None:
        self.query_one("#sheet").focus()

    def _table(self, title: str, keys: Sequence[Key]) -> Content:
        room = min(SHEET_COLUMNS, int(self.app.size.width * 0.96)) - _EDGES - len(_INDENT)
        rows: list[Content | str] = [Content.styled(title, "bold")]
        for key in keys:
            what = f"\n{_INDENT}".join(wrap(key.what, max(20, room)))
            rows += ["\n  ", Content.styled(f"{key.shown:<9}", "bold $text-accent"), what]
        return Content.assemble(*rows)
