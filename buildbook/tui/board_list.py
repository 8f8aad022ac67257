"""What a section is made of, changed: lines of its parts list, steps of its checklist."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from buildbook.tui.board_check import loss_bp_of, loss_check, minutes_check, place_check, quantity_check, refs_check
from buildbook.tui.board_item import Item, Section, item_of, line_key, line_name, step_key
from buildbook.tui.board_parts import ask_part
from buildbook.tui.board_tree import change_section, drop_section, move_section
from buildbook.tui.desk import Desk
from buildbook.tui.words import amount

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.board import LineRow
    from buildbook.store.read.boards import StepRow

NO_ANSWER = "whatever is chosen"


async def add_line(desk: Desk) -> None:
    """Add a line to the parts list of a section; a part that is not known yet is made known."""
    section = item_of(desk.row).section
    part = await ask_part(desk, f"Which part goes on {section.code}? (its key, or a value such as 4k7)", new=True)
    refs = await desk.line(
        f"Where does {part.key} go? (R1-R4, R7; nothing where it has no designator)", need=False, check=refs_check
    )
    many = None
    if not refs:
        many = await desk.line(f"How much of {part.key}?", initial="1", check=quantity_check(part.unit))

    def act(shop: Workshop) -> int:
        from buildbook.actions import lists

        return lists.add_line(shop, section.code, part.key, many, refs)

    number = await desk.act(act, said=f"Added {f'{refs} ' if refs else ''}{part.key} to {section.code}.")
    desk.select(line_key(number))


async def change(desk: Desk) -> None:
    """Change something of the section, the line or the step that is selected."""
    item = item_of(desk.row)
    if item.line:
        await change_line(desk, item.section, item.line)
    elif item.step:
        await change_step(desk, item.step)
    elif item.whole:
        await change_section(desk, item.whole)


async def change_line(desk: Desk, section: Section, line: LineRow) -> None:
    """Change one thing of a line: first which, then to what; it must still be as it was seen."""
    seen: dict[str, object] = {
        "part": line.key,
        "qty": line.qty,
        "refs": line.refs,
        "note": line.note,
        "loss_bp": line.loss_bp,
        "fitted": int(line.state != "not fitted"),
        "option": line.option,
    }
    field = await choose_field(desk, line)
    new = await asked_for(desk, section, line, field)
    if new == seen[field]:
        desk.say("It is so already.")
        return
    fields: dict[str, Any] = {field: new}
    if field == "refs" and follows(line):
        fields["qty"] = max(1, len(refs_of(str(new))))
    expected = {name: seen[name] for name in fields}

    def act(shop: Workshop) -> int:
        from buildbook.actions import lists

        return lists.change_line(shop, line.line, expected=expected, **fields)

    await desk.act(act, said=f"Changed {line_name(line)}.")


async def choose_field(desk: Desk, line: LineRow) -> str:
    """Which thing of a line is to be changed."""
    from buildbook.tui.asking import Option

    by_design = "not fitted by design" if line.state == "not fitted" else "to be fitted"
    options = [
        Option("part", "part or value", f"{line.key} {line.value}"),
        Option("qty", "quantity", amount(line.qty, line.unit)),
        Option("refs", "places", line.refs),
        Option("note", "note", line.note),
        Option("loss_bp", "allowance for loss", f"{line.loss_bp / 100:g} %"),
        Option("fitted", "fitted or left out", by_design),
        Option("option", "answer it hangs on", line.option or NO_ANSWER),
    ]
    return await desk.choose(f"Change what of {line_name(line)}?", options)


async def asked_for(desk: Desk, section: Section, line: LineRow, field: str) -> object:
    """What a field of a line is to be from now on."""
    name = line_name(line)
    match field:
        case "part":
            return (await ask_part(desk, f"{name}: which part, or which value?", initial=line.key, kind=line.kind)).key
        case "qty":
            initial = amount(line.qty, line.unit)
            text = await desk.line(f"How much of {name}?", initial=initial, check=quantity_check(line.unit))
            return quantity_of(text, line.unit)
        case "refs":
            return joined(await desk.line(f"Where does {name} go?", initial=line.refs, check=refs_check, need=False))
        case "note":
            return await desk.line(f"Note on {name}:", initial=line.note, need=False)
        case "loss_bp":
            initial = f"{line.loss_bp / 100:g}"
            return loss_bp_of(
                await desk.line(f"Allowance for loss of {name}, in %:", initial=initial, check=loss_check)
            )
        case "fitted":
            return int(line.state == "not fitted")
    return await ask_answer(desk, section, line)


async def ask_answer(desk: Desk, section: Section, line: LineRow) -> str:
    """The answer to an open question that a line is to hang on; nothing for none."""
    from buildbook.answers.catalogue import options

    project = section.code.partition("/")[0]
    answers = await desk.read(lambda shop: list(options(shop, project)))
    said = f"{line_name(line)} counts with which answer?"
    chosen = await desk.choose(said, [NO_ANSWER, *answers], at=line.option or NO_ANSWER)
    return "" if chosen == NO_ANSWER else chosen


def refs_of(text: str) -> tuple[str, ...]:
    """Designators as they are typed."""
    from buildbook.trade.refdes import read_refs

    return read_refs(text)


def joined(text: str) -> str:
    """Designators as the store has them."""
    from buildbook.trade.refdes import join_refs

    return join_refs(refs_of(text))


def follows(line: LineRow) -> bool:
    """Whether the quantity of a line is that of its designators, so that it follows them."""
    return line.unit == "pc" and line.qty == max(1, len(refs_of(line.refs)))


def quantity_of(text: str, unit: str) -> int:
    """A quantity that was found right, in base units."""
    from buildbook.trade.units import Unit, read_quantity

    return read_quantity(text, Unit(unit))


async def change_step(desk: Desk, step: StepRow) -> None:
    """Change one thing of a step."""
    from buildbook.tui.asking import Option

    options = [
        Option("name", "name", step.name),
        Option("likely_min", "hands-on time", f"about {step.likely_min} min"),
        Option("caution", "what to mind", step.caution),
    ]
    field = await desk.choose(f"Change what of {step.name}?", options)
    seen = {"name": step.name, "likely_min": step.likely_min, "caution": step.caution}[field]
    new: dict[str, Any]
    if field == "likely_min":
        text = await desk.line(f"{step.name} takes how long?", initial=f"{seen} min", check=minutes_check)
        minutes = minutes_of(text)
        new = {"low_min": minutes, "likely_min": minutes, "high_min": minutes}
    else:
        said = "Its name:" if field == "name" else "What is to be minded:"
        new = {field: await desk.line(said, initial=str(seen), need=field == "name")}

    def act(shop: Workshop) -> int:
        from buildbook.actions import checklists

        return checklists.change_step(shop, step.id, expected={field: seen}, **new)

    await desk.act(act, said=f"Changed {step.name}.")


def minutes_of(text: str) -> int:
    """A time that was found right, in minutes."""
    from buildbook.trade.units import read_minutes

    return read_minutes(text)


async def new_step(desk: Desk) -> None:
    """Add a step at the end of the checklist."""
    section = item_of(desk.row).section
    name = await desk.line(f"What is to be done on {section.code}?")
    text = await desk.line(f"{name}: hands on for how long? (20 min, 1h30)", initial="20 min", check=minutes_check)

    def act(shop: Workshop) -> int:
        from buildbook.actions import checklists

        return checklists.add_step(shop, section.code, checklists.NewStep(name, minutes_of(text)))

    number = await desk.act(act, said=f"Added the step: {name}.")
    desk.select(step_key(number))


def the_line(desk: Desk, what: str) -> LineRow | None:
    """The line that is selected; what needs one is said where there is none."""
    line = item_of(desk.row).line
    if line is None:
        desk.say(f"Select a line of the parts list to {what} it.")
    return line


async def split(desk: Desk) -> None:
    """Put some of a line into a line of its own, to be changed by itself."""
    line = the_line(desk, "split")
    if line is None:
        return
    refs = refs_of(line.refs)
    if refs:
        some = await desk.line(f"Which of {line.refs} go to a line of their own?", check=refs_check, complete=refs)
    else:
        check = quantity_check(line.unit)
        some = await desk.line(f"How much of {amount(line.qty, line.unit)} goes to a line of its own?", check=check)

    def act(shop: Workshop) -> int:
        from buildbook.actions import splitting

        return splitting.split_line(shop, line.line, some)

    number = await desk.act(act, said=f"{some} of {line.key} is a line of its own now.")
    desk.select(line_key(number))


async def move(desk: Desk) -> None:
    """Give a line its place in the list, or a section its place in the tree."""
    item = item_of(desk.row)
    if item.whole:
        await move_section(desk, item.whole)
        return
    line = the_line(desk, "move")
    if line is None:
        return
    lines = [row.about for row in desk.frame.panel.list.rows if isinstance(row.about, Item) and row.about.line]
    here = next((at for at, one in enumerate(lines, 1) if one.line and one.line.line == line.line), 1)
    place = await desk.line(
        f"Which place in the list is that of {line_name(line)}? (1 to {len(lines)})",
        initial=str(here),
        check=place_check(len(lines)),
    )

    def act(shop: Workshop) -> int:
        from buildbook.actions import splitting

        return splitting.move_line(shop, line.line, int(place))

    await desk.act(act, said=f"{line_name(line)} stands at place {place} now.")


async def drop(desk: Desk) -> None:
    """Take a line off the list, leave a step out of the build, or take a section away; each can be taken back."""
    item = item_of(desk.row)
    if item.whole:
        await drop_section(desk, item.section)
    elif item.step:
        await leave_out(desk, item.section, item.step)
    elif item.line:
        line = item.line

        def act(shop: Workshop) -> None:
            from buildbook.actions import lists

            lists.drop_line(shop, line.line)

        await desk.act(act, said=f"{line_name(line)} is off the list of {item.section.code}.")


async def leave_out(desk: Desk, section: Section, step: StepRow) -> None:
    """Leave a step out of the build; it stays on the checklist."""

    def act(shop: Workshop) -> str:
        from buildbook.actions import bench

        return bench.drop(shop, section.build, step.id)

    await desk.act(act, said=lambda name: f"Left out of {section.build}: {name}.")
