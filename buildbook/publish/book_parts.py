"""The parts in the book: each section's list, where the set differs from its design, what was bought."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from buildbook.publish.book_said import day_said
from buildbook.publish.document import Block, Heading, Table, Text
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.answers.record import Record
    from buildbook.answers.record_rows import Held, PartLine

LEFT_OFF = ("not fitted", "not chosen")


def section_parts(record: Record, code: str) -> Iterator[Block]:
    """The parts list of a section, with what is in the set."""
    rows = [row for row in record.lines if row.section == code]
    if not rows:
        yield Text("It has no parts list of its own.", "quiet")
        return
    yield Heading("Parts", 3)
    headings = ("ref", "part", "value", "each", "package, maker's number", "state, note")
    yield Table(headings, tuple(map(_line, rows)), right=(3,), shares=(16, 17, 19, 8, 19, 21))


def _line(row: PartLine) -> tuple[str, ...]:
    note = "; ".join(filter(None, (row.state, row.option, row.note)))
    made = ", ".join(filter(None, (row.package, row.maker_number)))
    return (row.refs, row.key, row.value or row.name, show_quantity(row.qty, Unit(row.unit)), made, note)


def differences(record: Record) -> Iterator[Block]:
    """Stand-ins that were fitted, lines left off, lines of which not all is fitted."""
    rows: tuple[tuple[str, ...], ...]
    stood_in = [row for row in record.held if row.key != row.wanted]
    if stood_in:
        yield Heading("Stand-ins", 2)
        rows = tuple(
            (row.section, row.refs, row.wanted, row.key, show_quantity(row.qty, Unit(row.unit)), row.value)
            for row in stood_in
        )
        headings = ("section", "ref", "by the design", "in the set", "how many", "value")
        yield Table(headings, rows, right=(4,), shares=(20, 15, 19, 19, 11, 16))
    left_off = [row for row in record.lines if row.state in LEFT_OFF]
    if left_off:
        yield Heading("Left off", 2)
        rows = tuple(
            (row.section, row.refs, row.key, row.value or row.name, "; ".join(filter(None, (row.state, row.option))))
            for row in left_off
        )
        yield Table(("section", "ref", "part", "value", "why"), rows, shares=(20, 18, 20, 20, 22))
    lacking = [row for row in record.lines if row.need > row.fitted and row.state not in LEFT_OFF]
    if lacking:
        yield Heading("Not fitted, or not all of it", 2)
        sections = dict.fromkeys(row.section for row in lacking)
        rows = tuple((code, ", ".join(_lacking(row) for row in lacking if row.section == code)) for code in sections)
        yield Table(("section", "refs or parts"), rows, shares=(20, 80))
    if not (stood_in or left_off or lacking):
        yield Text("The set is as it was designed: no stand-ins, nothing left off.")


def _lacking(row: PartLine) -> str:
    named = row.refs or row.key
    unit = Unit(row.unit)
    return f"{named} ({show_quantity(row.fitted, unit)} of {show_quantity(row.need, unit)})" if row.fitted else named


def bought(record: Record) -> Iterator[Block]:
    """What came from whom for how much, then what was taken from the bins and its worth."""
    currency = record.cost.currency
    rows: tuple[tuple[str, ...], ...]
    if record.bought:
        yield Text("Orders of the parts of this build; they may have served other builds as well.", "quiet")
        rows = tuple(
            (
                *(row.key, row.supplier, row.order_code, f"{row.ref}\n{day_said(row.placed_on)}".rstrip()),
                show_quantity(row.qty, Unit(row.unit)),
                "not known"
                if row.price_micros is None
                else f"{show_money(row.price_micros, currency)} for {show_quantity(row.per_qty, Unit(row.unit))}",
            )
            for row in record.bought
        )
        headings = ("part", "supplier", "order code", "order", "how many", f"price, {currency}")
        yield Table(headings, rows, right=(4, 5), shares=(20, 15, 17, 17, 11, 20))
    else:
        yield Text("No order of these parts is written down.", "quiet")
    if record.held:
        yield Heading("Taken from the drawers", 2)
        rows = tuple((row.section, row.refs, *_taken(row, currency)) for row in record.held)
        heads = ("section", "ref", "part", "how many", f"worth, {currency}")
        yield Table(heads, rows, right=(3, 4), shares=(24, 22, 24, 14, 16))


def _taken(row: Held, currency: str) -> tuple[str, str, str]:
    worth = show_money(row.worth_micros, currency) if row.worth_micros or not row.unpriced_qty else "not known"
    part = row.unpriced_qty and row.worth_micros
    unit = Unit(row.unit)
    said = f"{worth}, and {show_quantity(row.unpriced_qty, unit)} not known" if part else worth
    return row.key, show_quantity(row.qty, unit), said
