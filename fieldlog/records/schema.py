"""The tables, and the way from every released schema to the newest (sqlite-utils migrations).

Two kinds of table: what is kept for ever (recordings, transcripts, corrections, revisions: guarded
by triggers), and what can be made again from them (saved_facts, said and its full-text index).
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from fieldlog.sound.keep import make_private

if TYPE_CHECKING:
    from fieldlog.records.base import Connection

migrations = Migrations("fieldlog")
NEWEST = 6
"""Stored in ``PRAGMA user_version``; a higher number means a newer fieldlog wrote the file."""

_TABLES = """
CREATE TABLE clients (
    id TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    phone TEXT NOT NULL DEFAULT '',
    email TEXT NOT NULL DEFAULT '',
    address TEXT NOT NULL DEFAULT '',
    notes TEXT NOT NULL DEFAULT ''
);
CREATE TABLE horses (
    id TEXT PRIMARY KEY,
    name TEXT NOT NULL CHECK (name <> ''),
    client_id TEXT REFERENCES clients(id),
    barn TEXT NOT NULL DEFAULT '',
    colour TEXT NOT NULL DEFAULT '',
    sex TEXT NOT NULL DEFAULT '',
    born TEXT NOT NULL DEFAULT '',
    microchip TEXT NOT NULL DEFAULT '',
    ueln TEXT NOT NULL DEFAULT '',
    cycle_weeks INTEGER CHECK (cycle_weeks BETWEEN 1 AND 52),
    caution TEXT NOT NULL DEFAULT '',
    notes TEXT NOT NULL DEFAULT ''
);
CREATE INDEX horses_client ON horses(client_id);
CREATE TABLE visits (
    id TEXT PRIMARY KEY,
    horse_id TEXT NOT NULL REFERENCES horses(id),
    day TEXT NOT NULL,
    barn TEXT NOT NULL DEFAULT '',
    UNIQUE (horse_id, day)
);
CREATE INDEX visits_day ON visits(day);
CREATE TABLE recordings (
    id TEXT PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,
    path TEXT NOT NULL DEFAULT '',
    duration REAL NOT NULL,
    started_at TEXT NOT NULL,
    started_at_from TEXT NOT NULL DEFAULT '',
    original_name TEXT NOT NULL DEFAULT ''
);
CREATE TABLE transcripts (
    id INTEGER PRIMARY KEY,
    recording_id TEXT NOT NULL REFERENCES recordings(id),
    reader TEXT NOT NULL,
    made_at TEXT NOT NULL,
    body TEXT NOT NULL
);
CREATE INDEX transcripts_recording ON transcripts(recording_id);
CREATE TABLE entries (
    id TEXT PRIMARY KEY,
    recording_id TEXT REFERENCES recordings(id),
    horse_id TEXT REFERENCES horses(id),
    state TEXT NOT NULL CHECK (state IN ('draft', 'saved', 'discarded')),
    at TEXT NOT NULL,
    day TEXT NOT NULL,
    body TEXT NOT NULL,
    looked_at TEXT NOT NULL DEFAULT '[]',
    revision INTEGER NOT NULL DEFAULT 0,
    CHECK (state <> 'saved' OR (revision > 0 AND horse_id IS NOT NULL))
);
CREATE INDEX entries_day ON entries(day);
CREATE INDEX entries_horse ON entries(horse_id, day);
CREATE INDEX entries_recording ON entries(recording_id);
CREATE TABLE corrections (
    id INTEGER PRIMARY KEY,
    entry_id TEXT NOT NULL REFERENCES entries(id),
    at TEXT NOT NULL,
    action TEXT NOT NULL,
    before TEXT NOT NULL,
    after TEXT,
    undone INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX corrections_entry ON corrections(entry_id);
CREATE TABLE revisions (
    link INTEGER PRIMARY KEY,
    entry_id TEXT NOT NULL REFERENCES entries(id),
    number INTEGER NOT NULL CHECK (number > 0),
    saved_at TEXT NOT NULL,
    author TEXT NOT NULL DEFAULT '',
    reason TEXT NOT NULL DEFAULT '',
    horse_id TEXT NOT NULL,
    sound_sha256 TEXT NOT NULL DEFAULT '',
    body TEXT NOT NULL,
    body_hash TEXT NOT NULL,
    before_hash TEXT NOT NULL,
    hash TEXT NOT NULL UNIQUE,
    UNIQUE (entry_id, number)
);
CREATE TABLE saved_facts (
    id TEXT NOT NULL,
    entry_id TEXT NOT NULL REFERENCES entries(id),
    horse_id TEXT NOT NULL REFERENCES horses(id),
    day TEXT NOT NULL,
    kind TEXT NOT NULL,
    code TEXT NOT NULL,
    feet TEXT NOT NULL,
    places TEXT NOT NULL,
    negated INTEGER NOT NULL,
    uncertain INTEGER NOT NULL,
    historical INTEGER NOT NULL,
    severity TEXT NOT NULL,
    base REAL,
    unit TEXT NOT NULL DEFAULT '',
    body TEXT NOT NULL,
    PRIMARY KEY (entry_id, id)
);
CREATE INDEX saved_facts_horse ON saved_facts(horse_id, day);
CREATE INDEX saved_facts_code ON saved_facts(code, day);
CREATE TABLE said (
    id INTEGER PRIMARY KEY,
    entry_id TEXT NOT NULL REFERENCES entries(id),
    fact_id TEXT NOT NULL,
    horse_id TEXT NOT NULL REFERENCES horses(id),
    day TEXT NOT NULL,
    label TEXT NOT NULL,
    sentence TEXT NOT NULL,
    start REAL,
    finish REAL
);
CREATE INDEX said_entry ON said(entry_id);
CREATE TABLE follow_ups (
    id TEXT PRIMARY KEY,
    code TEXT NOT NULL,
    text TEXT NOT NULL,
    who TEXT NOT NULL,
    horse_id TEXT REFERENCES horses(id),
    feet TEXT NOT NULL DEFAULT '',
    due TEXT,
    due_spoken TEXT NOT NULL DEFAULT '',
    condition TEXT NOT NULL DEFAULT '',
    state TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'done', 'dropped')),
    reason TEXT NOT NULL DEFAULT '',
    urgent INTEGER NOT NULL DEFAULT 0,
    entry_id TEXT REFERENCES entries(id),
    fact_id TEXT,
    created_at TEXT NOT NULL,
    closed_at TEXT,
    sequence INTEGER NOT NULL DEFAULT 0,
    CHECK (state <> 'dropped' OR reason <> '')
);
CREATE INDEX follow_ups_state ON follow_ups(state, due);
CREATE INDEX follow_ups_horse ON follow_ups(horse_id);
CREATE TABLE saved_searches (name TEXT PRIMARY KEY, line TEXT NOT NULL);
"""

KEPT = {
    "revisions": "a saved entry changes only by a new revision",
    "transcripts": "what was heard is kept for ever",
}


@migrations()
def first_tables(db: Database) -> None:
    """Clients, horses, visits, sound, words, entries, revisions, follow-ups, search."""
    for statement in _TABLES.split(";"):
        if statement.strip():
            db.conn.execute(statement)
    for table, why in KEPT.items():
        for verb in ("UPDATE", "DELETE"):
            db.conn.execute(
                f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{why}'); END"
            )
    db["said"].enable_fts(  # type: ignore[union-attr]
        ["label", "sentence"], tokenize="porter unicode61", create_triggers=True
    )
    db.conn.execute("PRAGMA user_version = 1")


# The one way in which what is kept may be thinned out: its words are taken out, all else stays.
_TAKEN_OUT = {
    "revisions": (
        "",
        "what = 'revision' AND which = CAST(OLD.link AS TEXT)",
        "link entry_id number saved_at author reason horse_id sound_sha256 body_hash before_hash "
        "hash",
    ),
    "transcripts": (
        "{}",
        "what = 'transcript' AND which = CAST(OLD.id AS TEXT)",
        "id recording_id reader made_at",
    ),
}


@migrations()
def take_out_and_undo_more(db: Database) -> None:
    """A client's words can be taken out on request; a split or joined entry can be undone."""
    db.conn.execute("ALTER TABLE corrections ADD COLUMN other_id TEXT NOT NULL DEFAULT ''")
    db.conn.execute(
        """CREATE TABLE removals (
            id INTEGER PRIMARY KEY,
            at TEXT NOT NULL,
            what TEXT NOT NULL CHECK (what IN ('revision', 'transcript', 'sound')),
            which TEXT NOT NULL,
            reason TEXT NOT NULL CHECK (reason <> ''),
            UNIQUE (what, which)
        )"""
    )
    for table, (empty, noted, columns) in _TAKEN_OUT.items():
        same = " AND ".join(f"NEW.{c} IS OLD.{c}" for c in columns.split())
        db.conn.execute(f"DROP TRIGGER {table}_no_update")
        db.conn.execute(
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} "
            f"WHEN NOT (NEW.body = '{empty}' AND {same} "
            f"AND EXISTS (SELECT 1 FROM removals WHERE {noted})) "
            f"BEGIN SELECT RAISE(ABORT, '{KEPT[table]}'); END"
        )
    db.conn.execute("PRAGMA user_version = 2")


