"""What was promised for “next time”, at the visit that this time is.

Whether it was done nobody can know but the farrier, so it stays open. But once the visit is saved
it would stand on the list as before, for a next time that is past: so it is told.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import FollowUp


def still_open(store: Store, saved: Iterable[str]) -> list[FollowUp]:
    """Lines that were promised for the visits that were just saved, and are open still.

    Args:
        store: the records.
        saved: ids of the entries.
    """
    lines = (line for one in saved for line in store.meant_for(store.entry(one)))
    return list({line.id: line for line in lines}.values())
