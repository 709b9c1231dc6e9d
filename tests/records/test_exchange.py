"""Everything out as JSON or CSV and in again: the same rows, the same chain, whatever was typed."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldlog.errors import BadImport, InputError
from fieldlog.papers.exchange import bring_in, everything, json_schema, read_export, to_csv
from fieldlog.papers.exchange import to_json as as_json
from fieldlog.records.store import Store
from tests.records.notes import AT, heard, note

_ODD = st.sampled_from(
    ["=1+1", "+44 1", "-x", "@a", "'q", "''", '"', 'a"b,c', "a\r\nb", "\t", "\u202eabc", "🐴",
     "<b>&amp;", "\x1b[31m", "; DROP TABLE horses", "\x00", "ﬃ", "e\u0301"]
)  # fmt: skip
TEXT = _ODD | st.text(st.characters(exclude_categories=["Cs"]), max_size=20)


def filled(path: Path, texts: list[str]) -> Store:
    """A store whose every free field holds one of the texts."""
    store = Store.open(path, author=texts[0])
    client = store.add_client(f"x{texts[1]}", phone=texts[2], notes=texts[3])
    horse = store.add_horse(f"y{texts[4]}", client_id=client.id, barn=texts[5], cycle_weeks=5)
    recording = store.add_recording("b" * 64, None, 1.5, AT, "clock", texts[6]).id
    store.store_transcript(recording, replace(heard("left front"), reader=texts[7]))
    drafts = store.add_drafts(recording, [note(said=f"z{texts[8]}"), note()])
    store.assign_horse(drafts[0].id, horse.id)
    store.save_entry(drafts[0].id)
    store.revise_entry(drafts[0].id, drafts[0].entry.facts[:2], f"r{texts[9]}")
    store.split_entry(drafts[1].id, drafts[1].entry.facts[1].span[0])
    store.save_search(f"s{texts[1]}", texts[2])
    return store


def through_json(store: Store, folder: Path) -> Path:
    target = folder / "all.json"
    target.write_text(as_json(store), encoding="utf-8", newline="")
    jsonschema.Draft202012Validator(json_schema(store)).validate(json.loads(target.read_bytes()))
    return target


def through_csv(store: Store, folder: Path) -> Path:
    for table, text in to_csv(store).items():
        (folder / f"{table}.csv").write_text(text, encoding="utf-8", newline="")
    return folder


@pytest.mark.parametrize("way", [through_json, through_csv])
@settings(max_examples=25, deadline=None)
@given(texts=st.lists(TEXT, min_size=10, max_size=10))
def test_a_round_trip_loses_nothing(way: Callable[[Store, Path], Path], texts: list[str]) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "out").mkdir()
        with filled(folder / "a.db", texts) as store, Store.open(folder / "b.db") as other:
            source = way(store, folder / "out")
            bring_in(other, read_export(source, other))
            assert everything(other) == everything(store)
            assert other.verify_chain() == store.verify_chain()
            assert other.verify_chain().links == 2
            assert other.integrity() == []
            assert other.search("thrush") == store.search("thrush")


@pytest.mark.parametrize(
    "newer",
    [
        {"horses": ("left_on", "left_why", "same_as"), "visits": ("client_id",)},
        {"horses": ("same_as",)},
    ],
)
@pytest.mark.parametrize("way", [through_json, through_csv])
def test_an_export_of_an_older_fieldlog_is_read(
    way: Callable[[Store, Path], Path], newer: dict[str, tuple[str, ...]], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    with filled(tmp_path / "a.db", ["x"] * 10) as store, Store.open(tmp_path / "b.db") as other:
        source = way(store, out)
        if source.is_dir():
            for name, added in newer.items():
                table = source / f"{name}.csv"
                rows = list(csv.reader(table.read_text("utf-8").splitlines()))
                assert rows[0][-len(added) :] == list(added)
                text = "".join(",".join(row[: -len(added)]) + "\r\n" for row in rows)
                table.write_text(text, encoding="utf-8", newline="")
            (source / "spellings.csv").unlink()
        else:
            data = json.loads(source.read_bytes())
            for name, added in newer.items():
                for row in data["tables"][name]:
                    for column in added:
                        del row[column]
            del data["tables"]["spellings"]
            source.write_text(json.dumps(data), encoding="utf-8")
        bring_in(other, read_export(source, other))
        assert everything(other) == everything(store)


def test_csv_is_rfc_4180_and_holds_no_formula(tmp_path: Path) -> None:
    """RFC 4180 section 2: CRLF (1), a header (3), fields with breaks or quotes quoted (6, 7)."""
    with Store.open(tmp_path / "f.db") as store:
        store.add_client('=HYPERLINK("http://x")', phone="+44 20", notes='a,"b"\r\nc')
        text = to_csv(store)["clients"]
    assert text.startswith("id,name,phone,email,address,notes\r\n")
    assert text.endswith('"a,""b""\r\nc"\r\n')
    header, row = csv.reader(io.StringIO(text, newline=""))
    cells = dict(zip(header, row, strict=True))
    assert cells["name"] == '\'=HYPERLINK("http://x")'
    assert cells["phone"] == "'+44 20"


def test_a_changed_export_is_refused_whole(tmp_path: Path) -> None:
    with filled(tmp_path / "a.db", ["t"] * 10) as store:
        data = everything(store)
    data["tables"]["revisions"][0]["body"] = data["tables"]["revisions"][0]["body"].replace(
        "3.25", "3.75"
    )
    target = tmp_path / "all.json"
    target.write_text(json.dumps(data), encoding="utf-8")
    with Store.open(tmp_path / "b.db") as other:
        with pytest.raises(BadImport, match="link 1"):
            bring_in(other, read_export(target, other))
        assert all(not rows for rows in everything(other)["tables"].values())


def test_broken_characters_are_told(tmp_path: Path) -> None:
    with Store.open(tmp_path / "f.db") as store:
        with pytest.raises(InputError, match="UTF-8"):
            store.add_horse("Bram\udc80ble")
        assert store.horses() == []
