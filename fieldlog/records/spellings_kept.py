"""What stood before two spellings became one: the table ``spellings``, until they are parted."""

from __future__ import annotations

import json
from typing import Any

from fieldlog.errors import InputError
from fieldlog.records.base import Row, utc_now
from fieldlog.records.people import People


class SpellingsKept(People):
    """Keeps, finds and closes the joining of two spellings of a horse, an owner or a barn."""

    def _keep(
        self,
        what: str,
        name: str,
        went: str,
        stays: str,
        before: dict[str, Any],
        after: dict[str, Any],
    ) -> None:
        kept = [json.dumps(part, ensure_ascii=False) for part in (before, after)]
        self.run(
            """INSERT INTO spellings (at, what, name, went, stays, before, after)
               VALUES (?, ?, ?, ?, ?, ?, ?)""",
            [utc_now(), what, name, went, stays, *kept],
        )

    def _parted(self, row: Row) -> None:
        self.run("UPDATE spellings SET parted_at = ? WHERE id = ?", [utc_now(), row["id"]])

    def _spelling(self, what: str, name: str) -> Row:
        """The newest spelling of this name that was not parted.

        Raises:
            InputError: there is none.
        """
        rows = self.query(
            "SELECT * FROM spellings WHERE what = ? AND parted_at IS NULL ORDER BY id DESC", [what]
        )
        wanted = " ".join(name.split()).casefold()
        for row in rows:
            if row["name"].casefold() == wanted or row["went"].startswith(wanted):
                return row
        named = [r for r in rows if self._name_of(what, r["stays"]).casefold() == wanted]
        if len(named) == 1:
            return named[0]
        known = ", ".join(dict.fromkeys(r["name"] for r in (named or rows)))
        raise InputError(
            f"“{name}” is no other spelling of a {what}.",
            f"Other spellings are: {known}." if known else "There are none.",
        )

    def _name_of(self, what: str, which: str) -> str:
        if what == "barn":
            return which
        table = "horses" if what == "horse" else "clients"
        row = self.one(f"SELECT name FROM {table} WHERE id = ?", [which])
        return str(row["name"]) if row else ""
