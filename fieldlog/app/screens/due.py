"""What was promised: overdue first, by barn for one trip, and what waits for somebody else."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len
from textual import on
from textual.binding import BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static

from fieldlog.app.afterwards import VISIT
from fieldlog.app.due_groups import DueBy, DueView, Group, grouped, overdue, when_words
from fieldlog.app.keys import Key, bindings
from fieldlog.app.naming import KnownHorse
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.pick import Answer, PickScreen, Typed, words_of
from fieldlog.app.shown import count, fit, pad, plain
from fieldlog.app.widgets.grouped_list import MARGINS, NARROWEST, GroupedList
from fieldlog.errors import FieldlogError
from fieldlog.language.wording import describe_feet

GONE, MISTAKE = "the horse is gone or sold", "entered by mistake"
REASONS = (
    "no longer needed",
    "done by somebody else",
    "the owner does not want it",
    GONE,
    MISTAKE,
)
LEFT = ("sold", "died", "another farrier", "it is another horse of mine, entered twice")
EMPTY = {
    DueBy.WHEN: (
        "Nothing is due.\n\n"
        "A promise becomes a line here when its note is saved: “recheck in four weeks”, “get "
        "radiographs before the next trim”, “bring number one shoes”. When a horse has been "
        "seen, its next visit is due after its own number of weeks."
    ),
    DueBy.BARN: "Nothing is due at any barn.",
    DueBy.OTHERS: (
        "Nothing waits for somebody else.\n\n"
        "What an owner or a veterinarian is to do stands here until you mark it done."
    ),
}


@dataclass(frozen=True, slots=True)
class Undoing:
    """How one change of this sitting is taken back."""

    item: str
    """Key of the line that it was of."""
    job: Callable[[], Awaitable[None]]
    said: str = "Open again"


class DueScreen(ToolScreen):
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
        Key("t", "day", "t", "type another day: “in two weeks”, “next tuesday”, “2026-12-01”"),
        Key("i", "add", "i", "add a promise by hand: choose the horse, then type it"),
        Key("w", "view('WHEN')", "w", "order by when", "by when"),
        Key("b", "view('BARN')", "b", "order by barn, for one trip", "by barn"),
        Key("e", "view('OTHERS')", "e", "only what waits for someone else", "someone else"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self.by = DueBy.WHEN
        self.items: dict[str, DueView] = {}
        self._trail: list[Undoing] = []
        """What was done, dropped, moved or added in this sitting, newest last; ``u`` goes back
        through it."""
        self.waiting = ""
        self.ready = False

    def body(self) -> list[Widget]:
        return [
            Static(id="due-head", classes="head", markup=False),
            GroupedList("due-list"),
            Static(id="due-said", classes="head", markup=False),
            Static(id="teach", markup=False),
        ]

    async def on_screen_resume(self) -> None:
        await self.reload()

    async def reload(self, select: str = "") -> None:
        """Read the open follow-ups again; the cursor goes to ``select`` if it is there."""
        try:
            items = await self.tool.desk.due()
            self.waiting = await self.tool.desk.waiting()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        finally:
            self.ready = True
        self.items = {item.id: item for item in items}
        self.draw(select)

    def on_resize(self) -> None:
        if self.items:
            self.draw()

    def draw(self, select: str = "") -> None:
        """Show the list in the chosen order."""
        today = self.tool.desk.today()
        groups = grouped(self.items.values(), today, self.by)
        late = sum(overdue(item, today) for item in self.items.values())
        self.top.say(f"{len(self.items)} open · {late} overdue")
        self.query_one("#due-head", Static).update(
            f"What is open, {self.by.value}, on {today:%A} {today.day} {today:%B %Y}"
            + f"\n{self.waiting} (key 1)" * bool(self.waiting)
        )
        listed = self.query_one("#due-list", GroupedList)
        teach = self.query_one("#teach", Static)
        listed.display, teach.display = bool(groups), not groups
        if not groups:
            teach.update(EMPTY[self.by])
            return
        rows = [(self._title(g), [(i.id, self._row(i)) for i in g.items]) for g in groups]
        listed.fill(rows, select)
        listed.focus()
        self._say()

    @staticmethod
    def _title(group: Group) -> str:
        mark = "! " if group.title in ("urgent", "overdue") else ""
        return f"{mark}{plain(group.title)}  ({len(group.items)})"

    def _row(self, item: DueView) -> Content:
        """``Fri 27 Nov   Juniper       recheck · left front · if not sounder   Alder Creek``."""
        width = max(NARROWEST, self.size.width - MARGINS)
        when = when_words(item, self.tool.desk.today())
        what = self._words(item)
        # Below the list the barn stands whole; a narrow row keeps its room for the words.
        barn = "" if self.by is DueBy.BARN or width < 70 else fit(item.barn, 16)
        lead = f" {when:<15} {pad(item.horse, 14)} "
        room = width - cell_len(lead) - (cell_len(barn) + 2 if barn else 0)
        return Content(f"{lead}{pad(what, room)}{'  ' + barn if barn else ''}")

    def _words(self, item: DueView) -> str:
        """What, where on the horse, on what condition, and who is to act."""
        parts = [f"URGENT: {item.what}" if item.urgent else item.what]
        if item.feet:
            parts.append(describe_feet(item.feet, self.tool.desk.settings.british_names))
        if item.condition:
            parts.append(item.condition)
        if item.also:
            parts.append(item.where_said.partition(":")[0])
        if item.who not in ("farrier", "") and self.by is not DueBy.OTHERS:
            parts.append(f"{item.who} is to act")
        return " · ".join(parts)

    @on(OptionList.OptionHighlighted, "#due-list")
    def _moved(self) -> None:
        self._say()

    def _say(self) -> None:
        """The whole of the line under the cursor, which the list may have to cut."""
        item = self.item
        said = self.query_one("#due-said", Static)
        said.display = item is not None
        if item is not None:
            parts = (item.horse, item.barn, item.where_said)
            where = " · ".join(plain(part) for part in parts if part)
            said.update(f"{plain(self._words(item))}\n{where}")

    @property
    def item(self) -> DueView | None:
        """The one under the cursor."""
        return self.items.get(self.query_one("#due-list", GroupedList).key)

    async def again(self) -> None:
        await self.reload()

    @property
    def horse_in_hand(self) -> str:
        item = self.item
        return item.horse_id if item is not None else ""

    def _promise(self) -> DueView | None:
        """The promise under the cursor; a visit by cycle is not one, and the answer says so."""
        item = self.item
        if item is None:
            self.answer.tell("Nothing stands here.")
        elif item.by_cycle:
            self.answer.tell("From the cycle: it moves when a visit is saved; r: visited no more.")
            return None
        return item

    def action_view(self, name: str) -> None:
        """Another order."""
        self.by = DueBy[name]
        self.answer.clear()
        self.draw()

    async def action_done(self) -> None:
        """Mark it done."""
        item = self._promise()
        if item is None:
            return
        said = f"Done: {item.named}."
        await self._write(self.tool.desk.finish(item.ids), self._reopening(item), said)

    def _reopening(self, item: DueView) -> Undoing:
        return Undoing(item.id, lambda: self.tool.desk.reopen(item.ids))

    def action_drop(self) -> None:
        """Drop it, with a reason; a horse that is visited no more is due no more."""
        item = self.item
        if item is not None and item.by_cycle:
            self._ask_why_left(item)
            return
        item = self._promise()
        if item is None:
            return

        async def answered(answer: Answer | None) -> None:
            reason = words_of(answer, REASONS)
            if reason == GONE and item.horse_id:
                self._ask_why_left(item)
            elif reason:
                said = f"Dropped: {item.named} ({reason})."
                await self._write(
                    self.tool.desk.drop(item.ids, reason), self._reopening(item), said
                )

        self.app.push_screen(
            PickScreen("Why drop it?", item.named, REASONS, typing="or type the reason"),
            answered,
        )

    def _ask_why_left(self, item: DueView) -> None:
        """Why the horse is visited no more: all of its lines go."""
        open_ones = [i for i in self.items.values() if i.horse_id == item.horse_id]
        promises = count(sum(not i.by_cycle for i in open_ones), "promise")

        async def answered(answer: Answer | None) -> None:
            why = words_of(answer, LEFT)
            if why:
                said = f"{item.horse} is due no more ({why}); dropped: {promises}."
                back = Undoing(
                    f"{VISIT}{item.horse_id}", lambda: self.tool.desk.horse_back(item.horse_id)
                )
                await self._write(self.tool.desk.horse_left(item.horse_id, why), back, said)

        self.app.push_screen(
            PickScreen(
                "Why is it visited no more?",
                f"{item.horse}: no visit is due, {promises} dropped. What was noted stays.",
                LEFT,
                typing="or type the reason",
            ),
            answered,
        )

    def action_day(self) -> None:
        """Give it another day."""
        item = self._promise()
        if item is None:
            return

        async def answered(answer: Answer | None) -> None:
            if not isinstance(answer, Typed):
                return
            try:
                day = await self.tool.desk.move_due(item.ids, answer.text)
            except FieldlogError as problem:
                self.trouble(problem)
                return
            self._trail.append(
                Undoing(item.id, lambda: self.tool.desk.put_due(item.ids, item.on), "Due as before")
            )
            await self.reload(item.id)
            said = f"Due {day:%A} {day.isoformat()}: {item.named}."
            self.answer.done(f"{said} u takes it back.")

        self.app.push_screen(
            PickScreen("Another day", item.named, (), "day", "in two weeks"),
            answered,
        )

    async def action_add(self) -> None:
        """Add one by hand."""
        await self.choose_horse(self._ask_promise)

    async def _ask_promise(self, horse: KnownHorse) -> None:
        async def answered(answer: Answer | None) -> None:
            if not isinstance(answer, Typed):
                return
            try:
                made = await self.tool.desk.promise(horse, answer.text)
            except FieldlogError as problem:
                self.trouble(problem)
                return
            if not made:
                self.answer.refuse(
                    f"“{plain(answer.text)}” promises nothing. Try “recheck in two weeks”."
                )
                return
            self._trail.append(
                Undoing(made[0], lambda: self.tool.desk.drop(made, MISTAKE), "Not added after all")
            )
            await self.reload(made[0])
            self.answer.done(f"Added for {plain(horse.name)}. u takes it back.")

        self.app.push_screen(
            PickScreen(
                "A promise", f"For {horse.name}. Type it as you would say it.", (),
                "promise", "recheck in two weeks",
            ),
            answered,
        )  # fmt: skip

    async def _write(self, job: Awaitable[None], back: Undoing, said: str) -> None:
        try:
            await job
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._trail.append(back)
        await self.reload()
        self.answer.done(f"{said} u takes it back.")

    async def action_undo(self) -> None:
        """Take the last one back."""
        if not self._trail:
            self.answer.tell("There is nothing to take back.")
            return
        last = self._trail[-1]
        gone = self.items.get(last.item)
        try:
            await last.job()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self._trail.pop()
        await self.reload(last.item)
        item = self.items.get(last.item) or gone
        what = f": {plain(item.what)}, {plain(item.horse)}" if item is not None else ""
        self.answer.done(f"{last.said}{what}. {count(len(self.items), 'line')} open.")

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
