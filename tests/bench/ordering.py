"""How fast a plan of orders is made, against HiGHS on the same ways and terms; and what it saves against naive ways."""

from __future__ import annotations

from random import Random

from buildbook.reckon.ordering.asked import Asked, Offered, Step, Terms, Wanted, Wish
from buildbook.reckon.ordering.choices import choices
from buildbook.reckon.ordering.plan import plan_orders
from buildbook.reckon.ordering.told import OrderPlan
from buildbook.reckon.purchase import Break
from tests.bench.race import Ground, Race

SUPPLIERS = 5


def many_shortages(count: int, seed: int = 1, *, wish: Wish | None = None) -> Asked:
    """So many parts short, each offered by three to five suppliers with breaks, packs and all kinds of terms."""
    chance = Random(seed)
    offers: list[Offered] = []
    for part in range(1, count + 1):
        worth = int(10 ** chance.uniform(4.0, 6.6))
        for supplier in sorted(chance.sample(range(1, SUPPLIERS + 1), chance.randint(3, SUPPLIERS))):
            price = max(1, int(worth * chance.uniform(0.8, 1.25)))
            breaks = [Break(1, price)]
            for from_qty in (10, 25, 100)[: chance.randint(0, 3)]:
                price = int(price * chance.uniform(0.75, 0.97))
                breaks.append(Break(from_qty, price))
            pack = chance.choice((1, 1, 1, 5, 10))
            stock = chance.choice((None, None, None, 30, 400))
            lead = chance.choice((2, 3, 5, 9, 14))
            offers.append(Offered(len(offers) + 1, supplier, part, tuple(breaks), 1, pack, 1, 1, lead, stock))
    wanted = tuple(Wanted(part, chance.choice((1, 2, 4, 8, 12, 20, 40))) for part in range(1, count + 1))
    terms = (
        Terms(
            1, shipping_micros=5_900_000, free_shipping_from_micros=60_000_000, goods_tax_bp=2000, shipping_tax_bp=2000
        ),
        Terms(
            2, shipping_micros=4_500_000, discounts=(Step(50_000_000, 300), Step(200_000_000, 500)), goods_tax_bp=2000
        ),
        Terms(3, least_order_micros=25_000_000, shipping_micros=3_900_000, goods_tax_bp=2000, shipping_tax_bp=2000),
        Terms(
            4,
            shipping_micros=2_900_000,
            shipping_steps=(Step(30_000_000, 4_900_000), Step(100_000_000, 8_900_000)),
            goods_tax_bp=2000,
        ),
        Terms(
            5, shipping_micros=7_500_000, free_shipping_from_micros=150_000_000, goods_tax_bp=2000, shipping_tax_bp=2000
        ),
    )
    return Asked(wanted, tuple(offers), terms, wish or Wish())


def orders_of_100(ground: Ground) -> Race:
    """A hundred parts short."""
    return orders_of(ground, 100)


def orders_of_300(ground: Ground) -> Race:
    """Three hundred parts short."""
    return orders_of(ground, 300)


def orders_of_1000(ground: Ground) -> Race:
    """A thousand parts short."""
    return orders_of(ground, 1000)


def first_orders_1000(ground: Ground) -> Race:
    """A thousand parts short: the quick answer, and the plan that is proven best and never dearer than a naive way."""
    asked = many_shortages(_size(ground, 1000))
    return Race(
        f"first plan of orders for {len(asked.wanted):,} parts (then proven best, never dearer than a naive way)",
        "the search for the best plan",
        1,
        lambda: plan_orders(asked, time_limit_s=0),
        lambda: plan_orders(asked, time_limit_s=30),
        lambda first, best: best.proven and best.total_micros <= first.total_micros and _never_dearer(best),
    )


def orders_of(ground: Ground, count: int) -> Race:
    """A plan of orders from the question to the proof; they agree when both cost the same to a hundredth of a cent."""
    from tests.bench.ordering_mip import program

    asked = many_shortages(_size(ground, count))
    return Race(
        f"plan of orders for {len(asked.wanted):,} parts of {SUPPLIERS} suppliers, to proof",
        "HiGHS on the same ways",
        2,
        lambda: plan_orders(asked, time_limit_s=60),
        lambda: program(choices(asked)).least(),
        lambda ours, least: ours.proven and _never_dearer(ours) and abs(ours.total_micros / 1e6 - least) < 1e-4,
    )


def _never_dearer(plan: OrderPlan) -> bool:
    return all((plan.saving_micros(way) or 0) >= 0 for way in (plan.line_by_line, plan.from_one_place))


def _size(ground: Ground, count: int) -> int:
    return count if not ground.trial and ground.scale >= 1 else count // 20
