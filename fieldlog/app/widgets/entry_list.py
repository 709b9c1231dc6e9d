"""The day's entries, by day: a sign, the time, the horse, and how much is to be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from fieldlog.app.shown import pad
from fieldlog.app.views import EntryView

LEGEND = "? look   ✓ sure   ■ saved   ! call a vet"


class EntryList(OptionList):
    """Moves with the arrow keys while it has the focus."""

    class Chosen(Message):
        """The cursor stands on another entry."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    def __init__(self) -> None:
        super().__init__(id="entries", compact=True, markup=False)
        self._views: Sequence[EntryView] = ()
        self._options_of: list[int] = []

    def show(self, views: Sequence[EntryView], current: int) -> None:
        """Fill the list and put the cursor on ``current`` without a message."""
        self._views = views
        with self.prevent(OptionList.OptionHighlighted):
            self.clear_options()
            self._options_of = []
            day: date | None = None
            options: list[Option] = []
            width = max(16, (self.size.width or 24) - 2)
            for view in views:
                if view.when.date() != day:
                    day = view.when.date()
                    heading = Content.styled(f"{day:%a} {day.day} {day:%b %Y}", "bold")
                    options.append(Option(heading, disabled=True))
                self._options_of.append(len(options))
                options.append(Option(entry_line(view, width)))
            self.add_options(options)
            if self._options_of:
                self.highlighted = self._options_of[current]

    def on_resize(self) -> None:
        if self._views and self.highlighted is not None:
            self.show(self._views, self._options_of.index(self.highlighted))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_index in self._options_of:
            self.post_message(self.Chosen(self._options_of.index(event.option_index)))


def entry_line(view: EntryView, width: int) -> Content:
    """``? 08:20 Copper      3``, cut to ``width``."""
    mark = "!" if view.flags else " "
    number = f" {view.waiting}" if view.waiting else ""
    lead = f"{mark}{view.sign} {view.when:%H:%M} "
    text = lead + pad(view.short, width - len(lead) - len(number)) + number
    style = "$text-error bold" if view.flags else "$text-muted" if view.saved else ""
    return Content.styled(text, style) if style else Content(text)
