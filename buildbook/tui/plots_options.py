"""Options side by side: for each criterion a bar an option, the best of them said in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.tui.laying import Glyphs, plain, set_to, width_of
from buildbook.tui.plots import Drawn, Piece, Plot, signs_of, words
from buildbook.tui.plots_steps import together

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.plotted import OptionFigure

LONGEST_NAME, LEAST_BAR, LONGEST_BAR = 18, 6, 60


def options_plot(sentence: str, figures: Sequence[OptionFigure]) -> Plot:
    """Those figures as a plot under its sentence."""

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        return options_lines(figures, room, glyphs)

    return Plot("Options side by side", sentence, draw)


def question_plot(shop: Workshop, question: str) -> Plot:
    """The answers to a question as they are weighed now."""
    from buildbook.answers.weigh import weigh
    from buildbook.answers.weigh_figures import figures_weighed

    answer = weigh(shop, question)
    return options_plot(answer.sentence, figures_weighed(answer))


def options_lines(figures: Sequence[OptionFigure], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A group of bars for each criterion, one an option; what is less than nothing goes to the left."""
    from buildbook.answers.options import best_of, figure_said

    if not figures:
        return words("There is nothing to weigh yet.", room, "quiet")
    labels = [plain(one.label) for one in figures]
    wide = min(LONGEST_NAME, room // 3, max(map(width_of, labels)))
    said = [plain(figure_said(one)) for one in figures]
    longest = max(map(width_of, said))
    lines: list[Drawn] = []
    for criterion in dict.fromkeys(one.criterion for one in figures):
        rows = [one for one in figures if one.criterion == criterion]
        better = f" ({rows[0].better} is better)" if rows[0].better else ""
        lines += words(f"{plain(criterion)}{better}", room, "head")
        best = best_of(rows)
        cells = min(LONGEST_BAR, room - wide - longest - 2 - len("  best"))
        for one in rows:
            text = plain(figure_said(one))
            label = set_to(plain(one.label), wide, glyphs=glyphs)
            word = "  best" if one in best else ""
            tone = "good" if word else "warn" if one.value is None else ""
            if cells < LEAST_BAR:
                lines += words(f"{label.rstrip()}: {text}{word}", room, tone)
                continue
            drawn = option_bar(one, rows, cells, glyphs, best=bool(word))
            figure = Piece(set_to(text, longest, right=True, glyphs=glyphs), tone)
            lines.append([Piece(f"{label} "), *drawn, Piece(" "), figure, Piece(word, "good")])
    return lines


def option_bar(one: OptionFigure, rows: Sequence[OptionFigure], cells: int, glyphs: Glyphs, *, best: bool) -> Drawn:
    """A bar from nothing to the figure, on the scale of all options of that criterion."""
    known = [row.value for row in rows if row.value is not None]
    low, high = min([0.0, *known]), max([0.0, *known])
    if one.value is None or low == high:
        return [Piece(" " * cells)]
    zero, end = (round((value - low) * cells / (high - low)) for value in (0.0, one.value))
    if zero == end and one.value:
        end = zero + 1 if one.value > 0 and zero < cells else zero - 1
    signs = signs_of(glyphs)
    filled = Piece(signs.shades[0 if best else 2], "good" if best else "quiet")
    return together(filled if min(zero, end) <= at < max(zero, end) else Piece(" ") for at in range(cells))
