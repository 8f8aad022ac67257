"""Lists of other programs: every mark, encoding and layout is read; what is no list is refused by name and row."""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import io
import os
import stat
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from buildbook.errors import BadInput
from buildbook.exchange.cells import MOST_ROWS, rearm
from buildbook.exchange.sheets import Row, read_sheet
from buildbook.trade.plain import clean

KNOWN = {"ref", "value", "qty", "note"}


def knows(text: str) -> bool:
    return text.casefold() in KNOWN


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return tmp_path / "mixer.csv"


def cells_of(path: Path) -> list[tuple[str, ...]]:
    return [row.cells for row in read_sheet(path, knows=knows).rows]


def refusal(path: Path, **named: str) -> BadInput:
    with pytest.raises(BadInput) as fault:
        read_sheet(path, knows=knows, **named)
    assert fault.value.exit_code == 2
    assert path.name in fault.value.what
    return fault.value


HOSTILE = st.text("a'=-,;|\"\t\r\n \u200b\u0301e\u202eΩ\u00a0\x1b[m\x85\u037e\u1100\u1161", max_size=6)
# The library quotes a lone CR by itself only where it ends lines.
STYLES: list[tuple[str, Literal[0, 1]]] = [("\r\n", csv.QUOTE_MINIMAL), ("\n", csv.QUOTE_ALL), ("\r", csv.QUOTE_ALL)]


@given(st.lists(st.tuples(HOSTILE, HOSTILE), max_size=6), st.sampled_from(STYLES))
@settings(deadline=None, max_examples=400)
def test_a_list_of_hostile_cells_comes_out_cleaned_with_the_lines_where_rows_start(
    rows: list[tuple[str, str]], style: tuple[str, Literal[0, 1]]
) -> None:
    """The csv module of the standard library writes the list and counts the lines."""
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator=style[0], quoting=style[1]).writerows([("ref", "value"), *rows])
    reader = csv.reader(io.StringIO(stream.getvalue(), newline=""))
    starts = [1] + [reader.line_num + 1 for _ in reader]
    expected = [
        Row(start, (rearm(clean(ref, lines=True)), rearm(clean(value, lines=True))))
        for start, (ref, value) in zip(starts[1:], rows, strict=False)
    ]
    with TemporaryDirectory() as folder:
        path = Path(folder, "list.csv")
        path.write_bytes(stream.getvalue().encode())
        assert list(read_sheet(path, knows=knows).rows) == [row for row in expected if any(row.cells)]


@pytest.mark.parametrize("mark", list(",;\t|"))
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_delimiter_and_line_end_gives_the_same_list(listed: Path, mark: str, end: str) -> None:
    text = end.join(mark.join(cells) for cells in [("Ref", "Value", "Qty"), ("R1", "4k7", "1"), ("C1", "10n", "2")])
    listed.write_bytes(text.encode())
    found = read_sheet(listed, knows=knows)
    assert found.delimiter == mark
    assert found.headings == ("Ref", "Value", "Qty")
    assert found.rows == (Row(2, ("R1", "4k7", "1")), Row(3, ("C1", "10n", "2")))


@pytest.mark.parametrize(
    ("bom", "encoding", "told"),
    [
        (b"", "utf-8", "utf-8"),
        (codecs.BOM_UTF8, "utf-8", "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16-le", "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16-be", "utf-16"),
        (b"", "cp1252", "cp1252"),
    ],
)
def test_every_encoding_is_told_and_read(listed: Path, bom: bytes, encoding: str, told: str) -> None:
    listed.write_bytes(bom + "ref;value;note\nR1;4,7 µ;5 € für später\nR2;1;x\n".encode(encoding))
    found = read_sheet(listed, knows=knows)
    assert found.encoding == told
    assert found.headings == ("ref", "value", "note")
    assert found.rows[0].cells == ("R1", "4,7 µ", "5 € für später")


def test_nothing_is_taken_for_a_number_or_for_missing(listed: Path) -> None:
    listed.write_text("ref,value,qty,note\nNA,null,1E5,007\nnan,1.50,TRUE,\n")
    assert cells_of(listed) == [("NA", "null", "1E5", "007"), ("nan", "1.50", "TRUE", "")]


def test_lines_above_the_headings_are_kept_apart(listed: Path) -> None:
    listed.write_text("Curlew, mixer board;;\n\nqty of boards: 1;;\nRef;Qty;Value\nR1;1;4k7\n")
    found = read_sheet(listed, knows=knows)
    assert (found.heading_row, found.preamble) == (4, ("Curlew, mixer board", "qty of boards: 1"))
    assert found.rows == (Row(5, ("R1", "1", "4k7")),)


