"""Two spellings of one owner or barn become one, and can be parted again.

Unlike a horse's notes, what names them is no part of the hash chain: their horses and visits are
given along, and ``client_apart`` and ``barn_apart`` give back what still stands so.
"""

from __future__ import annotations

import json
from dataclasses import asdict, replace

from fieldlog.errors import InputError, NotFound
from fieldlog.records.spellings_kept import SpellingsKept
from fieldlog.records.types import Client


class OwnerSpellings(SpellingsKept):
    """One owner or barn instead of two, and two again."""

    def client_same(self, went_id: str, stays_id: str) -> Client:
        """One owner instead of two spellings: the horses and visits of the one are the other's.

        What is known of both is kept: where two telephone numbers are noted, the second stands
        among the notes.

        Raises:
            InputError: one and the same.
        """
        with self.write():
            went, stays = self.client(went_id), self.client(stays_id)
            if went.id == stays.id:
                raise InputError(f"That is {stays.name} already.", "Give two spellings.")
            before = {
                "clients": [asdict(went), asdict(stays)],
                "horses": self._ids("horses", went.id),
                "visits": self._ids("visits", went.id),
            }
            self._put("clients", asdict(_both(went, stays)))
            for table in ("horses", "visits"):
                self.run(
                    f"UPDATE {table} SET client_id = ? WHERE client_id = ?", [stays.id, went.id]
                )
            self.run("DELETE FROM clients WHERE id = ?", [went.id])
            after = {"clients": [asdict(self.client(stays.id))]}
            self._keep("client", went.name, went.id, stays.id, before, after)
        return self.client(stays.id)

    def client_apart(self, name: str) -> tuple[Client, Client]:
        """Two owners again; returns the one that comes back, and the other.

        Raises:
            InputError: there is no such spelling.
        """
        with self.write():
            row = self._spelling("client", name)
            before, after = json.loads(row["before"]), json.loads(row["after"])
            went, stays = (Client(**c) for c in before["clients"])
            if self.client_now(stays.id) != stays.id:
                raise InputError(
                    f"{stays.name} is itself another spelling.",
                    f'Part those first: fieldlog clients apart "{stays.name}"',
                )
            now = self.client(row["stays"])
            self._put("clients", asdict(went))
            for table in ("horses", "visits"):
                for row_id in before[table]:
                    self.run(
                        f"UPDATE {table} SET client_id = ? WHERE id = ? AND client_id = ?",
                        [went.id, row_id, now.id],
                    )
            then = after["clients"][0]
            unchanged = {
                k: getattr(stays, k) for k, v in asdict(now).items() if v == then[k] and k != "name"
            }
            self._put("clients", asdict(replace(now, **unchanged)))
            self._parted(row)
        return went, self.client(now.id)

    def _ids(self, table: str, client_id: str) -> list[str]:
        rows = self.query(f"SELECT id FROM {table} WHERE client_id = ?", [client_id])
        return [r["id"] for r in rows]

    # barns

    def barns(self) -> dict[str, int]:
        """Each barn by name, with how many horses stand there."""
        found: dict[str, int] = {}
        for horse in sorted(self.horses(), key=lambda h: h.barn.casefold()):
            if horse.barn:
                found[horse.barn] = found.get(horse.barn, 0) + 1
        return found

    def barn_same(self, went: str, stays: str) -> int:
        """One barn instead of two spellings, for its horses and their visits; how many horses.

        Raises:
            NotFound: no horse stands at the first.
            InputError: one and the same, or no name.
        """
        stays = " ".join(stays.split())
        with self.write():
            known = {name.casefold(): name for name in self.barns()}
            if went.casefold() not in known:
                raise NotFound(
                    f"No horse stands at “{went}”.", "“fieldlog barns” lists where they stand."
                )
            went = known[went.casefold()]
            stays = known.get(stays.casefold(), stays) if stays != went else stays
            if not stays or stays == went:
                raise InputError(f"That is {went} already.", "Give two spellings.")
            before = {
                table: [
                    r["id"] for r in self.query(f"SELECT id FROM {table} WHERE barn = ?", [went])
                ]
                for table in ("horses", "visits")
            }
            for table in before:
                self.run(f"UPDATE {table} SET barn = ? WHERE barn = ?", [stays, went])
            self._keep("barn", went, went, stays, before, {})
        return len(before["horses"])

    def barn_apart(self, name: str) -> tuple[str, str]:
        """Two barns again; returns the one that comes back, and the other.

        Raises:
            InputError: there is no such spelling.
        """
        with self.write():
            row = self._spelling("barn", name)
            if self._one_spelling(row["stays"]) != row["stays"]:
                raise InputError(
                    f"{row['stays']} is itself another spelling.",
                    f'Part those first: fieldlog barns apart "{row["stays"]}"',
                )
            for table, ids in json.loads(row["before"]).items():
                for row_id in ids:
                    self.run(
                        f"UPDATE {table} SET barn = ? WHERE id = ? AND barn = ?",
                        [row["went"], row_id, row["stays"]],
                    )
            self._parted(row)
        return str(row["went"]), str(row["stays"])


def _both(went: Client, stays: Client) -> Client:
    """The owner with what only the other spelling had; what differs goes among the notes."""
    taken, also = {}, []
    for name in ("phone", "email", "address"):
        one, other = getattr(went, name), getattr(stays, name)
        taken[name] = other or one
        if one and other and one != other:
            also.append(f"{name} also noted: {one}")
    notes = [p for p in (stays.notes, went.notes, *also) if p]
    return replace(stays, **taken, notes="; ".join(dict.fromkeys(notes)))
