"""Parts against their ratings on the screen: the lines that are out, and how each board stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.ratings import BoardRatings, RatingLine

TONES = {"too little": "bad", "too tight": "warn", "not known": "warn", "fits": "good", "not stated": "quiet"}
# These have rows of their own; the others are counted in the row of their board.
OUT = ("too little", "too tight", "not known")
DO = (
    Line("space  say what it bears in its place", "do", verb="space"),
    Line("v  say what the part is made for", "do", verb="v"),
    Line("d  take back what it bears", "do", verb="d"),
)
HOW = "space says what the line bears, v what its part is made for; d takes it back"


def rating_rows(lines: Sequence[RatingLine], boards: Sequence[BoardRatings]) -> list[Row]:
    """The lines that are out, then the boards of which anything is stated."""
    out = [line_row(one) for one in lines if one.state in OUT]
    stated = {one.assembly for one in lines}
    return out + [board_row(one) for one in boards if one.assembly in stated]


def line_row(one: RatingLine) -> Row:
    """One line: its state in a word, where it is, how it stands."""
    tone = TONES[one.state] if one.counts else "quiet"
    left_out = f" (with {one.option}, which is not chosen)" if not one.counts else ""
    full = Cell(f"{one.percent} %" if one.percent is not None else "", sort=one.percent)
    cells = (Cell(one.state, tone), place_of(name_of(one)), f"{one.value or one.key}: {one.said}{left_out}", full)
    hay = " ".join((one.assembly, one.key, one.kind, one.option, one.note, "ratings"))
    return Row(f"rating {one.line}", cells, fold=tuple(line_lines(one)), about=one, hay=hay)


def board_row(one: BoardRatings) -> Row:
    """One board: the worst state among its lines, and how many are in each."""
    counts = (("too little", one.too_little), ("too tight", one.too_tight), ("not known", one.not_known))
    state = next((word for word, count in counts if count), "fits" if one.fits else "not stated")
    words = f"parts: {one.said}; {one.name or one.assembly}"
    cells = (Cell(state, TONES[state]), place_of(one.assembly), words, "")
    return Row(f"ratings {one.assembly}", cells, about=one, hay=f"{one.assembly} ratings")


def place_of(name: str) -> str:
    """Where it is, without its project."""
    return name.partition("/")[2] or name


def name_of(one: RatingLine) -> str:
    """How a line is named: its assembly, and its designators or its part."""
    return f"{one.assembly} {one.refs or one.key}"


def line_lines(one: RatingLine) -> list[Line]:
    """What stands below a line: how each load stands against its rating, what was stated, the remark."""
    lines = [Line(way.said, TONES[way.verdict]) for way in one.weighed] or [Line(one.said)]
    lines.append(Line(f"bears {', '.join(one.bears) or 'what is not stated'}"))
    lines.append(Line(f"{one.key} is made for {', '.join(one.made_for) or 'what is not stated'}"))
    lines += [Line(one.note, "quiet")] if one.note else []
    lines += [Line(f"mind: {one.caution}", "warn")] if one.caution else []
    return [*lines, *DO]


def line_why(row: Row) -> list[Line]:
    """The arithmetic behind the verdict on a line."""
    one = cast("RatingLine", row.about)
    lines = [Line(way.how or way.said) for way in one.weighed]
    if "not known" in {way.verdict for way in one.weighed}:
        lines.append(Line("What is not known is held against nothing.", "warn"))
    return lines or [Line(one.said)]


def unfold_board(shop: Workshop, row: Row) -> list[Line]:
    """All lines of a board, the worst first; each may be selected, to say what it bears."""
    board = cast("BoardRatings", row.about)
    own = lines_of(shop, board.assembly)
    cells = [(one.state if one.counts else "left out", one.refs or one.key, one.value, one.said) for one in own]
    first, *told = table_lines(("state", "line", "value", "how it stands"), cells) or [heading("no lines")]
    lines = [line._replace(tone=TONES[one.state], about=one) for line, one in zip(told, own, strict=True)]
    return [Line(HOW, "quiet"), first, *lines]


def lines_of(shop: Workshop, assembly: str) -> list[RatingLine]:
    """The lines of one assembly, without those of what is inside it."""
    from buildbook.answers.ratings import ratings

    return [one for one in ratings(shop, assembly=assembly, everything=True).rows if one.assembly == assembly]


def board_why(row: Row) -> list[Line]:
    """How many lines are in each state."""
    one = cast("BoardRatings", row.about)
    counts = (
        ("too little", one.too_little),
        ("too tight", one.too_tight),
        ("not known", one.not_known),
        ("fits", one.fits),
        ("not stated", one.not_stated),
    )
    lines = table_lines(("lines that count", "how many"), [(word, str(count)) for word, count in counts], right=(1,))
    return [
        *lines,
        Line("Counted are resistors, capacitors, diodes, and other parts of which it is stated what they bear."),
    ]


async def line_meant(desk: Desk) -> RatingLine:
    """The selected line, that selected below its board, or else one chosen from the board."""
    about = desk.row.about
    if desk.row.key.startswith("rating "):
        return cast("RatingLine", about)
    if type(desk.about).__name__ == "RatingLine":
        return cast("RatingLine", desk.about)
    board = cast("BoardRatings", about)
    from buildbook.tui.asking import Option

    own = await desk.read(lambda shop: lines_of(shop, board.assembly))
    options = [Option(str(one.line), f"{one.refs or one.key} {one.value}: {one.said}") for one in own]
    key = await desk.choose(f"Which line of {board.assembly}?", options)
    return next(one for one in own if str(one.line) == key)


async def state(desk: Desk) -> None:
    """Say what the parts of a line bear."""
    await state_of(desk, await line_meant(desk))


async def state_of(desk: Desk, one: RatingLine) -> None:
    """Ask what a line bears, as it stands now, and write it down."""
    typed = await desk.line(f"What does {name_of(one)} bear? (300V; 230V AC; 0.2A; 0.3W)", initial="; ".join(one.bears))

    def act(shop: Workshop) -> str:
        from buildbook.actions import ratings

        return ratings.state_bears(shop, one.line, typed.split(";"), only=True)

    await desk.act(act, said=lambda said: said)


async def rate(desk: Desk) -> None:
    """Say what the part of a line is made for."""
    one = await line_meant(desk)
    await rate_part(desk, one.key, "; ".join(one.made_for))


async def rate_part(desk: Desk, part: str, initial: str = "") -> None:
    """Ask what a part is made for, and write it down."""
    typed = await desk.line(f"What is {part} made for? (450V; 275V AC; 1A; 0.5W)", initial=initial)
    if typed == initial:
        desk.say("It is left as it is.")
        return

    def act(shop: Workshop) -> str:
        from buildbook.actions import ratings

        return ratings.state_rated(shop, part, typed.split(";"))

    await desk.act(act, said=lambda said: said)


async def clear(desk: Desk) -> None:
    """Take back what a line bears; it may be undone."""
    one = await line_meant(desk)

    def act(shop: Workshop) -> str:
        from buildbook.actions import ratings

        return ratings.clear_bears(shop, one.line)

    await desk.act(act, said=lambda name: f"Taken back: what {name} bears.")


async def state_any(desk: Desk) -> None:
    """Say what any line bears, by its name."""
    line = await desk.line("Which line? (HT/C1)")
    typed = await desk.line(f"What does {line} bear? (300V; 230V AC; 0.2A; 0.3W)")

    def act(shop: Workshop) -> str:
        from buildbook.actions import ratings

        return ratings.state_bears(shop, line, typed.split(";"))

    await desk.act(act, said=lambda said: said)


async def rate_any(desk: Desk) -> None:
    """Say what any part is made for, by its name."""
    await rate_part(desk, await desk.line("Which part?"))


KIND = Kind(
    about="RatingLine",
    go_on=state,
    put_off=clear,
    reopen=tell("Space says what the line bears; there is nothing to open again."),
    change=rate,
    add=state,
    why=line_why,
)
BOARD_KIND = replace(KIND, about="BoardRatings", unfold=unfold_board, why=board_why)
