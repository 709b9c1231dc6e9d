"""Printing where not every sign can be printed.

On Windows what goes into a file or a pipe is written in the system's own code page, which lacks
the blocks of a trend line or the letters of a name: without this the command would end there.
"""

from __future__ import annotations

import codecs
import sys

_LIKE = {
    **dict.fromkeys("“”„″", '"'),
    **dict.fromkeys("‘’′", "'"),
    **dict.fromkeys("–—−·•", "-"),
    **dict(zip("▁▂▃▄▅▆▇█", "._-=+*#@", strict=True)),
    "…": "...",
    "×": "x",
    "✓": "+",
    "►": ">",
    "\u00a0": " ",
}
"""What stands for a sign that cannot be printed; every other becomes a question mark."""


def plain_signs(problem: UnicodeError) -> tuple[str, int]:
    """An error handler of ``codecs``: the sign most like the one that cannot be printed.

    Raises:
        UnicodeError: it was not printing that failed.
    """
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    cut = problem.object[problem.start : problem.end]
    return "".join(_LIKE.get(sign, "?") for sign in cut), problem.end


def print_what_can_be_printed() -> None:
    """Let no sign end a command, in what is printed from now on."""
    codecs.register_error("fieldlog-plain", plain_signs)
    for stream in (sys.stdout, sys.stderr):
        change = getattr(stream, "reconfigure", None)
        if change is not None and not _has_all(stream.encoding):
            change(errors="fieldlog-plain")


def every_sign_printable() -> bool:
    """Whether standard output takes every character."""
    return _has_all(getattr(sys.stdout, "encoding", None))


def _has_all(encoding: str | None) -> bool:
    return (encoding or "utf-8").lower().replace("_", "-").startswith(("utf-", "utf8"))
