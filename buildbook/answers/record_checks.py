"""The record of a build, its checks: choices, supplies, ratings, test sheets with every reading, and the cost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from buildbook.answers.checks import checks
from buildbook.answers.cost import build_cost
from buildbook.answers.measuring import state_of
from buildbook.answers.record_rows import (
    Answered,
    Chosen,
    Cost,
    CostShare,
    Drawn,
    Point,
    Supplied,
    SupplyAnswer,
    Taken,
    Weighed,
)
from buildbook.store.read import measuring as stored
from buildbook.trade.limits import Limits

if TYPE_CHECKING:
    from buildbook.answers.checks import Checks
    from buildbook.answers.measuring import PointRow
    from buildbook.answers.supply import SupplyLine
    from buildbook.store.read.standing import BuildRow
    from buildbook.store.workshop import Workshop


def checks_of(shop: Workshop, build: BuildRow) -> Checks:
    """The whole of Checks for the build, asked once."""
    return checks(shop, build.code)


def choices_of(answer: Checks) -> tuple[Chosen, ...]:
    """The questions of the design."""
    return tuple(
        Chosen(
            *(row.code, row.question, row.state, row.reason),
            tuple(Answered(one.code, one.name, one.chosen) for one in row.options),
        )
        for row in sorted(answer.rows, key=lambda row: row.code)
    )


def supplies_of(answer: Checks) -> tuple[Supplied, ...]:
    """The supply budget."""
    return tuple(_supply(row) for row in answer.supplies)


def _supply(row: SupplyLine) -> Supplied:
    return Supplied(
        *(row.code, row.kind, row.name, row.depth, row.unit, row.limit_micro, row.load_micro, row.all_on_micro),
        *(row.keep_free_micro, row.percent, row.state, row.said, row.made, row.fuse, row.note),
        answers=tuple(SupplyAnswer(a.answer, a.chosen, a.load_micro, a.state, a.said) for a in row.answers),
        loads=tuple(Drawn(one.name, one.assembly, one.option, one.counts, one.qty, one.said) for one in row.loads),
    )


def weighed_of(answer: Checks) -> tuple[Weighed, ...]:
    """Contacts, ratings and banks of capacitors, as they were weighed."""
    return tuple(_weighed(answer))


def _weighed(answer: Checks) -> Iterator[Weighed]:
    for switch in answer.contacts:
        yield Weighed("contacts", switch.code, switch.name, switch.state, switch.said, switch.note)
    for line in answer.ratings:
        yield Weighed("rating", f"{line.assembly} {line.refs}", line.key, line.state, line.said, line.note)
    for bank in answer.banks:
        yield Weighed("bank", bank.bank, bank.name, bank.state, bank.said, bank.note)


def points_of(shop: Workshop, build: BuildRow, answer: Checks) -> tuple[Point, ...]:
    """The test sheets with every reading."""
    numbers = {f"{one.path}/{one.code}": one.id for sheet in stored.points(shop.reads).values() for one in sheet}
    return tuple(_point(shop, build, row, numbers[row.point]) for row in answer.points)


def _point(shop: Workshop, build: BuildRow, row: PointRow, number: int) -> Point:
    limits = Limits(row.nominal, row.low, row.high)
    taken = reversed(stored.history(shop.reads, number, build.id, row.unit_number))
    return Point(
        *(row.assembly, row.code, row.name, row.unit, row.unit_number, row.units, row.nominal, row.low, row.high),
        *(row.limits, row.condition, row.caution, row.standard, row.source, row.state, row.said),
        tuple(Taken(one.at, one.text, one.value, state_of(one.value, limits), one.note) for one in taken),
    )


def cost_of(shop: Workshop, build: BuildRow) -> Cost:
    """What the build costs."""
    answer = build_cost(shop, build.code, ())
    return Cost(
        *(answer.currency, answer.sentence, answer.total_micros, answer.per_unit_micros, answer.spent_micros),
        *(answer.in_stock_micros, answer.ordered_micros, answer.to_spend_micros, answer.labour_minutes),
        *(answer.labour_micros, answer.consumables_micros),
        tuple(
            CostShare(*(row.name, row.spent, row.in_stock, row.ordered, row.to_spend, row.total, row.unpriced_lines))
            for row in answer.sections
        ),
        tuple(row.key for row in answer.unpriced),
    )
