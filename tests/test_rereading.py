"""Two fake readers that differ, a real database, the real understanding."""

from __future__ import annotations

import hashlib
import wave
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript
from fieldlog.errors import InputError, SavedIsFixed, SpeechError, UnreadableSound
from fieldlog.intake import keep_words
from fieldlog.paths import Places, places
from fieldlog.records.store import Store
from fieldlog.records.types import Recording, StoredEntry
from fieldlog.rereading import (
    ReadAgain,
    read_again,
    reading_of,
    sound_alike,
    stakes,
    take_other,
    waiting,
    with_disputes,
)
from fieldlog.speech.fake import FakeRecogniser, FakeSecond

PRESS = (
    "copper stood well right hind has a crack at the toe left hind press in the frog "
    "recheck in six weeks"
)
THRUSH = PRESS.replace("press", "thrush")


@pytest.fixture
def home(tmp_path: Path) -> Places:
    return places(tmp_path / "home").make()


@pytest.fixture
def store(home: Places) -> Iterator[Store]:
    with Store.open(home.database) as opened:
        opened.add_horse("Copper")
        opened.add_horse("Bramble")
        yield opened


def note(store: Store, home: Places, text: str, name: str = "note", hour: int = 9) -> Recording:
    """A real sound file that the first fake reader has read, kept with its drafts."""
    path = home.sounds / f"{name}.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16000)
        out.writeframes(name.encode().ljust(2, b"\0")[:2] * 16000)
    recording = store.add_recording(
        hashlib.sha256(path.read_bytes()).hexdigest(),
        path,
        1.0,
        datetime(2026, 11, 25, hour, tzinfo=UTC),
        original_name=path.name,
    )
    keep_words(store, recording, FakeRecogniser.saying(text).finish(), home, Settings())
    return recording


def again(store: Store, home: Places, recording: Recording, text: str | None) -> ReadAgain:
    return read_again(store, recording, FakeSecond({}, text), home, Settings())


def draft(store: Store, recording: Recording) -> StoredEntry:
    (one,) = store.entries_from(recording.id)
    return with_disputes(store, one)


def codes(entry: StoredEntry) -> list[str]:
    return [f.code for f in entry.entry.facts]


def asked(entry: StoredEntry) -> dict[str, str]:
    """Reason by code of each fact that two readers differ in."""
    return {
        f.code: d.reason for f in entry.entry.facts for d in f.doubts if d.code == "readers_differ"
    }


