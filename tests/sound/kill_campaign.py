"""Kills a recording or an import at random moments: ``python -m tests.sound.kill_campaign``.

Each round starts a real process that records in real time or imports a folder, ends it with
SIGKILL after a seeded random time, and then checks from outside: every piece of sound that the
process had acknowledged is on the disk, every kept file is whole, nothing half-done passes for
done, and the work can be taken up again to its end. Prints the count.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

import numpy as np
import soundfile

from fieldlog.paths import Places, places
from fieldlog.sound.decode import sound_chunks
from fieldlog.sound.importing import import_sound, sound_files
from fieldlog.sound.keep import sha256_of
from fieldlog.sound.recovery import find_unfinished, recover
from tests.killing import Round, killed_after, run

RECORD = """
import sys
from pathlib import Path
from fieldlog.paths import places
from fieldlog.sound.capture import FakeMicrophone
from fieldlog.sound.writer import RecordingWriter
pcm = Path(sys.argv[2]).read_bytes()
microphone = FakeMicrophone(pcm, fast=False)
writer = RecordingWriter(places(Path(sys.argv[1])))
microphone.start()
while (piece := microphone.read()) is not None:
    writer.write(piece.pcm)
    print(round(writer.seconds * 32000), flush=True)
kept = writer.finish()
print("kept", kept.path.name, flush=True)
"""

IMPORT = """
import sys
from pathlib import Path
from fieldlog.paths import places
from fieldlog.sound.importing import import_sound, sound_files
print("ready", flush=True)
for path in sound_files(Path(sys.argv[2])):
    print("kept", import_sound(path, places(Path(sys.argv[1]))).path.name, flush=True)
"""


class Broken(Exception):
    """A promise that did not hold."""


def kept_files_are_whole(home: Places) -> None:
    """Every file with a lasting name has the content that its name says."""
    for path in home.sounds.iterdir():
        if path.is_file() and len(path.stem) == 64 and sha256_of(path) != path.stem:
            raise Broken(f"{path.name} has other content than its name says")


def record_round(folder: Path, chance: random.Random) -> None:
    """Kill a recording."""
    home = places(folder / "home").make()
    pcm = np.random.default_rng(chance.randrange(1 << 30)).integers(-9_000, 9_000, 16_000 * 2)
    sound = pcm.astype("<i2").tobytes()
    (folder / "sound.pcm").write_bytes(sound)
    lines = killed_after(
        RECORD, [str(home.data), str(folder / "sound.pcm")], chance.uniform(0.0, 2.2)
    )
    acknowledged = max((int(line) for line in lines if line.isdigit()), default=0)
    kept_files_are_whole(home)
    unfinished = find_unfinished(home)
    kept = [p for p in home.sounds.glob("*.wav") if len(p.stem) == 64]
    if len(unfinished) + len(kept) != 1:
        raise Broken(f"one recording was expected, not {unfinished} and {kept}")
    path = recover(unfinished[0], home).path if unfinished else kept[0]
    if any(line.startswith("kept") for line in lines) and unfinished:
        raise Broken("a recording that was acknowledged as kept is unfinished")
    have = b"".join(sound_chunks(path))
    if len(have) < acknowledged:
        raise Broken(f"{acknowledged} bytes were acknowledged, {len(have)} are there")
    if have != sound[: len(have)]:
        raise Broken("the sound differs from what was recorded")
    kept_files_are_whole(home)
    if find_unfinished(home):
        raise Broken("a recovered recording is offered again")


def import_round(folder: Path, chance: random.Random) -> None:
    """Kill a folder import, then run it to its end."""
    home = places(folder / "home").make()
    card = folder / "card"
    card.mkdir()
    noise = np.random.default_rng(chance.randrange(1 << 30))
    for n in range(6):
        length = chance.randrange(1_000, 60_000)
        samples = noise.integers(-9_000, 9_000, length).astype(np.int16)
        soundfile.write(card / f"{n}.{chance.choice(('wav', 'flac'))}", samples, 16_000)
    originals = {sha256_of(path) for path in card.iterdir()}
    lines = killed_after(IMPORT, [str(home.data), str(card)], chance.uniform(0.0, 0.35))
    kept_files_are_whole(home)
    for line in lines:
        if line.startswith("kept") and not (home.sounds / line.split()[1]).is_file():
            raise Broken(f"{line} was acknowledged and is not there")
    again = [import_sound(path, home) for path in sound_files(card)]
    if {r.sha256 for r in again} != originals:
        raise Broken("the second import did not bring everything")
    kept_files_are_whole(home)


ROUNDS: dict[str, Round] = {"record": record_round, "import": import_round}


if __name__ == "__main__":
    sys.exit(run(ROUNDS, __doc__, 150, "everything acknowledged was there"))
