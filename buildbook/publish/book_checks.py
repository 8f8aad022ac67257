"""The checks in the book: supply budget, ratings, contacts and banks, and the test sheets with every reading."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from buildbook.answers.plotted import AnswerBar, Dot, PointDots, SupplyBar
from buildbook.publish.book_pictures import plotted
from buildbook.publish.book_said import day_said
from buildbook.publish.document import Block, Heading, Table, Text

if TYPE_CHECKING:
    from buildbook.answers.record import Record
    from buildbook.answers.record_rows import Point, Supplied

KINDS = (("contacts", "Switches and relays"), ("bank", "Charged capacitors"), ("rating", "Ratings of parts"))
MEASURE = "What is charged is reckoned with nominal values: measure before a hand goes in."


def budget(record: Record) -> Iterator[Block]:
    """The supplies with what draws on them, drawn first."""
    from buildbook.publish.plots_supplies import draw_supplies

    if not record.supplies:
        yield Text("No supply has been written down.", "quiet")
        return
    yield from plotted("Headroom of the supplies", [supply_bar(row) for row in record.supplies], draw_supplies)
    for row in record.supplies:
        yield Heading(f"{row.code}, {row.name or row.kind}", 3)
        more = filter(None, (row.said, row.made, row.fuse, row.note))
        yield Text("\n".join(more))
        if row.loads:
            loads = tuple(
                (
                    one.name,
                    one.section,
                    f"{one.qty}",
                    one.said,
                    one.option + ("" if one.counts else ", not chosen"),
                )
                for one in row.loads
            )
            headings = ("what draws on it", "section", "how many", "draws", "with the answer")
            yield Table(headings, loads, right=(2,), shares=(28, 20, 10, 24, 18))


def supply_bar(row: Supplied) -> SupplyBar:
    """A supply as its plot draws it."""
    answers = tuple(AnswerBar(one.answer, one.chosen, one.load_micro, one.state, one.said) for one in row.answers)
    return SupplyBar(
        *(row.code, row.name or row.kind, row.depth, row.unit, row.limit_micro, row.load_micro, row.all_on_micro),
        *(row.keep_free_micro, row.percent, row.state, row.said),
        answers,
    )


def weighings(record: Record) -> Iterator[Block]:
    """What was weighed besides, by kind."""
    if not record.weighed:
        yield Text("No rating, no switch and no bank of capacitors has been written down.", "quiet")
    for kind, title in KINDS:
        rows = [row for row in record.weighed if row.kind == kind]
        if rows:
            yield Heading(title, 2)
            if kind == "bank":
                yield Text(MEASURE, "warning")
            found = tuple(
                (row.place, row.name, row.state, " ".join(filter(None, (row.said, row.note)))) for row in rows
            )
            yield Table(("where", "what", "state", "weighed"), found, shares=(22, 18, 12, 48))


def sheets(record: Record) -> Iterator[Block]:
    """The test sheets: every point with its limits and all its readings, drawn first."""
    from buildbook.publish.plots_readings import draw_readings

    if not record.points:
        yield Text("No test point has been written down.", "quiet")
        return
    read = [point_dots(row) for row in record.points if row.readings]
    yield from plotted("Readings in their limits", read, draw_readings)
    for section in dict.fromkeys(row.section for row in record.points):
        rows = [row for row in record.points if row.section == section]
        yield Heading(section, 2)
        headings = ("point", "measured", "limits", "readings")
        yield Table(headings, tuple(map(_point, rows)), shares=(12, 28, 26, 34))


def _point(row: Point) -> tuple[str, ...]:
    code = f"{row.code}, unit {row.unit_number}" if row.units > 1 else row.code
    measured = "\n".join(filter(None, (row.name, row.condition)))
    limits = "\n".join(filter(None, (row.limits, row.source or row.standard)))
    taken = [
        f"{day_said(one.at)}: {one.text}, {one.state}{f' ({one.note})' if one.note else ''}" for one in row.readings
    ]
    return code, measured, limits, "\n".join([*taken, *((f"last: {row.said}",) if taken else ("not read",))])


def point_dots(row: Point) -> PointDots:
    """A point as its plot draws it."""
    unit = f", unit {row.unit_number}" if row.units > 1 else ""
    dots = tuple(Dot(one.at, row.section, one.value, one.state) for one in row.readings)
    return PointDots(
        *(f"{row.section}/{row.code}", f"{row.name or row.code}{unit}", row.unit, row.nominal, row.low, row.high),
        *(row.limits, row.state, row.said),
        dots,
    )
