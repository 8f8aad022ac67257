"""The plot of planned against spent: two bars for each section, one below the other, and in words why they differ."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.laying import Glyphs, plain, set_to, width_of
from buildbook.tui.plots import Drawn, Part, Piece, bar, key_lines, key_of, scaled, signs_of, words

if TYPE_CHECKING:
    from buildbook.answers.cost_truth import CostTruth, TruthRow

PLANNED = (Part("p", "planned", 3, "quiet"),)
COSTS = (
    Part("s", "spent", 0, "good"),
    Part("t", "to come", 2, "warn"),
    Part("n", "not compared, as nobody offers it or it has no price", 1, "quiet"),
)
LONGEST_NAME, LEAST_BAR, LONGEST_BAR = 18, 4, 60
INDENT = "  "


def truth_lines(answer: CostTruth, room: int, glyphs: Glyphs) -> list[Drawn]:
    """The sentence, the key, and of each section its two bars, with the causes of the difference below."""
    from buildbook.trade.money import show_money

    lines = words(answer.sentence, room, "head")
    rows = [row for row in answer.sections if row.planned_micros or row.spent_micros or row.to_come_micros]
    if not rows:
        return lines
    signs = signs_of(glyphs)
    lines += key_lines(key_of((*PLANNED, *COSTS), signs, lettered=True), room, glyphs)
    names = [plain(row.section.removeprefix(f"{answer.build}/")) for row in rows]
    sums = [(row.planned_micros or 0, row.spent_micros + row.to_come_micros) for row in rows]
    figures = [[show_money(micros, answer.currency) for micros in both] for both in sums]
    wide = min(LONGEST_NAME, max(map(width_of, names)))
    figure = max(width_of(text) for both in figures for text in both)
    cells = min(LONGEST_BAR, room - wide - figure - 4)
    largest = max(map(max, sums)) or 1
    for row, name, both, said in zip(rows, names, sums, figures, strict=True):
        if cells < LEAST_BAR:
            lines += words(f"{name}: planned {said[0]}, costs {said[1]}", room)
        else:
            bars = (((both[0],), PLANNED), (shares_of(row, answer), COSTS))
            for at, (values, kinds) in enumerate(bars):
                drawn = bar(values, kinds, scaled(both[at], largest, cells), signs, lettered=True)
                left = set_to(name if not at else "", wide, glyphs=glyphs)
                lines.append([Piece(f"{left}  {said[at]:>{figure}}  "), *drawn])
        lines += why_lines(row, answer.currency, room)
    return lines


def shares_of(row: TruthRow, answer: CostTruth) -> tuple[int, int, int]:
    """What of a section is spent, to come, and cannot be compared with the plan; none is below nought."""
    alike = [one for one in answer.rows if one.section == row.section and one.difference is not None]
    spent, to_come = sum(one.spent_micros for one in alike), sum(one.to_come_micros for one in alike)
    return max(0, spent), max(0, to_come), max(0, row.not_compared_micros)


def why_lines(row: TruthRow, currency: str, room: int) -> list[Drawn]:
    """Why a section costs other than planned, and how much of it cannot be compared."""
    from buildbook.answers.cost_truth import causes_said, signed

    said = [f"{signed(row.difference, currency)}: {causes_said(row, currency)}"] if row.difference else []
    text = "; ".join([*said, *([row.why_not] if row.why_not else [])])
    return words(INDENT + text, room, "warn" if (row.difference or 0) > 0 else "quiet") if text else []
