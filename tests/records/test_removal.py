"""A client's data goes on request; the chain stays whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldlog.app import filing
from fieldlog.errors import InputError, NotAllowed, SavedIsFixed
from fieldlog.records.store import Store
from fieldlog.sound import whence
from tests.records.notes import AT, heard, keep_sound, note


def practice(folder: Path) -> Store:
    """Two clients, a recording each, and one recording that both are in."""
    store = Store.open(folder / "f.db", author="Ada Quill")
    for name, horse in (("Nell Harrowgate", "Bramblewick"), ("Otto Fenn", "Juniper")):
        client = store.add_client(name, phone=f"555 {len(name)}{len(horse)}", address="Mill Lane")
        kept = store.add_horse(horse, client_id=client.id, barn=f"{horse} Barn", caution="kicks")
        recording = keep_sound(store, folder, horse.encode())
        entry = note(horse, f"spoke to {name.split()[1]}")
        store.store_transcript(recording, heard(entry.text))
        (draft,) = store.add_drafts(recording, [entry])
        store.delete_fact(draft.id, entry.facts[0].id)
        store.save_entry(draft.id)
        store.add_follow_up("call", f"ring {name}", horse_id=kept.id)
    store.save_search("hers", "horse:bramblewick")
    return store


def test_nothing_of_the_client_is_left_in_the_file(tmp_path: Path) -> None:
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None
    removed = store.forget_client(client.id, "asked for by letter")
    assert (removed.horses, removed.entries, len(removed.sounds)) == (1, 1, 1)
    assert removed.shared == ()
    assert not removed.sounds[0].exists()
    report = store.verify_chain()
    assert (report.ok, report.links, report.taken_out, report.missing_sounds) == (True, 2, 1, ())
    assert store.integrity() == []
    gone = next(h for h in store.horses() if h.name.startswith("Removed"))
    (stored,) = store.entries_of(gone.id)
    assert store.revisions(stored.id)[0].entry.text == "(taken out on request)"
    assert store.page(gone.id).last_facts == ()
    assert store.search("harrowgate") == []
    assert len(store.search("horse:juniper toe")) == 1
    assert len(store.search("horse:juniper recheck")) == 1
    store.close()
    content = b"".join(p.read_bytes() for p in tmp_path.iterdir() if p.is_file()).lower()
    for word in (b"harrowgate", b"bramblewick", b"555 1511"):
        assert word not in content
    assert b"juniper" in content


def test_nobody_is_sent_to_a_horse_that_was_forgotten(tmp_path: Path) -> None:
    """It stayed on the day sheet, in the calendar and among the names to be heard, for ever."""
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None
    (horse,) = store.horses(client.id)
    assert horse.id in {v.horse.id for v in store.visits_due()}
    assert store.visits_due(horse_id=horse.id)[0].due is not None
    store.forget_client(client.id, "asked for by letter")
    assert store.horse(horse.id).forgotten
    assert horse.id not in {v.horse.id for v in store.visits_due()}
    assert not [name for name in store.names_of_the_day() if "Removed" in name]
    assert [known.name for known in filing.horses(store)] == ["Juniper"]
    store.close()


def test_a_sound_that_windows_holds_is_named_and_all_else_is_taken_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An open file cannot be deleted there; the rest of the removal stopped with it."""
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None

    def held(path: Path, missing_ok: bool = False) -> None:
        raise PermissionError(13, "The process cannot access the file", str(path))

    with monkeypatch.context() as windows:
        windows.setattr(Path, "unlink", held)
        with pytest.raises(NotAllowed, match=r"holds sounds of them: .*\.wav\. Close what plays"):
            store.forget_client(client.id, "asked for by letter")
    store.close()
    content = b"".join(p.read_bytes() for p in tmp_path.glob("f.db*")).lower()
    assert b"harrowgate" not in content


