"""What is known of a horse: by foot, over time, and before the next visit."""

from __future__ import annotations

import json
from datetime import date, timedelta

from fieldlog.core.facts import Entry, Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.core.redflags import red_flags
from fieldlog.records.base import Row
from fieldlog.records.followups import USUAL_CYCLE_WEEKS
from fieldlog.records.said_again import SaidAgain
from fieldlog.records.types import HorsePage, MeasuredPoint, SavedFact

_SAVED = """SELECT s.*, e.recording_id, e.at FROM saved_facts s
            JOIN entries e ON e.id = s.entry_id"""


class History(SaidAgain):
    """Reads over the saved facts."""

    def saved_facts(
        self,
        horse_id: str,
        *,
        foot: Foot | None = None,
        kind: FactKind | None = None,
        since: date | None = None,
        until: date | None = None,
    ) -> list[SavedFact]:
        """A horse's saved facts, the newest day first, in spoken order within a day."""
        where, values = ["s.horse_id = ?"], [horse_id]
        if foot is not None:
            where.append("instr(s.feet, ?)")
            values.append(foot.value)
        if kind is not None:
            where.append("s.kind = ?")
            values.append(kind.value)
        if since is not None:
            where.append("s.day >= ?")
            values.append(since.isoformat())
        if until is not None:
            where.append("s.day <= ?")
            values.append(until.isoformat())
        rows = self.query(
            f"{_SAVED} WHERE {' AND '.join(where)} ORDER BY s.day DESC, e.at, s.rowid", values
        )
        return [_saved(r) for r in rows]

    def last_day(self, horse_id: str, before: date | None = None) -> date | None:
        """The horse's last visited day, or the last one before ``before``."""
        row = self.one(
            "SELECT max(day) AS day FROM visits WHERE horse_id = ? AND day < ?",
            [horse_id, before.isoformat() if before else "9999"],
        )
        return date.fromisoformat(row["day"]) if row and row["day"] else None

    def measures(
        self, horse_id: str, code: str = "", foot: Foot | None = None
    ) -> list[MeasuredPoint]:
        """Measured values and scores over time, the oldest first; negated ones are left out."""
        where, values = ["s.horse_id = ?", "s.base IS NOT NULL", "NOT s.negated"], [horse_id]
        if code:
            where.append("s.code = ?")
            values.append(code)
        rows = self.query(
            f"{_SAVED} WHERE {' AND '.join(where)} AND s.kind IN ('measurement', 'score') "
            "ORDER BY s.day, e.at, s.rowid",
            values,
        )
        points = [p for r in rows for p in _points(r)]
        return [p for p in points if foot is None or p.foot is foot]

    def page(self, horse_id: str, usual_weeks: int = USUAL_CYCLE_WEEKS) -> HorsePage:
        """The before-the-visit page: safety first, then feet, promises, plans and measures."""
        horse = self.horse(horse_id)
        last = self.last_day(horse_id)
        last_facts = self.saved_facts(horse_id, since=last, until=last) if last else []
        latest: dict[tuple[str, Foot | None], MeasuredPoint] = {}
        for point in self.measures(horse_id):
            known = latest.get((point.code, point.foot))
            # What the work left counts, in whichever order the two were said.
            if not (point.before and known and known.day == point.day and not known.before):
                latest[(point.code, point.foot)] = point
        due = self.visits_due(usual_weeks=usual_weeks, horse_id=horse_id)
        return HorsePage(
            horse=horse,
            cautions=self.cautions(horse_id),
            last_day=last,
            last_facts=tuple(last_facts),
            follow_ups=tuple(self.lines(horse_id=horse_id)),
            planned=tuple(f for f in last_facts if f.fact.planned),
            measures=tuple(latest.values()),
            due=due[0] if due else None,
            red_flags=self._red_flags(horse_id, last or date.min),
            other_names=tuple(self.other_names(horse_id)),
            since=tuple(
                self.saved_facts(horse_id, since=last + timedelta(days=1) if last else None)
            ),
        )

    def _red_flags(self, horse_id: str, first: date) -> tuple[str, ...]:
        """Of the last visit, and of what was noted since."""
        rows = self.query(
            "SELECT body FROM entries WHERE horse_id = ? AND day >= ? AND state = 'saved' "
            "ORDER BY at, rowid",
            [horse_id, first.isoformat()],
        )
        # Of the facts as they stand: a finding that was put right takes its flag along.
        facts = [f for row in rows for f in Entry.from_dict(json.loads(row["body"])).facts]
        return tuple(flag.code for flag in red_flags(facts))

    def cautions(self, horse_id: str) -> tuple[str, ...]:
        """What to know before touching the horse: the noted caution, then behaviour seen."""
        from fieldlog.language.lexicon import find_item
        from fieldlog.language.wording import describe

        horse = self.horse(horse_id)
        found = [horse.caution] if horse.caution else []
        for saved in self.saved_facts(horse_id, kind=FactKind.HANDLING):
            item = find_item(saved.fact.code, "handling")
            cautious = item is not None and bool(item.more.get("caution"))
            if cautious and not saved.fact.negated:
                found.append(f"{describe(saved.fact)} ({saved.day.isoformat()})")
        return tuple(dict.fromkeys(found))


def _saved(row: Row) -> SavedFact:
    return SavedFact(
        fact=Fact.from_dict(json.loads(row["body"])),
        entry_id=row["entry_id"],
        horse_id=row["horse_id"],
        day=date.fromisoformat(row["day"]),
        recording_id=row["recording_id"],
    )


def _points(row: Row) -> list[MeasuredPoint]:
    fact = Fact.from_dict(json.loads(row["body"]))
    quantity = fact.quantity
    if quantity is None:
        return []
    return [
        MeasuredPoint(
            day=date.fromisoformat(row["day"]),
            code=fact.code,
            foot=foot,
            value=quantity.base,
            unit=fact.details.get("scale", "") or quantity.unit.value,
            shown=quantity.shown(),
            approximate=quantity.approximate,
            entry_id=row["entry_id"],
            before=fact.details.get("moment") == "before",
        )
        for foot in (fact.feet or (None,))
    ]
