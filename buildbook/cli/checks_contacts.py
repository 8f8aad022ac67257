"""Checks on the command line, the contacts: switches, relays and the functions on their poles, and how they stand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, filled, say, show
from buildbook.errors import BadInput

if TYPE_CHECKING:
    from buildbook.answers.contacts import ContactsLine

TONES = {"over": "bad", "tight": "warn", "unknown": "warn", "full": "", "spare": "good", "fits": "good"}
Which = Annotated[str, typer.Argument(metavar="CONTACTS", show_default=False, help="Its code, or PROJECT/CODE.")]
Function = Annotated[str, typer.Argument(metavar="NAME", show_default=False, help="What is switched.")]
Named = Annotated[str | None, typer.Option("--name", metavar="TEXT", show_default=False, help="What it is.")]
Ways = Annotated[
    str | None, typer.Option("--ways", metavar="WAYS", show_default=False, help="Poles and throws: 4P3T, DPDT.")
]
LimitAmps = Annotated[
    str | None, typer.Option("--amps", metavar="AMPS", show_default=False, help="What a contact is made for: 4 A.")
]
LimitVolts = Annotated[
    str | None, typer.Option("--volts", metavar="VOLTS", show_default=False, help="What a contact is made for: 250 V.")
]
Amps = Annotated[
    str | None, typer.Option("--amps", metavar="AMPS", show_default=False, help="What each of its contacts bears.")
]
Volts = Annotated[
    str | None, typer.Option("--volts", metavar="VOLTS", show_default=False, help="What each of its contacts bears.")
]
Pole = Annotated[
    str | None, typer.Option("--pole", metavar="N", show_default=False, help="The first pole it must have; - for any.")
]
Home = Annotated[
    str | None, typer.Option("--assembly", metavar="CODE", show_default=False, help="Where it stands; - for nowhere.")
]
WithOption = Annotated[
    str | None,
    typer.Option("--option", metavar="QUESTION:ANSWER", show_default=False, help="With which answer it comes; -."),
]
Note = Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="A remark on it.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("contacts", contacts),
        ("contacts-new", new_contacts),
        ("contacts-change", change_contacts),
        ("contacts-drop", drop_contacts),
        ("contacts-use", new_use),
        ("contacts-use-change", change_use),
        ("contacts-use-drop", drop_use),
    )
    for name, verb in verbs:
        app.command(name)(verb)


class Printed(NamedTuple):
    """One printed row: a switch or relay, or below it a function, a free pole or an answer."""

    state: str
    code: str
    what: str
    said: str


def printed(rows: Sequence[ContactsLine], *, full: bool = False) -> Iterator[Printed]:
    """Each switch and relay with the answers that make a difference to it; in full, with its functions."""
    several = len({row.project for row in rows}) > 1
    for row in rows:
        code = f"{row.project}/{row.code}" if several else row.code
        yield Printed(row.state, code, row.name or row.kind, row.said)
        if full:
            if row.note:
                yield Printed("", "", "", row.note)
            for use in row.uses:
                yield Printed(use.state, f"  {use.option}".rstrip(), use.name, use.said)
            free = ", ".join(str(one.pole) for one in row.by_pole if not one.use)
            if free:
                yield Printed("", "", "free", f"pole {free}")
        for one in row.answers:
            yield Printed("chosen" if one.chosen else "", "", "", one.said)


def columns(rows: Sequence[Printed]) -> list[Column[Printed]]:
    """State, switch or relay, what it is, how it stands; those that say something."""
    found: list[Column[Printed]] = [
        Column("state", lambda row: row.state, tone=lambda row: TONES.get(row.state, "")),
        Column("contacts", lambda row: row.code),
        Column("what", lambda row: row.what, shrink=True),
        Column("poles and limits", lambda row: row.said, shrink=True),
    ]
    return filled(found, rows)


def contacts(
    *,
    full: Annotated[bool, typer.Option("--full", help="With every function, and the poles it rides on.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Switches and relays: which function rides on which pole, what does not fit, what is spare, what contacts bear.

    \b
    Example:
      buildbook checks contacts --full
    """
    from buildbook.answers.contacts import contacts as sets

    with opened(db) as shop:
        answer = sets(shop, build)
    rows = list(printed(answer.rows, full=full))
    show(answer, columns(rows), rows=rows, as_json=as_json)


