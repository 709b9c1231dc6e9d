"""Whose entry is this? Known horses first, near names next, a new horse last."""

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

from fieldlog.app.naming import KnownHorse, ranked
from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.shown import content, plain


@dataclass(frozen=True, slots=True)
class NewHorse:
    """A horse that is not known yet."""

    name: str
    owner: str = ""
    barn: str = ""


@dataclass(frozen=True, slots=True)
class NoHorse:
    """What is asked for is about no horse."""

    line: str


HorseChoice = KnownHorse | NewHorse | NoHorse


class HorsePickScreen(Sheet[HorseChoice]):
    """Returns a known horse, a new one, none where that is offered, or None."""

    def __init__(
        self,
        horses: Sequence[KnownHorse],
        spoken: str = "",
        lead: str = "",
        allow_new: bool = True,
        before: KnownHorse | None = None,
        before_is: str = "the note before",
        none: str = "",
    ) -> None:
        """Set up.

        Args:
            horses: all known ones.
            spoken: the name as it was heard; the list starts with what it may mean.
            lead: a line above the list.
            allow_new: offer to make a new horse of a name that is not known.
            before: the horse of the note before; it comes first if no name was said. Where one
                was that is not known, Enter must not give the note to another horse.
            before_is: what ``before`` is of, behind its name.
            none: the line that stands for no horse, last of all; empty: there must be one.
        """
        super().__init__()
        self._horses = tuple(horses)
        self._spoken = plain(spoken).strip()
        self._lead = lead
        self._allow_new = allow_new
        self._before = before
        self._before_is = before_is
        self._none = [NoHorse(none)] if none else []
        self._shown: list[HorseChoice] = []

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet") as sheet:
            sheet.border_title = "Which horse?"
            sheet.border_subtitle = "type to search   ↑ ↓ Enter picks   Esc leaves it"
            if self._lead:
                yield Static(content(self._lead), classes="gap")
            yield Input(placeholder=self._spoken or "a name", compact=True)
            yield OptionList(compact=True, markup=False)
            yield Static(id="none")

    def on_mount(self) -> None:
        self._fill("")
        self.query_one(Input).focus()

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        self._fill(event.value)

    def _fill(self, typed: str) -> None:
        wanted = typed.strip() or self._spoken
        likely = ranked(wanted, self._horses) if wanted else []
        before = [self._before] if self._before is not None and not typed.strip() else []
        if not wanted:
            likely, before = before, []
        new = [NewHorse(wanted)] if self._allow_new and wanted else []
        rest: list[KnownHorse] = [h for h in before if h not in likely]
        if not typed.strip():
            others = [h for h in ranked("", self._horses) if h not in (*likely, *rest)]
            rest += others[: 8 - len(likely) - len(rest)]
        # Enter picks the first line, which must never be a horse that sounds nothing like it.
        self._shown = [*likely, *rest, *new] if likely or not wanted else [*new, *rest]
        if not typed.strip():  # Enter behind a misspelt name must not choose it
            self._shown += self._none
        options = self.query_one(OptionList)
        options.clear_options()
        options.add_options(
            Option(
                Content(self._line(h)),
            )
            for h in self._shown
        )
        if self._shown:
            options.highlighted = 0
        empty = "" if self._shown else "No horse is known by that name."
        self.query_one("#none", Static).update(empty)

    def _line(self, horse: HorseChoice) -> str:
        if isinstance(horse, NoHorse):
            return f"– {horse.line}"
        if isinstance(horse, NewHorse):
            return f"+ new horse “{plain(horse.name)}”"
        again = f"   ({self._before_is})" if horse == self._before else ""
        return plain(horse.line()) + again

    def on_key(self, event: Key) -> None:
        options = self.query_one(OptionList)
        if event.key == "down":
            event.stop()
            options.action_cursor_down()
        elif event.key == "up":
            event.stop()
            options.action_cursor_up()

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        event.stop()
        self._choose(self.query_one(OptionList).highlighted)

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self._choose(event.option_index)

    def _choose(self, index: int | None) -> None:
        if index is None or index >= len(self._shown):
            return
        chosen = self._shown[index]
        if isinstance(chosen, NewHorse):
            self.app.push_screen(NewHorseScreen(chosen.name), self._made)
        else:
            self.dismiss(chosen)

    def _made(self, horse: NewHorse | None) -> None:
        if horse is not None:
            self.dismiss(horse)


class NewHorseScreen(Sheet[NewHorse]):
    """Name, owner and barn of a new horse; only the name is needed."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet") as sheet:
            sheet.border_title = "A new horse"
            sheet.border_subtitle = "Enter goes on, and makes it at the end   Esc leaves it"
            yield Static("Name", classes="above")
            yield Input(self._name, compact=True, id="name")
            yield Static("Owner (may stay empty)", classes="above")
            yield Input(compact=True, id="owner")
            yield Static("Barn (may stay empty)", classes="above")
            yield Input(compact=True, id="barn")

    def on_mount(self) -> None:
        self.query_one("#name", Input).focus()

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        event.stop()
        if event.input.id != "barn":
            self.focus_next()
            return
        name, owner, barn = (
            plain(self.query_one(f"#{key}", Input).value).strip()
            for key in ("name", "owner", "barn")
        )
        if name:
            self.dismiss(NewHorse(name, owner, barn))
        else:
            self.query_one("#name", Input).focus()
