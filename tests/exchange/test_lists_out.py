"""Lists out: what is written comes in again as it was, a row a line or a row a designator, CSV or XLSX."""

from __future__ import annotations

import csv
import io
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from buildbook.actions import boards, checks, lists, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import board
from buildbook.answers.stores import stores as all_stores
from buildbook.errors import BadInput
from buildbook.exchange.boards import apply, prepare
from buildbook.exchange.gathering import Asked
from buildbook.exchange.out import LIST_HEADINGS, STOCK_HEADINGS, list_rows, money, stock_rows, write_list
from buildbook.exchange.stores import apply as apply_stock
from buildbook.exchange.stores import prepare as prepare_stock
from buildbook.trade.plain import clean
from buildbook.trade.refdes import read_refs

HOSTILE = [
    *("=cmd|' /C calc'!A0", "@SUM(1+1)", "+1+1", "-2+3", "\tTab", "'=1", "''=1", "=1+1", "\x1b[31mred\x1b[0m"),
    *('a "quoted" one', "a, b; c | d", "two\nlines", "[bold]rich[/bold]", "007", "1E5", "NA", "NULL", "yes", "DNF"),
    *("Total", "\u202eevil", "naïve café Ω µ", "抵抗", "#N/A", "TRUE", "2027-03-14", " "),
]
# Text of any sort, and what is known to be trouble in a list (OWASP, CSV Injection; RFC 4180).
texts = st.sampled_from(HOSTILE) | st.text(max_size=20)


class Part(NamedTuple):
    """A part as it may be called."""

    key: str
    kind: str
    name: str
    value: str
    package: str
    unit: str


class Line(NamedTuple):
    """A line as it may stand in a parts list; `part` is a place among the parts."""

    part: int
    extra: int
    refs: int
    fitted: bool
    loss_bp: int
    option: str
    note: str


parts = st.builds(
    Part,
    key=texts,
    kind=st.sampled_from(["resistor", "capacitor", "valve", "wire", "other", "potentiometer"]),
    name=texts,
    value=texts | st.sampled_from(["4k7", "10k DNF", "100n 63V", "DNF"]),
    package=texts,
    unit=st.sampled_from(["pc", "pc", "mm", "mg", "ul"]),
)
lines = st.builds(
    Line,
    part=st.integers(0, 5),
    extra=st.sampled_from([0, 0, 0, 1, 2499]),
    refs=st.integers(0, 4),
    fitted=st.booleans(),
    loss_bp=st.sampled_from([0, 0, 1, 250, 10_000]),
    option=st.sampled_from(["", "", "RECT:VALVE", "RECT:SIL"]),
    note=texts,
)


def a_workshop(template: Path, folder: Path, some: list[Part]) -> tuple[Workshop, list[str]]:
    """A fresh workshop with two boards, a question and these parts; and the keys of those that could be made."""
    path = folder / "curlew.db"
    for old in folder.glob("curlew.db*"):
        old.unlink()
    shutil.copyfile(template, path)
    shop = Workshop(path)
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    boards.new_assembly(shop, "CURLEW", "COPY", "The same again")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "Valve", "SIL": "Silicon diodes"})
    keys: dict[str, str] = {}
    for part in some:
        key = clean(part.key)
        if key and key.casefold() not in keys:
            made = part._replace(key=key)
            keys[key.casefold()] = stores.new_part(shop, **made._asdict())
    return shop, list(keys.values())


def fill(shop: Workshop, keys: list[str], some: list[Line]) -> None:
    """Lines without a designator twice; pieces may be more than their designators."""
    units = dict(shop.reads.execute("SELECT key, unit FROM part").fetchall())
    number = 0
    for line in some:
        key = keys[line.part % len(keys)]
        refs = [f"R{number + place}" for place in range(1, line.refs + 1)]
        number += line.refs + 1
        qty = line.refs + line.extra
        if units[key] != "pc":
            qty = max(1, line.extra * 17)
        lists.add_line(
            shop,
            "CURLEW/IF",
            key,
            max(1, qty),
            ", ".join(refs),
            fitted=line.fitted,
            loss_bp=line.loss_bp,
            option=line.option or None,
            note=line.note,
        )


def stands(shop: Workshop, code: str) -> Counter[tuple[object, ...]]:
    """All that a list says of each designator, and how many there are of what; alike lines with designators are one."""
    found: Counter[tuple[object, ...]] = Counter()
    for row in board(shop, code).lines:
        said = (row.key, row.state == "not fitted", row.loss_bp, row.option, row.note)
        refs = read_refs(row.refs)
        found.update((*said, ref) for ref in refs)
        found[(*said, "together") if refs else (*said, "alone", row.qty)] += row.qty
    return found


