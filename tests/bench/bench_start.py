"""How long the command line takes to start: ``python tests/bench/bench_start.py``.

Each call is a fresh process. The ratio is to a bare ``python -c pass``, the floor on this machine.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time

RUNS = 9

CALLS = {
    "python -c pass": ["-c", "pass"],
    "import click": ["-c", "import click"],
    "fieldlog --help": ["-m", "fieldlog.cli", "--help"],
    "fieldlog --version": ["-m", "fieldlog.cli", "--version"],
    "fieldlog search --help": ["-m", "fieldlog.cli", "search", "--help"],
    "fieldlog record --help": ["-m", "fieldlog.cli", "record", "--help"],
    "fieldlog paper owner --help": ["-m", "fieldlog.cli", "paper", "owner", "--help"],
    "fieldlog follow-ups": ["-m", "fieldlog.cli", "follow-ups"],
}


def seconds(arguments: list[str], home: str) -> float:
    """Median wall time of a fresh process."""
    import os

    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, *arguments],
            check=True,
            capture_output=True,
            env={**os.environ, "FIELDLOG_HOME": home},
        )
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    with tempfile.TemporaryDirectory() as home:
        floor = 0.0
        for name, arguments in CALLS.items():
            took = seconds(arguments, home)
            floor = floor or took
            print(f"{name:30} {took * 1000:7.0f} ms   {took / floor:5.1f} x bare python")


if __name__ == "__main__":
    main()