def test_the_first_words_and_the_draft_stay(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    (before,) = store.entries_from(kept.id)
    done = again(store, home, kept, THRUSH)
    assert store.entries_from(kept.id) == [before]
    assert done.error is None
    assert (done.differing, done.at_stake) == (1, 1)
    shown = reading_of(store, kept.id, before.entry.text)
    assert shown is not None
    assert [w.text for w in shown.words] == PRESS.split()
    (word,) = [w for w in shown.words if w.rival]
    assert (word.text, word.rival, word.reader) == ("press", "thrush", "fake/script")
    assert word.rival_reader == "fake/second"


def test_both_readings_are_kept_with_times_confidence_and_reader(
    store: Store, home: Places
) -> None:
    kept = note(store, home, PRESS)
    again(store, home, kept, THRUSH)
    (second,) = [t for t in store.transcripts(kept.id) if t.reader == "fake/second"]
    assert second.text == THRUSH
    assert all(w.reader == "fake/second" and w.confidence == 0.9 for w in second.words)
    assert [w.start for w in second.words] == sorted(w.start for w in second.words)


def test_the_fact_in_dispute_is_asked_with_both_readings(store: Store, home: Places) -> None:
    kept = note(store, home, THRUSH)
    again(store, home, kept, THRUSH.replace("left hind", "right hind"))
    found = asked(draft(store, kept))
    assert found["thrush"] == "Two readers differ: “left” or “right”."
    assert not {"stood_well", "recheck"} & set(found)


def test_what_changes_no_fact_is_not_asked(store: Store, home: Places) -> None:
    kept = note(store, home, THRUSH)
    done = again(store, home, kept, THRUSH.replace("has a crack", "has the crack") + " thank you")
    assert (done.differing, done.at_stake) == (1, 0)
    assert asked(draft(store, kept)) == {}


def test_taking_the_other_reading_understands_the_note_again(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    again(store, home, kept, THRUSH)
    before = draft(store, kept)
    assert "thrush" not in codes(before)
    (where,) = asked(before)
    fact_id = next(f.id for f in before.entry.facts if f.code == where)
    done = take_other(store, before.id, fact_id, home, Settings())
    # The foot of the words that made no fact had gone to the promise.
    assert ([f.code for f in done.fresh], done.gone) == (["thrush", "recheck"], 1)
    after = draft(store, kept)
    assert after.entry.text == THRUSH
    (thrush,) = [f for f in after.entry.facts if f.code == "thrush"]
    assert thrush.feet == (Foot.LH,)
    assert "thrush" in after.entry.text[slice(*thrush.span)]
    assert asked(after) == {}
    words = reading_of(store, kept.id, THRUSH)
    assert words is not None
    (taken,) = [w for w in words.words if w.reader == "fake/second"]
    assert (taken.text, taken.heard) == ("thrush", "press")
    assert words.reader == "fake/script + fake/second"


def test_it_is_a_correction_that_is_kept_and_taken_back(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    again(store, home, kept, THRUSH)
    before = draft(store, kept)
    fact_id = next(f.id for f in before.entry.facts if f.doubts)
    take_other(store, before.id, fact_id, home, Settings())
    (correction,) = store.corrections(before.id)
    assert correction.action == "other reading"
    assert correction.before.text == PRESS
    assert correction.after is not None
    assert correction.after.text == THRUSH
    store.undo(before.id)
    assert draft(store, kept) == before


def test_what_was_corrected_by_hand_stays(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    again(store, home, kept, THRUSH)
    before = draft(store, kept)
    crack = next(f for f in before.entry.facts if f.code == "toe_crack")
    store.change_fact(before.id, replace(crack, feet=(Foot.LF,)))
    stood = next(f for f in before.entry.facts if f.code == "stood_well")
    store.delete_fact(before.id, stood.id)
    now = draft(store, kept)
    fact_id = next(iter({f.id for f in now.entry.facts if "readers_differ" in
                         {d.code for d in f.doubts}}), "")  # fmt: skip
    take_other(store, before.id, fact_id, home, Settings())
    facts = draft(store, kept).entry.facts
    after = {f.code: f for f in facts if not f.rule.startswith("gist")}
    assert set(after) == {"thrush", "toe_crack", "recheck"}
    assert after["toe_crack"].feet == (Foot.LF,)
    assert after["toe_crack"].id in draft(store, kept).looked_at


def test_a_fact_that_was_accepted_is_not_asked_again(store: Store, home: Places) -> None:
    kept = note(store, home, THRUSH)
    (stored,) = store.entries_from(kept.id)
    thrush = next(f for f in stored.entry.facts if f.code == "thrush")
    store.accept_fact(stored.id, thrush.id)
    again(store, home, kept, THRUSH.replace("left hind", "right hind"))
    shown = next(f for f in draft(store, kept).entry.facts if f.id == thrush.id)
    assert not [d for d in shown.doubts if d.code == "readers_differ"]


def test_the_name_of_a_horse_can_be_taken(store: Store, home: Places) -> None:
    kept = note(store, home, "new horse grumble left hind thrush in the frog")
    again(store, home, kept, "new horse bramble left hind thrush in the frog")
    before = draft(store, kept)
    assert before.horse is None
    take_other(store, before.id, "", home, Settings())
    after = draft(store, kept)
    assert after.horse is not None
    assert after.horse.name == "Bramble"
    store.undo(before.id)
    assert draft(store, kept).horse is None


def test_a_saved_note_is_read_again_but_not_changed(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    (stored,) = store.entries_from(kept.id)
    saved = store.save_entry(stored.id)
    done = again(store, home, kept, THRUSH)
    assert [(s.id, s.revision) for s, _ in done.asked] == [(saved.id, 1)]
    assert store.entry(saved.id) == saved
    assert store.verify_chain().ok
    fact_id = saved.entry.facts[0].id
    with pytest.raises((SavedIsFixed, InputError)):
        take_other(store, saved.id, fact_id, home, Settings())
    assert store.entry(saved.id) == saved


def test_a_reader_that_fails_changes_nothing(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    before = (store.entries_from(kept.id), store.transcripts(kept.id))
    done = again(store, home, kept, None)
    assert isinstance(done.error, SpeechError)
    assert (store.entries_from(kept.id), store.transcripts(kept.id)) == before
    assert waiting(store, "fake/second") == [kept]


def test_a_sound_that_is_gone_is_told(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    assert kept.path is not None
    kept.path.unlink()
    done = again(store, home, kept, THRUSH)
    assert isinstance(done.error, UnreadableSound)
    assert "gone" in str(done.error)


def test_what_waits_for_the_second_reader(store: Store, home: Places) -> None:
    first, second = note(store, home, PRESS), note(store, home, THRUSH, "other", 10)
    assert waiting(store, "fake/second") == [first, second]
    again(store, home, first, THRUSH)
    assert waiting(store, "fake/second") == [second]
    assert waiting(store, "fake/third") == [first, second]
    (stored,) = store.entries_from(second.id)
    store.save_entry(stored.id)
    assert waiting(store, "fake/second") == []
    assert waiting(store, "fake/second", date(2026, 11, 25)) == [second]
    assert waiting(store, "fake/second", date(2026, 11, 24)) == []


def test_a_draft_changed_in_another_window_is_not_overwritten(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    (stored,) = store.entries_from(kept.id)
    words = reading_of(store, kept.id, PRESS)
    assert words is not None
    store.accept_fact(stored.id, stored.entry.facts[0].id)
    store.delete_fact(stored.id, stored.entry.facts[0].id)
    with pytest.raises(InputError, match="another window"):
        store.take_reading(stored, stored.entry, words, [])


def test_entries_with_other_words_are_not_joined(store: Store, home: Places) -> None:
    kept = note(store, home, PRESS)
    (stored,) = store.entries_from(kept.id)
    crack = next(f for f in stored.entry.facts if f.code == "toe_crack")
    head, tail = store.split_entry(stored.id, crack.span[0])
    again(store, home, kept, THRUSH)
    asking = next(f.id for f in with_disputes(store, tail).entry.facts if f.code == "recheck")
    take_other(store, tail.id, asking, home, Settings())
    with pytest.raises(InputError, match="second reader"):
        store.join_entries(head.id, tail.id)


def test_spelt_otherwise_with_the_trade_forgotten_tells_nothing(store: Store, home: Places) -> None:
    kept = note(store, home, THRUSH)
    done = again(store, home, kept, THRUSH.replace("thrush", "thresh"))
    assert (done.differing, done.at_stake) == (1, 0)
    # The other way round a fact would come in, and that is asked.
    other = note(store, home, THRUSH.replace("thrush", "thresh"), "other")
    assert again(store, home, other, THRUSH).at_stake == 1


def test_a_stretch_that_the_second_reader_skipped_tells_nothing(store: Store, home: Places) -> None:
    kept = note(store, home, THRUSH)
    done = again(store, home, kept, THRUSH.removesuffix(" thrush in the frog recheck in six weeks"))
    assert done.at_stake == 0


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [("sore", "soar", True), ("thrush", "thresh", True), ("vet", "bet", True),
     ("fifty", "sixty", False), ("press", "thrush", False)],
)  # fmt: skip
def test_which_words_sound_alike(one: str, other: str, alike: bool) -> None:
    assert sound_alike(one, other) is alike


def test_a_long_note_is_weighed_by_its_surroundings(store: Store, home: Places) -> None:
    """In half an hour of talk the place of a difference is found all the same."""
    filler = " ".join(f"word{n}" for n in range(400))
    first = FakeRecogniser.saying(f"{filler} {PRESS}").finish()
    second = FakeRecogniser.saying(f"{filler} {THRUSH}").finish()
    seen: list[int] = []

    def understand(transcript: Transcript) -> Sequence[object]:
        seen.append(len(transcript.words))
        return ()

    assert stakes(first, second, understand) == {}  # type: ignore[arg-type]
    assert seen
    assert max(seen) < 250
    kept = note(store, home, f"{filler} {PRESS}")
    done = again(store, home, kept, f"{filler} {THRUSH}")
    assert done.at_stake == 1
    ((_, (stretch,)),) = done.asked
    assert stretch.ours == "press"
