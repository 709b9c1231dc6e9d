"""Everything out, everything in again: one JSON file, or a folder of CSV files.

JSON follows the schema that ``json_schema`` gives (JSON Schema 2020-12). CSV is RFC 4180: UTF-8,
CRLF, a header line, quotes doubled; an empty cell is null where a column may be null, and a text
that a spreadsheet would run as a formula gets a ' in front, taken off again on import. Saved
revisions go out with their hashes, so that the chain verifies after the import as before. Sound
files are not inside: ``fieldlog data backup`` takes them along.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldlog.errors import BadImport

if TYPE_CHECKING:
    from fieldlog.records.store import Store

FORMAT = "fieldlog-export"
VERSION = 1

Rows = list[dict[str, Any]]

_ORDER = (
    "clients",
    "horses",
    "visits",
    "recordings",
    "transcripts",
    "entries",
    "corrections",
    "revisions",
    "saved_facts",
    "said",
    "follow_ups",
    "saved_searches",
    "removals",
    "spellings",
)
"""In an order in which every row comes after the rows that it refers to."""

_NEWER: dict[str, dict[str, str | None]] = {
    "horses": {"left_on": "", "left_why": "", "same_as": None},
    "visits": {"client_id": None},
}
"""Columns that exports of an older fieldlog lack, and what they are then."""

_NEWER_TABLES = frozenset({"spellings"})
"""Tables that exports of an older fieldlog lack; nothing was in them then."""

_JSON_TYPES = {"TEXT": "string", "INTEGER": "integer", "REAL": "number"}


def tables_of(store: Store) -> list[str]:
    """Every table that holds something: not the full-text index, nor SQLite's own tables."""
    rows = store.query("SELECT name FROM sqlite_master WHERE type = 'table'")
    own = {
        str(r["name"])
        for r in rows
        if not str(r["name"]).startswith(("said_fts", "sqlite_", "_sqlite"))
    }
    return [t for t in _ORDER if t in own] + sorted(own - set(_ORDER))


def columns(store: Store, table: str) -> list[tuple[str, str, bool]]:
    """Name, SQL type and whether it may be null, of each column."""
    rows = store.query("SELECT * FROM pragma_table_info(?)", [table])
    return [(str(r["name"]), str(r["type"]), not r["notnull"] and not r["pk"]) for r in rows]


def everything(store: Store) -> dict[str, Any]:
    """The whole database as plain data."""
    tables: dict[str, Rows] = {}
    for table in tables_of(store):
        names = ", ".join(name for name, _, _ in columns(store, table))
        tables[table] = store.query(f"SELECT {names} FROM {table} ORDER BY rowid")
    return {"format": FORMAT, "version": VERSION, "tables": tables}


def to_json(store: Store) -> str:
    """The export as JSON text."""
    return json.dumps(everything(store), ensure_ascii=False, indent=1) + "\n"


def to_csv(store: Store) -> dict[str, str]:
    """The export as CSV text, one for each table."""
    out = {}
    for table, rows in everything(store)["tables"].items():
        names = [name for name, _, _ in columns(store, table)]
        text = io.StringIO(newline="")
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow(names)
        for row in rows:
            writer.writerow([_written(row[n]) for n in names])
        out[table] = text.getvalue()
    return out


def json_schema(store: Store) -> dict[str, Any]:
    """The published shape of the JSON export (JSON Schema 2020-12)."""
    tables = {}
    for table in tables_of(store):
        properties: dict[str, Any] = {}
        for name, kind, nullable in columns(store, table):
            base = _JSON_TYPES.get(kind, "string")
            properties[name] = {"type": [base, "null"] if nullable else base}
        tables[table] = {
            "type": "array",
            "items": {
                "type": "object",
                "properties": properties,
                "required": list(properties),
                "additionalProperties": False,
            },
        }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "fieldlog export",
        "type": "object",
        "required": ["format", "version", "tables"],
        "additionalProperties": False,
        "properties": {
            "format": {"const": FORMAT},
            "version": {"const": VERSION},
            "tables": {
                "type": "object",
                "required": tables_of(store),
                "additionalProperties": False,
                "properties": tables,
            },
        },
    }


def read_export(path: Path, store: Store) -> dict[str, Rows]:
    """Read an export: a JSON file, or a folder of CSV files.

    Raises:
        BadImport: not an export, or its rows do not fit.
    """
    try:
        if path.is_dir():
            return {
                table: _read_csv(path / f"{table}.csv", store, table) for table in tables_of(store)
            }
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as problem:
        raise BadImport(f"There is no {problem.filename}.", "Give an export of fieldlog.") from (
            problem
        )
    except (OSError, ValueError, RecursionError) as problem:
        raise BadImport(f"{path} cannot be read: {problem}.", "Give an export of fieldlog.") from (
            problem
        )
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise BadImport(f"{path} is no export of fieldlog.", "Make one: fieldlog data export.")
    if data.get("version") != VERSION:
        raise BadImport(
            f"{path} has version {data.get('version')} of the export; this fieldlog reads "
            f"{VERSION}.",
            "Use the fieldlog that wrote it, or a newer one.",
        )
    tables = data.get("tables")
    if not isinstance(tables, dict):
        raise BadImport(f"{path} has no tables.", "It may be cut off; export again.")
    return {table: _checked(store, table, tables.get(table)) for table in tables_of(store)}


