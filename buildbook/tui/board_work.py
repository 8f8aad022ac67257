"""What is done at the bench with a section: steps ticked, parts kitted, fitted, taken off, given back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from buildbook.tui.board_check import quantity_check
from buildbook.tui.board_item import BEHIND, FITTABLE, Item, Section, item_of, line_name
from buildbook.tui.desk import Desk
from buildbook.tui.words import amount

if TYPE_CHECKING:
    from buildbook.actions.kits import Kitted
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.board import Board, LineRow
    from buildbook.reckon.reserve import Reserve
    from buildbook.store.read.boards import StepRow

MOST_TOLD = 4
OWN, ALL = "own", "all"


async def board_of(desk: Desk, section: Section) -> Board:
    """The section as it stands now."""
    from buildbook.answers.board import board

    return await desk.read(lambda shop: board(shop, section.code, section.build or None))


async def do_next(desk: Desk) -> None:
    """The natural next thing: tick the step, fit the line, kit the section; then on to the next row."""
    item = item_of(desk.row)
    if item.step and item.step.state in BEHIND:
        desk.say(f"{item.step.name} is {item.step.state} already; t takes that back.")
    elif item.step:
        await tick(desk)
        pass_on(desk, lambda other: other.step is not None and other.step.state not in BEHIND)
    elif item.line:
        await fit(desk)
        pass_on(desk, lambda other: other.line is not None and other.line.state in FITTABLE)
    elif item.whole and item.whole.state == "can be kitted":
        await kit(desk)
    else:
        await tick(desk)


def pass_on(desk: Desk, wanted: Callable[[Item], bool]) -> None:
    """Select the next row of that kind below the one at hand, if there is one."""
    rows = desk.shown
    here = next((at for at, row in enumerate(rows) if row.key == desk.row.key), len(rows))
    following = next((row.key for row in rows[here + 1 :] if wanted(item_of(row))), None)
    if following:
        desk.select(following)


# --- steps -----------------------------------------------------------------------------------------------------------


async def tick(desk: Desk) -> None:
    """Tick the step, or the section's next one; untick a step that is done."""
    item = item_of(desk.row)
    answer = await board_of(desk, item.section)
    steps = [step for step in answer.steps if step.state not in BEHIND]
    step = item.step or next(iter(steps), None)
    if step is None:
        said = "All steps are done" if answer.steps else "There are no steps"
        desk.say(f"{said} in {item.section.code}.")
    elif item.step and step.state in BEHIND:
        await untick(desk, item.section, step)
    else:
        await warn_of(desk, item.section, step)
        following = next((other.name for other in steps if other.id != step.id), "")
        next_one = f"Next: {following}." if following else f"That was the last one of {item.section.code}."
        build, number = item.section.build, step.id

        def act(shop: Workshop) -> str:
            from buildbook.actions import bench

            return bench.tick(shop, build, number)

        await desk.act(act, said=lambda name: f"Done: {name}. {next_one}")


async def untick(desk: Desk, section: Section, step: StepRow) -> None:
    """Take a tick away."""

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.untick(shop, section.build, step.id)

    await desk.act(act, said=lambda name: f"Not done after all: {name}.")


async def warn_of(desk: Desk, section: Section, step: StepRow) -> None:
    """Before a step that cannot be undone, and before a hold point, say what to mind; the verb may end here."""
    from buildbook.answers.bench import bench

    if not (step.one_way or step.hold_point):
        return
    answer = await desk.read(lambda shop: bench(shop, section.build))
    held_by = next((row.held_by for row in answer.rows if row.step == step.id), ())
    reasons = ["What it does to the work cannot be undone."] if step.one_way else []
    reasons += ["It is a hold point: nothing after it before its check is signed."] if step.hold_point else []
    reasons += [f"Not done before it: {name}." for name in held_by]
    reasons += [step.caution] if step.caution else []
    await desk.confirm(f"Tick {step.name}?", reasons, yes="It is done")


# --- parts -----------------------------------------------------------------------------------------------------------


async def kit(desk: Desk) -> None:
    """Take what a section needs from the drawers into its kit; whether stand-ins too is asked where there are any."""
    item = item_of(desk.row)
    answer = await board_of(desk, item.section)
    by_stand_in = [line for line in answer.lines if line.stand_ins]
    taken = OWN
    if by_stand_in:
        said = "; ".join(
            f"{amount(use.qty, line.unit)} {use.key} for {line_name(line)}"
            for line in by_stand_in[:MOST_TOLD]
            for use in line.stand_ins
        )
        options = [(ALL, "With stand-ins", said), (OWN, "Without", "only the parts that the list names")]
        taken = await choose(desk, f"Kit {item.section.code}: some of it is covered by stand-ins.", options)
    await desk.act(partial(kit_section, item.section, stand_ins=taken == ALL), said=str)


