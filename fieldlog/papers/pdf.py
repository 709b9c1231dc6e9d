"""Papers as PDF, with fpdf2.

The type is DejaVu Sans where matplotlib brings it (Latin, Greek, Cyrillic and more); without it
the PDF's built-in Helvetica, which knows Western European letters only. A letter that the type
lacks prints as a box or a question mark, never stops the paper.
"""

from __future__ import annotations

import importlib.util
import io
from pathlib import Path
from typing import Any

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

_MARGIN = 18
_BODY = 10.5
_LINE = 5.2
_BOX = "\N{WHITE SQUARE}"
"""For a letter that the type lacks: left out, a name would read as another one."""
_TOGETHER = 4
"""Lines of a paragraph that are not parted by the end of a page."""


def to_pdf(document: Document, paper: str = "a4") -> bytes:
    """The paper as PDF.

    Args:
        document: what to print.
        paper: ``a4`` or ``letter``.

    Raises:
        ValueError: an unknown paper size.
    """
    if paper not in ("a4", "letter"):
        raise ValueError(f"the paper is a4 or letter, not {paper!r}")
    return _Printer(document, paper).made()


def font_folder() -> Path | None:
    """Where DejaVu Sans lies, found without importing matplotlib."""
    spec = importlib.util.find_spec("matplotlib")
    for place in spec.submodule_search_locations or [] if spec else []:
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if (folder / "DejaVuSans.ttf").is_file():
            return folder
    return None


