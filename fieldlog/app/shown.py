"""Names and words made harmless for the terminal.

Everything that was spoken, typed or imported passes through here before a widget shows it: control
characters (terminal escape codes), direction overrides and line breaks cannot reach the screen, and
text is never read as markup because widgets are given ``Content``, not strings.
"""

from __future__ import annotations

import unicodedata

from rich.cells import cell_len, set_cell_size
from textual.content import Content

from fieldlog.core.counting import counted

_SPACES = {"\t": " ", "\n": " ", "\r": " ", "\u2028": " ", "\u2029": " "}


def plain(text: str, longest: int = 2000) -> str:
    """``text`` without control, format or private characters, cut to ``longest``.

    Line breaks and tabs become spaces, so that one name is always one line.
    """
    kept = []
    for character in text:
        if character in _SPACES:
            kept.append(" ")
        elif unicodedata.category(character) not in ("Cc", "Cf", "Co", "Cs", "Cn"):
            kept.append(character)
    joined = "".join(kept)
    return joined if len(joined) <= longest else joined[: longest - 1] + "…"


def content(text: str, style: str = "") -> Content:
    """Harmless text for a widget, in one style."""
    return Content.styled(plain(text), style) if style else Content(plain(text))


def fit(text: str, width: int) -> str:
    """One line of at most ``width`` cells; an ellipsis marks what was cut.

    A cell is what the terminal gives one Latin letter; a Chinese sign or an emoji takes two.
    """
    text = plain(text)
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(0, width - 1)).rstrip() + "…" if width > 0 else ""


def pad(text: str, width: int) -> str:
    """``fit``, filled with spaces to exactly ``width`` cells."""
    return set_cell_size(fit(text, width), width)


def count(number: int, one: str, many: str = "") -> str:
    """``1 note``, ``3 notes``, ``no notes``."""
    return counted(number, one, many) if number else f"no {many or one + 's'}"
