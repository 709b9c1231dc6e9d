"""Sound in by the command line: real files, damaged files, no microphone."""

from __future__ import annotations

import json
import os
import time
import wave
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldlog.cli import sound_commands
from fieldlog.core.facts import Entry
from fieldlog.core.words import Transcript, Word
from fieldlog.intake import Taken
from fieldlog.records.store import Store
from fieldlog.sound.writer import RecordingWriter
from tests.cli.conftest import DATA, Run

AUDIO = DATA.parent / "demo_audio"


def wav(path: Path, seconds: float = 1.0) -> Path:
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(16_000)
        sound.writeframes(bytes(int(32_000 * seconds)))
    return path


def test_kept_without_reading_and_known_the_second_time(run: Run, home: Path) -> None:
    name = "n05-20261125-094700.mp3"
    first = run("import", "--no-reading", str(AUDIO / name))
    assert first.exit_code == 0
    assert "kept, not read yet" in first.output
    again = json.loads(run("import", "--no-reading", "--json", str(AUDIO / name)).stdout)
    assert again[0]["known_before"] is True
    with Store.open(home / "fieldlog.db") as store:
        (kept,) = store.unread_recordings()
        assert f"{kept.started_at:%Y-%m-%d %H:%M}" == "2026-11-25 09:47"
        assert kept.path is not None
        assert kept.path.exists()


def test_bad_files_are_named_and_the_others_go_on(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "recorder"
    folder.mkdir()
    (folder / "empty.wav").touch()
    (folder / "letter.wav").write_text("this is not sound " * 100, encoding="utf-8")
    wav(folder / "good.wav")
    result = run("import", "--no-reading", str(folder))
    assert result.exit_code == 1
    assert "good.wav: kept" in result.output
    assert "empty.wav: " in result.output
    assert "letter.wav: " in result.output
    assert "Traceback" not in result.output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "Say what to import"),
        (("no-such-folder",), "no-such-folder"),
    ],
)
def test_nothing_to_import_is_a_sentence(run: Run, arguments: tuple[str, ...], words: str) -> None:
    result = run("import", *arguments)
    assert result.exit_code in (1, 2)
    assert words in result.output + result.stderr


def test_an_empty_folder_says_so(run: Run, tmp_path: Path) -> None:
    (tmp_path / "nothing").mkdir()
    result = run("import", str(tmp_path / "nothing"))
    assert result.exit_code == 2
    assert "no sound file there" in result.stderr


def test_a_missing_model_keeps_the_sound(run: Run, home: Path, tmp_path: Path) -> None:
    sound = wav(tmp_path / "note.wav")
    result = run("import", "--model", str(tmp_path / "no-model"), str(sound))
    assert result.exit_code == 1
    assert "no-model is not there" in result.stderr
    with Store.open(home / "fieldlog.db") as store:
        assert len(store.unread_recordings()) == 1


def test_a_cut_off_recording_is_rescued(run: Run, home: Path) -> None:
    from fieldlog.paths import places

    writer = RecordingWriter(places(home).make())
    writer.write(bytes(32_000 * 3))
    # As after a kill: the lock goes with the process, the file stays without its lasting name.
    writer.close()
    result = run("import", "--unfinished", "--no-reading")
    assert result.exit_code == 0, result.output
    assert "Rescued 3 s" in result.output
    assert "no cut-off recording to rescue" in run("import", "--unfinished").output


def test_one_cut_off_before_any_sound_keeps_no_other_from_being_rescued(
    run: Run, home: Path
) -> None:
    """A kill between the file and its first sample left a file that stopped each later rescue."""
    from fieldlog.paths import places

    here = places(home).make()
    early = datetime(2026, 11, 25, 8, tzinfo=UTC)
    silent = RecordingWriter(here, early)
    silent.close()
    minutes_ago = time.time() - 120
    os.utime(silent.path, (minutes_ago, minutes_ago))
    just_begun = RecordingWriter(here, early)
    just_begun.close()
    full = RecordingWriter(here, early + timedelta(hours=1))
    full.write(bytes(32_000 * 3))
    full.close()
    result = run("import", "--unfinished", "--no-reading")
    assert result.exit_code == 0, result.stderr
    assert "Rescued 3 s" in result.output
    assert result.stderr.count("was cut off before any sound came.") == 2
    assert not silent.path.exists()
    assert just_begun.path.exists()  # it may be one that another window is beginning now
    with Store.open(home / "fieldlog.db") as store:
        assert len(store.unread_recordings()) == 1


