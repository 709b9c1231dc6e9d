"""Searches that are kept under a name: shown while the line is empty, run, kept, forgotten."""

from __future__ import annotations

from textual.widgets import Input

from fieldlog.app.screens.pick import Answer, PickScreen, Typed
from fieldlog.app.screens.search_list import KEPT_KEY, SearchList
from fieldlog.app.widgets.grouped_list import GroupedList
from fieldlog.errors import FieldlogError


class SearchKept(SearchList):
    """Kept searches."""

    async def on_screen_resume(self) -> None:
        if not self.hits:
            self.query_one("#line").focus()
            await self._read_kept()

    async def _read_kept(self) -> None:
        try:
            self.kept = await self.tool.desk.kept_searches()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if not self._asked:
            self._show([], "")

    @property
    def _kept_name(self) -> str:
        key = self.query_one("#hits", GroupedList).key
        return key.removeprefix(KEPT_KEY) if key.startswith(KEPT_KEY) else ""

    async def _run_kept(self, line: str) -> None:
        self.query_one("#line", Input).value = line
        await self.look_for(line)
        self.query_one("#hits").focus()

    def action_keep(self) -> None:
        """Keep the search under a name."""
        line = self._asked
        if not line:
            self.answer.tell("Search for something first; then k keeps it.")
            return

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Typed):
                try:
                    await self.tool.desk.keep_search(answer.text, line)
                    self.kept = await self.tool.desk.kept_searches()
                except FieldlogError as problem:
                    self.trouble(problem)
                    return
                self.answer.done(f"Kept as “{answer.text}”: it stands here when the line is empty.")

        self.app.push_screen(
            PickScreen(
                "Keep this search", line, (), typing="under the name", example="white lines"
            ),
            answered,
        )

    async def action_forget(self) -> None:
        """Forget a kept search."""
        name = self._kept_name
        if not name:
            self.answer.tell("Empty the line and go to a kept search; then d forgets it.")
            return
        try:
            await self.tool.desk.forget_search(name)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        await self._read_kept()
        self.answer.done(f"Forgotten: {name}.")