def new_contacts(
    code: Annotated[str, typer.Argument(metavar="PROJECT/CODE", show_default=False, help="What to call it.")],
    ways: Annotated[str, typer.Argument(metavar="WAYS", show_default=False, help="Poles and throws: 4P3T, DPDT.")],
    *,
    kind: Annotated[str, typer.Option(metavar="KIND", help="switch or relay.")] = "switch",
    name: Named = None,
    amps: LimitAmps = None,
    volts: LimitVolts = None,
    option: WithOption = None,
    note: Note = "",
    db: Db = None,
) -> None:
    """Write a switch or relay down: its poles and throws, and what one contact is made for.

    \b
    Example:
      buildbook checks contacts-new CURLEW/TONE 2P6T --name "tone switch" --amps "0.3 A" --volts "150 V"
    """
    from buildbook.actions import contacts as actions

    project, slash, own = code.rpartition("/")
    if not slash:
        raise BadInput(f"{code} was not written down.", "It does not say of which project.", "Write PROJECT/CODE.")
    new = actions.NewContacts(own, ways, kind, name or "", amps or "", volts or "", option or "", note)
    with opened(db) as shop:
        path = actions.add_contacts(shop, project, new)
    say(f"Written down: {path}.")


def change_contacts(
    contacts: Which,
    *,
    ways: Ways = None,
    name: Named = None,
    amps: LimitAmps = None,
    volts: LimitVolts = None,
    option: WithOption = None,
    db: Db = None,
) -> None:
    """Change the poles, the throws or the limits of a switch or relay, or the answer with which it comes.

    \b
    Example:
      buildbook checks contacts-change CURLEW/WAVE --ways 8P3T
    """
    from buildbook.actions import contacts as actions

    with opened(db) as shop:
        path = actions.change_contacts(shop, contacts, ways=ways, name=name, amps=amps, volts=volts, option=option)
    say(f"Changed: {path}.")


def drop_contacts(contacts: Which, *, db: Db = None) -> None:
    """Take a switch or relay away, with the functions on it.

    \b
    Example:
      buildbook checks contacts-drop CURLEW/WAVE
    """
    from buildbook.actions import contacts as actions

    with opened(db) as shop:
        actions.drop_contacts(shop, contacts)
    say("Taken away.")


def new_use(
    contacts: Which,
    name: Function,
    *,
    ways: Annotated[str, typer.Option(metavar="WAYS", help="The poles and throws that it needs.")] = "SPST",
    pole: Pole = None,
    amps: Amps = None,
    volts: Volts = None,
    assembly: Home = None,
    option: WithOption = None,
    note: Note = "",
    db: Db = None,
) -> None:
    """Write down a function that needs poles; a current or voltage that is left out is not known, and counted as that.

    \b
    Example:
      buildbook checks contacts-use CURLEW/WAVE "band lamps" --ways SP3T --amps "20 mA" --volts "6.3 V"
    """
    from buildbook.actions import contacts as actions

    new = actions.NewUse(
        name, ways, pole or "", amps or "", volts or "", assembly=assembly or "", option=option or "", note=note
    )
    with opened(db) as shop:
        said = actions.add_use(shop, contacts, new)
    say(said)


def change_use(
    contacts: Which,
    name: Function,
    *,
    rename: Annotated[str | None, typer.Option(metavar="NAME", show_default=False, help="A new name.")] = None,
    ways: Ways = None,
    pole: Pole = None,
    amps: Amps = None,
    volts: Volts = None,
    assembly: Home = None,
    option: WithOption = None,
    db: Db = None,
) -> None:
    """Change what a function needs, where it must ride, or what its contacts bear.

    \b
    Example:
      buildbook checks contacts-use-change CURLEW/WAVE "padder" --pole 4
    """
    from buildbook.actions import contacts as actions

    with opened(db) as shop:
        called = actions.change_use(
            shop,
            contacts,
            name,
            rename=rename,
            ways=ways,
            pole=pole,
            amps=amps,
            volts=volts,
            assembly=assembly,
            option=option,
        )
    say(f"Changed: {called}.")


def drop_use(contacts: Which, name: Function, *, db: Db = None) -> None:
    """Take a function off a switch or relay.

    \b
    Example:
      buildbook checks contacts-use-drop CURLEW/WAVE "padder"
    """
    from buildbook.actions import contacts as actions

    with opened(db) as shop:
        actions.drop_use(shop, contacts, name)
    say("Taken off.")
