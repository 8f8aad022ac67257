"""Bad lists through the real command line: one short message with file, row and column, code 2, and nothing written."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook as Book
from typer.testing import CliRunner, Result

from buildbook.actions import boards, stores
from buildbook.actions.workshop import Workshop
from buildbook.cli.main import app

Say = Callable[..., Result]
TABLES = ("part", "line", "part_alias", "column_map", "bin", "movement", "offer", "purchase", "journal_entry")


@pytest.fixture
def curlew(shop: Workshop) -> Workshop:
    """The Curlew, with a resistor and a wire."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    stores.new_part(shop, "R-4K7", kind="resistor", value="4k7")
    return shop


@pytest.fixture
def say(curlew: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Say:
    """Run the program on the workshop of the test, in a home of its own."""
    for name in ("HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))

    def run(*words: str | Path) -> Result:
        return CliRunner().invoke(app, list(map(str, words)), env={"BUILDBOOK_DB": str(curlew.path)})

    return run


@pytest.fixture
def refused(say: Say, curlew: Workshop) -> Callable[..., str]:
    """Import a file that is no good; give what is said about it, after making sure that nothing was written."""

    def standing() -> list[object]:
        return [curlew.reads.execute(f"SELECT * FROM {table}").fetchall() for table in TABLES]

    def run(path: Path, *words: str | Path, into: str = "CURLEW") -> str:
        before = standing()
        result = say("boards", "import", path, "--into", into, *words)
        assert (result.exit_code, result.stdout) == (2, ""), result.output
        assert standing() == before
        assert say("workshop", "check").exit_code == 0
        assert "\x1b" not in result.stderr
        assert "Traceback" not in result.stderr
        lines = result.stderr.splitlines()
        assert len(lines) == 1, "one line"
        assert lines[0].count(". ") <= 2, "what, why and what to do: one sentence each"
        return lines[0]

    return run


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return tmp_path / "if.csv"


def test_what_is_no_list_at_all(refused: Callable[..., str], tmp_path: Path) -> None:
    png, empty, folder, huge, strange, zeros = (tmp_path / name for name in ("p.png", "e.csv", "d", "h.csv", "s", "z"))
    png.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    empty.touch()
    folder.mkdir()
    huge.touch()
    os.truncate(huge, 200 * 2**20)
    strange.write_bytes(b"Ref,Value\nR1,\x81\x8d\x8f\n")
    zeros.write_bytes(b"Ref,Value\nR1,4k7\0\n")
    assert refused(png).startswith("The list “p.png” was not read. It is a PNG picture, not a list.")
    assert refused(empty).startswith("The list “e.csv” was not read. It is empty.")
    assert refused(folder).startswith("The list “d” was not read. It is a folder.")
    assert refused(huge).startswith("The list “h.csv” was not read. It has 200 MB and 64 MB is the most.")
    assert refused(strange).startswith("The list “s” was not read. Its text is in none of the encodings")
    assert refused(zeros).startswith("The list “z” was not read. It holds zero bytes, so it is not a text file.")
    assert refused(tmp_path / "gone.csv").startswith("The list “gone.csv” was not read. There is no such file.")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("R1;4k7;1\nR2;4k7;1\n", "None of its headings (R1, 4k7, 1) names the part. Say which does with --columns"),
        ("Ref,Qty\nR1,1\n", "None of its headings (Ref, Qty) names the part."),
        ("Ref,Designator,Value\nR1,R1,4k7\n", "The headings “Ref” and “Designator” both mean ref."),
        ("Ref,Value\n", "It lists nothing below its headings."),
        ("Ref,Value\n-- Input --,\n", "It lists nothing below its headings."),
        ("Qty,Value\n-3,4k7\n", "Row 2, Qty: “-3” is less than nothing."),
        ("Qty,Value\n1.5,4k7\n", "Row 2, Qty: “1.5” is not a whole number of pieces."),
        ("Qty,Value\n1e9,4k7\n", "Row 2, Qty: “e9” in “1e9” is not a unit of quantity."),
        ("Qty,Value\n1000000000,R-4K7\n", "Row 2, Qty: 1,000,000,000 pieces are more than any board takes"),
        ("Qty,Value\n99999999999999999999,R-4K7\n", "Row 2, Qty: “99999999999999999999” is more than 10^12 pc"),
        ("Qty,Value\n2 or 3,R-4K7\n", "Row 2, Qty: “or 3” in “2 or 3” is not a unit of quantity."),
        ("Qty,Value,Ref\n,R-4K7,\n0,R-4K7,R1\n", "Row 3, Qty: The quantity is nothing."),
        ("Note,Value,Ref\nx,R-4K7,\n", "Row 2, qty: It has neither a quantity nor a designator."),
        ("Ref,Value\nR1-R100000,4k7\n", "Row 2, Ref: “R1-R100000” is longer than 2,000."),
        ("Ref,Value\nR9-R1,4k7\n", "Row 2, Ref: “R9-R1” runs backwards."),
        ("Ref,Value\nR?,4k7\n", "Row 2, Ref: “R?” has no number."),
        ('Ref,Value\n"R1,R1",4k7\n', "Row 2, Ref: R1 is given more than once."),
        ("Ref,Value\nR1,4k7\nR1,4k7\n", "Row 3, Ref: R1 stands in row 2 already."),
        ("Ref,Value,Fitted\nR1,4k7,perhaps\n", "Row 2, Fitted: “perhaps” is neither yes nor no."),
        ("Ref,Value,Qty\nR1,,1\nR2,,1\n", "Row 2: It names no part (and 1 more row is at fault)."),
        ("Ref,Value,Qty\nU1,LM317 [bold]x[/bold],1\n", "1 description must be settled first"),
        ("Ref,Value\nU1,=cmd|' /C calc'!A0\n", "such as “=cmd|' /C calc'!A0” in row 2."),
    ],
)
def test_what_is_wrong_in_a_list(refused: Callable[..., str], listed: Path, text: str, said: str) -> None:
    listed.write_text(text)
    told = refused(listed)
    assert told.startswith("“if.csv” was not read in. ")
    assert said in told


