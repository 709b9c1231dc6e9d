"""A list under headings that the cursor skips."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

MARGINS = 5
"""Columns of the screen that a row cannot have: margins at both sides and the scrollbar."""

NARROWEST = 40
"""Columns of a row at least; on a narrower screen it goes on in the next line."""


class GroupedList(OptionList):
    """Rows with keys (ids of what they stand for) under headings."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id, compact=True, markup=False, classes="list")
        self._keys: dict[int, str] = {}

    def fill(
        self, groups: Sequence[tuple[str, Sequence[tuple[str, Content]]]], select: str = ""
    ) -> None:
        """Show groups of ``(key, row)``.

        The cursor goes to the key ``select``, else stays on its key. If that is gone, it stays at
        its place: on the row that came next, or at the end on the one before. So a key that is
        pressed twice never acts on a row far away.
        """
        order = list(self._keys.values())
        at = order.index(self.key) if self.key in order else 0
        wanted = [select, self.key, *order[at:], *reversed(order[:at])]
        self.clear_options()
        self._keys = {}
        options: list[Option] = []
        for title, rows in groups:
            if title:
                options.append(Option(Content.styled(title, "bold"), disabled=True))
            for key, row in rows:
                self._keys[len(options)] = key
                options.append(Option(row))
        self.add_options(options)
        if self._keys:
            at_row = {key: row for row, key in self._keys.items()}
            there = [at_row[key] for key in wanted if key in at_row]
            self.highlighted = there[0] if there else min(self._keys)

    @property
    def key(self) -> str:
        """The key of the row under the cursor; empty if there is none."""
        return self._keys.get(self.highlighted, "") if self.highlighted is not None else ""