async def choose(desk: Desk, question: str, options: list[tuple[str, str, str]]) -> str:
    """One of a few, each with a key, a word, and a sentence about it."""
    from buildbook.tui.asking import Option

    return await desk.choose(question, [Option(*one) for one in options])


async def kit_anyway(desk: Desk) -> None:
    """Kit also what builds that come before have spoken for."""
    await desk.act(partial(kit_section, item_of(desk.row).section, stand_ins=False, anyway=True), said=str)


def kit_section(section: Section, shop: Workshop, *, stand_ins: bool, anyway: bool = False) -> str:
    """Kit a section, and say what was kitted."""
    from buildbook.actions.kits import kit_assembly
    from buildbook.answers.reserve import reserve_of

    reserve = None if anyway else reserve_of(shop, section.build)
    done = kit_assembly(shop, section.build, section.code, stand_ins=stand_ins, reserve=reserve)
    return told(f"Kitted {lines_of(done)} of {section.code}", done, shop, reserve)


async def fit(desk: Desk) -> None:
    """Fit the line, or the section's next line that lies ready."""
    item = item_of(desk.row)
    line = item.line
    if line is None:
        answer = await board_of(desk, item.section)
        line = next((one for one in answer.lines if one.state in FITTABLE), None)
    if line is None:
        desk.say(f"Nothing that lies ready is left to fit on {item.section.code}.")
    elif line.state == "fitted":
        desk.say(f"{line_name(line)} is fitted already; F takes it off.")
    else:
        await desk.act(partial(fit_line, item.section, line), said=str)


def fit_line(section: Section, line: LineRow, shop: Workshop) -> str:
    """Fit one line, by its stand-in where that is what covers it, and say what was fitted."""
    from buildbook.actions.kits import fit_lines
    from buildbook.answers.reserve import reserve_of

    reserve = reserve_of(shop, section.build)
    done = fit_lines(
        shop, section.build, section.code, lines=[line.line], stand_ins=bool(line.stand_ins), reserve=reserve
    )
    return told(f"Fitted {line_name(line)} on {section.code}", done, shop, reserve)


async def fit_rest(desk: Desk) -> None:
    """Fit all that is left of a section and lies ready."""
    section = item_of(desk.row).section

    def act(shop: Workshop) -> str:
        from buildbook.actions.kits import fit_lines
        from buildbook.answers.reserve import reserve_of

        reserve = reserve_of(shop, section.build)
        done = fit_lines(shop, section.build, section.code, reserve=reserve)
        return told(f"Fitted {lines_of(done)} of {section.code}", done, shop, reserve)

    await desk.act(act, said=str)


async def take_off(desk: Desk) -> None:
    """Take parts of a line off the board again."""
    item = item_of(desk.row)
    line = item.line
    if line is None or not line.fitted:
        desk.say("Nothing is fitted here that could be taken off.")
        return
    many = await desk.line(
        f"How many of {line_name(line)} come off?",
        initial=amount(line.fitted, line.unit),
        check=quantity_check(line.unit),
    )

    def act(shop: Workshop) -> object:
        from buildbook.actions.kits import unfit

        return unfit(shop, item.section.build, line.line, many)

    await desk.act(act, said=f"Took {many} of {line_name(line)} off; it lies in the kit.")


async def give_back(desk: Desk) -> None:
    """Give the kit of the line, or of the whole section, back to the drawers."""
    item = item_of(desk.row)
    number = item.line.line if item.line else None
    name = line_name(item.line) if item.line else item.section.code

    def act(shop: Workshop) -> str:
        from buildbook.actions import kits

        done = kits.give_back(shop, item.section.build, item.section.code, line=number)
        return f"Gave back {name}: {lines_of(done)}." if number is None else f"Gave back {name}."

    await desk.act(act, said=str)


def lines_of(done: Kitted) -> str:
    """How many lines were moved."""
    from buildbook.answers.form import count_of

    return count_of(done.lines, "line")


def told(did: str, done: Kitted, shop: Workshop, reserve: Reserve | None) -> str:
    """What was done, what is short of it, and what was left because another build has spoken for it."""
    from buildbook.answers.board import lacking_in_words
    from buildbook.answers.reserve import left_in_words

    if not done.short:
        return f"{did}; nothing is short."
    lacking = lacking_in_words(shop, done.short)
    more = f" and {len(lacking) - MOST_TOLD} more" if len(lacking) > MOST_TOLD else ""
    said = f"{did}; short: {', '.join(lacking[:MOST_TOLD])}{more}."
    if done.left and reserve:
        said += f" Left in the drawers: {left_in_words(shop, done.left, reserve)}."
    return said
