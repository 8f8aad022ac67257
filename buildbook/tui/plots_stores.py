"""The plot of Stores: what lay of a part over time, what is coming, and what of it is spoken for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from buildbook.tui.laying import Glyphs, width_of
from buildbook.tui.plots import Drawn, Piece, Plot, key_lines, signs_of, words
from buildbook.tui.plots_steps import Grid, Level, Mark, below_axis, column_of, with_scale
from buildbook.tui.words import amount, day, moment

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.cover_over_time import ArrivalRow, CoverOverTime

A_DAY = 86_400.0
LEAST_HEIGHT, MOST_HEIGHT = 4, 16
LEAST_WIDTH = 8
LAST_CHANGES = 12


def cover_plot(shop: Workshop, part: str) -> Plot:
    """Stock cover over time of a part."""
    from buildbook.answers.cover_over_time import cover_over_time

    answer = cover_over_time(shop, part)

    def draw(room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
        return cover_lines(answer, room, height, glyphs)

    return Plot("Cover over time", answer.sentence, draw)


class Span(NamedTuple):
    """The time that a plot shows, from the first change to a little after the last arrival; in seconds."""

    begin: float
    now: float
    end: float


def cover_lines(answer: CoverOverTime, room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
    """The step line with its key, then in words what is coming, for whom, and the last changes."""
    key = key_lines(key_of(answer, glyphs), room, glyphs)
    told = [*arrivals_told(answer, room), *builds_told(answer, room)]
    changes = changes_told(answer, room)
    # All but the changes should be seen at once.
    tall = max(LEAST_HEIGHT, min(MOST_HEIGHT, height - len(key) - len(told) - 3))
    return [*chart(answer, room, tall, glyphs), *key, *told, *changes]


def chart(answer: CoverOverTime, room: int, height: int, glyphs: Glyphs) -> list[Drawn]:
    """The step line over its axis; nothing where there is no room for it."""
    marks = marks_of(answer)
    levels = [row.on_hand for row in answer.rows] + [row.then for row in answer.arrivals]
    top = max([answer.on_hand, *levels, *(mark.qty for mark in marks)])
    scale = {qty: amount(qty, answer.unit) for qty in (top, 0, answer.on_hand)}
    left = max(map(width_of, scale.values())) + 1
    width = room - left
    if width < LEAST_WIDTH:
        return []
    span = span_of(answer)
    today = column_of(span.now, *ends(span), width)
    grid = Grid(width, height, top)
    signs = signs_of(glyphs)
    grid.draw_levels(levels_of(answer, span, today, width), signs)
    grid.draw_marks(marks)
    foot = list(signs.foot[1] * width)
    arrives = [arrival_column(row, span, today, width) for row in answer.arrivals if row.due_on]
    for column in arrives:
        foot[column] = "+"
    foot[today] = "t"
    days = [(today, "today"), (0, day_at(span.begin))]
    days += [(arrives[-1], day(last_dated(answer.arrivals)))] if arrives else []
    return [
        *with_scale(grid.lines(), [(grid.row_of(qty), text) for qty, text in scale.items()], signs),
        [Piece(" " * (left - 1) + signs.foot[0] + "".join(foot), "quiet")],
        [Piece(" " * left + below_axis(days, width), "quiet")],
    ]


def ends(span: Span) -> tuple[float, float]:
    """Where the time shown begins and ends."""
    return span.begin, span.end


def span_of(answer: CoverOverTime) -> Span:
    """The time that is worth showing: all that is known, and at least a day."""
    now = seconds(answer.asked_at)
    begin = min(seconds(answer.rows[0].at) if answer.rows else now, now - A_DAY)
    days = [seconds(row.due_on) for row in answer.arrivals if row.due_on]
    last = max([now, *days])
    return Span(begin, now, last + max(A_DAY, (last - begin) / 10) if days else last)


def seconds(at: str) -> float:
    """A moment of the store, or the beginning of a local day, in seconds."""
    return datetime.fromisoformat(at).timestamp()


def day_at(when: float) -> str:
    """The local day of a moment."""
    return day(datetime.fromtimestamp(when).astimezone().date().isoformat())


def last_dated(arrivals: Sequence[ArrivalRow]) -> str:
    """The last day on which something should come."""
    return max(row.due_on for row in arrivals)


def levels_of(answer: CoverOverTime, span: Span, today: int, width: int) -> list[Level]:
    """The levels by column: what lay there up to today, what should lie there afterwards."""
    levels = [Level(0, 0)] if not answer.rows else []
    levels += [Level(min(today, column_of(seconds(row.at), *ends(span), width)), row.on_hand) for row in answer.rows]
    levels += [
        Level(arrival_column(row, span, today, width), row.then, expected=True) for row in answer.arrivals if row.due_on
    ]
    if any(row.due_on for row in answer.arrivals):
        # From today on, all of it is expected.
        first = sum(1 for level in levels if not level.expected)
        levels.insert(first, Level(min(today + 1, width - 1), answer.on_hand, expected=True))
    return levels


def arrival_column(row: ArrivalRow, span: Span, today: int, width: int) -> int:
    """Where an arrival stands: after today, even if it should have come before."""
    return max(min(today + 1, width - 1), column_of(seconds(row.due_on), *ends(span), width))


def marks_of(answer: CoverOverTime) -> list[Mark]:
    """The levels up to which it is spoken for now, and up to which it is wanted."""
    marks = [Mark("s", answer.spoken_for, "key")] if answer.spoken_for else []
    return marks + ([Mark("w", answer.wanted, "bad")] if answer.wanted > answer.spoken_for else [])


# --- in words --------------------------------------------------------------------------------------------------------


def key_of(answer: CoverOverTime, glyphs: Glyphs) -> list[Drawn]:
    """What the signs stand for."""
    signs = signs_of(glyphs)
    key = [[Piece(signs.line[0] * 2, "good"), Piece(" what lay there", "quiet")]]
    if any(row.due_on for row in answer.arrivals):
        key.append([Piece(signs.dotted[0] * 2, "warn"), Piece(" with what is coming, if none is taken", "quiet")])
    said = {"s": f"spoken for now: {amount(answer.spoken_for, answer.unit)}"}
    said["w"] = f"wanted by the builds: {amount(answer.wanted, answer.unit)}"
    marks = [[Piece(mark.letter, mark.tone), Piece(f" {said[mark.letter]}", "quiet")] for mark in marks_of(answer)]
    return key + marks


def arrivals_told(answer: CoverOverTime, room: int) -> list[Drawn]:
    """What is coming, one order a line."""
    told = []
    for row in answer.arrivals:
        when = f"{'was due' if row.overdue else 'due'} {day(row.due_on)}" if row.due_on else "no day known, not drawn"
        many, then = amount(row.qty, answer.unit), amount(row.then, answer.unit)
        told += words(f"+ {many} by order {row.order} from {row.supplier}, {when}: {then} then", room)
    return told


def builds_told(answer: CoverOverTime, room: int) -> list[Drawn]:
    """What each build still wants of it, and where that is to come from."""
    told = []
    for one in answer.builds:
        terms = ((one.spoken_for, "from the drawers"), (one.coming, "of what is coming"), (one.short, "short"))
        said = ", ".join(f"{amount(qty, answer.unit)} {word}" for qty, word in terms if qty)
        told += words(f"{one.build}: {said}", room) if said else []
    return told


def changes_told(answer: CoverOverTime, room: int) -> list[Drawn]:
    """The last changes, the newest first."""
    told: list[Drawn] = [[Piece("")], *words("last changes", room, "head")] if answer.rows else []
    for row in reversed(answer.rows[-LAST_CHANGES:]):
        sign = "+" if row.change > 0 else "-"
        change = f"{sign}{amount(abs(row.change), answer.unit)}"
        told += words(f"{moment(row.at)}  {row.kind} {change}: {amount(row.on_hand, answer.unit)} there", room)
    return told
