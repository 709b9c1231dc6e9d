"""The drawn table of feet, the wrapped words, the state of a recording."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fieldlog.app.feet_table import COMPUTED, CURSOR, LOOK, LOOKED_AT, draw
from fieldlog.app.grouping import Part
from fieldlog.app.naming import KnownHorse, ranked
from fieldlog.app.note_text import note_text
from fieldlog.app.recording_state import RecordingState, after, elapsed, loudness_of, meter
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import DiskFull
from fieldlog.sound.importing import ImportedSound
from fieldlog.sound.pcm import Level
from fieldlog.speech import events
from tests.app.facts import finding, inferred_toe, recheck, toe


@pytest.mark.parametrize("width", [24, 41, 54, 80, 120])
def test_every_row_is_as_wide_as_asked(width: int) -> None:
    facts = [inferred_toe(), toe(Foot.RF), finding("thrush", Foot.LH), finding("flare", *FRONTS)]
    table = draw([*facts, recheck()], width, selected=facts[0].id)
    assert {len(row) for row in table.content.plain.split("\n")} == {width}


def test_left_stands_left_and_the_head_is_on_top() -> None:
    rows = draw([toe(Foot.LF), toe(Foot.RF), toe(Foot.LH), toe(Foot.RH)], 60).content.plain.split(
        "\n"
    )
    assert rows[0].index("left front") < rows[0].index("head") < rows[0].index("right front")
    hinds = next(i for i, row in enumerate(rows) if "left hind" in row)
    assert hinds > 0
    assert rows[hinds].index("left hind") < rows[hinds].index("right hind")
    assert "near fore" in draw([], 60, british=True).content.plain


def test_signs_say_what_colour_says() -> None:
    doubtful, looked, sure = inferred_toe(), toe(Foot.RF), toe(Foot.LH)
    text = draw(
        [doubtful, looked, sure],
        70,
        selected=sure.id,
        looked_at=frozenset({looked.id}),
        computed={Part.LF: ("heel 6° under toe",)},
    ).content.plain
    assert f" {LOOK} toe length" in text
    assert f"{LOOKED_AT} toe length" in text
    assert f"{CURSOR}  toe length" in text
    assert f"{COMPUTED} heel 6°" in text


def test_before_and_after_the_work_are_told_apart() -> None:
    rows = draw(
        [toe(details={"moment": "before"}), toe(value=3.0, details={"moment": "after"})], 80
    ).content.plain
    assert "3 1/4 in · before the" in rows
    assert "3 in · after the work" in rows


def test_rows_of_each_fact_are_known_for_scrolling() -> None:
    facts = [toe(Foot.LF), recheck()]
    table = draw(facts, 60)
    rows = table.content.plain.split("\n")
    first, last = table.rows_of[facts[1].id]
    assert "recheck" in rows[first]
    assert first <= last


def test_an_unstated_foot_has_a_box_on_top() -> None:
    rows = draw([finding("thrush"), toe()], 60).content.plain.split("\n")
    assert "which foot?" in rows[0]
    assert "thrush" in rows[1]


def words(*texts: str) -> Transcript:
    return Transcript(tuple(Word(t, i, i + 0.9, 0.9) for i, t in enumerate(texts)))


def test_note_marks_unsure_changed_and_lit_words() -> None:
    transcript = Transcript(
        (
            Word("left", 0, 1, 0.9),
            Word("front", 1, 2, 0.3),
            Word("thrush", 2, 3, 0.9, heard="rush", changed_by="homophones:thrush"),
        )
    )
    shown = note_text(transcript, 60, lit=(5, 17)).content.plain
    assert shown == "left ›front? thrush*‹"


def test_note_wraps_and_knows_where_the_lit_words_are() -> None:
    transcript = words(
        *["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
    )
    start = transcript.text.index("nine")
    shown = note_text(transcript, 12, lit=(start, start + 4))
    rows = shown.content.plain.split("\n")
    assert all(len(row) <= 12 for row in rows)
    assert "›nine‹" in rows[shown.lit_row]
    assert shown.rows == len(rows)


def test_typed_notes_and_silence_are_shown_too() -> None:
    assert note_text(Transcript.typed("left front flare"), 40, (0, 10)).content.plain == (
        "›left front‹ flare"
    )
    assert "no words" in note_text(Transcript(()), 40).content.plain


def test_names_are_ranked_by_likeness() -> None:
    horses = [
        KnownHorse("1", "Juniper"),
        KnownHorse("2", "Copper"),
        KnownHorse("3", "Jupiter Rise"),
    ]
    assert ranked("juniper", horses)[0].name == "Juniper"
    assert next(h.name for h in ranked("jup", horses)) == "Jupiter Rise"
    assert ranked("Zanzibar", horses) == []
    assert [h.name for h in ranked("", horses)] == ["Copper", "Juniper", "Jupiter Rise"]


def test_meter_and_clock() -> None:
    assert meter(0.5, 10) == "█████·····"
    assert (loudness_of(-80), loudness_of(0), loudness_of(-30)) == (0.0, 1.0, 0.5)
    assert [elapsed(s) for s in (7, 750, 3723)] == ["0:07", "12:30", "1:02:03"]


def test_recording_events_make_the_state() -> None:
    state = RecordingState()
    for event in (
        events.Started("clip-on", "vosk/x"),
        events.Heartbeat(2.0, Level(-30.0, -40.0)),
        events.NewHorse("juniper"),
        events.FootNamed(FRONTS),
        events.Hearing("left front to"),
        events.Heard((Word("left", 0, 1), Word("front", 1, 2))),
        events.SoundLost(1),
        events.SoundLost(2),
    ):
        state = after(state, event)
    assert (state.phase, state.device, state.horse, state.feet) == (
        "recording", "clip-on", "juniper", FRONTS,
    )  # fmt: skip
    assert state.words == ("left", "front")
    assert state.hearing == ""
    assert len(state.warnings) == 1
    assert "2 times" in state.warnings[0]


def test_a_lost_microphone_waits_and_comes_back() -> None:
    state = after(RecordingState(phase="recording"), events.MicrophoneLost("clip-on"))
    assert state.phase == "waiting"
    state = after(state, events.MicrophoneBack("clip-on", 4.0))
    assert state.phase == "recording"
    assert state.warnings == ("The microphone was gone for 4 seconds.",)


def test_the_end_is_kept_or_failed() -> None:
    sound = ImportedSound(
        Path("x.wav"), "0" * 64, 3.0, datetime(2026, 11, 25, tzinfo=UTC), "clock", "x.wav"
    )
    good = events.Outcome(sound, None, "key")
    assert after(RecordingState(), events.Finished(good)).phase == "kept"
    bad = events.Outcome(None, None, "disk full", problem=DiskFull("The disk is full."))
    assert after(RecordingState(), events.Finished(bad)).phase == "failed"
