"""What a script here needs before it begins: said at once, not by an error minutes later.

``existing`` is the ``type`` of an argument of argparse, which prints what is missing and ends;
``packages`` does so for packages, and stands before they are imported.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser, ArgumentTypeError, RawDescriptionHelpFormatter
from collections.abc import Callable, Sequence
from importlib.util import find_spec
from pathlib import Path


def packages(about: str | None, where: str, *names: str) -> None:
    """End a script with a sentence, not a traceback, if it lacks packages; ``--help`` still helps.

    Args:
        about: the text at the top of the script.
        where: what says how to get the packages.
        names: as they are imported.

    Raises:
        SystemExit: one of them is not installed.
    """
    missing = [name for name in names if find_spec(name) is None]
    if not missing:
        return
    script, *words = sys.argv
    told = f"{Path(script).name} needs {', '.join(missing)} (not installed): see {where}"
    if {"-h", "--help"} & set(words):
        print(about, told, sep="\n")
        raise SystemExit(0)
    raise SystemExit(told)


def asking(about: str | None) -> ArgumentParser:
    """A parser whose help begins with the text at the top of a script, line by line."""
    return ArgumentParser(description=about, formatter_class=RawDescriptionHelpFormatter)


def left_out(named: Sequence[str], there: Sequence[str]) -> None:
    """End a script if what is to be left out is not there: it would be learnt from unnoticed.

    Args:
        named: as the command line has it.
        there: all that could be left out.

    Raises:
        SystemExit: one of them is not among those.
    """
    known = set(there)
    if strange := sorted(set(named) - known):
        raise SystemExit(
            f"--without: there is no {', '.join(strange)}; there are: {', '.join(sorted(known))}"
        )


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
