"""Saving: an entry becomes a numbered revision in a chain that shows any later change.

Each link's hash is SHA-256 over the link before it, the entry's text and facts, the horse, the
time and the sound file's own hash. Whoever changes, removes or reorders a saved revision breaks
every link after it, and ``verify_chain`` names the first broken one.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from fieldlog.core.facts import Entry, Fact, FactKind, Passage
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError, NotFound, SavedIsFixed
from fieldlog.language.wording import describe
from fieldlog.records.base import Row, utc_now
from fieldlog.records.drafts import Drafts
from fieldlog.records.promises_corrected import PromisesCorrected
from fieldlog.records.schema import DAY_STEP
from fieldlog.records.types import ChainReport, EntryState, FollowUpState, StoredEntry

START = "0" * 64
"""What the first link counts as the hash before it."""


def body_hash(body: str) -> str:
    """SHA-256 of a revision's canonical JSON."""
    return hashlib.sha256(body.encode()).hexdigest()


def link_hash(link: Row) -> str:
    """SHA-256 that ties a revision to everything before it.

    Hashes ``body_hash`` rather than the body, so that a client's personal words may be taken out
    on request while the chain still verifies.
    """
    parts = [
        link["before_hash"],
        str(link["link"]),
        link["entry_id"],
        str(link["number"]),
        link["saved_at"],
        link["author"],
        link["reason"],
        link["horse_id"],
        link["sound_sha256"],
        link["body_hash"],
    ]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


