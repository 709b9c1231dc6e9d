"""A byte-level fuzzer for imports: ``python -m tests.papers.fuzz_imports --count 5000``.

Takes true exports (JSON, CSV) and a true backup archive, spoils bytes, lines and JSON values, and
reads the result. Allowed are success and our own errors; nothing else, and never a half-filled
database. Seeded; every input can be made again from its number.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fieldlog.errors import FieldlogError
from fieldlog.papers.backup import back_up, examine
from fieldlog.papers.exchange import bring_in, read_export, to_csv, to_json
from fieldlog.paths import places
from fieldlog.records.store import Store
from tests.records.notes import AT, heard, note

WORDS = (b"", b"\x00", b"\xff\xfe", b'"', b",", b"\r\n", b"{", b"]", b"null", b"-1", b"1e999",
         b"=1+1", b"../../etc", "🐴".encode(), b"9" * 400, b"[" * 3000)  # fmt: skip
VALUES: tuple[Any, ...] = (
    None,
    True,
    -1,
    1e300,
    "",
    "x" * 5000,
    [],
    {},
    [[1]],
    "../../x",
    "\ud800",
)


def true_files(folder: Path) -> tuple[bytes, dict[str, str], bytes]:
    """A JSON export, its CSV twins and a backup of one small store."""
    here = places(folder / "home").make()
    with Store.open(here.database) as store:
        client = store.add_client("Ada Quill")
        horse = store.add_horse("Bramble", client_id=client.id)
        recording = store.add_recording("c" * 64, None, 1.5, AT, "clock", "n.wav").id
        store.store_transcript(recording, heard("left front"))
        draft = store.add_drafts(recording, [note()])[0]
        store.assign_horse(draft.id, horse.id)
        store.save_entry(draft.id)
        target = folder / "all.zip"
        back_up(store, here, target, datetime(2026, 11, 25, tzinfo=UTC))
        return to_json(store).encode(), to_csv(store), target.read_bytes()


def spoilt_bytes(original: bytes, chance: random.Random) -> bytes:
    """Some bytes changed, cut, doubled or put in."""
    data = bytearray(original)
    for _ in range(chance.choice((1, 1, 2, 5, 30))):
        at = chance.randrange(len(data) + 1)
        kind = chance.randrange(4)
        if kind == 0 and at < len(data):
            data[at] = chance.randrange(256)
        elif kind == 1:
            del data[at : at + chance.choice((1, 4, 100))]
        elif kind == 2:
            data[at:at] = chance.choice(WORDS)
        else:
            data[at:at] = data[at : at + chance.choice((8, 200))]
    return bytes(data[: chance.randrange(len(data) + 1)] if chance.random() < 0.1 else data)


def spoilt_json(original: bytes, chance: random.Random) -> bytes:
    """Valid JSON with a value of the wrong kind somewhere."""
    data = json.loads(original)
    spot: Any = data
    while isinstance(spot, (dict, list)) and spot:
        keys = list(spot) if isinstance(spot, dict) else list(range(len(spot)))
        key = chance.choice(keys)
        inner = spot[key]
        if not isinstance(inner, (dict, list)) or not inner or chance.random() < 0.2:
            if chance.random() < 0.2 and isinstance(spot, dict):
                del spot[key]
            else:
                spot[key] = chance.choice(VALUES)
            break
        spot = inner
    return json.dumps(data).encode()


def one(number: int, seed: int, true: tuple[bytes, dict[str, str], bytes], folder: Path) -> str:
    """Read one spoilt input; returns ``read`` or the name of our error.

    Raises:
        Exception: anything that is not one of our errors: a finding.
    """
    chance = random.Random(f"{seed}:{number}")
    as_json, tables, archive = true
    kind = chance.randrange(4)
    path = folder / "in.json"
    if kind == 0:
        path.write_bytes(spoilt_bytes(as_json, chance))
    elif kind == 1:
        path.write_bytes(spoilt_json(as_json, chance))
    elif kind == 2:
        path = folder / "csv"
        shutil.rmtree(path, ignore_errors=True)
        path.mkdir()
        victim = chance.choice(sorted(tables))
        for table, text in tables.items():
            data = text.encode()
            (path / f"{table}.csv").write_bytes(
                spoilt_bytes(data, chance) if table == victim else data
            )
    else:
        path = folder / "in.zip"
        path.write_bytes(spoilt_bytes(archive, chance))
    database = folder / "in.db"
    for old in folder.glob("in.db*"):
        old.unlink()
    try:
        if kind == 3:
            examine(path)
        else:
            with Store.open(database) as store:
                try:
                    bring_in(store, read_export(path, store))
                except FieldlogError:
                    left = store.one("SELECT count(*) AS n FROM horses")
                    if left is None or left["n"]:
                        raise AssertionError("a refused import left rows behind") from None
                    raise
    except FieldlogError as told:
        return type(told).__name__
    return "read"


def campaign(count: int, seed: int) -> dict[str, int]:
    """Outcomes of ``count`` inputs."""
    outcomes: collections.Counter[str] = collections.Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        true = true_files(folder)
        for number in range(count):
            try:
                outcomes[one(number, seed, true, folder)] += 1
            except Exception as problem:
                raise AssertionError(f"input {number} of seed {seed}: {problem!r}") from problem
    return dict(outcomes)


if __name__ == "__main__":
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=5000)
    ask.add_argument("--seed", type=int, default=20261125)
    args = ask.parse_args()
    print(campaign(args.count, args.seed))
