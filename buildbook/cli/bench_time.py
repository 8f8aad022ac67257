"""Bench on the command line, what is planned: bench hours, tonight, the finish date, the calendar."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, build_meant, opened
from buildbook.cli.show import Column, filled, local_time, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.agenda import AgendaRow
    from buildbook.answers.finish import DriverRow, GainRow, PlannedRow
    from buildbook.answers.tonight import NotTonightRow, TonightRow

BEFORE = {"step": "follows", "place": "waits for the place of", "hands": "follows, by the hands", "parts": "its parts"}


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    for name, verb in (("hours", hours), ("tonight", tonight), ("finish-date", finish_date), ("calendar", calendar)):
        app.command(name)(verb)


def hours(
    week: Annotated[
        str, typer.Argument(metavar="[WEEK]", show_default=False, help="Such as tue 19:30-22:00, sat 10:00-16:00.")
    ] = "",
    *,
    zone: Annotated[
        str, typer.Option("--zone", metavar="ZONE", show_default=False, help="The time zone, such as Europe/Berlin.")
    ] = "",
    other: Annotated[
        list[str] | None,
        typer.Option(
            "--except",
            metavar="DATE: HOURS",
            show_default=False,
            help="Other hours on a date; none, or usual for like any other. May be given again.",
        ),
    ] = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Set when you are at the bench, or say when that is.

    \b
    Example:
      buildbook bench hours "tue 19:30-22:00, sat 10:00-16:00" --except "2026-12-24: none"
    """
    from buildbook.answers.bench_time import bench_hours, zone_here

    with opened(db) as shop:
        if week or zone or other:
            from buildbook.actions.bench_time import set_hours

            known = bench_hours(shop)
            set_hours(shop, week, zone=zone or (zone_here() if known.assumed else ""), exceptions=other or ())
        answer = bench_hours(shop)
    show(answer, as_json=as_json)
    if not as_json and answer.exceptions:
        say("\n".join(answer.exceptions))


