"""One line finds words and findings in everything that was saved."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.events import Key as KeyPress
from textual.widgets import Input, OptionList

from fieldlog.app.keys import Key, bindings
from fieldlog.app.screens.search_kept import SearchKept
from fieldlog.app.search_rows import TEACH
from fieldlog.app.widgets.grouped_list import GroupedList
from fieldlog.errors import FieldlogError


class SearchScreen(SearchKept):
    """The search line and what it found."""

    NAME = "search"
    ABOUT = "Finds sentences in saved notes. " + TEACH
    KEYS = (
        Key("slash", "type", "/", "back to the search line", "search line"),
        Key("down", "results", "↓ Esc", "out of the search line, to what was found", "leave line"),
        Key("k", "keep", "k", "keep this search under a name", "keep"),
        Key("d", "forget", "d", "forget the kept search under the cursor"),
        Key("p,space", "play", "p", "play the piece of sound of this line", "play"),
        Key("n", "note", "n", "the whole note of this line", "note"),
        Key("o", "open", "o", "the horse of this line (Enter does too)", "horse"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def on_key(self, event: KeyPress) -> None:
        listed = self.query_one("#hits", GroupedList)
        if event.key == "down" and isinstance(self.focused, Input) and listed.key:
            event.stop()
            self.query_one("#hits").focus()

    @on(OptionList.OptionSelected, "#hits")
    async def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        line = self.kept.get(self._kept_name)
        if line is None:
            self.action_open()
            return
        await self._run_kept(line)

    def action_type(self) -> None:
        """Back to the line."""
        self.query_one("#line").focus()

    def action_results(self) -> None:
        """To what was found."""
        if self.query_one("#hits", GroupedList).key:
            self.query_one("#hits").focus()

    def action_back(self) -> None:
        """Out of the search line, so that letters are keys again; else stop the sound."""
        if not isinstance(self.focused, Input):
            super().action_back()
            return
        if self.query_one("#hits", GroupedList).key:
            self.query_one("#hits").focus()
        else:
            self.set_focus(None)
        self.answer.tell("Letters and digits are keys again; / goes back to the line.")

    def action_open(self) -> None:
        """Open the horse of this line."""
        hit = self.hit
        if hit is not None:
            self.tool.open_horse("", hit.entry_id)

    async def action_note(self) -> None:
        """The note of this line."""
        hit = self.hit
        if hit is not None:
            await self.show_note(hit.entry_id, hit.fact_id)

    async def action_play(self) -> None:
        """Play the words of this line."""
        hit = self.hit
        if hit is None:
            return
        try:
            said = await self.tool.desk.play_hit(hit)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self.answer.tell(said)
