"""A month of dictation imported in one go: ``python -m tests.bench.bench_import``.

Makes ``--files`` sound files (default 352: 22 working days of 16 notes) of ``--seconds`` each
from the demo day's dictations, imports them with a cancel half way and a second run, and prints
the time and the resident memory.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path

import numpy as np
import soundfile

from tests.bench.bench_recognition import demo_sounds, resident_megabytes


def make_card(folder: Path, files: int, seconds: float) -> None:
    """Distinct FLAC files: stretches of the demo's sounds with a little noise of their own."""
    from fieldlog.sound.decode import sound_chunks

    joined = b"".join(b"".join(sound_chunks(path)) for path in demo_sounds())
    speech = np.frombuffer(joined, "<i2")
    chance = np.random.default_rng(1)
    count = round(seconds * 16_000)
    for number in range(files):
        at = int(chance.integers(0, max(1, len(speech) - count)))
        noise = chance.integers(-30, 30, count)
        samples = np.clip(np.resize(speech[at : at + count], count) + noise, -32768, 32767)
        soundfile.write(folder / f"{number:04}.flac", samples.astype(np.int16), 16_000)


def main() -> None:
    """Measure and print."""
    from fieldlog.paths import places
    from fieldlog.sound.importing import import_sound, sound_files

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=352)
    parser.add_argument("--seconds", type=float, default=90.0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        card = Path(name) / "card"
        card.mkdir()
        make_card(card, asked.files, asked.seconds)
        home = places(Path(name) / "home").make()
        done: list[Path] = []
        early = 0.0
        began = time.perf_counter()
        for path in sound_files(card)[: asked.files // 2]:
            done.append(import_sound(path, home).path)
            if len(done) == 10:
                early = resident_megabytes()
        first = time.perf_counter() - began
        began = time.perf_counter()
        sounds = [import_sound(path, home) for path in sound_files(card)]
        second = time.perf_counter() - began
    hours = asked.files * asked.seconds / 3600
    print(f"{asked.files} files, {hours:.1f} h of sound")
    print(f"first half, then cancelled     {first:.1f} s ({len(done)} files)")
    known = sum(s.already_known for s in sounds)
    print(f"resumed to the end             {second:.1f} s ({known} known, {len(sounds)} in all)")
    print(f"work per second of sound       {(first + second) / (1.5 * hours * 3600):.4f} s")
    print(f"resident after 10 files        {early:.0f} MB")
    print(f"resident at the end            {resident_megabytes():.0f} MB")


if __name__ == "__main__":
    main()
