"""The feet as they stand under the horse, seen from above, drawn as one table of text: pure.

Left of the horse is left on the screen, the head is at the top, and the sign before a fact says
what its colour says too.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, replace

from rich.cells import set_cell_size
from textual.content import Content

from fieldlog.app.grouping import Part, boxes
from fieldlog.app.shown import fit, plain
from fieldlog.core.facts import Fact, FootBasis
from fieldlog.language.in_words import in_words
from fieldlog.language.wording import describe_feet

LOOK, LOOKED_AT, COMPUTED = "?", "✓", "="
CURSOR = "►"
LEGEND = f"{LOOK} look at it   {LOOKED_AT} looked at   {COMPUTED} worked out, not said"

_GLUE = "\u00a0"
_STYLES = {LOOK: "$text-warning", COMPUTED: "$text-muted"}


@dataclass(frozen=True, slots=True)
class Line:
    """One fact, or one worked-out value, as it stands in a box."""

    text: str
    sign: str = " "
    fact_id: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """The drawn table."""

    content: Content
    rows_of: dict[str, tuple[int, int]]
    """First and last row of each fact, by its id."""


def fact_line(fact: Fact, part: Part, looked_at: bool, british: bool = False) -> Line:
    """A fact as it stands in its box; the box already names the foot, so the line does not."""
    shown = fact
    if part is not Part.HORSE:
        shown = replace(fact, feet=(), foot_basis=FootBasis.WHOLE_HORSE)
    sign = LOOK if fact.needs_look else LOOKED_AT if looked_at else " "
    text = in_words(shown, british)
    if fact.quantity is not None:  # a value and its unit stay on one row
        value = fact.quantity.shown()
        text = text.replace(value, value.replace(" ", _GLUE))
    return Line(text, sign, fact.id)


def part_title(part: Part, british: bool = False) -> str:
    """The heading of a box."""
    feet = {Part.LF: "LF", Part.RF: "RF", Part.LH: "LH", Part.RH: "RH"}
    if part in feet:
        from fieldlog.core.feet import Foot

        return describe_feet((Foot(feet[part]),), british)
    if british and part is Part.FRONTS:
        return "both fores"
    return part.value


def draw(
    facts: Iterable[Fact],
    width: int,
    selected: str = "",
    looked_at: frozenset[str] = frozenset(),
    computed: dict[Part, tuple[str, ...]] | None = None,
    british: bool = False,
) -> Table:
    """Draw the table.

    Args:
        facts: the facts of one entry.
        width: columns of the whole table, at least 24.
        selected: id of the fact under the cursor.
        looked_at: ids of facts accepted or changed by hand.
        computed: worked-out values by box, shown as such.
        british: near fore, off hind... instead of left front, right hind.
    """
    width = max(24, width)
    grouped = boxes(facts)
    worked_out = computed or {}
    lines = {
        part: [fact_line(f, part, f.id in looked_at, british) for f in grouped[part]]
        + [Line(text, COMPUTED) for text in worked_out.get(part, ())]
        for part in Part
    }
    drawing = _Drawing(width, selected)
    titles = {part: part_title(part, british) for part in Part}
    if lines[Part.UNSTATED]:
        drawing.rule("┌┐", left="which foot?")
        drawing.wide(lines[Part.UNSTATED])
    first = "├┤" if lines[Part.UNSTATED] else "┌┐"
    drawing.rule(first, titles[Part.LF], "▲ head", titles[Part.RF])
    drawing.pair(lines[Part.LF], lines[Part.RF])
    below = "├┤"
    if lines[Part.FRONTS]:
        drawing.rule(below, titles[Part.FRONTS], cross="┴")
        drawing.wide(lines[Part.FRONTS])
        drawing.rule(below, titles[Part.LH], "", titles[Part.RH], cross="┬")
    else:
        drawing.rule(below, titles[Part.LH], "", titles[Part.RH], cross="┼")
    drawing.pair(lines[Part.LH], lines[Part.RH])
    cross = "┴"
    if lines[Part.HINDS]:
        drawing.rule(below, titles[Part.HINDS], cross=cross)
        drawing.wide(lines[Part.HINDS])
        cross = "─"
    drawing.rule(below, titles[Part.HORSE], "tail", cross=cross)
    drawing.wide(lines[Part.HORSE])
    drawing.rule("└┘")
    return Table(Content("\n").join(drawing.rows), drawing.rows_of)


class _Drawing:
    """Collects rows; knows the width, the middle and the cursor."""

    def __init__(self, width: int, selected: str) -> None:
        self.width = width
        self.middle = width // 2
        self.selected = selected
        self.rows: list[Content] = []
        self.rows_of: dict[str, tuple[int, int]] = {}

    def rule(
        self, ends: str, left: str = "", centre: str = "", right: str = "", cross: str = "─"
    ) -> None:
        """A horizontal line with headings set into it."""
        row = ["─"] * self.width
        row[0], row[-1] = ends[0], ends[1]
        if cross != "─":
            row[self.middle] = cross
        headings: list[tuple[int, int]] = []
        room = self.width // 2 - (6 if centre else 4)

        def put(at: int, text: str, heading: bool = True) -> None:
            row[at : at + len(text)] = text
            if heading:
                headings.append((at, at + len(text)))

        if left:
            put(1, f" {fit(left, room)} ")
        if right:
            text = f" {fit(right, room)} "
            put(self.width - 1 - len(text), text)
        if centre:
            put(self.middle - (len(centre) + 1) // 2, f" {centre} ", heading=False)
        line = Content.styled("".join(row), "$text-muted")
        for start, end in headings:
            line = Content.assemble(
                line[:start],
                Content.styled(line.plain[start:end], "bold $text"),
                line[end:],
            )
        self.rows.append(line)

    def pair(self, left: list[Line], right: list[Line]) -> None:
        """Two boxes side by side, as high as the higher one."""
        one = self._cells(left, self.middle - 1)
        other = self._cells(right, self.width - self.middle - 2)
        bar = Content.styled("│", "$text-muted")
        for i in range(max(len(one), len(other), 1)):
            a = one[i] if i < len(one) else ("", Content(" " * (self.middle - 1)))
            b = other[i] if i < len(other) else ("", Content(" " * (self.width - self.middle - 2)))
            self._mark(a[0])
            self._mark(b[0])
            self.rows.append(Content.assemble(bar, a[1], bar, b[1], bar))

    def wide(self, lines: list[Line]) -> None:
        """One box across the whole width."""
        bar = Content.styled("│", "$text-muted")
        for fact_id, cell in self._cells(lines, self.width - 2) or [
            ("", Content(" " * (self.width - 2)))
        ]:
            self._mark(fact_id)
            self.rows.append(Content.assemble(bar, cell, bar))

    def _mark(self, fact_id: str) -> None:
        if fact_id:
            row = len(self.rows)
            self.rows_of[fact_id] = (self.rows_of.get(fact_id, (row, row))[0], row)

    def _cells(self, lines: list[Line], width: int) -> list[tuple[str, Content]]:
        out: list[tuple[str, Content]] = []
        for line in lines:
            chosen = bool(line.fact_id) and line.fact_id == self.selected
            style = "reverse bold" if chosen else _STYLES.get(line.sign, "")
            lead = f"{CURSOR if chosen else ' '}{line.sign} "
            pieces = textwrap.wrap(
                plain(line.text),
                max(10, width),
                initial_indent=lead,
                subsequent_indent=" " * 5,
                drop_whitespace=True,
            ) or [lead]
            for piece in pieces:
                cell = Content(set_cell_size(piece.replace(_GLUE, " "), width))
                out.append((line.fact_id, cell.stylize(style) if style else cell))
        return out
