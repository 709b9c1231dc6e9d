"""Visits: one a horse and a day, in the time of whoever owned it then."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

from fieldlog.core.facts import new_id
from fieldlog.records.base import Row
from fieldlog.records.horses import Horses
from fieldlog.records.types import Horse, Visit


def _visit(row: Row) -> Visit:
    return Visit(row["id"], row["horse_id"], date.fromisoformat(row["day"]), row["barn"])


class Visits(Horses):
    """When the horses were visited."""

    def visit_for(self, horse_id: str, day: date) -> Visit:
        """The visit of this horse on this day, made if new; one that had left before is back."""
        with self.write():
            self.run(
                """UPDATE horses SET left_on = '', left_why = ''
                   WHERE id = ? AND left_on <> '' AND left_on < ?""",
                [horse_id, day.isoformat()],
            )
            row = self.one(
                "SELECT * FROM visits WHERE horse_id = ? AND day = ?", [horse_id, day.isoformat()]
            )
            if row is None:
                visit = Visit(new_id(), horse_id, day, self.horse(horse_id).barn)
                self._put("visits", {**asdict(visit), "day": day.isoformat()})
                return visit
        return _visit(row)

    def visits(self, horse_id: str) -> list[Visit]:
        """This horse's visits, the newest first."""
        rows = self.query("SELECT * FROM visits WHERE horse_id = ? ORDER BY day DESC", [horse_id])
        return [_visit(r) for r in rows]

    def days_of_another_owner(self, horse: Horse) -> frozenset[date]:
        """The days on which the horse was visited while it belonged to somebody else."""
        rows = self.query(
            "SELECT day FROM visits WHERE horse_id = ? AND client_id <> coalesce(?, '')",
            [horse.id, horse.client_id],
        )
        return frozenset(date.fromisoformat(r["day"]) for r in rows)

    def visit_owners(self, horse_id: str) -> dict[str, str | None]:
        """In whose time each visit stands, by its id; None: in that of the owner of today."""
        rows = self.query("SELECT id, client_id FROM visits WHERE horse_id = ?", [horse_id])
        return {r["id"]: r["client_id"] for r in rows}

    def put_visit_owners(self, horse_id: str, owners: dict[str, str | None]) -> None:
        """Put the visits back into the time of whom ``visit_owners`` had told."""
        with self.write():
            for visit_id, client_id in owners.items():
                self.run(
                    "UPDATE visits SET client_id = ? WHERE id = ? AND horse_id = ?",
                    [self.client_now(client_id), visit_id, horse_id],
                )
