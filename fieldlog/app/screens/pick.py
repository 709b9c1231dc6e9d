"""Pick from a few numbered lines, or type instead. One digit picks, so a choice costs one key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.shown import content, plain


@dataclass(frozen=True, slots=True)
class Picked:
    """The line with this index was picked."""

    index: int


@dataclass(frozen=True, slots=True)
class Typed:
    """This was typed instead."""

    text: str


Answer = Picked | Typed


def words_of(answer: Answer | None, lines: Sequence[str]) -> str:
    """The picked line or the typed text; empty if the sheet was left."""
    if isinstance(answer, Picked):
        return lines[answer.index]
    return answer.text if answer is not None else ""


class PickScreen(Sheet[Answer]):
    """A small sheet over the screen; returns what was picked or typed, or None."""

    def __init__(
        self,
        title: str,
        lead: str,
        lines: Sequence[str],
        typing: str = "",
        example: str = "",
        typed_first: bool = False,
    ) -> None:
        """Set up.

        Args:
            title: what is asked, in the border; our own words only, for borders read markup.
            lead: what it is about, above the lines.
            lines: the choices; the first nine get a number.
            typing: label of the line to type into; empty: typing is not offered.
            example: shown in the empty line.
            typed_first: the cursor starts in the line to type into.
        """
        super().__init__()
        self._title = title
        self._lead = lead
        self._lines = tuple(lines)
        self._typing = typing
        self._example = example
        self._typed_first = typed_first or not lines

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet") as sheet:
            sheet.border_title = plain(self._title)
            sheet.border_subtitle = self._keys()
            if self._lead:
                yield Static(content(self._lead), classes="gap")
            if self._lines:
                yield OptionList(
                    *(
                        Option(Content(f"{i + 1 if i < 9 else ' '}  {plain(line)}"))
                        for i, line in enumerate(self._lines)
                    ),
                    compact=True,
                    markup=False,
                )
            if self._typing:
                yield Static(content(self._typing), classes="above")
                yield Input(placeholder=self._example, compact=True)

    def _keys(self) -> str:
        keys = []
        if self._lines:
            numbers = "1" if len(self._lines) == 1 else f"1-{min(9, len(self._lines))}"
            keys.append(f"{numbers} or Enter picks")
        if self._typing:
            keys.append("t types" if self._lines else "Enter when done")
        return "   ".join([*keys, "Esc leaves it as it is"])

    def on_mount(self) -> None:
        if self._typed_first and self._typing:
            self.query_one(Input).focus()
        elif self._lines:
            self.query_one(OptionList).focus()

    def on_key(self, event: Key) -> None:
        if isinstance(self.focused, Input):
            if event.key in ("up", "shift+tab") and self._lines:
                event.stop()
                self.query_one(OptionList).focus()
            return
        if event.character and event.character in "123456789":
            index = int(event.character) - 1
            if index < len(self._lines):
                event.stop()
                self.dismiss(Picked(index))
        elif event.key in ("t", "tab") and self._typing:
            event.stop()
            event.prevent_default()
            self.query_one(Input).focus()

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(Picked(event.option_index))

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        event.stop()
        text = event.value.strip()
        if text:
            self.dismiss(Typed(text))
