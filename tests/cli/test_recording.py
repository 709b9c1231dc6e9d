"""What is printed while recording."""

from __future__ import annotations

import pytest

from fieldlog.cli.recording import Reporter, level_bar
from fieldlog.core.feet import FRONTS
from fieldlog.core.words import Word
from fieldlog.sound.pcm import Level
from fieldlog.speech import events


def test_level_bar_goes_from_silence_to_full() -> None:
    assert level_bar(-96.0) == "▁" * 8
    assert level_bar(0.0) == "█" * 8
    assert level_bar(-30.0) == "████▁▁▁▁"


def test_events_become_plain_lines(capsys: pytest.CaptureFixture[str]) -> None:
    report = Reporter(live=False)
    report(events.Started("USB microphone", "vosk/farrier-en-1"))
    report(events.Heard((Word("left", 0, 1), Word("front", 1, 2))))
    report(events.FootNamed(FRONTS))
    report(events.NewHorse(""))
    report(events.MicrophoneLost("USB microphone"))
    report(events.Heartbeat(61.0, Level(-12.0, -20.0)))
    said = capsys.readouterr().err
    assert "Recording from USB microphone, heard by vosk/farrier-en-1." in said
    assert "  left front\n" in said
    assert "foot: both fronts" in said
    assert "name not understood" in said
    assert "Recording waits for it" in said
    assert "01:01" not in said


def test_a_terminal_sees_time_and_level(capsys: pytest.CaptureFixture[str]) -> None:
    report = Reporter(live=True)
    report(events.Hearing("toe three and"))
    report(events.Heartbeat(61.0, Level(0.0, -3.0)))
    said = capsys.readouterr().err
    assert "01:01 ████████! toe three and" in said
