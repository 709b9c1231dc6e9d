"""Entry point of the installed command: also says so where not even the command line loads."""

from __future__ import annotations

import sys

from fieldlog.cli.installed import REMEDY, told


def main() -> None:
    """Start fieldlog, or say in a sentence why it cannot start."""
    try:
        from fieldlog.cli.main import main as run
    except ImportError as problem:
        words = told(problem)
        if not words:
            raise
        print(f"fieldlog: {words} {REMEDY}", file=sys.stderr)
        raise SystemExit(1) from None
    run()