@pytest.mark.parametrize("single", [False, True])
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(some_parts=st.lists(parts, max_size=5), some_lines=st.lists(lines, min_size=1, max_size=8))
def test_export_then_import_is_the_identity(
    tmp_path: Path, template: Path, ending: str, single: bool, some_parts: list[Part], some_lines: list[Line]
) -> None:
    shop, keys = a_workshop(template, tmp_path, [*some_parts, Part("SP-M3", "hardware", "Spacer", "", "", "pc")])
    fill(shop, keys, some_lines)
    path = tmp_path / f"if.{ending}"
    rows = list_rows(board(shop, "CURLEW/IF"), single=single)
    write_list(path, "IF", LIST_HEADINGS, rows)
    again = prepare(shop, path, "CURLEW/IF")
    assert (again.plan.faults, again.plan.questions, again.plan.changes) == ((), (), ())
    assert len(again.difference.same) == len(some_lines)
    # Into an empty section as well, where nothing tells of quantities that differ from their designators.
    apply(shop, prepare(shop, path, "CURLEW/COPY", Asked(trust="qty")))
    assert stands(shop, "CURLEW/COPY") == stands(shop, "CURLEW/IF")
    shop.close()


@pytest.fixture
def curlew(template: Path, tmp_path: Path) -> Iterator[Workshop]:
    """An IF board with two lines, of which one is named like a formula."""
    some = [Part("=cmd()", "resistor", "@name", "4k7", "0207", "pc"), Part("W-RED", "wire", "Red wire", "", "", "mm")]
    shop, _ = a_workshop(template, tmp_path, some)
    lists.add_line(shop, "CURLEW/IF", "=cmd()", refs="R1-R3", loss_bp=250, note="-- hot --")
    lists.add_line(shop, "CURLEW/IF", "W-RED", "2.5 m", refs="W1", fitted=False)
    yield shop
    shop.close()


def test_a_line_is_a_row_or_a_designator_is(curlew: Workshop) -> None:
    wire = ("W1", "2.5 m", "W-RED", "", "", "", "wire", "Red wire", "no", "", "", "")
    grouped = list_rows(board(curlew, "CURLEW/IF"))
    assert [row[:3] for row in grouped] == [("R1-R3", 3, "=cmd()"), wire[:3]]
    single = list_rows(board(curlew, "CURLEW/IF"), single=True)
    assert [row[:3] for row in single] == [("R1", 1, "=cmd()"), ("R2", 1, "=cmd()"), ("R3", 1, "=cmd()"), wire[:3]]
    assert single[-1] == wire
    assert str(grouped[0][10]) == "2.50"


def test_no_cell_runs_as_a_formula_and_none_is_changed_for_good(curlew: Workshop, tmp_path: Path) -> None:
    """OWASP, CSV Injection: no cell begins with = + - @ tab or return; RFC 4180: lines end with CRLF."""
    path = tmp_path / "if.csv"
    write_list(path, "IF", LIST_HEADINGS, list_rows(board(curlew, "CURLEW/IF")))
    raw = path.read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n") == 3
    cells = [cell for row in csv.reader(io.StringIO(raw.decode(), newline="")) for cell in row]
    assert not [cell for cell in cells if cell[:1] in tuple("=+-@\t\r")]
    assert {"'=cmd()", "'@name", "'-- hot --"} <= set(cells)
    assert prepare(curlew, path, "CURLEW/IF").plan.changes == ()
    book = tmp_path / "if.xlsx"
    write_list(book, "IF", LIST_HEADINGS, list_rows(board(curlew, "CURLEW/IF")))
    sheet = load_workbook(book).active
    assert sheet is not None
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}, "no formulas"


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_stock_comes_back_as_it_went_out(curlew: Workshop, tmp_path: Path, ending: str) -> None:
    for part, place, qty in (("=cmd()", "A1", 40), ("=cmd()", "-B-", 2), ("W-RED", "A1", 2500)):
        if place not in {name for (name,) in curlew.reads.execute("SELECT name FROM bin")}:
            stores.new_bin(curlew, place)
        stores.receive(curlew, part, place, qty)
    path = tmp_path / f"stock.{ending}"
    write_list(path, "Stock", STOCK_HEADINGS, stock_rows(all_stores(curlew)))
    prepared = prepare_stock(curlew, path)
    assert (prepared.plan.faults, prepared.plan.questions, prepared.plan.changes) == ((), (), ())
    assert {(row.part, row.bin, row.qty) for row in prepared.stock} == {
        ("=cmd()", "-B-", 2),
        ("=cmd()", "A1", 40),
        ("W-RED", "A1", 2500),
    }


def test_a_stock_list_fills_an_empty_workshop(curlew: Workshop, shop: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "stock.csv"
    write_list(path, "Stock", STOCK_HEADINGS, stock_rows(all_stores(curlew)))
    apply_stock(shop, prepare_stock(shop, path, Asked(new_parts=True)))
    statement = "SELECT key, kind, name, value_text, package, unit FROM part ORDER BY key"
    assert shop.reads.execute(statement).fetchall() == curlew.reads.execute(statement).fetchall()


@pytest.mark.parametrize(
    ("micros", "written"),
    [(0, "0.00"), (5_000_000, "5.00"), (42_000, "0.042"), (1, "0.000001"), (10**15, "1000000000.00")],
)
def test_money_is_written_exactly(micros: int, written: str) -> None:
    assert format(money(micros), "f") == written


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"A list is written as .csv or .xlsx."):
        write_list(tmp_path / "list.ods", "IF", LIST_HEADINGS, [])
    assert list(tmp_path.iterdir()) == []
