"""Rolling backups: whole, each sound once, sealed if wished, restored and compared."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from fieldlog.errors import BadImport, DatabaseDamaged, InputError
from fieldlog.records import sealing
from fieldlog.records.backup import back_up, backups, examine, restore
from fieldlog.records.store import Store
from tests.records.notes import AT, heard, keep_sound, note
from tests.windows import windows_disk

PASS = "gravel oak lantern nine"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    home = tmp_path / "home"
    home.mkdir()
    with Store.open(home / "f.db", author="Ada Quill") as opened:
        opened.add_horse("Bramble")
        recording = keep_sound(opened, home, b"sound one")
        opened.store_transcript(recording, heard(note().text))
        (draft,) = opened.add_drafts(recording, [note()])
        opened.save_entry(draft.id)
        yield opened


def everything(store: Store) -> list[object]:
    tables = ("clients", "horses", "recordings", "transcripts", "entries", "revisions", "said")
    return [store.query(f"SELECT * FROM {t}") for t in tables]


def test_what_is_restored_is_what_was_there(store: Store, tmp_path: Path) -> None:
    far = tmp_path / "elsewhere.wav"
    far.write_bytes(b"a sound outside")
    store.add_recording(hashlib.sha256(far.read_bytes()).hexdigest(), far, 1.0, AT)
    settings = tmp_path / "fieldlog.toml"
    settings.write_text("tones = false\n", encoding="utf-8")
    made = back_up(store, tmp_path / "stick", AT, settings=[settings])
    assert examine(made).links == 1
    new = tmp_path / "new"
    restore(made, new / "f.db", settings=new / "conf")
    with Store.open(new / "f.db") as other:
        before, after = everything(store), everything(other)
        assert [x for i, x in enumerate(before) if i != 2] == [
            x for i, x in enumerate(after) if i != 2
        ]
        assert other.verify_chain().missing_sounds == ()
        for recording in other.recordings():
            assert recording.path is not None
            assert recording.path.parent == new / "sounds"
            assert recording.path.read_bytes() in (b"sound one", b"a sound outside")
    assert (new / "conf" / "fieldlog.toml").read_text(encoding="utf-8") == "tones = false\n"
    for folder in (tmp_path / "stick", new):
        files = [p for p in folder.rglob("*") if p.is_file()]
        assert all(p.stat().st_mode & 0o077 == 0 for p in files)
    with pytest.raises(InputError, match="There are records"):
        restore(made, new / "f.db")


def test_on_windows_it_is_written_and_restored_too(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Syncing a folder, or a file opened to be read, is refused there: no backup was made."""
    windows_disk(monkeypatch)
    for folder, passphrase in (("open", ""), ("sealed", PASS)):
        made = back_up(store, tmp_path / folder, AT, passphrase=passphrase)
        restore(made, tmp_path / f"new {folder}" / "f.db", passphrase=passphrase)
        with Store.open(tmp_path / f"new {folder}" / "f.db") as other:
            assert other.verify_chain().links == 1


