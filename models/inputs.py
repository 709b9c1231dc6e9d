"""What a script here needs before it begins: said at once, not by an error minutes later.

``existing`` is the ``type`` of an argument of argparse, which prints what is missing and ends.
"""

from __future__ import annotations

from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Callable
from pathlib import Path


def existing(how: str = "", *holds: str) -> Callable[[str], Path]:
    """The type of an argument that names a file or folder which must be there.

    Args:
        how: what makes it, in words that can be followed; empty where there is nothing to say.
        holds: patterns of which each must match a file of that folder.
    """

    def checked(text: str) -> Path:
        path = Path(text)
        missing = [str(path / name) for name in holds if not any(path.glob(name))]
        if not path.exists():
            missing = [text]
        if missing:
            raise ArgumentTypeError(f"there is no {missing[0]}{f': {how}' if how else ''}")
        return path

    return checked


def ask_for_packed(ask: ArgumentParser) -> None:
    """Add the argument ``packed``: a speech model as it is shipped."""
    ask.add_argument(
        "packed",
        help="folder of build_model.py",
        type=existing("the shipped one is models/farrier-en", "model.json"),
    )
