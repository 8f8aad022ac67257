"""The plots of Checks: what each supply carries of its limit, and how every point has measured."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from buildbook.tui.laying import Glyphs, plain, set_to, width_of
from buildbook.tui.plots import Drawn, Piece, Plot, key_lines, signs_of, words
from buildbook.tui.plots_readings import builds_lines, readings_lines
from buildbook.tui.plots_steps import together

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.plotted import AnswerBar, SupplyBar

LONGEST_NAME, LEAST_BAR = 22, 12
# Beyond this share of the limit, a bar is cut.
MOST_PERCENT = 150
LOAD, MARGIN, FREE = 0, 1, 3
TONES = {"within": "good", "tight": "warn", "over": "bad", "unknown": "warn"}
WORDS = {"within": "within", "tight": "too tight", "over": "over the limit", "unknown": "not all known"}


def checks_plot(shop: Workshop, build: str | None) -> Plot:
    """The headroom of the supplies, and below it the readings in their limits."""
    from buildbook.answers.checks import checks
    from buildbook.answers.plotted import readings_plotted, supply_bars

    answer = checks(shop, build)
    bars, readings = supply_bars(answer.supplies), readings_plotted(shop, build)

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        lines = [*words("headroom of the supplies, in % of the limit", room, "head"), *supply_lines(bars, room, glyphs)]
        lines += [[Piece("")], *words("readings in their limits", room, "head")]
        return [*lines, *readings_lines(readings, room, glyphs)]

    return Plot("Headroom and readings", answer.sentence, draw)


def point_plot(shop: Workshop, point: str) -> Plot:
    """How one point measured in every build."""
    from buildbook.answers.plotted import point_over_builds

    found = point_over_builds(shop, point)
    said = found.said[:1].upper() + found.said[1:]

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        return builds_lines(found, room, glyphs)

    return Plot(plain(found.point), f"{plain(found.name)}: {said}.", draw)


def supply_lines(bars: Sequence[SupplyBar], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A bar for each supply, and thin ones below it for the answers that make a difference to it."""
    if not bars:
        return words("No supply has been written down yet.", room, "quiet")
    names = [f"{' ' * bar.depth}{plain(bar.code)} {plain(bar.name)}" for bar in bars]
    answers = [f"{' ' * (bar.depth + 1)}{plain(one.answer)}" for bar in bars for one in telling(bar)]
    wide = min(LONGEST_NAME, room // 3, max(map(width_of, [*names, *answers])))
    cells = room - wide - 1
    lines = supply_key(bars, room, glyphs)
    for bar, name in zip(bars, names, strict=True):
        label = [Piece(f"{set_to(name, wide, glyphs=glyphs)} ")]
        if bar.limit_micro is None or cells < LEAST_BAR:
            lines.append([*label, Piece("no limit" if cells >= LEAST_BAR else "", "quiet")])
        else:
            lines.append([*label, *supply_bar(bar, cells, glyphs)])
        told = f"{WORDS[bar.state]}: {plain(bar.said)}" if bar.state in WORDS else plain(bar.said)
        lines += [[Piece("  "), *line] for line in words(told, room - 2, TONES.get(bar.state, ""))]
        lines += [line for one in telling(bar) for line in answer_lines(bar, one, wide, room, glyphs)]
    return lines


def telling(bar: SupplyBar) -> list[AnswerBar]:
    """The answers with which a supply would carry something else than it does, and the chosen ones."""
    return [one for one in bar.answers if one.chosen or one.load_micro != bar.load_micro]


def answer_lines(bar: SupplyBar, one: AnswerBar, wide: int, room: int, glyphs: Glyphs) -> list[Drawn]:
    """What a supply would carry with an answer that changes it, as a thin bar and in words."""
    tone, cells, lines = TONES.get(one.state, ""), room - wide - 1, []
    if bar.limit_micro is not None and cells >= LEAST_BAR:
        name = set_to(f"{' ' * (bar.depth + 1)}{plain(one.answer)}", wide, glyphs=glyphs)
        lines.append(
            [Piece(f"{name} ", "quiet"), Piece(thin_bar(one.load_micro, bar.limit_micro, cells, glyphs), tone)]
        )
    told = f"{'chosen, ' if one.chosen else ''}{plain(one.said)}"
    return lines + [[Piece("    "), *line] for line in words(told, room - 4, "quiet" if tone == "good" else tone)]


def supply_key(bars: Sequence[SupplyBar], room: int, glyphs: Glyphs) -> list[Drawn]:
    """What the signs of the bars stand for."""
    signs = signs_of(glyphs)
    key = [
        [Piece(signs.shades[LOAD] * 2, "good"), Piece(" load", "quiet")],
        [Piece(signs.shades[FREE] * 2, "quiet"), Piece(" headroom", "quiet")],
        [Piece(signs.shades[MARGIN] * 2, "warn"), Piece(" to keep free", "quiet")],
        [Piece(signs.axis, "head"), Piece(" limit", "quiet")],
    ]
    if any(bar.all_on_micro != bar.load_micro for bar in bars):
        key.append([Piece("e", "key"), Piece(" with everything on", "quiet")])
    if any(telling(bar) for bar in bars):
        key.append([Piece(signs.line[0] * 2, "good"), Piece(" with an answer that changes it", "quiet")])
    return key_lines(key, room, glyphs)


def supply_bar(bar: SupplyBar, cells: int, glyphs: Glyphs) -> Drawn:
    """Load, headroom, margin and limit in so many cells, of which the limit takes the same for every supply."""
    signs, limit = signs_of(glyphs), max(1, bar.limit_micro or 0)
    at_limit = column_of_share(limit, limit, cells)
    load = column_of_share(bar.load_micro, limit, cells) or int(bar.load_micro > 0)
    margin = column_of_share(limit - bar.keep_free_micro, limit, cells)
    if bar.load_micro > limit:
        load = max(load, at_limit + 2)
    drawn = [Piece(signs.shades[MARGIN] if at >= margin else signs.shades[FREE]) for at in range(at_limit)]
    drawn = [Piece(one.text, "warn" if at >= margin else "quiet") for at, one in enumerate(drawn)]
    drawn += [Piece(" ")] * (cells - at_limit)
    for at in range(min(load, cells)):
        drawn[at] = Piece(signs.shades[LOAD], TONES.get(bar.state, "good"))
    drawn[at_limit] = Piece(signs.axis, "head")
    if bar.all_on_micro != bar.load_micro:
        at = min(cells - 1, column_of_share(bar.all_on_micro, limit, cells))
        drawn[at + 1 if at == at_limit and bar.all_on_micro > limit else at] = Piece("e", "key")
    return together(drawn)


def thin_bar(load_micro: int, limit_micro: int, cells: int, glyphs: Glyphs) -> str:
    """A line as long as a load, on the scale of the bar above it; the limit stands in it."""
    signs, limit = signs_of(glyphs), max(1, limit_micro)
    at_limit = column_of_share(limit, limit, cells)
    load = column_of_share(load_micro, limit, cells) or int(load_micro > 0)
    load = max(load, at_limit + 2) if load_micro > limit else load
    line = (signs.line[0] * load)[:cells].ljust(cells)
    return line[:at_limit] + signs.axis + line[at_limit + 1 :]


def column_of_share(micro: int, limit_micro: int, cells: int) -> int:
    """In which of so many cells an amount ends; the last stands for MOST_PERCENT of the limit.

    >>> column_of_share(100, 100, 61), column_of_share(50, 100, 61), column_of_share(900, 100, 61)
    (40, 20, 60)
    """
    return max(0, min(cells - 1, 100 * micro * (cells - 1) // (limit_micro * MOST_PERCENT)))
