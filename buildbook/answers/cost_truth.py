"""What a build really costs against what it was planned to, part by part and section by section, with the causes.

Planned is everything bought at the best price that is asked now; what it costs is what has left the drawers, lies
there for it, is on order and is still to buy, just as `answers/cost` has it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.cost import cost_lines, prices_coming, the_build
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.offers import currency_of, offers_for
from buildbook.answers.standing import stand
from buildbook.reckon.average import Pile
from buildbook.reckon.cost import CostLine, Money, cost
from buildbook.reckon.explode import Contains, Demand, Line, explode, parts_need
from buildbook.reckon.truth import Causes, causes
from buildbook.reckon.truth import Line as TrueLine
from buildbook.store.read import boards as read_boards
from buildbook.store.read import buying as read_buying
from buildbook.store.read import cost_truth as read
from buildbook.store.read import standing as read_standing
from buildbook.store.read.stores import PartRow, parts_by_number
from buildbook.trade.figures import half_even
from buildbook.trade.money import line_micros, show_money, show_price

if TYPE_CHECKING:
    from collections.abc import Mapping

    from buildbook.reckon.purchase import Offer
    from buildbook.store.read.standing import BuildRow
    from buildbook.store.workshop import Workshop

CAUSES = ("price", "quantity", "lost", "postage")
NOBODY, NO_PRICE = "nobody offers it", "some of it has no price"


@dataclass(frozen=True, slots=True)
class TruthRow:
    """A part in a section, or a section; money in millionths of the currency.

    `planned_micros` is None where nobody offers the part. `spent` has left the drawers, `to_come` is the rest; their
    sum less what was planned is `difference`, None where `why_not` says why the two cannot be compared. The causes sum
    to the difference; those of a section are of its parts that can be compared. Of a section, quantities are 0.
    `not_compared_micros` is what of spent and to come is not in the difference.
    """

    section: str
    key: str
    name: str
    unit: str
    planned_qty: int
    qty: int
    lost: int
    planned_micros: int | None
    spent_micros: int
    to_come_micros: int
    difference: int | None
    price: int
    quantity: int
    lost_micros: int
    postage: int
    why_not: str
    not_compared_micros: int = 0


@dataclass(frozen=True, slots=True)
class CostTruth(Answer):
    """Planned against spent for one build; `planned_micros` and the causes are of what can be compared.

    `spent_micros` and `to_come_micros` are of all parts, `not_compared_micros` is what of these is not in the
    difference.
    """

    SCHEMA: ClassVar[str] = "buildbook.cost-truth/1"
    build: str
    currency: str
    planned_micros: int
    spent_micros: int
    to_come_micros: int
    not_compared_micros: int
    difference: int
    price: int
    quantity: int
    lost_micros: int
    postage: int
    sections: tuple[TruthRow, ...]
    rows: tuple[TruthRow, ...]


class _Pair(NamedTuple):
    """A part of a section."""

    assembly: int
    part: int


class _Known(NamedTuple):
    """All that is compared, by section and part."""

    now: Mapping[_Pair, Money]
    planned: Mapping[_Pair, Money]
    needs: Mapping[_Pair, int]
    qtys: Mapping[_Pair, int]
    held: Mapping[_Pair, int]
    lost: Mapping[_Pair, int]
    carried: Mapping[int, tuple[int, int]]


def cost_truth(shop: Workshop, build: str | None = None) -> CostTruth:
    """Planned against spent. Raises BadInput when it is not clear which build is meant."""
    chosen = the_build(shop, build)
    lines, needs = _lines_now(shop, chosen), _lines_planned(shop, chosen)
    numbers = {line.part for line in (*lines, *needs)}
    parts = parts_by_number(shop.reads, numbers)
    offers = offers_for(shop, numbers)
    piles = {row.part: Pile(*row[1:]) for row in read_buying.piles(shop.reads, numbers)}
    known = _Known(
        now=_priced(lines, piles, offers),
        planned=_priced(needs, {}, offers),
        needs=_summed(needs, [line.need for line in needs]),
        qtys=_summed(lines, [line.used + line.to_get for line in lines]),
        held=_summed(lines, [line.used for line in lines]),
        lost={_Pair(row.assembly, row.part): row.lost for row in read.lost(shop.reads, chosen.id)},
        carried=_carried(shop, numbers),
    )
    paths = {number: row.path for number, row in read_boards.assemblies(shop.reads).items()}
    pairs = sorted({*known.now, *known.planned}, key=lambda pair: (paths[pair.assembly], parts[pair.part].key))
    rows = tuple(_row(pair, known, paths[pair.assembly], parts[pair.part]) for pair in pairs)
    sections = tuple(
        _sum(name, [row for row in rows if row.section == name]) for name in dict.fromkeys(row.section for row in rows)
    )
    return _answer(shop, chosen.code, sections, rows)


def _lines_now(shop: Workshop, build: BuildRow) -> list[CostLine]:
    """What the build holds and is still to get, as the cost has it."""
    pairs = stand(shop, closely=[build.id]).lines_of(build.id)
    taken = read_buying.used(shop.reads, build.id)
    numbers = {share.part for _, share in pairs} | {other.part for _, share in pairs for other in share.stood_in}
    parts = parts_by_number(shop.reads, numbers)
    return cost_lines(pairs, taken, parts, prices_coming(shop))


def _lines_planned(shop: Workshop, build: BuildRow) -> list[CostLine]:
    """What the build needs by its parts lists, as if nothing were there yet."""
    links = [Contains(*link) for link in read_standing.links(shop.reads)]
    exploded = explode([Demand(build.id, build.assembly_id, build.units)], links)
    lines = [Line._make(row) for row in read_standing.lines_that_count(shop.reads, exploded.net)]
    return [
        CostLine(build.id, need.assembly, need.part, "", need.need, 0, 0, 0, need.need, 0)
        for need in parts_need(exploded, lines)
    ]


def _priced(
    lines: Sequence[CostLine], piles: Mapping[int, Pile], offers: Mapping[int, Sequence[Offer]]
) -> dict[_Pair, Money]:
    """The money of each part of each section: reckoned with every pair as a section of its own."""
    pairs = list(dict.fromkeys(_Pair(line.assembly, line.part) for line in lines))
    numbers = {pair: at for at, pair in enumerate(pairs)}
    apart = [line._replace(assembly=numbers[_Pair(line.assembly, line.part)]) for line in lines]
    return {pairs[at]: money for at, money in cost(apart, piles, offers).by_assembly.items()}


def _summed(lines: Iterable[CostLine], qtys: Iterable[int]) -> dict[_Pair, int]:
    found: dict[_Pair, int] = {}
    for line, qty in zip(lines, qtys, strict=True):
        pair = _Pair(line.assembly, line.part)
        found[pair] = found.get(pair, 0) + qty
    return found


def _carried(shop: Workshop, parts: Iterable[int]) -> dict[int, tuple[int, int]]:
    """Of each part, how much of what came into stock was no goods, and what that is a share of."""
    found: dict[int, tuple[int, int]] = {}
    for row in read.taken_in(shop.reads, list(parts)):
        more = 0
        if row.price_micros is not None:
            more = row.from_orders_micros - line_micros(row.goods_qty, row.price_micros, row.per_qty)
        beside, whole = found.get(row.part, (0, 0))
        found[row.part] = beside + more, whole + row.value_micros
    return found


def _row(pair: _Pair, known: _Known, section: str, part: PartRow) -> TruthRow:
    now = known.now.get(pair, Money())
    planned = known.planned.get(pair, Money())
    lost, held = known.lost.get(pair, 0), known.held.get(pair, 0)
    beside, whole = known.carried.get(pair.part, (0, 0))
    line = TrueLine(
        known.needs.get(pair, 0),
        planned.parts_micros,
        known.qtys.get(pair, 0),
        lost,
        now.spent,
        half_even(now.spent * beside, whole) if whole else 0,
        now.parts_micros - now.spent,
    )
    why_not = NOBODY if planned.unpriced_lines else NO_PRICE if now.unpriced_lines else ""
    due = Causes() if why_not else causes(line, held)
    return TruthRow(
        section=section,
        key=part.key,
        name=part.name,
        unit=part.unit,
        planned_qty=line.planned_qty,
        qty=line.qty,
        lost=lost,
        planned_micros=None if planned.unpriced_lines else line.planned_micros,
        spent_micros=line.spent_micros,
        to_come_micros=line.to_come_micros,
        difference=None if why_not else sum(due),
        price=due.price,
        quantity=due.quantity,
        lost_micros=due.lost,
        postage=due.postage,
        why_not=why_not,
        not_compared_micros=line.now_micros if why_not else 0,
    )


def _sum(name: str, rows: Sequence[TruthRow]) -> TruthRow:
    """A section: all that is spent and to come, and of what can be compared the plan and the causes."""
    alike = [row for row in rows if row.difference is not None]
    without = len(rows) - len(alike)
    return TruthRow(
        section=name,
        key="",
        name="",
        unit="",
        planned_qty=0,
        qty=0,
        lost=0,
        planned_micros=sum(row.planned_micros or 0 for row in alike),
        spent_micros=sum(row.spent_micros for row in rows),
        to_come_micros=sum(row.to_come_micros for row in rows),
        difference=sum(row.difference or 0 for row in alike),
        price=sum(row.price for row in alike),
        quantity=sum(row.quantity for row in alike),
        lost_micros=sum(row.lost_micros for row in alike),
        postage=sum(row.postage for row in alike),
        why_not=f"{count_of(without, 'part')} not compared" if without else "",
        not_compared_micros=sum(row.not_compared_micros for row in rows),
    )


def _answer(shop: Workshop, build: str, sections: tuple[TruthRow, ...], rows: tuple[TruthRow, ...]) -> CostTruth:
    whole, currency = replace(_sum("", rows), why_not=""), currency_of(shop)
    apart = [row for row in rows if row.difference is None]
    return CostTruth(
        sentence=_sentence(build, whole, len(apart), currency),
        build=build,
        currency=currency,
        planned_micros=whole.planned_micros or 0,
        spent_micros=whole.spent_micros,
        to_come_micros=whole.to_come_micros,
        not_compared_micros=whole.not_compared_micros,
        difference=whole.difference or 0,
        price=whole.price,
        quantity=whole.quantity,
        lost_micros=whole.lost_micros,
        postage=whole.postage,
        sections=sections,
        rows=rows,
    )


def due_to(row: TruthRow | CostTruth) -> tuple[tuple[str, int], ...]:
    """The causes of a difference in words, those that are anything."""
    found = zip(CAUSES, (row.price, row.quantity, row.lost_micros, row.postage), strict=True)
    return tuple((word, micros) for word, micros in found if micros)


def causes_said(row: TruthRow | CostTruth, currency: str) -> str:
    """The causes with their amounts: "price +0.40, lost +1.10"."""
    return join_words([f"{word} {signed(micros, currency)}" for word, micros in due_to(row)])


def signed(micros: int, currency: str) -> str:
    """A difference with its sign.

    >>> signed(400_000, "EUR"), signed(-1_000_000, "EUR"), signed(1_400, "EUR")
    ('+0.40', '-1.00', '+0.0014')
    """
    small = abs(micros) < 10_000
    return f"{'-' if micros < 0 else '+'}{(show_price if small else show_money)(abs(micros), currency)}"


def _sentence(build: str, whole: TruthRow, apart: int, currency: str) -> str:
    planned, diff = whole.planned_micros or 0, whole.difference or 0
    costs = planned + diff
    said = f"{build}: planned {show_money(planned, currency)}, costs {show_money(costs, currency)} {currency}"
    if diff:
        said += f", {show_money(abs(diff), currency)} {'more' if diff > 0 else 'less'}"
        said += f" ({causes_said(whole, currency)})"
    said += f"; {show_money(whole.spent_micros, currency)} is spent"
    if apart:
        said += f"; {count_of(apart, 'part')} cannot be compared"
    return said + "."
