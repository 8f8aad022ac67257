"""Bench on the screen: what can I do now, and what must I not do yet?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, ClassVar, cast

from buildbook.tui.bench_order import come_after, come_free, hold_for, look_at_order, take_recipe
from buildbook.tui.bench_rows import HOLD_POINT, clock, step_row, unsigned, warnings
from buildbook.tui.desk import Desk
from buildbook.tui.place import Place, Verb
from buildbook.tui.rows import Column, Line, Row, View

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.bench import StepRow


SIGN_ALL = "All of it was checked: sign"


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
        rows = [step_row(row, several=several) for row in steps]
        remark = "" if steps else "Write a step down with +, or take in a parts list with its steps."
        return View(answer.sentence, columns, rows, remark)

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """What holds the step, each with what would release it."""
        return row.fold or ()

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note here is about the step, in its build."""
        step = cast("StepRow", row.about)
        return {"step": step.place, "build": step.build}


# --- verbs -----------------------------------------------------------------------------------------------------------


def step_of(desk: Desk) -> StepRow:
    """The step of the selected row."""
    return cast("StepRow", desk.row.about)


async def go_on(desk: Desk) -> None:
    """Start the step, finish it when it is in hand, sign it when that is what it lacks."""
    row = step_of(desk)
    if row.state == "in hand" and row.running_since:
        await finish(desk, row, None)
    elif unsigned(row):
        await sign(desk)
    elif row.state == "waiting":
        desk.say(f"{row.name} is done; leave it alone until {clock(row.until)}.")
    elif row.state in ("done", "dropped"):
        desk.say(f"{row.name} is {row.state} already; o makes it as if it had not been begun.")
    else:
        await begin(desk, row)


async def begin(desk: Desk, row: StepRow) -> None:
    """Take a step in hand, or go on with it. Where it cannot be undone, what holds it is read first."""
    said = [line.text for line in warnings(row)] if row.state != "in hand" else []
    early = bool(row.held_by) and row.state != "in hand"
    closed = await closed_off(desk, row) if row.one_way and row.state != "in hand" else []
    if closed or (early and (row.one_way or row.hold_point or row.work == "first power")):
        against = reasons(row, closed)
        question = f"{row.name} {'is held' if early else 'would close something off'}. Begin it all the same?"
        await desk.confirm(question, [*against, *said], yes="Begin it all the same")

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.start(shop, row.build, row.step, anyway=True)

    await desk.act(act, said=f"In hand: {row.name}.")
    if early:
        said.insert(0, f"It is held by {', '.join(row.held_by)}; that is kept with it.")
    if said:
        desk.warn(" ".join([f"In hand: {row.name}.", *said]))


async def closed_off(desk: Desk, row: StepRow) -> list[str]:
    """What a one-way step would close off, the most serious first; beyond some only counted."""
    from buildbook.answers.why_step import closing_said

    return await desk.read(lambda shop: closing_said(shop, row.build, row.step))


def reasons(row: StepRow, closed: Sequence[str]) -> list[str]:
    """What speaks against beginning a step: what it would close off, and what else holds it."""
    steps = ("before", "begun") if closed else ()
    others = [one for one in row.held if one.kind not in steps]
    return [*closed, *(f"Not done yet, and to come before it: {one.what}. {one.release}" for one in others)]


async def put_down(desk: Desk) -> None:
    """Put the step down for now, or go on with it."""
    row = step_of(desk)
    if row.state == "in hand" and not row.running_since:
        await begin(desk, row)
        return

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.pause(shop, row.build, row.step)

    await desk.act(act, said=f"Put down: {row.name}. Its clock stands still.")


async def sign(desk: Desk) -> None:
    """Sign the hold point, saying what was checked, and by whom."""
    row = step_of(desk)
    checked = ""
    if row.confirms:
        await desk.confirm(f"A signature at {row.name} confirms:", row.confirms, yes=SIGN_ALL)
    else:
        checked = await desk.line(f"What was checked at {row.name}? (it signs the hold point)")
    by = await who_signs(desk)

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.sign(shop, row.build, row.step, checked, by=by)

    await desk.act(act, said=f"Signed by {by}: {row.name}.")


async def who_signs(desk: Desk) -> str:
    """Who signs; who signed last stands there already."""
    from buildbook.answers.signatures import last_signer

    return await desk.line("Who signs?", initial=await desk.read(last_signer))


async def finish(desk: Desk, row: StepRow, minutes: int | None) -> None:
    """Tick a step off; at a hold point, what was checked may be signed at once."""
    checked = await checked_at(desk, row) if row.hold_point else ""
    by = await who_signs(desk) if checked else ""

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.tick(shop, row.build, row.step, minutes=minutes, signed=checked or None, by=by)

    await desk.act(act, said=f"Done: {row.name}.")
    if row.hold_point and not checked:
        desk.warn(f"Done: {row.name}. {HOLD_POINT}")


