"""The quotation on paper: its figures are those of the answer, and what has no price is named."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from buildbook.actions.workshop import Workshop
from buildbook.answers.cost import UnpricedRow
from buildbook.answers.quote import Quotation, quotation
from buildbook.errors import BadInput
from buildbook.publish.document import Paper, Table
from buildbook.publish.quotation import Terms, price_table, quotation_page, terms_of
from buildbook.publish.rendered import render
from buildbook.trade.money import show_money

DAY = "2026-11-26"
TERMS = Terms(DAY, "2027-01-31", "Mill Lane Radio Club", "The workshop")
PDF, HTML = Path("q.pdf"), Path("q.html")


def pages_of(quote: Quotation, terms: Terms = TERMS, paper: Paper = "a4") -> list[str]:
    pdf = render(quotation_page(quote, terms, paper=paper), PDF)
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf), strict=True).pages]


@pytest.mark.parametrize("build", ["CURLEW", "LINNET", "WREN"])
@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_every_build_of_the_demo_fits_one_page_with_the_figures_of_its_answer(
    demo_to_read: Workshop, build: str, paper: Paper
) -> None:
    quote = quotation(demo_to_read, build, margin_bp=3000, rate_micros=25_000_000)
    pages = pages_of(quote, paper=paper)
    assert len(pages) == 1
    for name, micros in (
        ("Parts", quote.parts_micros),
        ("Cost", quote.cost_micros),
        ("Margin 30 % of the price", quote.margin_micros),
        ("Price 1 unit", quote.price_micros),
    ):
        assert f"{name} {show_money(micros, 'EUR')}" in pages[0]
    for words in ("For Mill Lane Radio Club", "By The workshop", f"Prices as of {DAY}", "Valid until 2027-01-31"):
        assert words in pages[0]
    assert "Currency EUR (ISO 4217)" in pages[0]
    assert "Carriage, duties and taxes are not in it." in pages[0]
    for row in quote.unpriced:
        assert row.key in pages[0]
    for question in quote.open_questions:
        assert question in pages[0]


@pytest.fixture
def plain() -> Quotation:
    return Quotation(
        build="LINNET",
        name="Linnet bench supply",
        currency="EUR",
        units=3,
        parts_micros=60_000_000,
        labour_minutes=3595,
        rate_micros=20_000_000,
        labour_micros=1_198_330_000,
        consumables_micros=1_670_000,
        cost_micros=1_260_000_000,
        margin_bp=3000,
        margin_micros=540_000_000,
        price_micros=1_800_000_000,
        each_micros=600_000_000,
        unpriced=(),
        open_questions=(),
    )


def test_rows_add_up_from_top_to_bottom(plain: Quotation) -> None:
    rows = {row[0]: row for row in price_table(plain).rows}
    assert list(rows) == ["Parts", "Labour", "Consumables", "Cost", "Margin", "Price", "Price of one unit"]
    assert rows["Labour"][1] == "59 h 55 min at 20.00 an hour"
    figures = {name: int(re.sub(r"\D", "", row[2])) for name, row in rows.items()}
    assert figures["Parts"] + figures["Labour"] + figures["Consumables"] == figures["Cost"]
    assert figures["Cost"] + figures["Margin"] == figures["Price"] == 3 * figures["Price of one unit"]
    assert price_table(plain).sums == (3, 5)


def test_labour_without_a_price_of_an_hour_is_not_nothing(plain: Quotation) -> None:
    bare = replace(plain, rate_micros=0, labour_micros=0)
    said = pages_of(bare)[0]
    assert "Labour 59 h 55 min, no price of an hour not in it" in said
    assert "Not in it: the labour of 59 h 55 min, as no price of an hour was given." in said
    assert "no price of an hour" not in pages_of(plain)[0]
    assert "Labour 0.00" in pages_of(replace(bare, labour_minutes=0))[0]


def test_a_few_parts_without_a_price_are_named_in_a_sentence(plain: Quotation) -> None:
    rows = (UnpricedRow("R-10K", "Resistor", "pc", 4), UnpricedRow("WIRE", "Wire", "mm", 2500))
    said = pages_of(replace(plain, unpriced=rows))
    assert len(said) == 1
    assert "Not in it, for want of a price: 2 parts: R-10K (4), WIRE (2.5 m)." in said[0]


def test_many_are_all_named_in_a_table_and_the_first_page_stays_whole(plain: Quotation) -> None:
    rows = tuple(UnpricedRow(f"R-{at}-TEST", "Resistor", "pc", at) for at in range(1, 301))
    pages = pages_of(replace(plain, unpriced=rows))
    assert len(pages) > 3
    assert "Not in it, for want of a price: the 300 parts named at the end." in pages[0]
    assert "Date and signature" in pages[0]
    assert all(f"R-{at}-TEST Resistor {at}" in " ".join(pages) for at in range(1, 301))
    assert all("part name quantity" in page for page in pages)


def test_what_is_not_told_is_left_to_write_in(plain: Quotation) -> None:
    said = pages_of(plain, Terms(""))[0]
    for name in ("For", "By", "Prices as of", "Valid until"):
        assert f"{name} ____" in said


def test_hostile_names_are_printed_and_not_obeyed(plain: Quotation) -> None:
    words = '#panic("out") $x$ <script>alert(1)</script>'
    rows = (UnpricedRow(words, words, "pc", 1),)
    hostile = replace(plain, name=words, unpriced=rows, open_questions=(words,))
    said = "".join("".join(pages_of(hostile, Terms(DAY, "", words, words))).split())
    assert said.count("".join(words.split())) == 6
    page = render(quotation_page(hostile, Terms(DAY, "", words, words)), HTML).decode()
    assert "<script" not in page
    assert page.count("&lt;script&gt;") == 6


@pytest.mark.parametrize("file", [PDF, HTML])
def test_printed_twice_it_is_the_same_byte_for_byte(plain: Quotation, file: Path) -> None:
    assert render(quotation_page(plain, TERMS), file) == render(quotation_page(plain, TERMS), file)


def test_sums_stand_out_in_html_too(plain: Quotation) -> None:
    page = render(quotation_page(plain, TERMS), HTML).decode()
    assert page.count('<tr class="sum">') == 2
    assert '<tr class="sum"><td>Price</td><td>3 units</td><td class="right">1800.00</td></tr>' in page


def test_terms_are_read_and_a_day_that_is_over_is_refused() -> None:
    assert terms_of(DAY, "2026-11-26", " A  B ").valid_until == DAY
    assert terms_of(DAY).valid_until == ""
    with pytest.raises(BadInput, match="“soon” is no day"):
        terms_of(DAY, "soon")
    with pytest.raises(BadInput, match="valid until 2026-11-25, and its prices are of 2026-11-26"):
        terms_of(DAY, "2026-11-25")


def test_there_is_one_table_of_figures(plain: Quotation) -> None:
    assert sum(isinstance(block, Table) for block in quotation_page(plain, TERMS).blocks) == 1