class Saving(Drafts, PromisesCorrected):
    """From draft to record."""

    author: str = ""
    """Who saves; written into each revision."""

    def save_entry(self, entry_id: str) -> StoredEntry:
        """Make a draft a saved record: revision 1, its visit, its follow-ups, its search lines.

        Older promises that the visit keeps by taking place are closed as done, and so are its own
        where a later visit is saved already.

        Raises:
            InputError: no horse is assigned yet.
            SavedIsFixed: it is saved already.
        """
        with self.write():
            stored = self.entry(entry_id)
            if stored.state is EntryState.SAVED:
                raise SavedIsFixed("This entry is saved already.", "Revise it with a reason.")
            if stored.horse is None:
                raise InputError(
                    "This entry is not yet assigned to a horse.", "Say which horse it is first."
                )
            self.run("UPDATE entries SET state = 'saved' , revision = 1 WHERE id = ?", [entry_id])
            self._append(stored, stored.entry, 1, "")
            if tells_of_a_visit(stored.entry):
                self.visit_for(stored.horse.id, stored.day)
            self.close_kept_by_visit(stored)
            self.put_off_by(stored)
            for fact in stored.entry.facts:
                self.follow_up_from(fact, stored)
            # A day that is saved late: a visit saved before it may have kept what it promised.
            for later in self.entries_of(stored.horse.id, after=stored.day):
                self.close_kept_by_visit(later, promised_in=stored.id)
        return self.entry(entry_id)

    def save_all(self, entry_ids: list[str]) -> list[StoredEntry]:
        """Save several drafts in one step: all of them or none."""
        with self.write():
            return [self.save_entry(i) for i in entry_ids]

    def revise_entry(self, entry_id: str, facts: tuple[Fact, ...], reason: str) -> StoredEntry:
        """Change a saved entry by a new revision; the old one stays readable, and its promises
        follow (``promises_corrected``).

        Raises:
            InputError: no reason, the entry is still a draft, or was taken out on request.
        """
        why = reasoned(reason)
        with self.write():
            stored = self._revisable(entry_id, "Correct the draft itself.")
            passages = _passages(stored.entry, facts)
            entry = replace(stored.entry, facts=facts, passages=passages)
            number = stored.revision + 1
            self._append(stored, entry, number, why)
            self.run(
                "UPDATE entries SET revision = ?, body = ? WHERE id = ?",
                [number, json.dumps(entry.to_dict()), entry_id],
            )
            self.correct_promises(stored, facts, why)
            self._visit_follows(stored, entry)
        return self.entry(entry_id)

    def _revisable(self, entry_id: str, remedy: str) -> StoredEntry:
        """A saved entry that may be changed by a new revision.

        Raises:
            InputError: it is still a draft, for which ``remedy`` says what to do, or was taken out
                on request.
        """
        stored = self.entry(entry_id)
        if stored.state is not EntryState.SAVED:
            raise InputError("This entry is still a draft.", remedy)
        self._check_there(entry_id)
        return stored

    def _visit_follows(self, stored: StoredEntry, entry: Entry) -> None:
        """A correction may make a note one of a visit, or of none."""
        if stored.horse is None or tells_of_a_visit(stored.entry) == tells_of_a_visit(entry):
            return
        if tells_of_a_visit(entry):
            self.visit_for(stored.horse.id, stored.day)
            self.close_kept_by_visit(replace(stored, entry=entry))
        else:
            self.was_not_visited(stored.horse.id, stored.day)

    def was_not_visited(self, horse_id: str, day: date) -> None:
        """Take a day's visit of a horse back, if no saved note of that day tells of one."""
        notes = self._entries(
            "e.horse_id = ? AND e.day = ? AND e.state = 'saved'", [horse_id, day.isoformat()]
        )
        if any(tells_of_a_visit(n.entry) for n in notes):
            return
        self.run("DELETE FROM visits WHERE horse_id = ? AND day = ?", [horse_id, day.isoformat()])
        for promise in self.follow_ups(FollowUpState.DONE, horse_id=horse_id):
            if promise.reason == self.visited_on(day):
                self.reopen_follow_up(promise.id)

    def _check_there(self, entry_id: str) -> None:
        """Refuse an entry of which nothing is left.

        Raises:
            InputError: its words were taken out on request.
        """
        if self._is_taken_out(entry_id):
            raise InputError(
                "This note was taken out on request.", "What is to be kept goes into a new note."
            )

    def _is_taken_out(self, entry_id: str) -> bool:
        gone = "SELECT 1 AS gone FROM revisions WHERE entry_id = ? AND body = ''"
        return self.one(gone, [entry_id]) is not None

    def revisions(self, entry_id: str) -> list[StoredEntry]:
        """All revisions of a saved entry, the first one first, each with horse and day of then."""
        stored = self.entry(entry_id)
        rows = self.query("SELECT * FROM revisions WHERE entry_id = ? ORDER BY number", [entry_id])
        several = len({r["horse_id"] for r in rows}) > 1
        horses = {h.id: h for h in (*self.horses(), *self.spelt_otherwise())} if several else {}
        return [
            replace(
                stored,
                entry=_kept_entry(r),
                horse=horses.get(r["horse_id"], stored.horse) if horses else stored.horse,
                **_kept_time(r, stored),
                parted_to=_parted(r, "to"),
                parted_from=_parted(r, "from"),
                revision=r["number"],
                saved_at=datetime.fromisoformat(r["saved_at"]),
                reason=r["reason"],
            )
            for r in rows
        ]

    def saved_entries(
        self, horse_id: str | None = None, day: date | None = None, limit: int = -1
    ) -> list[StoredEntry]:
        """Saved entries, the newest first.

        Args:
            horse_id: only this horse's.
            day: only this day's.
            limit: most entries; -1 for all.
        """
        wanted = {"horse_id": horse_id, "day": day.isoformat() if day else None}
        parts = {column: value for column, value in wanted.items() if value is not None}
        where = " AND ".join(["state = 'saved'", *(f"{column} = ?" for column in parts)])
        # Chosen before they are read: a practice of years has thousands.
        newest = f"SELECT id FROM entries WHERE {where} ORDER BY at DESC, rowid DESC LIMIT ?"
        return self._entries(f"e.id IN ({newest})", [*parts.values(), limit])[::-1]

    def saved_note(self, short: str) -> StoredEntry:
        """The saved entry of this id, or of the unambiguous start of it.

        Raises:
            NotFound: none, or several start so.
            InputError: a draft does.
        """
        wanted = short.strip().lower()
        found = self._entries(
            "e.state <> 'discarded' AND substr(e.id, 1, ?) = ?", [len(wanted), wanted]
        )
        saved = [e for e in found if wanted and e.state is EntryState.SAVED]
        if len(saved) == 1:
            return saved[0]
        if wanted and found and not saved:
            raise InputError(
                f"{short} is still a draft.",
                f"To look: fieldlog drafts {short}. To correct it: fieldlog review.",
            )
        raise NotFound(
            f"{'Several saved notes start' if saved else 'No saved note starts'} with “{short}”.",
            "“fieldlog notes” lists their short names.",
        )

    def newest_write(self) -> datetime | None:
        """When this or another computer last heard, corrected or saved something, by its clock."""
        found = self.one(
            """SELECT max(at) AS at FROM (SELECT max(saved_at) AS at FROM revisions
               UNION ALL SELECT max(made_at) FROM transcripts
               UNION ALL SELECT max(at) FROM corrections)"""
        )
        return datetime.fromisoformat(found["at"]) if found and found["at"] else None

    def chain(self) -> list[Row]:
        """Every link in order, as stored."""
        return self.query("SELECT * FROM revisions ORDER BY link")

    def verify_chain(self) -> ChainReport:
        """Recompute every hash from the first link on and name the first that does not fit."""
        before, count, taken_out = START, 0, 0
        broken = ""
        removed = {
            r["which"] for r in self.query("SELECT which FROM removals WHERE what = 'revision'")
        }
        for link in self._sql.execute("SELECT * FROM revisions ORDER BY link"):
            row = dict(link)
            count += 1
            problem = _problem_of(row, before, count)
            if not row["body"]:
                taken_out += 1
                if str(row["link"]) not in removed:
                    problem = problem or "its text and facts are gone without a recorded removal"
            if problem:
                broken = (
                    f"link {row['link']} (entry {row['entry_id']}, {row['saved_at']}): {problem}"
                )
                break
            before = row["hash"]
        newest = self.one(
            """SELECT e.id FROM entries e LEFT JOIN revisions r
               ON r.entry_id = e.id AND r.number = e.revision
               WHERE e.state = 'saved' AND r.link IS NULL LIMIT 1"""
        )
        if not broken and newest is not None:
            broken = f"entry {newest['id']}: its newest revision is missing"
        missing = tuple(
            r.original_name or r.sha256[:12]
            for r in self.recordings()
            if r.path is not None and not r.path.exists()
        )
        return ChainReport(count, not broken, broken, missing, taken_out)

    def _append(
        self, stored: StoredEntry, entry: Entry, number: int, reason: str, **more: str
    ) -> None:
        """One more link of the chain; ``more`` is sealed with it."""
        horse = stored.horse
        if horse is None:
            raise InputError("This entry is not yet assigned to a horse.", "Assign it first.")
        last = self.one("SELECT link, hash FROM revisions ORDER BY link DESC LIMIT 1")
        sound = self.recording(stored.recording_id).sha256 if stored.recording_id else ""
        body = json.dumps(
            {"entry": entry.to_dict(), "at": stored.at.isoformat(), "horse": horse.name, **more},
            ensure_ascii=False,
            sort_keys=True,
        )
        link: dict[str, Any] = {
            "link": (last["link"] if last else 0) + 1,
            "entry_id": stored.id,
            "number": number,
            "saved_at": utc_now(),
            "author": self.author,
            "reason": reason,
            "horse_id": horse.id,
            "sound_sha256": sound,
            "body": body,
            "body_hash": body_hash(body),
            "before_hash": last["hash"] if last else START,
        }
        link["hash"] = link_hash(link)
        self._insert("revisions", link)
        self._index(stored, entry, horse.id)

    def _index(self, stored: StoredEntry, entry: Entry, horse_id: str) -> None:
        """Make the rows that history and search read; they can always be made again."""
        self.run("DELETE FROM saved_facts WHERE entry_id = ?", [stored.id])
        self.run("DELETE FROM said WHERE entry_id = ?", [stored.id])
        first = stored.day.toordinal() * DAY_STEP
        last = self.one(
            "SELECT coalesce(max(id), ?) AS id FROM said WHERE id BETWEEN ? AND ?",
            [first, first, first + DAY_STEP - 1],
        )
        place = last["id"] if last else first
        base: Row = {"entry_id": stored.id, "horse_id": horse_id, "day": stored.day.isoformat()}
        for fact in entry.facts:
            place += 1
            self._index_fact(fact, base, place, entry.text)
        for passage in entry.passages:
            place += 1
            row = {**base, "id": place, "fact_id": "", "sentence": passage.text}
            empty = dict.fromkeys(("kind", "code", "feet", "places", "severity", "label"), "")
            self._insert("said", {**row, **empty, "negated": 0})

    def _index_fact(self, fact: Fact, base: Row, place: int, text: str) -> None:
        quantity = fact.quantity
        common = {
            **base,
            "kind": fact.kind.value,
            "code": fact.code,
            "feet": " ".join(fact.feet),
            "places": " ".join(fact.places),
            "negated": fact.negated,
            "severity": fact.severity.value if fact.severity else "",
            "base": quantity.base if quantity else None,
        }
        self._insert(
            "saved_facts",
            {
                **common,
                "id": fact.id,
                "uncertain": fact.uncertain,
                "historical": fact.historical,
                "unit": quantity.unit.value if quantity else "",
                "body": json.dumps(fact.to_dict()),
            },
        )
        self._insert(
            "said",
            {
                **common,
                "id": place,
                "fact_id": fact.id,
                "label": "" if fact.kind is FactKind.NOTE else describe(fact),
                "sentence": text[fact.span[0] : fact.span[1]],
                "start": fact.sound[0] if fact.sound else None,
                "finish": fact.sound[1] if fact.sound else None,
            },
        )

    def _insert(self, table: str, row: Row) -> None:
        marks = ", ".join("?" for _ in row)
        self.run(f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})", list(row.values()))