def test_each_sound_is_stored_once_and_old_backups_go(store: Store, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    back_up(store, stick, AT, keep=2)
    first = next((stick / "sounds").iterdir())
    written = first.stat().st_mtime_ns
    for n in range(1, 4):
        keep_sound(store, store.path.parent, f"sound {n}".encode())
        back_up(store, stick, AT + timedelta(days=n), keep=2)
    assert [p.name[-15:-7] for p in backups(stick)] == ["20261127", "20261128"]
    assert first.stat().st_mtime_ns == written
    assert len(list((stick / "sounds").iterdir())) == 4
    # A sound that no remaining backup names goes with the last one that did.
    with store.write():
        store.run("UPDATE recordings SET path = '' WHERE sha256 = ?", [first.stem])
    for n in (4, 5):
        back_up(store, stick, AT + timedelta(days=n), keep=2)
    assert not first.exists()
    assert [len(examine(b).sounds) for b in backups(stick)] == [3, 3]


def test_a_sealed_folder_needs_the_passphrase_only_to_read(store: Store, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    back_up(store, stick, AT, passphrase=PASS)
    made = back_up(store, stick, AT + timedelta(days=1))
    assert {p.suffix for p in made.iterdir()} == {".age", ".json"}
    stored = b"".join(p.read_bytes() for p in stick.rglob("*") if p.is_file())
    assert b"Bramble" not in stored
    assert b"sound one" not in stored
    with pytest.raises(InputError, match="passphrase"):
        restore(made, tmp_path / "new" / "f.db", passphrase="wrong wrong wrong")
    restore(made, tmp_path / "new" / "f.db", passphrase=PASS)
    with Store.open(tmp_path / "new" / "f.db") as other:
        assert everything(other) == everything(store)
    open_folder = tmp_path / "open"
    back_up(store, open_folder, AT)
    with pytest.raises(InputError, match="not encrypted"):
        back_up(store, open_folder, AT + timedelta(days=1), passphrase=PASS)
    with pytest.raises(InputError, match="at least 8"):
        back_up(store, tmp_path / "third", AT, passphrase="short")


@pytest.mark.parametrize("way", ["database", "sound", "gone", "manifest", "names", "cut", "format"])
def test_damaged_backups_are_refused_before_anything_is_touched(
    store: Store, tmp_path: Path, way: str
) -> None:
    made = back_up(store, tmp_path / "stick", AT)
    sound = next((tmp_path / "stick" / "sounds").iterdir())
    manifest = made / "manifest.json"
    data = json.loads(manifest.read_text(encoding="utf-8"))
    if way == "database":
        content = bytearray((made / "fieldlog.db").read_bytes())
        content[5000] ^= 1
        (made / "fieldlog.db").write_bytes(content)
    elif way == "sound":
        sound.write_bytes(b"other")
    elif way == "gone":
        sound.unlink()
    elif way == "manifest":
        manifest.write_bytes(b"\xff\xfe")
    elif way == "cut":
        manifest.write_text(manifest.read_text(encoding="utf-8")[:40], encoding="utf-8")
    elif way == "names":
        manifest.write_text(json.dumps({**data, "files": {"../../x": "0"}}), encoding="utf-8")
    else:
        manifest.write_text(json.dumps({**data, "version": 99}), encoding="utf-8")
    with pytest.raises(BadImport):
        restore(made, tmp_path / "new" / "f.db")
    assert not (tmp_path / "new").exists()


def test_damaged_records_are_not_backed_up_over_good_ones(store: Store, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    back_up(store, stick, AT, keep=1)
    store.raw.execute("DROP TRIGGER revisions_no_update")
    store.raw.execute("UPDATE revisions SET reason = 'x'")
    with pytest.raises(DatabaseDamaged, match="Older backups"):
        back_up(store, stick, AT + timedelta(days=1), keep=1)
    assert len(backups(stick)) == 1
    assert [p.name for p in stick.iterdir() if p.name.startswith(".")] == []


def test_a_full_stick_leaves_the_old_backups(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = tmp_path / "stick"
    back_up(store, stick, AT, keep=1)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    keep_sound(store, store.path.parent, b"new")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        back_up(store, stick, AT + timedelta(days=1), keep=1)
    monkeypatch.undo()
    assert [p.name[:17] for p in stick.iterdir() if "part" in p.name] == []
    assert len(backups(stick)) == 1
    back_up(store, stick, AT + timedelta(days=1), keep=1)
    assert len(examine(backups(stick)[0]).sounds) == 2
    with pytest.raises(InputError, match="stick plugged in"):
        back_up(store, tmp_path / "no" / "stick", AT)


def test_a_damaged_old_backup_stops_no_new_one(store: Store, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    old = back_up(store, stick, AT)
    (sound,) = (stick / "sounds").iterdir()
    sound.write_bytes(b"the stick forgot")
    (old / "manifest.json").write_text("{", encoding="utf-8")
    new = back_up(store, stick, AT + timedelta(days=1), keep=1)
    assert sound.read_bytes() == b"sound one"
    assert examine(new).missing == ()
    assert not old.exists()


def test_sealed_files_are_age_files(tmp_path: Path) -> None:
    """The version line and the scrypt stanza of the age format (C2SP age.md)."""
    sealed = sealing.seal(b"private", PASS)
    lines = sealed.split(b"\n")
    assert lines[0] == b"age-encryption.org/v1"
    assert lines[1].startswith(b"-> scrypt ")
    assert sealing.unseal(sealed, PASS) == b"private"
    for bad in (sealed[:-1], sealed[:40], b"", b"age-encryption.org/v1\n"):
        with pytest.raises(InputError):
            sealing.unseal(bad, PASS)


def test_keys_are_those_of_the_specification() -> None:
    """The worked X25519 identity and its recipient in C2SP age.md."""
    pyrage = pytest.importorskip("pyrage")
    identity = "AGE-SECRET-KEY-1GFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPYYSJZGFPQ4EGAEX"
    assert str(pyrage.x25519.Identity.from_str(identity).to_public()) == (
        "age1zvkyg2lqzraa2lnjvqej32nkuu0ues2s82hzrye869xeexvn73equnujwj"
    )
