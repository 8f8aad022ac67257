"""Checks on the command line, safety: banks of capacitors and how they discharge, and what was checked, on one page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, AssemblyCode, BuildCode, Db, build_meant, opened
from buildbook.cli.show import Column, filled, local_time, print_json, say, show, table

if TYPE_CHECKING:
    from buildbook.answers.discharge import BankRow
    from buildbook.answers.safety import Safety

TONES = {"bled": "good", "low": "good", "slow": "warn", "unknown": "warn", "no bleeder": "bad"}
BankCode = Annotated[
    str, typer.Argument(metavar="BANK", show_default=False, help="Its code, ASSEMBLY/CODE or PROJECT/ASSEMBLY/CODE.")
]
Bleeder = Annotated[
    str | None,
    typer.Option("--bleeder", metavar="REFS", show_default=False, help="Its resistors in series; - for none."),
]
Safe = Annotated[
    str | None,
    typer.Option("--down-to", metavar="VOLTS", show_default=False, help="The time until so many volts; 60 V."),
]
Named = Annotated[str | None, typer.Option("--name", metavar="TEXT", show_default=False, help="What it is.")]
Note = Annotated[str | None, typer.Option("--note", metavar="TEXT", show_default=False, help="A remark on it.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("safety", safety),
        ("discharge", discharge),
        ("bank-new", new_bank),
        ("bank-change", change_bank),
        ("bank-drop", drop_bank),
    )
    for name, verb in verbs:
        app.command(name)(verb)


def columns(rows: Sequence[BankRow]) -> list[Column[BankRow]]:
    """State in a word, bank, what it is, how it discharges."""
    found: list[Column[BankRow]] = [
        Column("state", lambda row: row.word, tone=lambda row: TONES.get(row.state, "")),
        Column("bank", lambda row: row.bank),
        Column("what", lambda row: row.name, shrink=True),
        Column("charge and time", lambda row: row.said, shrink=True),
    ]
    return filled(found, rows)


def discharge(
    *,
    full: Annotated[
        bool, typer.Option("--full", help="What it is like without a bleeder, and published times.")
    ] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """How long each bank of capacitors keeps its charge: energy, time to 60 V, first power of the bleeder.

    \b
    Example:
      buildbook checks discharge --full
    """
    from buildbook.answers.discharge import discharge as the_discharge

    with opened(db) as shop:
        answer = the_discharge(shop, build)
    show(answer, columns(answer.rows), as_json=as_json)
    if full and not as_json:
        for row in answer.rows:
            say(f"{row.bank}: {row.said}.", apart=True)
            for text in (row.without, *(limit_said(row)), row.note):
                if text:
                    say(f"  {text}")


def limit_said(row: BankRow) -> list[str]:
    """The published times beside that of the bank, each in a sentence with its source."""
    words = {True: "this takes longer", False: "this takes no longer", None: "not known here"}
    return [f"{one.what}: {one.seconds:g} s ({one.source}); {words[one.longer]}." for one in row.limits]


def safety(*, build: BuildCode = None, db: Db = None, as_json: AsJson = False) -> None:
    """What was checked, on one page: signatures, earth and insulation, charged capacitors, cautions.

    \b
    Example:
      buildbook checks safety --build CURLEW
    """
    from buildbook.answers.safety import safety as the_safety

    with opened(db) as shop:
        answer = the_safety(shop, build_meant(shop, build))
    if as_json:
        print_json(answer)
    else:
        tell(answer)


def tell(answer: Safety) -> None:
    """The page."""
    say(answer.sentence)
    table(
        [
            Column("state", lambda row: row.state),
            Column("first power", lambda row: row.name, shrink=True),
            Column("held by", lambda row: ", ".join(row.held_by), shrink=True),
        ],
        answer.powers,
        heading="First power" if answer.powers else "",
    )
    table(
        [
            Column("signed by", lambda row: row.signed_by or ("no name" if row.signed_at else "unsigned")),
            Column("when", lambda row: local_time(row.signed_at, day=True) if row.signed_at else ""),
            Column("hold point", lambda row: row.name, shrink=True),
            Column("what was checked", lambda row: row.signed or f"to confirm: {'; '.join(row.confirms)}", shrink=True),
        ],
        answer.hold_points,
        heading="Hold points" if answer.hold_points else "",
    )
    table(
        [
            Column(
                "state", lambda row: row.state, tone=lambda row: {"within": "good", "out": "bad"}.get(row.state, "")
            ),
            Column("point", lambda row: row.point),
            Column("measured", lambda row: row.name, shrink=True),
            Column("limits", lambda row: row.limits),
            Column("reading", lambda row: row.said),
            Column("asked by", lambda row: row.source, shrink=True),
        ],
        answer.points,
        heading="Earth and insulation" if answer.points else "",
    )
    table(columns(answer.banks), answer.banks, heading="Capacitors" if answer.banks else "")
    say("Cautions", apart=True)
    for text in answer.cautions:
        say(f"  {text}")


def new_bank(
    assembly: AssemblyCode,
    code: Annotated[str, typer.Argument(metavar="CODE", show_default=False, help="A short code for it, such as HT.")],
    volts: Annotated[str, typer.Argument(metavar="VOLTS", show_default=False, help="To what it is charged: 350 V.")],
    capacitors: Annotated[
        str, typer.Argument(metavar="CAPACITORS", show_default=False, help="In parallel, by ref des: C1 C2.")
    ],
    *,
    bleeder: Bleeder = None,
    safe: Safe = None,
    name: Named = None,
    note: Note = None,
    db: Db = None,
) -> None:
    """Write a bank of capacitors down that keeps its charge, with the resistors that bleed it.

    \b
    Example:
      buildbook checks bank-new CURLEW/MIX MIXHT "250 V" "C1" --name "anode supply of the mixer board"
    """
    from buildbook.actions import banks

    new = banks.NewBank(code, volts, capacitors, bleeder or "", name or "", safe or "", note or "")
    with opened(db) as shop:
        path = banks.add_bank(shop, assembly, new)
    say(f"Written down: {path}.")


def change_bank(
    bank: BankCode,
    *,
    volts: Annotated[
        str | None, typer.Option("--volts", metavar="VOLTS", show_default=False, help="To what it is charged.")
    ] = None,
    capacitors: Annotated[
        str | None, typer.Option("--capacitors", metavar="REFS", show_default=False, help="In parallel, by ref des.")
    ] = None,
    bleeder: Bleeder = None,
    safe: Safe = None,
    name: Named = None,
    note: Note = None,
    db: Db = None,
) -> None:
    """Change the voltage, the capacitors or the bleeder of a bank.

    \b
    Example:
      buildbook checks bank-change CURLEW/HT/HT --volts "310 V"
    """
    from buildbook.actions import banks

    with opened(db) as shop:
        path = banks.change_bank(
            shop, bank, name=name, volts=volts, capacitors=capacitors, bleeder=bleeder, safe=safe, note=note
        )
    say(f"Changed: {path}.")


def drop_bank(bank: BankCode, *, db: Db = None) -> None:
    """Take a bank away; its parts stay on their list.

    \b
    Example:
      buildbook checks bank-drop CURLEW/HT/HT
    """
    from buildbook.actions import banks

    with opened(db) as shop:
        banks.drop_bank(shop, bank)
    say("Taken away.")
