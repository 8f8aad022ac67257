"""Lists for other programs: what is written reads back, runs nowhere, and never replaces a good file by half of one."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from buildbook.errors import BadInput, BuildbookError, StoreFault
from buildbook.exchange.cells import DANGEROUS, disarm, rearm
from buildbook.exchange.sheets import Sheet, read_sheet
from buildbook.exchange.writing import Cell, write_csv, write_xlsx
from buildbook.trade.plain import clean

HOSTILE = st.text("a'=+-@\t\r\n\0＝＋－＠,;|\" \u200b\u0301\u202eéΩ\u00a0\x1b[m", max_size=8)
TEXT = HOSTILE | st.text(max_size=12)
TABLE = st.integers(1, 4).flatmap(lambda width: st.lists(st.lists(TEXT, min_size=width, max_size=width), max_size=8))


def written(headings: Sequence[str], *rows: Sequence[Cell], bom: bool = False) -> str:
    stream = io.StringIO(newline="")
    write_csv(stream, headings, rows, bom=bom)
    return stream.getvalue()


def reread(
    write: Callable[[Path, list[str], list[list[str]]], None], table: list[list[str]]
) -> tuple[Sheet, list[str]]:
    headings = [f"heading {place}" for place in range(len(table[0]) if table else 1)]
    with TemporaryDirectory() as folder:
        write(Path(folder, "list"), headings, table)
        return read_sheet(Path(folder, "list"), knows=headings.__contains__), headings


def as_cleaned(table: list[list[str]]) -> list[tuple[str, ...]]:
    """What a list becomes on its way: each cell cleaned, rows without any text left out."""
    rows = [tuple(clean(cell, lines=True) for cell in row) for row in table]
    return [row for row in rows if any(row)]


@given(TABLE)
@settings(deadline=None, max_examples=300)
def test_a_csv_list_reads_back_unchanged_but_for_the_cleaning(table: list[list[str]]) -> None:
    sheet, headings = reread(write_csv, table)
    assert [row.cells for row in sheet.rows] == as_cleaned(table)
    assert list(sheet.headings) == headings


@given(TABLE)
@settings(deadline=None, max_examples=60)
def test_a_workbook_reads_back_unchanged_but_for_the_cleaning(table: list[list[str]]) -> None:
    sheet, headings = reread(lambda path, heads, rows: write_xlsx(path, "Parts", heads, rows), table)
    assert [row.cells for row in sheet.rows] == as_cleaned(table)
    assert list(sheet.headings) == headings


@given(TABLE)
@settings(deadline=None, max_examples=200)
def test_the_library_reader_finds_the_same_cells_and_none_that_would_run(table: list[list[str]]) -> None:
    headings = [f"heading {place}" for place in range(len(table[0]) if table else 1)]
    text = written(headings, *table)
    assert text.endswith("\r\n")
    records = list(csv.reader(io.StringIO(text, newline=""), strict=True))[1:]
    assert [tuple(rearm(cell) for cell in row) for row in records] == [
        tuple(clean(cell, lines=True) for cell in row) for row in table
    ]
    assert not [cell for row in records for cell in row if cell[:1] and cell[0] in DANGEROUS]


@given(st.text(st.sampled_from(f"'a {DANGEROUS}"), max_size=6) | st.text(max_size=20))
@settings(deadline=None, max_examples=300)
def test_disarming_is_undone_exactly_and_leaves_nothing_that_runs(text: str) -> None:
    safe = disarm(text)
    assert rearm(safe) == text
    assert not safe or safe[0] not in DANGEROUS


@pytest.mark.parametrize("char", list(DANGEROUS))
def test_every_character_of_the_owasp_list_is_disarmed(char: str) -> None:
    """OWASP, CSV Injection, with its additions of LF, NUL and the full-width forms."""
    assert disarm(f"{char}x") == f"'{char}x"


@pytest.mark.parametrize(
    ("cell", "field"),
    [
        ("=1+1", '"\'=1+1"'),  # OWASP: apostrophe first, and in quotes
        ("-5", '"\'-5"'),
        ("+3.3V", '"\'+3.3V"'),
        ("'=x", "\"''=x\""),
        ("'tis", "'tis"),
        (-5, "-5"),
        (Decimal("-0.50"), "-0.50"),
        (Decimal("1E+3"), "1000"),
        (0, "0"),
        (None, ""),
        ("4k7", "4k7"),
        ("a;b", '"a;b"'),
        ('say "no"', '"say ""no"""'),
    ],
)
def test_text_that_would_run_gets_an_apostrophe_and_numbers_stay(cell: Cell, field: str) -> None:
    assert written(["part", "value"], ["x", cell]) == f"part,value\r\nx,{field}\r\n"


