"""A document as the kind of file that its name asks for."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, cast

from buildbook.errors import BadInput
from buildbook.trade.plain import quote

if TYPE_CHECKING:
    from buildbook.publish.document import Document, Paper

PAPERS = ("a4", "us-letter")
PDF, HTML, MARKDOWN, TEXT = ".pdf", ".html", ".md", ".txt"


def render(document: Document, file: Path) -> bytes:
    """The document as PDF, HTML, Markdown or plain text, by the ending; the same document gives the same bytes."""
    require_kind(file, PDF, HTML, MARKDOWN, TEXT)
    match file.suffix.casefold():
        case ".html":
            from buildbook.publish.html import render_html

            return render_html(document).encode()
        case ".md":
            from buildbook.publish.markdown import render_markdown

            return render_markdown(document).encode()
        case ".txt":
            from buildbook.publish.plaintext import render_text

            return render_text(document).encode()
        case _:
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
