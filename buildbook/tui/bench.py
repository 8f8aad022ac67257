"""Bench on the screen: what can I do now, and what must I not do yet?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Cell, Column, Line, Row, View
from buildbook.tui.words import MONTHS, moment

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.bench import StepRow

TONES = {"in hand": "good", "ready": "good", "held": "quiet", "done": "quiet", "dropped": "quiet"}
ONE_WAY = "It cannot be undone."
HOLD_POINT = "It is a hold point: nothing after it before its check is signed."
# A step in hand for longer than this was left lying, so the clock says nothing about the time it took.
LONGEST_SITTING_MIN = 12 * 60


class Bench(Place):
    """The steps in hand and ready, then those that are held, then those behind us."""

    KEY: ClassVar[str] = "1"
    NAME: ClassVar[str] = "Bench"
    QUESTION: ClassVar[str] = "What can I do now, and what must I not do yet?"

    def ask(self, shop: Workshop, build: str | None) -> View:
        """Every step, those in hand first."""
        from buildbook.answers.bench import STATES, bench

        answer = bench(shop, build)
        steps = sorted(answer.rows, key=lambda row: STATES.index(row.state))
        columns = (
            Column("state"),
            Column("step"),
            Column("work", shrink=True, least=30),
            Column("takes", right=True, rank=1),
            Column("", shrink=True, least=5),
        )
        several = len({row.place.partition("/")[0] for row in steps}) > 1
        named: dict[tuple[str, str], list[StepRow]] = {}
        for row in steps:
            named.setdefault((row.build, row.name), []).append(row)
        rows = [step_row(row, named, several=several) for row in steps]
        remark = answer.beyond if steps else "Write a step down with +, or take in a parts list with its steps."
        return View(answer.sentence, columns, rows, remark)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What holds the step, each with what would release it."""
        return row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the step, in its build."""
        step = cast("StepRow", row.about)
        return {"step": step.place, "build": step.build}


# The steps of a build that bear a name.
Named = Mapping[tuple[str, str], Sequence["StepRow"]]


def step_row(row: StepRow, named: Named, *, several: bool) -> Row:
    """One step, with what stands against it below; its project is named where there are several."""
    place = row.place if several else row.place.partition("/")[2]
    cells = (
        Cell(row.state, TONES.get(row.state, "")),
        place,
        row.name,
        Cell(takes(row), sort=row.likely_min),
        remark(row),
    )
    tone = "quiet" if row.state in ("done", "dropped") else ""
    hay = f"{row.work} {row.assembly} {row.build}"
    return Row(key_of(row), cells, tone, tuple(step_lines(row, named)), row, hay)


def key_of(row: StepRow) -> str:
    """By what a step is known again in the list."""
    return f"{row.build} {row.step}"


def takes(row: StepRow) -> str:
    """How long it took, or likely takes: "24 min" or "~2h30"."""
    if row.minutes is not None:
        return short_time(row.minutes)
    return f"~{short_time(row.likely_min)}" if row.likely_min else ""


def short_time(minutes: int) -> str:
    """Minutes in few letters, as one types them.

    >>> short_time(40), short_time(150), short_time(120)
    ('40 min', '2h30', '2 h')
    """
    from buildbook.trade.units import show_minutes

    hours, rest = divmod(minutes, 60)
    return f"{hours}h{rest:02}" if rest and 0 < hours < 24 else show_minutes(minutes)


def since(at: str) -> str:
    """Since when: the time of this day, else the day.

    >>> since("2026-11-07T10:00:00Z")
    'since 7 Nov'
    """
    local = datetime.fromisoformat(at).astimezone()
    today = local.date() == datetime.now().astimezone().date()
    return f"since {local:%H:%M}" if today else f"since {local.day} {MONTHS[local.month - 1]}"


def remark(row: StepRow) -> Cell:
    """What holds it, since when it is in hand, whether there is a way back, in as few words as will do."""
    if row.state in ("done", "dropped"):
        return Cell(moment(row.finished_at).strip(), "quiet", row.finished_at)
    said = [since(row.started_at)] if row.state == "in hand" and row.started_at else []
    said += [f"by {len(row.held_by)}: {', '.join(row.held_by)}"] if row.held_by else []
    said += ["one-way"] if row.one_way else []
    said += ["hold point"] if row.hold_point else []
    said += ["caution"] if row.caution and not row.held_by else []
    return Cell(", ".join(said), "quiet" if row.state == "held" else "warn" if row.one_way or row.hold_point else "")


def step_lines(row: StepRow, named: Named) -> list[Line]:
    """What holds the step, what to mind, how long it takes, how far it has got."""
    from buildbook.trade.units import show_minutes

    lines = [held_line(holder_of(row, name, named), name) for name in row.held_by]
    if not lines and row.state in ("ready", "in hand"):
        lines = [Line("Nothing in the order of work stands against it.", "good")]
    lines += warnings(row)
    if row.work:
        lines.append(Line(f"work: {row.work}", "quiet"))
    if row.wait_high_min:
        low, high = show_minutes(row.wait_low_min), show_minutes(row.wait_high_min)
        lines.append(Line(f"then leave it alone for {low if low == high else f'{low} to {high}'}"))
    lines.append(Line(f"{row.place} for build {row.build}", "quiet"))
    if row.started_at:
        lines.append(Line(f"begun {moment(row.started_at).strip()}", "quiet"))
    if row.finished_at:
        took = f", it took {show_minutes(row.minutes)}" if row.minutes is not None else ""
        lines.append(Line(f"{row.state} {moment(row.finished_at).strip()}{took}", "quiet"))
    return lines


def holder_of(row: StepRow, name: str, named: Named) -> StepRow | None:
    """The step of that name that holds this one: of its own checklist, else the only one of the build."""
    found = named.get((row.build, name), ())
    near = [one for one in found if one.assembly == row.assembly] or found
    return near[0] if len(near) == 1 else None


def held_line(holder: StepRow | None, name: str) -> Line:
    """What holds a step, and what would release it; enter goes there."""
    if holder is None:
        return Line(f"held by {name}: finish it to release this")
    where = holder.place.partition("/")[2]
    release = {"ready": "it is ready: finish it", "in hand": "it is in hand: finish it"}
    how = release.get(holder.state, f"it is {holder.state} itself, so look there first")
    return Line(f"held by {where}, {name}: {how}", verb="h", about=key_of(holder))


def warnings(row: StepRow) -> list[Line]:
    """What is to be minded before a step is begun."""
    lines = [Line(ONE_WAY, "warn")] if row.one_way else []
    lines += [Line(HOLD_POINT, "warn")] if row.hold_point else []
    lines += [Line(f"Caution: {row.caution}", "warn")] if row.caution else []
    return lines


# --- verbs -----------------------------------------------------------------------------------------------------------


def step_of(desk: Desk) -> StepRow:
    """The step of the selected row."""
    return cast("StepRow", desk.row.about)


async def go_on(desk: Desk) -> None:
    """Start the step, or finish it when it is in hand."""
    row = step_of(desk)
    if row.state == "in hand":
        await finish(desk, row, None)
    elif row.state in ("done", "dropped"):
        desk.say(f"{row.name} is {row.state} already; o makes it as if it had not been begun.")
    else:
        await begin(desk, row)


async def begin(desk: Desk, row: StepRow) -> None:
    """Take a step in hand; what holds it is read first, what is to be minded is said at once."""
    said = [line.text for line in warnings(row)]
    if row.held_by:
        held = [f"Not done yet, and to come before it: {name}." for name in row.held_by]
        await desk.confirm(f"{row.name} is held. Begin it all the same?", [*held, *said], yes="Begin it all the same")

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.start(shop, row.build, row.step)

    await desk.act(act, said=f"In hand: {row.name}.")
    if said:
        desk.warn(" ".join([f"In hand: {row.name}.", *said]))


async def finish(desk: Desk, row: StepRow, minutes: int | None) -> None:
    """Tick a step off."""

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.tick(shop, row.build, row.step, minutes=minutes)

    await desk.act(act, said=f"Done: {row.name}.")
    if row.hold_point:
        desk.warn(f"Done: {row.name}. {HOLD_POINT}")


async def finish_timed(desk: Desk) -> None:
    """Tick the step off, with the hands-on time it took."""
    from buildbook.trade.units import read_minutes, show_minutes

    row = step_of(desk)
    thought = row.minutes if row.minutes is not None else so_far(row, datetime.now(UTC)) or row.likely_min

    def understood(text: str) -> str:
        return f"that is {show_minutes(read_minutes(text))}"

    initial = show_minutes(thought) if thought else ""
    took = await desk.line(f"How long did it take: {row.name}?", initial=initial, check=understood)
    await finish(desk, row, read_minutes(took))


def so_far(row: StepRow, now: datetime) -> int:
    """The minutes since the step was taken in hand; 0 when it was not, or was left lying."""
    if row.state != "in hand" or not row.started_at:
        return 0
    minutes = int((now - datetime.fromisoformat(row.started_at)).total_seconds() // 60)
    return minutes if 0 < minutes <= LONGEST_SITTING_MIN else 0


async def leave_out(desk: Desk) -> None:
    """Leave the step out of this build."""
    row = step_of(desk)

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.drop(shop, row.build, row.step)

    await desk.act(act, said=f"Left out of {row.build}: {row.name}.")


async def reopen(desk: Desk) -> None:
    """Make the step as if it had not been begun."""
    row = step_of(desk)

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.untick(shop, row.build, row.step)

    await desk.act(act, said=f"To be done again: {row.name}.")


async def to_holder(desk: Desk) -> None:
    """To the step that holds this one: that of the selected line, else the first."""
    if isinstance(desk.about, str):
        key = desk.about
    else:
        lines = desk.row.fold or ()
        key = next((line.about for line in lines if isinstance(line.about, str)), "")
    if key:
        desk.go("Bench", select=key)
    else:
        desk.say("Nothing holds this step.")


async def add_step(desk: Desk) -> None:
    """Write a step down at the end of a checklist."""
    from buildbook.answers.workshop import codes
    from buildbook.trade.units import read_minutes, show_minutes

    known = [code for code, _ in await desk.read(lambda shop: codes(shop, "assembly", "")) if "/" in code]
    here = step_of(desk).assembly if desk.shown else ""
    assembly = await desk.line("A step on whose checklist?", initial=here, complete=known)
    name = await desk.line(f"What is to be done on {assembly}?")
    likely = await desk.line(
        "How long does it likely take? (may be left empty)",
        check=lambda text: f"that is {show_minutes(read_minutes(text))}",
        need=False,
    )

    def act(shop: Workshop) -> int:
        from buildbook.actions import bench

        step = bench.NewStep(name=name, likely_min=read_minutes(likely) if likely else 0)
        return bench.add_step(shop, assembly, step)

    await desk.act(act, said=f"On the checklist of {assembly}: {name}.")


Bench.verbs = (
    Verb("space", "next", "start it, or finish it when it is in hand", go_on),
    Verb("t", "finish", "finish it, with the minutes that it took", finish_timed),
    Verb("d", "leave out", "leave it out of this build", leave_out),
    Verb("o", "open again", "make it as if it had not been begun", reopen),
    Verb("h", "holder", "go to the step that holds it", to_holder, on_row=False, foot=False),
    Verb("+", "new", "add a step to a checklist", add_step, on_row=False, foot=False),
)
