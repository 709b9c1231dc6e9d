"""The few parts that every paper is made of, whatever it is written as."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Heading:
    """A section's title."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str
    small: bool = False
    """Fine print: sources, assumptions."""
    strong: bool = False
    """A line that heads what follows it."""


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of short lines."""

    items: tuple[str, ...]
    tick_boxes: bool = False
    """A box to tick before each line."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a header; every row has as many cells as the header."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...] = ()
    """Relative widths of the columns; equal if empty."""
    caption: str = ""

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row) != len(self.header):
                raise ValueError("every row of a table needs as many cells as its header")
        if self.widths and len(self.widths) != len(self.header):
            raise ValueError("a table needs one width for each column")


@dataclass(frozen=True, slots=True)
class Caution:
    """A framed warning. Its first word says what it is, so it also works without colour."""

    text: str
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart."""

    png: bytes
    caption: str
    """Says in words what the picture shows."""


@dataclass(frozen=True, slots=True)
class Signature:
    """A line to sign on."""

    label: str


Block = Heading | Paragraph | Bullets | Table | Caution | Picture | Signature


@dataclass(frozen=True, slots=True)
class Document:
    """A whole paper."""

    title: str
    subtitle: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    """Label and value pairs for the head: horse, owner, date, farrier..."""
    blocks: tuple[Block, ...] = ()
    footer: str = ""
    """Printed at the foot of every page."""
    language: str = field(default="en")


def bullets_or(items: Sequence[str], otherwise: str) -> Block:
    """A list, or a sentence if there is nothing to list."""
    return Bullets(tuple(items)) if items else Paragraph(otherwise)
