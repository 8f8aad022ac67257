"""What a build costs: what it has used, what lies in the drawers for it, what is on order, what must still be bought.

The four are kept apart, because only the last is a question of tomorrow's money. A price that nobody knows is counted
and named, never taken as nothing. All figures are whole millionths of the workshop's currency, and the rows of every
division (by build, assembly, kind, supplier) add up to the total exactly.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple, TypeVar

from buildbook.errors import BadInput
from buildbook.reckon.average import Pile, issue
from buildbook.reckon.purchase import Buy, Offer, cheapest
from buildbook.trade.money import line_micros

_MINUTES_PER_HOUR = 60
_WHOLE_BP = 10_000

Key = TypeVar("Key")


class CostLine(NamedTuple):
    """A part in an assembly of a build, in base units and millionths.

    `used` is fitted or kitted already (some of it at an unknown price), `to_get` what is still wanted; of that,
    `from_stock` lies in the drawers, `coming` is on order, and the rest has to be bought.
    """

    build: int
    assembly: int
    part: int
    kind: str
    need: int
    used: int
    used_micros: int
    used_unpriced: int
    to_get: int
    from_stock: int
    coming: int = 0
    coming_micros: int = 0
    coming_unpriced: int = 0

    @property
    def to_buy(self) -> int:
        """What neither lies in the drawers nor is on order."""
        return max(0, self.to_get - self.from_stock - self.coming)


class Money(NamedTuple):
    """What parts cost, in millionths, and how many lines hold pieces of an unknown price.

    `spent` was taken from stock for the build, `in_stock` lies there for it, `ordered` is on order, `to_spend` is the
    price of what must be bought; `outlay` is what must then be paid, leftovers of packs included.
    """

    spent: int = 0
    in_stock: int = 0
    ordered: int = 0
    to_spend: int = 0
    outlay: int = 0
    unpriced_lines: int = 0

    @property
    def parts_micros(self) -> int:
        """All that the parts in the build cost; leftovers of packs are not in it."""
        return self.spent + self.in_stock + self.ordered + self.to_spend


class Unpriced(NamedTuple):
    """Base units of a part whose price nobody knows, by where they are."""

    part: int
    used: int
    in_stock: int
    ordered: int
    to_buy: int


@dataclass(frozen=True, slots=True)
class Extras:
    """What a build costs besides its parts: minutes at a rate for an hour, and consumables (solder, paint, sleeving).

    Consumables are an allowance in 1/100 % of the cost of the parts, plus a sum.
    """

    minutes: int = 0
    rate_micros: int = 0
    consumables_bp: int = 0
    consumables_micros: int = 0


@dataclass(frozen=True, slots=True)
class Cost:
    """What so many units cost; under supplier None stands what need not be bought any more."""

    units: int
    money: Money
    labour_micros: int
    consumables_micros: int
    by_build: Mapping[int, Money]
    by_assembly: Mapping[int, Money]
    by_kind: Mapping[str, Money]
    by_supplier: Mapping[int | None, Money]
    buys: tuple[Buy, ...]
    unpriced: tuple[Unpriced, ...]

    @property
    def total_micros(self) -> int:
        """Parts, labour and consumables, as far as prices are known."""
        return self.money.parts_micros + self.labour_micros + self.consumables_micros

    @property
    def per_unit_micros(self) -> int:
        """The total for one unit, rounded to a millionth."""
        return line_micros(1, self.total_micros, self.units)


class _Priced(NamedTuple):
    """What the lines of one part cost, in their order."""

    moneys: list[Money]
    buy: Buy | None
    unpriced: Unpriced


def cost(
    lines: Iterable[CostLine],
    piles: Mapping[int, Pile],
    offers: Mapping[int, Sequence[Offer]],
    *,
    units: int = 1,
    extras: Extras = Extras(),
) -> Cost:
    """Reckon what the lines cost together, each part bought in one order from its cheapest offer.

    `piles` and `offers` go by part. What lies in the drawers counts at its moving average; what is to be bought counts
    at the unit price of the quantity that is best ordered. Raises BadInput for less than one unit.

    >>> from buildbook.reckon.purchase import Break
    >>> line = CostLine(1, 10, 7, "resistor", 8, used=2, used_micros=100_000, used_unpriced=0, to_get=6, from_stock=1)
    >>> offer = Offer(1, 3, 7, per_qty=1, pack_qty=10, min_qty=1, breaks=(Break(1, 40_000),))
    >>> cost([line], {7: Pile(1, 0, 50_000)}, {7: [offer]}).money
    Money(spent=100000, in_stock=50000, ordered=0, to_spend=200000, outlay=400000, unpriced_lines=0)
    """
    if units < 1:
        raise BadInput("The cost was not reckoned.", f"{units} units are too few.", "Ask for one unit or more.")
    by_part: defaultdict[int, list[CostLine]] = defaultdict(list)
    for line in lines:
        by_part[line.part].append(line)
    priced = [_price(part, some, piles.get(part, Pile()), offers.get(part, ())) for part, some in by_part.items()]
    spread = [
        (line, money)
        for some, one in zip(by_part.values(), priced, strict=True)
        for line, money in zip(some, one.moneys, strict=True)
    ]
    money = _sum(money for _, money in spread)
    return Cost(
        units=units,
        money=money,
        labour_micros=line_micros(extras.minutes, extras.rate_micros, _MINUTES_PER_HOUR),
        consumables_micros=extras.consumables_micros
        + line_micros(extras.consumables_bp, money.parts_micros, _WHOLE_BP),
        by_build=_divide(spread, lambda line: line.build),
        by_assembly=_divide(spread, lambda line: line.assembly),
        by_kind=_divide(spread, lambda line: line.kind),
        by_supplier=_by_supplier(priced),
        buys=tuple(one.buy for one in priced if one.buy),
        unpriced=tuple(one.unpriced for one in priced if any(one.unpriced[1:])),
    )


def cost_at(
    needed: Mapping[int, Sequence[CostLine]],
    offers: Mapping[int, Sequence[Offer]],
    *,
    extras: Extras = Extras(),
) -> tuple[Cost, ...]:
    """Reckon what 1, 5, 25 units cost with everything bought.

    `needed` gives for each number of units the lines with the `need` of them all, since an allowance for loss does not
    simply multiply; the extras are those of one unit.

    >>> from buildbook.reckon.purchase import Break
    >>> line = CostLine(1, 10, 7, "resistor", need=4, used=0, used_micros=0, used_unpriced=0, to_get=4, from_stock=0)
    >>> offer = Offer(1, 3, 7, per_qty=1, pack_qty=1, min_qty=1, breaks=(Break(1, 50_000), Break(100, 20_000)))
    >>> [answer.per_unit_micros for answer in cost_at({1: [line], 25: [line._replace(need=100)]}, {7: [offer]})]
    [200000, 80000]
    """
    made = needed.items()
    return tuple(cost(map(_anew, some), {}, offers, units=n, extras=_times(extras, n)) for n, some in made)


def _anew(line: CostLine) -> CostLine:
    """The line as if nothing had been got yet."""
    return CostLine(line.build, line.assembly, line.part, line.kind, line.need, 0, 0, 0, to_get=line.need, from_stock=0)


def _times(extras: Extras, count: int) -> Extras:
    return replace(extras, minutes=extras.minutes * count, consumables_micros=extras.consumables_micros * count)


def share_out(total: int, weights: Sequence[int]) -> list[int]:
    """Divide a total in proportion to weights of zero or more, so that the shares are whole and add up to it.

    Method of the largest remainder (Hamilton); of equal remainders the earlier one is rounded up. Raises BadInput when
    there is something to share and all weights are zero.

    >>> share_out(100, [1, 1, 1])
    [34, 33, 33]
    """
    whole = sum(weights)
    if not whole:
        if total:
            raise BadInput("The sum was not shared out.", "Nobody has a share in it.", "Give one weight above zero.")
        return [0] * len(weights)
    shares = [total * weight // whole for weight in weights]
    left = total - sum(shares)
    if left:
        remainders = [total * weight % whole for weight in weights]
        for place in sorted(range(len(weights)), key=lambda place: -remainders[place])[:left]:
            shares[place] += 1
    return shares


def _price(part: int, lines: list[CostLine], pile: Pile, offers: Sequence[Offer]) -> _Priced:
    """Price one part for all its lines together, and share the sums out over them."""
    stock, stock_unpriced = _from_stock(pile, [line.from_stock for line in lines])
    wanted = [line.to_buy for line in lines]
    to_buy = sum(wanted)
    buy = cheapest(offers, to_buy) if to_buy else None
    if buy:
        to_spend = share_out(line_micros(to_buy, buy.price_micros, buy.per_qty), wanted)
        outlay = share_out(buy.amount_micros, wanted)
    else:
        to_spend = outlay = [0] * len(lines)
    moneys = [
        Money(
            line.used_micros,
            stock[place],
            line.coming_micros,
            to_spend[place],
            outlay[place],
            int(
                line.used_unpriced > 0
                or stock_unpriced[place] > 0
                or line.coming_unpriced > 0
                or (buy is None and wanted[place] > 0)
            ),
        )
        for place, line in enumerate(lines)
    ]
    unknown = Unpriced(
        part,
        sum(line.used_unpriced for line in lines),
        sum(stock_unpriced),
        sum(line.coming_unpriced for line in lines),
        0 if buy else to_buy,
    )
    return _Priced(moneys, buy, unknown)


def _from_stock(pile: Pile, wanted: list[int]) -> tuple[list[int], list[int]]:
    """Value what is taken from the drawers, and count the unpriced pieces of it, line by line."""
    total = sum(wanted)
    if not total:
        return wanted, wanted
    taken = min(total, pile.qty)
    _, change = issue(pile, taken)
    # Pieces said to lie there that the worth of the stock knows nothing of have no price either.
    unpriced = total - taken - change.unpriced_qty
    return share_out(-change.value_micros, wanted), share_out(unpriced, wanted)


def _sum(moneys: Iterable[Money]) -> Money:
    return Money(*map(sum, zip(*moneys, strict=True)))


def _divide(spread: list[tuple[CostLine, Money]], key: Callable[[CostLine], Key]) -> dict[Key, Money]:
    heaps: defaultdict[Key, list[Money]] = defaultdict(list)
    for line, money in spread:
        heaps[key(line)].append(money)
    return {name: _sum(heap) for name, heap in heaps.items()}


def _by_supplier(priced: Iterable[_Priced]) -> dict[int | None, Money]:
    """Put what is to be bought under its supplier, and all the rest under None."""
    heaps: defaultdict[int | None, list[Money]] = defaultdict(list)
    for one in priced:
        money = _sum(one.moneys)
        heaps[None].append(money._replace(to_spend=0, outlay=0))
        if one.buy:
            heaps[one.buy.supplier].append(Money(to_spend=money.to_spend, outlay=money.outlay))
    return {supplier: _sum(heap) for supplier, heap in heaps.items()}
