"""The quotation for a build: what it costs by the answer of `boards cost`, and the price with a margin on it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.cost import UnpricedRow, build_cost, the_build
from buildbook.errors import BadInput
from buildbook.store.read.buying import setting
from buildbook.trade.figures import half_even, readings
from buildbook.trade.money import minor_decimals
from buildbook.trade.plain import quote as quoted

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

_WHOLE_BP = 10_000


class Priced(NamedTuple):
    """A price in millionths: of each unit, of all, and what of it is margin."""

    each_micros: int
    price_micros: int
    margin_micros: int


@dataclass(frozen=True, slots=True)
class Quotation:
    """What a build costs and is offered for, in millionths of `currency`, each amount whole in its minor unit.

    Parts, labour and consumables add up to the cost; cost and margin to the price; so many units of `each` are the
    price. What nobody has a price for is not in it, and stands in `unpriced`; nor is what hangs on an open question.
    Without a price of an hour (`rate_micros` is 0) there is no money for the `labour_minutes`.
    """

    build: str
    name: str
    currency: str
    units: int
    parts_micros: int
    labour_minutes: int
    rate_micros: int
    labour_micros: int
    consumables_micros: int
    cost_micros: int
    margin_bp: int
    margin_micros: int
    price_micros: int
    each_micros: int
    unpriced: tuple[UnpricedRow, ...]
    open_questions: tuple[str, ...]


def quotation(
    shop: Workshop, build: str | None = None, *, margin_bp: int = 0, rate_micros: int | None = None
) -> Quotation:
    """The quotation for all units of a build; `rate_micros` is the price of an hour where it is not the workshop's.

    Raises BadInput when it is not clear which build is meant.
    """
    chosen = the_build(shop, build)
    cost = build_cost(shop, chosen.code, at=())
    rate = int(setting(shop.reads, "labour_rate", "0")) if rate_micros is None else rate_micros
    labour = half_even(cost.labour_minutes * rate, 60)
    parts = cost.total_micros - cost.labour_micros - cost.consumables_micros
    shares = [in_minor_units(micros, cost.currency) for micros in (parts, labour, cost.consumables_micros)]
    priced = price(sum(shares), cost.units, margin_bp, cost.currency)
    return Quotation(
        build=chosen.code,
        name=chosen.name,
        currency=cost.currency,
        units=cost.units,
        parts_micros=shares[0],
        labour_minutes=cost.labour_minutes,
        rate_micros=rate,
        labour_micros=shares[1],
        consumables_micros=shares[2],
        cost_micros=sum(shares),
        margin_bp=margin_bp,
        margin_micros=priced.margin_micros,
        price_micros=priced.price_micros,
        each_micros=priced.each_micros,
        unpriced=cost.unpriced,
        open_questions=cost.open_questions,
    )


def price(cost_micros: int, units: int, margin_bp: int, currency: str) -> Priced:
    """The price at which the margin is such a share of it, in 1/100 %, from 0 to less than 100 %.

    One unit costs a whole number of minor units, rounded up: the margin is never less than was asked for.

    >>> price(70_000_000, 1, 3000, "EUR"), price(10_000_000, 3, 0, "EUR")
    (Priced(each_micros=100000000, price_micros=100000000, margin_micros=30000000), \
Priced(each_micros=3340000, price_micros=10020000, margin_micros=20000))
    """
    minor: int = 10 ** (6 - minor_decimals(currency))
    each = -(-cost_micros * _WHOLE_BP // ((_WHOLE_BP - margin_bp) * units * minor)) * minor
    return Priced(each, each * units, each * units - cost_micros)


def in_minor_units(micros: int, currency: str) -> int:
    """An amount rounded half to even to whole minor units, still in millionths.

    >>> in_minor_units(12_345_600, "EUR")
    12350000
    """
    minor: int = 10 ** (6 - minor_decimals(currency))
    return half_even(micros, minor) * minor


def read_margin(text: str) -> int:
    """A margin in 1/100 %: "30%" or "12.5 %". Raises BadInput below 0, from 100 % on, and finer than 1/100 %.

    >>> read_margin("30%"), read_margin("12.5")
    (3000, 1250)
    """
    found = readings(text.strip().removesuffix("%").strip())
    exact = Decimal(found[-1].digits).scaleb(2 - found[-1].places) if found else Decimal(-1)
    if not 0 <= exact < _WHOLE_BP or exact != int(exact):
        raise BadInput(
            "The margin was not understood.",
            f"{quoted(text)} is no share of the price from 0 to less than 100 %.",
            "Give one such as 30%.",
        )
    return int(exact)
