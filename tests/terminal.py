"""A program on a real terminal, and what it wrote there."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import time


def on_a_terminal(script: str, *arguments: str, seconds: float = 60) -> tuple[bytes, int]:
    """Run a script of Python on a terminal of its own until it ends by itself.

    Args:
        script: its text.
        arguments: what it finds in ``sys.argv[1:]``.
        seconds: how long at most.

    Returns:
        What it wrote, and its exit code.
    """
    ours, theirs = pty.openpty()
    command = [sys.executable, "-c", script, *arguments]
    program = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs)
    os.close(theirs)
    written = b""
    end = time.monotonic() + seconds
    while program.poll() is None and time.monotonic() < end:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                written += os.read(ours, 65_536)
            except OSError:
                break
    code = program.wait(10)
    os.close(ours)
    return written, code