def test_the_row_with_most_known_headings_wins_and_the_first_of_equals(listed: Path) -> None:
    listed.write_text("Note,x\nRef,Value\nRef,Value\n")
    found = read_sheet(listed, knows=knows)
    assert (found.heading_row, found.rows) == (2, (Row(3, ("Ref", "Value")),))


def test_headings_must_stand_within_the_first_40_rows(listed: Path) -> None:
    listed.write_text("x\n" * 39 + "ref,value\nR1,1\n")
    assert read_sheet(listed, knows=knows).heading_row == 40
    listed.write_text("x\n" * 40 + "ref,value\nR1,1\n")
    assert "None of its first 40 rows has a heading that is known." in refusal(listed).why


def test_without_any_knowledge_the_row_with_most_words_is_the_heading(listed: Path) -> None:
    listed.write_text("Linnet\npart;bin;count\nKnob;B4;3\n")
    assert read_sheet(listed).headings == ("part", "bin", "count")


def test_a_list_of_one_column_needs_no_delimiter(listed: Path) -> None:
    listed.write_text("ref\nR1\nR2\n")
    assert cells_of(listed) == [("R1",), ("R2",)]


def test_line_ends_in_quotes_are_kept_and_rows_are_numbered_by_line(listed: Path) -> None:
    listed.write_bytes(b'ref,"note\r\nof mine"\r\nR1,"two\r\nlines, ""quoted"""\r\n\r\nR2,x\r\n')
    found = read_sheet(listed, knows=knows)
    assert found.headings == ("ref", "note\nof mine")
    assert found.rows == (Row(3, ("R1", 'two\nlines, "quoted"')), Row(6, ("R2", "x")))


def test_ragged_rows_are_made_as_wide_as_the_widest(listed: Path) -> None:
    rows = ["R1", "R2,4k7,1,more,still more", ",,,,", "", "R3,1k"]
    listed.write_text("\n".join(["ref,value,qty", *rows]))
    found = read_sheet(listed, knows=knows)
    assert found.headings == ("ref", "value", "qty", "", "")
    assert [row.number for row in found.rows] == [2, 3, 6]
    assert found.rows[1].cells == ("R2", "4k7", "1", "more", "still more")
    assert found.rows[2].cells == ("R3", "1k", "", "", "")


def test_a_wide_row_far_below_the_top_is_read_too(listed: Path) -> None:
    listed.write_text("ref,value\n" + "R1,1k\n" * 100 + "R2,1k" + ",x" * 300 + "\n")
    found = read_sheet(listed, knows=knows)
    assert (len(found.rows), len(found.headings), found.rows[-1].cells[-1]) == (101, 302, "x")


def test_empty_columns_at_the_right_are_dropped(listed: Path) -> None:
    listed.write_text("ref,value,,\nR1,1k,,\n")
    assert read_sheet(listed, knows=knows).headings == ("ref", "value")


def test_cells_are_cleaned_and_the_apostrophe_of_an_export_comes_off(listed: Path) -> None:
    listed.write_text("ref,value,note\nR1 , '-5,'tis  \x1b[31mred\x1b[0m\u202e\nR2,\"'=1+1\",''=x\n")
    assert cells_of(listed) == [("R1", "-5", "'tis red"), ("R2", "=1+1", "'=x")]


@pytest.mark.parametrize(
    ("field", "cell"),
    [
        (b'" 4k7"', "4k7"),
        (b'"4k7 "', "4k7"),
        (b"4k7 ", "4k7"),
        (b"4k7 ,", "4k7"),
        (b"4k7 \n", "4k7"),
        (b"4k7 \r\n", "4k7"),
        (b"4\tk7", "4 k7"),
        (b"4  k7", "4 k7"),
        (b"4\xc2\xa0k7", "4 k7"),
        ("e\u0301".encode(), "é"),
        ("\u1100\u1161".encode(), "\uac00"),  # two letters that Unicode NFC composes to one
        (b"'-4", "-4"),
        ("4 kΩ, 5 µ".encode(), "4 kΩ"),
    ],
)
def test_a_single_cell_that_is_not_plain_is_noticed(listed: Path, field: bytes, cell: str) -> None:
    listed.write_bytes(b"ref,value\nR1," + field)
    assert cells_of(listed)[0][1] == cell


