"""What a build costs: spent, lying in the drawers, on order, still to buy; by section, by kind and by supplier."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, TypeVar

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.offers import currency_of, offers_for
from buildbook.answers.standing import builds_that_count, find_build, stand
from buildbook.errors import BadInput
from buildbook.reckon.average import Pile
from buildbook.reckon.cost import Cost, CostLine, Extras, Money, cost, cost_at
from buildbook.reckon.cover import Share
from buildbook.reckon.explode import Contains, Demand, Line, explode, parts_need
from buildbook.store.read import boards as read_boards
from buildbook.store.read import buying as read
from buildbook.store.read import standing as read_standing
from buildbook.store.read.standing import BuildRow, LineNeed
from buildbook.store.read.stores import PartRow, parts_by_number
from buildbook.trade.money import line_micros, show_money

if TYPE_CHECKING:
    from buildbook.reckon.purchase import Offer
    from buildbook.store.workshop import Workshop

UNITS = (1, 5, 25)
Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class CostRow:
    """A share of the cost, under one heading: a section, a kind of part, a supplier. Millionths of the currency."""

    name: str
    spent: int
    in_stock: int
    ordered: int
    to_spend: int
    outlay: int
    total: int
    unpriced_lines: int


@dataclass(frozen=True, slots=True)
class UnpricedRow:
    """A part whose price nobody knows, with how many of it are meant."""

    key: str
    name: str
    unit: str
    qty: int


@dataclass(frozen=True, slots=True)
class UnitsRow:
    """What one unit costs when so many are made, everything bought."""

    units: int
    per_unit_micros: int
    total_micros: int
    outlay_micros: int
    unpriced_parts: int


@dataclass(frozen=True, slots=True)
class BuildCost(Answer):
    """The cost of one build in millionths of `currency`, rolled up three ways; each way adds up to the same total.

    What hangs on an open question is not in it until one of its answers is chosen.
    """

    SCHEMA: ClassVar[str] = "buildbook.cost/1"
    build: str
    currency: str
    units: int
    total_micros: int
    per_unit_micros: int
    spent_micros: int
    in_stock_micros: int
    ordered_micros: int
    to_spend_micros: int
    outlay_micros: int
    labour_minutes: int
    labour_micros: int
    consumables_micros: int
    sections: tuple[CostRow, ...]
    kinds: tuple[CostRow, ...]
    suppliers: tuple[CostRow, ...]
    at_units: tuple[UnitsRow, ...]
    unpriced: tuple[UnpricedRow, ...]
    open_questions: tuple[str, ...]


def build_cost(shop: Workshop, build: str | None = None, at: Sequence[int] = UNITS) -> BuildCost:
    """What a build costs. Raises BadInput when it is not clear which build is meant."""
    chosen = the_build(shop, build)
    standing = stand(shop, closely=[chosen.id])
    pairs = standing.lines_of(chosen.id)
    taken = read.used(shop.reads, chosen.id)
    numbers = {share.part for _, share in pairs} | {other.part for _, share in pairs for other in share.stood_in}
    numbers |= {row.part for row in taken}
    parts = parts_by_number(shop.reads, numbers)
    offers = offers_for(shop, numbers)
    piles = {row.part: Pile(*row[1:]) for row in read.piles(shop.reads, numbers)}
    extras = extras_of(shop, chosen, standing.counts)
    now = cost(cost_lines(pairs, taken, parts, prices_coming(shop)), piles, offers, units=chosen.units, extras=extras)
    later = at_units(shop, chosen, at, parts, offers) if at else ()
    made = [assembly for (number, assembly), count in standing.counts.items() if number == chosen.id and count]
    questions = tuple(read.open_questions(shop.reads, made))
    return answer(shop, chosen, now, later, parts, extras.minutes, questions)


def the_build(shop: Workshop, code: str | None) -> BuildRow:
    """The build meant; without a code the only one, or the first in priority when there are several."""
    known = builds_that_count(shop)
    chosen = find_build(known, code)
    if chosen is None and not known:
        raise BadInput("There is no build.", "", "Start a project with `buildbook boards new`.")
    return chosen or known[0]


def cost_lines(
    pairs: Iterable[tuple[LineNeed, Share]],
    taken: Iterable[read.UsedRow],
    parts: Mapping[int, PartRow],
    ordered: Mapping[int, tuple[int | None, int]],
) -> list[CostLine]:
    """The needs of a build as lines of cost: what it holds already, then what each share brings.

    Pieces that stand in are a line of their own, since they cost what they cost. `ordered` gives the price of each
    order row, None when nobody knows it, and the quantity that the price is for.
    """
    lines = [
        CostLine(
            row.build, row.assembly, row.part, row.kind, row.held, row.held, row.value_micros, row.unpriced_qty, 0, 0
        )
        for row in taken
    ]
    for need, share in pairs:
        where = (need.build, need.assembly)
        for other in share.stood_in:
            kind = parts[other.part].kind
            lines.append(CostLine(*where, other.part, kind, other.qty, 0, 0, 0, other.qty, other.qty))
        to_get = need.want - sum(other.qty for other in share.stood_in)
        if not to_get:
            continue
        micros = unpriced = 0
        for due in share.coming:
            price, per = ordered[due.order]
            micros += line_micros(due.qty, price, per) if price is not None else 0
            unpriced += due.qty if price is None else 0
        coming = sum(due.qty for due in share.coming)
        kind = parts[need.part].kind
        lines.append(CostLine(*where, need.part, kind, to_get, 0, 0, 0, to_get, share.own, coming, micros, unpriced))
    return lines


def prices_coming(shop: Workshop) -> dict[int, tuple[int | None, int]]:
    """The price of each order row, and the quantity that it is for."""
    return {row.line: (row.price_micros, row.per_qty) for row in read.orders(shop.reads)}


def at_units(
    shop: Workshop,
    build: BuildRow,
    at: Sequence[int],
    parts: dict[int, PartRow],
    offers: Mapping[int, Sequence[Offer]],
) -> tuple[Cost, ...]:
    """What 1, 5, 25 units cost, as if nothing were there yet; the parts that only they need are added to `parts`."""
    links = [Contains(*link) for link in read_standing.links(shop.reads)]
    exploded = {units: explode([Demand(build.id, build.assembly_id, units)], links) for units in (1, *at)}
    lines = [Line._make(row) for row in read_standing.lines_that_count(shop.reads, exploded[1].net)]
    more = {line.part for line in lines} - set(parts)
    parts |= parts_by_number(shop.reads, more)
    needed = {
        units: [
            CostLine(need.build, need.assembly, need.part, parts[need.part].kind, need.need, 0, 0, 0, need.need, 0)
            for need in parts_need(exploded[units], lines)
        ]
        for units in at
    }
    more_offers = offers_for(shop, more) if more else {}
    return cost_at(needed, {**offers, **more_offers}, extras=extras_of(shop, build, exploded[1].net))


def extras_of(shop: Workshop, build: BuildRow, counts: Mapping[tuple[int, int], int]) -> Extras:
    """Labour at the workshop's rate, and the project's allowance for consumables."""
    minutes = read.minutes(shop.reads)
    likely = sum(minutes.get(assembly, 0) * n for (number, assembly), n in counts.items() if number == build.id)
    return Extras(
        minutes=likely,
        rate_micros=int(read.setting(shop.reads, "labour_rate", "0")),
        consumables_bp=read.consumables_bp(shop.reads, build.project_id),
    )


def answer(
    shop: Workshop,
    build: BuildRow,
    now: Cost,
    later: Sequence[Cost],
    parts: Mapping[int, PartRow],
    minutes: int,
    questions: tuple[str, ...],
) -> BuildCost:
    """Put the figures in words."""
    assemblies = read_boards.assemblies(shop.reads)
    suppliers = read.suppliers(shop.reads)
    currency = currency_of(shop)
    unpriced = tuple(
        UnpricedRow(parts[row.part].key, parts[row.part].name, parts[row.part].unit, sum(row[1:]))
        for row in now.unpriced
    )

    def supplier_name(number: int | None) -> str:
        return "here or on order" if number is None else suppliers[number].code

    return BuildCost(
        sentence=cost_sentence(build, now, unpriced, questions, currency),
        build=build.code,
        currency=currency,
        units=now.units,
        total_micros=now.total_micros,
        per_unit_micros=now.per_unit_micros,
        spent_micros=now.money.spent,
        in_stock_micros=now.money.in_stock,
        ordered_micros=now.money.ordered,
        to_spend_micros=now.money.to_spend,
        outlay_micros=now.money.outlay,
        labour_minutes=minutes,
        labour_micros=now.labour_micros,
        consumables_micros=now.consumables_micros,
        sections=cost_rows(now.by_assembly, lambda number: assemblies[number].path),
        kinds=cost_rows(now.by_kind, str),
        suppliers=cost_rows(now.by_supplier, supplier_name),
        at_units=tuple(
            UnitsRow(one.units, one.per_unit_micros, one.total_micros, one.money.outlay, len(one.unpriced))
            for one in later
        ),
        unpriced=unpriced,
        open_questions=questions,
    )


def cost_rows(shares: Mapping[Key, Money], name: Callable[[Key], str]) -> tuple[CostRow, ...]:
    """The shares, the dearest first."""
    rows = [CostRow(name(key), *money[:5], money.parts_micros, money.unpriced_lines) for key, money in shares.items()]
    return tuple(sorted(rows, key=lambda row: (-row.total, row.name)))


def cost_sentence(
    build: BuildRow, now: Cost, unpriced: Sequence[UnpricedRow], questions: Sequence[str], currency: str
) -> str:
    """ "CURLEW, 1 unit, costs 612.40 EUR: 88.10 spent, 204.00 in the drawers, 31.20 on order and 289.10 to spend."""

    def money(micros: int) -> str:
        return f"{show_money(micros, currency)} {currency}"

    said = f"{build.code}, {count_of(now.units, 'unit')}, costs {money(now.total_micros)}"
    if now.units > 1:
        said += f" ({show_money(now.per_unit_micros, currency)} each)"
    shares = [
        f"{show_money(micros, currency)} {word}"
        for micros, word in (
            (now.money.spent, "spent"),
            (now.money.in_stock, "in the drawers"),
            (now.money.ordered, "on order"),
            (now.money.to_spend, "still to spend"),
            (now.labour_micros, "labour"),
            (now.consumables_micros, "consumables"),
        )
        if micros
    ]
    said += f": {join_words(shares)}" if shares else ""
    if now.money.outlay > now.money.to_spend:
        said += f". To pay, as packs come: {money(now.money.outlay)}"
    if unpriced:
        names = ", ".join(row.key for row in unpriced[:5]) + (", ..." if len(unpriced) > 5 else "")
        said += f". Not in it, for want of a price: {count_of(len(unpriced), 'part')} ({names})"
    if questions:
        hang = f"the open question{'s' if len(questions) > 1 else ''} {join_words(list(questions))}"
        said += f". Not in it either: what hangs on {hang}" if unpriced else f". Not in it: what hangs on {hang}"
    return said + "."
