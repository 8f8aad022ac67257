"""Text in the cells of a terminal: as wide as it must be, whatever it is; and columns that fit."""

from __future__ import annotations

import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from buildbook.tui.arranging import Arrangement
from buildbook.tui.laying import ASCII, GAP, UNICODE, laid, natural_widths, plain, set_to, within, wrapped
from buildbook.tui.rows import Cell, Column, Line, Row, table_lines
from buildbook.tui.stacking import Stack, wrap_lines

ANYTHING = st.text(max_size=60)
NASTY = st.text(alphabet="aZ 4µΩ抵抗ｶא\u0301\u200d\u202e\u2066\x1b[31m\x00\n\t\r👩🔧é…", max_size=40)


@settings(max_examples=300, deadline=None)
@given(ANYTHING | NASTY, st.integers(1, 40), st.booleans(), st.sampled_from([UNICODE, ASCII]))
def test_a_text_fills_its_cells_exactly(text: str, width: int, right: bool, glyphs: object) -> None:
    drawn = set_to(plain(text), width, right=right, glyphs=glyphs)  # type: ignore[arg-type]
    assert cell_len(drawn) == width
    assert not {unicodedata.category(sign) for sign in drawn} & {"Cc", "Zl", "Zp"}


@settings(max_examples=200, deadline=None)
@given(ANYTHING | NASTY)
def test_plain_text_has_no_unseen_signs_and_stays_plain(text: str) -> None:
    said = plain(text)
    assert not set(said) & set("\x1b\n\r\t\u202e\u2066\u200d\x00")
    assert plain(said) == said


def test_a_text_of_a_million_signs_is_cut_at_once() -> None:
    assert set_to(plain("Ω" * 1_000_000), 10) == "Ω" * 9 + "…"
    assert len(within("word " * 200_000, 40, 3)) == 3


@settings(max_examples=200, deadline=None)
@given(NASTY | ANYTHING, st.integers(2, 30))
def test_wrapped_lines_fit_and_lose_nothing_but_blanks(text: str, width: int) -> None:
    said = plain(text)
    lines = wrapped(said, width)
    assert all(cell_len(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(said.split())


COLUMNS = st.lists(
    st.tuples(
        st.builds(Column, st.just("h"), st.booleans(), st.booleans(), st.integers(0, 3), st.integers(1, 20)),
        st.integers(1, 60),
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=200, deadline=None)
@given(COLUMNS, st.integers(20, 200))
def test_columns_fit_into_the_room_and_none_is_wider_than_it_need_be(
    columns: list[tuple[Column, int]], room: int
) -> None:
    layout = laid([column for column, _ in columns], [wide for _, wide in columns], room)
    assert sum(wide for _, wide in layout) + GAP * (len(layout) - 1) <= room
    assert all(1 <= wide <= columns[at][1] for at, wide in layout)
    assert {at for at, (column, _) in enumerate(columns) if not column.rank} <= {at for at, _ in layout}


def test_a_column_of_no_rank_stays_while_others_go() -> None:
    columns = (Column("part"), Column("kind", rank=2), Column("worth", rank=1))
    assert [at for at, _ in laid(columns, (10, 10, 10), 34)] == [0, 1, 2]
    assert [at for at, _ in laid(columns, (10, 10, 10), 24)] == [0, 2]
    assert [at for at, _ in laid(columns, (10, 10, 10), 12)] == [0]


def test_bands_and_double_width_count_in_the_width_of_a_column() -> None:
    rows = [Row("1", (Cell("4k7", bands=("yellow", "violet", "red", "gold")), "抵抗"))]
    assert natural_widths((Column(""), Column("")), rows) == (2 * 4 + 2 + 3, 4)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(0, 5), min_size=1, max_size=12))
def test_every_line_of_a_stack_belongs_to_one_row_and_back(below: list[int]) -> None:
    folds = [(at, [Line(f"{at} {n}") for n in range(count)]) for at, count in enumerate(below) if count]
    stack = Stack(len(below), folds)
    expected = [(at, line) for at, count in enumerate(below) for line in range(count + 1)]
    assert stack.height == len(expected)
    for number, (place, line) in enumerate(expected):
        assert stack.place_of(number) == (place, line)
        assert stack.line_of(place, line) == number
        found = stack.line_at(number)
        assert (found.text if found else None) == (f"{place} {line - 1}" if line else None)


def test_a_wrapped_line_does_in_each_piece_what_the_whole_does() -> None:
    pieces = wrap_lines([Line("count what lies in the bin", verb="c", about="A1")], 10)
    assert len(pieces) > 1
    assert {(piece.verb, piece.about) for piece in pieces} == {("c", "A1")}


def test_a_small_table_keeps_its_columns_with_wide_letters() -> None:
    lines = table_lines(["bin", "holds"], [["抵抗", "10"], ["A2", "2"]], right=[1])
    assert [line.text for line in lines] == ["bin   holds", "抵抗     10", "A2        2"]


ROWS = [
    Row(str(at), (name, Cell(str(qty), sort=qty))) for at, (name, qty) in enumerate([("R10", 3), ("R2", 20), ("", 1)])
]


def test_rows_sort_as_people_would_with_empty_cells_last() -> None:
    found = Arrangement(ROWS)
    assert list(found.order(0)) == [1, 0, 2]
    assert list(found.order(0, falling=True)) == [0, 1, 2]
    assert list(found.order(1)) == [2, 0, 1]
    assert list(found.order(None, falling=True)) == [2, 1, 0]


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text(alphabet="abR1 ", max_size=6), max_size=20), st.text(alphabet="abR1 ", max_size=5))
def test_narrowing_keeps_exactly_the_rows_in_which_every_word_stands(texts: list[str], typed: str) -> None:
    rows = [Row(str(at), (text,)) for at, text in enumerate(texts)]
    shown = Arrangement(rows).shown(typed)
    meant = [at for at, text in enumerate(texts) if all(word in text.casefold() for word in typed.casefold().split())]
    assert list(shown) == meant


def test_a_row_is_found_by_another_name_too_and_keeps_its_place() -> None:
    found = Arrangement(ROWS, lambda row: ("ten",) if row.key == "0" else ())
    assert list(found.shown("R2", others=("ten",))) == [0, 1]
    assert list(found.shown("nothing", others=("ten",))) == [0]
    assert list(found.shown("nothing", others=("t",))) == []
