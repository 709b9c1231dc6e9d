"""Loading the pipeline and understanding 200 words: ``python -m tests.bench.bench_language``.

Each figure is the median of ``--times`` runs on one core, as processor time (what the machine
does meanwhile does not count), beside its limit and the ratio to it. Modules are loaded compiled,
as they are from their second use on and as an installer leaves them.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from datetime import datetime
from pathlib import Path

from fieldlog.core.words import Transcript, Word
from fieldlog.language.opinion.gist import opinion
from fieldlog.language.pipeline import load
from fieldlog.language.surroundings import sentence_of, unknown_at
from fieldlog.paths import project_folder

LOAD_LIMIT, NOTE_LIMIT = 1.0, 0.05
"""Seconds for loading (``import spacy`` included), and for a note of 200 words."""
LOAD = (
    "import time; start = time.process_time(); "
    "from fieldlog.language.pipeline import load; load(); print(time.process_time() - start)"
)


def note(words: int) -> Transcript:
    """The demo's notes as a recogniser writes them, cut to ``words`` words."""
    folder = project_folder("demo_data") or Path()
    notes = tomllib.loads((folder / "notes.toml").read_text(encoding="utf-8"))["note"]
    text = " ".join(n["text"] for n in notes).lower()
    heard = "".join(c for c in text if c.isalnum() or c in " '").split()[:words]
    return Transcript(tuple(Word(w, i * 0.4, i * 0.4 + 0.3, 0.9) for i, w in enumerate(heard)))


def loads(times: int) -> list[float]:
    """Seconds of processor time that loading takes, each in a new process."""
    with tempfile.TemporaryDirectory() as compiled:
        settings = {**os.environ, "PYTHONPYCACHEPREFIX": compiled}
        settings.pop("PYTHONDONTWRITEBYTECODE", None)
        took = [
            float(
                subprocess.run(
                    [sys.executable, "-c", LOAD], capture_output=True, check=True, env=settings
                ).stdout
            )
            for _ in range(times + 1)
        ]
    return took[1:]  # the first one compiled the modules


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5)
    times = parser.parse_args().times
    loading = loads(times)
    understander = load()
    transcript = note(200)
    runs = []
    for _ in range(times + 1):
        opinion.cache_clear()  # or the network would read the note only once,
        sentence_of.cache_clear()  # and so would the eyes that look around a fact
        unknown_at.cache_clear()
        start = time.process_time()
        understander.understand(transcript, recorded=datetime(2026, 11, 25))
        runs.append(time.process_time() - start)
    for name, took, limit in (
        ("load", statistics.median(loading), LOAD_LIMIT),
        ("200 words, first", runs[0], NOTE_LIMIT),
        ("200 words", statistics.median(runs[1:]), NOTE_LIMIT),
    ):
        print(f"{name:18} {took * 1000:7.1f} ms   {took / limit:5.2f} of the limit {limit:g} s")


if __name__ == "__main__":
    main()
