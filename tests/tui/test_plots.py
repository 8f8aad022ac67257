"""Plots: bars and lines never wider than their room, parts that add up, figures that stay whole; and on the screen."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.workshop import Workshop
from buildbook.answers.boards import BoardRow, KitState
from buildbook.answers.cost import BuildCost, CostRow
from buildbook.answers.cover_over_time import ArrivalRow, CoverOverTime
from buildbook.store.read.stores import LevelRow
from buildbook.trade.money import show_money
from buildbook.tui.laying import ASCII, UNICODE, Glyphs
from buildbook.tui.place import FRAME_KEYS
from buildbook.tui.places import PLACES
from buildbook.tui.plots import BLOCKS, LETTERS, Drawn, Signs, bar, scaled, shared_out, width_drawn
from buildbook.tui.plots_boards import DONE, MONEY, cost_plot_lines, progress_lines
from buildbook.tui.plots_screen import PlotScreen, PlotView
from buildbook.tui.plots_steps import Grid, Level, Mark, below_axis, column_of
from buildbook.tui.plots_stores import cover_lines
from buildbook.tui.settings import Settings

Run = Any
Sit = Any
few = settings(deadline=None, max_examples=60)
SIGNS = st.sampled_from([BLOCKS, LETTERS])
GLYPHS = st.sampled_from([UNICODE, ASCII])
ROOMS = st.integers(2, 200)
PARTS = st.lists(st.integers(0, 10**12), min_size=1, max_size=6)


def text_of(line: Drawn) -> str:
    return "".join(piece.text for piece in line)


# --- bars ------------------------------------------------------------------------------------------------------------


@few
@given(PARTS, st.integers(0, 200))
def test_the_parts_add_up_to_the_whole_bar(parts: list[int], cells: int) -> None:
    given_out = shared_out(parts, cells)
    assert sum(given_out) == (cells if any(parts) else 0)
    assert min(given_out) >= 0
    assert all(part or not cell for part, cell in zip(parts, given_out, strict=True))
    if cells >= sum(1 for part in parts if part):
        assert all(cell for part, cell in zip(parts, given_out, strict=True) if part)


@few
@given(PARTS, st.integers(0, 200))
def test_a_part_is_as_long_as_it_is_large_but_for_the_cells_that_small_ones_need(parts: list[int], cells: int) -> None:
    whole = sum(parts)
    for part, cell in zip(parts, shared_out(parts, cells), strict=True):
        assert not whole or abs(cell - part * cells / whole) <= len(parts)


@few
@given(st.integers(0, 10**12), st.integers(1, 10**12), st.integers(0, 200))
def test_a_bar_is_never_longer_than_its_room_and_never_vanishes(value: int, more: int, cells: int) -> None:
    largest = value + more
    assert 0 <= scaled(value, largest, cells) <= cells
    assert bool(scaled(value, largest, cells)) == bool(value and cells)
    assert scaled(largest, largest, cells) == cells


@few
@given(st.lists(st.integers(0, 10**9), min_size=4, max_size=4), st.integers(0, 120), SIGNS)
def test_a_lettered_bar_names_each_part_and_no_other(values: list[int], cells: int, signs: Signs) -> None:
    drawn = bar(values, MONEY, cells, signs, lettered=True)
    assert width_drawn(drawn) == (cells if any(values) else 0)
    letters = re.sub(f"[{re.escape(signs.shades)}]", "", text_of(drawn))
    wanted = "".join(part.letter for part, value in zip(MONEY, values, strict=True) if value)
    assert letters == wanted or cells < len(wanted)


def test_parts_are_told_apart_without_colours() -> None:
    for parts in (DONE, MONEY):
        assert len({part.letter for part in parts}) == len({part.shade for part in parts}) == len(parts)
    for signs in (BLOCKS, LETTERS):
        assert len(set(signs.shades)) == 4
    assert "".join(LETTERS).isascii()


def section(code: str, *, steps: int = 5, done: int = 2, need: int = 40, fitted: int = 10, kitted: int = 5) -> BoardRow:
    kit = KitState("short", 3, need, fitted, kitted, 0, 0, 1, "")
    return BoardRow("CURLEW", code, "A section", "board", 1, 1, kit, steps, done)


CODES = st.text(min_size=1, max_size=30)


@few
@given(st.lists(CODES, min_size=1, max_size=4), st.integers(0, 5), st.integers(0, 10**6), ROOMS, GLYPHS)
@example(["抵抗抵抗抵抗抵抗抵抗抵抗"], 2, 100, 60, UNICODE)
def test_progress_fits_its_room_and_its_figures_stay_whole(
    codes: list[str], done: int, fitted: int, room: int, glyphs: Glyphs
) -> None:
    rows = [section(f"CURLEW/{code}", done=done, need=10**6, fitted=fitted) for code in codes]
    lines = progress_lines(rows, room, glyphs)
    assert all(width_drawn(line) <= room for line in lines)
    if room >= 30:
        text = "\n".join(map(text_of, lines))
        assert text.count(f"{done} of 5 steps") >= len(rows)
        assert text.count(f"{fitted} of 1000000 fitted") >= len(rows)


@pytest.mark.parametrize("room", [16, 36, 50, 78, 120])
def test_progress_bars_of_one_kind_are_equally_long(room: int) -> None:
    rows = [section("CURLEW/IF"), section("CURLEW/CASE", steps=100, done=0, kitted=0)]
    lines = [text_of(line) for line in progress_lines(rows, room, ASCII)[1:]]
    bars = [len(found) for line in lines for found in re.findall(r"[#\-.]{4,}", line)]
    assert len(set(bars)) == (1 if room > 30 else 0)


def test_nothing_to_do_is_said_in_words() -> None:
    text = "\n".join(text_of(line) for line in progress_lines([section("X", steps=0, done=0, need=0)], 78, ASCII))
    assert "no steps" in text
    assert "no parts" in text
    assert text_of(progress_lines([], 78, ASCII)[0]) == "There is nothing to draw yet."


def costing(*rows: CostRow) -> BuildCost:
    return BuildCost("CURLEW costs.", "CURLEW", "EUR", 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, rows, (), (), (), (), ())


MICROS = st.integers(0, 10**13)


@few
@given(
    st.lists(st.tuples(CODES, MICROS, MICROS, MICROS, MICROS), min_size=1, max_size=4),
    ROOMS,
    GLYPHS,
)
def test_costs_fit_their_room_and_are_told_in_full(
    given_rows: list[tuple[str, int, int, int, int]], room: int, glyphs: Glyphs
) -> None:
    rows = [CostRow(name, a, b, c, d, d, a + b + c + d, 1) for name, a, b, c, d in given_rows]
    lines = cost_plot_lines(costing(*rows), room, glyphs)
    assert all(width_drawn(line) <= room for line in lines)
    spoken = " ".join(" ".join(text_of(line) for line in lines).split())
    for row in rows:
        for micros, word in ((row.spent, "spent"), (row.to_spend, "still to spend")):
            if micros and room >= 60:
                assert f"{show_money(micros, 'EUR')} {word}" in spoken


def test_the_dearest_section_has_the_longest_bar_and_its_parts_their_letters() -> None:
    dear = CostRow("CURLEW/IF", 10_000_000, 20_000_000, 0, 10_000_000, 0, 40_000_000, 0)
    cheap = CostRow("CURLEW/CASE", 0, 0, 10_000_000, 0, 0, 10_000_000, 2)
    lines = [text_of(line) for line in cost_plot_lines(costing(dear, cheap), 53, ASCII)]
    at = next(number for number, line in enumerate(lines) if line.startswith("IF "))
    assert lines[at].split() == ["IF", "40.00", "s#########d===================t........."]
    assert lines[at + 1].startswith("  10.00 spent, 20.00 in the drawers")
    cheap_at = next(number for number, line in enumerate(lines) if line.startswith("CASE "))
    assert lines[cheap_at].split() == ["CASE", "10.00", "o---------"]
    assert lines[cheap_at + 1] == "  10.00 on order; 2 lines without a price"


# --- the step line ---------------------------------------------------------------------------------------------------

LEVELS = st.lists(st.tuples(st.integers(0, 79), st.integers(0, 500)), min_size=1, max_size=12).map(sorted)


@few
@given(LEVELS, st.integers(8, 80), st.integers(2, 16), st.integers(0, 12), SIGNS)
def test_the_line_has_no_gaps_and_ends_at_the_last_level(
    pairs: list[tuple[int, int]], width: int, height: int, expected: int, signs: Signs
) -> None:
    levels = [Level(min(at, width - 1), qty, expected=place >= expected) for place, (at, qty) in enumerate(pairs)]
    grid = Grid(width, height, max(qty for _, qty in pairs))
    grid.draw_levels(levels, signs)
    lines = [text_of(line) for line in grid.lines()]
    assert [len(line) for line in lines] == [width] * height
    inked = [{row for row in range(height) if lines[row][column] != " "} for column in range(width)]
    begun = levels[0].at
    assert not any(inked[:begun])
    assert all(inked[begun:])
    assert grid.row_of(levels[-1].qty) in inked[-1]
    for rows in inked[begun:]:
        assert rows == set(range(min(rows), max(rows) + 1))
    assert all(one & other for one, other in pairwise(inked[begun:]))


@few
@given(LEVELS, st.integers(0, 500))
def test_marks_cover_nothing_that_is_drawn(pairs: list[tuple[int, int]], qty: int) -> None:
    grid = Grid(80, 10, 500)
    grid.draw_levels([Level(at, much) for at, much in pairs], BLOCKS)
    before = [text_of(line) for line in grid.lines()]
    grid.draw_marks([Mark("s", qty, "key"), Mark("w", qty, "bad")])
    for old, new in zip(before, (text_of(line) for line in grid.lines()), strict=True):
        assert all(sign in (" ", now) for sign, now in zip(old, new, strict=True))


def test_a_step_up_and_a_step_down() -> None:
    grid = Grid(8, 3, 2)
    grid.draw_levels([Level(0, 0), Level(2, 2), Level(4, 1), Level(6, 2, expected=True)], BLOCKS)
    assert [text_of(line) for line in grid.lines()] == ["  ┌─┐ ┌╌", "  │ └─┘ ", "──┘     "]


def test_a_spike_within_one_column_is_seen() -> None:
    grid = Grid(5, 3, 2)
    grid.draw_levels([Level(0, 0), Level(2, 2), Level(2, 0)], LETTERS)
    assert [text_of(line) for line in grid.lines()] == ["  |  ", "  |  ", "--|--"]


@few
@given(st.lists(st.tuples(st.integers(0, 60), st.text("today 5Sep", min_size=1, max_size=12)), max_size=4), ROOMS)
def test_days_stand_whole_or_not_at_all(marks: list[tuple[int, str]], width: int) -> None:
    line = below_axis([(min(column, width - 1), text) for column, text in marks], width)
    assert len(line) == width
    if marks and len(marks[0][1]) <= width:
        assert marks[0][1] in line


@few
@given(st.floats(0, 1e9), st.floats(0, 1e9), st.integers(1, 100))
def test_moments_stay_in_order(one: float, other: float, width: int) -> None:
    first, second = sorted((one, other))
    assert 0 <= column_of(first, 0, 1e9, width) <= column_of(second, 0, 1e9, width) < width


def covering(
    levels: list[int], due: list[str], *, unit: str = "pc", spoken_for: int = 3, wanted: int = 9
) -> CoverOverTime:
    before = [0, *levels]
    rows = tuple(
        LevelRow(f"2026-0{1 + at}-05T10:00:00.000Z", "counted", qty - before[at], qty) for at, qty in enumerate(levels)
    )
    lies = levels[-1] if levels else 0
    coming = tuple(
        ArrivalRow(day, 7, f"Q-{at}", "TERN", bool(day) and day < "2026-09-01", lies + 7 * (at + 1))
        for at, day in enumerate(due)
    )
    asked = "2026-09-01T12:00:00.000Z"
    return CoverOverTime("Said.", "R-4K7", "", unit, asked, lies, spoken_for, lies, wanted, 0, "", rows, coming, ())


@few
@given(
    st.lists(st.integers(0, 10**6), max_size=7),
    st.lists(st.sampled_from(["", "2026-08-20", "2026-09-01", "2026-12-24", "2030-01-01"]), max_size=3),
    ROOMS,
    st.integers(1, 50),
    GLYPHS,
    st.sampled_from(["pc", "mm"]),
)
def test_cover_fits_its_room_and_tells_all_in_words(
    levels: list[int], due: list[str], room: int, height: int, glyphs: Glyphs, unit: str
) -> None:
    due = [day for day in sorted(due) if day] + [day for day in due if not day]
    lines = cover_lines(covering(levels, due, unit=unit), room, height, glyphs)
    assert all(width_drawn(line) <= room for line in lines)
    text = "\n".join(map(text_of, lines))
    if glyphs is ASCII:
        assert text.isascii()
    if room >= 60:
        assert text.count("by order Q-") == len(due)
        assert text.count("was due") == due.count("2026-08-20")
        assert text.count("no day known, not drawn") == due.count("")
        assert "today" in text


def test_cover_marks_what_is_spoken_for_wanted_and_coming() -> None:
    lines = [text_of(line) for line in cover_lines(covering([10, 4], ["2026-12-24"]), 60, 18, ASCII)]
    axis = next(line for line in lines if line.lstrip().startswith("+-"))
    assert axis.index("t") < axis.rindex("+")
    assert any(line.startswith("11|") for line in lines)
    rising = [line for line in lines[: lines.index(axis)] if ":" in line]
    assert rising, "what is coming is not drawn"
    assert all(line.index(":") == axis.rindex("+") for line in rising)
    assert any(line.count("s") > 5 for line in lines)
    assert "s spoken for now: 3   w wanted by the builds: 9" in lines


# --- on the screen ---------------------------------------------------------------------------------------------------


def test_the_key_is_free_everywhere() -> None:
    assert "=" not in FRAME_KEYS
    for place in PLACES:
        verbs = [verb for verb in place.verbs if verb.key == "="]
        assert len(verbs) == (1 if place.NAME in ("Bench", "Boards", "Stores", "Buying", "Checks") else 0)


@pytest.mark.parametrize("size", [(80, 24), (36, 9), (120, 40)])
def test_boards_are_drawn_and_left(run: Run, sit: Sit, curlew: Path, size: tuple[int, int]) -> None:
    async def scene() -> None:
        async with sit(curlew, size=size) as seat:
            await seat.press("2", "=")
            assert isinstance(seat.app.screen, PlotScreen)
            seen = seat.asked()
            assert "esc back" in seen
            await seat.press("end")
            assert "CURLEW" in seen or "CURLEW" in seat.asked()
            await seat.press("escape")
            assert seat.app.screen is seat.frame
            assert seat.list.has_focus

    run(scene())


def test_the_cover_of_a_part_is_drawn_and_follows_what_others_write(
    run: Run, sit: Sit, curlew: Path, another: Workshop
) -> None:
    buying.new_supplier(another, "TERN", "Tern Windings")
    buying.place_order(another, "Q-1", "TERN", [OrderLine("R-4K7", 20)], placed_on="2026-01-01", due_on="2090-01-01")

    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("R-4K7")
            await seat.press("=")
            seen = seat.asked()
            assert "R-4K7: 12 on hand, 3 wanted, all of it there; 20 coming." in seen
            assert "s spoken for now: 3" in seen
            assert "+ 20 by order Q-1 from TERN, due 1 Jan 2090: 32 then" in seen
            await seat.pilot.pause(1.0)
            await seat.rest()
            stores.receive(another, "R-4K7", "A1", 5)
            for _ in range(40):
                await seat.pilot.pause(0.1)
                await seat.rest()
                if "17 on hand" in seat.asked():
                    break
            assert "R-4K7: 17 on hand" in seat.asked()
            await seat.press("=")
            assert seat.row() == "R-4K7"

    run(scene())


def test_the_palette_leads_there(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("2", "colon")
            await seat.type("progress of each")
            await seat.press("enter")
            assert isinstance(seat.app.screen, PlotScreen)

    run(scene())


@pytest.mark.parametrize("place", ["2", "3"])
def test_without_unicode_only_ascii_is_drawn(run: Run, sit: Sit, curlew: Path, place: str) -> None:
    async def scene() -> None:
        async with sit(curlew, settings=Settings("dark", True)) as seat:
            await seat.press(place, "=")
            assert seat.asked().isascii()

    run(scene())


def test_a_tiny_terminal_and_back_does_no_harm(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("3")
            seat.list.select("R-4K7")
            await seat.press("=")
            whole = seat.asked()
            for size in ((20, 5), (1, 1), (80, 24)):
                await seat.pilot.resize_terminal(*size)
                await seat.rest()
            assert seat.asked() == whole
            assert seat.app.screen.query_one(PlotView).has_focus

    run(scene())
