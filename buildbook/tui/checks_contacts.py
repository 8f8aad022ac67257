"""Switches and relays on the screen: which function rides on which pole, what does not fit, what contacts bear."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.contacts import ContactsLine

TONES = {"over": "bad", "tight": "warn", "unknown": "warn", "full": "", "spare": "good", "left out": "quiet"}
DO = (
    Line("space  write a function on it down", "do", verb="space"),
    Line("v  change its poles, throws and limits", "do", verb="v"),
    Line("d  take it away, with its functions", "do", verb="d"),
)


def contacts_rows(sets: Sequence[ContactsLine]) -> list[Row]:
    """Every switch and relay."""
    return [contacts_row(one) for one in sets]


def contacts_row(one: ContactsLine) -> Row:
    """One switch or relay: its state in a word, its code, how its poles are taken, how many are spare."""
    words = f"{one.name or one.kind}: {one.said}"
    cells = (
        Cell(one.state, TONES[one.state]),
        name_of(one),
        words,
        Cell(f"{one.taken_poles} of {one.poles}", sort=one.spare_poles),
    )
    hay = " ".join((one.kind, one.option, one.note, *(f"{use.name} {use.option}" for use in one.uses)))
    return Row(f"contacts {name_of(one)}", cells, fold=tuple(contacts_lines(one)), about=one, hay=hay)


def contacts_lines(one: ContactsLine) -> list[Line]:
    """What stands below it: pole by pole, its functions, the answers that make a difference to it."""
    lines = [Line(one.said)]
    lines += [Line(text, "quiet") for text in (limits_of(one), one.note) if text]
    by_pole = [(f"{at.pole}", at.use or "free", f"{at.throws} of {one.throws}") for at in one.by_pole]
    lines += table_lines(("pole", "carries", "throws"), by_pole, right=(0,))
    uses = [(use.name, use.state, use.said, use.assembly, use.option) for use in one.uses]
    lines += table_lines(("function", "", "needs, bears", "on", "comes with"), uses)
    if one.answers:
        lines.append(heading("as the questions may be answered"))
    lines += [Line(way.said, "head" if way.chosen else TONES[way.state]) for way in one.answers]
    return [*lines, *DO]


def name_of(one: ContactsLine) -> str:
    """How a switch or relay is named."""
    return f"{one.project}/{one.code}"


def limits_of(one: ContactsLine) -> str:
    """What a contact is made for, in words."""
    if one.limit_ua is None and one.limit_uv is None:
        return "what a contact is made for is not known"
    amps, volts = amount(one.limit_ua, "A"), amount(one.limit_uv, "V")
    return f"a contact is made for {amps or 'a current not known'} and {volts or 'a voltage not known'}"


async def add_use(desk: Desk) -> None:
    """Write a function down: its name, what it needs, what its contacts bear; what nobody knows is left empty."""
    one = cast("ContactsLine", desk.row.about)
    name = await desk.line(f"What does {name_of(one)} switch?")
    ways = await desk.line(f"The poles and throws for {name}:", initial="SPST")
    amps = await desk.line(f"The current in each contact of {name} (20 mA; nothing where not known):", need=False)
    volts = await desk.line(f"The voltage at each contact of {name} (6.3 V; nothing where not known):", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import contacts

        return contacts.add_use(shop, name_of(one), contacts.NewUse(name, ways, amps=amps, volts=volts))

    await desk.act(act, said=lambda said: said)


async def change_contacts(desk: Desk) -> None:
    """Change poles, throws and limits; a limit is left empty where it is not known."""
    one = cast("ContactsLine", desk.row.about)
    ways = await desk.line(f"The poles and throws of {name_of(one)}:", initial=one.ways)
    amps = await desk.line("A contact is made for a current of:", initial=amount(one.limit_ua, "A"), need=False)
    volts = await desk.line("A contact is made for a voltage of:", initial=amount(one.limit_uv, "V"), need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import contacts

        return contacts.change_contacts(shop, name_of(one), ways=ways, amps=amps, volts=volts)

    await desk.act(act, said=lambda path: f"{path} is changed.")


async def drop_contacts(desk: Desk) -> None:
    """Take a switch or relay away, with its functions; it may be undone."""
    one = cast("ContactsLine", desk.row.about)

    def act(shop: Workshop) -> None:
        from buildbook.actions import contacts

        contacts.drop_contacts(shop, name_of(one))

    await desk.act(act, said=f"Taken away: {name_of(one)}.")


def contacts_why(row: Row) -> list[Line]:
    """The arithmetic behind it: poles there are, less those that functions take; then each against the limits."""
    one = cast("ContactsLine", row.about)
    terms = [("poles", one.poles)]
    terms += [(use.name, len(use.on)) for use in one.uses if use.on]
    terms += [("spare", one.spare_poles)]
    rows = [(name, str(many)) for name, many in terms]
    lines = table_lines(("poles - those of each function = spare", ""), rows, right=(1,))
    lines += [Line(f"{use.name}: {use.said}", WARN.get(use.state, "")) for use in one.uses]
    if one.spare_throws:
        lines.append(Line(f"Unused throws on the poles that are taken: {one.spare_throws}."))
    if one.unknown:
        lines.append(Line("What is not known was not weighed.", "warn"))
    return lines


WARN = {"over": "bad", "tight": "warn", "unknown": "warn", "left out": "quiet"}


def amount(micro: int | None, unit: str) -> str:
    """Millionths as they are typed; nothing where not known."""
    if micro is None:
        return ""
    whole, part = divmod(micro, 1_000_000)
    return f"{whole}.{part:06}".rstrip("0").rstrip(".") + f" {unit}"


KIND = Kind(
    about="ContactsLine",
    go_on=add_use,
    put_off=drop_contacts,
    reopen=tell("A switch or relay is always open to new functions: space writes one down."),
    change=change_contacts,
    add=add_use,
    why=contacts_why,
)
