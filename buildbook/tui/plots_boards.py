"""The plots of Boards: how far each section has got with its steps and its pieces, and what each costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.laying import Glyphs, plain, set_to, width_of
from buildbook.tui.plots import (
    Drawn,
    Part,
    Piece,
    Plot,
    bar,
    key_lines,
    key_of,
    scaled,
    signs_of,
    width_drawn,
    within_room,
    words,
)

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.boards import BoardRow
    from buildbook.answers.cost import BuildCost, CostRow

DONE = (Part("d", "done or fitted", 0, "good"), Part("k", "kitted", 2, "warn"), Part("t", "to do", 3, "quiet"))
MONEY = (
    Part("s", "spent", 0, "quiet"),
    Part("d", "in the drawers", 1, "good"),
    Part("o", "on order", 2, "warn"),
    Part("t", "still to spend", 3, "do"),
)
LONGEST_NAME, LEAST_NAME = 18, 6
# Bars shorter than this tell nothing; longer ones tell no more.
LEAST_BAR, GOOD_BAR, LONGEST_BAR = 4, 12, 40
INDENT = "  "


def boards_plot(shop: Workshop, build: str | None) -> Plot:
    """The progress of each section of a build, or of all builds, and below it what each section costs."""
    from buildbook.answers.boards import boards
    from buildbook.answers.cost import build_cost
    from buildbook.answers.cost_truth import cost_truth
    from buildbook.tui.plots_truth import truth_lines

    answer = boards(shop, build)
    costs = []
    for code in dict.fromkeys(row.build for row in answer.rows):
        try:
            costs.append((build_cost(shop, code, at=()), cost_truth(shop, code)))
        except BadInput:
            continue

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        lines = progress_lines(answer.rows, room, glyphs)
        for cost, truth in costs:
            lines += [[Piece("")], *cost_plot_lines(cost, room, glyphs)]
            lines += [[Piece("")], *truth_lines(truth, room, glyphs)]
        return lines

    return Plot("Progress and cost", answer.sentence, draw)


# --- progress --------------------------------------------------------------------------------------------------------


class Gauge:
    """One bar of a section with its words: in full, and shorter for want of room."""

    def __init__(self, values: Sequence[int], full: str, short: str) -> None:
        self.values, self.full, self.short = values, full, short


def steps_gauge(steps: int, done: int) -> Gauge:
    """How many steps are behind."""
    text = f"{done} of {steps} steps" if steps else "no steps"
    return Gauge((done, 0, steps - done), text, text)


def pieces_gauge(need: int, fitted: int, kitted: int, word: str = "") -> Gauge:
    """How many pieces are fitted, or lie ready in the kit."""
    if not need:
        return Gauge((0, 0, 0), word or "no parts", word or "no parts")
    ready = max(0, min(kitted, need - fitted))
    short = f"{fitted} of {need} fitted"
    full = f"{short}, {kitted} kitted" if kitted else short
    return Gauge((fitted, ready, need - fitted - ready), full, short)


def progress_lines(rows: Sequence[BoardRow], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A bar for the steps and one for the pieces of each section; one below the other where there is little room."""
    several = len({row.build for row in rows}) > 1
    named = [(name_of(row, several=several), *gauges_of(row)) for row in rows]
    if len(rows) > 1:
        total = [sum(figures) for figures in zip(*map(figures_of, rows), strict=True)]
        steps, done, need, fitted, kitted = total
        named.append(("all", steps_gauge(steps, done), pieces_gauge(need, fitted, kitted)))
    if not named:
        return words("There is nothing to draw yet.", room, "quiet")
    signs = signs_of(glyphs)
    lines = key_lines(key_of(DONE, signs), room, glyphs)
    wide = min(LONGEST_NAME, max(width_of(name) for name, _, _ in named))
    for fewer, least in ((False, GOOD_BAR), (True, LEAST_BAR)):
        texts = [[gauge.short if fewer else gauge.full for gauge in gauges] for _, *gauges in named]
        longest = [max(map(width_of, column)) for column in zip(*texts, strict=True)]
        cells = min(LONGEST_BAR, (room - wide - sum(longest) - 6) // 2)
        if cells >= least:
            break
    else:
        cells = min(LONGEST_BAR, room - max(longest) - 3)
        return lines + [line for one in named for line in stacked_lines(*one, room, cells, glyphs)]
    for (name, *gauges), said in zip(named, texts, strict=True):
        line = [Piece(set_to(name, wide, glyphs=glyphs))]
        for gauge, text, most in zip(gauges, said, longest, strict=True):
            drawn = bar(gauge.values, DONE, cells, signs)
            blanks = " " * (cells - width_drawn(drawn))
            line += [Piece("  "), *drawn, Piece(f"{blanks} {text.ljust(most)}")]
        lines.append(line)
    return lines


def stacked_lines(name: str, steps: Gauge, pieces: Gauge, room: int, cells: int, glyphs: Glyphs) -> list[Drawn]:
    """The name of a section, and its two bars below each other."""
    lines: list[Drawn] = [[Piece(set_to(name, min(room, width_of(name)), glyphs=glyphs), "head")]]
    for gauge in (steps, pieces):
        drawn = bar(gauge.values, DONE, cells, signs_of(glyphs)) if cells >= LEAST_BAR else []
        blanks = Piece(" " * (cells - width_drawn(drawn)))
        lines.append(within_room([Piece(INDENT), *drawn, blanks, Piece(f" {gauge.short}")], room, glyphs))
    return lines


def name_of(row: BoardRow, *, several: bool) -> str:
    """The code of a section without its project where that goes without saying, set below what holds it."""
    project, slash, code = row.code.partition("/")
    short = plain(code if slash and project == row.build else row.code)
    return f"{row.build}: {short}" if several and not row.depth else f"{' ' * row.depth}{short}"


def gauges_of(row: BoardRow) -> tuple[Gauge, Gauge]:
    """The two bars of a section."""
    steps, done, need, fitted, kitted = figures_of(row)
    word = row.kit.word if row.kit.word in ("ready-made", "not needed") else ""
    return steps_gauge(steps, done), pieces_gauge(need, fitted, kitted, word)


def figures_of(row: BoardRow) -> tuple[int, int, int, int, int]:
    """Steps, steps done; pieces needed, fitted, kitted."""
    return row.steps, row.steps_done, row.kit.need, row.kit.fitted, row.kit.kitted


# --- cost ------------------------------------------------------------------------------------------------------------


def cost_plot_lines(cost: BuildCost, room: int, glyphs: Glyphs) -> list[Drawn]:
    """A bar for each section, as long as it is dear, of what is spent, lies there, is on order, is still to spend."""
    lines = words(cost.sentence, room, "head")
    rows = [row for row in cost.sections if row.total]
    if not rows:
        return [*lines, *words("No section costs anything yet.", room, "quiet")]
    signs = signs_of(glyphs)
    lines += key_lines(key_of(MONEY, signs, lettered=True), room, glyphs)
    names = [plain(name.removeprefix(f"{cost.build}/")) for name in (row.name for row in rows)]
    totals = [amount(row.total, cost.currency) for row in rows]
    wide = min(LONGEST_NAME, max(map(width_of, names)))
    figures = max(map(width_of, totals))
    cells = min(2 * LONGEST_BAR, room - wide - figures - 4)
    largest = max(row.total for row in rows)
    for row, name, total in zip(rows, names, totals, strict=True):
        values = [max(0, share) for share in shares_of(row)]
        if cells < LEAST_BAR:
            lines += words(f"{name} {total}", room)
            continue
        drawn = bar(values, MONEY, scaled(row.total, largest, cells), signs, lettered=True)
        said = [Piece(f"{set_to(name, wide, glyphs=glyphs)}  {total:>{figures}}  ")]
        lines += [[*said, *drawn], *words(INDENT + terms_of(row, cost.currency), room, "quiet")]
    return lines


def shares_of(row: CostRow) -> tuple[int, int, int, int]:
    """The terms of a cost, as MONEY names them."""
    return row.spent, row.in_stock, row.ordered, row.to_spend


def terms_of(row: CostRow, currency: str) -> str:
    """The terms of a cost in words."""
    from buildbook.answers.form import count_of

    terms = [
        f"{amount(micros, currency)} {part.words}" for part, micros in zip(MONEY, shares_of(row), strict=True) if micros
    ]
    unpriced = f"; {count_of(row.unpriced_lines, 'line')} without a price" if row.unpriced_lines else ""
    return ", ".join(terms) + unpriced


def amount(micros: int, currency: str) -> str:
    """An amount of money without its currency."""
    from buildbook.trade.money import show_money

    return show_money(micros, currency)