DAY_STEP = 1_000_000
"""``said.id`` is the day's ordinal times this, plus a number within the day: the order of the
full-text index is then the order of days, and a search for a common word stops early."""


_SAID_BY_DAY = """CREATE TABLE said (
    id INTEGER PRIMARY KEY,
    entry_id TEXT NOT NULL REFERENCES entries(id),
    fact_id TEXT NOT NULL,
    horse_id TEXT NOT NULL REFERENCES horses(id),
    day TEXT NOT NULL,
    kind TEXT NOT NULL,
    code TEXT NOT NULL,
    feet TEXT NOT NULL,
    places TEXT NOT NULL,
    negated INTEGER NOT NULL,
    severity TEXT NOT NULL,
    base REAL,
    label TEXT NOT NULL,
    sentence TEXT NOT NULL,
    start REAL,
    finish REAL
)"""
_SAID_BROUGHT_OVER = f"""INSERT INTO said
    SELECT CAST(julianday(d.day) - 1721424.5 AS INTEGER) * {DAY_STEP}
           + row_number() OVER (PARTITION BY d.day ORDER BY d.id),
           d.entry_id, d.fact_id, d.horse_id, d.day, coalesce(f.kind, ''),
           coalesce(f.code, ''), coalesce(f.feet, ''), coalesce(f.places, ''),
           coalesce(f.negated, 0), coalesce(f.severity, ''), f.base,
           d.label, d.sentence, d.start, d.finish
    FROM said_before d
    LEFT JOIN saved_facts f ON f.entry_id = d.entry_id AND f.id = d.fact_id"""
