"""Before a part is bought: what lies free, may stand in, could be made or lent, is coming, and who offers it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.make import FIXED, is_good, make, way_said
from buildbook.answers.offered import Offered, offered
from buildbook.answers.stores import Where, part_named, where
from buildbook.errors import BadInput
from buildbook.store.read.order_heads import drafted
from buildbook.trade.money import show_price
from buildbook.trade.units import Unit, show_quantity

if TYPE_CHECKING:
    from buildbook.store.read.stores import PartRow
    from buildbook.store.workshop import Workshop

# More ways to make a value than this do not help to choose.
MOST_WAYS = 3
DRAWERS, STAND_IN, MAKE, LEND, ORDER, OFFER = "free", "stand-in", "made", "borrowed", "on order", "offer"
DRAFT = "in a draft"
WORDS = {
    DRAWERS: "free in the drawers",
    STAND_IN: "by a stand-in",
    MAKE: "made from other parts",
    LEND: "borrowed from another build",
    ORDER: "already on order",
    DRAFT: "already in a draft",
}


class BeforeRow(NamedTuple):
    """One way to the part: "free", "stand-in", "made", "borrowed", "on order", "in a draft" or "offer".

    `qty` is 0 where none is known.
    """

    what: str
    name: str
    qty: int
    said: str


@dataclass(frozen=True, slots=True)
class BeforeBuying(Answer):
    """All that is worth a look before a part is bought, the ways that cost nothing first."""

    SCHEMA: ClassVar[str] = "buildbook.before-buying/1"
    key: str
    unit: str
    rows: tuple[BeforeRow, ...]


def before_buying(shop: Workshop, part: str, build: str | None = None) -> BeforeBuying:
    """Every way to a part other than buying it, and the offers. `build` is who needs it: it lends itself nothing.

    Raises BadInput for an unknown part.
    """
    known = part_named(shop, part)
    stock, offers = where(shop, known.key, limit=0), offered(shop, known.key)
    rows = (*_here(stock), *_made(shop, known, build), *_lent(stock, build), *_coming(stock))
    rows += (*_drafted(shop, known), *_offers(offers))
    return BeforeBuying(_sentence(known, rows), known.key, known.unit, rows)


def _sentence(part: PartRow, rows: tuple[BeforeRow, ...]) -> str:
    ways = [WORDS[what] for what in dict.fromkeys(row.what for row in rows) if what in WORDS]
    offers = sum(row.what == OFFER for row in rows)
    bought = count_of(offers, "offer") if offers else "nobody offers it"
    if not ways:
        return f"{part.key}: no way round buying it; {bought}."
    return f"{part.key} could be had {join_words(ways)}; {bought}."


def _here(stock: Where) -> Iterator[BeforeRow]:
    unit = Unit(stock.unit)
    if stock.free:
        bins = join_words([name for name, _ in stock.bins])
        yield BeforeRow(DRAWERS, bins, stock.free, f"{show_quantity(stock.free, unit)} free, in {bins}")
    for other in stock.stand_ins:
        if other.serves or not other.free:
            continue
        why = f": {other.reason}" if other.reason else ""
        yield BeforeRow(STAND_IN, other.key, other.free, f"{other.key}, {show_quantity(other.free, unit)} free{why}")


def _made(shop: Workshop, part: PartRow, build: str | None) -> Iterator[BeforeRow]:
    """In series or parallel from what lies there, near enough for its tolerance."""
    if part.kind not in FIXED or not part.value:
        return
    try:
        ways = make(shop, part.value, kind=FIXED[part.kind], build=build).rows
    except BadInput:
        # Its value is written in a way that is no plain value.
        return
    good = [way for way in ways if is_good(way) and part.key not in {one.key for one in way.parts}]
    for way in good[:MOST_WAYS]:
        yield BeforeRow(MAKE, "+".join(one.key for one in way.parts), 1, way_said(way))


def _lent(stock: Where, build: str | None) -> Iterator[BeforeRow]:
    """What other builds have and have not fitted yet, the last in priority first: it needs it last."""
    unit = Unit(stock.unit)
    for one in reversed(stock.builds):
        qty = one.kitted + one.spoken_for
        if qty and one.build != (build or "").strip().upper():
            where_ = " and ".join(
                f"{show_quantity(some, unit)} {word}"
                for some, word in ((one.kitted, "kitted"), (one.spoken_for, "spoken for"))
                if some
            )
            yield BeforeRow(LEND, one.build, qty, f"{one.build} has {where_}")


def _coming(stock: Where) -> Iterator[BeforeRow]:
    for said in stock.coming:
        yield BeforeRow(ORDER, "", 0, said)


def _drafted(shop: Workshop, part: PartRow) -> Iterator[BeforeRow]:
    for row in drafted(shop.reads):
        if row.part == part.id:
            yield BeforeRow(DRAFT, row.ref, row.qty, f"{show_quantity(row.qty, Unit(part.unit))} in draft {row.ref}")


def _offers(offers: Offered) -> Iterator[BeforeRow]:
    unit = Unit(offers.unit)
    for row in offers.rows:
        prices = ", ".join(
            f"{show_quantity(qty, unit)}+ at {show_price(micros, offers.currency)}" for qty, micros in row.breaks
        )
        per = "" if row.per_qty == 1 else f" for {show_quantity(row.per_qty, unit)}"
        days = "" if row.lead_days is None else f", {count_of(row.lead_days, 'day')}"
        name = f"{row.supplier} {row.order_code}".rstrip()
        yield BeforeRow(OFFER, name, 0, f"{name}: {prices}{per}{days}")