def tonight(
    time: Annotated[
        str, typer.Argument(metavar="[TIME]", show_default=False, help="The time at hand, such as 2h; else a session.")
    ] = "",
    *,
    improve: Annotated[
        int, typer.Option("--improve", metavar="SECONDS", min=0, help="Search so long for a better plan.")
    ] = 0,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What to do in the next session, or with the time at hand, in which order and why.

    \b
    Example:
      buildbook bench tonight 2h
    """
    from buildbook.answers.tonight import tonight as plan_tonight
    from buildbook.trade.units import read_minutes

    minutes = read_minutes(time) if time else None
    with opened(db) as shop:
        answer = plan_tonight(shop, build, minutes=minutes, improve_s=improve)
    show(answer, filled(tonight_columns(), answer.rows), as_json=as_json)
    if as_json:
        return
    table(not_tonight_columns(), answer.not_tonight, heading="Not tonight:")
    if answer.gap is not None:
        gap = "the best there is" if not answer.gap else f"{answer.gap:.1%} from the best there is, at most"
        say(f"The plan behind it is {gap}.", apart=True)
    _assumed(answer.assumed)


def tonight_columns() -> list[Column[TonightRow]]:
    """When, what, for how long and why."""
    from buildbook.trade.units import show_minutes

    return [
        Column("from", lambda row: local_time(row.start)[-5:]),
        Column("step", lambda row: row.place),
        Column("work", lambda row: row.name, shrink=True),
        Column("takes", lambda row: f"{show_minutes(row.minutes)}{', then more' if row.part else ''}", right=True),
        Column("then wait", lambda row: show_minutes(row.wait_min) if row.wait_min else "", right=True),
        Column("why now", lambda row: " ".join(filter(None, (row.first, row.reason))), shrink=True),
        Column("", lambda row: "; ".join([*(["one-way"] * row.one_way), *filter(None, [row.caution])]), shrink=True),
    ]


def not_tonight_columns() -> list[Column[NotTonightRow]]:
    """What is not there, and what would release the step."""
    return [
        Column("step", lambda row: row.place),
        Column("work", lambda row: row.name, shrink=True),
        Column("lacks", lambda row: row.what, shrink=True),
        Column("", lambda row: row.release, shrink=True),
    ]


def finish_date(
    *,
    everything: Annotated[bool, typer.Option("--all", help="Every step left, not the critical chain alone.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """When the build will be finished, likely and safely, what drives that, and what would bring it nearer.

    \b
    Example:
      buildbook bench finish-date --build CURLEW
    """
    from buildbook.answers.finish import finish

    with opened(db) as shop:
        answer = finish(shop, build_meant(shop, build))
    rows = [row for row in answer.rows if everything or row.critical]
    show(answer, as_json=as_json)
    if as_json:
        return
    table(planned_columns(), rows, heading="Every step left:" if everything else "The chain that sets the finish:")
    table(driver_columns(), answer.drivers, heading="What drives it, if it went as well as it can:")
    table(gain_columns(), answer.gains, heading="What would bring it nearer:")
    if answer.without:
        say(f"Reckoned without: {'; '.join(answer.without)}.", apart=True)
    _assumed(answer.assumed)


def planned_columns() -> list[Column[PlannedRow]]:
    """When each step is planned, what it follows, and how much later it may begin."""
    from buildbook.trade.units import show_minutes

    return [
        Column("from", lambda row: local_time(row.start)),
        Column("step", lambda row: row.place),
        Column("work", lambda row: row.name, shrink=True),
        Column("takes", lambda row: show_minutes(row.minutes), right=True),
        Column("then wait", lambda row: show_minutes(row.wait_min) if row.wait_min else "", right=True),
        Column("play", lambda row: show_minutes(row.float_min) if row.float_min else "none", right=True),
        Column("because", lambda row: f"{BEFORE.get(row.pushed, '')} {row.by}".strip(), shrink=True),
    ]


def driver_columns() -> list[Column[DriverRow]]:
    """What drives the finish, and by how much."""
    from buildbook.answers.finish import days_said

    return [
        Column("what", lambda row: row.what),
        Column("which", lambda row: row.name, shrink=True),
        Column("sooner by", lambda row: days_said(row.gain_min), right=True),
    ]


def gain_columns() -> list[Column[GainRow]]:
    """What would be gained."""
    from buildbook.answers.finish import days_said

    return [
        Column("what", lambda row: row.name, shrink=True),
        Column("likely", lambda row: days_said(row.likely_min), right=True),
        Column("safe", lambda row: days_said(row.safe_min), right=True),
    ]


def calendar(
    *,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE.ics", show_default=False, help="Write it into this file (iCalendar)."),
    ] = None,
    weeks: Annotated[int, typer.Option("--weeks", metavar="N", help="How many weeks ahead.")] = 8,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Sessions with what to do in them, waits and deliveries; into a file for another program's calendar.

    \b
    Example:
      buildbook bench calendar --out bench.ics
    """
    from buildbook.answers.agenda import agenda

    with opened(db) as shop:
        answer = agenda(shop, build, weeks=weeks)
        stamp = shop.clock()
    if out is None:
        show(answer, agenda_columns(), as_json=as_json)
    else:
        from buildbook.exchange.icalendar import write_calendar

        many = write_calendar(out, answer.rows, stamp)
        show(answer, as_json=as_json)
        if not as_json:
            say(f"{many} entries written to {out}.")
    if not as_json:
        _assumed(answer.assumed)


def agenda_columns() -> list[Column[AgendaRow]]:
    """When, and what."""

    def when(row: AgendaRow) -> str:
        return row.start if row.kind == "delivery" else local_time(row.start)

    def until(row: AgendaRow) -> str:
        return "" if row.kind == "delivery" else local_time(row.end)

    return [
        Column("from", when),
        Column("until", until),
        Column("", lambda row: row.kind),
        Column("what", lambda row: row.summary, shrink=True),
    ]


def _assumed(sentences: tuple[str, ...]) -> None:
    if sentences:
        say("\n".join(sentences), apart=True)
