"""The kind of a sound file, told from its first bytes, for names lie."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SoundFormat:
    """What the first bytes say a file is."""

    suffix: str
    """Usual file name ending with its dot, e.g. ``.m4a``."""
    demuxer: str = ""
    """FFmpeg's name of the container; empty if libsndfile reads it."""


def sniff(head: bytes) -> SoundFormat | None:
    """The kind of sound file that starts with ``head`` (64 bytes suffice), or None.

    Marks as in the formats' own definitions: RIFF/RF64/Wave64, FLAC (RFC 9639), Ogg (RFC 3533),
    ID3v2 and MPEG sync words (ISO 11172-3), ADTS (ISO 13818-7), ``ftyp`` (ISO 14496-12),
    ``#!AMR`` (RFC 4867), EBML (RFC 8794), AIFF ``FORM``, Core Audio ``caff``, Sun ``.snd``.
    """
    if head[:4] in (b"RIFF", b"RF64", b"BW64", b"RIFX") and head[8:12] == b"WAVE":
        return SoundFormat(".wav")
    if head[:4] == b"riff":
        return SoundFormat(".w64")
    if head[:4] == b"fLaC":
        return SoundFormat(".flac")
    if head[:4] == b"OggS":
        return SoundFormat(".opus" if b"OpusHead" in head else ".ogg")
    if head[4:8] == b"ftyp":
        return SoundFormat(".m4a", "mov")
    if head[:4] == b"\x1aE\xdf\xa3":
        return SoundFormat(".webm", "matroska")
    if head[:5] == b"#!AMR":
        return SoundFormat(".amr", "amr")
    if head[:4] == b"caff":
        return SoundFormat(".caf")
    if head[:4] == b"FORM" and head[8:12] in (b"AIFF", b"AIFC"):
        return SoundFormat(".aiff")
    if head[:4] == b".snd":
        return SoundFormat(".au")
    if head[:3] == b"ID3":
        return SoundFormat(".mp3", "mp3")
    if len(head) >= 2 and head[0] == 0xFF and head[1] & 0xF6 == 0xF0:
        return SoundFormat(".aac", "aac")
    if len(head) >= 2 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0 and head[1] & 0x06:
        return SoundFormat(".mp3", "mp3")
    return None