def _checked(store: Store, table: str, rows: Any) -> Rows:
    wanted = columns(store, table)
    kinds: dict[str, tuple[type, ...]] = {"INTEGER": (int,), "REAL": (int, float)}
    if rows is None and table in _NEWER_TABLES:
        return []
    if not isinstance(rows, list):
        raise BadImport(f"The table {table} is missing.", "The export may be cut off.")
    newer = _NEWER.get(table, {})
    whole = [{**newer, **row} if isinstance(row, dict) else row for row in rows]
    for number, row in enumerate(whole, 1):
        if not isinstance(row, dict) or set(row) != {name for name, _, _ in wanted}:
            raise BadImport(f"Row {number} of {table} has other columns.", "Export again.")
        for name, kind, nullable in wanted:
            value = row[name]
            if value is None and nullable:
                continue
            if not isinstance(value, kinds.get(kind, (str,))) or isinstance(value, bool):
                raise BadImport(
                    f"Row {number} of {table}: {name} cannot be {value!r}.", "Correct it."
                )
    return whole


def _read_csv(path: Path, store: Store, table: str) -> Rows:
    wanted = columns(store, table)
    newer = _NEWER.get(table, {})
    if table in _NEWER_TABLES and not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        # Transcripts of long notes pass csv's usual limit for one cell.
        csv.field_size_limit(1 << 30)
        reader = csv.reader(file, strict=True)
        try:
            lines = list(reader)
        except csv.Error as problem:
            raise BadImport(
                f"{path.name}, line {reader.line_num}: {problem}.", "Correct it."
            ) from (problem)
    if lines:
        wanted = [c for c in wanted if c[0] not in newer or c[0] in lines[0]]
    if not lines or lines[0] != [name for name, _, _ in wanted]:
        raise BadImport(f"{path.name} has another header.", "Export again.")
    rows = []
    for number, line in enumerate(lines[1:], 2):
        if len(line) != len(wanted):
            raise BadImport(
                f"{path.name}, row {number} has {len(line)} cells, not {len(wanted)}.",
                "Correct that row.",
            )
        rows.append(
            newer
            | {
                name: _cell(cell, kind, nullable, f"{path.name}, row {number}, {name}")
                for cell, (name, kind, nullable) in zip(line, wanted, strict=True)
            }
        )
    return rows


_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")
"""A spreadsheet takes a text that starts so for a formula (or hides the quote)."""


def _written(value: Any) -> Any:
    if value is None:
        return ""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


def _cell(cell: str, kind: str, nullable: bool, where: str) -> Any:
    if cell == "" and nullable:
        return None
    if kind not in ("INTEGER", "REAL"):
        return cell.removeprefix("'")
    try:
        return {"INTEGER": int, "REAL": float}[kind](cell)
    except ValueError as problem:
        raise BadImport(f"{where}: “{cell}” is no number.", "Correct it.") from problem


def bring_in(store: Store, tables: Mapping[str, Rows]) -> dict[str, int]:
    """Put an export into an empty store, all or nothing; returns the rows of each table.

    Raises:
        BadImport: the store holds something already, the rows contradict each other, or the chain
            of saved entries does not verify afterwards.
    """
    filled = [
        t for t in tables_of(store) if store.one(f"SELECT 1 AS x FROM {t} LIMIT 1") is not None
    ]
    if filled:
        raise BadImport(
            "There are records here already; an export goes into an empty database only.",
            "Give another --home, or restore a backup instead.",
        )
    try:
        with store.write():
            for table in tables_of(store):
                for row in tables[table]:
                    names = ", ".join(row)
                    marks = ", ".join("?" for _ in row)
                    store.run(f"INSERT INTO {table} ({names}) VALUES ({marks})", list(row.values()))
            chain = store.verify_chain()
            if not chain.ok:
                raise BadImport(
                    f"The export's chain of saved entries is broken: {chain.first_broken}.",
                    "It was changed after it was made; get it again.",
                )
    except BadImport:
        raise
    except Exception as problem:
        # Numbers beyond 64 bits and lone surrogates are refused before SQLite sees them.
        unfit = isinstance(problem, (OverflowError, ValueError))
        if type(problem).__module__ != "sqlite3" and not unfit:
            raise
        raise BadImport(f"The rows do not fit together: {problem}.", "Export again.") from problem
    return {table: len(tables[table]) for table in tables_of(store)}
