"""What the search screen shows as text: how to search, the lines that were found: pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content

from fieldlog.app.shown import count, fit, pad, plain

if TYPE_CHECKING:
    from fieldlog.app.afterwards import Found
    from fieldlog.records.types import SearchHit

EXAMPLES = {
    "white line": "the words, in any saved note",
    "thrush foot:hind": "on a hind foot; also LF, left",
    "founder horse:willow": "one horse; also owner: and barn:",
    "finding:crack since:2026-03": "seen since March; also since:spring",
    "trim until:2026-06": "until the end of June",
    "not:thrush": "looked for and not there",
    "toe_length>3.5in": "by a measured value",
    "severity:severe open:yes": "with something still open",
}
WIDE = 76
"""Columns from which what a line finds stands beside it."""


def taught(width: int) -> str:
    """How to search, for a screen of so many columns."""
    wide = width >= WIDE
    lines = (
        f"    {line:29}{what}" if wide else f"  {line}\n      {what}"
        for line, what in EXAMPLES.items()
    )
    return (
        "Type what you look for; Enter goes to what was found.\n\n"
        + "\n".join(lines)
        + "\n\nSayings of the trade are understood both ways: off fore and right front, x rays and "
        "radiographs."
    )


TEACH = taught(WIDE)
HORSE_CELLS = 14
"""Of a row, for the name of the horse; a longer one stands whole below the list."""


def row(hit: SearchHit, width: int) -> Content:
    """``2026-11-25  Juniper        left hind · thrush``, of so many cells."""
    lead = f" {hit.day.isoformat()}  {pad(hit.horse, HORSE_CELLS)} "
    return Content(lead + fit(hit.label or hit.sentence, _room(width)))


def whole(hit: SearchHit, width: int) -> str:
    """What a row of so many cells may have cut, and the words that it was said in."""
    sound = "   (p plays it)" if hit.sound is not None else ""
    said = f"“{plain(hit.sentence)}”{sound}"
    if cell_len(plain(hit.label)) > _room(width):
        said = f"{plain(hit.label)}\n{said}"
    return f"{plain(hit.horse)}: {said}" if cell_len(plain(hit.horse)) > HORSE_CELLS else said


def _room(width: int) -> int:
    """Cells of a row that are left for what was found, behind day and horse."""
    return width - len(" 2026-11-25  ") - HORSE_CELLS - 1


def nothing_found(text: str, read: Found | None) -> str:
    """Why there is nothing, above an empty list."""
    if read is not None and read.unclear:
        return plain(" ".join(read.unclear))
    nothing = f"Nothing was found for “{plain(text)}”." if text else ""
    more = [*read.taken, read.missed] if read is not None else []
    return "\n".join([nothing, *map(plain, filter(None, more))])


def so_many_found(many: int, text: str, read: Found | None) -> str:
    """How many lines there are, and how the search was taken."""
    newest = "the newest " if read is not None and read.cut else ""
    taken = map(plain, read.taken) if read is not None else ()
    return "\n".join([f"{newest}{count(many, 'line')} for “{plain(text)}”", *taken])