def test_a_copy_that_broke_off_says_so(run: Run, tmp_path: Path) -> None:
    """A recorder pulled out too early: the head of the file promises more than it holds."""
    whole = wav(tmp_path / "whole.wav", 20.0)
    broken = tmp_path / "broken.wav"
    broken.write_bytes(whole.read_bytes()[: 44 + 32_000 * 3])
    done = run("import", "--no-reading", str(broken))
    assert done.exit_code == 0
    assert "Not whole: it breaks off after 3.0 of 20.0 s." in done.output
    assert "Not whole" not in run("import", "--no-reading", str(whole)).output


def test_read_without_anything_waiting(run: Run) -> None:
    assert "Every recording has been read" in run("read").output
    assert json.loads(run("read", "--json").stdout) == []


def test_read_names_a_sound_that_is_gone(run: Run, home: Path, tmp_path: Path) -> None:
    run("import", "--no-reading", str(wav(tmp_path / "note.wav")))
    for kept in (home / "sounds").glob("*.wav"):
        kept.unlink()
    result = run("read")
    assert result.exit_code == 1
    assert "is gone" in result.output


@pytest.mark.skipif(os.path.isdir("/proc/asound/card0"), reason="this machine has a sound card")
def test_no_microphone_is_a_sentence(run: Run) -> None:
    result = run("record", "--no-reading")
    assert result.exit_code == 1
    # Which of the two it is depends on whether the machine has PortAudio at all.
    assert "icrophone" in result.stderr or "PortAudio library" in result.stderr
    assert "Traceback" not in result.output


