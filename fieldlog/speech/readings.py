"""The sentences that the farrier reads aloud, and the voice that is learnt from them.

A reading is kept as it was recorded, under the sentence's number and a mark of its words, so that
one of other words never counts for it. Nothing leaves the machine.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from fieldlog.errors import InputError, ModelMissing, SpeechError
from fieldlog.paths import Places
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.importing import sound_files
from fieldlog.sound.keep import disk_errors, write_whole
from fieldlog.sound.pcm import joined, level_of, seconds_of, wav_bytes
from fieldlog.speech import own_voice
from fieldlog.speech.own_network import OwnNetwork
from fieldlog.speech.own_voice import NOISES, OwnVoice, Progress, Proof, Spoken
from fieldlog.speech.pronounce import phrase
from fieldlog.speech.shipped import describe, network_hash, read_network, shipped_folder

DATA = Path(__file__).parent / "data" / "reading.txt"
SHORTEST, LONGEST = 1.0, 30.0
"""Seconds that a reading of one sentence may take."""
QUIET = -45.0
"""dBFS of the loudest sample under which nobody spoke into the microphone."""
FEWEST = 15
"""Readings from which a voice may be learnt; all of them are better."""


@cache
def sentences() -> tuple[str, ...]:
    """What is read aloud; the first one has number 1."""
    lines = DATA.read_text(encoding="utf-8").splitlines()
    return tuple(line for line in lines if line and not line.startswith("#"))


def read_aloud(places: Places) -> dict[int, Path]:
    """The readings that are kept, by the sentence's number."""
    there = ((n, _file(places, n)) for n in range(1, len(sentences()) + 1))
    return {n: path for n, path in there if path.is_file()}


def keep(places: Places, number: int, pcm: bytes) -> None:
    """Keep a reading; an earlier one of the same sentence goes once this one is on the disk.

    Args:
        places: whose readings.
        number: of the sentence, from 1.
        pcm: 16 kHz mono 16-bit PCM.

    Raises:
        DiskFull, NotAllowed: the disk does not take it.
    """
    with disk_errors("the reading"):
        places.readings.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_whole(_file(places, number), wav_bytes(pcm))


@dataclass(frozen=True)
class Teacher:
    """The shipped model's network, ready to be taught."""

    network: OwnNetwork
    phones: tuple[str, ...]
    digest: str

    def spoken(self, said: str, sound: NDArray[np.int16], noises: int = NOISES) -> Spoken:
        """A sentence as it was read; the arguments are those of ``own_voice.spoken``."""
        return own_voice.spoken(sound, phrase(said), self.phones, noises)

    def wrong_with(self, number: int, pcm: bytes) -> str:
        """What is wrong with a reading, as a sentence; empty if nothing is."""
        seconds = seconds_of(pcm)
        if not SHORTEST <= seconds <= LONGEST:
            return f"It took {seconds:.1f} s; a sentence takes {SHORTEST:.0f} to {LONGEST:.0f}."
        level = level_of(pcm)
        if level.peak < QUIET:
            return "Hardly anything was heard: is the microphone on, and near?"
        if level.clipped:
            return "It was too loud for the microphone: hold it further away."
        quiet = self.spoken(sentences()[number - 1], np.frombuffer(pcm, np.int16), noises=0)
        unlike = own_voice.unlike(self.network, quiet)
        return "" if unlike < own_voice.STRANGE else "It does not sound like this sentence."


def teacher() -> Teacher:
    """Whom to teach a voice: the model that came with fieldlog.

    Raises:
        ModelMissing: none came with it.
        ModelDamaged: its files are damaged.
    """
    folder = shipped_folder()
    if folder is None:
        raise ModelMissing(
            "No speech model came with this installation.", "Only that one can learn a voice."
        )
    facts = describe(folder)
    network = OwnNetwork(read_network(folder, facts))
    return Teacher(network, tuple(facts["phones"]), network_hash(folder))


def numbered_files(folder: Path) -> list[tuple[int, Path]]:
    """The sound files of a folder whose names begin with a sentence's number, in its order.

    Raises:
        InputError: there is none.
    """
    found = []
    for path in sound_files(folder):
        number = re.match("[0-9]+", path.name)
        if number and 1 <= int(number[0]) <= len(sentences()):
            found.append((int(number[0]), path))
    if not found:
        raise InputError(
            f"No sound file in {folder} has a name that begins with a sentence's number.",
            "Name them 01, 02, ... as “fieldlog voice sentences” numbers them.",
        )
    return sorted(found)


def take_in(places: Places, folder: Path) -> Iterator[tuple[int, str]]:
    """Keep readings that were recorded elsewhere; each one's number and what is wrong with it.

    One with which something is wrong is not kept.

    Raises:
        InputError, UnreadableSound, ModelMissing: as ``numbered_files``, ``sound_chunks`` and
            ``teacher`` say.
    """
    ear = teacher()
    for number, path in numbered_files(folder):
        pcm = joined(sound_chunks(path))
        wrong = ear.wrong_with(number, pcm)
        if not wrong:
            keep(places, number, pcm)
        yield number, wrong


def learn(places: Places, now: datetime, progress: Progress = lambda done, of: None) -> Proof:
    """Learn the voice of all readings, and hear with it from now on if it helps.

    Args:
        places: where they are.
        now: when that is, to be told later.
        progress: called as the work goes on.

    Returns:
        What the sentences kept aside say. If they were not heard better, nothing changed.

    Raises:
        SpeechError: fewer readings than ``FEWEST``, or too short ones.
        ModelMissing, ModelDamaged: as ``teacher``.
    """
    kept = read_aloud(places)
    if len(kept) < FEWEST:
        raise SpeechError(
            f"{len(kept)} of {len(sentences())} sentences are read; it takes {FEWEST} at least.",
            "Read them aloud: fieldlog voice read",
        )
    ear = teacher()
    heard = [
        ear.spoken(sentences()[n - 1], np.frombuffer(joined(sound_chunks(path)), np.int16))
        for n, path in kept.items()
    ]
    changes, proof = own_voice.learn(ear.network, heard, progress)
    if proof.better:
        about = {
            "learnt": now.isoformat(timespec="minutes"),
            "sentences": len(heard),
            "seconds": round(sum(one.seconds for one in heard)),
            "unlike": [round(nats, 3) for nats in proof.unlike],
        }
        with disk_errors("what was learnt of your voice"):
            places.own_voice.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            own_voice.save(OwnVoice(changes, ear.digest, about), places.own_voice)
    return proof


def forget(places: Places, readings: bool) -> bool:
    """Hear as before; with ``readings`` these go as well. Whether there was anything to forget."""
    gone = [places.own_voice] if places.own_voice.is_file() else []
    if readings and places.readings.is_dir():
        gone += list(places.readings.iterdir())
    for path in gone:
        path.unlink()
    return bool(gone)


def _file(places: Places, number: int) -> Path:
    mark = hashlib.sha256(sentences()[number - 1].encode()).hexdigest()[:8]
    return places.readings / f"{number:02}-{mark}.wav"
