"""Kills the store at random moments: ``python -m tests.records.kill_campaign --count 300``.

Each round starts a real process that imports, saves, migrates or backs up, prints a line after each
step that the store has acknowledged, and is ended by SIGKILL after a seeded random time. Then, from
outside: SQLite's own check finds nothing, the chain verifies, everything acknowledged is there, no
entry is half saved, and the work can be taken up again. Prints the count.
"""

from __future__ import annotations

import gzip
import hashlib
import random
import sys
from pathlib import Path

from fieldlog.records.backup import back_up, backups, examine, restore
from fieldlog.records.schema import NEWEST
from fieldlog.records.store import Store
from tests.killing import Round, killed_after, run
from tests.records.notes import AT

OLD = Path(__file__).parent / "data" / "schema_1.db.gz"

IMPORT = """
import sys
from pathlib import Path
from fieldlog.records.store import Store
from tests.records.notes import heard, keep_sound, note
folder = Path(sys.argv[1])
with Store.open(folder / "f.db") as store:
    print("ready", flush=True)
    for n in range(10_000):
        entry = note(f"Horse{n}")
        with store.write():
            recording = keep_sound(store, folder, f"sound {n}".encode())
            store.store_transcript(recording, heard(entry.text))
            (draft,) = store.add_drafts(recording, [entry])
        print("kept", recording, draft.id, flush=True)
"""

SAVE = """
import sys
from dataclasses import replace
from pathlib import Path
from fieldlog.records.store import Store
from tests.records.notes import AT, note
with Store.open(Path(sys.argv[1]) / "f.db", author="Ada Quill") as store:
    store.add_horse("Bramble")
    print("ready", flush=True)
    for n in range(10_000):
        drafts = store.add_drafts(None, [note(), note()], at=AT)
        for draft in drafts:
            fact = draft.entry.facts[0]
            store.change_fact(draft.id, replace(fact, uncertain=True))
            print("changed", draft.id, flush=True)
        for done in store.save_all([d.id for d in drafts]):
            print("saved", done.id, 1, flush=True)
        store.revise_entry(drafts[0].id, drafts[0].entry.facts[:2], "measured again")
        print("saved", drafts[0].id, 2, flush=True)
"""

MIGRATE = """
import sys
from pathlib import Path
from fieldlog.records.store import Store
print("ready", flush=True)
with Store.open(Path(sys.argv[1]) / "f.db") as store:
    print("migrated", flush=True)
"""

BACK_UP = """
import sys
from datetime import timedelta
from pathlib import Path
from fieldlog.records.backup import back_up
from fieldlog.records.store import Store
from tests.records.notes import AT
folder = Path(sys.argv[1])
with Store.open(folder / "f.db") as store:
    print("ready", flush=True)
    for n in range(10_000):
        made = back_up(store, folder / "stick", AT + timedelta(minutes=n), keep=3)
        print("backup", made.name, flush=True)
"""


class Broken(Exception):
    """A promise that did not hold."""


def opened(folder: Path) -> Store:
    """The store after the kill, checked."""
    store = Store.open(folder / "f.db", author="Ada Quill")
    wrong = store.integrity()
    chain = store.verify_chain()
    if wrong or not chain.ok or chain.missing_sounds:
        raise Broken(f"{wrong} {chain.first_broken} {chain.missing_sounds}")
    return store


def import_round(folder: Path, chance: random.Random) -> None:
    """Every acknowledged recording has its sound, its words and its draft; no half ones."""
    lines = killed_after(IMPORT, [str(folder)], chance.uniform(0.0, 0.4))
    with opened(folder) as store:
        drafts = {d.id for d in store.drafts()}
        for _, recording, draft in (x.split() for x in lines if x.startswith("kept ")):
            path = store.recording(recording).path
            if path is None or hashlib.sha256(path.read_bytes()).hexdigest() != path.stem:
                raise Broken(f"the sound of {recording} is not what was kept")
            if draft not in drafts:
                raise Broken(f"the draft {draft} is gone")
        if store.unread_recordings() or len(drafts) != len(store.recordings()):
            raise Broken("a recording is half imported")
    if not killed_after(IMPORT, [str(folder)], 0.1):
        raise Broken("the import cannot be taken up again")


def save_round(folder: Path, chance: random.Random) -> None:
    """Every acknowledged correction and revision is there, whole."""
    lines = killed_after(SAVE, [str(folder)], chance.uniform(0.0, 0.5))
    with opened(folder) as store:
        for line in map(str.split, lines):
            if line[0] == "changed" and len(store.corrections(line[1])) != 1:
                raise Broken(f"the correction of {line[1]} is gone")
            if line[0] == "saved" and len(store.revisions(line[1])) < int(line[2]):
                raise Broken(f"revision {line[2]} of {line[1]} is gone")
        saved = store.query("SELECT id, revision FROM entries WHERE state = 'saved'")
        for row in saved:
            indexed = store.query("SELECT 1 FROM saved_facts WHERE entry_id = ?", [row["id"]])
            promised = store.query("SELECT 1 FROM follow_ups WHERE entry_id = ?", [row["id"]])
            if len(indexed) != (3 if row["revision"] == 1 else 2) or len(promised) != 1:
                raise Broken(f"{row['id']} is half saved")
        if len(saved) % 2:
            raise Broken("two entries were saved in one step, one is there")
        for draft in store.drafts():
            if draft.horse is not None:
                store.save_entry(draft.id)
        if not store.verify_chain().ok:
            raise Broken("the chain does not go on")


def migrate_round(folder: Path, chance: random.Random) -> None:
    """The old schema or the new one, never between; the second start finishes it."""
    (folder / "f.db").write_bytes(gzip.decompress(OLD.read_bytes()))
    killed_after(MIGRATE, [str(folder)], chance.uniform(0.0, 0.04))
    with opened(folder) as store:
        if store.one("PRAGMA user_version") != {"user_version": NEWEST}:
            raise Broken("the schema was not brought forward")
        if store.verify_chain().links != 2 or len(store.drafts()) != 2:
            raise Broken("something was lost on the way")


def backup_round(folder: Path, chance: random.Random) -> None:
    """Every backup that is listed is whole, an acknowledged one is listed, the next one works."""
    killed_after(SAVE, [str(folder)], 0.05)
    with Store.open(folder / "f.db") as store:
        from tests.records.notes import keep_sound

        for n in range(3):
            keep_sound(store, folder, bytes([n]) * 50_000)
    lines = killed_after(BACK_UP, [str(folder)], chance.uniform(0.0, 0.5))
    stick = folder / "stick"
    names = [x.split()[1] for x in lines if x.startswith("backup ")]
    if names and not (stick / names[-1]).exists():
        raise Broken(f"the backup {names[-1]} is gone")
    for path in backups(stick):
        examine(path)
    with opened(folder) as store:
        made = back_up(store, stick, AT.replace(year=2030), keep=3)
        restore(made, folder / "new" / "f.db")
        with opened(folder / "new") as other:
            if other.chain() != store.chain() or len(other.recordings()) != 3:
                raise Broken("what was restored differs")


ROUNDS: dict[str, Round] = {
    "import": import_round,
    "save": save_round,
    "migrate": migrate_round,
    "back up": backup_round,
}


if __name__ == "__main__":
    sys.exit(run(ROUNDS, __doc__, 300, "everything acknowledged was there, every chain verified"))
