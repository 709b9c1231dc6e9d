"""Characters to seconds and back, and the JSON shape of a transcript."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.words import Transcript, Word

SAID = Transcript(
    words=(
        Word("left", 0.0, 0.3, 0.9),
        Word("front", 0.3, 0.7, 0.8),
        Word("thrush", 1.0, 1.6, 0.5),
    ),
    reader="test",
    duration=2.0,
)


def test_text_is_the_words_joined() -> None:
    assert SAID.text == "left front thrush"


def test_characters_map_to_seconds() -> None:
    start = SAID.text.index("thrush")
    assert SAID.sound_span(start, start + 6) == (1.0, 1.6)
    assert SAID.sound_span(0, 10) == (0.0, 0.7)


def test_a_typed_note_has_no_sound() -> None:
    typed = Transcript.typed("left front thrush")
    assert typed.sound_span(0, 4) is None
    assert typed.raw_text == "left front thrush"


def test_a_changed_word_keeps_what_was_heard() -> None:
    word = Word("heal", 0, 1).shown_as("heel", "homophones:heel").shown_as("heels", "by_hand")
    assert (word.text, word.heard) == ("heels", "heal")
    assert Transcript((word,)).raw_text == "heal"


words = st.builds(
    Word,
    text=st.text("abcdefgh'", min_size=1, max_size=8),
    start=st.floats(0, 100).map(lambda x: round(x, 3)),
    end=st.floats(0, 100).map(lambda x: round(x, 3)),
    confidence=st.floats(0, 1).map(lambda x: round(x, 4)),
    heard=st.text("abc", max_size=4),
    changed_by=st.sampled_from(["", "names"]),
    reader=st.sampled_from(["", "vosk/x"]),
)


@given(st.lists(words, max_size=8))
def test_transcript_round_trip(said: list[Word]) -> None:
    transcript = Transcript(tuple(said), reader="r", duration=1.5)
    assert Transcript.from_dict(transcript.to_dict()) == transcript


@given(st.lists(words, max_size=8))
def test_word_spans_cut_the_text_into_its_words(said: list[Word]) -> None:
    transcript = Transcript(tuple(said))
    assert [transcript.text[a:b] for a, b in transcript.word_spans()] == [w.text for w in said]
