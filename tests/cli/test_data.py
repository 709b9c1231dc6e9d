"""Everything out and in again at the command line: exports, imports, the check of the chain."""

from __future__ import annotations

import csv
import io
import json
import sqlite3
from pathlib import Path

import jsonschema

from fieldlog.records.store import Store
from tests.cli.conftest import Run
from tests.records.notes import keep_sound


def test_export_round_trip_json_and_csv(run: Run, tmp_path: Path) -> None:
    first = tmp_path / "all.json"
    assert run("data", "export", str(first)).exit_code == 0
    schema = json.loads(run("data", "schema").output)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(first.read_text(encoding="utf-8")), schema)
    folder = tmp_path / "csv"
    assert run("data", "export", str(folder)).exit_code == 0
    for source in (first, folder):
        other = tmp_path / f"home-{source.name}"
        assert run("data", "import", str(source), at=other).exit_code == 0
        again = tmp_path / f"again-{source.name}.json"
        run("data", "export", str(again), at=other)
        assert again.read_bytes() == first.read_bytes()
        assert "none was changed" in run("data", "verify", at=other).output


def test_the_export_leaves_no_table_out(home: Path) -> None:
    """A table that a later schema adds goes out as well, without being named anywhere."""
    from fieldlog.papers.exchange import everything, tables_of

    with Store.open(home / "fieldlog.db") as store:
        with store.write():
            store.run("CREATE TABLE later_thing (id INTEGER PRIMARY KEY, what TEXT NOT NULL)")
            store.run("INSERT INTO later_thing (what) VALUES ('kept')")
        assert {"clients", "revisions", "follow_ups", "later_thing"} < set(tables_of(store))
        assert everything(store)["tables"]["later_thing"] == [{"id": 1, "what": "kept"}]


def test_fhir_file(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "bramble.json"
    result = run("data", "fhir", "Bramble", str(target), "--since", "2026-09-01")
    assert result.exit_code == 0
    assert "Left out: work done" in result.output
    data = json.loads(target.read_text(encoding="utf-8"))
    assert data["resourceType"] == "Bundle"
    days = [e["resource"].get("effectiveDateTime", "2026-12") for e in data["entry"]]
    assert min(days) >= "2026-09-01"
    assert "Rosie" not in target.read_text(encoding="utf-8")


def test_csv_is_rfc_4180(run: Run, tmp_path: Path) -> None:
    """RFC 4180: CRLF, as many fields in each line, quotes doubled."""
    run("clients", "add", 'Ann "Nan" O’Dell, senior', "--notes", "two\nlines")
    run("data", "export", str(tmp_path / "csv"))
    raw = (tmp_path / "csv" / "clients.csv").read_bytes()
    assert b'"Ann ""Nan"" O\xe2\x80\x99Dell, senior"' in raw
    assert raw.endswith(b"\r\n")
    rows = list(csv.reader(io.StringIO(raw.decode(), newline="")))
    assert len({len(row) for row in rows}) == 1
    assert rows[0][:2] == ["id", "name"]
    assert any(row[-1] == "two\nlines" for row in rows)


def test_imports_that_do_not_fit_change_nothing(run: Run, tmp_path: Path) -> None:
    good = tmp_path / "all.json"
    run("data", "export", str(good))
    refused = run("data", "import", str(good))
    assert "empty database only" in refused.stderr
    data = json.loads(good.read_text(encoding="utf-8"))
    cases = {
        "not json": "{",
        "other": json.dumps({"format": "x"}),
        "newer": json.dumps({**data, "version": 99}),
        "cut": json.dumps({**data, "tables": {}}),
    }
    forged = json.loads(json.dumps(data))
    body = forged["tables"]["revisions"][3]["body"]
    forged["tables"]["revisions"][3]["body"] = body.replace("Trimmed", "Neglected")
    cases["forged"] = json.dumps(forged)
    orphan = json.loads(json.dumps(data))
    orphan["tables"]["horses"] = []
    cases["orphan"] = json.dumps(orphan)
    for name, text in cases.items():
        source, other = tmp_path / f"{name}.json", tmp_path / name
        source.write_text(text, encoding="utf-8")
        result = run("data", "import", str(source), at=other)
        assert result.exit_code == 2, name
        assert "Traceback" not in result.output
        assert json.loads(run("horses", "list", "--json", at=other).output) == []
    assert run("data", "import", str(tmp_path / "nothing.json"), at=tmp_path / "n").exit_code == 2


def test_verify_names_the_entry_that_was_changed(run: Run, home: Path) -> None:
    assert "none was changed" in run("data", "verify").output
    import sqlite3

    with sqlite3.connect(home / "fieldlog.db") as raw:
        raw.execute("DROP TRIGGER revisions_no_update")
        raw.execute("UPDATE revisions SET body = body || ' ' WHERE link = 2")
    result = run("data", "verify")
    assert result.exit_code == 1
    assert "BROKEN at link 2" in result.output
    assert "DOES NOT VERIFY" in run("paper", "neglect", "Bramble").output


def test_verify_names_a_note_that_is_shown_otherwise_and_puts_it_back(run: Run, home: Path) -> None:
    with sqlite3.connect(home / "fieldlog.db") as raw:
        before = raw.execute(
            "SELECT id FROM entries WHERE state = 'saved' AND instr(body, 'LF')"
        ).fetchone()
        raw.execute("UPDATE entries SET body = replace(body, 'LF', 'RF') WHERE id = ?", before)
        name = raw.execute(
            "SELECT h.name FROM entries e JOIN horses h ON h.id = e.horse_id WHERE e.id = ?",
            before,
        ).fetchone()[0]
    bad = run("data", "verify")
    assert bad.exit_code == 1
    assert f"SHOWN OTHERWISE than saved: {before[0][:8]}" in bad.output
    assert "DOES NOT VERIFY" in run("paper", "neglect", name).output
    mended = run("data", "verify", "--put-back")
    assert mended.exit_code == 0
    assert "Shown as saved again: 1 note." in mended.output
    assert "printed as they were sealed" in " ".join(run("paper", "neglect", name).output.split())
    assert json.loads(run("data", "verify", "--json").output)["shown_otherwise"] == []


def test_verify_names_a_sound_that_is_not_what_was_recorded(
    run: Run, home: Path, tmp_path: Path
) -> None:
    """The seal holds the hash of the sound; nobody held the file against it."""
    (home / "sounds").mkdir(exist_ok=True)
    with Store.open(home / "fieldlog.db") as store:
        keep_sound(store, home, b"heard")
    assert run("data", "verify").exit_code == 0
    (path,) = (home / "sounds").glob("*.wav")
    path.write_bytes(b"other")
    bad = run("data", "verify")
    assert (bad.exit_code, "SOUND CHANGED: n.wav" in bad.output) == (1, True)
    path.unlink()
    assert "Sound missing: n.wav" in run("data", "verify").output


def test_a_zip_of_a_broken_chain_says_so(run: Run, home: Path, tmp_path: Path) -> None:
    target = tmp_path / "all.zip"
    assert "BROKEN" not in run("data", "backup", str(target)).output
    with sqlite3.connect(home / "fieldlog.db") as raw:
        raw.execute("DROP TRIGGER revisions_no_update")
        raw.execute("UPDATE revisions SET reason = 'x' WHERE link = 2")
    done = run("data", "backup", str(tmp_path / "broken.zip"))
    assert "BROKEN at link 2" in done.output
