"""The search line, looked for as it is typed, and the list of what it found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static

from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.search_rows import TEACH, nothing_found, row, so_many_found, taught, whole
from fieldlog.app.shown import pad, plain
from fieldlog.app.widgets.grouped_list import MARGINS, NARROWEST, GroupedList
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.app.afterwards import Found
    from fieldlog.records.types import SearchHit

KEPT = "Kept searches (Enter runs one, d forgets it)"
KEPT_KEY = "kept:"
"""Before the name of a kept search in the key of its row."""
WAIT_SECONDS = 0.25
"""After the last typed letter, before it is looked for."""


class SearchList(ToolScreen):
    """Looking for a line and showing what it found, or the kept searches."""

    def __init__(self) -> None:
        super().__init__()
        self.hits: dict[str, SearchHit] = {}
        self.kept: dict[str, str] = {}
        self._asked = ""

    def body(self) -> list[Widget]:
        return [
            Input(placeholder="words, or finding: foot: horse: since: …", compact=True, id="line"),
            Static(id="found", classes="head", markup=False),
            GroupedList("hits"),
            Static(id="said", classes="head", markup=False),
            Static(TEACH, id="teach", markup=False),
        ]

    def on_mount(self) -> None:
        self.query_one("#hits").display = False
        self.query_one("#line").focus()

    def on_resize(self) -> None:
        self.query_one("#teach", Static).update(taught(self.size.width))

    @on(Input.Changed, "#line")
    def _typing(self) -> None:
        self.set_timer(WAIT_SECONDS, self._settled)

    async def _settled(self) -> None:
        await self.look_for(self.query_one("#line", Input).value)

    @on(Input.Submitted, "#line")
    async def _submitted(self, event: Input.Submitted) -> None:
        await self.look_for(event.value)
        if self.hits:
            self.query_one("#hits").focus()

    async def look_for(self, text: str) -> None:
        """Search and show."""
        text = text.strip()
        if text == self._asked:
            return
        self._asked = text
        self.answer.clear()
        if not text:
            self._show([], "")
            return
        try:
            found = await self.tool.desk.search(text)
        except FieldlogError as problem:
            self._show([], "")
            self.trouble(problem)
            return
        if text == self._asked:
            self._show(found.hits, text, found)

    def _show(self, hits: Sequence[SearchHit], text: str, read: Found | None = None) -> None:
        self.hits = {f"{n}": hit for n, hit in enumerate(hits)}
        listed = self.query_one("#hits", GroupedList)
        kept = self.kept if not text else {}
        listed.display = bool(hits or kept)
        self.query_one("#teach", Static).display = not hits
        listed.set_class(not hits, "short")
        self.query_one("#said", Static).display = bool(hits)
        found = self.query_one("#found", Static)
        if not hits:
            found.update(nothing_found(text, read))
            rows = [(f"{KEPT_KEY}{name}", Content(f" {pad(name, 20)}  {plain(line)}"))
                    for name, line in kept.items()]  # fmt: skip
            listed.fill([(KEPT, rows)] if rows else [])
            return
        found.update(so_many_found(len(hits), text, read))
        width = self._row_width
        listed.fill([("", [(key, row(hit, width)) for key, hit in self.hits.items()])], "0")
        self._say()

    @property
    def _row_width(self) -> int:
        return max(NARROWEST, self.size.width - MARGINS)

    @on(OptionList.OptionHighlighted, "#hits")
    def _moved(self) -> None:
        self._say()

    def _say(self) -> None:
        hit = self.hit
        said = whole(hit, self._row_width) if hit is not None else ""
        self.query_one("#said", Static).update(said)

    @property
    def hit(self) -> SearchHit | None:
        """The line under the cursor."""
        return self.hits.get(self.query_one("#hits", GroupedList).key)
