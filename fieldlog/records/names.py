"""Names as they are kept and compared: accents, spellings, sounds."""

from __future__ import annotations

import unicodedata

import jellyfish
from rapidfuzz import fuzz

from fieldlog.errors import InputError

CLOSE_NAME = 80
"""rapidfuzz ratio (0 to 100) from which a name is offered as a likely spelling."""


def likeness(wanted: str, name: str) -> float:
    """How like two names are, 0 to 100; both as ``key_of`` has them."""
    score = fuzz.ratio(wanted, name)
    # Digits and letters of other scripts have no sound here: they would all sound alike.
    if (sound := jellyfish.metaphone(wanted)) and sound == jellyfish.metaphone(name):
        score = max(score, 90.0)
    if name.startswith(wanted) and len(wanted) >= 3:
        score = max(score, 85.0)
    return float(score)


def composed(text: str) -> str:
    """Letters with their accents as one character each.

    A Mac takes names of files apart into letter and accent; two names that look alike were two
    names (source: Unicode Standard Annex 15, form NFC).
    """
    return unicodedata.normalize("NFC", text)


def key_of(name: str) -> str:
    """A name as it is compared."""
    return composed(name.strip().casefold())


def clean_name(name: str, what: str) -> str:
    """A name as it is kept, single spaces between its words.

    Raises:
        InputError: nothing is left of it; ``what`` says of what it was to be the name.
    """
    clean = composed(" ".join(name.split()))
    if not clean:
        raise InputError(f"A {what} needs a name.", "Type one.")
    return clean
