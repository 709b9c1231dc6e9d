"""How much work recognition is: run ``python -m tests.bench.bench_recognition``.

Prints seconds of work per second of sound on one core, load time, resident memory, and memory over
half an hour. Each part runs in a process of its own, held to one core where the system can.
``--minutes`` shortens the long part; ``--model`` measures another model folder.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any


def resident_megabytes() -> float:
    """Resident memory of this process, in MB (0 where /proc is missing)."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def demo_sounds() -> list[Path]:
    """The demo day's dictations."""
    from fieldlog.paths import project_folder
    from fieldlog.sound.formats import sniff

    folder = project_folder("demo_audio")
    files = sorted(folder.iterdir()) if folder else []
    return [f for f in files if f.is_file() and sniff(f.open("rb").read(64))]


def child(part: str, home: Path, model: str, minutes: float) -> dict[str, Any]:
    """One measurement, in this process."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    from fieldlog.config import Settings
    from fieldlog.paths import places
    from fieldlog.sound.decode import sound_chunks
    from fieldlog.speech.opening import open_recogniser
    from fieldlog.speech.recogniser import transcribe

    where = places(home).make()
    bare = resident_megabytes()
    began = time.perf_counter()
    reader = open_recogniser(Settings(), where, model)
    opened = time.perf_counter() - began
    if part == "open":
        return {"reader": reader.reader, "seconds": opened, "megabytes": resident_megabytes()}
    sound = b"".join(b"".join(sound_chunks(path)) for path in demo_sounds())
    length = len(sound) / 32_000
    if part == "speed":
        work, alone = 0.0, 0.0
        for path in demo_sounds():
            began, cpu = time.perf_counter(), time.process_time()
            transcribe(open_recogniser(Settings(), where, model), sound_chunks(path))
            work += time.process_time() - cpu
            alone += time.perf_counter() - began
        return {"sound": length, "work": work, "wall": alone, "megabytes": resident_megabytes()}
    curve = [(0.0, resident_megabytes())]
    fed = 0.0
    began = time.process_time()
    while fed < minutes * 60:
        reader.feed(sound)
        fed += length
        curve.append((fed / 60, resident_megabytes()))
    reader.finish()
    return {"bare": bare, "curve": curve, "work": (time.process_time() - began) / fed}


def measure(part: str, home: Path, model: str, minutes: float) -> dict[str, Any]:
    """One measurement, in a fresh process."""
    command = [sys.executable, "-m", "tests.bench.bench_recognition", "--part", part]
    command += ["--home", str(home), "--model", model, "--minutes", str(minutes)]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    if run.returncode:
        sys.exit(run.stderr)
    result: dict[str, Any] = json.loads(run.stdout)
    return result


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--model", default="")
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--part", default="")
    parser.add_argument("--home", type=Path)
    asked = parser.parse_args()
    if asked.part:
        print(json.dumps(child(asked.part, asked.home, asked.model, asked.minutes)))
        return
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        first = measure("open", home, asked.model, 0)
        again = measure("open", home, asked.model, 0)
        speed = measure("speed", home, asked.model, 0)
        long = measure("long", home, asked.model, asked.minutes)
    curve = long["curve"]
    half = curve[len(curve) // 2][1]
    print(f"reader                                {first['reader']}")
    print(f"first opening (expand, prove, load)   {first['seconds']:.2f} s")
    print(f"later openings                        {again['seconds']:.2f} s")
    print(f"resident once loaded                  {again['megabytes']:.0f} MB")
    print(f"demo sound                            {speed['sound']:.0f} s")
    print(f"work per second of sound, one core    {speed['work'] / speed['sound']:.3f} s")
    print(f"wall per second of sound, one core    {speed['wall'] / speed['sound']:.3f} s")
    print(f"resident after the demo               {speed['megabytes']:.0f} MB")
    print(f"one note of {curve[-1][0]:.0f} minutes: resident   {curve[1][1]:.0f} MB early, "
          f"{half:.0f} MB half way, {curve[-1][1]:.0f} MB at the end")  # fmt: skip
    print(f"work per second of it                 {long['work']:.3f} s")


if __name__ == "__main__":
    main()
