"""Bench on the screen, what is planned: what to do tonight, and when all will be finished."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.errors import BadInput
from buildbook.tui.bench import finish_timed, go_on, leave_out, put_down, reopen, sign, to_holder
from buildbook.tui.bench_rows import clock, key_of, short_time, step_lines
from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.bench import StepRow
    from buildbook.answers.finish import Finish as FinishAnswer
    from buildbook.answers.finish import PlannedRow
    from buildbook.answers.tonight import NotTonightRow, TonightRow

WHY = {"critical": "or all is later", "overnight": "waits overnight", "fits": "there is time"}
PUSHED = {"step": "follows", "place": "waits for the place of", "hands": "by the hands, follows", "parts": "its parts"}
Steps = Mapping[tuple[str, int], "StepRow"]


class OfSteps(Place):
    """A place within the Bench whose rows are about steps."""

    KEY: ClassVar[str] = "1"

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The reason, and all that is known of the step."""
        return row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the step, in its build."""
        step = cast("StepRow | None", row.about)
        return {"step": step.place, "build": step.build} if step else {}


class Tonight(OfSteps):
    """The steps of the next session in their order, and those that something keeps from it."""

    NAME: ClassVar[str] = "Tonight"
    QUESTION: ClassVar[str] = "What do I do tonight, and in which order?"

    def __init__(self, minutes: int | None = None) -> None:
        self.minutes = minutes

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The session: each step with its reason."""
        from buildbook.answers.tonight import tonight

        answer = tonight(shop, build, minutes=self.minutes)
        steps = steps_by_number(shop, build)
        columns = (
            Column("from"),
            Column("step", shrink=True, least=10),
            Column("work", shrink=True, least=24),
            Column("takes", right=True, rank=1),
            Column("why now", shrink=True, least=12),
        )
        rows = [tonight_row(row, steps[row.build, row.step]) for row in answer.rows]
        rows += [not_tonight_row(row, steps[row.build, row.step]) for row in answer.not_tonight]
        return View(answer.sentence, columns, rows, " ".join(answer.assumed))


