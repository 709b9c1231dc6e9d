"""The corrections that take one key."""

from __future__ import annotations

from collections.abc import Callable

from fieldlog.app import filing
from fieldlog.app.editing import CannotEdit, join, split, toggle_negated, toggle_uncertain
from fieldlog.app.grouping import next_to_look_at, walk
from fieldlog.app.screens.day_parting import DayParting
from fieldlog.app.screens.day_state import Step
from fieldlog.app.screens.pick import Answer, Picked, PickScreen
from fieldlog.app.shown import plain
from fieldlog.core.disputes import Stretch, quoted
from fieldlog.core.facts import Fact
from fieldlog.errors import FieldlogError
from fieldlog.language.in_words import in_words
from fieldlog.language.wording import label
from fieldlog.rereading import Other, take_other


class DayCorrections(DayParting):
    """Accept, negate, doubt, delete, split, join."""

    def _say(self, fact: Fact) -> str:
        return in_words(fact, self.tool.desk.settings.british_names)

    def _selected(self) -> Fact | None:
        """The selected fact; without one the answer line says what to do."""
        if not self.views:
            self.answer.tell("There is no note to correct.")
        elif self.fact is None:
            self.answer.tell("No fact is selected. i adds one by typing.")
        return self.fact

    async def _put(self, said: str, old: Fact, *new: Fact, select: str = "") -> None:
        """Put other facts in the place of one."""
        entry = self.view.entry
        facts: list[Fact] = []
        for fact in entry.facts:
            facts.extend(new if fact.id == old.id else (fact,))
        kept = await self.apply(
            lambda store: filing.change(store, entry.id, old.id, new),
            facts,
            said,
            select or (new[0].id if new else ""),
        )
        if kept and len(new) == 1:
            await self._offer_lesson(old, new[0])

    async def _offer_lesson(self, old: Fact, new: Fact) -> None:
        """If a correction teaches something, say so; l keeps it."""
        words = self.view.entry.text[old.span[0] : old.span[1]]
        try:
            lesson = await self.tool.desk.lesson(old, new, words)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if lesson:
            self.answer.done(f"{self.answer.text}. l: always take it so ({lesson})")

    async def action_learn(self) -> None:
        """Keep what the last correction taught."""
        try:
            learned = await self.tool.desk.learn()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if learned:
            where = self.tool.desk.places.personal_rules
            self.answer.done(f"Kept as a rule of yours, from the next note on: {where}")
        else:
            self.answer.tell("There is nothing to learn from the last correction.")

    async def _edit(self, what: str, change_fact: Callable[[Fact], Fact]) -> None:
        fact = self._selected()
        if fact is None:
            return
        try:
            new = change_fact(fact)
        except CannotEdit as problem:
            self.answer.refuse(str(problem))
            return
        await self._put(f"{what}: {self._say(new)}", fact, new)

    async def action_accept(self) -> None:
        """Right as it stands; the cursor goes to the next thing to look at in this entry."""
        fact = self._selected()
        if fact is None:
            return
        following = next_to_look_at(self.view.entry.facts, fact.id)
        select = following.id if following and following.id != fact.id else fact.id
        if select == fact.id and not fact.needs_look:
            order = [f.id for f in walk(self.view.entry.facts)]
            select = order[min(order.index(fact.id) + 1, len(order) - 1)]
        if self.view.saved:
            self.selected = select
            self.answer.tell("This entry is saved already.")
            self.draw()
            return
        entry_id = self.view.entry.id
        await self.apply(
            lambda store: store.accept_fact(entry_id, fact.id),
            self.view.entry.facts,
            f"Right: {self._say(fact)}",
            select,
        )

    async def action_other(self) -> None:
        """Take the second reader's words; the note is understood again from them."""
        if not self.views:
            self.answer.tell("There is no note to correct.")
            return
        view, fact = self.view, self.fact
        fact_id = fact.id if fact is not None else ""
        if view.saved:
            self.answer.refuse("This entry is saved. t types what it should be, with a reason.")
            return
        if not view.disputes.get(fact_id):
            self.answer.tell(
                "The readers do not differ in this. n goes to what asks for a look."
                if view.second
                else "No second reader has read this note (README: a second reader)."
            )
            return
        found = view.disputes[fact_id]
        if len(found) == 1:
            await self._take_other(fact_id, found[0])
            return

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                await self._take_other(fact_id, (*found, None)[answer.index])

        self.app.push_screen(
            PickScreen(
                "What was said?",
                self._say(fact) if fact is not None else "",
                [*(f"{quoted(s.theirs)} for “{s.ours}”" for s in found), "all of these"],
            ),
            answered,
        )

    async def _take_other(self, fact_id: str, only: Stretch | None) -> None:
        desk, entry_id = self.tool.desk, self.view.entry.id
        done: list[Other] = []
        self.answer.tell("Understanding the note again…")
        if not await self._write(
            lambda store: done.append(
                take_other(store, entry_id, fact_id, desk.places, desk.settings, only)
            ),
            entry_id,
        ):
            return
        self._trail.append(Step(entry_id, self.selected))
        (other,) = done
        words = ", ".join(quoted(s.theirs) for s in other.taken)
        became = f": {self._say(other.fresh[0])}" if other.fresh else ""
        select = next((f.id for f in other.fresh), fact_id)
        self._show_corrected(f"Taken {plain(words)}{became}. u takes it back", select)

    async def action_negate(self) -> None:
        """There or not there."""
        await self._edit("Changed to", toggle_negated)

    async def action_doubt(self) -> None:
        """Certain or suspected."""
        await self._edit("Changed to", toggle_uncertain)

    async def action_delete(self) -> None:
        """Delete, with undo."""
        fact = self._selected()
        if fact is None:
            return
        order = [f.id for f in walk(self.view.entry.facts)]
        at = order.index(fact.id)
        rest = order[at + 1 :] or order[:at][-1:]
        following = next_to_look_at([f for f in self.view.entry.facts if f.id != fact.id])
        select = following.id if following else (rest[0] if rest else "")
        await self._put(f"Deleted: {self._say(fact)}. u brings it back", fact, select=select)

    async def action_split(self) -> None:
        """One fact becomes several."""
        fact = self._selected()
        if fact is None:
            return
        try:
            parts = split(fact)
        except CannotEdit as problem:
            self.answer.refuse(str(problem))
            return
        await self._put(f"Split in {len(parts)}: {self._say(parts[0])} …", fact, *parts)

    async def action_join(self) -> None:
        """Join with the next one of the same sort."""
        fact = self._selected()
        if fact is None:
            return
        order = walk(self.view.entry.facts)
        at = [f.id for f in order].index(fact.id)
        ring = [*order[at + 1 :], *order[:at]]
        other = next((f for f in ring if (f.kind, f.code) == (fact.kind, fact.code)), None)
        if other is None:
            name = label(fact.code)
            self.answer.refuse(f"There is no other “{name}” in this entry to join with.")
            return
        try:
            joined = join(fact, other)
        except CannotEdit as problem:
            self.answer.refuse(str(problem))
            return
        entry, gone = self.view.entry, other.id
        facts = [joined if f.id == fact.id else f for f in entry.facts if f.id != gone]
        await self.apply(
            lambda store: filing.join(store, entry.id, joined, gone),
            facts,
            f"Joined: {self._say(joined)}",
            joined.id,
        )
