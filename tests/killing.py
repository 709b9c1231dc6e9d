"""A campaign of kills: seeded rounds, each in a folder of its own, counted and told."""

from __future__ import annotations

import argparse
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

Round = Callable[[Path, random.Random], None]
"""One round in a folder, with what is drawn for it; raises if something was lost."""


def killed_after(code: str, arguments: Sequence[str], seconds: float) -> list[str]:
    """Run until the first line comes, then ``seconds`` more, then kill; its whole lines."""
    process = subprocess.Popen(
        [sys.executable, "-c", code, *arguments], stdout=subprocess.PIPE, text=True
    )
    if process.stdout is None:
        raise RuntimeError("no pipe")
    first = process.stdout.readline()
    time.sleep(seconds)
    process.kill()
    lines = [first, *process.stdout]
    process.wait()
    return [line.strip() for line in lines if line.endswith("\n")]


def kills(rounds: Mapping[str, Round], count: int, seed: int) -> tuple[Counter[str], list[str]]:
    """Run ``count`` rounds, each kind in its turn; how many of which kind, and what broke."""
    tally: Counter[str] = Counter()
    broken: list[str] = []
    kinds = list(rounds)
    for number in range(count):
        kind = kinds[number % len(kinds)]
        folder = Path(tempfile.mkdtemp())
        try:
            rounds[kind](folder, random.Random(f"{seed}:{number}"))
        except Exception as problem:
            broken.append(f"round {number} ({kind}): {type(problem).__name__}: {problem}")
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        tally[kind] += 1
    return tally, broken


def run(rounds: Mapping[str, Round], about: str | None, count: int, fine: str) -> int:
    """Run a campaign from the command line; the exit code.

    Args:
        rounds: what is done, by kind.
        about: the campaign's own description, for its help.
        count: how many rounds unless asked otherwise.
        fine: what is said if nothing broke.
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--count", type=int, default=count)
    parser.add_argument("--seed", type=int, default=20261125)
    asked = parser.parse_args()
    tally, broken = kills(rounds, asked.count, asked.seed)
    print(f"{sum(tally.values())} kills, seed {asked.seed}: {dict(tally)}")
    print("\n".join(broken) or fine)
    return 1 if broken else 0
