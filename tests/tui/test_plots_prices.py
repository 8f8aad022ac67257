"""The plot of a price: never wider than its room, every price told; and on the screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import buying, offers
from buildbook.actions.workshop import Workshop
from buildbook.answers.price_curve import PriceCurve, PriceSpan
from buildbook.tui.laying import ASCII, UNICODE, Glyphs
from buildbook.tui.plots import Drawn, width_drawn
from buildbook.tui.plots_prices import price_lines
from buildbook.tui.plots_screen import PlotScreen

Run = Any
Sit = Any
DAYS = st.sampled_from(["2025-01-05", "2026-03-01", "2026-11-01", "2026-11-20"])
SPANS = st.builds(
    lambda seller, days, micros, paid: PriceSpan(seller, days[0], days[1], micros, paid),
    st.sampled_from(["QUAYSIDE", "MILLLANE", "抵抗"]),
    st.tuples(DAYS, DAYS).map(sorted),
    st.integers(0, 10**12),
    st.booleans(),
)


def text_of(line: Drawn) -> str:
    return "".join(piece.text for piece in line)


def curve(*spans: PriceSpan) -> PriceCurve:
    return PriceCurve("V-ECH81", "pc", "EUR", 1, "2026-11-20", spans, 0, "Said.")


@settings(deadline=None, max_examples=60)
@given(st.lists(SPANS, max_size=6), st.integers(2, 160), st.integers(1, 40), st.sampled_from([UNICODE, ASCII]))
def test_it_fits_its_room_and_tells_every_price(spans: list[PriceSpan], room: int, height: int, glyphs: Glyphs) -> None:
    lines = price_lines(curve(*spans), room, height, glyphs)
    assert all(width_drawn(line) <= room for line in lines)
    if room >= 80:
        text = "\n".join(map(text_of, lines))
        assert text.count(": paid ") + text.count(": asks ") + text.count(": asked ") == len(spans)


def test_each_supplier_has_a_letter_and_what_was_paid_a_capital() -> None:
    asked = PriceSpan("MILLLANE", "2026-01-01", "2026-11-20", 9_000_000, False)
    paid = PriceSpan("QUAYSIDE", "2026-06-01", "2026-06-01", 12_000_000, True)
    lines = [text_of(line) for line in price_lines(curve(asked, paid), 60, 18, ASCII)]
    top = next(line for line in lines if line.startswith("12"))
    assert top.count("B") == 1
    assert any(line.count("a") > 40 for line in lines)
    assert "QUAYSIDE: paid 12.00 EUR, 1 Jun 2026" in "\n".join(lines)


@pytest.mark.parametrize("size", [(80, 24), (36, 9)])
def test_it_is_drawn_for_the_part_under_the_cursor(
    run: Run, sit: Sit, curlew: Path, another: Workshop, size: tuple[int, int]
) -> None:
    buying.new_supplier(another, "TERN")
    key = another.reads.execute("SELECT key FROM part ORDER BY id LIMIT 1").fetchone()[0]
    for micros in (4_000_000, 5_000_000):
        offers.set_offer(another, "TERN", key, "T1", breaks=((1, micros),))

    async def scene() -> None:
        async with sit(curlew, size=size) as seat:
            await seat.press("4", "=")
            if not isinstance(seat.app.screen, PlotScreen):
                await seat.type(key)
                await seat.press("enter")
            assert isinstance(seat.app.screen, PlotScreen)
            assert "esc back" in seat.asked()
            await seat.press("escape")
            assert seat.app.screen is seat.frame

    run(scene())
