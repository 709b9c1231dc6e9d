"""One line finds words and findings in everything that was saved."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.events import Key as KeyPress
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static

from fieldlog.app.keys import Key, bindings
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.pick import Answer, PickScreen, Typed
from fieldlog.app.shown import count, fit, pad, plain
from fieldlog.app.widgets.grouped_list import MARGINS, NARROWEST, GroupedList
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.app.afterwards import Found
    from fieldlog.records.types import SearchHit

EXAMPLES = {
    "white line": "the words, in any saved note",
    "thrush foot:hind": "on a hind foot; also LF, left",
    "founder horse:willow": "one horse; also owner: and barn:",
    "finding:crack since:2026-03": "seen since March; also since:spring",
    "trim until:2026-06": "until the end of June",
    "not:thrush": "looked for and not there",
    "toe_length>3.5in": "by a measured value",
    "severity:severe open:yes": "with something still open",
}
WIDE = 76
"""Columns from which what a line finds stands beside it."""


def taught(width: int) -> str:
    """How to search, for a screen of so many columns."""
    wide = width >= WIDE
    lines = (
        f"    {line:29}{what}" if wide else f"  {line}\n      {what}"
        for line, what in EXAMPLES.items()
    )
    return (
        "Type what you look for; Enter goes to what was found.\n\n"
        + "\n".join(lines)
        + "\n\nSayings of the trade are understood both ways: off fore and right front, x rays and "
        "radiographs."
    )


TEACH = taught(WIDE)
HORSE_CELLS = 14
"""Of a row, for the name of the horse; a longer one stands whole below the list."""
KEPT = "Kept searches (Enter runs one, d forgets it)"
WAIT_SECONDS = 0.25
"""After the last typed letter, before it is looked for."""


class SearchScreen(ToolScreen):
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

    def on_key(self, event: KeyPress) -> None:
        listed = self.query_one("#hits", GroupedList)
        if event.key == "down" and isinstance(self.focused, Input) and listed.key:
            event.stop()
            self.query_one("#hits").focus()

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
        found, listed, teach = (
            self.query_one("#found", Static),
            self.query_one("#hits", GroupedList),
            self.query_one("#teach", Static),
        )
        kept = self.kept if not text else {}
        listed.display, teach.display = bool(hits or kept), not hits
        listed.set_class(not hits, "short")
        self.query_one("#said", Static).display = bool(hits)
        if not hits:
            nothing = f"Nothing was found for “{plain(text)}”." if text else ""
            unclear = plain(" ".join(read.unclear)) if read else ""
            more = [*read.taken, read.missed] if read else []
            found.update(unclear or "\n".join([nothing, *map(plain, filter(None, more))]))
            rows = [(f"kept:{name}", Content(f" {pad(name, 20)}  {plain(line)}"))
                    for name, line in kept.items()]  # fmt: skip
            listed.fill([(KEPT, rows)] if rows else [])
            return
        newest = "the newest " if read and read.cut else ""
        lines = [f"{newest}{count(len(hits), 'line')} for “{plain(text)}”"]
        found.update("\n".join([*lines, *(map(plain, read.taken) if read else ())]))
        listed.fill([("", [(key, self._row(hit)) for key, hit in self.hits.items()])], "0")
        self._say()

    def _row(self, hit: SearchHit) -> Content:
        lead = f" {hit.day.isoformat()}  {pad(hit.horse, HORSE_CELLS)} "
        return Content(lead + fit(hit.label or hit.sentence, self._room))

    @property
    def _room(self) -> int:
        """Cells of a row that are left for what was found, behind day and horse."""
        return max(NARROWEST, self.size.width - MARGINS) - len(" 2026-11-25  ") - HORSE_CELLS - 1

    @on(OptionList.OptionHighlighted, "#hits")
    def _moved(self) -> None:
        self._say()

    def _say(self) -> None:
        hit = self.hit
        sound = "   (p plays it)" if hit is not None and hit.sound is not None else ""
        if hit is None:
            self.query_one("#said", Static).update("")
            return
        said = f"“{plain(hit.sentence)}”{sound}"
        if cell_len(plain(hit.label)) > self._room:
            said = f"{plain(hit.label)}\n{said}"
        if cell_len(plain(hit.horse)) > HORSE_CELLS:
            said = f"{plain(hit.horse)}: {said}"
        self.query_one("#said", Static).update(said)

    @property
    def hit(self) -> SearchHit | None:
        """The line under the cursor."""
        return self.hits.get(self.query_one("#hits", GroupedList).key)

    @on(OptionList.OptionSelected, "#hits")
    async def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        line = self.kept.get(self._kept_name)
        if line is None:
            self.action_open()
            return
        self.query_one("#line", Input).value = line
        await self.look_for(line)
        self.query_one("#hits").focus()

    @property
    def _kept_name(self) -> str:
        key = self.query_one("#hits", GroupedList).key
        return key.removeprefix("kept:") if key.startswith("kept:") else ""

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
