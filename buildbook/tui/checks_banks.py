"""Banks of capacitors on the screen: how long each keeps its charge, with its bleeder and without."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

from buildbook.tui.checks_kind import Kind, tell
from buildbook.tui.desk import Desk
from buildbook.tui.rows import Cell, Line, Row, heading, table_lines

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.discharge import BankRow, PieceRow

TONES = {"bled": "good", "low": "good", "slow": "warn", "unknown": "warn", "no bleeder": "bad"}
DO = (
    Line("space  name its bleeder", "do", verb="space"),
    Line("v  change its voltage", "do", verb="v"),
    Line("d  take it away", "do", verb="d"),
)


def bank_rows(banks: Sequence[BankRow]) -> list[Row]:
    """Every bank, board by board."""
    return [bank_row(one) for one in banks]


def bank_row(one: BankRow) -> Row:
    """One bank: how it discharges in a word, its name, what it holds, the energy."""
    cells = (
        Cell(one.word, TONES[one.state], one.seconds),
        one.bank,
        f"{one.name}: {one.said}" if one.name else one.said,
        Cell(f"{one.joules:.3g} J", sort=one.joules),
    )
    hay = " ".join(("bank discharge bleeder", one.note, *(piece.ref for piece in (*one.capacitors, *one.bleeder))))
    return Row(f"bank {one.bank}", cells, fold=tuple(bank_lines(one)), about=one, hay=hay)


def bank_lines(one: BankRow) -> list[Line]:
    """What stands below a bank: its parts, what it is like without a bleeder, the published times."""
    from buildbook.answers.discharge import MEASURE

    lines = [Line(f"{one.said}."), *(Line(text, "warn") for text in (one.without, MEASURE) if text)]
    lines += [Line(one.note, "quiet")] if one.note else []
    lines.append(heading("published times, to compare with"))
    words = {True: "this takes longer", False: "this takes no longer", None: "not known here"}
    lines += table_lines(
        ("for", "at most", "source", ""),
        [(limit.what, f"{limit.seconds:g} s", limit.source, words[limit.longer]) for limit in one.limits],
    )
    return [*lines, *DO]


def bank_why(row: Row) -> list[Line]:
    """The arithmetic: the capacitors added up, the bleeder added up, R C ln(V0 / V), and C V^2 / 2."""
    from buildbook.answers.discharge import figures, time_said

    one = cast("BankRow", row.about)
    volts, safe = one.volts_uv / 1_000_000, one.safe_uv / 1_000_000
    lines = table_lines(("capacitors, in parallel", "value"), [_piece(each) for each in one.capacitors], right=(1,))
    lines += table_lines(("bleeder, in series", "value"), [_piece(each) for each in one.bleeder], right=(1,))
    if one.seconds is not None and one.ohms is not None:
        by = f"{figures(one.ohms, 'Ω')} x {figures(one.farads, 'F')} x ln({volts:g} V / {safe:g} V)"
        time = f"= {time_said(one.seconds)}, rounded up"
        lines.append(
            Line(f"t = R C ln(V0 / V) = {by} {time}" if volts > safe else f"{volts:g} V is no more than that.")
        )
    if one.farads:
        half = f"{figures(one.farads, 'F')} x ({volts:g} V)^2 / 2"
        lines.append(Line(f"E = C V0^2 / 2 = {half} = {one.joules:.3g} J"))
        lines.append(
            Line(f"Q = C V0 = {one.microcoulombs:.3g} µC (IEC 61010-1 cl. 6.3.1 has 45 µC for what is in reach)")
        )
    if one.first_watts is not None and one.ohms is not None:
        power = f"({volts:g} V)^2 / {figures(one.ohms, 'Ω')} = {figures(one.first_watts, 'W')}"
        lines.append(Line(f"P = V0^2 / R = {power}, for as long as it is on"))
    lines += [Line(f"{text}; it is in none of the figures.", "warn") for text in one.unknown]
    return lines


def _piece(one: PieceRow) -> tuple[str, str]:
    return one.ref, one.value or "not known"


async def name_bleeder(desk: Desk) -> None:
    """Name the resistors of the bleeder; none where nothing is typed."""
    one = cast("BankRow", desk.row.about)
    now = " ".join(piece.ref for piece in one.bleeder)
    refs = await desk.line(f"The bleeder of {one.bank}, its resistors in series (R1 R2):", initial=now, need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import banks

        return banks.change_bank(shop, one.bank, bleeder=refs)

    await desk.act(act, said=lambda path: f"The bleeder of {path} is changed.")


async def change_volts(desk: Desk) -> None:
    """Change the voltage to which a bank is charged."""
    one = cast("BankRow", desk.row.about)
    volts = await desk.line(f"To what is {one.bank} charged?", initial=f"{one.volts_uv / 1_000_000:.12g} V")

    def act(shop: Workshop) -> str:
        from buildbook.actions import banks

        return banks.change_bank(shop, one.bank, volts=volts)

    await desk.act(act, said=lambda path: f"The voltage of {path} is changed.")


async def add_bank(desk: Desk) -> None:
    """Write another bank of the same assembly down."""
    one = cast("BankRow", desk.row.about)
    code = await desk.line(f"A short code for another bank of {one.assembly}:")
    refs = await desk.line("Its capacitors in parallel (C1 C2):")
    volts = await desk.line("To what are they charged?", initial=f"{one.volts_uv / 1_000_000:.12g} V")
    bleeder = await desk.line("Its bleeder, resistors in series (nothing: there is none)", need=False)

    def act(shop: Workshop) -> str:
        from buildbook.actions import banks

        return banks.add_bank(shop, one.assembly, banks.NewBank(code, volts, refs, bleeder))

    await desk.act(act, said=lambda path: f"Written down: {path}.")


async def drop_bank(desk: Desk) -> None:
    """Take a bank away; it may be undone."""
    one = cast("BankRow", desk.row.about)

    def act(shop: Workshop) -> None:
        from buildbook.actions import banks

        banks.drop_bank(shop, one.bank)

    await desk.act(act, said=f"Taken away: {one.bank}.")


KIND = Kind(
    about="BankRow",
    go_on=name_bleeder,
    put_off=drop_bank,
    reopen=tell("A bank is always open: space names its bleeder."),
    change=change_volts,
    add=add_bank,
    why=bank_why,
)
