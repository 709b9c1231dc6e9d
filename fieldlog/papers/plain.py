"""Papers as plain text, for a terminal or a message."""

from __future__ import annotations

import textwrap

from fieldlog.papers.document import (
    Block,
    Bullets,
    Caution,
    Document,
    Heading,
    Paragraph,
    Picture,
    Signature,
    Table,
)


def to_text(document: Document, width: int = 80) -> str:
    """The paper's words in lines of at most ``width`` characters (tables may wrap in cells)."""
    out = [document.title, "=" * min(width, len(document.title))]
    if document.subtitle:
        out.append(document.subtitle)
    if document.facts:
        label_width = max(len(label) for label, _ in document.facts)
        out.append("")
        out += [f"{label:<{label_width}}  {value}" for label, value in document.facts]
    before: Block | None = None
    for block in document.blocks:
        if _apart(before, block) and (before or document.facts):
            out.append("")
        before = block
        match block:
            case Heading(text):
                out += ["", text, "-" * min(width, len(text))]
            case Paragraph(text=text):
                out += textwrap.wrap(text, width) or [""]
            case Bullets(items, tick_boxes):
                mark = "[ ] " if tick_boxes else "- "
                for item in items:
                    out += textwrap.wrap(
                        item, width, initial_indent=mark, subsequent_indent=" " * len(mark)
                    )
            case Table():
                out += _table(block, width)
            case Caution(text, urgent):
                mark = "!! " if urgent else "!  "
                out += textwrap.wrap(text, width, initial_indent=mark, subsequent_indent="   ")
            case Picture(_, caption):
                out += textwrap.wrap(f"[chart: {caption}]", width)
            case Signature(label):
                out += ["", "_" * 30, label]
    if document.footer:
        out += ["", *textwrap.wrap(document.footer, width)]
    return "\n".join(out) + "\n"


def _apart(before: Block | None, block: Block) -> bool:
    """Whether an empty line stands before a block; a heading brings its own."""
    if isinstance(before, Heading) or isinstance(block, (Heading, Signature)):
        return False
    if before is None:
        return True
    if isinstance(block, Paragraph):
        return not isinstance(before, Paragraph) or _begins_anew(before, block)
    if isinstance(block, Table):
        return True
    return isinstance(block, Caution) and isinstance(before, (Bullets, Table))


def _begins_anew(before: Paragraph, block: Paragraph) -> bool:
    """Whether a paragraph belongs to what follows it, or is the small print below."""
    heads_a_list = block.text.endswith(":")
    return block.strong or heads_a_list or (block.small and not before.small)


def _table(table: Table, width: int) -> list[str]:
    count = len(table.header)
    room = max(count * 4, width - 2 * (count - 1))
    natural = [
        max(len(row[i]) for row in (table.header, *table.rows)) if table.rows else len(h)
        for i, h in enumerate(table.header)
    ]
    if sum(natural) <= room:
        sizes = natural
    else:
        sizes = [min(n, max(4, room // count)) for n in natural]
        spare = room - sum(sizes)
        for i in sorted(range(count), key=lambda i: natural[i]):
            more = min(spare, natural[i] - sizes[i])
            sizes[i] += more
            spare -= more
    lines = [table.caption] if table.caption else []
    lines += _row(table.header, sizes)
    lines.append("  ".join("-" * size for size in sizes))
    for row in table.rows:
        lines += _row(row, sizes)
    return lines


def _row(cells: tuple[str, ...], sizes: list[int]) -> list[str]:
    wrapped = [textwrap.wrap(c, s) or [""] for c, s in zip(cells, sizes, strict=True)]
    height = max(len(w) for w in wrapped)
    return [
        "  ".join(
            (w[i] if i < len(w) else "").ljust(s) for w, s in zip(wrapped, sizes, strict=True)
        ).rstrip()
        for i in range(height)
    ]
