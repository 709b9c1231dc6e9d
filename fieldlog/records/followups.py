"""What was promised: made from dictation or by hand, open until done or dropped with a reason."""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from fieldlog.core.facts import Fact, FactKind, new_id
from fieldlog.core.feet import Foot
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError, NotFound
from fieldlog.language.promised import promised
from fieldlog.language.wording import label
from fieldlog.records.base import Row, utc_now
from fieldlog.records.people import People
from fieldlog.records.types import FollowUp, FollowUpState, StoredEntry, VisitDue

USUAL_CYCLE_WEEKS = 6
"""Weeks between visits unless set (common practice, no source)."""

_NEXT_VISIT_CODES = frozenset({"next_trim", "cycle"})
_EARLY = timedelta(days=7)
"""How long before its day a visit is no longer the promised one, if it is to one foot only."""
_SELECT = """SELECT f.*, coalesce(h.name, '') AS horse, coalesce(h.barn, '') AS barn
             FROM follow_ups f LEFT JOIN horses h ON h.id = f.horse_id"""
_ORDER = "ORDER BY f.urgent DESC, f.due IS NULL, f.due, h.barn, h.name"


class FollowUps(People):
    """Open promises and the days they fall on."""

    VISITED = "visited on"

    def add_follow_up(
        self,
        code: str,
        text: str,
        *,
        who: str = "farrier",
        horse_id: str | None = None,
        feet: Sequence[Foot] = (),
        due: date | None = None,
        due_spoken: str = "",
        condition: str = "",
        urgent: bool = False,
        entry_id: str | None = None,
        fact_id: str | None = None,
    ) -> FollowUp:
        """A new open follow-up.

        Raises:
            InputError: nothing is said to be done.
        """
        if not text.strip():
            raise InputError("A follow-up needs a few words.", "Say what is to be done.")
        if horse_id is not None:
            horse_id = self.standing(horse_id).id
        follow_up_id = new_id()
        with self.write():
            self.run(
                """INSERT INTO follow_ups (id, code, text, who, horse_id, feet, due, due_spoken,
                   condition, urgent, entry_id, fact_id, created_at)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
                [
                    follow_up_id,
                    code,
                    text.strip(),
                    who,
                    horse_id,
                    " ".join(feet),
                    due.isoformat() if due else None,
                    due_spoken,
                    condition,
                    urgent,
                    entry_id,
                    fact_id,
                    utc_now(),
                ],
            )
        return self.follow_up(follow_up_id)

    def follow_up_from(self, fact: Fact, stored: StoredEntry) -> FollowUp | None:
        """Make the follow-up that a saved fact promises; None for other facts."""
        if not is_promise(fact):
            return None
        return self.add_follow_up(
            **what_is_promised(fact, stored.entry.text),
            horse_id=stored.horse.id if stored.horse else None,
            entry_id=stored.id,
            fact_id=fact.id,
        )

    def follow_up(self, follow_up_id: str) -> FollowUp:
        """One follow-up, by its id or the unambiguous start of it.

        Raises:
            NotFound: none, or several start so.
        """
        rows = self.query(
            f"{_SELECT} WHERE substr(f.id, 1, ?) = ?", [len(follow_up_id), follow_up_id]
        )
        if len(rows) != 1 or not follow_up_id:
            raise NotFound(
                f"No single follow-up is known as “{follow_up_id}”.",
                "“fieldlog follow-ups” lists them with their short names.",
            )
        return self._with_words(_follow_up(rows[0]))

    def follow_ups(
        self,
        state: FollowUpState | None = FollowUpState.OPEN,
        *,
        horse_id: str | None = None,
        barn: str | None = None,
        who: str | None = None,
        entry_id: str | None = None,
    ) -> list[FollowUp]:
        """Follow-ups, the urgent and earliest first.

        Args:
            state: only these; None for all.
            horse_id: only this horse's.
            barn: only at this barn.
            who: only what this party has to do (``farrier``, ``owner``, ``vet``, ``other``).
            entry_id: only what this note promises.
        """
        wanted = {"f.state": state, "f.horse_id": horse_id, "h.barn": barn, "f.who": who,
                  "f.entry_id": entry_id}  # fmt: skip
        parts = {c: v for c, v in wanted.items() if v is not None}
        where = " AND ".join(f"{c} = ?" for c in parts) or "1"
        rows = self.query(f"{_SELECT} WHERE {where} {_ORDER}", [str(v) for v in parts.values()])
        return [self._with_words(_follow_up(r)) for r in rows]

    def _with_words(self, promise: FollowUp) -> FollowUp:
        """A promise that an earlier version kept with its label alone, in the words of its note.

        Worked out when it is read: what that version wrote stays, and so do its day and state.
        """
        if promise.entry_id is None or promise.text != label(promise.code, "followup"):
            return promise
        row = self.one(
            """SELECT f.body AS fact, json_extract(e.body, '$.text') AS text FROM saved_facts f
               JOIN entries e ON e.id = f.entry_id WHERE f.entry_id = ? AND f.id = ?""",
            [promise.entry_id, promise.fact_id],
        )
        if row is None:
            return promise
        fact = Fact.from_dict(json.loads(row["fact"]))
        if fact.code != promise.code:
            return promise  # Corrected since; the promise is what it was.
        words = promised(fact, row["text"])
        if words == promise.text:
            return promise
        # That version put the words where the day stands, if no day was said.
        spoken = promise.due_spoken if fact.due else ""
        return replace(promise, text=words, due_spoken=spoken)

    def overdue(self, today: date) -> list[FollowUp]:
        """Open, with a day before today."""
        return [f for f in self.follow_ups() if f.due is not None and f.due < today]

    def close_follow_up(
        self, follow_up_id: str, reason: str = "", at: str | None = None
    ) -> FollowUp:
        """Mark as done; ``reason`` says how, ``at`` when if not now.

        Raises:
            InputError: it is closed already; how it was closed stays.
        """
        self._check_open(follow_up_id)
        return self._set_state(follow_up_id, FollowUpState.DONE, reason, at)

    def close_kept_by_visit(
        self,
        stored: StoredEntry,
        promised_in: str | None = None,
        among: Collection[str] | None = None,
    ) -> list[FollowUp]:
        """Close what a visit has done by taking place: older promises of it, and rechecks.

        Closed are the farrier's own open promises for the horse, from a note of an earlier day:
        the next visit, and a recheck whose feet (if it has any) this visit speaks of. What the
        owner or the vet has to do stays open. A look at a single foot, well before the day that was
        promised, is not the promised visit, unless it promises the next one itself. Each can be
        opened again.

        Args:
            stored: the visit's entry.
            promised_in: only promises of this entry; all of the horse if None.
            among: only promises with these ids; any if None.
        """
        if stored.horse is None or not tells_of_a_visit(stored.entry):
            return []
        facts = [f for f in stored.entry.facts if f.kind is not FactKind.FOLLOW_UP]
        seen = {foot for fact in facts for foot in fact.feet}
        promises = {f.code for f in stored.entry.facts if f.kind is FactKind.FOLLOW_UP}
        look_in = len(seen) == 1 and not promises & _NEXT_VISIT_CODES
        closed = []
        with self.write():
            for promise in self.follow_ups(horse_id=stored.horse.id, who="farrier"):
                if promised_in not in (None, promise.entry_id):
                    continue
                if among is not None and promise.id not in among:
                    continue
                early = promise.due is not None and promise.due - stored.day > _EARLY
                due_by_visit = (promise.code in _NEXT_VISIT_CODES and not (look_in and early)) or (
                    promise.code == "recheck" and seen.issuperset(promise.feet)
                )
                if due_by_visit and self._promised_on(promise) < stored.day:
                    reason = self.visited_on(stored.day)
                    closed.append(self.close_follow_up(promise.id, reason))
        return closed

    def put_off_by(self, stored: StoredEntry) -> list[FollowUp]:
        """Drop the older promises of a next visit that a note without a visit gives another day.

        “Owner cancelled, back next Tuesday”: else the day that was called off would be overdue.
        """
        promised = [
            f for f in stored.entry.facts if is_promise(f) and f.code in _NEXT_VISIT_CODES and f.due
        ]
        if stored.horse is None or not promised or tells_of_a_visit(stored.entry):
            return []
        reason = f"put off on {stored.day.isoformat()}"
        return [
            self.drop_follow_up(promise.id, reason)
            for promise in self.follow_ups(horse_id=stored.horse.id, who="farrier")
            if promise.code in _NEXT_VISIT_CODES and self._promised_on(promise) < stored.day
        ]

    def visited_on(self, day: date) -> str:
        """The reason that a promise which a visit kept is closed with."""
        return f"{self.VISITED} {day.isoformat()}"

    def _promised_on(self, promise: FollowUp) -> date:
        """The day of its note; one that was entered by hand, the day it was entered."""
        note = self.one("SELECT day FROM entries WHERE id = ?", [promise.entry_id])
        if note is not None:
            return date.fromisoformat(note["day"])
        made = promise.created_at
        return made.astimezone().date() if made is not None else date.max

    def drop_follow_up(self, follow_up_id: str, reason: str, at: str | None = None) -> FollowUp:
        """Mark as dropped; ``at`` says when, if not now.

        Raises:
            InputError: no reason was given, or it is closed already.
        """
        if not reason.strip():
            raise InputError("Dropping a follow-up needs a reason.", "Say in a few words why.")
        self._check_open(follow_up_id)
        return self._set_state(follow_up_id, FollowUpState.DROPPED, reason.strip(), at)

    def reopen_follow_up(self, follow_up_id: str) -> FollowUp:
        """Make a closed follow-up open again."""
        return self._set_state(follow_up_id, FollowUpState.OPEN, "")

    def move_follow_up(self, follow_up_id: str, due: date | None) -> FollowUp:
        """Give a follow-up another day.

        Raises:
            InputError: it is closed.
        """
        follow_up = self._check_open(follow_up_id)
        with self.write():
            self.run(
                "UPDATE follow_ups SET due = ?, sequence = sequence + 1 WHERE id = ?",
                [due.isoformat() if due else None, follow_up.id],
            )
        return self.follow_up(follow_up.id)

    def visits_due(
        self,
        until: date | None = None,
        usual_weeks: int = USUAL_CYCLE_WEEKS,
        horse_id: str | None = None,
    ) -> list[VisitDue]:
        """When each horse is next due, by a spoken promise or else by its cycle, earliest first.

        A horse that left is due only if something is promised for it all the same.

        Args:
            until: leave out visits due after this day.
            usual_weeks: the farrier's usual cycle, for horses without their own.
            horse_id: only this horse.
        """
        rows = self.query(
            """SELECT h.id, max(v.day) AS last,
                 (SELECT min(f.due) FROM follow_ups f WHERE f.horse_id = h.id
                   AND f.state = 'open' AND f.code IN ('next_trim', 'cycle')
                   AND f.due IS NOT NULL) AS promised
               FROM horses h LEFT JOIN visits v ON v.horse_id = h.id
               WHERE h.same_as IS NULL AND (? IS NULL OR h.id = ?) GROUP BY h.id""",
            [horse_id, horse_id],
        )
        horses = {h.id: h for h in ([self.horse(horse_id)] if horse_id else self.horses())}
        found = []
        for row in rows:
            horse = horses[row["id"]]
            if horse.forgotten and horse_id is None:
                continue
            weeks = horse.cycle_weeks or usual_weeks
            last = date.fromisoformat(row["last"]) if row["last"] else None
            promised = date.fromisoformat(row["promised"]) if row["promised"] else None
            gone = horse.gone(last)
            if gone and promised is None and horse_id is None:
                continue
            by_cycle = last + timedelta(weeks=weeks) if last and not gone else None
            # A promise made before the last visit is history.
            kept = promised if promised and (last is None or promised > last) else None
            due = VisitDue(horse, last, kept or by_cycle, weeks, promised=kept is not None)
            if until is None or (due.due is not None and due.due <= until):
                found.append(due)

        def place(due: VisitDue) -> tuple[bool, date, str, str]:
            horse = due.horse
            return due.due is None, due.due or date.max, horse.barn, horse.name.casefold()

        return sorted(found, key=place)

    def _check_open(self, follow_up_id: str) -> FollowUp:
        follow_up = self.follow_up(follow_up_id)
        if follow_up.state is not FollowUpState.OPEN:
            how = f" ({follow_up.reason})" if follow_up.reason else ""
            raise InputError(
                f"{follow_up.text}, {follow_up.horse or 'no horse'}, is {follow_up.state.value} "
                f"already{how}.",
                f"“fieldlog follow-ups reopen {follow_up.id[:8]}” opens it again.",
            )
        return follow_up

    def _set_state(
        self, follow_up_id: str, state: FollowUpState, reason: str, at: str | None = None
    ) -> FollowUp:
        follow_up = self.follow_up(follow_up_id)
        with self.write():
            self.run(
                """UPDATE follow_ups SET state = ?, reason = ?, closed_at = ?,
                   sequence = sequence + 1 WHERE id = ?""",
                [
                    state.value,
                    reason,
                    None if state is FollowUpState.OPEN else at or utc_now(),
                    follow_up.id,
                ],
            )
        return self.follow_up(follow_up.id)


def is_promise(fact: Fact) -> bool:
    """Whether a saved fact makes a follow-up."""
    return fact.kind is FactKind.FOLLOW_UP and not fact.negated


def what_is_promised(fact: Fact, text: str) -> dict[str, Any]:
    """What a follow-up takes from its fact, as ``add_follow_up`` names it.

    Args:
        fact: a promise.
        text: the words of its note.
    """
    return {
        "code": fact.code,
        "text": promised(fact, text),
        "who": fact.details.get("who") or "farrier",
        "feet": fact.feet,
        "due": fact.due.on if fact.due else None,
        "due_spoken": fact.due.spoken if fact.due else "",
        "condition": fact.details.get("condition", ""),
        "urgent": fact.urgent,
    }


def _follow_up(row: Row) -> FollowUp:
    return FollowUp(
        **{
            **row,
            "feet": tuple(Foot(f) for f in row["feet"].split()),
            "due": date.fromisoformat(row["due"]) if row["due"] else None,
            "state": FollowUpState(row["state"]),
            "urgent": bool(row["urgent"]),
            "created_at": datetime.fromisoformat(row["created_at"]),
            "closed_at": datetime.fromisoformat(row["closed_at"]) if row["closed_at"] else None,
        }
    )
