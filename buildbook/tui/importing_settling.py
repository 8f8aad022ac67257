"""Settling what is not clear in a list, row by row, and taking the list in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from buildbook.errors import BadInput
from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk, Left
from buildbook.tui.importing_list import SUPPLIER, TRUST, Said, incoming_of, work_out_again
from buildbook.tui.importing_rows import Meant, meant, mended_by

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.exchange.gathering import Plan
    from buildbook.exchange.questions import Question

OTHER, PART = "other", "part "


async def go_on(desk: Desk) -> None:
    """The natural next thing: settle a question, read a list again that had to be mended, or take it in."""
    one = meant(desk.row) if desk.shown else None
    if one and one.question:
        await settle(desk, one, one.question)
        return
    waiting = open_rows(desk)
    if waiting:
        key, one = waiting[0]
        desk.select(key)
        if one.question:
            await settle(desk, one, one.question)
        return
    plan = await plan_of(desk)
    if mended := mended_by(plan):
        await MENDS[mended](desk)
    elif plan.faults:
        work_out_again(desk)
        desk.say("Read again.")
    else:
        await take_in(desk)


async def enter_row(desk: Desk) -> None:
    """Settle a question; mend what can be mended here; else fold the row open, or close it."""
    row = desk.row
    one = meant(row)
    if one and one.question:
        await settle(desk, one, one.question)
    elif one and (mend := next((mend for option, mend in MENDS.items() if is_at_fault(one, option)), None)):
        await mend(desk)
    else:
        listed = desk.frame.panel.list
        if listed.is_open(row.key):
            listed.close(row.key)
        else:
            listed.open(row)


def is_at_fault(one: Meant, option: str) -> bool:
    """Whether that option of the reading would mend a fault of the row."""
    return any(option in fault.why for fault in one.faults)


def open_rows(desk: Desk) -> list[tuple[str, Meant]]:
    """The rows with a question, by their keys, in the order of the list."""
    found = ((row.key, meant(row)) for row in desk.shown)
    return [(key, one) for key, one in found if one and one.question]


async def settle(desk: Desk, one: Meant, question: Question) -> None:
    """Ask which part is meant, with what speaks against each; the next question is selected then."""
    from buildbook.exchange.questions import NEW, SKIP
    from buildbook.trade.plain import quote

    known = await parts_in_words(desk)
    options = [
        Option(f"{PART}{key}", key, "; ".join(filter(None, (known.get(key, ""), against(why)))))
        for key, why in question.candidates
    ]
    options += [
        Option(NEW, "new part", "made of what the row says"),
        Option(OTHER, "another part", "by its key"),
        Option(SKIP, "skip", "leave the row out"),
    ]
    said = f"{quote(question.asked, limit=200)} in row {question.rows_named}"
    chosen = await desk.choose(f"Which part is {said}?", options)
    if chosen == OTHER:
        chosen = PART + await part_named(desk, f"Key of the part that is {said}:", known)
    answer(desk, question.asked, chosen.removeprefix(PART))


def against(why: tuple[str, ...]) -> str:
    """What speaks against a candidate."""
    return f"but {', '.join(why)}" if why else ""


async def parts_in_words(desk: Desk) -> dict[str, str]:
    """Every part, by its key, with its value or name and its package."""

    def ask(shop: Workshop) -> dict[str, str]:
        from buildbook.answers.catalogue import known_parts

        return {row.key: " ".join(filter(None, (row.value or row.name, row.package))) for row in known_parts(shop)}

    return await desk.read(ask)


async def part_named(desk: Desk, question: str, known: dict[str, str]) -> str:
    """The key of a part, typed and completed."""
    keys = {key.casefold(): key for key in known}

    def check(text: str) -> str:
        key = keys.get(text.strip().casefold())
        if key is None:
            raise BadInput("There is no part of that key.")
        return known[key]

    typed = await desk.line(question, check=check, complete=list(known))
    return keys[typed.casefold()]


def answer(desk: Desk, asked: str, key: str) -> None:
    """Settle a description, in all rows in which it stands, and go to the next question."""
    following = [waits for waits, one in open_rows(desk) if one.row.text != asked]
    if following:
        desk.select(following[0])
    say(desk, incoming_of(desk).said.answering(asked, key))


def say(desk: Desk, said: Said) -> None:
    """Have the rows worked out again, now that this is said of the list."""
    incoming_of(desk).said = said
    work_out_again(desk)


async def another_part(desk: Desk) -> None:
    """Say that a row means another part than was found, or has a question for."""
    from buildbook.trade.plain import quote

    row = described(desk).row
    known = await parts_in_words(desk)
    text = quote(row.text, limit=200)
    answer(desk, row.text, await part_named(desk, f"Key of the part that is {text} in row {row.row}:", known))


async def skip_row(desk: Desk) -> None:
    """Skip the row, and others of the same description."""
    from buildbook.exchange.questions import SKIP

    answer(desk, described(desk).row.text, SKIP)


def described(desk: Desk) -> Meant:
    """The row that is selected, if it describes a part."""
    one = meant(desk.row)
    if one is None or one.state == "left out" or not one.row.text:
        raise BadInput("This row describes no part.")
    return one


async def new_parts(desk: Desk) -> None:
    """Make new parts of what nothing known comes near, or ask for each of them."""
    said = incoming_of(desk).said
    say(desk, replace(said, new_parts=not said.new_parts))
    desk.say("Each unknown part is asked for." if said.new_parts else "What nothing known comes near makes a new part.")


async def trust(desk: Desk) -> None:
    """Say what holds where a quantity and its designators disagree, for the whole list."""
    options = [
        Option("refs", "the designators", "as many as are named"),
        Option("qty", "the quantity", "though the designators are more or fewer"),
    ]
    holds = await desk.choose("What holds in this list where quantity and designators disagree?", options)
    say(desk, replace(incoming_of(desk).said, trust=holds))


async def name_supplier(desk: Desk) -> None:
    """Name the supplier of the rows that name none."""
    from buildbook.tui.importing import seller

    incoming = incoming_of(desk)
    supplier = await seller(desk, incoming.path)
    say(desk, replace(incoming.said, supplier=supplier))


# What mends a fault without a change to the file.
MENDS = {TRUST: trust, SUPPLIER: name_supplier}


async def plan_of(desk: Desk) -> Plan:
    """What all that has been said comes to. Raises BadInput when the list cannot be understood."""
    found = await incoming_of(desk).settled()
    if found.plan is None:
        raise BadInput(found.trouble)
    return found.plan


async def take_in(desk: Desk) -> None:
    """Take the list in, and leave it; nothing while a row is at fault or a question open."""
    from buildbook.answers.form import count_of

    panel, incoming = desk.frame.panel, incoming_of(desk)
    plan = await plan_of(desk)
    if not plan.settled:
        waiting = [
            count_of(number, one, many)
            for number, one, many in (
                (len({fault.row for fault in plan.faults}), "row is at fault", "rows are at fault"),
                (len(plan.questions), "question is to be settled", "questions are to be settled"),
            )
            if number
        ]
        raise BadInput("Nothing is written yet.", f"{' and '.join(waiting)}.")
    desk.say(f"Writing {incoming.path.name}")
    try:
        await desk.act(lambda shop: incoming.take_in(shop, plan), said=str)
    except Left:
        panel.renew(desk.frame.asked)
        raise
    panel.go_out()
    if desk.frame.panel is panel:
        desk.frame.go(panel.place.NAME)
