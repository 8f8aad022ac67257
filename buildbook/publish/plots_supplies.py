"""Headroom of the supplies on paper: a bar for each, thin ones for the answers of open questions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.publish.paper import (
    QUIET,
    SMALL,
    USUAL,
    WIDTH_MM,
    LineLook,
    Look,
    Paper,
    broken,
    fitted,
    heading,
    printing,
)

if TYPE_CHECKING:
    from buildbook.answers.plotted import AnswerBar, SupplyBar

# Colours of Okabe and Ito, which most colour-blind people tell apart; the hatches and the words say the same.
LOADS = {
    "within": Look("#56b4e9"),
    "tight": Look("#f0c860", "////"),
    "over": Look("#e0905a", "xxxx"),
    "unknown": Look("#dddddd", "\\\\\\\\"),
}
WORDS = {"within": "within", "tight": "too tight", "over": "over the limit", "unknown": "not all known"}
MARGIN, HEADROOM = Look("#ffffff", "----"), Look("#ffffff")
NAME_MM, LINE_MM = 48.0, 3.2
BAR_MM, MOST_PERCENT = 80.0, 125
LEAST_MM = 0.5


def draw_supplies(bars: Sequence[SupplyBar], *, title: str = "Headroom of the supplies") -> Paper:
    """A bar for each supply in per cent of its limit, thin ones below it for the answers that change it."""
    with printing():
        told = [broken(bar.said, WIDTH_MM - NAME_MM, SMALL) for bar in bars]
        ways = [[(one, broken(one.said, WIDTH_MM - NAME_MM, SMALL)) for one in telling(bar)] for bar in bars]
        high = 24.0 + sum(8.0 + LINE_MM * len(lines) for lines in told)
        high += sum(4.0 + LINE_MM * len(lines) for rows in ways for _, lines in rows)
        paper = Paper(high)
        y = heading(paper, title, "Nothing has been written down yet." if not bars else "in % of the limit")
        for at, (bar, lines, rows) in enumerate(zip(bars, told, ways, strict=True)):
            y = _draw_supply(paper, y, bar, lines, f"supply-{at}")
            for way, (one, words) in enumerate(rows):
                y = _draw_answer(paper, y, bar, one, words, f"supply-{at}-answer-{way}")
            y += 2.0
        if bars:
            _key_of_supplies(paper, y + 2.0)
    return paper


def telling(bar: SupplyBar) -> list[AnswerBar]:
    """The answers with which a supply would carry something else than it does, and the chosen ones."""
    return [one for one in bar.answers if one.chosen or one.load_micro != bar.load_micro]


def share_mm(micro: int, limit_micro: int) -> float:
    """How long an amount is drawn, where the limit takes the same for every supply; it is cut at MOST_PERCENT.

    >>> share_mm(50, 100), share_mm(100, 100), share_mm(900, 100)
    (32.0, 64.0, 80.0)
    """
    return BAR_MM * max(0.0, min(1.0, 100 * micro / (max(1, limit_micro) * MOST_PERCENT)))


def _draw_supply(paper: Paper, y: float, bar: SupplyBar, told: list[str], name: str) -> float:
    inset = 2.0 * bar.depth
    paper.text(inset, y + 3.2, fitted(bar.code, NAME_MM - inset - 2, USUAL, bold=True), bold=True)
    paper.text(inset, y + 6.6, fitted(bar.name, NAME_MM - inset - 2, SMALL), size=SMALL, ink=QUIET)
    if bar.limit_micro is None:
        paper.text(NAME_MM, y + 3.2, "no limit to draw against", size=SMALL, ink=QUIET)
    else:
        limit = share_mm(bar.limit_micro, bar.limit_micro)
        paper.box(NAME_MM, y, limit, 4.2, HEADROOM, name=f"{name}-limit")
        if bar.keep_free_micro:
            margin = share_mm(bar.keep_free_micro, bar.limit_micro)
            paper.box(NAME_MM + limit - margin, y, margin, 4.2, MARGIN, name=f"{name}-margin")
        if bar.load_micro:
            load = max(LEAST_MM, share_mm(bar.load_micro, bar.limit_micro))
            paper.box(NAME_MM, y, load, 4.2, LOADS.get(bar.state, HEADROOM), name=f"{name}-load")
        paper.line([NAME_MM + limit] * 2, [y - 0.8, y + 5.0], look=LineLook(1.6))
        if 100 * max(bar.load_micro, bar.all_on_micro) > MOST_PERCENT * bar.limit_micro:
            paper.mark(NAME_MM + BAR_MM + 1.5, y + 2.1, ">", name=f"{name}-beyond")
        if bar.all_on_micro != bar.load_micro:
            x = NAME_MM + share_mm(bar.all_on_micro, bar.limit_micro)
            paper.mark(x, y + 2.1, "d", filled=False, name=f"{name}-all-on")
        percent = "" if bar.percent is None else f"{bar.percent} %, "
        word = f"{percent}{WORDS.get(bar.state, bar.state)}"
        paper.text(NAME_MM + BAR_MM + 4, y + 3.2, word, bold=bar.state != "within")
    return _say_below(paper, y + 7.4, told)


def _draw_answer(paper: Paper, y: float, bar: SupplyBar, one: AnswerBar, told: list[str], name: str) -> float:
    inset = 2.0 * bar.depth + 2.0
    label = f"{one.answer}{', chosen' if one.chosen else ''}"
    paper.text(inset, y + 1.9, fitted(label, NAME_MM - inset - 2, SMALL), size=SMALL)
    if bar.limit_micro is not None and one.load_micro:
        load = max(LEAST_MM, share_mm(one.load_micro, bar.limit_micro))
        paper.box(NAME_MM, y, load, 1.8, LOADS.get(one.state, HEADROOM), name=f"{name}-load")
    if bar.limit_micro is not None:
        paper.line([NAME_MM + share_mm(1, 1)] * 2, [y - 0.4, y + 2.2], look=LineLook(1.2))
    return _say_below(paper, y + 4.4, told)


def _say_below(paper: Paper, y: float, told: list[str]) -> float:
    for line in told:
        paper.text(NAME_MM, y, line, size=SMALL, ink=QUIET)
        y += LINE_MM
    return y - 1.0


def _key_of_supplies(paper: Paper, y: float) -> None:
    x = 0.0
    for state, look in LOADS.items():
        paper.box(x, y, 6, 3, look)
        paper.text(x + 7, y + 2.5, f"load, {WORDS[state]}", size=SMALL)
        x += 34
    paper.box(0.0, y + 5, 6, 3, MARGIN)
    paper.text(7, y + 7.5, "to keep free", size=SMALL)
    paper.line([37.0, 37.0], [y + 4.8, y + 8.2], look=LineLook(1.6))
    paper.text(41, y + 7.5, "limit", size=SMALL)
    paper.mark(71, y + 6.5, "d", filled=False)
    paper.text(75, y + 7.5, "with everything on", size=SMALL)
    paper.mark(105, y + 6.5, ">")
    paper.text(109, y + 7.5, "goes on beyond what is drawn", size=SMALL)
