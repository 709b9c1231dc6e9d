"""A teaching copy holds no name, place, number or day that the store knows."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fieldlog.records.redact import redacted, spoken_names
from fieldlog.records.store import Store
from tests.records.notes import AT, note


def store_with(path: Path, said: str) -> Store:
    store = Store.open(path)
    client = store.add_client("Nell Harrowgate", phone="555 0100", email="nell@example.org")
    store.add_horse(
        "Bramblewick", client_id=client.id, barn="Hollow Creek", microchip="968000004531234"
    )
    store.add_horse("Bramble", barn="Mill.Lane (old)")
    (draft,) = store.add_drafts(None, [note("Bramblewick", said)], at=AT)
    store.save_entry(draft.id)
    return store


def test_what_is_known_is_replaced(tmp_path: Path) -> None:
    said = "HARROWGATE's number is 555 010 0199 at hollow creek and at mill.lane (old) brambles"
    with store_with(tmp_path / "f.db", said) as store:
        copy = redacted(store)
    text = json.dumps(copy).casefold()
    for secret in ("harrowgate", "bramblewick", "hollow creek", "mill.lane", "555", "9680", "2026"):
        assert secret not in text
    (horse,) = copy["horses"]
    assert horse["name"] == "Horse 2"
    assert horse["notes"][0]["text"].startswith(
        "this is Horse 2 left front toe three and a quarter"
    )
    assert (
        "Client 1's number is [number] at Barn 1 and at Barn 2 brambles"
        in horse["notes"][0]["text"]
    )
    assert horse["notes"][0]["facts"][0]["quantity"]["value"] == 3.25


def test_names_that_were_only_spoken_are_looked_for(tmp_path: Path) -> None:
    with store_with(tmp_path / "f.db", "spoke to Orla") as store:
        copy = redacted(store, lambda text: [(text.index("Orla"), text.index("Orla") + 4)])
    assert copy["horses"][0]["notes"][0]["text"].endswith("spoke to [name]")


def test_the_shipped_finder_finds_a_spoken_name() -> None:
    find = spoken_names()
    if find is None:
        pytest.skip("the trained finder is not here")
    text = "this is bramble i spoke to marigold about the near fore"
    assert any("marigold" in text[a:b] for a, b in find(text))


def test_an_empty_store_gives_an_empty_copy(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as store:
        assert redacted(store)["horses"] == []