class _Printer:
    def __init__(self, document: Document, paper: str) -> None:
        import logging

        from fpdf import FPDF

        logging.getLogger("fontTools").setLevel(logging.ERROR)
        logging.getLogger("fpdf").setLevel(logging.ERROR)
        self.document = document
        printer = self

        class Sheet(FPDF):
            def footer(self) -> None:
                printer.footer()

        self.pdf: Any = Sheet(format=paper)
        folder = font_folder()
        if folder is not None:
            self.family = "DejaVu"
            self.pdf.add_font("DejaVu", "", str(folder / "DejaVuSans.ttf"))
            self.pdf.add_font("DejaVu", "B", str(folder / "DejaVuSans-Bold.ttf"))
        else:
            self.family = "Helvetica"
        self.pdf.set_title(self.safe(document.title))
        self.pdf.set_creator("fieldlog")
        self.pdf.set_lang(document.language)
        self.pdf.set_margins(_MARGIN, _MARGIN, _MARGIN)
        self.pdf.set_auto_page_break(True, margin=_MARGIN + 4)
        self.pdf.add_page()

    def made(self) -> bytes:
        self.head()
        for number, block in enumerate(self.document.blocks):
            following = self.document.blocks[number + 1 : number + 2]
            self.block(block, following[0] if following else None)
        return bytes(self.pdf.output())

    def safe(self, text: str) -> str:
        """Text that the type can print."""
        text = "".join(c for c in text if c in "\n\t" or ord(c) >= 32)
        if self.family == "Helvetica":
            return text.encode("latin-1", "replace").decode("latin-1")
        known = self.pdf.fonts["dejavu"].cmap
        return "".join(c if c in "\n\t" or ord(c) in known else _BOX for c in text)

    def type(self, size: float = _BODY, bold: bool = False, grey: int = 0) -> None:
        self.pdf.set_font(self.family, "B" if bold else "", size)
        self.pdf.set_text_color(grey)

    def lines(self, text: str, height: float = _LINE, **more: Any) -> None:
        self.pdf.multi_cell(
            0, height, self.safe(text), align="L", new_x="LMARGIN", new_y="NEXT", **more
        )

    def footer(self) -> None:
        self.pdf.set_y(-_MARGIN)
        self.type(8, grey=80)
        page = f"page {self.pdf.page_no()} of {{nb}}"
        width = self.pdf.epw
        self.pdf.cell(width - 30, 4, self.safe(self.document.footer)[:110], align="L")
        self.pdf.cell(30, 4, page, align="R")

    def head(self) -> None:
        self.type(16, bold=True)
        self.lines(self.document.title, 8)
        if self.document.subtitle:
            self.type(10.5, grey=70)
            self.lines(self.document.subtitle)
        self.pdf.ln(2)
        for label, value in self.document.facts:
            self.type(9.5, grey=70)
            self.pdf.cell(34, _LINE, self.safe(label))
            self.type()
            self.lines(value)
        self.pdf.ln(1)

    def block(self, block: Block, following: Block | None) -> None:
        match block:
            case Heading(text):
                needed = 30 if following is not None else 14
                if self.pdf.will_page_break(needed):
                    self.pdf.add_page()
                self.pdf.ln(3)
                self.type(12, bold=True)
                self.lines(text, 6.5)
                y = self.pdf.get_y()
                self.pdf.set_draw_color(150)
                self.pdf.line(_MARGIN, y, _MARGIN + self.pdf.epw, y)
                self.pdf.ln(1.5)
            case Paragraph(text, small, strong):
                self.type(8.5 if small else _BODY, bold=strong, grey=70 if small else 0)
                self.paragraph(text, 4.3 if small else _LINE)
            case Bullets(items, tick_boxes):
                for item in items:
                    self.bullet(item, tick_boxes)
                self.pdf.ln(1)
            case Table():
                self.table(block)
            case Caution(text, urgent):
                self.caution(text, urgent)
            case Picture(png, caption):
                self.picture(png, caption)
            case Signature(label):
                if self.pdf.will_page_break(20):
                    self.pdf.add_page()
                self.pdf.ln(12)
                y = self.pdf.get_y()
                self.pdf.set_draw_color(0)
                self.pdf.line(_MARGIN, y, _MARGIN + 75, y)
                self.type(9, grey=70)
                self.lines(label)

    def paragraph(self, text: str, height: float) -> None:
        rows = self.pdf.multi_cell(0, height, self.safe(text), dry_run=True, output="LINES")
        if len(rows) <= _TOGETHER and self.pdf.will_page_break(len(rows) * height):
            self.pdf.add_page()
        self.lines(text, height)
        self.pdf.ln(1)

    def bullet(self, item: str, tick_box: bool) -> None:
        self.type()
        if self.pdf.will_page_break(_LINE):
            self.pdf.add_page()
        x, y = self.pdf.get_x(), self.pdf.get_y()
        if tick_box:
            self.pdf.set_draw_color(0)
            self.pdf.rect(x + 0.5, y + 1, 3.2, 3.2)
        else:
            self.pdf.set_fill_color(0)
            self.pdf.ellipse(x + 1.2, y + 2.1, 1.2, 1.2, style="F")
        self.pdf.set_x(x + 6)
        self.pdf.multi_cell(
            self.pdf.epw - 6, _LINE, self.safe(item), align="L", new_x="LMARGIN", new_y="NEXT"
        )

    def table(self, table: Table) -> None:
        from fpdf.fonts import FontFace

        self.type(9)
        self.pdf.set_draw_color(170)
        if table.caption:
            self.type(9, grey=70)
            self.lines(table.caption)
            self.type(9)
        with self.pdf.table(
            col_widths=table.widths or None,
            text_align="LEFT",
            borders_layout="HORIZONTAL_LINES",
            line_height=4.8,
            padding=(0.8, 1.2, 0.8, 0),
            headings_style=FontFace(emphasis="BOLD"),
        ) as drawn:
            for cells in (table.header, *table.rows):
                row = drawn.row()
                for cell in cells:
                    row.cell(self.safe(cell))
        self.pdf.ln(2)

    def caution(self, text: str, urgent: bool) -> None:
        self.type(_BODY, bold=urgent)
        inner = self.pdf.epw - 6
        rows = self.pdf.multi_cell(inner, _LINE, self.safe(text), dry_run=True, output="LINES")
        height = len(rows) * _LINE + 4
        if self.pdf.will_page_break(height + 2):
            self.pdf.add_page()
        self.pdf.ln(1)
        y = self.pdf.get_y()
        self.pdf.set_draw_color(0)
        self.pdf.set_line_width(0.9 if urgent else 0.4)
        self.pdf.rect(_MARGIN, y, self.pdf.epw, height)
        self.pdf.set_line_width(0.2)
        self.pdf.set_xy(_MARGIN + 3, y + 2)
        self.pdf.multi_cell(inner, _LINE, self.safe(text), align="L", new_x="LMARGIN", new_y="NEXT")
        self.pdf.set_y(y + height + 2)

    def picture(self, png: bytes, caption: str) -> None:
        from PIL import Image

        with Image.open(io.BytesIO(png)) as image:
            across, down = image.size
        # At most what leaves room on the page for the heading above and the lines below.
        tallest = self.pdf.eph * 0.78
        width = min(self.pdf.epw, tallest * across / down)
        height = width * down / across
        if self.pdf.will_page_break(height + 8):
            self.pdf.add_page()
        self.pdf.image(io.BytesIO(png), w=width, h=height, alt_text=self.safe(caption))
        self.type(8.5, grey=70)
        self.lines(caption, 4.3)
        self.pdf.ln(1)