def test_a_cell_of_a_million_characters(refused: Callable[..., str], listed: Path) -> None:
    listed.write_text(f"Ref,Value,Note\nR1,4k7,\nR2,{'9' * 10**6},\nR3,4k7,{'x' * 10**6}\n")
    told = refused(listed)
    assert (
        "Row 3, Value: It is 1,000,000 characters long and may have 400 at most (and 1 more row is at fault)." in told
    )
    assert len(told) < 250


def test_numbers_of_a_workbook(refused: Callable[..., str], tmp_path: Path) -> None:
    path = tmp_path / "if.xlsx"
    book = Book()
    sheet = book.active
    assert sheet is not None
    for row in (["Value", "Qty"], ["R-4K7", 1.5], ["4k7", -3], ["R-4K7", 1e9], ["R-4K7", "=2+1"]):
        sheet.append(row)
    book.save(path)
    assert "Row 2, Qty: “1.5” is not a whole number of pieces (and 2 more rows are at fault)." in refused(path)


def test_an_assembly_that_is_not_there(refused: Callable[..., str], listed: Path) -> None:
    listed.write_text("Ref,Value\nR1,4k7\n")
    assert refused(listed, into="CURLEW/IFF").startswith("There is no assembly CURLEW/IFF.")


def test_options_that_mean_nothing(refused: Callable[..., str], listed: Path) -> None:
    listed.write_text("Ref,Value\nR1,4k7\n")
    assert "our words for a parts list are" in refused(listed, "--columns", "colour=Farbe")
    assert "It has no heading “Wert”; it has Ref, Value." in refused(listed, "--columns", "value=Wert")
    assert refused(listed, "--trust", "me") == "'me' cannot be trusted. Say --trust refs or --trust qty."


def test_answers_that_are_none(refused: Callable[..., str], listed: Path, tmp_path: Path) -> None:
    listed.write_text("Ref,Value\nR1,10k\n")
    answers = tmp_path / "answers.csv"
    answers.write_text("Ref,Value\nR1,10k\n")
    assert refused(listed, "--answers", answers) == (
        "“answers.csv” was not taken as answers. It has no headings `asked` and `answer`."
        " Use the file that --answers wrote."
    )
    answers.write_bytes(b"\x89PNG\r\n\x1a\n")
    assert refused(listed, "--answers", answers).startswith("The list “answers.csv” was not read. It is a PNG")
    assert refused(listed, "--answers", tmp_path).startswith(f"The list “{tmp_path.name}” was not read. It is a folder")
    answers.write_text("asked,answer\n10k | resistor,R-47K\n")
    assert refused(listed, "--answers", answers) == (
        "The answers were not taken. There is no part “R-47K”, the answer to “10k | resistor” of row 2."
        " Answer with the key of a part, or new, or skip."
    )
    assert answers.read_text() == "asked,answer\n10k | resistor,R-47K\n"


