"""What is known of a horse, for changing it by hand: its caution first."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, fields, replace
from enum import Enum
from typing import TYPE_CHECKING, Any, TypeVar

from rapidfuzz import fuzz

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
    """The owner's, like the last two."""
    barn: str = ""
    weeks: str = ""
    """Between visits; empty: the farrier's usual."""
    notes: str = ""
    email: str = ""
    address: str = ""


class OwnerChange(Enum):
    """What another name of the owner means."""

    FROM_NOW = "sold: another owner from now on"
    ALL_ALONG = "it was that owner's all along"
    SPELLING = "the same owner, spelt otherwise"
    NOTED_TWICE = "the same owner, noted twice: the two become one"


class BarnChange(Enum):
    """What another name of the barn means."""

    MOVED = "the horse moved there"
    SPELLING = "the same barn, spelt otherwise"


@dataclass(frozen=True, slots=True)
class Meant:
    """What another owner and another barn mean."""

    owner: OwnerChange = OwnerChange.FROM_NOW
    barn: BarnChange = BarnChange.MOVED


@dataclass(frozen=True, slots=True)
class Rows:
    """What a change of the sheet may touch, as it stands in the records."""

    horse: Horse
    clients: dict[str, Client]
    """Of the owner, and of whom the horse is to be; by id."""
    visits: dict[str, str | None]
    """In whose time each visit stands, if not in that of the owner of today; by its id."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change of the sheet did, so that it can be taken back."""

    hint: str
    """What somebody should know, or empty."""
    before: Rows
    after: Rows
    parted: tuple[tuple[str, str], ...] = field(default=())
    """The owners and barns that became one with another: ``("barn", "Alder Crek")``."""


