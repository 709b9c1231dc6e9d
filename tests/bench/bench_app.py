"""How long the app takes to show itself: run ``python -m tests.bench.bench_app``.

Starts the app in a pseudo terminal of 80 by 24 on a database of its own and measures, from the
start of the process, until the first screen is painted and until the drafts stand on it. Prints the
ratio to a bare ``import textual`` as well. ``--home`` measures another folder's database.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import time
from pathlib import Path

LIMIT = 1.5
"""Seconds that the first paint may take."""
FIRST, FILLED = b"Search", b"draft"
START = (
    "import sys; from pathlib import Path; from fieldlog.app.run import run_app; "
    "from fieldlog.config import Settings; from fieldlog.paths import places; "
    "run_app(places(Path(sys.argv[1])), Settings())"
)


def once(home: Path) -> tuple[float, float]:
    """Seconds to the first paint and to the drafts."""
    import fcntl
    import termios

    mine, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    began = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-c", START, str(home)],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"},
    )
    os.close(theirs)
    seen, painted = b"", 0.0
    try:
        while time.perf_counter() - began < 20:
            ready, _, _ = select.select([mine], [], [], 0.05)
            if ready:
                seen += os.read(mine, 65536)
            now = time.perf_counter() - began
            if not painted and FIRST in seen:
                painted = now
            if painted and FILLED in seen:
                return painted, now
        raise RuntimeError(f"the app did not show itself: {seen[-300:]!r}")
    finally:
        with contextlib.suppress(OSError):
            os.write(mine, b"q")
        try:
            child.wait(5)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
        os.close(mine)


def bare_import() -> float:
    """Seconds for a process that imports textual's app and nothing else."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import textual.app"], check=True)
    return time.perf_counter() - began


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--home", type=Path, help="a folder with a fieldlog database")
    parser.add_argument("--times", type=int, default=5)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        home = given.home
        if home is None:
            from fieldlog.records.store import Store
            from tests.app import barn

            where = barn.home(Path(temporary))
            with Store.open(where.database) as store:
                barn.fill(store, where)
            home = where.data
        once(home)
        runs = [once(home) for _ in range(given.times)]
        bare = statistics.median(bare_import() for _ in range(given.times))
    painted = statistics.median(r[0] for r in runs)
    filled = statistics.median(r[1] for r in runs)
    print(f"first paint     {painted:.2f} s   ({painted / LIMIT:.2f} of the {LIMIT} s allowed)")
    print(f"drafts shown    {filled:.2f} s")
    print(f"import textual  {bare:.2f} s   (first paint takes {painted / bare:.1f} times that)")


if __name__ == "__main__":
    main()
