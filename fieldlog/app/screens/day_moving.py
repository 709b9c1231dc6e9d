"""Moving about on the day screen: between entries, between facts, to what needs a look."""

from __future__ import annotations

from textual.widgets import OptionList

from fieldlog.app.grouping import walk
from fieldlog.app.screens.day_entries import DayEntries
from fieldlog.app.views import next_spot
from fieldlog.app.widgets.entry_list import EntryList


class DayMoving(DayEntries):
    """The cursor."""

    def on_entry_list_chosen(self, message: EntryList.Chosen) -> None:
        """The cursor in the list moved."""
        self._go_to(message.index)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter in the list goes to the facts of that entry."""
        event.stop()
        self.set_focus(None)

    def _go_to(self, index: int) -> None:
        self.current = index
        self._save_anyway = ""
        self._select_first()
        self.answer.clear()
        self.draw()

    def action_entry(self, by: int) -> None:
        """Another entry."""
        if self.views:
            self._go_to((self.current + by) % len(self.views))

    def action_move(self, by: int) -> None:
        """Another fact of this entry."""
        if not self.views:
            return
        order = [f.id for f in walk(self.view.entry.facts)]
        if not order:
            return
        at = order.index(self.selected) if self.selected in order else 0
        self.selected = order[max(0, min(len(order) - 1, at + by))]
        self.draw()

    def action_to_list(self) -> None:
        """Between list and facts."""
        listed = self.query_one(EntryList)
        if self.focused is listed:
            self.set_focus(None)
        else:
            listed.focus()

    def action_next_look(self) -> None:
        """The next thing that needs a look, wherever it is."""
        spot = next_spot(self.views, self.current, self.selected)
        if spot is None:
            self.answer.done(self._all_looked_at())
            return
        self.current, self.selected = spot
        self._save_anyway = ""
        self.answer.clear()
        self.draw()

    def _all_looked_at(self) -> str:
        drafts = sum(not view.saved for view in self.views)
        if not drafts:
            return "No draft waits: there is nothing to look at."
        return "Nothing else to look at. S saves all that is sure."
