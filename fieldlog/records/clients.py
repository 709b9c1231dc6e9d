"""The clients, and what another spelling of one leads to."""

from __future__ import annotations

from dataclasses import asdict, replace

from fieldlog.core.facts import new_id
from fieldlog.errors import InputError, NotFound
from fieldlog.records.base import Connection
from fieldlog.records.names import CLOSE_NAME, clean_name, composed, key_of, likeness
from fieldlog.records.types import Client


class Clients(Connection):
    """Whose the horses are."""

    def add_client(self, name: str, **more: str) -> Client:
        """A new client.

        Raises:
            InputError: an empty name, or one that a client has already.
        """
        client = Client(new_id(), clean_name(name, "client"), **more)
        self._check_free(client)
        self._put("clients", asdict(client))
        return client

    def update_client(self, client: Client) -> None:
        """Store the changed client.

        Raises:
            InputError: another client has the new name, or it is empty.
        """
        client = replace(client, name=clean_name(client.name, "client"))
        if self.client(client.id).name.casefold() != client.name.casefold():
            self._check_free(client)
        self._put("clients", asdict(client))

    def client(self, client_id: str) -> Client:
        """One client.

        Raises:
            NotFound: no such client.
        """
        row = self.one("SELECT * FROM clients WHERE id = ?", [client_id])
        if row is None:
            raise NotFound("There is no such client.", "See “fieldlog clients”.")
        return Client(**row)

    def has_client(self, client_id: str) -> bool:
        """Whether there is a client of this id; one that is another spelling now is none."""
        return self.one("SELECT 1 FROM clients WHERE id = ?", [client_id]) is not None

    def clients(self) -> list[Client]:
        """All clients by name."""
        return [
            Client(**r) for r in self.query("SELECT * FROM clients ORDER BY name COLLATE NOCASE")
        ]

    def find_client(self, name: str) -> Client | None:
        """The client of exactly this name, whatever the case."""
        wanted = composed(name.strip())
        row = self.one("SELECT * FROM clients WHERE name = ? COLLATE NOCASE", [wanted])
        if row is None and (stays := self._stays("client", wanted)):
            row = self.one("SELECT * FROM clients WHERE id = ?", [self.client_now(stays)])
        return Client(**row) if row else None

    def client_now(self, client_id: str | None) -> str | None:
        """The id of a client, or of the one it is another spelling of; None: forgotten."""
        if self.one("SELECT 1 FROM clients WHERE id = ?", [client_id]):
            return client_id
        row = self.one(
            """SELECT stays FROM spellings WHERE what = 'client' AND went = ?
               AND parted_at IS NULL ORDER BY id DESC LIMIT 1""",
            [client_id],
        )
        return self.client_now(row["stays"]) if row else None

    def _stays(self, what: str, name: str) -> str:
        """The id (of a barn the name) that another spelling ``name`` is one with, or empty."""
        row = self.one(
            """SELECT stays FROM spellings WHERE what = ? AND name = ? COLLATE NOCASE
               AND parted_at IS NULL ORDER BY id DESC LIMIT 1""",
            [what, name],
        )
        return str(row["stays"]) if row else ""

    def close_clients(self, name: str) -> list[Client]:
        """Other clients whose name looks or sounds like ``name``, the likeliest first."""
        wanted = key_of(name)
        scored = [
            (likeness(wanted, key_of(c.name)), c)
            for c in self.clients()
            if key_of(c.name) != wanted
        ]
        return [c for s, c in sorted(scored, key=lambda pair: -pair[0]) if s >= CLOSE_NAME]

    def _check_free(self, client: Client) -> None:
        found = self.find_client(client.name)
        if found is not None and found.id != client.id:
            raise InputError(
                f"There is a client called {client.name} already.",
                f'To change what is known: fieldlog clients change "{client.name}" --phone ... '
                "For another person of that name add something that tells them apart.",
            )

    def remove_client(self, client_id: str) -> bool:
        """Take out a client entered by mistake; False if a horse or a visit is theirs: it stays."""
        with self.write():
            if any(
                self.one(f"SELECT 1 FROM {table} WHERE client_id = ? LIMIT 1", [client_id])
                for table in ("horses", "visits")
            ) or self.one("SELECT 1 FROM spellings WHERE stays = ? LIMIT 1", [client_id]):
                return False
            self.run("DELETE FROM clients WHERE id = ?", [client_id])
        return True
