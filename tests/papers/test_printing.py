"""Documents as HTML, PDF and text, read back by independent readers."""

from __future__ import annotations

import io
from datetime import date
from html.parser import HTMLParser
from xml.etree import ElementTree

import pypdf
import pytest
from PIL import Image

from fieldlog.papers import pdf as pdf_module
from fieldlog.papers.charts import BARS, Panel, Point, Trace, draw, sparkline
from fieldlog.papers.document import (
    Bullets,
    Caution,
    Document,
    Heading,
    Paragraph,
    Picture,
    Signature,
    Table,
)
from fieldlog.papers.html import to_html
from fieldlog.papers.pdf import to_pdf
from fieldlog.papers.plain import to_text

TRACE = Trace("left front", (Point(date(2026, 1, 5), 83.0), Point(date(2026, 2, 16), 84.5)))
PANEL = Panel("Toe length", "mm", (TRACE,))


def paper(title: str = "Visit summary") -> Document:
    return Document(
        title,
        "Wednesday 25 November 2026",
        (("Horse", "Juniper"), ("Owner", "Marta Ellery")),
        (
            Heading("What was seen"),
            Bullets(("left front · thrush, mild",)),
            Bullets(("Pick out the feet every day",), tick_boxes=True),
            Table(("Foot", "Toe"), (("left front", "3 1/4 in"), ("right front", "3 1/4 in"))),
            Caution("Caution: kicks out on the hinds."),
            Caution("Urgent: call the vet today.", urgent=True),
            Picture(draw([PANEL], "Juniper"), "Toe length of the left front"),
            Paragraph("Common practice, no source.", small=True),
            Signature("Sam Hadley"),
        ),
        "Made by fieldlog",
    )


