"""Rows are drawn cell by cell: what is too long runs on over empty cells, and bands stand apart from those above."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st
from rich.segment import Segment
from rich.style import Style

from buildbook.tui.drawing import BAND_COLOURS, draw_line, draw_row
from buildbook.tui.laying import ASCII, GAP, UNICODE, Glyphs, wrapped
from buildbook.tui.rows import Cell, Column, Line, Row, table_lines

GROUND = Style(bgcolor="#102030")


def style(tone: str) -> Style:
    """The tone's name, as something that can be found again; all on one ground."""
    return GROUND + Style(meta={"tone": tone})


def drawn(
    cells: Sequence[Cell | str], widths: Sequence[int], right: Sequence[int] = (), glyphs: Glyphs = UNICODE
) -> list[Segment]:
    columns = [Column("", right=at in right) for at in range(len(widths))]
    return draw_row(Row("1", tuple(cells)), columns, list(enumerate(widths)), style, glyphs)


def text(segments: Sequence[Segment]) -> str:
    return "".join(segment.text for segment in segments)


def test_a_long_text_runs_on_over_empty_cells_as_far_as_it_needs() -> None:
    assert text(drawn(("Mill Lane Surplus", "", "", "8.24"), (8, 5, 6, 5))) == "Mill Lane Surplus        8.24 "
    assert text(drawn(("Mill Lane Surplus", "2", "", "8.24"), (8, 5, 6, 5))) == "Mill La…  2" + " " * 14 + "8.24 "


def test_what_is_set_right_is_cut_where_it_stands() -> None:
    assert text(drawn(("123456789", "", "x"), (4, 5, 1), right=[0])) == "123…         x"


def test_a_cell_that_spans_takes_its_columns_and_runs_on_from_there() -> None:
    assert text(drawn((Cell("Fit the socket", span=2), "7", "", "x"), (4, 4, 6, 1))) == "Fit the socket      x"
    assert text(drawn((Cell("Fit the socket", span=2), "7", "3", "x"), (4, 4, 6, 1))) == "Fit the s…  3       x"


WORDS = st.text(st.sampled_from("ab 抵Ω"), max_size=20)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(WORDS, st.integers(1, 12), st.integers(1, 3), st.booleans()), min_size=1, max_size=6))
def test_a_row_is_always_as_wide_as_its_columns(parts: list[tuple[str, int, int, bool]]) -> None:
    widths = [width for _, width, _, _ in parts]
    cells = [Cell(said, span=span) for said, _, span, _ in parts]
    right = [at for at, (*_, is_right) in enumerate(parts) if is_right]
    found = drawn(cells, widths, right)
    assert sum(segment.cell_length for segment in found) == sum(widths) + GAP * (len(widths) - 1)


def test_bands_keep_a_gap_in_the_colour_of_the_ground_to_those_above() -> None:
    cell = Cell("4k7", bands=("yellow", "violet", "red", "gold"))
    found = drawn((cell,), (16,))
    assert text(found) == "▔" * 9 + " 4k7   "
    painted = [(segment.style.color, segment.style.bgcolor) for segment in found[:9] if segment.style]
    assert {before for before, _ in painted} == {GROUND.bgcolor}
    assert [behind.name for _, behind in painted[1::2] if behind] == [BAND_COLOURS[band] for band in cell.bands]
    assert text(drawn((cell,), (16,), glyphs=ASCII)) == " " * 10 + "4k7   "


def tones(line: Line) -> list[tuple[str, str]]:
    found = draw_line(line, 30, style, UNICODE)
    return [(segment.text.strip(), segment.style.meta["tone"]) for segment in found if segment.style and segment.text]


def test_of_a_line_that_does_something_the_key_stands_out() -> None:
    assert tones(Line("k  kit it", "do", verb="k")) == [("k", "do"), ("kit it", "row")]
    assert tones(Line("and the rest", "do", verb="k")) == [("and the rest", "row")]
    assert tones(Line("held by CASE", verb="h")) == [("held by CASE", "do")]
    assert tones(Line("Caution", "warn")) == [("Caution", "warn")]


def test_a_column_with_nothing_in_it_is_left_out_of_a_small_table() -> None:
    lines = table_lines(["bin", "short", "holds"], [["A1", "", "10"], ["A2", "", "2"]], right=[1, 2])
    assert [line.text for line in lines] == ["bin  holds", "A1      10", "A2       2"]


def test_a_number_stays_with_what_it_counts_and_the_rest_of_a_table_row_is_indented() -> None:
    assert wrapped("3 can be kitted, 3 wait", 18) == ["3 can be kitted,", "3 wait"]
    assert wrapped("kitted  A03  CURLEW/AUDIO", 16) == ["kitted  A03", "  CURLEW/AUDIO"]
    assert wrapped("12345 67890", 6) == ["12345", "67890"]