def test_a_long_cell_is_left_to_whoever_takes_it_in(listed: Path) -> None:
    listed.write_text("ref,value\nR1," + "x" * 10**6 + "\n")
    assert len(cells_of(listed)[0][1]) == 10**6


def test_headings_alone_are_a_list_without_rows(listed: Path) -> None:
    listed.write_text("ref,value")
    found = read_sheet(listed, knows=knows)
    assert (found.headings, found.rows) == (("ref", "value"), ())


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"\x89PNG\r\n\x1a\n" + bytes(40), "It is a PNG picture, not a list."),
        (b"%PDF-1.7 ...", "It is a PDF document, not a list."),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "It is an old or encrypted workbook, not a list."),
        (b"ref,value\nR1,\0\n", "It holds zero bytes, so it is not a text file."),
        (b"", "It is empty."),
        (b" \r\n\t\n", "It is empty."),
        (b"ref,value\nR1,\x81\xff\n", "Its text is in none of the encodings utf-8, cp1252."),
        (codecs.BOM_UTF16_LE + b"r\0e", "Its text is in none of the encodings utf-16."),
        (b"colour,mood\nred,good\n", "None of its first 40 rows has a heading that is known."),
        (b'ref,value\nR1,1k\n\nR2,"1k\nR3,2k\n', "A quotation mark in line 4 is never closed."),
        (b'ref,value\n"R1\n",x\nR2' + b",x" * 600 + b"\nR3,x\n", "The row in line 4 has more than 500 cells."),
        (b'ref,value\nR1,"' + b"x" * 200_000, "A quotation mark in line 2 is never closed."),
        (b"PK\x03\x04 not a real one", "It is a damaged workbook or ZIP file."),
    ],
)  # fmt: skip
def test_what_is_no_list_is_refused_with_the_reason(listed: Path, content: bytes, why: str) -> None:
    listed.write_bytes(content)
    assert refusal(listed).why == why


def test_a_missing_file_a_folder_and_a_pipe_are_told_apart(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "file").write_text("x")
    assert refusal(tmp_path / "none.csv").why == "There is no such file."
    assert refusal(tmp_path).why == "It is a folder."
    assert refusal(tmp_path / "pipe").why == "It is not a plain file."
    assert "could not read it" in refusal(tmp_path / "file" / "below").why
    with pytest.raises(BadInput, match=r"The list “nul” was not read\. The system could not read it"):
        read_sheet(tmp_path / "nul\0")


def test_a_file_that_may_not_be_read_says_so(listed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed.write_text("ref,value\n")

    def locked(*_: object, **__: object) -> io.BytesIO:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", locked)
    assert refusal(listed).why == "You are not allowed to read it."


def test_a_file_of_200_mb_is_refused_before_it_is_read(listed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with listed.open("wb") as file:
        file.truncate(200 * 2**20)
    monkeypatch.setattr(Path, "open", None)
    assert refusal(listed).why == "It has 200 MB and 64 MB is the most."


def test_more_rows_than_a_workshop_has_are_refused(listed: Path) -> None:
    listed.write_text("ref,value\n" + "R1,1\n" * MOST_ROWS)
    assert len(read_sheet(listed, knows=knows).numbers) == MOST_ROWS
    listed.write_text("ref,value\n" + "R1,1\n" * (MOST_ROWS + 1))
    assert refusal(listed).why == "It has more than 200,000 rows."


def book_with(path: Path, *sheets: tuple[str, list[list[object]]]) -> Path:
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets:
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def test_a_workbook_gives_what_a_person_would_type(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Curlew", "mixer board"],
        [],
        ["Ref", "Value", "Qty", "Note"],
        ["R1", 4700.0, 2, dt.date(2027, 3, 14)],
        [None, 0.1, 1e-7, dt.datetime.fromisoformat("2027-03-14T15:09:26")],
        ["007", "NA", True, dt.time(7, 5)],
        [],
        ["R2", -1.5, "'-5", "  two\nlines "],
    ]
    found = read_sheet(book_with(tmp_path / "mixer.dat", ("Parts", rows)), knows=knows)
    assert (found.heading_row, found.preamble, found.sheet) == (3, ("Curlew, mixer board",), "Parts")
    assert found.rows == (
        Row(4, ("R1", "4700", "2", "2027-03-14")),
        Row(5, ("", "0.1", "0.0000001", "2027-03-14 15:09:26")),
        Row(6, ("007", "NA", "TRUE", "07:05:00")),
        Row(8, ("R2", "-1.5", "-5", "two\nlines")),
    )


def test_formulas_give_the_value_kept_with_them_and_merged_cells_only_their_first(tmp_path: Path) -> None:
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["ref", "value", "qty"], ["R1", "wide", None], ["R2", "#N/A", "=1+1"]):
        sheet.append(row)
    sheet.merge_cells("B2:C2")
    path = tmp_path / "merged.xlsx"
    book.save(path)
    assert [row.cells for row in read_sheet(path, knows=knows).rows] == [("R1", "wide", ""), ("R2", "", "")]
    # openpyxl keeps no value with a formula; put one there, as a spreadsheet program does.
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(tmp_path / "valued.xlsx", "w") as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).replace(b"<v />", b"<v>2</v>").replace(b"<v></v>", b"<v>2</v>"))
    assert read_sheet(tmp_path / "valued.xlsx", knows=knows).rows[1].cells == ("R2", "", "2")