def test_a_client_of_no_horse_goes_whole(tmp_path: Path) -> None:
    """A name that was typed wrongly stood among the clients as “Removed 5087d3” ever after."""
    store = practice(tmp_path)
    before = store.clients()
    slip = store.add_client("Nel Harowgate")
    assert store.forget_client(slip.id, "typed wrongly").horses == 0
    assert store.clients() == before
    assert store.integrity() == []
    store.close()


def test_what_was_taken_out_is_not_written_on(tmp_path: Path) -> None:
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None
    store.forget_client(client.id, "asked for by letter")
    gone = next(h for h in store.horses() if h.name.startswith("Removed"))
    (other,) = store.find_horses("Juniper")
    (stored,) = store.entries_of(gone.id)
    facts = store.entries_of(other.id)[0].entry.facts
    with pytest.raises(InputError, match="taken out on request"):
        store.revise_entry(stored.id, facts, "forgotten before")
    with pytest.raises(InputError, match="taken out on request"):
        store.give_to_horse(stored.id, other.id, "wrong horse")
    store.close()


def test_a_shared_recording_stays_and_is_named(tmp_path: Path) -> None:
    store = practice(tmp_path)
    recording = keep_sound(store, tmp_path, b"both")
    store.add_drafts(recording, [note("Bramblewick"), note("Juniper")])
    client = store.find_client("Otto Fenn")
    assert client is not None
    removed = store.forget_client(client.id, "asked for")
    assert [r.id for r in removed.shared] == [recording]
    assert len(store.drafts()) == 1
    assert store.recording(recording).path is not None
    store.close()


def test_words_gone_without_a_record_of_it_break_the_chain(tmp_path: Path) -> None:
    store = practice(tmp_path)
    with pytest.raises(SavedIsFixed, match="new revision"), store.write():
        store.run("UPDATE revisions SET body = '' WHERE link = 2")
    with pytest.raises(SavedIsFixed, match="kept for ever"), store.write():
        store.run("DELETE FROM transcripts")
    store.raw.execute("DROP TRIGGER revisions_no_update")
    store.raw.execute("UPDATE revisions SET body = '' WHERE link = 2")
    assert "without a recorded removal" in store.verify_chain().first_broken
    store.close()


def test_a_removal_needs_a_reason_and_is_all_or_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = practice(tmp_path)
    client = store.find_client("Otto Fenn")
    assert client is not None
    with pytest.raises(InputError, match="reason"):
        store.forget_client(client.id, " ")

    def fail(*_: object) -> None:
        raise OSError("power")

    monkeypatch.setattr(store, "_forget_recording", fail)
    with pytest.raises(OSError, match="power"):
        store.forget_client(client.id, "asked for")
    assert store.find_client("Otto Fenn") == client
    assert len(store.search("horse:juniper")) > 0
    assert [e.day for e in store.entries_of(store.horse_named("Juniper").id)] == [AT.date()]
    store.close()


def test_that_traces_are_left_is_told(tmp_path: Path) -> None:
    """Another window reads: the log cannot be emptied, and that was not said."""
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None
    store.raw.execute("PRAGMA busy_timeout = 50")
    with Store.open(tmp_path / "f.db") as other:
        other.raw.execute("BEGIN")
        assert other.clients()
        with pytest.raises(NotAllowed, match="traces of them are in it"):
            store.forget_client(client.id, "asked for by letter")
    assert store.find_client("Nell Harrowgate") is None
    assert store.verify_chain().ok
    store.close()


def test_what_a_sound_was_called_goes_with_it(tmp_path: Path) -> None:
    """A file's own name, noted beside it, may be the client's."""
    store = practice(tmp_path)
    client = store.find_client("Nell Harrowgate")
    assert client is not None
    for recording in store.recordings():
        assert recording.path is not None
        whence.note(
            recording.path, whence.Whence("Harrowgate.m4a", recording.started_at, "file name")
        )
    (gone,) = store.forget_client(client.id, "asked for by letter").sounds
    left = [r.path for r in store.recordings() if r.path is not None and r.path.exists()]
    assert whence.noted(gone) is None
    assert all(whence.noted(path) for path in left)
    store.close()
