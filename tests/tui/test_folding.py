"""The list: virtual, selected by key, folding open below a row or beside it, aligned whatever it holds."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import asynccontextmanager
from typing import Any, overload

import pytest
from textual.app import App, ComposeResult
from textual.pilot import Pilot

from buildbook.tui.arranging import Arrangement
from buildbook.tui.folding import FoldingList
from buildbook.tui.rows import Cell, Column, Line, Row
from buildbook.tui.themes import DARK, theme, variables

Run = Any
COLUMNS = (Column("part"), Column("qty", right=True), Column("note", shrink=True))


class Host(App[None]):
    """Nothing but a list."""

    def __init__(self, rows: Sequence[Row]) -> None:
        super().__init__()
        self.given = rows
        self.happened: list[str] = []
        self.register_theme(theme(DARK))
        self.theme = DARK

    def get_theme_variable_defaults(self) -> dict[str, str]:
        return variables(DARK)

    def compose(self) -> ComposeResult:
        yield FoldingList(id="list")

    def on_mount(self) -> None:
        listed = self.query_one(FoldingList)
        listed.show(COLUMNS, self.given)
        listed.focus()

    def on_folding_list_entered(self, message: FoldingList.Entered) -> None:
        self.happened.append(f"{message.row.key} {message.line.verb if message.line else ''}")

    def on_folding_list_wanted(self, message: FoldingList.Wanted) -> None:
        self.happened.append(f"wanted {message.row.key}")


@asynccontextmanager
async def listed(
    rows: Sequence[Row], size: tuple[int, int] = (60, 12)
) -> AsyncIterator[tuple[FoldingList, Pilot[None]]]:
    app = Host(rows)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield app.query_one(FoldingList), pilot


def lines_of(listed: FoldingList) -> list[str]:
    """What is drawn."""
    return [listed.render_line(y).text.rstrip() for y in range(listed.size.height)]


def some(count: int) -> list[Row]:
    fold = (Line("lies in A1", about="A1"), Line("c  count", "do", verb="c"))
    return [Row(f"P{at:05}", (f"P{at:05}", Cell(str(at), sort=at), "note"), fold=fold) for at in range(count)]


class Counted(Sequence[Row]):
    """Rows that count how often one is looked at."""

    def __init__(self, rows: list[Row]) -> None:
        self.rows = rows
        self.looks = 0

    def __len__(self) -> int:
        return len(self.rows)

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        self.looks += 1
        return self.rows[at]

    def __iter__(self) -> Iterator[Row]:
        for row in self.rows:
            self.looks += 1
            yield row


def test_the_first_row_is_selected_and_headings_stand_above(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(3)) as (rows, _):
            drawn = lines_of(rows)
            assert drawn[0].split() == ["part", "qty", "note"]
            assert drawn[1].startswith("› P00000")
            assert drawn[2].startswith("  P00001")

    run(scene())


def test_a_key_at_20_000_rows_looks_at_no_more_than_a_screenful(run: Run) -> None:
    async def scene() -> None:
        rows = Counted(some(20_000))
        async with listed(some(3)) as (widget, pilot):
            arrangement = Arrangement(rows)
            widget.show(COLUMNS, rows, arrangement=arrangement, widths=(6, 5, 4), shown=range(20_000))
            await pilot.pause()
            for key in ("end", "pageup", "up", "down", "home"):
                rows.looks = 0
                await pilot.press(key)
                lines_of(widget)
                assert rows.looks < 20 * widget.size.height, key
            await pilot.press("end")
            assert widget.selected is not None
            assert widget.selected.key == "P19999"
            assert lines_of(widget)[-1].startswith("› P19999")

    run(scene())


def test_the_selection_stays_with_its_row_when_others_come_and_go(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(30)) as (rows, pilot):
            await pilot.press(*["down"] * 20)
            rows.show(COLUMNS, some(30)[10:])
            assert rows.selected is not None
            assert rows.selected.key == "P00020"
            assert any(line.startswith("› P00020") for line in lines_of(rows))
            rows.show(COLUMNS, some(5))
            assert rows.selected is not None
            assert rows.selected.key == "P00004"
            rows.show(COLUMNS, [])
            assert rows.selected is None
            await pilot.press("enter", "down", "end")
            assert rows.selected is None

    run(scene())


def test_enter_folds_open_below_the_row_and_closes_again(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(4)) as (rows, pilot):
            await pilot.press("down", "enter")
            assert [line.strip() for line in lines_of(rows)[2:5]] == ["› P00001    1  note", "lies in A1", "c  count"]
            await pilot.press("enter")
            assert lines_of(rows)[3].startswith("  P00002")

    run(scene())


def test_lines_below_a_row_can_be_selected_and_do_what_they_say(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(4)) as (rows, pilot):
            await pilot.press("enter", "down")
            assert rows.line is not None
            assert rows.line.about == "A1"
            assert rows.selected is not None
            assert rows.selected.key == "P00000"
            await pilot.press("down", "enter")
            await pilot.pause()
            assert pilot.app.happened[-1] == "P00000 c"  # type: ignore[attr-defined]
            await pilot.press("down")
            assert rows.selected.key == "P00001"

    run(scene())


def test_lines_that_a_row_does_not_bring_are_asked_for(run: Run) -> None:
    async def scene() -> None:
        async with listed([Row("A", ("A", "1", ""))]) as (rows, pilot):
            await pilot.press("enter")
            await pilot.pause()
            assert "looking it up" in lines_of(rows)[2]
            assert pilot.app.happened == ["wanted A"]  # type: ignore[attr-defined]
            rows.set_fold("A", [Line("nothing known")])
            assert "nothing known" in lines_of(rows)[2]

    run(scene())


def test_what_is_open_stays_open_and_on_its_line_over_a_refresh(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(4)) as (rows, pilot):
            await pilot.press("down", "enter", "down", "down")
            rows.show(COLUMNS, some(4))
            assert rows.is_open("P00001")
            assert rows.line is not None
            assert rows.line.verb == "c"

    run(scene())


def test_narrowing_by_all_words_keeps_the_selection_if_it_can(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(3000)) as (rows, _):
            rows.select("P01234")
            rows.narrow("12 P 3")
            await rows.settled()
            meant = [row.key for row in some(3000) if "12" in row.key and "3" in row.key]
            assert [row.key for row in rows.shown] == meant
            assert rows.selected is not None
            assert rows.selected.key == "P01234"
            rows.narrow("nothing like it")
            await rows.settled()
            assert rows.selected is None
            rows.narrow("")
            await rows.settled()
            assert len(rows) == 3000

    run(scene())


def test_the_newest_text_wins(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(5000)) as (rows, pilot):
            for text in ("0", "00", "001", "0012"):
                rows.narrow(text)
            await rows.settled()
            await asyncio.sleep(0.05)
            await pilot.pause()
            assert {row.key for row in rows.shown} == {row.key for row in rows.rows if "0012" in row.key}

    run(scene())


@pytest.mark.parametrize(
    "text", ["抵抗 4k7", "e\u0301te\u0301", "\u202eabc\u202c", "a\x1b[2Jb", "[bold]x[/]", "👩‍🔧 tool", "x" * 1_000_000]
)
def test_whatever_a_cell_holds_the_columns_stay_aligned(run: Run, text: str) -> None:
    async def scene() -> None:
        rows = [Row("A", (text, "12", "right of it")), Row("B", ("plain", "7", "right of it"))]
        async with listed(rows, size=(50, 8)) as (widget, _):
            first, second = widget.render_line(1), widget.render_line(2)
            assert first.cell_length == second.cell_length
            assert first.text.isprintable()
            # The last column begins in the same cell.
            cells = [strip.text[: strip.text.index("right")] for strip in (first, second)]
            from rich.cells import cell_len

            assert cell_len(cells[0]) == cell_len(cells[1])

    run(scene())


def test_markup_is_shown_as_text(run: Run) -> None:
    async def scene() -> None:
        async with listed([Row("A", ("[red]4k7[/red]", "1", ""))]) as (rows, _):
            assert "[red]4k7[/red]" in lines_of(rows)[1]

    run(scene())


def test_bands_are_drawn_before_the_value(run: Run) -> None:
    async def scene() -> None:
        bands = ("yellow", "violet", "red", "gold")
        async with listed([Row("A", (Cell("4k7", bands=bands), "1", ""))]) as (rows, _):
            grounds = [segment.style.bgcolor.name for segment in rows.render_line(1) if segment.style]  # type: ignore[union-attr]
            drawn = [name for name in grounds if name in ("#f0d000", "#8030b0", "#d0201a", "#b8902a")]
            assert drawn == ["#f0d000", "#8030b0", "#d0201a", "#b8902a"]

    run(scene())


def test_a_click_selects_and_a_click_on_it_opens(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(5)) as (rows, pilot):
            await pilot.click("#list", offset=(5, 3))
            assert rows.selected is not None
            assert rows.selected.key == "P00002"
            await pilot.pause(0.6)
            await pilot.click("#list", offset=(5, 3))
            assert rows.is_open("P00002")

    run(scene())


def test_the_wheel_scrolls_without_moving_the_selection(run: Run) -> None:
    async def scene() -> None:
        async with listed(some(100)) as (rows, pilot):
            rows.scroll_to(y=50, animate=False)
            await pilot.pause()
            assert rows.selected is not None
            assert rows.selected.key == "P00000"
            assert "P00050" in lines_of(rows)[1]
            await pilot.press("down")
            assert lines_of(rows)[0].split() == ["part", "qty", "note"]
            assert any(line.startswith("› P00001") for line in lines_of(rows))

    run(scene())
