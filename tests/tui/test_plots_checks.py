"""The plots of Checks on the screen: never wider than their room, every state in words, the limit where it belongs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import measuring
from buildbook.actions import supply as actions
from buildbook.actions.measuring import NewPoint
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop
from buildbook.answers.plotted import AnswerBar, Dot, OptionFigure, PointDots, SupplyBar
from buildbook.tui.laying import ASCII, UNICODE, Glyphs
from buildbook.tui.plots import Drawn, width_drawn
from buildbook.tui.plots_checks import supply_bar, supply_lines, thin_bar
from buildbook.tui.plots_options import options_lines
from buildbook.tui.plots_readings import builds_lines, readings_lines
from buildbook.tui.settings import Settings

Run = Any
Sit = Any
few = settings(deadline=None, max_examples=60)
GLYPHS = st.sampled_from([UNICODE, ASCII])
# The view cuts what a narrower screen cannot hold.
ROOMS = st.integers(24, 160)
MICROS = st.integers(0, 10**12)
NAMES = st.text(max_size=30)
AMOUNTS = st.integers(-(10**15), 10**15).map(lambda nano: nano / 1e9)


def text_of(lines: list[Drawn]) -> str:
    return "\n".join("".join(piece.text for piece in line) for line in lines)


def heaters(load: int = 1_824_000, limit: int | None = 2_500_000, state: str = "within", all_on: int = 0) -> SupplyBar:
    answers = (AnswerBar("RECT:VALVE", False, 2_424_000, "tight", "with RECT:VALVE: too tight by 0.424 A"),)
    percent = None if not limit else -(-100 * load // limit)
    return SupplyBar("HTR", "Heaters", 1, "A", limit, load, all_on or load, 500_000, percent, state, "so much", answers)


@few
@given(
    NAMES, MICROS, st.none() | MICROS, MICROS, st.sampled_from(["within", "tight", "over", "unknown"]), ROOMS, GLYPHS
)
def test_supplies_fit_their_room(
    name: str, load: int, limit: int | None, all_on: int, state: str, room: int, glyphs: Glyphs
) -> None:
    bar = heaters(load, limit, state, all_on)._replace(code=name, name=name)
    assert all(width_drawn(line) <= room for line in supply_lines([bar, heaters()], room, glyphs))
    if limit:
        for cells in (12, 57):
            assert width_drawn(supply_bar(bar, cells, glyphs)) == cells
            assert len(thin_bar(load, limit, cells, glyphs)) == cells


def test_load_margin_and_limit_stand_where_they_belong() -> None:
    drawn = text_of([supply_bar(heaters(1_250_000), 61, ASCII)])
    assert drawn[40] == "|"  # the limit, at two thirds
    assert drawn[:20] == "#" * 20
    assert drawn[20:32] == "." * 12
    assert drawn[32:40] == "=" * 8  # 20 % to keep free
    assert drawn[41:].strip() == ""
    over = text_of([supply_bar(heaters(2_501_000, state="over"), 61, ASCII)])
    assert over[:40] == "#" * 40
    assert over[41] == "#"  # beyond the limit, however little
    assert "e" in text_of([supply_bar(heaters(all_on=2_400_000), 61, ASCII)])


def test_every_state_is_told_in_words() -> None:
    for state, word in (("within", "within"), ("tight", "too tight"), ("over", "over the limit")):
        assert f"{word}: so much" in text_of(supply_lines([heaters(state=state)], 78, ASCII))
    unknown = text_of(supply_lines([heaters(limit=None, state="unknown")], 78, ASCII))
    assert "not all known" in unknown
    assert "no limit" in unknown
    assert "with RECT:VALVE: too tight by 0.424 A" in unknown


def test_an_answer_that_changes_nothing_is_left_out_unless_it_is_chosen() -> None:
    same = AnswerBar("RECT:SI", False, 1_824_000, "within", "with RECT:SI: the same")
    assert "RECT:SI" not in text_of(supply_lines([heaters()._replace(answers=(same,))], 78, ASCII))
    chosen = heaters()._replace(answers=(same._replace(chosen=True),))
    assert "chosen, with RECT:SI" in text_of(supply_lines([chosen], 78, ASCII))


def cathode(*values: float, state: str = "within", said: str = "2 V, within limits") -> PointDots:
    dots = tuple(Dot("", "CURLEW", value, "within" if 1 <= value <= 3 else "out") for value in values)
    return PointDots("IF/VK1", "cathode", "V", 2.0, 1.0, 3.0, "1 to 3 V", state, said, dots)


@few
@given(NAMES, st.none() | AMOUNTS, st.none() | AMOUNTS, st.lists(AMOUNTS, min_size=1, max_size=4), ROOMS, GLYPHS)
def test_readings_fit_their_room(
    name: str, low: float | None, high: float | None, values: list[float], room: int, glyphs: Glyphs
) -> None:
    if low is not None and high is not None:
        low, high = min(low, high), max(low, high)
    one = cathode(*values)._replace(name=name, low=low, high=high)
    assert all(width_drawn(line) <= room for line in readings_lines([one], room, glyphs))
    assert all(width_drawn(line) <= max(room, 40) for line in builds_lines(one, room, glyphs))


def test_readings_stand_between_their_limits_and_beyond_them() -> None:
    line = text_of(readings_lines([cathode(1.5, 2.5)], 60, ASCII)).splitlines()[1]
    low, high = line.index("|"), line.rindex("|")
    assert low < line.index("o", low) < line.index("+") < line.index("@") < high
    out = text_of(readings_lines([cathode(3.2, state="out", said="3.2 V, 0.2 V above 3 V")], 60, ASCII))
    assert out.splitlines()[1].rindex("|") < out.splitlines()[1].index("@")
    assert "OUT of limits: 3.2 V" in out
    above = text_of(readings_lines([cathode(99.0)], 60, ASCII)).splitlines()[1]
    below = text_of(readings_lines([cathode(-99.0)], 60, ASCII)).splitlines()[1]
    assert above.endswith(">")
    assert below.index("<") < below.index("|")


def test_the_builds_of_a_point_stand_below_each_other_with_mean_and_spread() -> None:
    text = text_of(builds_lines(cathode(1.5, 2.5, 3.5), 78, ASCII))
    assert "1.5 V within" in text
    assert "3.5 V OUT" in text
    assert "mean of 3: 2.5 V, spread 1 V (one standard deviation)" in text
    mean = next(line for line in text.splitlines() if line.startswith("mean "))
    assert "=M=" in mean


def test_nothing_to_draw_is_said_in_words() -> None:
    assert text_of(supply_lines([], 78, ASCII)) == "No supply has been written down yet."
    assert text_of(readings_lines([], 78, ASCII)) == "No point has been read yet."
    assert text_of(builds_lines(cathode(), 78, ASCII)) == "No build has read this point yet."
    assert text_of(options_lines([], 78, ASCII)) == "There is nothing to weigh yet."


@few
@given(
    st.lists(st.tuples(NAMES, st.sampled_from(["money", "hours"]), st.none() | AMOUNTS), min_size=1, max_size=6),
    ROOMS,
    GLYPHS,
)
def test_options_fit_their_room(rows: list[tuple[str, str, float | None]], room: int, glyphs: Glyphs) -> None:
    figures = [OptionFigure(*row, "h", "less") for row in rows]
    assert all(width_drawn(line) <= room for line in options_lines(figures, room, glyphs))


def test_the_best_option_says_so_and_less_than_nothing_goes_to_the_left() -> None:
    figures = [
        OptionFigure("VALVE", "headroom", -0.4, "A", "more"),
        OptionFigure("SI", "headroom", 0.4, "A", "more"),
        OptionFigure("LAST", "headroom", None, "A", "more"),
    ]
    head, valve, si, last = text_of(options_lines(figures, 60, ASCII)).splitlines()
    assert head == "headroom (more is better)"
    assert valve.index("-") < si.index("#")
    assert valve.endswith("-0.4 A")
    assert si.endswith("0.4 A  best")
    assert last.endswith("not known")


@pytest.fixture
def fed(curlew: Path, another: Workshop) -> Path:
    """A heater winding that a valve would load too far, and a point that is out of its limits."""
    actions.add_supply(another, "CURLEW", NewSupply("HTR", "winding", "Heaters", "6.3 V", "2.5 A", "20 %"))
    actions.add_load(another, "HTR", NewLoad("valves", current="1.824 A"))
    actions.add_load(another, "HTR", NewLoad("EZ80", heater="EZ80", option="VALVE"))
    measuring.add_point(another, "IF", NewPoint("VK1", "cathode", "1.6-2.2 V"))
    measuring.read(another, "CURLEW", "VK1", "2.31")
    return curlew


@pytest.mark.parametrize("ascii_only", [False, True])
def test_a_key_draws_headroom_and_readings_and_of_a_point_its_history(
    run: Run, sit: Sit, fed: Path, *, ascii_only: bool
) -> None:
    async def scene() -> None:
        async with sit(fed, settings=Settings("light" if ascii_only else Settings().theme, ascii_only)) as seat:
            await seat.press("5", "=")
            seen = seat.asked()
            assert seen.isascii() == ascii_only
            assert "within: 1.82 of 2.5 A" in seen
            assert "too tight by 0.424 A" in " ".join(seen.split())
            assert "OUT of limits: 2.31 V" in seen
            await seat.press("escape")
            for row in seat.list.shown:
                if "VK1" in row.key:
                    seat.list.select(row.key)
            await seat.press("=")
            assert "mean of 1: 2.31 V" in seat.asked()
            assert "2.31 V OUT" in seat.asked()

    run(scene())
