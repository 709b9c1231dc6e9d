"""Keeps what C libraries write to standard error off the screen.

Kaldi and ALSA write to file descriptor 2, and so does Textual, which draws the app there: silencing
the descriptor for a moment would swallow parts of the screen. So for as long as the app runs, the
descriptor leads to a log file, and Python's own standard error to a copy of the terminal.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

_LOG_LIMIT = 1 << 20
"""Bytes after which the log is begun anew."""


@contextlib.contextmanager
def native_noise_to(log: Path) -> Iterator[None]:
    """Wrap the running of a full-screen app, or of a recording, in this.

    Python's own standard error goes on to the terminal; where it does not lead to descriptor 2
    (somebody has replaced it), it stays as it is.

    Args:
        log: file to append to; it is started afresh once it is larger than 1 MiB.
    """
    try:
        log.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        too_long = log.exists() and log.stat().st_size > _LOG_LIMIT
        sink = os.open(
            log, os.O_WRONLY | os.O_CREAT | (os.O_TRUNC if too_long else os.O_APPEND), 0o600
        )
    except OSError:
        sink = os.open(os.devnull, os.O_WRONLY)
    terminal = os.dup(2)
    before, before_original = sys.stderr, sys.__stderr__
    sys.stderr.flush()
    copy = os.fdopen(terminal, "w", encoding="utf-8", errors="replace", closefd=False)
    os.dup2(sink, 2)
    os.close(sink)
    if _leads_to_two(before):
        sys.stderr = copy
    sys.__stderr__ = copy  # type: ignore[misc]
    try:
        yield
    finally:
        copy.flush()
        sys.stderr = before
        sys.__stderr__ = before_original  # type: ignore[misc]
        os.dup2(terminal, 2)
        os.close(terminal)


def _leads_to_two(stream: TextIO) -> bool:
    try:
        return stream.fileno() == 2
    except (OSError, ValueError, AttributeError):
        return False
