"""Drafts: what the machine understood, changed by hand until it is right.

Every change keeps the entry as it was before and as it was after, so each can be undone and each
can be told later. A draft is never deleted; one that is thrown away is only set aside.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from fieldlog.core.facts import Entry, Fact, HorseMention, new_id
from fieldlog.core.spans import Span, joined
from fieldlog.core.words import Transcript
from fieldlog.errors import InputError
from fieldlog.records.base import now, stamp
from fieldlog.records.draft_facts import DraftFacts
from fieldlog.records.types import Horse, StoredEntry


class Drafts(DraftFacts):
    """Entries that wait for the farrier."""

    def add_drafts(
        self,
        recording_id: str | None,
        entries: Iterable[Entry],
        at: datetime | None = None,
    ) -> list[StoredEntry]:
        """Keep freshly understood entries as drafts.

        A horse heard by the exact name of one known horse is assigned at once; anything less sure
        is left to the farrier.

        Args:
            recording_id: their recording, or None for typed notes.
            entries: what was understood.
            at: the time of the note; by default the recording's, or now.
        """
        moment = at or (self.recording(recording_id).started_at if recording_id else now())
        kept = []
        with self.write():
            for entry in entries:
                self.run(
                    """INSERT INTO entries (id, recording_id, horse_id, state, at, day, body)
                       VALUES (?, ?, ?, 'draft', ?, ?, ?)""",
                    [
                        entry.id,
                        recording_id,
                        self._sure_horse(entry.horse),
                        stamp(moment),
                        moment.date().isoformat(),
                        json.dumps(entry.to_dict()),
                    ],
                )
                kept.append(entry.id)
        return [self.entry(i) for i in kept]

    def assign_horse(self, entry_id: str, horse_id: str) -> StoredEntry:
        """Say which horse the entry is about."""
        horse = self.standing(horse_id)
        with self.write():
            stored = self._draft(entry_id)
            spoken = stored.entry.horse
            mention = (
                replace(spoken, name=horse.name, known=True)
                if spoken
                else HorseMention(horse.name, (0, 0), known=True)
            )
            self._record(stored, "assign", replace(stored.entry, horse=mention), stored.looked_at)
            self.run("UPDATE entries SET horse_id = ? WHERE id = ?", [horse.id, entry_id])
        return self.entry(entry_id)

    def give_day(self, entry_id: str, day: date, facts: Sequence[Fact]) -> StoredEntry:
        """Say of which day a draft is: a recorder's clock, or the date of a copied file, was wrong.

        Args:
            entry_id: which draft.
            day: the day on which it was said.
            facts: its facts, with the days that are counted from it.
        """
        with self.write():
            stored = self._draft(entry_id)
            self._record(stored, "day", replace(stored.entry, facts=tuple(facts)), stored.looked_at)
            self._put_time(entry_id, datetime.combine(day, stored.at.timetz()))
        return self.entry(entry_id)

    def give_drafts_that_name(self, horse: Horse) -> list[StoredEntry]:
        """Drafts that name a new horse are its own, as they would be if it had been known.

        Those of a name that several horses share stay to be asked about.
        """
        if self.twins(horse):
            return []
        name = horse.name.casefold()
        with self.write():
            return [
                self.assign_horse(d.id, horse.id)
                for d in self.drafts()
                if d.horse is None and d.entry.horse and d.entry.horse.name.casefold() == name
            ]

    def split_entry(self, entry_id: str, at: int) -> tuple[StoredEntry, StoredEntry]:
        """Cut an entry in two at character ``at``: what follows is about another horse.

        Raises:
            InputError: the cut would leave one side empty.
        """
        with self.write():
            stored = self._draft(entry_id)
            head, tail = cut(stored.entry, at)
            self._record(stored, "split entry", head, stored.looked_at, tail.id)
            self.run(
                """INSERT INTO entries (id, recording_id, state, at, day, body, looked_at)
                   VALUES (?, ?, 'draft', ?, ?, ?, ?)""",
                [
                    tail.id,
                    stored.recording_id,
                    stamp(stored.at),
                    stored.day.isoformat(),
                    json.dumps(tail.to_dict()),
                    json.dumps(sorted(stored.looked_at)),
                ],
            )
        return self.entry(entry_id), self.entry(tail.id)

    def join_entries(self, first_id: str, second_id: str) -> StoredEntry:
        """Make two entries of the same recording one; the second is set aside, not lost."""
        with self.write():
            first, second = self._draft(first_id), self._draft(second_id)
            if first.recording_id != second.recording_id or first_id == second_id:
                raise InputError(
                    "Only two entries of the same recording can be joined.",
                    "Assign both to the same horse instead.",
                )
            a, b = first.entry, second.entry
            if first.recording_id is not None and a.text != b.text:
                raise InputError(
                    "In one of these two you took what the second reader heard.",
                    "Take that back first (u), join, then take it again.",
                )
            looked_at = first.looked_at | second.looked_at
            self._record(first, "join entries", _joined(a, b), looked_at, second_id)
            horse_id = first.horse or second.horse
            self.run(
                "UPDATE entries SET horse_id = ? WHERE id = ?",
                [horse_id.id if horse_id else None, first_id],
            )
            self._record(second, "joined into another", second.entry, second.looked_at, first_id)
            self.run("UPDATE entries SET state = 'discarded' WHERE id = ?", [second_id])
        return self.entry(first_id)

    def take_reading(
        self, stored: StoredEntry, entry: Entry, transcript: Transcript, look_at: Iterable[str]
    ) -> StoredEntry:
        """Put an entry that was understood again from other words in the place of a draft.

        Args:
            stored: the draft as it was when the words were taken.
            entry: what it becomes; its spans point into ``transcript``.
            transcript: the corrected words; kept beside what each reader heard.
            look_at: ids of facts that count as looked at.

        Raises:
            InputError: the draft was changed meanwhile.
        """
        with self.write():
            now_there = self._draft(stored.id)
            if now_there.entry != stored.entry or stored.recording_id is None:
                raise InputError(
                    "This draft was changed in another window meanwhile.", "Look at it again."
                )
            self.store_transcript(stored.recording_id, transcript)
            there = {f.id for f in entry.facts}
            looked_at = frozenset(i for i in now_there.looked_at if i in there) | set(look_at)
            self._record(now_there, "other reading", entry, looked_at)
            if now_there.horse is None:
                self.run(
                    "UPDATE entries SET horse_id = ? WHERE id = ?",
                    [self._sure_horse(entry.horse), stored.id],
                )
        return self.entry(stored.id)

    def discard(self, entry_id: str, reason: str = "") -> None:
        """Set a draft aside: it leaves the lists; its words and sound stay."""
        with self.write():
            stored = self._draft(entry_id)
            self._record(stored, f"discard: {reason}".rstrip(": "), None, stored.looked_at)
            self.run("UPDATE entries SET state = 'discarded' WHERE id = ?", [entry_id])

    def _sure_horse(self, mention: HorseMention | None) -> str | None:
        """The id of the one known horse that has exactly the name that was heard, or None."""
        if mention is None:
            return None
        # One that left is asked about: a new horse may have its name.
        rows = self.query(
            """SELECT id, same_as FROM horses WHERE name = ? COLLATE NOCASE AND left_on = ''
               ORDER BY same_as IS NOT NULL""",
            [mention.name.strip()],
        )
        own = [r["id"] for r in rows if r["same_as"] is None]
        meant = own or list({self.standing(r["id"]).id for r in rows})
        return str(meant[0]) if len(meant) == 1 else None


def cut(entry: Entry, at: int) -> tuple[Entry, Entry]:
    """An entry in two; the second, from character ``at`` on, is about a horse yet to be named.

    Raises:
        InputError: the cut would leave one side empty.
    """
    if not entry.span[0] < at < entry.span[1]:
        raise InputError("Nothing would be left on one side.", "Choose a word inside.")
    head = replace(
        entry,
        span=(entry.span[0], at),
        parts=_parts(entry, entry.span[0], at),
        facts=tuple(f for f in entry.facts if f.span[0] < at),
        passages=tuple(p for p in entry.passages if p.span[0] < at),
    )
    tail = replace(
        entry,
        id=new_id(),
        horse=None,
        span=(at, entry.span[1]),
        parts=_parts(entry, at, entry.span[1]),
        facts=tuple(f for f in entry.facts if f.span[0] >= at),
        passages=tuple(p for p in entry.passages if p.span[0] >= at),
        corrections=(),
    )
    return head, tail


def _parts(entry: Entry, begin: int, end: int) -> tuple[Span, ...]:
    """The stretches of an entry that lie between two places; none where it has none of its own."""
    return tuple((max(a, begin), min(b, end)) for a, b in entry.parts if a < end and begin < b)


def _joined(a: Entry, b: Entry) -> Entry:
    """Two entries as one; of their horses the first that is known."""
    parts = joined([*a.stretches, *b.stretches], a.text) if a.text == b.text else ()
    return replace(
        a,
        span=(min(a.span[0], b.span[0]), max(a.span[1], b.span[1])),
        parts=parts if len(parts) > 1 else (),
        horse=a.horse or b.horse,
        facts=(*a.facts, *b.facts),
        passages=(*a.passages, *b.passages),
        corrections=(*a.corrections, *b.corrections),
        red_flags=tuple(dict.fromkeys((*a.red_flags, *b.red_flags))),
    )
