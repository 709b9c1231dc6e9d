"""Drafts: what the machine understood, changed by hand until it is right.

Every change keeps the entry as it was before and as it was after, so each can be undone and each
can be told later. A draft is never deleted; one that is thrown away is only set aside.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from fieldlog.core.facts import Entry, Fact, FootBasis, HorseMention, Passage, new_id
from fieldlog.core.words import Transcript
from fieldlog.errors import InputError, NotFound, SavedIsFixed
from fieldlog.records.base import Row, now, stamp, utc_now
from fieldlog.records.people import People
from fieldlog.records.sounds import Sounds
from fieldlog.records.types import CorrectionRecord, EntryState, Horse, StoredEntry


class Drafts(People, Sounds):
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

    def drafts(self, day: date | None = None) -> list[StoredEntry]:
        """All drafts, or one day's, in the order they were spoken."""
        where, values = ("AND e.day = ?", [day.isoformat()]) if day else ("", [])
        return self._entries(f"e.state = 'draft' {where}", values)

    def set_aside(self) -> list[StoredEntry]:
        """The drafts that were set aside, in the order they were spoken; ``undo`` brings one back.

        Not those that are part of another one now, nor those of a forgotten client.
        """
        return self._entries(
            """e.state = 'discarded' AND
               (SELECT c.action FROM corrections c WHERE c.entry_id = e.id AND NOT c.undone
                ORDER BY c.id DESC LIMIT 1) LIKE 'discard%'""",
            [],
        )

    def entries_on(self, day: date) -> list[StoredEntry]:
        """A day's drafts and saved entries, in the order they were spoken."""
        return self._entries("e.state <> 'discarded' AND e.day = ?", [day.isoformat()])

    def entries_of(self, horse_id: str, after: date = date.min) -> list[StoredEntry]:
        """A horse's saved entries of the days after one, the oldest first."""
        where = "e.state = 'saved' AND e.horse_id = ? AND e.day > ?"
        return self._entries(where, [horse_id, after.isoformat()])

    def entries_from(self, recording_id: str) -> list[StoredEntry]:
        """The entries of one recording."""
        return self._entries("e.state <> 'discarded' AND e.recording_id = ?", [recording_id])

    def days(self) -> list[date]:
        """Days that have entries, the newest first."""
        rows = self.query(
            "SELECT DISTINCT day FROM entries WHERE state <> 'discarded' ORDER BY 1 DESC"
        )
        return [date.fromisoformat(r["day"]) for r in rows]

    def entry(self, entry_id: str) -> StoredEntry:
        """One entry, draft or saved.

        Raises:
            NotFound: no such entry.
        """
        found = self._entries("e.id = ?", [entry_id])
        if not found:
            raise NotFound("There is no such entry.", "See “fieldlog drafts”.")
        return found[0]

    def change_fact(self, entry_id: str, fact: Fact, *, looked_at: bool = True) -> StoredEntry:
        """Put a corrected fact in the place of the one with its id.

        Args:
            entry_id: the draft.
            fact: with the id of the one that it replaces.
            looked_at: it counts as looked at; False if only a part of it was corrected and other
                doubts stay.
        """

        def changed(entry: Entry) -> Entry:
            self._fact(entry, fact.id)
            facts = tuple(fact if f.id == fact.id else f for f in entry.facts)
            return replace(entry, facts=facts)

        return self._change(entry_id, "change", changed, look_at=[fact.id] if looked_at else [])

    def accept_fact(self, entry_id: str, fact_id: str) -> StoredEntry:
        """Mark a fact as looked at and right."""

        def accepted(entry: Entry) -> Entry:
            self._fact(entry, fact_id)
            return entry

        return self._change(entry_id, "accept", accepted, look_at=[fact_id])

    def add_fact(self, entry_id: str, fact: Fact) -> StoredEntry:
        """Add a fact by hand."""
        return self._change(
            entry_id,
            "add",
            lambda entry: replace(entry, facts=(*entry.facts, fact)),
            look_at=[fact.id],
        )

    def delete_fact(self, entry_id: str, fact_id: str) -> StoredEntry:
        """Take a fact out; its words stay as free text."""

        def without(entry: Entry) -> Entry:
            gone = self._fact(entry, fact_id)
            facts = tuple(f for f in entry.facts if f.id != fact_id)
            kept = entry.passages
            if gone.span[1] > gone.span[0] and not any(f.span == gone.span for f in facts):
                words = entry.text[gone.span[0] : gone.span[1]]
                kept = (*kept, Passage(gone.span, words))
            return replace(entry, facts=facts, passages=kept)

        return self._change(entry_id, "delete", without)

    def set_facts(self, entry_id: str, facts: Sequence[Fact], action: str) -> StoredEntry:
        """Replace all facts in one correction that is undone as one.

        Facts whose foot was chosen by hand count as looked at, unless another doubt is left.
        """
        return self._change(
            entry_id,
            action,
            lambda entry: replace(entry, facts=tuple(facts)),
            look_at=[f.id for f in facts if f.foot_basis is FootBasis.CHOSEN and not f.needs_look],
        )

    def split_fact(self, entry_id: str, fact_id: str) -> StoredEntry:
        """One fact over several feet becomes one fact for each foot."""

        def split(entry: Entry) -> Entry:
            whole = self._fact(entry, fact_id)
            if len(whole.feet) < 2:
                raise InputError("This fact is about one foot only.", "There is nothing to split.")
            parts = tuple(replace(whole, id=new_id(), feet=(foot,)) for foot in whole.feet)
            at = entry.facts.index(whole)
            return replace(entry, facts=(*entry.facts[:at], *parts, *entry.facts[at + 1 :]))

        return self._change(entry_id, "split", split)

    def join_facts(self, entry_id: str, first_id: str, second_id: str) -> StoredEntry:
        """Two facts become one: the first, with the feet and places of both."""

        def joined(entry: Entry) -> Entry:
            first, second = self._fact(entry, first_id), self._fact(entry, second_id)
            if first.code != second.code or first.id == second.id:
                raise InputError(
                    "Only two facts of the same kind can be joined.", "Choose another pair."
                )
            one = replace(
                first,
                feet=tuple(dict.fromkeys((*first.feet, *second.feet))),
                places=tuple(dict.fromkeys((*first.places, *second.places))),
                quantity=first.quantity or second.quantity,
                severity=first.severity or second.severity,
                span=(min(first.span[0], second.span[0]), max(first.span[1], second.span[1])),
            )
            facts = tuple(one if f.id == first_id else f for f in entry.facts if f.id != second_id)
            return replace(entry, facts=facts)

        return self._change(entry_id, "join", joined, look_at=[first_id])

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

    def _put_time(self, entry_id: str, at: datetime) -> None:
        self.run(
            "UPDATE entries SET at = ?, day = ? WHERE id = ?",
            [stamp(at), at.date().isoformat(), entry_id],
        )

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
            entry = stored.entry
            if not entry.span[0] < at < entry.span[1]:
                raise InputError("Nothing would be left on one side.", "Choose a word inside.")
            head = replace(
                entry,
                span=(entry.span[0], at),
                facts=tuple(f for f in entry.facts if f.span[0] < at),
                passages=tuple(p for p in entry.passages if p.span[0] < at),
            )
            tail = replace(
                entry,
                id=new_id(),
                horse=None,
                span=(at, entry.span[1]),
                facts=tuple(f for f in entry.facts if f.span[0] >= at),
                passages=tuple(p for p in entry.passages if p.span[0] >= at),
                corrections=(),
            )
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
            one = replace(
                a,
                span=(min(a.span[0], b.span[0]), max(a.span[1], b.span[1])),
                horse=a.horse or b.horse,
                facts=(*a.facts, *b.facts),
                passages=(*a.passages, *b.passages),
                corrections=(*a.corrections, *b.corrections),
                red_flags=tuple(dict.fromkeys((*a.red_flags, *b.red_flags))),
            )
            looked_at = first.looked_at | second.looked_at
            self._record(first, "join entries", one, looked_at, second_id)
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

    def undo(self, entry_id: str) -> StoredEntry | None:
        """Take back the last change of a draft; None if there is nothing to take back.

        Taking back a split puts both parts together again; taking back a join parts them.

        Raises:
            SavedIsFixed: the entry is saved.
            InputError: the part that was split off has been changed or saved since.
        """
        with self.write():
            row = self.one(
                """SELECT * FROM corrections WHERE entry_id = ? AND NOT undone
                   ORDER BY id DESC LIMIT 1""",
                [entry_id],
            )
            if row is None:
                return None
            state = self.one("SELECT state FROM entries WHERE id = ?", [entry_id])
            if state and state["state"] == "saved":
                raise _fixed()
            if row["action"] == "joined into another":
                return None  # It is parted again by undoing the other one.
            if row["action"] in ("split entry", "join entries"):
                if not row["other_id"]:
                    return None  # Made before the other part was noted (schema 1).
                self._undo_other(row["action"], row["other_id"])
            before = json.loads(row["before"])
            self.run("UPDATE corrections SET undone = 1 WHERE id = ?", [row["id"]])
            self.run(
                """UPDATE entries SET body = ?, looked_at = ?, horse_id = ?, state = 'draft'
                   WHERE id = ?""",
                [
                    json.dumps(before["entry"]),
                    json.dumps(before["looked_at"]),
                    self.standing(before["horse_id"]).id if before["horse_id"] else None,
                    entry_id,
                ],
            )
            if row["action"] == "day":
                self._put_time(entry_id, datetime.fromisoformat(before["at"]))
        return self.entry(entry_id)

    def _undo_other(self, action: str, other_id: str) -> None:
        """Bring the second entry back after a join, or set the second part aside after a split."""
        if action == "join entries":
            self.run(
                """UPDATE corrections SET undone = 1
                   WHERE entry_id = ? AND action = 'joined into another'""",
                [other_id],
            )
            self.run("UPDATE entries SET state = 'draft' WHERE id = ?", [other_id])
            return
        changed = self.one(
            """SELECT 1 AS x FROM entries e WHERE e.id = ? AND (e.state = 'saved' OR EXISTS
               (SELECT 1 FROM corrections c WHERE c.entry_id = e.id AND NOT c.undone))""",
            [other_id],
        )
        if changed:
            raise InputError(
                "The part that was split off has been changed since.",
                "Undo its changes first, or join the two.",
            )
        self.run("UPDATE entries SET state = 'discarded' WHERE id = ?", [other_id])

    def corrections(self, entry_id: str) -> list[CorrectionRecord]:
        """Everything that was changed by hand, the oldest first."""
        rows = self.query("SELECT * FROM corrections WHERE entry_id = ? ORDER BY id", [entry_id])
        return [
            CorrectionRecord(
                id=r["id"],
                entry_id=entry_id,
                at=datetime.fromisoformat(r["at"]),
                action=r["action"],
                before=Entry.from_dict(json.loads(r["before"])["entry"]),
                after=Entry.from_dict(json.loads(r["after"])) if r["after"] else None,
                undone=bool(r["undone"]),
            )
            for r in rows
        ]

    def _change(
        self,
        entry_id: str,
        action: str,
        change: Callable[[Entry], Entry],
        look_at: Iterable[str] = (),
    ) -> StoredEntry:
        with self.write():
            stored = self._draft(entry_id)
            after = change(stored.entry)
            self._record(stored, action, after, stored.looked_at | set(look_at))
        return self.entry(entry_id)

    def _record(
        self,
        stored: StoredEntry,
        action: str,
        after: Entry | None,
        looked_at: frozenset[str],
        other_id: str = "",
    ) -> None:
        before = {
            "entry": stored.entry.to_dict(),
            "looked_at": sorted(stored.looked_at),
            "horse_id": stored.horse.id if stored.horse else None,
            "at": stamp(stored.at),
        }
        self.run(
            """INSERT INTO corrections (entry_id, at, action, before, after, other_id)
               VALUES (?, ?, ?, ?, ?, ?)""",
            [
                stored.id,
                utc_now(),
                action,
                json.dumps(before),
                json.dumps(after.to_dict()) if after else None,
                other_id,
            ],
        )
        if after is not None:
            self.run(
                "UPDATE entries SET body = ?, looked_at = ? WHERE id = ?",
                [json.dumps(after.to_dict()), json.dumps(sorted(looked_at)), stored.id],
            )

    def _draft(self, entry_id: str) -> StoredEntry:
        stored = self.entry(entry_id)
        if stored.state is EntryState.SAVED:
            raise _fixed()
        return stored

    def _fact(self, entry: Entry, fact_id: str) -> Fact:
        for fact in entry.facts:
            if fact.id == fact_id:
                return fact
        raise NotFound("There is no such fact in this entry.", "It may have been undone.")

    def _sure_horse(self, mention: HorseMention | None) -> str | None:
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

    def _entries(self, where: str, values: Sequence[object]) -> list[StoredEntry]:
        rows = self.query(
            f"""SELECT e.*, r.saved_at, r.reason, r.body AS saved_body FROM entries e
                LEFT JOIN revisions r ON r.entry_id = e.id AND r.number = e.revision
                WHERE {where} ORDER BY e.at, e.rowid""",
            values,
        )
        return as_spoken([self._stored(r) for r in rows])

    def _stored(self, row: Row) -> StoredEntry:
        return StoredEntry(
            id=row["id"],
            entry=Entry.from_dict(json.loads(row["body"])),
            state=EntryState(row["state"]) if row["state"] != "discarded" else EntryState.DRAFT,
            recording_id=row["recording_id"],
            horse=self.standing(row["horse_id"]) if row["horse_id"] else None,
            day=date.fromisoformat(row["day"]),
            at=datetime.fromisoformat(row["at"]),
            looked_at=frozenset(json.loads(row["looked_at"])),
            revision=row["revision"],
            saved_at=datetime.fromisoformat(row["saved_at"]) if row["saved_at"] else None,
            reason=row["reason"] or "",
        )


def as_spoken(entries: Sequence[StoredEntry]) -> list[StoredEntry]:
    """The entries of one recording one behind the other, as they were spoken.

    What was broken off later was stored last, behind what was spoken after it.
    """
    begun: dict[str, int] = {}
    for place, stored in enumerate(entries):
        begun.setdefault(stored.recording_id or stored.id, place)
    return sorted(entries, key=lambda e: (e.at, begun[e.recording_id or e.id], e.entry.span[0]))


def _fixed() -> SavedIsFixed:
    return SavedIsFixed(
        "This entry is saved and stays as it is.",
        "Change it by a new revision with its reason; the old one is kept beside it.",
    )
