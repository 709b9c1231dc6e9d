"""Of which day a note is, where a recorder's clock or a copied file was wrong."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from fieldlog.app import filing
from fieldlog.app.screens.day_corrections import DayCorrections
from fieldlog.app.screens.day_state import Step
from fieldlog.app.screens.pick import Answer, PickScreen, Typed
from fieldlog.app.shown import count
from fieldlog.errors import FieldlogError

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import StoredEntry

WRONG_DAY = (
    "the recorder's clock was wrong",
    "the file was copied on another day",
    "told on another day than it was seen",
)


class DayDating(DayCorrections):
    """Another day: of a draft at once, of a saved note by a new revision, with a reason."""

    def action_date(self) -> None:
        """Type the day that the note is of."""
        if not self.views:
            self.answer.tell("There is no note to give another day.")
            return
        view = self.view

        async def answered(answer: Answer | None) -> None:
            if isinstance(answer, Typed):
                await self._typed_day(answer.text)

        self.app.push_screen(
            PickScreen(
                "Of which day is this note?",
                f"{view.name}, now of {_said(view.when.date())}. What counts from its day "
                "(“in six weeks”) is counted anew.",
                (), "day", "yesterday, friday, 24 nov",
            ),
            answered,
        )  # fmt: skip

    async def _typed_day(self, typed: str) -> None:
        try:
            day = self.tool.desk.day_of_note(typed)
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if day == self.view.when.date():
            self.answer.tell(f"It is of {_said(day)} already.")
        elif self.view.saved:
            self._redate(day)
        else:
            await self._date_draft(day)

    async def _date_draft(self, day: date) -> None:
        entry_id, selected = self.view.entry.id, self.selected
        if await self._write(lambda store: filing.give_day(store, entry_id, day), entry_id):
            self._trail.append(Step(entry_id, selected))
            await self.reload()  # its place in the list is another
            more = self._others_of_its_sound()
            self._show_corrected(f"Of {_said(day)} now. u takes it back.{more}", selected)

    def _others_of_its_sound(self) -> str:
        """A recorder's wrong clock dates every horse of its recording."""
        mine = self.view
        left = sum(
            v.sound == mine.sound and v.when.date() != mine.when.date() and not v.saved
            for v in self.views
            if mine.sound is not None
        )
        return f" Of another day still in this recording: {count(left, 'draft')}." if left else ""

    def _redate(self, day: date) -> None:
        entry_id, selected = self.view.entry.id, self.selected

        async def redate(reason: str) -> None:
            told: list[str] = []

            def job(store: Store) -> StoredEntry:
                after, sentences = filing.give_saved_day(store, entry_id, day, reason)
                told.extend(sentences)
                return after

            made = await self._new_revision(job, entry_id)
            if made:
                self._trail.append(Step(entry_id, selected, made))
                self.tool.desk.keep_listed(entry_id)
                await self.reload()
                self._show_corrected(
                    " ".join(("New revision.", f"Of {_said(day)} now.", *told)), selected
                )

        self._ask_why(
            "This entry is saved: why is it of another day?",
            f"Of {_said(day)}. Its visit and its promises go along. The old revision is kept "
            "beside the new one.",
            WRONG_DAY,
            redate,
        )


def _said(day: date) -> str:
    return f"{day:%A} {day.isoformat()}"