def test_questions_are_written_and_told(refused: Callable[..., str], say: Say, listed: Path, tmp_path: Path) -> None:
    listed.write_text("Ref,Value\nR1,10k\n")
    answers = tmp_path / "answers.csv"
    assert refused(listed, "--answers", answers) == (
        "“if.csv” was not read in. 1 question was written to answers.csv."
        ' Fill in its column `answer` with the key of a part, "new" or "skip", and run this again.'
    )
    answers.write_text(answers.read_text().replace("none known,", "none known,new"))
    result = say("boards", "import", listed, "--into", "CURLEW", "--answers", answers)
    assert result.stdout == "Took if.csv into CURLEW: 1 line added, 0 gone, 0 changed, 0 the same, 1 new part.\n"


def test_hostile_names_are_printed_as_plain_text(say: Say, curlew: Workshop, listed: Path) -> None:
    hostile = ["[red]10k[/red]", "\x1b[31mred\x1b[0m", "\x1b]0;title\x07bell", "a\u202eb", "=cmd()", ":smile: {x}"]
    rows = "".join(f'U{number},"{name}"\n' for number, name in enumerate(hostile, 1))
    listed.write_text(f"Ref,Value\n{rows}", encoding="utf-8")
    shown = say("boards", "import", listed, "--into", "CURLEW", "--new-parts", "--dry-run")
    assert shown.exit_code == 0
    assert not {"\x1b", "\x07", "\u202e"} & set(shown.output)
    for plain in ("[red]10k[/red]", "red", "bell", "ab", "=cmd()", ":smile: {x}"):
        assert f"  {plain}  " in shown.stdout
    assert say("boards", "import", listed, "--into", "CURLEW", "--new-parts").exit_code == 0
    keys = {key for (key,) in curlew.reads.execute("SELECT key FROM part WHERE id > 1")}
    assert keys == {"[red]10k[/red]", "red", "bell", "ab", "=cmd()", ":smile:-{x}"}
    assert "\x1b" not in say("boards", "show", "CURLEW").output
    assert say("workshop", "check").exit_code == 0


def test_a_dry_run_shows_every_row_and_every_fault(say: Say, listed: Path) -> None:
    listed.write_text("Item,Ref,Value,Qty,Maker\n1,R1,4k7,1,\n2,R2,4k7,2,\n3,,,,\n4,R4,10k,1,\n5,R5,,1,\n")
    result = say("boards", "import", listed, "--into", "CURLEW", "--dry-run")
    assert result.exit_code == 0
    assert [line.rstrip() for line in result.stdout.splitlines()] == [
        "if.csv into CURLEW: 4 rows, 2 rows at fault, 1 question.",
        "Columns: ref = Ref, value = Value, qty = Qty, maker = Maker; not read: Item.",
        "",
        "row  ref  qty  says            means",
        "  2  R1     1  4k7 | resistor  R-4K7 by value",
        "  3  R2     2  4k7 | resistor  R-4K7 by value",
        "  4            3               section row",
        "  5  R4     1  10k | resistor  unknown",
        "  6                            at fault",
        "",
        "At fault",
        "",
        "row 3, Qty: The quantity is 2, but R2 makes 1 (--trust refs or qty decides).",
        "row 6: It names no part.",
        "",
        "Not clear",
        "to be settled   rows  candidates",
        "10k | resistor  5     none known",
    ]


def test_a_dry_run_as_json(say: Say, listed: Path, tmp_path: Path) -> None:
    listed.write_text("Ref,Value,Colour\nR1,10k,red\n")
    answers = tmp_path / "answers.csv"
    result = say("boards", "import", listed, "--into", "CURLEW", "--dry-run", "--json", "--answers", answers)
    plan = json.loads(result.stdout)
    assert (plan["columns"], plan["not_read"]) == ([["ref", "Ref"], ["value", "Value"]], ["Colour"])
    assert plan["questions"][0]["asked"] == "10k | resistor"
    assert answers.exists()