def test_five_fields_come_out_as_rfc_4180_has_them() -> None:
    assert written(["a", "b,c", 'd"e', "f\ng", ""]) == 'a,"b,c","d""e","f\ng",\r\n'


def test_a_lone_empty_cell_is_not_an_empty_line() -> None:
    assert written(["part"], [""], [None]) == 'part\r\n""\r\n""\r\n'


def test_the_byte_order_mark_is_written_only_when_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    write_csv(path, ["part"], [["Ω"]], bom=True)
    assert path.read_bytes() == b"\xef\xbb\xbfpart\r\n\xce\xa9\r\n"
    write_csv(path, ["part"], [["Ω"]])
    assert path.read_bytes() == b"part\r\n\xce\xa9\r\n"
    assert written(["part"], bom=True) == "\ufeffpart\r\n"


def test_a_workbook_holds_text_as_text_and_numbers_as_numbers(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    write_xlsx(path, "To buy", ["part", "qty"], [["=1+1", 5], ["'=x", Decimal("1.5")], ["007", None], ["#NUM!", 1]])
    sheet = load_workbook(path)["To buy"]
    assert [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)] == [
        ["=1+1", 5],
        ["''=x", 1.5],
        ["007", None],
        ["#NUM!", 1],
    ]
    assert {cell.data_type for (cell,) in sheet.iter_rows(min_row=2, max_col=1)} == {"s"}
    assert sheet["A2"].quotePrefix
    assert sheet.freeze_panes == "A2"
    assert "" not in [row.cells[0] for row in read_sheet(path).rows]
    assert b"<f>" not in zipfile.ZipFile(path).read("xl/worksheets/sheet1.xml")


def test_columns_of_a_workbook_are_wide_enough_within_reason(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    write_xlsx(path, "Parts", ["a", "b", "c"], [["x", "y" * 20, "z" * 500]])
    sheet = load_workbook(path)["Parts"]
    assert [sheet.column_dimensions[letter].width for letter in "ABC"] == [6, 22, 60]


@pytest.mark.parametrize("name", ["", "x" * 32, "a/b", "a:b", "'a", "a\nb"])
def test_a_name_that_no_sheet_can_have_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput, match="cannot be the name of a sheet"):
        write_xlsx(tmp_path / "x.xlsx", name, ["part"], [])


def refused(error: type[BuildbookError], path: Path, rows: Sequence[Sequence[Cell]] = ((1, 2),)) -> str:
    with pytest.raises(error) as fault:
        write_csv(path, ["part", "qty"], rows)
    return fault.value.why


def test_a_row_of_another_width_is_refused_and_the_old_file_stays(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    write_csv(path, ["part", "qty"], [["old", 1]])
    assert refused(BadInput, path, [["new", 1], ["new"]]) == "Row 2 has 1 cells and there are 2 headings."
    assert path.read_text() == "part,qty\nold,1\n"
    assert list(tmp_path.iterdir()) == [path]
    with pytest.raises(BadInput, match="It has no headings"):
        write_csv(path, [], [])


def test_places_where_nothing_can_be_written_are_told_apart(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    assert refused(BadInput, tmp_path / "none" / "list.csv").startswith("There is no folder")
    assert refused(BadInput, tmp_path).endswith("is a folder or lies in a file.")
    assert refused(BadInput, tmp_path / "file" / "list.csv").endswith("is a folder or lies in a file.")


def test_a_folder_that_is_locked_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def locked(*_: object, **__: object) -> tuple[int, str]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("tempfile.mkstemp", locked)
    assert refused(BadInput, tmp_path / "list.csv") == "You are not allowed to write there."


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no device that is always full")
def test_a_full_disk_is_a_fault_of_the_store() -> None:
    assert refused(StoreFault, Path("/dev/full")) == "The system says: No space left on device."
    with pytest.raises(StoreFault, match="No space left"):
        write_xlsx(Path("/dev/full"), "Parts", ["part"], [["x"]])


def test_a_disk_that_fails_half_way_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "list.csv"
    path.write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert refused(StoreFault, path) == "The system says: No space left on device."
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_the_permissions_of_a_file_stay_and_a_link_keeps_its_target(tmp_path: Path) -> None:
    path, link = tmp_path / "list.csv", tmp_path / "link.csv"
    path.write_text("old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_csv(link, ["part"], [["new"]])
    assert link.is_symlink()
    assert path.read_text() == "part\nnew\n"
    assert path.stat().st_mode & 0o777 == 0o640
