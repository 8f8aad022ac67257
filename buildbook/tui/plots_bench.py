"""The plots of the Bench: the chance of finishing by a date, what was planned and done, the chain of steps."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from buildbook.tui.laying import Glyphs, plain, set_to, width_of
from buildbook.tui.plots import Drawn, Piece, Plot, key_lines, signs_of, words
from buildbook.tui.plots_steps import Grid, Level, below_axis, column_of, together, with_scale
from buildbook.tui.words import day

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.finish import Finish, PlannedRow

TALL = 9
A_DAY = 86_400.0
LEAST_WIDTH, MOST_NAME, LEAST_NAME = 12, 30, 8
WORK, WAIT = 0, 3


def finish_plot(shop: Workshop, build: str | None) -> Plot:
    """The plots of one build's finish."""
    from buildbook.answers.finish import finish

    answer = finish(shop, build)

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        return finish_lines(answer, room, glyphs)

    return Plot("Finish", answer.sentence, draw)


def finish_lines(answer: Finish, room: int, glyphs: Glyphs) -> list[Drawn]:
    """The three plots, one below the other."""
    if not answer.rows:
        return words("There is nothing left to draw.", room, "quiet")
    return [
        *words("chance of being finished by a date", room, "head"),
        *chance_chart(answer, room, glyphs),
        [Piece("")],
        *words("hands-on hours, done and planned", room, "head"),
        *hours_chart(answer, room, glyphs),
        [Piece("")],
        *words("the chain that sets the finish", room, "head"),
        *chain_chart([row for row in answer.rows if row.critical], room, glyphs),
    ]


def chance_chart(answer: Finish, room: int, glyphs: Glyphs) -> list[Drawn]:
    """How many of a hundred draws are finished by when, as a rising line; the target stands below it as a T."""
    labels = ["100 %", "50 %", "0 %"]
    left = max(map(width_of, labels)) + 1
    width = room - left
    if width < LEAST_WIDTH:
        return []
    marks = [seconds(at) for at in answer.curve]
    target = seconds(answer.target_on) if answer.target_on else None
    # A target far away would squeeze the line to nothing; it then stands at the edge.
    aside = max(A_DAY, marks[-1] - marks[0])
    near = [target] if target and marks[0] - aside <= target <= marks[-1] + aside else []
    begin, end = min([marks[0] - A_DAY, *near]), max([marks[-1] + A_DAY, *near])
    signs, grid = signs_of(glyphs), Grid(width, TALL, 100)
    levels = [Level(0, 0), *(Level(column_of(at, begin, end, width), share) for share, at in enumerate(marks))]
    grid.draw_levels(levels, signs)
    foot = list(signs.foot[1] * width)
    days = []
    named = [("likely", seconds(answer.likely)), ("safe", seconds(answer.safe))]
    for name, at in [*([("Target", target)] if target else []), *named]:
        column = column_of(at, begin, end, width)
        foot[column] = name[0]
        days.append((column, f"{name[0]} {day_at(at)}"))
    scale = [(grid.row_of(share), label) for share, label in zip((100, 50, 0), labels, strict=True)]
    key = [[Piece(letter, "key"), Piece(f" {said}", "quiet")] for letter, said in (("l", "likely"), ("s", "safe"))]
    key += [[Piece("T", "key"), Piece(" target", "quiet")]] if target else []
    return [
        *with_scale(grid.lines(), scale, signs),
        [Piece(" " * (left - 1) + signs.foot[0] + "".join(foot), "quiet")],
        [Piece(" " * left + below_axis(days, width), "quiet")],
        *key_lines(key, room, glyphs),
    ]


