"""How fast a book is bound: a long one, against what typst takes to set a bare document of as many pages."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from typing import Any, cast

from pypdf import PdfReader

from buildbook.answers.record import record
from buildbook.cli.demo import make_demo
from buildbook.publish.book import book
from buildbook.publish.typeset import render_pdf, set_page
from buildbook.store.workshop import Workshop
from tests.bench.race import Ground, Race

PAGES = 60
BARE = """
#let doc = json("document.json")
#for page in range(doc.pages) {
  if page > 0 { pagebreak() }
  for row in range(40) [ Row #row of page #page: what stands on a line of a page, set without a table. #linebreak() ]
}
"""


def bound(ground: Ground) -> Race:
    """The book of the Curlew, its work written down as often as fills sixty pages; but for a trial, as it is."""
    file = ground.folder / "book.db"
    make_demo(file)
    shop = Workshop(file)
    ground.closing.callback(shop.close)
    found = record(shop, "CURLEW")
    while not ground.trial and (pages := pages_of(render_pdf(book(found)))) < PAGES:
        more = found.work[: max(1, len(found.work) * (PAGES - pages) // PAGES)]
        found = replace(found, work=(*found.work, *more))
    pages = pages_of(render_pdf(book(found)))

    def ours() -> bytes:
        return render_pdf(book(found))

    def baseline() -> bytes:
        return cast("bytes", set_page(BARE, {"pages": pages}, {}))

    def agree(one: Any, other: Any) -> bool:
        return pages_of(one) == pages_of(other)

    return Race(f"a book of {pages} pages as a PDF", "typst sets a bare document of as many", 5, ours, baseline, agree)


def pages_of(content: bytes) -> int:
    """How many pages a PDF has."""
    return len(PdfReader(BytesIO(content)).pages)
