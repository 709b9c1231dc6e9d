"""What is known of a horse, for changing it by hand: its caution first."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from enum import Enum
from typing import TYPE_CHECKING

from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.records.store import Store
    from fieldlog.records.types import Client, Horse


@dataclass(frozen=True, slots=True)
class HorseFacts:
    """As they stand on the sheet; all are texts, empty where nothing is known."""

    caution: str = ""
    name: str = ""
    owner: str = ""
    phone: str = ""
    """The owner's."""
    barn: str = ""
    weeks: str = ""
    """Between visits; empty: the farrier's usual."""
    notes: str = ""


class OwnerChange(Enum):
    """What another name of the owner means."""

    FROM_NOW = "sold: another owner from now on"
    ALL_ALONG = "it was that owner's all along"
    SPELLING = "the same owner, spelt otherwise"


def known(store: Store, horse_id: str) -> HorseFacts:
    """What is known of a horse."""
    horse = store.standing(horse_id)
    owner = store.client(horse.client_id) if horse.client_id else None
    return HorseFacts(
        caution=horse.caution,
        name=horse.name,
        owner=owner.name if owner else "",
        phone=owner.phone if owner else "",
        barn=horse.barn,
        weeks=str(horse.cycle_weeks or ""),
        notes=horse.notes,
    )


def weeks_of(typed: str) -> int | None:
    """Weeks between visits as typed; None if left empty.

    Raises:
        InputError: no whole number from 1 to 52.
    """
    first = typed.strip().split(" ")[0]
    if not first:
        return None
    if not (first.isdecimal() and 1 <= int(first) <= 52):
        raise InputError(f"“{typed}” is no number of weeks.", "Give 1 to 52, or leave it empty.")
    return int(first)


def owner_changes(before: HorseFacts, wanted: HorseFacts) -> bool:
    """Whether it must be asked what another owner means: there was one before, and there is one."""
    return bool(before.owner and wanted.owner) and wanted.owner != before.owner


def ways(store: Store, owner: str) -> tuple[OwnerChange, ...]:
    """What another name of the owner may mean: a known client's is no other spelling."""
    known_client = store.find_client(owner)
    every = tuple(OwnerChange)
    return every[:2] if known_client is not None else every


def change(
    store: Store,
    horse_id: str,
    seen: HorseFacts,
    typed: HorseFacts,
    how: OwnerChange = OwnerChange.FROM_NOW,
) -> str:
    """Write what was changed on the sheet; says what somebody should know, or nothing.

    Args:
        store: the records.
        horse_id: which horse.
        seen: what stood on the sheet; where it was left so, a change by another window stays.
        typed: what stands on it now.
        how: what another owner means.

    Raises:
        InputError: a name or a number that cannot be; nothing is changed.
    """
    with store.write():
        before, horse = known(store, horse_id), store.standing(horse_id)
        names = [f.name for f in fields(HorseFacts)]
        changed = {n: getattr(typed, n) for n in names if getattr(typed, n) != getattr(seen, n)}
        wanted = replace(before, **changed)
        weeks = weeks_of(wanted.weeks)
        owner, hint = _owner(store, horse, before, wanted, how)
        if "phone" in changed and owner is None and wanted.phone:
            raise InputError("Whose telephone is that?", "Type the owner's name too.")
        if "phone" in changed and owner is not None:
            store.update_client(replace(store.client(owner.id), phone=wanted.phone))
        store.update_horse(
            replace(
                horse,
                name=wanted.name,
                caution=wanted.caution,
                barn=wanted.barn,
                cycle_weeks=weeks,
                notes=wanted.notes,
                client_id=owner.id if owner else None,
            ),
            all_along=how is OwnerChange.ALL_ALONG and owner_changes(before, wanted),
        )
    return hint


def _owner(
    store: Store, horse: Horse, before: HorseFacts, wanted: HorseFacts, how: OwnerChange
) -> tuple[Client | None, str]:
    now = store.client(horse.client_id) if horse.client_id else None
    if wanted.owner == before.owner:
        return now, ""
    if not wanted.owner:
        return None, ""
    if how is OwnerChange.SPELLING and now is not None:
        renamed = replace(now, name=wanted.owner)
        store.update_client(renamed)
        return renamed, ""
    found = store.find_client(wanted.owner)
    if found is not None:
        return found, ""
    made = store.add_client(wanted.owner)
    close = store.close_clients(made.name)[:1]
    return made, f"{made.name} is a new client; there is a {close[0].name} too." if close else ""