def known(store: Store, horse_id: str) -> HorseFacts:
    """What is known of a horse."""
    horse = store.standing(horse_id)
    owner = store.client(horse.client_id) if horse.client_id else None
    return HorseFacts(
        caution=horse.caution,
        name=horse.name,
        owner=owner.name if owner else "",
        phone=owner.phone if owner else "",
        email=owner.email if owner else "",
        address=owner.address if owner else "",
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
    """Whether it must be asked what another owner means: there was one before, and there is one.

    The same name in other capitals is no other owner.
    """
    old, new = before.owner.casefold(), wanted.owner.casefold()
    return bool(old and new) and old != new


ALIKE = 80
"""rapidfuzz ratio (0 to 100) from which two names of a barn may be one, spelt otherwise."""


def barn_changes(store: Store, before: HorseFacts, wanted: HorseFacts) -> bool:
    """Whether it must be asked what another barn means: others stand there, or it is spelt alike.

    A horse that stood alone moved.
    """
    old, new = before.barn.casefold(), wanted.barn.casefold()
    if not old or not new or old == new:
        return False
    others = sum(number for name, number in store.barns().items() if name.casefold() == old) > 1
    return others or fuzz.ratio(old, new) >= ALIKE


def ways(store: Store, owner: str) -> tuple[OwnerChange, ...]:
    """What another name of the owner may mean: a known client was noted twice, if it is he."""
    one = OwnerChange.SPELLING if store.find_client(owner) is None else OwnerChange.NOTED_TWICE
    return OwnerChange.FROM_NOW, OwnerChange.ALL_ALONG, one


def change(
    store: Store, horse_id: str, seen: HorseFacts, typed: HorseFacts, meant: Meant | None = None
) -> Changed:
    """Write what was changed on the sheet; ``take_back`` undoes it.

    Args:
        store: the records.
        horse_id: which horse.
        seen: what stood on the sheet; where it was left so, a change by another window stays.
        typed: what stands on it now.
        meant: what another owner and another barn mean; left out: sold, and moved.

    Raises:
        InputError: a name or a number that cannot be; nothing is changed.
    """
    how = meant or Meant()
    with store.write():
        before, horse = known(store, horse_id), store.standing(horse_id)
        names = [f.name for f in fields(HorseFacts)]
        changed = {n: getattr(typed, n) for n in names if getattr(typed, n) != getattr(seen, n)}
        wanted = replace(before, **changed)
        weeks = weeks_of(wanted.weeks)
        was = _rows(store, horse.id, wanted.owner)
        parted = _one_barn(store, before, wanted, how.barn)
        owner, hint = _owner(store, horse, before, wanted, how.owner)
        if horse.client_id and not store.has_client(horse.client_id):  # now one with another
            parted += (("client", before.owner),)
        _reach(store, owner, before, wanted, changed)
        store.update_horse(
            replace(
                store.horse(horse.id),
                name=wanted.name,
                caution=wanted.caution,
                barn=wanted.barn,
                cycle_weeks=weeks,
                notes=wanted.notes,
                client_id=owner.id if owner else None,
            ),
            all_along=how.owner is OwnerChange.ALL_ALONG and owner_changes(before, wanted),
        )
        return Changed(hint, was, _rows(store, horse.id, wanted.owner), parted)


def take_back(store: Store, done: Changed) -> None:
    """Undo what ``change`` did; what was changed since stays."""
    with store.write():
        for what, name in done.parted:
            apart = store.client_apart if what == "client" else store.barn_apart
            apart(name)
        for client_id, client in done.before.clients.items():
            then = done.after.clients.get(client_id)
            if then is not None:
                store.update_client(_back(store.client(client_id), then, client))
        horse_id = done.before.horse.id
        horse = _back(store.horse(horse_id), done.after.horse, done.before.horse)
        store.update_horse(horse, all_along=True)
        store.put_visit_owners(horse_id, done.before.visits)
        for client_id in done.after.clients.keys() - done.before.clients.keys():
            store.remove_client(client_id)


T = TypeVar("T", "Horse", "Client")


def _back(now: T, then: T, before: T) -> T:
    """``now`` with what the change made of it as before, where it is still what it made."""
    after, first, current = asdict(then), asdict(before), asdict(now)
    back: dict[str, Any] = {k: first[k] for k, v in current.items() if v == after[k] != first[k]}
    return replace(now, **back)


def _rows(store: Store, horse_id: str, owner: str) -> Rows:
    horse = store.horse(horse_id)
    now = store.client(horse.client_id) if horse.client_id else None
    found = [c for c in (now, store.find_client(owner) if owner else None) if c is not None]
    return Rows(horse, {c.id: c for c in found}, store.visit_owners(horse_id))


def _one_barn(
    store: Store, before: HorseFacts, wanted: HorseFacts, how: BarnChange
) -> tuple[tuple[str, str], ...]:
    if how is not BarnChange.SPELLING or before.barn == wanted.barn:
        return ()
    store.barn_same(before.barn, wanted.barn)
    return (("barn", before.barn),)


_REACH = ("phone", "email", "address")
"""How the owner is reached."""


def _reach(
    store: Store,
    owner: Client | None,
    before: HorseFacts,
    wanted: HorseFacts,
    changed: dict[str, str],
) -> None:
    """How the owner is reached, as typed.

    A line that was emptied because another owner was typed was the other's: what is known of this
    one stays.
    """
    another = before.owner != wanted.owner
    typed = {n: v for n, v in changed.items() if n in _REACH and (v or not another)}
    if not typed:
        return
    if owner is None:
        if any(typed.values()):
            raise InputError("Whose telephone or address is that?", "Type the owner's name too.")
        return
    store.update_client(replace(store.client(owner.id), **typed))


def _owner(
    store: Store, horse: Horse, before: HorseFacts, wanted: HorseFacts, how: OwnerChange
) -> tuple[Client | None, str]:
    now = store.client(horse.client_id) if horse.client_id else None
    if wanted.owner == before.owner:
        return now, ""
    if not wanted.owner:
        return None, ""
    same_name = wanted.owner.casefold() == before.owner.casefold()
    if now is not None and (how is OwnerChange.SPELLING or same_name):
        renamed = replace(now, name=wanted.owner)
        store.update_client(renamed)
        return renamed, ""
    found = store.find_client(wanted.owner)
    if found is not None and now is not None and found.id == now.id:
        return now, f"{wanted.owner} is another spelling of {now.name} already."
    if found is not None and how is OwnerChange.NOTED_TWICE and now is not None:
        return _one_owner(store, now, found)
    if found is not None:
        return found, ""
    made = store.add_client(wanted.owner)
    close = store.close_clients(made.name)[:1]
    return made, f"{made.name} is a new client; there is a {close[0].name} too." if close else ""


def _one_owner(store: Store, went: Client, stays: Client) -> tuple[Client, str]:
    one = store.client_same(went.id, stays.id)
    names = [h.name for h in store.horses(one.id)]
    said = f"{went.name} and {one.name} are one client now, with {', '.join(names)}."
    twice = next((n for i, n in enumerate(names) if n.casefold() == names[i - 1].casefold()), "")
    if twice and len(names) > 1:
        said += f" {twice} is there twice: if that is one horse, s on its page."
    return one, said