def pdf_text(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def test_pdf_is_read_by_pypdf_with_every_word() -> None:
    data = to_pdf(paper())
    text = " ".join(pdf_text(data).split())
    for words in (
        "Juniper",
        "thrush, mild",
        "3 1/4 in",
        "Urgent: call the vet today.",
        "page 1 of",
    ):
        assert words in text
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.metadata is not None
    assert reader.metadata.title == "Visit summary"
    assert sum(len(page.images) for page in reader.pages) == 1


def test_pdf_sizes() -> None:
    """A4 is 210 x 297 mm (ISO 216); US letter 8.5 x 11 in; a point is 1/72 in."""
    a4 = pypdf.PdfReader(io.BytesIO(to_pdf(paper()))).pages[0].mediabox
    letter = pypdf.PdfReader(io.BytesIO(to_pdf(paper(), "letter"))).pages[0].mediabox
    assert (float(a4.width), float(a4.height)) == pytest.approx((595.28, 841.89), abs=0.1)
    assert (float(letter.width), float(letter.height)) == pytest.approx((612, 792), abs=0.1)
    with pytest.raises(ValueError, match="a4 or letter"):
        to_pdf(paper(), "napkin")


NAMES = ["Жанна", "Ζωή", "Łucja", "馬", "🐴", "عنبر", "a\x00b", "\ud800", "$x$ \\ <b>&"]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("with_dejavu", [True, False])
def test_no_name_stops_a_pdf(name: str, with_dejavu: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not with_dejavu:
        monkeypatch.setattr(pdf_module, "font_folder", lambda: None)
    document = Document(name, name, ((name, name),), (Bullets((name,)), Caution(name)), name)
    assert to_pdf(document).startswith(b"%PDF-")


@pytest.mark.parametrize("name", ["Жанна", "Ζωή", "Łucja"])
def test_greek_cyrillic_and_polish_names_print_as_they_are(name: str) -> None:
    assert name in pdf_text(to_pdf(Document(name)))


def test_long_papers_go_over_pages_and_repeat_the_header() -> None:
    rows = tuple((f"visit {n}", "3 1/4 in") for n in range(120))
    data = to_pdf(Document("Record", blocks=(Table(("Visit", "Toe length"), rows),)))
    pages = [p.extract_text() for p in pypdf.PdfReader(io.BytesIO(data)).pages]
    assert len(pages) > 2
    assert all("Toe length" in page for page in pages)
    assert "visit 119" in pages[-1]


class Reader(HTMLParser):
    """Collects tags and text; the standard library's parser is the independent reader."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.words += data


def test_html_escapes_everything_that_was_said() -> None:
    evil = "<script>alert(1)</script>"
    document = Document(
        evil, evil, ((evil, evil),),
        (Heading(evil), Bullets((evil,)), Table((evil,), ((evil,),)), Caution(evil),
         Paragraph(evil), Signature(evil), Picture(b"", f'"{evil}')),
        evil,
    )  # fmt: skip
    page = to_html(document)
    reader = Reader()
    reader.feed(page)
    assert "script" not in reader.tags
    assert reader.words.count(evil) >= 11


def test_html_stands_alone() -> None:
    page = to_html(paper())
    assert "http" not in page
    assert 'src="data:image/png;base64,' in page
    assert 'alt="Toe length of the left front"' in page


def test_text_keeps_to_its_width() -> None:
    text = to_text(paper(), width=60)
    assert all(len(line) <= 60 for line in text.splitlines())
    assert "[ ] Pick out the feet every day" in text
    assert "!! Urgent: call the vet today." in text
    assert any(line.split() == ["left", "front", "3", "1/4", "in"] for line in text.splitlines())


def test_tables_need_as_many_cells_as_columns() -> None:
    with pytest.raises(ValueError, match="cells"):
        Table(("a", "b"), (("1",),))
    with pytest.raises(ValueError, match="width"):
        Table(("a", "b"), (), widths=(1,))


def test_a_letter_that_the_type_lacks_is_a_box_not_nothing() -> None:
    text = "Ännchen \u674e\u5c0f\u9f99 Śmigły"
    document = Document("Summary", "", (("Owner", text),), ())
    (page,) = pypdf.PdfReader(io.BytesIO(to_pdf(document))).pages
    assert "Ännchen \u25a1\u25a1\u25a1 Śmigły" in page.extract_text()


@pytest.mark.parametrize("lines", range(33, 41))
def test_a_short_paragraph_stays_on_one_page(lines: int) -> None:
    short = "This ends here. " * 12
    blocks = (*(Paragraph(f"Line {n}.") for n in range(lines)), Paragraph(short + "The end."))
    pages = pypdf.PdfReader(io.BytesIO(to_pdf(Document("Summary", "", (), blocks)))).pages
    words = [" ".join(page.extract_text().split()) for page in pages]
    (full,) = [w for w in words if "This ends here" in w]
    assert full.count("This ends here") == 12
    assert "The end." in full


def test_chart_files_are_pictures() -> None:
    png = draw([PANEL, Panel("empty", "mm", ())], "Juniper $x$ <b>")
    with Image.open(io.BytesIO(png)) as image:
        assert image.format == "PNG"
        assert image.width > image.height
    svg = draw([PANEL], "Juniper & co", "svg")
    words = "".join(ElementTree.fromstring(svg).itertext())
    assert "left front" in words
    assert "Juniper & co" in words


def test_a_chart_of_lengths_has_an_axis_in_inches_too() -> None:
    """One inch is 25.4 mm (source: NIST SP 811, B.8)."""
    points = (Point(date(2026, 1, 1), 76.2), Point(date(2026, 3, 1), 101.6))
    panel = Panel("Toe", "mm", (Trace("left front", points),))
    words = list(ElementTree.fromstring(draw([panel], "J", "svg")).itertext())
    assert "in" in words
    assert {"3.0", "4.0"} <= set(words)
    angle = Panel("Toe", "degrees", panel.traces)
    assert "in" not in list(ElementTree.fromstring(draw([angle], "J", "svg")).itertext())


def test_charts_are_the_same_each_time() -> None:
    assert draw([PANEL], "Juniper", "svg") == draw([PANEL], "Juniper", "svg")


def test_hollow_markers_name_the_value_before_the_work() -> None:
    both = Trace("left front", (Point(date(2026, 1, 5), 95.0, before_work=True), TRACE.points[1]))
    words = "".join(
        ElementTree.fromstring(draw([Panel("Toe", "mm", (both,))], "J", "svg")).itertext()
    )
    assert "left front, before" in words


@pytest.mark.parametrize("form", ["gif", ""])
def test_unknown_chart_form(form: str) -> None:
    with pytest.raises(ValueError, match="png or svg"):
        draw([PANEL], "J", form)


def test_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="nothing to draw"):
        draw([Panel("Toe", "mm", (Trace("left front", ()),))], "J")


def test_sparklines() -> None:
    assert sparkline([]) == ""
    assert sparkline([5.0, 5.0]) == BARS[3] * 2
    assert sparkline([0, 7]) == BARS[0] + BARS[7]
    assert sparkline([-5, 99], low=0, high=10) == BARS[0] + BARS[7]


def test_an_empty_line_parts_what_does_not_belong_together() -> None:
    """A table under a list, a list's head under a sentence, the small print under the text."""
    paper = Document(
        "Title",
        blocks=(
            Heading("Seen"),
            Paragraph("Nothing was noted."),
            Paragraph("Done then:"),
            Bullets(("All four: trim.",)),
            Table(("Foot", "Value"), (("left front", "52"),)),
            Paragraph("It stood well."),
            Paragraph("Local rules come first.", small=True),
        ),
    )
    assert to_text(paper).split("----\n", 1)[1] == (
        "Nothing was noted.\n\nDone then:\n- All four: trim.\n\nFoot        Value\n"
        "----------  -----\nleft front  52\n\nIt stood well.\n\nLocal rules come first.\n"
    )