class Finish(OfSteps):
    """What would bring the finish nearer, what drives it, and every step left with its play."""

    NAME: ClassVar[str] = "Finish"
    QUESTION: ClassVar[str] = "When will it be finished, and what drives that?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """The two dates, and what stands behind them."""
        from buildbook.answers.finish import finish

        try:
            answer = finish(shop, build)
        except BadInput as error:
            return View(f"{error.what} Choose a build with b.")
        columns = (
            Column(""),
            Column("which", shrink=True, least=30),
            Column("from", rank=1),
            Column("takes", right=True, rank=2),
            Column("days or play", right=True),
        )
        rows = [*summary_rows(answer), *chain_rows(answer, steps_by_number(shop, build))]
        without = f"Reckoned without: {'; '.join(answer.without)}." if answer.without else ""
        return View(answer.sentence, columns, rows, " ".join(filter(None, (without, *answer.assumed))))


def steps_by_number(shop: Workshop, build: str | None) -> Steps:
    """How each step stands, by build and number."""
    from buildbook.answers.bench import bench

    return {(row.build, row.step): row for row in bench(shop, build).rows}


def tonight_row(row: TonightRow, step: StepRow) -> Row:
    """A step of the session."""
    cells = (
        Cell(clock(row.start)[-5:], sort=row.start),
        place_of(step),
        row.name,
        Cell(f"~{short_time(row.minutes)}{'+' if row.part else ''}", sort=row.minutes),
        Cell(WHY[row.why] + (", one-way" if row.one_way else ""), "warn" if row.why == "critical" else ""),
    )
    more = [Line(row.first, "warn")] if row.first else []
    more += [Line("It is begun now, and goes on in another session.")] if row.part else []
    lines = (Line(row.reason), *more, *step_lines(step))
    return Row(key_of(step), cells, fold=lines, about=step, hay=f"{row.why} {row.build}")


def not_tonight_row(row: NotTonightRow, step: StepRow) -> Row:
    """A step that something keeps from tonight."""
    cells = (Cell("not yet", "quiet"), place_of(step), row.name, "", Cell(row.what, "quiet"))
    lines = (Line(f"Not tonight: {row.what}. {row.release}"), *step_lines(step))
    return Row(f"{key_of(step)} {row.what}", cells, "quiet", lines, step, row.build)


def place_of(step: StepRow) -> str:
    """Where a step stands, without its project."""
    return step.place.partition("/")[2]


def summary_rows(answer: FinishAnswer) -> Iterator[Row]:
    """What would bring the finish nearer, what drives it, and the deliveries that it waits for."""
    from buildbook.answers.finish import days_said

    for gain in answer.gains:
        said = Cell(days_said(gain.likely_min), "good", gain.likely_min)
        lines = (Line(f"The likely finish comes {said.text} sooner, the safe one {days_said(gain.safe_min)}."),)
        yield Row(f"gain {gain.what} {gain.key}", (Cell("nearer", "good"), gain.name, "", "", said), fold=lines)
    for driver in answer.drivers:
        said = Cell(days_said(driver.gain_min), sort=driver.gain_min)
        lines = (Line(f"If it went as well as it can, all would be done {said.text} sooner on average."),)
        yield Row(f"drives {driver.what} {driver.name}", ("drives", driver.name, "", driver.what, said), fold=lines)
    for parcel in answer.deliveries:
        lines = (Line(f"Thought to be here between {clock(parcel.low)} and {clock(parcel.high)}."),)
        cells = (Cell("comes", "warn"), parcel.name, clock(parcel.likely), "", parcel.state)
        yield Row(f"comes {parcel.name} {parcel.due_on} {parcel.state}", cells, fold=lines)


def chain_rows(answer: FinishAnswer, steps: Steps) -> Iterator[Row]:
    """Every step left, in the order of the plan; those of the chain that sets the finish are named so."""
    for row in answer.rows:
        step = steps[row.build, row.step]
        cells = (
            Cell("chain" if row.critical else "play", "warn" if row.critical else "quiet"),
            f"{place_of(step)} {row.name}",
            Cell(clock(row.start), sort=row.start),
            Cell(f"~{short_time(row.minutes)}", sort=row.minutes),
            Cell(short_time(row.float_min) if row.float_min else "none", sort=row.float_min),
        )
        yield Row(key_of(step), cells, "" if row.critical else "quiet", (*chain_lines(row), *step_lines(step)), step)


def chain_lines(row: PlannedRow) -> list[Line]:
    """What a step could not begin before, and how much later it may begin."""
    because = f"It {PUSHED[row.pushed]} {row.by}." if row.by else "It waits for its parts." * (row.pushed == "parts")
    play = "If it begins later, all is finished later."
    if not row.critical:
        play = f"It may begin {short_time(row.float_min)} of bench time later, and all is finished as planned."
    return [Line(said) for said in (because, play) if said]


# --- verbs -----------------------------------------------------------------------------------------------------------


async def time_at_hand(desk: Desk) -> None:
    """Plan the time at hand from now on, or the next session again."""
    from buildbook.trade.units import read_minutes, show_minutes

    def understood(text: str) -> str:
        return f"that is {show_minutes(read_minutes(text))}" if text.strip() else "the next session"

    text = await desk.line("How long have you got? (nothing: the next session)", check=understood, need=False)
    place = desk.frame.panel.place
    if isinstance(place, Tonight):
        place.minutes = read_minutes(text) if text.strip() else None
        desk.frame.renew()


async def set_bench_hours(desk: Desk) -> None:
    """Say when one is at the bench."""
    from buildbook.answers.bench_time import bench_hours, zone_here
    from buildbook.reckon.calendar import read

    known = await desk.read(bench_hours)

    def understood(text: str) -> str:
        read(text)
        return ""

    week = await desk.line("When are you at the bench?", initial=known.hours, check=understood)

    def act(shop: Workshop) -> str:
        from buildbook.actions.bench_time import set_hours

        return set_hours(shop, week, zone=zone_here() if known.assumed else "")

    await desk.act(act, said=f"At the bench {week}.")


async def write_calendar_file(desk: Desk) -> None:
    """Write sessions, waits and deliveries into a file for another program's calendar."""
    build = desk.build
    target = await desk.line("Write the calendar into which file?", initial="bench.ics")

    def write(shop: Workshop) -> int:
        from buildbook.answers.agenda import agenda
        from buildbook.exchange.icalendar import write_calendar

        return write_calendar(Path(target).expanduser(), agenda(shop, build).rows, shop.clock())

    many = await desk.read(write)
    desk.say(f"{many} entries written to {target}.")


async def go_to_step(desk: Desk) -> None:
    """To the step in the Bench."""
    step = cast("StepRow | None", desk.row.about)
    if step is None:
        desk.say("That row is about no step.")
        return
    desk.go("Bench", select=key_of(step))


async def plot_bench(desk: Desk) -> None:
    """Draw the chances of the finish, what was planned and done, and the chain of steps."""
    from buildbook.tui.plots_bench import finish_plot
    from buildbook.tui.plots_screen import draw

    build = desk.build
    await draw(desk, lambda shop: finish_plot(shop, build))


ABOUT_TIME = (
    Verb("B", "hours", "say when you are at the bench", set_bench_hours, on_row=False),
    Verb(
        "W", "calendar", "write sessions, waits and deliveries into a calendar file", write_calendar_file, on_row=False
    ),
    Verb("=", "plots", "draw the chances of the finish, and the chain of steps", plot_bench, on_row=False),
)
Tonight.verbs = (
    Verb("space", "next", "start it, or finish it when it is in hand", go_on),
    Verb("t", "finish", "finish it, with the minutes that it took", finish_timed),
    Verb("z", "put down", "put it down for now, its clock stands still; or go on with it", put_down, foot=False),
    Verb("w", "sign", "sign the hold point: say what was checked", sign, foot=False),
    Verb("d", "leave out", "leave it out of this build", leave_out, foot=False),
    Verb("o", "open again", "make it as if it had not been begun", reopen, foot=False),
    Verb("h", "holder", "go to what holds it", to_holder, on_row=False, foot=False),
    Verb("L", "how long", "plan the time at hand instead of the next session", time_at_hand, on_row=False),
    *ABOUT_TIME,
)
Finish.verbs = (Verb("space", "go there", "go to the step in the Bench", go_to_step), *ABOUT_TIME)
