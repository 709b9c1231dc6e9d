"""What was promised: overdue first, by barn for one trip, and what waits for somebody else."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType
from textual.widgets import OptionList

from fieldlog.app.keys import Key, bindings
from fieldlog.app.screens.due_adding import DueAdding


class DueScreen(DueAdding):
    """The due list."""

    NAME = "due"
    ABOUT = (
        "What was promised and is not done yet; what is urgent stands first. “Done” and “dropped” "
        "are kept with the horse; a dropped one says why. What was said twice is one line. r on a "
        "next visit: the horse is sold or dead, due no more. Radiographs, sedation and medicine "
        "are a veterinarian's: those lines remind you to ask, not to do."
    )
    KEYS = (
        Key("d", "done", "d", "mark it done", "done"),
        Key("r", "drop", "r", "drop it, with a reason", "drop"),
        Key("u", "undo", "u", "take the last one back, then the one before", "undo"),
        Key("n", "note", "n", "the note that caused it (Enter does too)", "note"),
        Key("o", "open_horse", "o", "the horse that it is about", "horse"),
        Key(
            "t",
            "day",
            "t",
            "type another day: “in two weeks”, “next tuesday”, “2026-12-01”; or “none”",
        ),
        Key("i", "add", "i", "add a promise by hand: choose the horse or none, then type it"),
        Key("w", "view('WHEN')", "w", "order by when", "by when"),
        Key("b", "view('BARN')", "b", "order by barn, for one trip", "by barn"),
        Key("e", "view('OTHERS')", "e", "only what waits for someone else", "someone else"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter does what n does."""
        event.stop()
        self.call_later(self.action_note)

    async def action_note(self) -> None:
        """The note that caused it."""
        item = self.item
        if item is not None:
            await self.show_note(item.entry_id, item.fact_id)

    def action_open_horse(self) -> None:
        """Open the horse."""
        item = self.item
        if item is None:
            return
        if not item.horse_id:
            self.answer.tell("This is about no horse.")
            return
        self.tool.open_horse(item.horse_id, item.entry_id)
