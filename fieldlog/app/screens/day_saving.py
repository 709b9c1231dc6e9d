"""Writing from the day screen: corrections, undo, setting aside, saving."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fieldlog.app import filing
from fieldlog.app.naming import KnownHorse
from fieldlog.app.promises_told import corrected
from fieldlog.app.screens.day_state import DayState, Step
from fieldlog.app.screens.pick import Answer, PickScreen, words_of
from fieldlog.app.shown import count
from fieldlog.app.views import EntryView
from fieldlog.core.facts import Fact
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import FieldlogError, InputError, NotFound, SavedIsFixed

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import StoredEntry

REASONS = (
    "it was misheard",
    "wrong foot",
    "measured again",
    "forgotten before",
    "a slip in review",
    "said of another horse",
)
WRONG_HORSE = ("the name was misheard", "said under the wrong horse", "a slip in review")
SAVED = (
    "This entry is saved. It is corrected with the same keys (c, f, t, d, i, h): that makes a new "
    "revision with a reason, and the old one stays."
)
STAYS = (
    "This entry is saved and stays on record. d takes out what is wrong, h gives it to the right "
    "horse; each with its reason."
)
DISCARD = ("not about a horse", "recorded by mistake", "said again in a later note")


def _unrevised(store: Store, step: Step) -> StoredEntry:
    """The facts or the horse from before a revision, as one more revision.

    Raises:
        InputError: another window has changed the entry since.
    """
    with store.write():
        if store.entry(step.entry_id).revision != step.revision:
            raise InputError(
                "This entry was changed again since, perhaps in another window.",
                "Press 1 to see it as it is now, and correct it there.",
            )
        return store.take_back(step.entry_id)


class DaySaving(DayState):
    """Each correction is kept at once; saving is for good."""

    async def apply(
        self, job: Callable[[Store], object], facts: Sequence[Fact], said: str, select: str
    ) -> bool:
        """Make one correction: ``job`` on a draft, a new revision with ``facts`` of a saved entry.

        Returns whether it is made; for a saved entry the farrier is asked for a reason first.

        Args:
            job: writes the correction of a draft.
            facts: all facts of the entry after the correction.
            said: what to tell.
            select: the fact to select afterwards.
        """
        if self.view.saved:
            self._revise(facts, said, select)
            return False
        entry_id, before = self.view.entry.id, self.selected
        if not await self._write(job, entry_id):
            return False
        self._trail.append(Step(entry_id, before))
        self._show_corrected(said, select)
        return True

    async def _write(self, job: Callable[[Store], object], entry_id: str) -> bool:
        """Run ``job`` and show the entry as it is afterwards; False if it failed."""
        try:
            view = await self.tool.desk.write(job, entry_id)
        except (SavedIsFixed, NotFound) as problem:
            await self.reload()  # another window was quicker: show what is there now
            self.trouble(problem)
            return False
        except FieldlogError as problem:
            self.trouble(problem)
            return False
        self._shown = self.tool.desk.written
        index = self._index_of(entry_id)
        if index is not None:
            self.views[index] = view
        return True

    def _index_of(self, entry_id: str) -> int | None:
        return next((i for i, v in enumerate(self.views) if v.entry.id == entry_id), None)

    def _show_corrected(self, said: str, select: str) -> None:
        self._save_anyway = ""
        self.selected = select
        if not self._has(select):
            self._select_first()
        self.answer.done(said)
        self.draw()

    def _revise(self, facts: Sequence[Fact], said: str, select: str) -> None:
        """A saved entry changes only by a new revision, and that needs a reason."""
        entry_id, selected = self.view.entry.id, self.selected
        told: list[str] = []

        def revised(store: Store, reason: str) -> StoredEntry:
            after, sentences = corrected(
                store, store.entry(entry_id),
                lambda: store.revise_entry(entry_id, tuple(facts), reason),
            )  # fmt: skip
            told.extend(sentences)
            return after

        async def revise(reason: str) -> None:
            made = await self._new_revision(lambda store: revised(store, reason), entry_id)
            if made:
                self._trail.append(Step(entry_id, selected, made))
                self._show_corrected(" ".join(("New revision.", said, *told)), select)

        self._ask_why(
            "This entry is saved: why is it changed?",
            f"{said}  The old revision is kept beside the new one.",
            REASONS,
            revise,
        )

    async def _new_revision(self, job: Callable[[Store], StoredEntry], entry_id: str) -> int:
        """The number of the revision that ``job`` makes; 0 if it failed."""
        made: list[int] = []
        await self._write(lambda store: made.append(job(store).revision), entry_id)
        return made[0] if made else 0

    def _ask_why(
        self, title: str, lead: str, reasons: Sequence[str], then: Callable[[str], Awaitable[None]]
    ) -> None:
        """Ask for a reason, offered or typed, and go on with it; without one nothing is done."""

        async def answered(answer: Answer | None) -> None:
            if reason := words_of(answer, reasons):
                await then(reason)

        self.app.push_screen(
            PickScreen(title, lead, reasons, typing="or type the reason"), answered
        )

    async def assign(self, horse: KnownHorse) -> None:
        """Give the entry in hand to a horse; a saved one by a new revision, with a reason."""
        entry_id = self.view.entry.id
        if self.view.saved:
            self._give(entry_id, horse)
            return
        if await self._write(lambda store: store.assign_horse(entry_id, horse.id), entry_id):
            self._trail.append(Step(entry_id, self.selected))
            self._show_corrected(f"This is {horse.name}.", self.selected)

    def _give(self, entry_id: str, horse: KnownHorse) -> None:
        before, selected = self.view.horse, self.selected
        if before is None or before.id == horse.id:
            self.answer.tell(f"This is {horse.name}'s already.")
            return

        async def give(reason: str) -> None:
            made = await self._new_revision(
                lambda store: store.give_to_horse(entry_id, horse.id, reason), entry_id
            )
            if made:
                self._trail.append(Step(entry_id, selected, made))
                self._show_corrected(f"New revision. This is {horse.name}.", selected)

        self._ask_why(
            f"This entry is saved: why is it {horse.name}'s?",
            "Its promises go along; what it closed for the other horse opens again. The old "
            "revision is kept beside the new one.",
            WRONG_HORSE,
            give,
        )

    async def action_undo(self) -> None:
        """Take the newest correction back, wherever it was made; then older ones of this entry."""
        if not self.views:
            return
        if not self._trail and self.view.saved:
            self.answer.tell(SAVED)
            return
        step = self._trail.pop() if self._trail else Step(self.view.entry.id, "")
        entry_id = step.entry_id
        taken: list[StoredEntry | None] = []

        def take_back(store: Store) -> None:
            taken.append(_unrevised(store, step) if step.revision else store.undo(entry_id))

        if not await self._write(take_back, entry_id):
            return
        now = taken[0] if taken else None
        if now is None:
            self.answer.tell("There is nothing to take back in this entry.")
            return
        if step.revision:
            # The step before it led to what stands now again.
            self._trail = [
                replace(s, revision=now.revision)
                if (s.entry_id, s.revision) == (entry_id, step.revision - 1)
                else s
                for s in self._trail
            ]
        await self.reload()  # an entry may have come back, or two are one again
        index = self._index_of(entry_id)
        self.current = index if index is not None else self.current
        said = "Taken back, as one more revision." if step.revision else "Taken back."
        self._show_corrected(said, step.selected)

    def action_discard(self) -> None:
        """Set the whole draft aside."""
        if not self.views or self.view.saved:
            self.answer.tell(STAYS if self.views else "There is no draft to set aside.")
            return
        view = self.view

        async def discard(reason: str) -> None:
            entry_id = view.entry.id
            kept: list[int] = []
            if await self._write(
                lambda store: kept.append(filing.set_aside(store, entry_id, reason)), entry_id
            ):
                self._trail.append(Step(entry_id, self.selected))
                await self.reload()
                due = f" On the due list (3): {count(kept[0], 'promise')}." if kept[0] else ""
                self.answer.done(
                    f"Set aside: {view.name}.{due} u brings it back; later: fieldlog drafts --aside"
                )

        self._ask_why(
            "Set the whole entry aside?",
            f"{view.when:%H:%M} {view.name}: its words and its sound are kept.",
            DISCARD,
            discard,
        )

    async def action_take_in(self) -> None:
        """Rescue and read sound that was left over."""
        tell = self.answer.tell

        def progress(sentence: str) -> None:
            self.app.call_from_thread(tell, sentence)

        async def run() -> None:
            try:
                said = await self.tool.desk.take_in_left_over(progress)
            except FieldlogError as problem:
                self.trouble(problem)
                return
            await self.reload()
            self.answer.done(said)
            self.tool.read_again()

        self.answer.tell("Looking for sound that was left over…")
        self.run_worker(run(), group="take in", exclusive=True, exit_on_error=False)

    # saving

    async def action_save(self) -> None:
        """Save the entry in hand."""
        if not self.views:
            return
        view = self.view
        if view.saved:
            self.answer.tell(SAVED)
            return
        if view.horse is None:
            self.answer.refuse(
                "Whose entry is this? h gives it a horse; then it can be saved. If it is about "
                "none, D: what it promises stays on the due list."
            )
            return
        if view.waiting and self._save_anyway != view.entry.id:
            self._save_anyway = view.entry.id
            things = count(view.waiting, "thing")
            self.answer.refuse(f"{things} not looked at yet. n shows them; s again saves as it is.")
            return
        at = self.current
        if await self._save([view]):
            later = [*range(at, len(self.views)), *range(at)]
            waiting = next((i for i in later if not self.views[i].saved), None)
            if waiting is not None:
                self._go_to(waiting)
            no_visit = "" if tells_of_a_visit(view.entry) else " It counts as no visit."
            facts = count(len(view.entry.facts), "fact")
            more = await self._told_after([view.entry.id])
            self.answer.done(f"Saved: {view.name}, {facts}.{no_visit} {more}".rstrip())

    async def action_save_sure(self) -> None:
        """Save all entries that nobody needs to look at."""
        sure = [v for v in self.views if v.sure]
        drafts = [v for v in self.views if not v.saved]
        if not sure:
            self.answer.tell(
                "No entry is sure yet: n shows what is to be looked at."
                if drafts
                else "There is no draft to save."
            )
            return
        if await self._save(sure):
            rest = len(drafts) - len(sure)
            left = f"; {count(rest, 'draft')} still to be looked at" if rest else ", none is left"
            more = await self._told_after([v.entry.id for v in sure])
            saved = count(len(sure), "entry", "entries")
            self.answer.done(f"Saved {saved}{left}. {more}".rstrip())

    async def _told_after(self, ids: Sequence[str]) -> str:
        """What is told behind the saving of entries."""
        desk = self.tool.desk
        return " ".join(filter(None, (await desk.still_open(ids), await desk.voice_hint(ids))))

    async def _save(self, views: Sequence[EntryView]) -> bool:
        ids = [v.entry.id for v in views]
        try:
            await self.tool.desk.save(ids)
        except FieldlogError as problem:
            self.trouble(problem)
            return False
        self._trail = [step for step in self._trail if step.entry_id not in ids]
        await self.reload()
        return True
