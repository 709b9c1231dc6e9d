"""The protocol and the scripted reader."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.words import Word
from fieldlog.sound.pcm import in_pieces, silence
from fieldlog.speech.fake import FakeRecogniser
from fieldlog.speech.recogniser import transcribe


def test_scripted_words_come_when_their_sound_has_passed() -> None:
    fake = FakeRecogniser([Word("left", 0.1, 0.4), Word("front", 0.5, 0.9), Word("toe", 2.0, 2.3)])
    assert fake.feed(silence(0.6)) == []
    assert fake.partial() == "left front"
    assert [w.text for w in fake.feed(silence(0.9))] == ["left", "front"]
    fake.feed(silence(1.0))
    transcript = fake.finish()
    assert transcript.text == "left front toe"
    assert transcript.duration == 2.5
    assert transcript.words[0].reader == transcript.reader == "fake/script"
    assert fake.finish() is transcript


def test_without_sound_the_whole_script_is_heard() -> None:
    assert FakeRecogniser.saying("toe three and a quarter").finish().text == (
        "toe three and a quarter"
    )


@given(st.floats(0.05, 3.0), st.floats(0.05, 0.7))
def test_how_the_sound_is_cut_changes_nothing(length: float, piece: float) -> None:
    def heard(pieces: list[bytes]) -> str:
        return transcribe(FakeRecogniser.saying("one two three four five"), pieces).text

    sound = silence(length)
    assert heard(list(in_pieces(sound, piece))) == heard([sound])


def test_progress_ends_at_the_whole_length() -> None:
    seen: list[float] = []
    transcribe(FakeRecogniser(), in_pieces(silence(3.3), 0.1), seen.append)
    assert seen == sorted(seen)
    assert seen[-1] == pytest.approx(3.3)
    assert len(seen) <= 8


def test_wrong_use() -> None:
    fake = FakeRecogniser()
    with pytest.raises(ValueError, match="even number"):
        fake.feed(b"\0")
    fake.finish()
    with pytest.raises(ValueError, match="finished"):
        fake.feed(b"\0\0")