_SAID_INDEXES = (
    "said_entry ON said(entry_id)",
    "said_horse ON said(horse_id)",
    "said_measure ON said(code, base) WHERE base IS NOT NULL",
    "said_severity ON said(severity) WHERE severity <> ''",
    "said_places ON said(places) WHERE places <> ''",
)


@migrations()
def said_by_day(db: Database) -> None:
    """Number the search lines by day and give them what the filters ask for."""
    db["said"].disable_fts()  # type: ignore[union-attr]
    db.conn.execute("ALTER TABLE said RENAME TO said_before")
    db.conn.execute(_SAID_BY_DAY)
    db.conn.execute(_SAID_BROUGHT_OVER)
    db.conn.execute("DROP TABLE said_before")
    for index in _SAID_INDEXES:
        db.conn.execute(f"CREATE INDEX {index}")
    db["said"].enable_fts(  # type: ignore[union-attr]
        ["label", "sentence"], tokenize="porter unicode61", create_triggers=True
    )
    db.conn.execute("PRAGMA user_version = 3")


@migrations()
def horses_that_left(db: Database) -> None:
    """A horse that was sold or died is due no more; what was noted of it stays."""
    for column in ("left_on", "left_why"):
        db.conn.execute(f"ALTER TABLE horses ADD COLUMN {column} TEXT NOT NULL DEFAULT ''")
    db.conn.execute("PRAGMA user_version = 4")


@migrations()
def whose_at_a_visit(db: Database) -> None:
    """A visit of before a horse was sold keeps its owner; null is the one of now."""
    db.conn.execute("ALTER TABLE visits ADD COLUMN client_id TEXT REFERENCES clients(id)")
    db.conn.execute("PRAGMA user_version = 5")


@migrations()
def spellings(db: Database) -> None:
    """Two spellings of one horse, owner or barn are one, and can be parted again."""
    db.conn.execute("ALTER TABLE horses ADD COLUMN same_as TEXT REFERENCES horses(id)")
    db.conn.execute(
        """CREATE TABLE spellings (
            id INTEGER PRIMARY KEY,
            at TEXT NOT NULL,
            what TEXT NOT NULL CHECK (what IN ('horse', 'client', 'barn')),
            name TEXT NOT NULL,
            went TEXT NOT NULL,
            stays TEXT NOT NULL,
            before TEXT NOT NULL,
            after TEXT NOT NULL,
            parted_at TEXT
        )"""
    )
    db.conn.execute("PRAGMA user_version = 6")


def migrate(connection: Connection) -> None:
    """Bring the file to the newest schema, all or nothing, with a backup before a change.

    A fresh file needs no backup. The write lock is held throughout, so two windows that start
    together do not both migrate.
    """
    if not migrations.pending(connection.db):
        return
    filled = connection.one("SELECT count(*) AS n FROM sqlite_master WHERE name = 'entries'")
    if filled is not None and filled["n"]:
        back_up_before(connection.raw, connection.path)
    with connection.write():
        if migrations.pending(connection.db):
            migrations.apply(connection.db)


def back_up_before(source: sqlite3.Connection, path: Path) -> Path:
    """Copy the database beside itself before a migration; returns the copy's path."""
    version = source.execute("PRAGMA user_version").fetchone()[0]
    target = path.with_name(f"{path.name}.before-migration-{version}")
    copy = sqlite3.connect(target)
    with copy:
        source.backup(copy)
    copy.close()
    make_private(target)
    return target
