"""Things counted in words."""

from __future__ import annotations


def counted(number: int, one: str, many: str = "") -> str:
    """``1 horse``, ``2 horses``, ``0 entries``.

    Args:
        number: how many.
        one: the noun for one.
        many: the noun for any other number, if it is not ``one`` and an s.
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