def _passages(entry: Entry, facts: tuple[Fact, ...]) -> tuple[Passage, ...]:
    """What makes no fact once ``facts`` are those of the entry; no word vanishes."""
    there, before = {f.span for f in facts}, {f.span for f in entry.facts}
    gone = sorted(s for s in before - there if s[1] > s[0])
    # Words whose fact came back are told by it again.
    back = there - before
    kept = tuple(p for p in entry.passages if p.span not in back or p.perhaps)
    return (*kept, *(Passage(s, entry.text[s[0] : s[1]]) for s in gone))


def reasoned(reason: str) -> str:
    """The reason of a change.

    Raises:
        InputError: none is given.
    """
    if not reason.strip():
        raise InputError("A changed record needs a reason.", "Say in a few words why.")
    return reason.strip()


def _kept_entry(row: Row) -> Entry:
    if not row["body"]:
        return Entry((), "(taken out on request)", id=row["entry_id"])
    return Entry.from_dict(json.loads(row["body"])["entry"])


def _kept_time(row: Row, stored: StoredEntry) -> dict[str, Any]:
    """Day and time of a note as a revision has them; of one that was taken out, as they are."""
    at = datetime.fromisoformat(json.loads(row["body"])["at"]) if row["body"] else stored.at
    return {"at": at, "day": at.date()}


def _parted(row: Row, which: str) -> str:
    """The note that was parted ``to`` another one here, or ``from`` which this one was."""
    return str(json.loads(row["body"]).get(f"parted_{which}", "")) if row["body"] else ""


def _problem_of(row: Row, before: str, count: int) -> str:
    if row["link"] != count:
        return f"link {count} is missing"
    if row["before_hash"] != before:
        return "it does not follow the link before it"
    if row["body"] and row["body_hash"] != body_hash(row["body"]):
        return "its text or facts were changed"
    if row["hash"] != link_hash(row):
        return "its time, author, horse, sound or reason was changed"
    return ""
