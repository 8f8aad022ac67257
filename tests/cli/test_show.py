"""How an answer is printed: sentence first, plain in a pipe, fitted on a terminal, and safe whatever it holds."""

from __future__ import annotations

import io
import json
import re
from contextlib import redirect_stdout
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from buildbook.answers.form import Answer
from buildbook.cli import show as showing
from buildbook.cli.show import NARROWEST, Column, fitted, local_time, progress, say, show, table, width_of

ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


class Drawer(NamedTuple):
    part: str
    name: str
    qty: int


@dataclass(frozen=True, slots=True)
class Drawers(Answer):
    SCHEMA: ClassVar[str] = "buildbook.drawers/1"
    rows: tuple[Drawer, ...]


COLUMNS: list[Column[Drawer]] = [
    Column("part", lambda row: row.part),
    Column("name", lambda row: row.name, shrink=True),
    Column("on hand", lambda row: str(row.qty), right=True, tone=lambda row: "bad" if not row.qty else ""),
]
ANSWER = Drawers(
    "2 parts lie in the drawers.",
    (
        Drawer("C-22U-450V", "Smoothing capacitor, 22 µF, radial, for the HT supply board of the receiver", 4),
        Drawer("R-4K7", "Resistor", 0),
    ),
)


class Terminal(io.StringIO):
    """A terminal that keeps what is written to it."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "50")
    monkeypatch.setenv("LINES", "24")
    return Terminal()


def test_a_pipe_gets_the_sentence_then_aligned_text_uncut(capsys: pytest.CaptureFixture[str]) -> None:
    show(ANSWER, COLUMNS)
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == ANSWER.sentence
    assert lines[1] == ""
    name = ANSWER.rows[0].name
    assert lines[2] == "part        name" + " " * (len(name) - 2) + "on hand"
    assert lines[3] == f"C-22U-450V  {name}        4"
    assert lines[4].endswith("      0")
    assert {len(line) for line in lines[2:]} == {len(lines[2])}


def test_json_has_the_sentence_first_and_every_row(capsys: pytest.CaptureFixture[str]) -> None:
    show(ANSWER, COLUMNS, as_json=True)
    out = capsys.readouterr().out
    read = json.loads(out)
    assert list(read)[:2] == ["sentence", "schema"]
    assert read["rows"][0] == {"part": "C-22U-450V", "name": ANSWER.rows[0].name, "qty": 4}
    assert "µF" in out


def test_json_hides_no_control_sign(capsys: pytest.CaptureFixture[str]) -> None:
    nasty = "a\x1b[2J\x9b2J\u202eb\udc80"
    show(Answer(nasty), as_json=True)
    out = capsys.readouterr().out
    assert out.isprintable() or set(out) - set(map(chr, range(32, 127))) == {"\n"}
    assert json.loads(out)["sentence"] == nasty


def test_a_terminal_gets_a_table_that_fits_and_says_where_it_cut(terminal: Terminal) -> None:
    with redirect_stdout(terminal):
        show(ANSWER, COLUMNS)
    text = ESCAPE.sub("", terminal.getvalue())
    lines = text.splitlines()
    assert lines[0] == ANSWER.sentence
    assert all(cell_len(line.rstrip()) <= 50 for line in lines)
    row = next(line for line in lines if "C-22U-450V" in line)
    assert "…" in row
    assert row.rstrip().endswith("4")
    assert not set(text) & set("│┃─━┌┐└┘|+")


def test_colour_supports_a_word_and_goes_with_no_color(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    with redirect_stdout(terminal):
        table(COLUMNS, ANSWER.rows)
    coloured = terminal.getvalue()
    assert "\x1b[31m" in coloured
    terminal.truncate(0)
    terminal.seek(0)
    monkeypatch.setenv("NO_COLOR", "1")
    with redirect_stdout(terminal):
        table(COLUMNS, ANSWER.rows)
    assert "\x1b[31m" not in terminal.getvalue()
    assert ESCAPE.sub("", terminal.getvalue()) == ESCAPE.sub("", coloured)


def test_a_dumb_terminal_gets_no_escapes(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "dumb")
    with redirect_stdout(terminal):
        show(ANSWER, COLUMNS)
    assert "\x1b" not in terminal.getvalue()


def test_markup_of_others_is_plain_text(terminal: Terminal) -> None:
    hostile = Drawers("[red]Low[/red] :warning:", (Drawer("[b]R1[/b]", "[link=x]y[/link]", 1),))
    with redirect_stdout(terminal):
        show(hostile, COLUMNS)
    text = ESCAPE.sub("", terminal.getvalue())
    assert "[red]Low[/red] :warning:" in text
    assert "[b]R1[/b]" in text


@given(st.text(max_size=60), st.booleans())
@settings(deadline=None, max_examples=60)
def test_no_text_moves_the_cursor_or_leaves_its_line(text: str, looking: bool) -> None:
    screen = Terminal() if looking else io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(screen):
        patch.setenv("TERM", "dumb")
        patch.setenv("COLUMNS", "40")
        table(COLUMNS, [Drawer(text, text, 1)])
    out = screen.getvalue()
    assert out.count("\n") == 3
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", out)


def test_blanks_before_a_cell_stay_for_rows_below_others(capsys: pytest.CaptureFixture[str]) -> None:
    table(COLUMNS, [Drawer("CASE", "", 1), Drawer("  PANEL", "", 2)], heading="Sections")
    lines = capsys.readouterr().out.splitlines()
    assert lines[:2] == ["", "Sections"]
    assert lines[4].startswith("  PANEL")


def test_no_rows_print_no_headings(capsys: pytest.CaptureFixture[str]) -> None:
    show(Drawers("The drawers are empty.", ()), COLUMNS)
    assert capsys.readouterr().out == "The drawers are empty.\n"


def test_lines_of_a_note_stay_lines(capsys: pytest.CaptureFixture[str]) -> None:
    say("First.\nSecond.\x07", apart=True)
    assert capsys.readouterr().out == "\nFirst.\nSecond.\n"


@given(
    st.lists(st.tuples(st.integers(0, 90), st.booleans()), min_size=1, max_size=8),
    st.integers(1, 200),
)
@settings(deadline=None)
def test_columns_fit_the_room_or_are_as_narrow_as_can_be(columns: list[tuple[int, bool]], room: int) -> None:
    widths = [wide for wide, _ in columns]
    shrinks = [shrink for _, shrink in columns]
    fit = fitted(widths, shrinks, room)
    used = sum(fit) + showing.GAP * (len(fit) - 1)
    assert used <= max(room, 0) or all(wide <= 1 for wide in fit)
    assert all(new <= old for new, old in zip(fit, widths, strict=True))
    if any(new < old for new, old in zip(fit, widths, strict=True)):
        assert used >= room or all(wide <= 1 for wide in fit)
    # As long as those that shrink have some width to give, the others keep all of theirs.
    if any(shrink and new > NARROWEST for new, shrink in zip(fit, shrinks, strict=True)):
        assert all(new == old for new, old, shrink in zip(fit, widths, shrinks, strict=True) if not shrink)


@pytest.mark.parametrize("text", ["4k7 Ω", "抵抗器 4.7", "ﬁlm", "e\u0301tage", "10 µF"])
def test_widths_are_those_of_the_terminal(text: str) -> None:
    assert width_of(text) == cell_len(text)


def test_moments_are_told_in_local_time(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        assert local_time("2024-03-01T23:30:00.000Z") == "2024-03-02 00:30"
        assert local_time("2024-03-01T23:30:00.000Z", day=True) == "2024-03-02"
        assert local_time("") == ""
    finally:
        monkeypatch.undo()
        time.tzset()


def test_progress_is_silent_in_a_pipe_and_clears_up_on_a_terminal(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    errors = io.StringIO()
    monkeypatch.setattr("sys.stderr", errors)
    with progress("Reading the list") as tick:
        tick(1, 2)
    assert errors.getvalue() == ""
    looking = Terminal()
    monkeypatch.setattr("sys.stderr", looking)
    with redirect_stdout(terminal), progress("Reading the list") as tick:
        tick(1, 2)
    assert "Reading the list" in looking.getvalue()
    assert terminal.getvalue() == ""
