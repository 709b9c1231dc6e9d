"""The store: one SQLite file that holds everything but the sound itself.

Open one per thread; every method that changes something is one transaction::

    with Store.open(places.database) as store:
        store.add_drafts(recording.id, entries)
"""

from __future__ import annotations

from pathlib import Path
from types import TracebackType

from fieldlog.records.about_no_horse import AboutNoHorse
from fieldlog.records.as_sealed import AsSealed
from fieldlog.records.outcomes import Outcomes
from fieldlog.records.removal import Removal
from fieldlog.records.search import Search
from fieldlog.records.spellings import Spellings


class Store(AboutNoHorse, Spellings, Search, Removal, Outcomes, AsSealed):
    """All of it; each base is one part: people, sounds, drafts, saving, search and so on."""

    @classmethod
    def open(cls, path: Path, *, create: bool = True, author: str = "") -> Store:
        """Open (or make) the database and bring it to the newest schema.

        Args:
            path: the database file.
            create: make it if it is not there.
            author: the farrier's name, written into saved revisions.

        Raises:
            NotFound: not there, and ``create`` is false.
            DatabaseTooNew, DatabaseDamaged, DatabaseBusy, NotAllowed: as their names say.
        """
        store = cls(path, *cls._connect(path, create))
        store.author = author
        try:
            store._prepare()
        except BaseException:
            store.close()
            raise
        return store

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
