"""A horse that is sold to another client: whose it was at each visit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from fieldlog.records.store import Store
from fieldlog.records.types import Horse

MAY, JUNE = date(2026, 5, 4), date(2026, 6, 8)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "f.db") as opened:
        for name in ("Marta Ellery", "Dan Whitcombe", "Nora Quill"):
            opened.add_client(name)
        opened.add_horse("Storm")
        yield opened


def give(store: Store, owner: str, all_along: bool = False) -> Horse:
    client = store.find_client(owner)
    assert client is not None
    changed = replace(store.horse_named("Storm"), client_id=client.id)
    return store.update_horse(changed, all_along)


def test_visits_stay_in_the_time_of_their_owner(store: Store) -> None:
    storm = give(store, "Marta Ellery")
    store.visit_for(storm.id, MAY)
    assert store.days_of_another_owner(storm) == frozenset()
    storm = give(store, "Dan Whitcombe")
    store.visit_for(storm.id, JUNE)
    assert store.days_of_another_owner(storm) == {MAY}
    assert store.days_of_another_owner(give(store, "Nora Quill")) == {MAY, JUNE}
    assert store.days_of_another_owner(give(store, "Marta Ellery")) == {JUNE}


def test_an_owner_that_was_only_missing_or_wrong_had_it_all_along(store: Store) -> None:
    storm = store.horse_named("Storm")
    store.visit_for(storm.id, MAY)
    assert store.days_of_another_owner(give(store, "Marta Ellery")) == frozenset()
    give(store, "Dan Whitcombe")
    assert store.days_of_another_owner(give(store, "Dan Whitcombe", all_along=True)) == frozenset()


def test_a_client_that_was_typed_wrongly_can_go(store: Store) -> None:
    storm = give(store, "Marta Ellery")
    store.visit_for(storm.id, MAY)
    storm = give(store, "Dan Whitcombe")
    marta = store.find_client("Marta Ellery")
    assert marta is not None
    store.forget_client(marta.id, "typed wrongly")
    assert store.find_client("Marta Ellery") is None
    assert store.days_of_another_owner(storm) == frozenset()
    assert store.integrity() == []
