"""Sound files spoilt at random. The long run: ``python -m tests.sound.fuzz_sound``."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldlog.errors import UnreadableSound
from fieldlog.sound.decode import Limits, SoundFile
from fieldlog.sound.formats import sniff
from fieldlog.sound.importing import plain_name
from fieldlog.sound.when import name_time, parse_tag_time
from tests.sound.fuzz_sound import campaign


def test_spoilt_files_give_sound_or_a_clear_error() -> None:
    tally, bad = campaign(400, seed=1)
    assert bad == []
    assert sum(tally.values()) == 400
    assert tally["unreadable"] > 20
    assert tally["sound"] > 20


def test_inputs_that_once_broke_it() -> None:
    """Codecs without a decoder; frames of 30 channels, beyond which PyAV 18 reads memory; huge
    floats; seeks before the beginning. Found by long runs with these seeds."""
    for seed, first, count in ((20261125, 571, 1), (20261125, 1407, 1), (7, 19540, 30)):
        assert campaign(count, seed, first)[1] == []


HEADS = st.sampled_from(
    [
        b"",
        b"RIFF\0\0\0\0WAVE",
        b"fLaC",
        b"OggS",
        b"\0\0\0\x18ftypM4A ",
        b"ID3",
        b"\xff\xfb",
        b"caff",
    ]
)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(HEADS, st.binary(max_size=400))
def test_any_bytes_at_all(tmp_path: Path, head: bytes, rest: bytes) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(head + rest)
    try:
        with SoundFile(path, Limits(seconds=60)) as sound:
            assert sum(len(chunk) for chunk in sound) > 0
    except UnreadableSound as problem:
        said = str(problem)
    else:
        said = "read"
    assert said


@given(st.binary(max_size=64))
def test_sniffing_never_fails(head: bytes) -> None:
    found = sniff(head)
    assert found is None or found.suffix.startswith(".")


@given(st.text(max_size=80))
def test_tags_and_names_never_fail(text: str) -> None:
    when, timed = parse_tag_time(text)
    assert when is None or when.tzinfo is not None
    assert not (when is None and timed)
    named = name_time(text)
    assert named is None or named.tzinfo is not None
    shown = plain_name(text)
    assert shown
    assert "/" not in shown
    assert "\n" not in shown
