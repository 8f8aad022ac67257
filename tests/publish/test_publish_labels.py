"""Labels for bins: their codes are read back from the printed page by an independent decoder."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader

from buildbook.actions.workshop import Workshop
from buildbook.answers.printed import BinContents, LyingPart, bins
from buildbook.errors import BadInput
from buildbook.publish.document import Paper
from buildbook.publish.labels import (
    Sheet,
    label_mm,
    part_said,
    read_grid,
    render_label_pages,
    render_labels,
    require_room,
)
from buildbook.trade.plain import clean

HOSTILE = ('#panic("out")', '"); #read("x") //', "https://example.invalid/a#b?c=d&e", "$ x $ *b* _i_ `r` @a <l>", "A'1")


def bin_of(name: str, *keys: str, note: str = "") -> BinContents:
    return BinContents(name, note, tuple(LyingPart(key, "resistor", "", "") for key in keys))


def codes_on(page: bytes) -> list[Any]:
    """The codes on a page, in reading order: row by row, a row being so many pixels high."""
    found = zxingcpp.read_barcodes(Image.open(BytesIO(page)))
    assert all(one.format == zxingcpp.BarcodeFormat.QRCode for one in found)
    return sorted(found, key=lambda one: (one.position.top_left.y // 20, one.position.top_left.x))


def names_on(page: bytes) -> list[str]:
    return [one.text for one in codes_on(page)]


def text_of(pdf: bytes) -> list[str]:
    return ["".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf), strict=True).pages]


def test_every_code_of_the_demo_says_the_name_of_its_bin_in_the_order_of_the_sheet(demo_to_read: Workshop) -> None:
    found = bins(demo_to_read)
    pages = render_label_pages(found, ppi=150)
    assert len(pages) == -(-len(found) // 24)
    assert [name for page in pages for name in names_on(page)] == [one.name for one in found]


def test_every_bin_and_what_lies_in_it_is_on_paper(demo_to_read: Workshop) -> None:
    said = "".join(text_of(render_labels(bins(demo_to_read))))
    for one in bins(demo_to_read):
        assert "".join(one.name.split()) in said
        for part in one.parts[:3]:
            assert "".join(part_said(part).split()) in said


@pytest.mark.parametrize("name", [*HOSTILE, "Schublade Ø 3, µF ±", "抽屉 3", "Ящик №7", "A01", "W" * 80, "ä" * 80])
def test_any_name_is_read_back_from_its_code_and_printed(name: str) -> None:
    assert names_on(render_label_pages([bin_of(name)], ppi=200)[0]) == [name]
    said = text_of(render_labels([bin_of(name, name, note=name)]))[0]
    if name.isascii():
        assert said.count("".join(name.split())) >= 1


@given(st.text(min_size=1, max_size=40).map(lambda text: clean(text, limit=100)).filter(bool))
@settings(deadline=None, max_examples=25)
def test_whatever_a_bin_is_called_its_code_says_it(name: str) -> None:
    found = codes_on(render_label_pages([bin_of(name)], Sheet(2, 5), ppi=150)[0])
    assert [one.bytes.decode() for one in found] == [name]


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 595.28, 841.89), ("us-letter", 612.0, 792.0)])
def test_the_sheet_has_its_size(paper: Paper, wide: float, high: float) -> None:
    # ISO 216: A4 is 210 x 297 mm. ANSI Y14.1: letter is 8.5 x 11 inch. In points of 1/72 inch.
    box = PdfReader(BytesIO(render_labels([bin_of("A01")], Sheet(paper=paper)))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((wide, high), abs=0.01)


def test_labels_lie_where_the_sheet_has_them_and_used_places_stay_empty() -> None:
    sheet = Sheet(2, 5, "a4", side_mm=10, top_mm=12, skip=3)
    wide, high = label_mm(sheet)
    assert (wide, high) == pytest.approx((95.0, 54.6))
    dots = 150 / 25.4
    first = render_label_pages([bin_of(f"B{at}") for at in range(9)], sheet, ppi=150)
    assert [names_on(page) for page in first] == [[f"B{at}" for at in range(7)], ["B7", "B8"]]
    for at, one in enumerate(codes_on(first[0]), start=3):
        column, row = at % 2, at // 2
        corner = one.position.top_left
        assert 10 + column * wide < corner.x / dots < 10 + (column + 0.4) * wide
        assert 12 + row * high < corner.y / dots < 12 + (row + 1) * high


def test_printed_twice_it_is_the_same_byte_for_byte(demo_to_read: Workshop) -> None:
    assert render_labels(bins(demo_to_read)) == render_labels(bins(demo_to_read))


def test_a_full_bin_says_how_many_more_there_are() -> None:
    said = text_of(render_labels([bin_of("A01", *(f"R-{at}" for at in range(200)))]))[0]
    more = re.search(r"and(\d+)more", said)
    assert more
    shown = said.count("R-")
    assert shown >= 5
    assert shown + int(more[1]) == 200


def test_an_empty_bin_has_its_name_and_its_note() -> None:
    assert text_of(render_labels([bin_of("Z9", note="spare drawer")]))[0].replace("\u200b", "") == "Z9sparedrawer"


def test_a_part_is_said_by_its_key_and_what_the_key_does_not_say() -> None:
    assert part_said(LyingPart("R-4K7-0.6W", "resistor", "Resistor", "4k7 0.6W")) == "R-4K7-0.6W"
    assert part_said(LyingPart("C-100N", "capacitor", "", "100n PET 630V")) == "C-100N, 100n PET 630V"
    assert part_said(LyingPart("KNOB", "knob", "Knob, black", "")) == "KNOB, Knob, black"


@pytest.mark.parametrize("text", ["3x8", " 3 × 8 ", "3*8"])
def test_a_grid_is_read(text: str) -> None:
    assert read_grid(text) == (3, 8)


@pytest.mark.parametrize("text", ["", "3", "0x8", "3x0", "x", "3x8x2", "-3x8", "3by8", "100x1"])
def test_what_is_no_grid_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not labels across x down"):
        read_grid(text)


@pytest.mark.parametrize(
    ("sheet", "why"),
    [
        (Sheet(12, 3), "One of them would be 16 x 91 mm, and the least is 30 x 18 mm"),
        (Sheet(3, 20), "One of them would be 65 x 14 mm"),
        (Sheet(side_mm=500), "One of them would be 0 x 34 mm"),
        (Sheet(side_mm=-1), "An edge is narrower than nothing"),
        (Sheet(2, 2, skip=4), "A sheet has 4 places, and 4 of them cannot be left out"),
        (Sheet(2, 2, skip=-1), "cannot be left out"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(sheet: Sheet, why: str) -> None:
    with pytest.raises(BadInput, match=re.escape(why)):
        require_room(sheet)


def test_the_least_label_is_still_read_and_a_name_too_long_for_it_is_refused() -> None:
    least = Sheet(7, 16, side_mm=0, top_mm=0)
    assert names_on(render_label_pages([bin_of("A01-SMALL")], least, ppi=300)[0]) == ["A01-SMALL"]
    with pytest.raises(BadInput, match=r"The name “Drawer.*” is too long for a code 9 mm wide"):
        render_labels([bin_of("Drawer with everything that is left over")], least)


@pytest.mark.parametrize(
    "sheet", [Sheet(), Sheet(6, 14, side_mm=5, top_mm=8), Sheet(1, 2), Sheet(7, 16, side_mm=0, top_mm=0)]
)
@pytest.mark.parametrize("note", ["", "what came with the old set, and its screws"])
def test_words_stay_on_their_label_whatever_its_size(sheet: Sheet, note: str) -> None:
    keys = [f"C-100N-{at}V-POLYPROPYLENE" for at in range(100, 160)]
    page = PdfReader(BytesIO(render_labels([bin_of("Drawer 17", *keys, note=note)], sheet))).pages[0]
    found: list[tuple[float, float, str]] = []

    def see(text: str, page_at: list[float], _: object, __: object, size: float) -> None:
        if text.strip():
            # A letter of the fonts used is at least a fifth of its size wide.
            found.append((page_at[4] + 0.2 * size * len(text.strip()), page_at[5], text.strip()))

    page.extract_text(visitor_text=see)
    point = 72 / 25.4
    wide, high = label_mm(sheet)
    top = float(page.mediabox.height) - sheet.top_mm * point
    assert len(found) >= 2
    for right, base, text in found:
        assert right < (sheet.side_mm + wide) * point, text
        assert top - high * point < base < top, text
    assert any(text.endswith("more") for _, _, text in found)
