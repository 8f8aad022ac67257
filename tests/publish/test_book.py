"""The book: its figures are those of the record, hostile names break out of nothing, photos fit or are said to lack."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import html5lib
import pytest
from PIL import Image
from pypdf import PdfReader

from buildbook.answers.record import Record, record
from buildbook.answers.record_story import Attached
from buildbook.publish.book import book
from buildbook.publish.book_pictures import MOST_PIXELS, printable
from buildbook.publish.document import Document, Facts, Picture, Table, Text
from buildbook.publish.html import render_html
from buildbook.publish.typeset import render_pdf
from buildbook.store.workshop import Workshop
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit, show_quantity

HOSTILE = '</title><script>alert(1)</script> #panic("x") $x^2$ \\ "]\x1b[31m'


@pytest.fixture
def told(demo: Workshop) -> Record:
    return record(demo, "CURLEW")


def cells(document: Document) -> set[str]:
    return {cell for block in document.blocks if isinstance(block, Table) for row in block.rows for cell in row}


def test_every_figure_of_the_record_stands_in_the_book(told: Record) -> None:
    made = book(told)
    found = cells(made)
    facts = {said for block in made.blocks if isinstance(block, Facts) for _, said in block.pairs}
    assert {row.key for row in told.lines} <= found
    assert {show_quantity(row.qty, Unit(row.unit)) for row in told.lines} <= found
    assert {show_money(row.total, told.cost.currency) for row in told.cost.sections} <= found
    assert f"{show_money(told.cost.total_micros, told.cost.currency)} {told.cost.currency}" in facts
    readings = "\n".join(found)
    assert all(one.text in readings for row in told.points for one in row.readings)
    said = "\n".join(block.text for block in made.blocks if isinstance(block, Text))
    assert all(row.said in said for row in told.supplies)


def test_hostile_names_break_out_of_nothing(told: Record) -> None:
    sections = tuple(replace(row, name=HOSTILE) for row in told.sections)
    lines = tuple(replace(row, value=HOSTILE, note=HOSTILE) for row in told.lines[:5])
    snags = tuple(replace(row, title=HOSTILE, cause=HOSTILE) for row in told.snags)
    made = book(replace(told, name=HOSTILE, sections=sections, lines=lines, snags=snags))
    page = render_html(made)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page
    text = "".join(one.extract_text() for one in PdfReader(BytesIO(render_pdf(made))).pages)
    assert "#panic" in text


def jpeg(wide: int, high: int) -> bytes:
    held = BytesIO()
    Image.new("RGB", (wide, high), "grey").save(held, "JPEG")
    return held.getvalue()


def test_a_huge_photo_is_made_small_and_a_broken_one_is_none() -> None:
    made = printable(jpeg(5000, 3000), "image/jpeg")
    assert made is not None
    with Image.open(BytesIO(made[0])) as found:
        assert max(found.size) == MOST_PIXELS
    assert printable(b"no photo at all", "image/jpeg") is None
    assert printable(jpeg(500, 300)[:300], "image/jpeg") is None


def test_a_photo_that_is_missing_is_said_to_be(told: Record) -> None:
    one = Attached("ab" * 32, "case.jpg", "image/jpeg", "The case", "2026-11-01T10:00:00Z", "section", "CURLEW/CASE")
    with_photo = replace(told, attached=(one,))
    there = book(with_photo, photo=lambda _: jpeg(40, 30))
    assert any(isinstance(block, Picture) and block.alt == "The case" for block in there.blocks)
    missing = [block.text for block in book(with_photo).blocks if isinstance(block, Text) and "SHA" in block.text]
    assert missing == [f"A photo belongs here that is missing: The case (SHA-256 {'ab' * 32})."]
