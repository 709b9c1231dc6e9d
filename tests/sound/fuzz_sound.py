"""A byte-level fuzzer for sound decoding: ``python -m tests.sound.fuzz_sound --count 20000``.

Takes small true files of every kind, spoils bytes, sizes and order, and decodes the result in
another process. Allowed are sound, ``UnreadableSound``, and nothing else: no other exception, no
crash, no input that takes longer than ten seconds. Seeded; every input can be made again from its
number (``--only N --seed S`` writes it to a file). Nor may a decoder write to standard error,
where the app draws its screen.
"""

from __future__ import annotations

import argparse
import collections
import random
import struct
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from tests.sound.sounds import FMT, riff, sweep, write, write_m4a

PATIENCE = 10.0
"""Seconds that one input may take."""

_EXTREMES = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF)


def true_files(folder: Path) -> list[bytes]:
    """One small file of every kind."""
    samples = sweep(0.3, 16_000)
    wide = sweep(0.3, 48_000)
    made = [
        write(folder / "a.wav", samples),
        write(folder / "f.wav", samples, subtype="FLOAT"),
        write(folder / "u.wav", samples, subtype="IMA_ADPCM"),
        write(folder / "a.flac", samples),
        write(folder / "a.ogg", wide, 48_000),
        write(folder / "a.opus", wide, 48_000),
        write(folder / "a.mp3", wide, 48_000),
        write(folder / "a.aiff", samples),
        write(folder / "a.caf", samples),
        write(folder / "a.w64", samples),
        write(folder / "a.au", samples),
        write_m4a(folder / "a.m4a", wide, 48_000, "2026-11-20T09:30:00Z"),
    ]
    bext = bytes(320) + b"2026-11-2009:31:07" + bytes(264)
    extra = riff((b"bext", bext), (b"fmt ", FMT), (b"LIST", b"INFOICRD"), (b"data", bytes(3_000)))
    return [*(path.read_bytes() for path in made), extra]


def spoilt(originals: list[bytes], number: int, seed: int) -> bytes:
    """The input with that number."""
    chance = random.Random(f"{seed}:{number}")
    data = bytearray(chance.choice(originals))
    for _ in range(chance.choice((1, 1, 2, 3, 8, 40))):
        if not data:
            break
        reach = len(data) if chance.random() < 0.4 else min(len(data), 128)
        at = chance.randrange(reach)
        match chance.randrange(8):
            case 0:
                data[at] ^= 1 << chance.randrange(8)
            case 1:
                data[at] = chance.randrange(256)
            case 2:
                packed = struct.pack(chance.choice("<>") + "I", chance.choice(_EXTREMES))
                data[at : at + 4] = packed
            case 3:
                packed = struct.pack(chance.choice("<>") + "H", chance.choice(_EXTREMES) & 0xFFFF)
                data[at : at + 2] = packed
            case 4:
                del data[at : at + chance.choice((1, 2, 4, 100, 10_000))]
            case 5:
                data[at:at] = chance.randbytes(chance.choice((1, 2, 4, 64)))
            case 6:
                piece = bytes(data[at : at + chance.choice((8, 64, 512))])
                data[at:at] = piece * chance.choice((1, 2, 30))
            case 7:
                other = chance.choice(originals)
                cut = chance.randrange(len(other))
                data[at:] = other[cut:]
    return bytes(data)


def decode_all(first: int, end: int, seed: int) -> None:
    """The child: decode inputs one by one and say on standard output how each went."""
    from fieldlog.errors import UnreadableSound
    from fieldlog.sound.decode import Limits, SoundFile
    from fieldlog.sound.when import recording_time

    limits = Limits(seconds=120, samples=48_000 * 240)
    with tempfile.TemporaryDirectory() as name:
        originals = true_files(Path(name))
        path = Path(name) / "spoilt"
        for number in range(first, end):
            path.write_bytes(spoilt(originals, number, seed))
            print(number, "begun", flush=True)
            try:
                with SoundFile(path, limits) as sound:
                    for _ in sound:
                        pass
                    recording_time(path, sound.tags, sound.seconds)
                outcome = "damaged" if sound.damage else "sound"
            except UnreadableSound:
                outcome = "unreadable"
            except BaseException as problem:
                outcome = f"EXCEPTION {type(problem).__name__} {str(problem)[:80]!r}"
            print(number, outcome, flush=True)


def campaign(count: int, seed: int, first: int = 0) -> tuple[collections.Counter[str], list[str]]:
    """Run ``count`` inputs; the tally of outcomes, and a line for each that is not allowed."""
    with tempfile.TemporaryFile() as noise:
        tally, bad = _run(count, seed, first, noise)
        noise.seek(0)
        said = noise.read().decode("utf-8", "replace").splitlines()
    return tally, bad + [f"on standard error: {line}" for line in said[:20]]


def _run(
    count: int, seed: int, first: int, noise: BinaryIO
) -> tuple[collections.Counter[str], list[str]]:
    tally: collections.Counter[str] = collections.Counter()
    bad: list[str] = []
    at, end = first, first + count
    while at < end:
        child = _Child(at, end, seed, noise)
        for number, outcome in child.outcomes():
            at = number + 1
            tally[outcome.split()[0]] += 1
            if outcome.startswith("EXCEPTION"):
                bad.append(f"input {number}: {outcome}")
        code = child.process.wait()
        if child.begun:  # it never came to an end with this one: another child goes on behind it
            outcome = "HANG" if child.late else f"CRASH (exit {code})"
            tally[outcome.split()[0]] += 1
            bad.append(f"input {at}: {outcome}")
            at += 1
        elif at < end:
            raise RuntimeError(f"the fuzzing process ended by itself with {code}")
    return tally, bad


class _Child:
    """A process that decodes inputs, killed when one of them takes too long."""

    def __init__(self, first: int, end: int, seed: int, noise: BinaryIO) -> None:
        command = [sys.executable, "-m", "tests.sound.fuzz_sound", "--child", f"{first}", f"{end}"]
        self.process = subprocess.Popen(
            [*command, "--seed", str(seed)], stdout=subprocess.PIPE, stderr=noise, text=True
        )
        self.begun = False
        """An input was begun and has not ended."""
        self.late = False

    def outcomes(self) -> Iterator[tuple[int, str]]:
        """Number and outcome of every input that ended."""
        if self.process.stdout is None:
            raise RuntimeError("no pipe")
        timer: threading.Timer | None = None
        for line in self.process.stdout:
            number, _, outcome = line.strip().partition(" ")
            if timer is not None:
                timer.cancel()
            self.begun = outcome == "begun"
            if self.begun:
                timer = threading.Timer(PATIENCE, self._too_late)
                timer.start()
            else:
                yield int(number), outcome
        if timer is not None:
            timer.cancel()

    def _too_late(self) -> None:
        self.late = True
        self.process.kill()


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--only", type=int, help="write this input to ./spoilt-N and stop")
    parser.add_argument("--child", type=int, nargs=2, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.child:
        first, end = asked.child
        decode_all(first, end, asked.seed)
        return 0
    if asked.only is not None:
        with tempfile.TemporaryDirectory() as name:
            data = spoilt(true_files(Path(name)), asked.only, asked.seed)
        Path(f"spoilt-{asked.only}").write_bytes(data)
        return 0
    tally, bad = campaign(asked.count, asked.seed)
    print(f"{sum(tally.values())} inputs, seed {asked.seed}: {dict(tally)}")
    print("\n".join(bad) or "nothing but sound and UnreadableSound")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
