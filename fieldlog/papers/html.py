"""Papers as one self-contained HTML page that prints well."""

from __future__ import annotations

import base64
from pathlib import Path

from fieldlog.papers.document import Document

_TEMPLATES = Path(__file__).parent / "templates"


def to_html(document: Document) -> str:
    """The page. Everything that was dictated or typed is escaped by the template engine."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
    )
    environment.filters["base64"] = lambda data: base64.b64encode(data).decode("ascii")
    blocks = [(type(block).__name__, block) for block in document.blocks]
    return environment.get_template("paper.html").render(doc=document, blocks=blocks)
