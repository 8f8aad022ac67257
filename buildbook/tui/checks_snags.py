"""Snags on the screen: opened, tried at, closed with their cause, opened again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from buildbook.trade.effort import Effort, read_try, show_effort
from buildbook.tui import checks_points
from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row
from buildbook.tui.words import moment

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.measuring import PointRow
    from buildbook.answers.snags import PartTouched, Seen, SnagRow

DO = (
    Line("space  add a try to it, with what it showed", "do", verb="space"),
    Line("v  say which parts it had to do with", "do", verb="v"),
    Line("c  close it, with its cause", "do", verb="c"),
    Line("o  open it again, for a reason", "do", verb="o"),
)


def snag_rows(found: Sequence[SnagRow]) -> list[Row]:
    """Every snag; its build is named where there are several."""
    several = len({one.build for one in found}) > 1
    return [snag_row(one, f"{one.build} snag {one.number}" if several else f"snag {one.number}") for one in found]


def snag_row(one: SnagRow, called: str) -> Row:
    """One snag, with its tries below."""
    from buildbook.answers.snags import cost_said

    many = len(one.tries)
    lost = cost_said((one,))
    stands = one.cause if one.state == "closed" else f"{many} {'try' if many == 1 else 'tries'}"
    if lost and one.state == "open":
        stands += f", {lost}"
    cells = (Cell(one.state, "warn" if one.state == "open" else "quiet"), called, one.title, stands)
    parts = " ".join(f"{part.refs} {part.key}" for part in one.parts)
    hay = " ".join((one.build, one.about, one.cause, parts, *(f"{each.tried} {each.showed}" for each in one.tries)))
    tone = "quiet" if one.state == "closed" else ""
    return Row(f"snag {one.build}/{one.number}", cells, tone, tuple(snag_lines(one)), one, hay)


def snag_lines(one: SnagRow) -> list[Line]:
    """What stands below a snag: what it is about, each try, what it cost, the parts, others like it, and the cause."""
    from buildbook.answers.snags import cost_said

    lines = [Line(one.title), Line(f"{one.build}, opened {moment(one.opened_at).strip()}", "quiet")]
    lines += [Line(f"about {one.about}", "quiet")] if one.about else []
    lines += [Line(f"shown by {one.reading}")] if one.reading else []
    for number, each in enumerate(one.tries, 1):
        lines.append(Line(f"try {number}: {' '.join(each.tried.split())}"))
        lines += [Line(f"  it showed: {' '.join(each.showed.split())}")] if each.showed else []
        cost = show_effort(Effort(each.minutes, each.joints))
        lines += [Line(f"  it took {cost}", "quiet")] if cost else []
    if lost := cost_said((one,)):
        lines.append(Line(f"lost so far: {lost}"))
    lines += [Line(f"touched: {part_said(part)}") for part in one.parts]
    lines += [Line(seen_said(seen), "warn" if seen.before else "quiet") for seen in one.seen]
    if one.state == "closed":
        lines.append(Line(f"closed {moment(one.closed_at).strip()}, the cause: {one.cause}"))
    return [*lines, *DO]


def part_said(part: PartTouched) -> str:
    """A part that a snag had to do with."""
    return f"{part.refs} of {part.assembly}, {part.key}" + (f" ({part.note})" if part.note else "")


def seen_said(seen: Seen) -> str:
    """Another snag that is like this one: "seen before: LINNET snag 2, Rings on the breadboard; same point"."""
    when = "before" if seen.before else "again"
    return f"seen {when}: {seen.build} snag {seen.number}, {seen.title}; {seen.how}"


def name_of(one: SnagRow) -> str:
    """How a snag is named."""
    return f"{one.build}/{one.number}"


async def open_snag(desk: Desk) -> None:
    """Open a snag; from the reading of the selected point where that is out of limits, else about its board."""
    from buildbook.answers.measuring import OUT, out_where

    selected = desk.frame.panel.list.selected
    point = cast("PointRow", selected.about) if selected and checks_points.KIND.shows(selected) else None
    out = point is not None and point.state == OUT
    build = point.build if point else await one_build(desk)
    title = await desk.line(f"What is wrong with {build}?", initial=out_where(point) if point and out else "")

    def act(shop: Workshop) -> str:
        from buildbook.actions import snags

        if point and out:
            return snags.open_snag(shop, build, title, reading=point.reading)
        return snags.open_snag(shop, build, title, assembly=point.assembly if point else None)

    await desk.act(act, said=lambda name: f"Snag {name} is open: {title}.")


async def one_build(desk: Desk) -> str:
    """The build shown, or one that is chosen now."""
    builds = desk.frame.head.builds
    if desk.build:
        return desk.build
    return builds[0].code if len(builds) == 1 else await desk.choose("A snag of which build?", [b.code for b in builds])


async def snag_meant(desk: Desk) -> SnagRow | None:
    """The selected snag, else the one that was opened last and is open still; None where none is open."""
    from buildbook.answers.snags import snags

    selected = desk.frame.panel.list.selected
    if selected and KIND.shows(selected):
        return cast("SnagRow", selected.about)
    found = await desk.read(lambda shop: snags(shop, desk.build))
    return next((one for one in found.rows if one.state == "open"), None)


async def add_try(desk: Desk) -> None:
    """Write down what was tried at a snag; behind semicolons what it showed, the minutes lost, the joints made anew."""
    one = await snag_meant(desk)
    if one is None:
        desk.say("No snag is open. X opens one.")
        return
    asked = "What was tried; what did it show; 40 min; 2 joints? (parted by semicolons)"
    told = read_try(await desk.line(f"Snag {name_of(one)}, {one.title}. {asked}", check=try_understood))
    minutes = "" if told.effort.minutes is None else str(told.effort.minutes)

    def act(shop: Workshop) -> str:
        from buildbook.actions import snags

        joints = str(told.effort.joints)
        return snags.add_try(shop, name_of(one), told.tried, told.showed, minutes=minutes, joints=joints)

    await desk.act(act, said=lambda name: f"Tried at snag {name}: {told.tried}.")


def try_understood(text: str) -> str:
    """What was tried, what it showed and what it cost, as they are told apart."""
    told = read_try(text)
    cost = show_effort(told.effort)
    said = [f"tried: {told.tried}"]
    said += [f"it showed: {told.showed}"] if told.showed else []
    said += [f"it took {cost}"] if cost else []
    return "; ".join(said) if told.showed or cost else f"{said[0]}; behind a semicolon, what it showed"


async def touch(desk: Desk) -> None:
    """Say which parts a snag had to do with, by designator; a dash before one takes it off again."""
    one = cast("SnagRow", desk.row.about)
    there = ", ".join(part.refs for part in one.parts)
    question = f"Snag {name_of(one)}: which parts had to do with it? (R6, C2; AUDIO/R6; a dash before one takes it off)"
    refs = await desk.line(f"{question} Written down: {there}." if there else question)

    def act(shop: Workshop) -> str:
        from buildbook.actions import snag_parts

        if refs.startswith("-"):
            return snag_parts.leave_parts(shop, name_of(one), refs.removeprefix("-"))
        return snag_parts.touch_parts(shop, name_of(one), refs)

    await desk.act(act, said=lambda name: f"Snag {name}: {refs}.")


async def close_snag(desk: Desk) -> None:
    """Close the snag, with its cause."""
    one = await snag_meant(desk)
    if one is None:
        desk.say("No snag is open.")
        return
    cause = await desk.line(f"What was the cause of snag {name_of(one)}, {one.title}?")

    def act(shop: Workshop) -> str:
        from buildbook.actions import snags

        return snags.close_snag(shop, name_of(one), cause)

    await desk.act(act, said=lambda name: f"Snag {name} is closed: {cause}.")


async def reopen(desk: Desk) -> None:
    """Open a closed snag again, for a reason."""
    one = cast("SnagRow", desk.row.about)
    if one.state == "open":
        desk.say(f"Snag {name_of(one)} is open.")
        return
    reason = await desk.line(f"Open snag {one.number}, {one.title}, again, because:")

    def act(shop: Workshop) -> str:
        from buildbook.actions import snags

        return snags.reopen(shop, name_of(one), reason)

    await desk.act(act, said=lambda name: f"Open again: snag {name}.")


KIND = Kind(
    about="SnagRow",
    go_on=add_try,
    put_off=tell("A snag stays on record; c closes it, with its cause."),
    reopen=reopen,
    change=touch,
    add=open_snag,
    note_about=lambda row: {"build": cast("SnagRow", row.about).build},
)
