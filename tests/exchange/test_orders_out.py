"""Orders written out: the columns wanted, text to paste, the supplier's own currency, and no cell that runs."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl import load_workbook

from buildbook.actions import buying, column_sets, drafts, stores, terms
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.order_out import OrderOut, OutRow, columns_of, known_sets, order_out
from buildbook.answers.order_sum import order_sum
from buildbook.errors import BadInput
from buildbook.exchange.orders_out import Written, as_text, cells_of, write_out
from buildbook.trade.order_columns import COLUMNS, TO_PASTE, USUAL

ROW = OutRow("TERN", "TW11", "IFT", "", "", "", "", "pc", 20, 7_800_000, 1, 156_000_000, "EUR", None, "", "")


@pytest.fixture
def market(shop: Workshop) -> Workshop:
    for supplier in ("TERN", "CAIRN"):
        buying.new_supplier(shop, supplier)
    for key in ("IFT", "CHOKE"):
        stores.new_part(shop, key)
    return shop


def written(*rows: OutRow, columns: tuple[str, ...] = TO_PASTE) -> Written:
    return Written("T-1", columns, (OrderOut("T-1", "TERN", rows),))


def test_text_to_paste_is_aligned_or_parted_by_tabs() -> None:
    rows = (ROW, ROW._replace(order_code="TW-1600", qty=5))
    assert as_text(written(*rows)) == "TW11     20\nTW-1600   5\n"
    assert as_text(written(*rows), tabs=True) == "TW11\t20\nTW-1600\t5\n"


@example("=1+1")
@example("@SUM(A1)")
@example("\t-1")
@given(st.text(max_size=20))
def test_no_cell_of_a_text_runs_as_a_formula_or_breaks_the_row(code: str) -> None:
    said = as_text(written(ROW._replace(order_code=code)), tabs=True)
    first, tab, qty = said.rstrip("\n").partition("\t")
    assert (tab, qty) == ("\t", "20")
    assert said.count("\n") == 1
    assert first[:1] not in ("=", "+", "-", "@")


def test_csv_and_workbook_have_the_columns_named(tmp_path: Path) -> None:
    one = written(ROW._replace(order_code="=1+1"), columns=("order_code", "qty", "line_price"))
    assert write_out([one], tmp_path, "csv") == [tmp_path / "order-T-1.csv"]
    with (tmp_path / "order-T-1.csv").open(newline="") as file:
        assert list(csv.reader(file)) == [["Order code", "Qty", "Line price"], ["'=1+1", "20", "156.00"]]
    write_out([one], tmp_path / "o.xlsx")
    sheet = load_workbook(tmp_path / "o.xlsx").worksheets[0]
    assert [[cell.value for cell in row] for row in sheet][1] == ["=1+1", 20, 156]
    assert sheet["A2"].data_type == "s"
    with pytest.raises(BadInput, match=r"written as \.csv, \.xlsx or \.txt"):
        write_out([one], tmp_path / "o.doc")
    with pytest.raises(BadInput, match="There are csv, xlsx, text, tabs"):
        write_out([one], tmp_path, "pdf")


def test_suppliers_who_want_different_columns_share_a_file_with_the_usual_ones(tmp_path: Path) -> None:
    write_out([written(ROW), written(ROW, columns=("qty",))], tmp_path / "all.csv")
    with (tmp_path / "all.csv").open(newline="") as file:
        assert next(csv.reader(file)) == [COLUMNS[column] for column in USUAL]


def test_columns_are_remembered_by_name_and_for_a_supplier(market: Workshop) -> None:
    assert columns_of(market, "TERN") == USUAL
    assert columns_of(market, "TERN", to_paste=True) == TO_PASTE
    column_sets.keep_columns(market, "form", "Order code, qty", "tern")
    assert columns_of(market, "TERN") == ("order_code", "qty")
    column_sets.keep_columns(market, "other", "part,qty,note", "TERN")
    assert columns_of(market, "TERN", to_paste=True) == ("part", "qty", "note")
    assert columns_of(market, "CAIRN", "FORM") == ("order_code", "qty")
    assert [(row.name, row.supplier) for row in known_sets(market).rows] == [("form", ""), ("other", "TERN")]
    column_sets.drop_columns(market, "Other")
    assert columns_of(market, "TERN") == USUAL
    with pytest.raises(BadInput, match=r"There is no column “colour”\. There are supplier, order_code, .*, note\."):
        column_sets.keep_columns(market, "form", "qty,colour")
    with pytest.raises(BadInput, match="One is named twice"):
        column_sets.keep_columns(market, "form", "qty,qty")
    with pytest.raises(BadInput, match="There are form"):
        columns_of(market, "TERN", "nothing")
    with pytest.raises(BadInput, match="There are no columns “x”"):
        column_sets.drop_columns(market, "x")


def test_a_foreign_order_is_written_in_the_suppliers_own_currency(market: Workshop) -> None:
    terms.set_rate(market, "JPY", "0.0062")
    terms.set_terms(market, "CAIRN", currency="JPY", shipping="800", tax="10")
    # 1,250 JPY and 33 JPY at 0.0062 are 7.75 and 0.2046 EUR.
    lines = [OrderLine("IFT", 2, 7_750_000, order_code="K1"), OrderLine("CHOKE", 10, 204_600, order_code="K2")]
    drafts.draft_order(market, "J-1", "CAIRN", lines, note="by air")
    drafts.place_draft(market, "J-1")
    terms.set_rate(market, "JPY", "0.0070")
    rows = order_out(market, "j-1").rows
    wanted = ("order_code", "qty", "price", "line_price", "currency", "note")
    assert [cells_of(row, wanted) for row in rows] == [
        ("K1", 2, Decimal(1250), Decimal(2500), "JPY", "by air"),
        ("K2", 10, Decimal(33), Decimal(330), "JPY", "by air"),
    ]
    # 2,830 of goods, 10 % tax on them, 800 postage.
    answer = order_sum(market, "J-1")
    assert answer.foreign_total_micros == 3_913_000_000
    assert answer.total_micros == 17_546_000 + 1_754_600 + 4_960_000
    assert answer.sentence == ("Order J-1, placed: goods 17.55, postage 4.96, tax 1.75: 24.26 EUR, 3913 JPY at 0.0062.")
