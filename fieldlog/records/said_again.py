"""The same promise, said again: one line of the due list, while each note keeps its own.

Nothing is joined in the records: a correction of one note takes only its own promise back. What a
person does to the line (done, dropped, another day, open again) is done to all of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from fieldlog.core.feet import Foot
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.language.wording import label
from fieldlog.records.base import utc_now
from fieldlog.records.followups import FollowUps
from fieldlog.records.types import FollowUp, FollowUpState, StoredEntry

BY_HAND = "by hand"


class SaidAgain(FollowUps):
    """Promises as lines."""

    def lines(
        self, state: FollowUpState | None = FollowUpState.OPEN, **only: str | None
    ) -> list[FollowUp]:
        """``follow_ups``, each promise that was said again as one, with what else is it."""
        return self._one_line_each(self.follow_ups(state, **only))

    def line(self, follow_up_id: str) -> FollowUp:
        """The line that a follow-up is part of, by the id of any of them or the start of one.

        Raises:
            NotFound: none, or several start so.
        """
        wanted = self.follow_up(follow_up_id)
        alike = self.follow_ups(wanted.state, horse_id=wanted.horse_id)
        mine = [f for f in alike if f.id == wanted.id or _what(f) == _what(wanted)]
        # A state that was given at another time is another line.
        return next(f for f in self._one_line_each(mine) if wanted.id in (f.id, *f.also))

    def meant_for(self, stored: StoredEntry) -> list[FollowUp]:
        """Open lines that earlier notes put off to the horse's next visit, if this note is of one.

        “Bring pads next time”, “radiographs before the next trim”: not what has a day of its own,
        nor what this note, or a later one, says again.
        """
        if stored.horse is None or not tells_of_a_visit(stored.entry):
            return []
        return [
            line
            for line in self.lines(horse_id=stored.horse.id)
            if line.due is None
            and "next" in line.due_spoken
            and all(self._promised_on(self.follow_up(one)) < stored.day for one in line.ids)
        ]

    def close_line(self, ids: Sequence[str], reason: str = "") -> None:
        """Mark every promise of a line as done, at one moment; all or none.

        Raises:
            InputError: one is closed already.
        """
        at = utc_now()
        with self.write():
            for one in ids:
                self.close_follow_up(one, reason, at)

    def drop_line(self, ids: Sequence[str], reason: str) -> None:
        """Drop every promise of a line, at one moment; all or none.

        Raises:
            InputError: no reason was given, or one is closed already.
        """
        at = utc_now()
        with self.write():
            for one in ids:
                self.drop_follow_up(one, reason, at)

    def reopen_line(self, ids: Sequence[str]) -> None:
        """Open every promise of a line again."""
        with self.write():
            for one in ids:
                self.reopen_follow_up(one)

    def move_line(self, ids: Sequence[str], due: date | None) -> None:
        """Give every promise of a line another day.

        Raises:
            InputError: one is closed.
        """
        with self.write():
            for one in ids:
                self.move_follow_up(one, due)

    def _one_line_each(self, found: Sequence[FollowUp]) -> list[FollowUp]:
        made = said_once(found, {})
        notes = [f.entry_id for f in found if f.entry_id] if len(made) < len(found) else []
        marks = ", ".join("?" for _ in notes)
        rows = self.query(f"SELECT id, day FROM entries WHERE id IN ({marks})", notes)
        return said_once(found, {r["id"]: r["day"] for r in rows})


def said_once(found: Iterable[FollowUp], days: Mapping[str, str]) -> list[FollowUp]:
    """Each promise that was said again as the first of them, in the place of the first listed.

    Args:
        found: in the order of a list.
        days: the day of each note, by its id.
    """
    alike: dict[Any, list[FollowUp]] = {}
    for one in found:
        alike.setdefault(_key(one), []).append(one)
    return [_first(them, days) for them in alike.values()]


def _first(alike: Sequence[FollowUp], days: Mapping[str, str]) -> FollowUp:
    if len(alike) == 1:
        return alike[0]
    first, *again = sorted(alike, key=lambda f: (_made(f), f.id))
    noted = next((f for f in (first, *again) if f.entry_id), first)
    return replace(
        first,
        entry_id=noted.entry_id,
        fact_id=noted.fact_id,
        urgent=any(f.urgent for f in alike),
        due_spoken=first.due_spoken or next((f.due_spoken for f in again if f.due_spoken), ""),
        also=tuple(f.id for f in again),
        said_on=tuple(sorted(days.get(f.entry_id or "", BY_HAND) for f in alike)),
    )


def _made(one: FollowUp) -> str:
    return one.created_at.isoformat() if one.created_at else ""


def _key(one: FollowUp) -> tuple[object, ...]:
    """What two follow-ups have in common that are one line."""
    return (*_what(one), one.state, one.reason, one.closed_at, one.horse_id)


def _what(one: FollowUp) -> tuple[object, ...]:
    # Of a horse's next visit there is one, however it was said; “bring pads” is not “bring shoes”.
    one_only = one.horse_id is not None and one.code in ONE_OF_A_KIND
    code, text = one.code, one.text
    if one.horse_id is None:
        # Added by hand, where nobody says what kind it is, or from a note, where the kind stands
        # before the words.
        code, text = "", text.removeprefix(f"{label(code, 'followup')}: ")
    words = "" if one_only else " ".join(_WORD.findall(text.casefold()))
    feet: frozenset[Foot] = frozenset(one.feet)
    return code, one.due, words, feet, one.who, one.condition.casefold()


ONE_OF_A_KIND = frozenset({"next_trim", "cycle"})
_WORD = re.compile(r"[\w'’/]+")