async def checked_at(desk: Desk, row: StepRow) -> str:
    """What was checked at a hold point that is finished; nothing where it is signed later."""
    from buildbook.trade.cautions import in_one_line
    from buildbook.tui.asking import Choose, Option

    if not row.confirms:
        return await desk.line(f"What was checked at {row.name}? (nothing: sign it later)", need=False)
    # What nobody has looked at is never signed by one key too many: later stands first.
    options = [Option("later", "Sign it later"), Option("sign", SIGN_ALL)]
    found = await desk.open(Choose(f"Done: {row.name}. A signature confirms:", options, reasons=row.confirms))
    return in_one_line(row.confirms) if found == "sign" else ""


async def finish_timed(desk: Desk) -> None:
    """Tick the step off, with the hands-on time it took."""
    from buildbook.trade.units import read_minutes, show_minutes

    row = step_of(desk)
    thought = so_far(row, datetime.now(UTC)) or row.likely_min

    def understood(text: str) -> str:
        return f"that is {show_minutes(read_minutes(text))}"

    initial = show_minutes(thought) if thought else ""
    took = await desk.line(f"How long did it take: {row.name}?", initial=initial, check=understood)
    await finish(desk, row, read_minutes(took))


def so_far(row: StepRow, now: datetime) -> int:
    """The minutes spent on the step, its clock included; a clock that was left running tells nothing."""
    from buildbook.trade.moments import told_by_clock

    spent = row.minutes or 0
    if not row.running_since:
        return spent
    ran = int((now - datetime.fromisoformat(row.running_since)).total_seconds() // 60)
    return spent + told_by_clock(ran)


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
    """To what holds this step: that of the selected line, else the first."""
    there = desk.about if isinstance(desk.about, tuple) else None
    if there is None:
        there = next((line.about for line in desk.row.fold or () if isinstance(line.about, tuple)), None)
    if there is None:
        desk.say("Nothing holds this step.")
        return
    where, key = there
    rows = {"Buying": f"part {key}", "Boards": f"{step_of(desk).build} {key}"}
    desk.go(where, narrow=key if where == "Buying" else None, select=rows.get(where, str(key)))


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
        from buildbook.actions import checklists

        step = checklists.NewStep(name=name, likely_min=read_minutes(likely) if likely else 0)
        return checklists.add_step(shop, assembly, step)

    await desk.act(act, said=f"On the checklist of {assembly}: {name}.")


async def plan_tonight(desk: Desk) -> None:
    """What to do tonight."""
    from buildbook.tui.bench_plan import Tonight

    desk.go_in(Tonight())


async def foretell(desk: Desk) -> None:
    """When it will be finished."""
    from buildbook.tui.bench_plan import Finish

    desk.go_in(Finish())


async def plots(desk: Desk) -> None:
    """Draw the chances of the finish, what was planned and done, and the chain of steps."""
    from buildbook.tui.bench_plan import plot_bench

    await plot_bench(desk)


async def take_off(desk: Desk) -> None:
    """Take the step off its checklist, for every build."""
    row = step_of(desk)

    def act(shop: Workshop) -> str:
        from buildbook.actions import checklists

        return checklists.drop_step(shop, row.step)

    await desk.act(act, said=lambda name: f"Off the checklist: {name}.")


Bench.verbs = (
    Verb("space", "next", "start it, or finish it when it is in hand", go_on),
    Verb("t", "finish", "finish it, with the minutes that it took", finish_timed),
    Verb("z", "put down", "put it down for now, its clock stands still; or go on with it", put_down, foot=False),
    Verb("w", "sign", "sign the hold point: what was checked, and by whom", sign, foot=False),
    Verb("d", "leave out", "leave it out of this build", leave_out),
    Verb("o", "open again", "make it as if it had not been begun", reopen),
    Verb("h", "holder", "go to what holds it", to_holder, on_row=False, foot=False),
    Verb("E", "tonight", "plan the evening: what to do in the next session", plan_tonight, on_row=False),
    Verb("D", "finish date", "when it will be finished, and what drives that", foretell, on_row=False),
    Verb("=", "plots", "draw the chances of the finish, and the chain of steps", plots, on_row=False, foot=False),
    Verb("O", "order", "the order that nobody wrote down: what is forgotten", look_at_order, on_row=False, foot=False),
    Verb("A", "after", "have it come after another step", come_after, foot=False),
    Verb("H", "hold", "hold it for an open question, or let it go", hold_for, foot=False),
    Verb("R", "recipe", "take the steps of a recipe, or of another checklist", take_recipe, on_row=False, foot=False),
    Verb("+", "new", "add a step to a checklist", add_step, on_row=False, foot=False),
    Verb("", "take off", "take it off the checklist, for every build", take_off, on_row=False, foot=False),
    Verb("", "not after", "have it no longer come after another step", come_free, on_row=False, foot=False),
)