def test_the_first_sheet_with_headings_is_read_or_the_one_named(tmp_path: Path) -> None:
    path = book_with(
        tmp_path / "two.xlsx",
        ("Cover", [["Curlew"]]),
        ("A", [["ref", "value"], ["R1", "1"]]),
        ("B", [["ref", "value"], ["R9", "1"]]),
    )
    assert read_sheet(path, knows=knows).sheet == "A"
    assert read_sheet(path, sheet="B", knows=knows).rows[0].cells == ("R9", "1")
    fault = refusal(path, sheet="C")
    assert (fault.why, fault.mend) == ("It has no sheet “C”.", "It has “Cover”, “A”, “B”.")
    assert "has a heading that is known" in refusal(path, sheet="Cover").why


def test_a_workbook_that_is_cut_or_made_up_is_refused(tmp_path: Path) -> None:
    whole = book_with(tmp_path / "whole.xlsx", ("A", [["ref", "value"], ["R1", "1"]])).read_bytes()
    cut = tmp_path / "cut.xlsx"
    cut.write_bytes(whole[: len(whole) // 2])
    assert "damaged workbook" in refusal(cut).why
    other = tmp_path / "other.xlsx"
    with zipfile.ZipFile(other, "w") as parts:
        parts.writestr("hello.txt", "hello")
    assert refusal(other).why == "It is a ZIP file without an XLSX workbook in it."
    with zipfile.ZipFile(other, "w") as parts:
        parts.writestr("xl/workbook.xml", "<workbook")
    assert refusal(other).why == "It is a damaged workbook."


def test_every_byte_of_a_workbook_may_be_damaged_without_a_crash(tmp_path: Path) -> None:
    whole = book_with(tmp_path / "whole.xlsx", ("A", [["ref", "value"], ["R1", "1"]])).read_bytes()
    hurt = tmp_path / "hurt.xlsx"
    for place in range(0, len(whole), 97):
        hurt.write_bytes(whole[:place] + bytes([whole[place] ^ 0x55]) + whole[place + 1 :])
        try:
            read_sheet(hurt, knows=knows)
        except BadInput as fault:
            assert "hurt.xlsx" in fault.what  # noqa: PT017


def test_a_workbook_that_would_fill_the_memory_is_refused_unopened(tmp_path: Path) -> None:
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w") as parts:
        parts.writestr("xl/workbook.xml", "<workbook/>")
        parts.infolist()[0].file_size = 513 * 2**20
    assert refusal(bomb).why == "It would unpack to more than 512 MB."


def test_a_sheet_that_claims_to_be_huge_is_read_by_what_it_holds(tmp_path: Path) -> None:
    path = book_with(tmp_path / "whole.xlsx", ("A", [["ref", "value"], ["R1", "1"]]))
    vast = tmp_path / "vast.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(vast, "w") as new:
        for part in old.namelist():
            new.writestr(part, old.read(part).replace(b'ref="A1:B2"', b'ref="A1:XFD1048576"'))
    assert read_sheet(vast, knows=knows).rows == (Row(2, ("R1", "1")),)


def test_reading_leaves_the_file_as_it_was(listed: Path) -> None:
    listed.write_text("ref,value\nR1,1\n")
    listed.chmod(0o444)
    before = listed.read_bytes(), listed.stat().st_mtime_ns
    read_sheet(listed, knows=knows)
    assert (listed.read_bytes(), listed.stat().st_mtime_ns) == before
    assert stat.S_IMODE(listed.stat().st_mode) == 0o444