def hours_chart(answer: Finish, room: int, glyphs: Glyphs) -> list[Drawn]:
    """The hands-on minutes done so far, as they were thought, and those of the plan from now on."""
    done, planned = running(answer)
    total = max(1, planned[-1][1] if planned else done[-1][1])
    labels = [hours(total), hours(0)]
    left = max(map(width_of, labels)) + 1
    width = room - left
    if width < LEAST_WIDTH:
        return []
    now = seconds(answer.asked_at)
    begin, end = min([now, *(at for at, _ in done)]), max([now, *(at for at, _ in planned)])
    signs, grid = signs_of(glyphs), Grid(width, TALL, total)
    today = column_of(now, begin, end, width)
    levels = [Level(0, 0)]
    levels += [Level(min(today, column_of(at, begin, end, width)), minutes) for at, minutes in done]
    levels += [Level(max(today, column_of(at, begin, end, width)), minutes, expected=True) for at, minutes in planned]
    grid.draw_levels(levels, signs)
    foot = list(signs.foot[1] * width)
    foot[today] = "t"
    key = [[Piece(signs.line[0] * 2, "good"), Piece(f" done: {hours(done[-1][1] if done else 0)}", "quiet")]]
    key.append([Piece(signs.dotted[0] * 2, "warn"), Piece(f" planned: {hours(answer.minutes_left)}", "quiet")])
    return [
        *with_scale(grid.lines(), [(grid.row_of(total), labels[0]), (grid.row_of(0), labels[1])], signs),
        [Piece(" " * (left - 1) + signs.foot[0] + "".join(foot), "quiet")],
        [
            Piece(
                " " * left + below_axis([(today, "today"), (0, day_at(begin)), (width - 1, day_at(end))], width),
                "quiet",
            )
        ],
        *key_lines(key, room, glyphs),
    ]


def running(answer: Finish) -> tuple[list[tuple[float, int]], list[tuple[float, int]]]:
    """The minutes done and planned as running sums, each with its moment."""
    done: list[tuple[float, int]] = []
    sum_min = 0
    for row in answer.done:
        sum_min += row.minutes
        done.append((seconds(row.at), sum_min))
    planned = []
    for step in sorted(answer.rows, key=lambda row: row.end):
        sum_min += step.minutes
        planned.append((seconds(step.end), sum_min))
    return done, planned


def chain_chart(rows: Sequence[PlannedRow], room: int, glyphs: Glyphs) -> list[Drawn]:
    """A line for each step of the chain: its work, then its wait, on one axis of time."""
    wide = max(LEAST_NAME, min(MOST_NAME, room // 3))
    width = room - wide - 1
    if width < LEAST_WIDTH or not rows:
        return []
    signs = signs_of(glyphs)
    begin = min(seconds(row.start) for row in rows)
    end = max(seconds(row.end) + 60 * row.wait_min for row in rows)
    lines = []
    for row in rows:
        start, done = (column_of(at, begin, end, width) for at in (seconds(row.start), seconds(row.end)))
        over = column_of(seconds(row.end) + 60 * row.wait_min, begin, end, width)
        cells = [Piece(" ")] * width
        for column in range(done, over + 1) if row.wait_min else ():
            cells[column] = Piece(signs.shades[WAIT], "warn")
        for column in range(start, done + 1):
            cells[column] = Piece(signs.shades[WORK], "good")
        name = set_to(plain(f"{row.place.partition('/')[2]} {row.name}"), wide, glyphs=glyphs)
        lines.append([Piece(f"{name} "), *together(cells)])
    ticks = [(0, day_at(begin)), (width - 1, day_at(end)), (width // 2, day_at((begin + end) / 2))]
    key = [
        [Piece(signs.shades[WORK] * 2, "good"), Piece(" hands-on work", "quiet")],
        [Piece(signs.shades[WAIT] * 2, "warn"), Piece(" wait", "quiet")],
    ]
    return [*lines, [Piece(" " * (wide + 1) + below_axis(ticks, width), "quiet")], *key_lines(key, room, glyphs)]


def hours(minutes: int) -> str:
    """Minutes as hours.

    >>> hours(90), hours(0)
    ('1.5 h', '0 h')
    """
    return f"{round(minutes / 60, 1):g} h"


def seconds(at: str) -> float:
    """A moment of the store, or the beginning of a local day, in seconds."""
    return datetime.fromisoformat(at).timestamp()


def day_at(when: float) -> str:
    """The local day of a moment."""
    return day(datetime.fromtimestamp(when).astimezone().date().isoformat())
