"""A document as the kind of file that its name asks for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

from buildbook.errors import BadInput
from buildbook.trade.plain import quote

if TYPE_CHECKING:
    from buildbook.publish.document import Document, Paper

PAPERS = ("a4", "us-letter")
PDF, HTML = ".pdf", ".html"


def render(document: Document, file: Path) -> bytes:
    """The document as PDF or HTML, by the ending of the file; the same document gives the same bytes."""
    require_kind(file, PDF, HTML)
    if file.suffix.casefold() == HTML:
        from buildbook.publish.html import render_html

        return render_html(document).encode()
    from buildbook.publish.typeset import render_pdf

    return render_pdf(document)


def require_kind(file: Path, *endings: str) -> None:
    """Raise BadInput for a file that ends otherwise.

    >>> require_kind(Path("if-board.PDF"), ".pdf", ".html")
    """
    if file.suffix.casefold() not in endings:
        kinds = " or ".join(endings)
        what = f"{quote(file.name, limit=80)} was not written."
        raise BadInput(what, f"What is printed goes into a {kinds} file.", f"Give a name that ends in {kinds}.")


def paper_of(text: str) -> Paper:
    """The paper meant. Raises BadInput for one that is not known here.

    >>> paper_of("US-Letter")
    'us-letter'
    """
    if text.casefold() not in PAPERS:
        raise BadInput(f"There is no paper {quote(text)} here.", "", f"Say {' or '.join(PAPERS)}.")
    return cast("Paper", text.casefold())
