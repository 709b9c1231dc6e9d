"""Told once: that the recogniser can learn a voice. Nobody reads a manual in a truck."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fieldlog.speech.shipped import SHIPPED, WITH_VOICE

if TYPE_CHECKING:
    from fieldlog.paths import Places
    from fieldlog.records.store import Store

HINT = (
    "Misheard now and then? Four minutes of reading aloud teach fieldlog your voice: "
    "fieldlog voice read (said only this once)."
)
MARK = "told-of-voice"
"""An empty file in the data folder: it was said, or is not wanted."""


def voice_hint(store: Store, places: Places, saved: Sequence[str]) -> str:
    """The hint, after the first saved note that the shipped model heard; else nothing.

    Args:
        store: the records.
        places: where it is marked as told.
        saved: ids of the entries that were just saved.
    """
    known = places.own_voice.exists() or places.readings.exists()
    if known or (places.data / MARK).exists() or not any(_heard(store, i) for i in saved):
        return ""
    return HINT if told(places) else ""


def told(places: Places) -> bool:
    """Mark it as told; False if that cannot be written, so it would be said again and again."""
    try:
        (places.data / MARK).touch(mode=0o600)
    except OSError:
        return False
    return True


def _heard(store: Store, entry_id: str) -> bool:
    """Whether the shipped model made the words of an entry, with no voice in mind."""
    recording = store.entry(entry_id).recording_id
    heard = store.transcripts(recording) if recording is not None else []
    readers = (transcript.reader for transcript in heard)
    return any(r.startswith(f"vosk/{SHIPPED}") and WITH_VOICE not in r for r in readers)
