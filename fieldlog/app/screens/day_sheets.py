"""The corrections that open a sheet, and the sound."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.app import filing
from fieldlog.app.choices import choices, unusual
from fieldlog.app.editing import CannotEdit, change, move, taken
from fieldlog.app.naming import KnownHorse
from fieldlog.app.retyping import in_its_place, not_understood, sentence_for, with_value
from fieldlog.app.screens.day_dating import DayDating
from fieldlog.app.screens.foot import Feet, FootScreen
from fieldlog.app.screens.horse_pick import HorseChoice, HorsePickScreen, NewHorse
from fieldlog.app.screens.note import NoteScreen
from fieldlog.app.screens.pick import Answer, Picked, PickScreen, Typed
from fieldlog.app.shown import count, plain
from fieldlog.core.facts import Fact, FactKind
from fieldlog.errors import FieldlogError

TYPE_IT = "Type it as you would say it; it is understood the same way."
OFFERED = "Set aside, since it is most likely not what was said: take it by its number. Or type."


class DaySheets(DayDating):
    """Change, type, move to a foot, add, name the horse, play."""

    def action_change(self) -> None:
        """Pick another reading, or type."""
        self._open_picker(typed_first=False)

    def action_retype(self) -> None:
        """Type at once."""
        self._open_picker(typed_first=True)

    def _open_picker(self, typed_first: bool) -> None:
        fact = self._selected()
        if fact is None:
            return
        offered = choices(fact)
        lead = self._say(fact)
        if fact.doubts:
            lead += "\n" + "  ".join(d.reason for d in fact.doubts)

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                changes = offered[answer.index].changes
                await self._edit("Changed to", lambda old: change(old, changes))
            elif isinstance(answer, Typed):
                await self._retyped(fact, answer.text)

        self._warm_up()
        self.app.push_screen(
            PickScreen(
                "Change",
                lead.replace("\n", "  —  "),
                [c.label for c in offered],
                typing="or type what it should be",
                example=_example(fact),
                typed_first=typed_first,
            ),
            answered,
        )

    def _warm_up(self) -> None:
        """Load the language pipeline while the farrier types; trouble is told when it is used."""
        self.run_worker(
            self.tool.desk.warm_up(), group="warm up", exclusive=True, exit_on_error=False
        )

    async def _retyped(self, fact: Fact, text: str) -> None:
        try:
            new = with_value(fact, plain(text))
        except CannotEdit as problem:
            self.answer.refuse(str(problem))
            return
        if new is not None:
            await self._put(self._told("Changed to", [new], ""), fact, new)
            return
        understood, left = await self._understood(sentence_for(fact, text))
        if understood is not None:
            new_facts = in_its_place(fact, understood)
            await self._put(self._told("Changed to", new_facts, left), fact, *new_facts)

    def _told(self, what: str, facts: Sequence[Fact], left: str) -> str:
        """What came of typed words: the first fact, what is odd in them, what made none."""
        said = f"{what}: {self._say(facts[0])}" + (" …" if facts[1:] else "")
        more = " ".join(filter(None, (unusual(facts), left)))
        return f"{said}. {more}" if more else said

    async def _understood(self, text: str) -> tuple[list[Fact] | None, str]:
        """The facts of typed words, and a sentence about those that made none.

        None (and an answer) if there are no facts.
        """
        self.answer.tell("Understanding…")
        try:
            facts, left = await self.tool.desk.understand_typed(text, self.view)
        except FieldlogError as problem:
            self.trouble(problem)
            return None, ""
        if not facts:
            self.answer.refuse(not_understood(plain(text)))
            return None, ""
        return facts, plain(left)

    def action_foot(self) -> None:
        """Move to another foot."""
        fact = self._selected()
        if fact is None:
            return

        async def answered(feet: Feet | None) -> None:
            if feet is not None:
                await self._edit("Moved", lambda old: move(old, feet))

        british = self.tool.desk.settings.british_names
        self.app.push_screen(FootScreen(self._say(fact), fact.feet, british), answered)

    def action_add(self) -> None:
        """Type a sentence; it is understood like a spoken one. Or take what was set aside."""
        if not self.views:
            self.answer.tell("There is no note to add to. 2 records one.")
            return
        offered = self.view.entry.set_aside

        async def answered(answer: Answer | None) -> None:
            if answer is None:
                return
            left = ""
            if isinstance(answer, Typed):
                facts, left = await self._understood(answer.text)
            else:
                facts = [taken(offered[answer.index])]
            if facts:
                said = self._told("Added", facts, left)
                entry = self.view.entry
                await self.apply(
                    lambda store: filing.add(store, entry.id, facts),
                    (*entry.facts, *facts),
                    said,
                    facts[0].id,
                )

        self._warm_up()
        self.app.push_screen(
            PickScreen(
                "Add by hand",
                OFFERED if offered else TYPE_IT,
                [self._say(fact) for fact in offered],
                typing="sentence",
                example="left hind bit of thrush in the central sulcus",
            ),
            answered,
        )

    async def action_horse(self) -> None:
        """Give the entry to a horse."""
        if not self.views:
            self.answer.tell("There is no note yet.")
            return
        view = self.view
        try:
            horses = await self.tool.desk.horses()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        heard = view.entry.horse
        spoken, called = (heard.name, heard.called) if heard is not None else ("", "")

        async def answered(chosen: HorseChoice | None) -> None:
            horse = await self.known_horse(chosen)
            if horse is None:
                return
            await self.assign(horse)
            if isinstance(chosen, NewHorse):
                await self._give_others(horse)

        lead = f"The note says “{plain(called)}”." if called else "The note names no horse."
        if view.saved and view.horse is not None:
            lead = f"Saved under {plain(view.horse.name)}. Whose is it?"
        before = next(
            (v.horse for v in reversed(self.views[: self.current]) if v.horse is not None), None
        )
        self.app.push_screen(HorsePickScreen(horses, spoken, lead, before=before), answered)

    async def _give_others(self, horse: KnownHorse) -> None:
        """The other drafts that name a new horse are its own too."""
        others = await self.tool.desk.give_drafts_that_name(horse)
        if others:
            await self.reload()
            more = count(others, "other draft")
            self.answer.done(f"This is {horse.name}, and so it is in {more} that named it.")

    def action_whole_note(self) -> None:
        """Every word of the note."""
        if self.views:
            desk = self.tool.desk
            self.app.push_screen(
                NoteScreen(
                    desk, self.view, self.fact, self.tool.open_note, desk.settings.british_names
                )
            )

    # sound

    async def action_play(self) -> None:
        """Just the piece that the fact came from."""
        fact = self.fact
        if fact is None:
            await self.action_play_note()
            return
        piece = fact.sound or self.view.transcript.sound_span(*fact.span)
        if piece is None:
            self.answer.tell("This fact has no sound: it was typed.")
            return
        await self._play(piece[0], piece[1], "Playing this piece")

    async def action_play_note(self) -> None:
        """The whole note."""
        if not self.views:
            self.answer.tell("There is no note to play. 2 records one.")
            return
        await self._play(0.0, None, "Playing the note. Esc stops it")

    async def _play(self, start: float, end: float | None, said: str) -> None:
        sound = self.view.sound
        if sound is None:
            self.answer.tell("There is no sound for this note.")
            return
        try:
            await self.tool.desk.play(sound, start, end)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        self.answer.tell(said)


def _example(fact: Fact) -> str:
    if fact.quantity is not None:
        return fact.quantity.shown()
    if fact.kind is FactKind.FOLLOW_UP:
        return "in six weeks"
    return "mild flare on the outside quarter"