def test_a_recording_becomes_drafts(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """The whole of “record” with the package's own fake microphone and reader."""
    from fieldlog.sound import capture, portaudio
    from fieldlog.sound.capture import FakeMicrophone
    from fieldlog.speech import opening
    from fieldlog.speech.fake import FakeRecogniser

    spoken = ["juniper", "thrush", "on", "the", "left", "hind", "mild"]
    said = [Word(w, 0.2 * n, 0.2 * n + 0.2) for n, w in enumerate(spoken)]
    device = FakeMicrophone(bytes(32_000 * 2))
    noise = b"ALSA lib pcm.c: noise of a C library\n"
    monkeypatch.setattr(portaudio, "choose", lambda *_: os.write(2, noise))
    monkeypatch.setattr(capture, "SystemMicrophone", lambda *_: device)
    monkeypatch.setattr(opening, "open_recogniser", lambda *_: FakeRecogniser(said))
    result = run("record", "--no-tones")
    assert result.exit_code == 0, result.output + result.stderr
    assert "1 draft to look at" in result.output
    assert "thrush" in run("drafts").output
    assert "ALSA" not in capfd.readouterr().err
    assert (home / "cache" / "native.log").read_bytes() == noise


def test_a_mistake_in_the_settings_keeps_nobody_from_recording(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.sound import capture, portaudio
    from fieldlog.sound.capture import FakeMicrophone

    monkeypatch.setattr(portaudio, "choose", lambda *_: None)
    monkeypatch.setattr(capture, "SystemMicrophone", lambda *_: FakeMicrophone(bytes(32_000)))
    (home / "fieldlog.toml").write_text("tones = maybe", encoding="utf-8")
    done = run("record", "--no-reading", "--no-tones")
    assert done.exit_code == 0, done.output + done.stderr
    assert "fieldlog.toml cannot be read" in done.stderr
    assert "Recording goes on with the defaults." in done.stderr
    assert "Only silence came from the microphone" in done.stderr
    with Store.open(home / "fieldlog.db") as store:
        assert len(store.unread_recordings()) == 1


def test_a_clock_that_is_behind_is_said_and_stops_nothing(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from fieldlog.records import sounds

    quiet = run("import", "--no-reading", str(wav(tmp_path / "one.wav")))
    assert "clock" not in quiet.stderr
    monkeypatch.setattr(sounds, "utc_now", lambda: "2099-01-01T00:00:00+00:00")
    with Store.open(home / "fieldlog.db") as store:
        (one,) = store.unread_recordings()
        store.store_transcript(one.id, Transcript((), reader="vosk/test"))
    result = run("import", "--no-reading", "--json", str(wav(tmp_path / "two.wav", 2.0)))
    assert result.exit_code == 0
    assert "behind your newest record" in result.stderr
    assert len(json.loads(result.stdout)) == 1


def test_silence_makes_no_draft(home: Path, tmp_path: Path) -> None:
    from fieldlog.config import Settings
    from fieldlog.intake import keep_sound, keep_words
    from fieldlog.paths import places
    from fieldlog.sound.importing import import_sound

    with Store.open(home / "fieldlog.db") as store:
        kept = keep_sound(store, import_sound(wav(tmp_path / "quiet.wav"), places(home)))
        nothing = Transcript((), reader="vosk/test")
        assert keep_words(store, kept, nothing, places(home), Settings()) == ()
        assert store.unread_recordings() == []


def test_what_was_taught_applies_to_a_recognised_note(home: Path, tmp_path: Path) -> None:
    from fieldlog.config import Settings
    from fieldlog.core.words import Word
    from fieldlog.errors import ConfigError
    from fieldlog.intake import keep_sound, keep_words
    from fieldlog.language.personal import PersonalRules, save_personal
    from fieldlog.paths import places
    from fieldlog.sound.importing import import_sound

    said = "left front thresh in the frog toe length eighty"
    heard = Transcript(
        tuple(Word(text, i / 4, i / 4 + 0.2, 0.9) for i, text in enumerate(said.split())),
        reader="vosk/test",
    )
    here = places(home)
    rules = PersonalRules().with_word("thresh", "thrush").with_length_unit("mm")
    save_personal(rules, here.personal_rules)
    with Store.open(home / "fieldlog.db") as store:
        kept = keep_sound(store, import_sound(wav(tmp_path / "note.wav"), here))
        (draft,) = keep_words(store, kept, heard, here, Settings())
        facts = {f.code: f for f in draft.entry.facts}
        length = facts["toe_length"].quantity
        assert length is not None
        assert length.unit.value == "mm"
        at = facts["thrush"].span
        changed, first = store.transcripts(kept.id)
        assert changed.text == draft.entry.text
        assert "thrush" in changed.text[at[0] : at[1]]
        assert first.text == heard.text  # what was heard first stays readable
        assert [w.heard for w in changed.words if w.changed_by] == ["thresh"]
        here.personal_rules.write_text("[[word]]\nheard = 1", encoding="utf-8")
        again = keep_sound(store, import_sound(wav(tmp_path / "second.wav", 0.7), here))
        with pytest.raises(ConfigError):
            keep_words(store, again, heard, here, Settings())
        assert again.id in {r.id for r in store.unread_recordings()}  # read later, not lost


def test_the_progress_bar_is_quiet_for_scripts() -> None:
    with sound_commands.progress_bar(quiet=True) as progress:
        assert progress is None


@pytest.mark.parametrize(
    ("text", "horse"),
    [
        ("trimmed all four on rosie", "Rosie"),
        ("late note juniper bring boots", "Juniper"),
        ("nothing named here", None),
        ("rosie stood beside juniper", None),
        ("rosier than ever", None),
    ],
)
def test_a_note_that_can_only_mean_one_horse_is_about_it(text: str, horse: str | None) -> None:
    from fieldlog.core.facts import Entry
    from fieldlog.intake import with_horse

    entry = with_horse(Entry((), text, (0, len(text))), ["Juniper", "Rosie"])
    assert (entry.horse.name if entry.horse else None) == horse
    if entry.horse is not None:
        start, end = entry.horse.span
        assert text[start:end].lower() == entry.horse.name.lower()


def test_a_machine_without_microphone_says_so(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fieldlog.sound.capture.microphones", list)
    said = run("record", "--list").output
    assert "No microphone was found" in said
    assert "fieldlog import" in said


def test_the_time_that_is_left_does_not_count_the_loading(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    import click

    from fieldlog.cli.sound_commands import start_clock

    clock = [1000.0]
    monkeypatch.setattr(time, "time", lambda: clock[0])
    with click.progressbar(length=1000) as bar:
        clock[0] += 30  # the model is loaded
        bar.update(0)
        start_clock(bar)
        clock[0] += 3
        bar.update(100)
        assert bar.eta == pytest.approx(27)


@pytest.mark.parametrize(
    ("origin", "ago", "told"),
    [("file date", 0.1, True), ("file date", 9.0, False), ("metadata", 0.1, False)],
)
def test_a_file_that_is_dated_by_its_copying_is_told(
    home: Path, capsys: pytest.CaptureFixture[str], origin: str, ago: float, told: bool
) -> None:
    begun = datetime.now().astimezone() - timedelta(hours=ago)
    entry = Entry((), "trimmed all four", (0, 16))
    with Store.open(home / "fieldlog.db") as store:
        recording = store.add_recording("ab" * 32, None, 30.0, begun, origin, "memo.m4a")
        drafts = tuple(store.add_drafts(recording.id, [entry]))
    sound_commands.report(
        [Taken("memo.m4a", recording, Transcript.typed(entry.text), drafts)], as_json=False
    )
    said = " ".join(capsys.readouterr().out.split())
    assert (f"fieldlog drafts {drafts[0].id[:8]} --of-day DAY" in said) == told


@pytest.mark.parametrize(("copied_after", "told"), [(60, True), (3 * 3600, False)])
def test_a_later_reading_tells_of_the_copied_date_too(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch, copied_after: int, told: bool
) -> None:
    """Three days after “import --no-reading”, which has no draft yet to tell of."""
    from fieldlog.paths import places

    begun = datetime.now().astimezone() - timedelta(days=3)
    taken_in = begun.timestamp() + 30 + copied_after
    kept = wav(places(home).make().sounds / "memo.wav")
    os.utime(kept, (taken_in, taken_in))
    with Store.open(home / "fieldlog.db") as store:
        store.add_recording("ab" * 32, kept, 30.0, begun, "file date", "memo.m4a")
    monkeypatch.setattr("fieldlog.speech.opening.open_recogniser", lambda *_: None)
    monkeypatch.setattr(
        "fieldlog.speech.recogniser.transcribe", lambda *_: Transcript.typed("thrush left hind")
    )
    said = " ".join(run("read").output.split())
    assert "memo.m4a: whose?" in said
    assert (f"the file itself says {begun.date()}" in said) == told


@pytest.mark.parametrize("way", ["zip", "stick", "sounds only"])
def test_the_copied_date_is_told_after_a_restore_too(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    """The kept file gets the day of the restore, which says nothing of when it was taken in."""
    memo, new, stick = wav(tmp_path / "memo.wav"), tmp_path / "new", tmp_path / "stick"
    assert run("import", "--no-reading", str(memo)).exit_code == 0
    if way == "stick":
        run("data", "roll", str(stick), "--make-folder")
        (made,) = stick.glob("fieldlog-*")
        assert run("data", "unroll", str(made), at=new).exit_code == 0
    else:
        run("data", "backup", str(tmp_path / "all.zip"))
        assert run("data", "restore", str(tmp_path / "all.zip"), at=new).exit_code == 0
    (kept,) = (new / "sounds").glob("*.wav")
    later = time.time() + 3 * 86400
    os.utime(kept, (later, later))
    monkeypatch.setattr("fieldlog.speech.opening.open_recogniser", lambda *_: None)
    monkeypatch.setattr(
        "fieldlog.speech.recogniser.transcribe", lambda *_: Transcript.typed("thrush left hind")
    )
    if way == "sounds only":
        (new / "fieldlog.db").unlink()
        os.utime(kept, (later - 9 * 86400, later - 9 * 86400))
        result = run("import", str(new / "sounds"), at=new)
    else:
        result = run("read", at=new)
    said = " ".join(result.output.split())
    assert "whose?" in said
    assert "perhaps because it was copied then" in said


def test_a_recorders_own_file_is_not_said_to_be_a_copy(run: Run, home: Path) -> None:
    old = wav(home.parent / "memo.wav")
    then = time.time() - 9 * 3600
    os.utime(old, (then, then))
    assert run("import", "--no-reading", str(old)).exit_code == 0
    with Store.open(home / "fieldlog.db") as store:
        assert [r.started_at_from for r in store.unread_recordings()] == ["file date"]


def test_a_folder_of_a_phone_names_what_is_new(run: Run, tmp_path: Path) -> None:
    """Every evening the same folder: what it had before is one line, so that the rest is seen."""
    folder = tmp_path / "phone"
    folder.mkdir()
    for n in range(7):
        wav(folder / f"memo{n}.wav", 1 + n / 10)
    assert run("import", "--no-reading", str(folder)).output.count("kept, not read yet") == 7
    wav(folder / "new.wav", 3)
    again = run("import", "--no-reading", str(folder)).output
    assert "7 sounds are known already, left as they are.\n" in again
    assert "memo3.wav" not in again
    assert "new.wav: kept, not read yet" in again


def test_the_sounds_folder_is_taken_in_without_reading_what_is_known(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a restore: each sound was copied and decoded again to find that it is known."""
    from fieldlog.sound import importing

    assert run("import", "--no-reading", str(wav(tmp_path / "one.wav"))).exit_code == 0
    with Store.open(home / "fieldlog.db") as store:
        (one,) = store.unread_recordings()
        store.store_transcript(one.id, Transcript((), reader="vosk/test"))
    looked: list[Path] = []
    whole = importing.import_sound

    def looking(path: Path, *more: object) -> importing.ImportedSound:
        looked.append(path)
        return whole(path, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(importing, "import_sound", looking)
    (kept,) = (home / "sounds").glob("*.wav")
    new = kept.with_name(f"{'cd' * 32}.wav")
    wav(new, 2.0)
    again = run("import", "--no-reading", str(home / "sounds")).output
    assert f"{kept.name}: known already" in again
    assert looked == [new]
    # It was not what its name said, and is known by its right one: nobody is asked again.
    assert "do not know" not in run("read").stderr
