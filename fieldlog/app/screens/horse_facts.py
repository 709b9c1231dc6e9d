"""The sheet on which what is known of a horse is changed; its caution stands first."""

from __future__ import annotations

from dataclasses import fields

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.events import DescendantFocus, Key
from textual.widgets import Input, Static

from fieldlog.app.horse_facts import HorseFacts, weeks_of
from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.shown import content, plain
from fieldlog.errors import InputError

LABELS = {
    "caution": "Caution: what to know before touching it",
    "name": "Name",
    "owner": "Owner",
    "phone": "Owner's phone",
    "barn": "Barn",
    "weeks": "Weeks between visits (empty: as usual)",
    "notes": "Notes",
    "email": "Owner's e-mail",
    "address": "Owner's address",
}
EXAMPLES = {"caution": "kicks behind; two people"}


class HorseFactsScreen(Sheet[HorseFacts]):
    """Returns what it was changed to, or None if it was left or nothing differs."""

    def __init__(self, facts: HorseFacts) -> None:
        super().__init__()
        self._facts = facts

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet") as sheet:
            sheet.border_title = "What is known of it"
            sheet.border_subtitle = "Enter keeps all of it   ↓ ↑ another line   Esc leaves it"
            with VerticalScroll(can_focus=False, id="lines"):
                for name, words in LABELS.items():
                    yield Static(words, classes="over")
                    yield Input(
                        plain(getattr(self._facts, name)),
                        placeholder=EXAMPLES.get(name, ""),
                        compact=True,
                        id=name,
                        select_on_focus=False,  # what is typed is added to a caution
                    )
            yield Static(id="wrong")

    def on_mount(self) -> None:
        self.query_one("#caution", Input).focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """The label of the first line, which stands over it, must be seen too."""
        if event.widget.id == "caution":
            lines = self.query_one("#lines", VerticalScroll)
            self.call_after_refresh(lines.scroll_home, animate=False)

    def on_key(self, event: Key) -> None:
        if event.key == "down":
            event.stop()
            self.focus_next()
        elif event.key == "up":
            event.stop()
            self.focus_previous()

    @on(Input.Submitted)
    def _keep(self, event: Input.Submitted) -> None:
        event.stop()
        typed = HorseFacts(
            **{
                f.name: " ".join(plain(self.query_one(f"#{f.name}", Input).value).split())
                for f in fields(HorseFacts)
            }
        )
        try:
            weeks_of(typed.weeks)
            if not typed.name:
                raise InputError("A horse needs a name.", "Type one.")
        except InputError as problem:
            self.query_one("#wrong", Static).update(content(str(problem)))
            return
        self.dismiss(typed if typed != self._facts else None)
