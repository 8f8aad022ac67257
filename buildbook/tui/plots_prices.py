"""The plot of a price: what each supplier asked over time, as a line of its letter, and what was paid, as a capital."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from buildbook.tui.laying import Glyphs, plain, width_of
from buildbook.tui.plots import Drawn, Piece, Plot, key_lines, signs_of, words
from buildbook.tui.plots_steps import Grid, below_axis, column_of, with_scale
from buildbook.tui.words import amount, day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.price_curve import PriceCurve, PriceSpan

LEAST_HEIGHT, MOST_HEIGHT, LEAST_WIDTH = 4, 16, 8
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def price_plot(shop: Workshop, part: str) -> Plot:
    """The prices of a part over time."""
    from buildbook.answers.price_curve import price_curve

    curve = price_curve(shop, part)

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        return price_lines(curve, room, height, glyphs)

    return Plot("Price over time", curve.said, draw)


def price_lines(curve: PriceCurve, room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
    """The chart with its key, then every price in words, the newest first."""
    if not curve.spans:
        return words("No price is written down yet.", room, "quiet")
    letters = letters_of(curve)
    key = [[Piece(letter, "good"), Piece(f" {plain(supplier)}", "quiet")] for supplier, letter in letters.items()]
    key.append([Piece("A", "key"), Piece(" a capital: paid", "quiet")])
    keyed = key_lines(key, room, glyphs)
    told = [line for span in reversed(curve.spans) for line in words(span_said(span, curve), room)]
    tall = max(LEAST_HEIGHT, min(MOST_HEIGHT, height - len(keyed) - min(len(told), 6) - 2))
    return [*chart(curve, letters, room, tall, glyphs), *keyed, *told]


def letters_of(curve: PriceCurve) -> dict[str, str]:
    """A letter for each supplier; past the last letter they begin again."""
    sellers = sorted({span.supplier for span in curve.spans})
    return {seller: LETTERS[at % len(LETTERS)] for at, seller in enumerate(sellers)}


def chart(curve: PriceCurve, letters: dict[str, str], room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
    """The prices over their axis of days; nothing where there is no room for it."""
    from buildbook.trade.money import show_price

    top = max(span.micros for span in curve.spans)
    low = min(span.micros for span in curve.spans)
    scale = {micros: show_price(micros, curve.currency) for micros in (top, low, 0)}
    left = max(map(width_of, scale.values())) + 1
    width = room - left
    if width < LEAST_WIDTH:
        return []
    begin = min(span.begin or curve.today for span in curve.spans)
    end = max(curve.today, *(span.end for span in curve.spans))
    grid = Grid(width, height, top)
    # What was paid is drawn last, over what was asked.
    for span in sorted(curve.spans, key=lambda one: one.paid):
        letter = letters[span.supplier]
        first, last = (column_of(seconds(at or end), seconds(begin), seconds(end), width) for at in span[1:3])
        for column in range(first, last + 1):
            sign, tone = (letter.upper(), "key") if span.paid else (letter, "good")
            grid.put(grid.row_of(span.micros), column, sign, tone)
    signs = signs_of(glyphs)
    days = [(width - 1, day(end)), (0, day(begin))] if begin < end else [(0, day(end))]
    return [
        *with_scale(grid.lines(), [(grid.row_of(micros), text) for micros, text in scale.items()], signs),
        [Piece(" " * (left - 1) + signs.foot[0] + signs.foot[1] * width, "quiet")],
        [Piece(" " * left + below_axis(days, width), "quiet")],
    ]


def seconds(at: str) -> float:
    """The beginning of a day, in seconds."""
    return datetime.fromisoformat(at).timestamp()


def span_said(span: PriceSpan, curve: PriceCurve) -> str:
    """One price in words: "QUAYSIDE asked 0.06 until 5 Nov 2026"."""
    from buildbook.trade.money import show_price

    price = f"{show_price(span.micros, curve.currency)} {curve.currency}"
    each = "" if curve.unit == "pc" else f" for {amount(curve.per_qty, curve.unit)}"
    if span.paid:
        return f"{span.supplier}: paid {price}{each}, {day(span.end) if span.end else 'no day known'}"
    if span.end == curve.today:
        since = f" since {day(span.begin)}" if span.begin < span.end else ""
        return f"{span.supplier}: asks {price}{each}{since}"
    return f"{span.supplier}: asked {price}{each} until {day(span.end)}"
