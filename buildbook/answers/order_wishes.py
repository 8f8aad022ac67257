"""What is wanted of a plan of orders, and all that it is made from: shortages, stand-ins, offers as they stand today.

Offers that do not count are left out and named: expired, banned, or in a currency without a rate.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.buying import short_rows
from buildbook.answers.offers import currency_of
from buildbook.answers.ordering import what_for
from buildbook.answers.standing import Standing, builds_that_count, find_build, left_free, stand, stand_together
from buildbook.errors import BadInput
from buildbook.reckon.ordering.asked import Asked, Goal, Offered, Terms, Wanted, Wish
from buildbook.reckon.ordering.dealing import PREFERRED, terms_here
from buildbook.reckon.purchase import Break
from buildbook.store.read import order_plan as read
from buildbook.store.read.boards import assemblies
from buildbook.store.read.naming import find_supplier
from buildbook.store.read.order_heads import DraftedRow, drafted
from buildbook.store.read.order_plan import OfferRow, SupplierRow
from buildbook.store.read.standing import coming
from buildbook.store.read.stores import PartRow, parts_by_number
from buildbook.trade.rates import Rates

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

GOALS = {
    "cheapest": Goal.CHEAPEST,
    "fewest": Goal.FEWEST,
    "soonest": Goal.SOONEST,
    "weighted": Goal.WEIGHTED,
}
BANNED = "banned"


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is wanted of a plan: for which builds (none: all), what counts first, and what is said by hand.

    `only` and `without` are codes of suppliers, `by` is an ISO 8601 day, money is in millionths of the workshop's
    currency. `keep` also orders what is missing to the least stock; each parcel and each day until all is here counts
    as so much money in the goal `weighted`. What stands in drafts is not ordered again, unless `past_drafts`.
    """

    builds: tuple[str, ...] = ()
    goal: str = "cheapest"
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    not_over_micros: int | None = None
    by: str = ""
    keep: bool = False
    stand_ins: bool = True
    parcel_worth_micros: int = 0
    day_worth_micros: int = 0
    past_drafts: bool = False


NO_WISHES = Wishes()


class InDraft(NamedTuple):
    """So much of a shortage is not ordered again, as it stands in these drafts: as `drafted`, perhaps a stand-in."""

    key: str
    unit: str
    qty: int
    drafted: str
    refs: tuple[str, ...]


class LeftOut(NamedTuple):
    """An offer that does not count, and why."""

    supplier: str
    order_code: str
    key: str
    why: str


@dataclass(frozen=True, slots=True)
class Asking:
    """A plan of orders that can be made: the question in numbers, and all that is needed to tell the answer in words.

    `builds` says for whom, `today` is an ISO 8601 day. `refs` tells what each part is for, `kept` how much of each want
    is for the least stock, `stood_in` how much of a shortage other parts on order will stand in for, `in_drafts` how
    much of it stands in drafts.
    """

    wishes: Wishes
    asked: Asked
    builds: str
    today: str
    currency: str
    parts: Mapping[int, PartRow]
    suppliers: Mapping[int, SupplierRow]
    codes: Mapping[int, str]
    leads: Mapping[int, int | None]
    per_qty: Mapping[int, int]
    refs: Mapping[int, str]
    kept: Mapping[int, int]
    stood_in: Mapping[int, int]
    uses: Mapping[int, tuple[tuple[str, int], ...]]
    left_out: tuple[LeftOut, ...]
    in_drafts: tuple[InDraft, ...]


def asking(shop: Workshop, wishes: Wishes = NO_WISHES) -> Asking:
    """Gather all that a plan of orders is made from.

    Raises BadInput for an unknown goal, build or supplier, and for a day that is past.
    """
    today, currency = shop.now()[:10], currency_of(shop)
    wish = read_wish(shop, wishes, today)
    needs = _Needs(shop, wishes)
    stand_ins = needs.stand_ins() if wishes.stand_ins else {}
    meant = {*needs.wanted, *needs.stood_in, *needs.drafts.parts, *(alt for alts in stand_ins.values() for alt in alts)}
    parts = parts_by_number(shop.reads, meant)
    # Metres do not stand in for pieces.
    same = {part: tuple(a for a in alts if parts[a].unit == parts[part].unit) for part, alts in stand_ins.items()}
    sellers = read.suppliers(shop.reads)
    market = _Market(sellers, Rates(currency, read.rates(shop.reads)), today)
    rows = read.offers(shop.reads, meant)
    offers = market.offers(rows, parts)
    wanted = tuple(Wanted(part, qty, same.get(part, ())) for part, qty in sorted(needs.wanted.items()))
    paths = assemblies(shop.reads)
    uses: dict[int, list[tuple[str, int]]] = {}
    for part, assembly, qty in read.uses(shop.reads, meant):
        uses.setdefault(part, []).append((paths[assembly].path, qty))
    return Asking(
        wishes,
        Asked(wanted, offers, market.terms(read.steps(shop.reads), {offer.supplier for offer in offers}), wish),
        needs.builds,
        today,
        currency,
        parts,
        sellers,
        {row.offer: row.order_code for row in rows},
        {row.offer: row.lead_days for row in rows},
        {row.offer: row.per_qty for row in rows},
        needs.refs,
        needs.kept,
        needs.stood_in,
        {part: tuple(found) for part, found in uses.items()},
        tuple(market.left_out),
        needs.drafts.told(parts),
    )


def read_wish(shop: Workshop, wishes: Wishes, today: str) -> Wish:
    """The wishes in numbers. Raises BadInput for an unknown goal or supplier, and for a day that is past."""
    if wishes.goal not in GOALS:
        raise BadInput(f"There is no goal {wishes.goal[:40]}.", "", f"Say one of {', '.join(GOALS)}.")
    days = None
    if wishes.by:
        days = (read_day(wishes.by) - date.fromisoformat(today)).days
        if days < 0:
            raise BadInput("The orders cannot be planned.", f"{wishes.by} is past.", "Name a day to come.")
    return Wish(
        GOALS[wishes.goal],
        frozenset(find_supplier(shop, code).id for code in wishes.only),
        frozenset(find_supplier(shop, code).id for code in wishes.without),
        wishes.not_over_micros,
        days,
        wishes.parcel_worth_micros,
        wishes.day_worth_micros,
    )


def read_day(text: str) -> date:
    """An ISO 8601 day."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{text[:40]!r} is no day.", "", "Write it as 2027-03-14.") from None


class _Needs:
    """What is to be ordered for: the shortages of the builds, less stand-ins on order; the least stock besides."""

    def __init__(self, shop: Workshop, wishes: Wishes) -> None:
        known = builds_that_count(shop)
        chosen = [build for code in wishes.builds if (build := find_build(known, code))]
        codes = dict.fromkeys(build.code for build in chosen)
        self.builds = ", ".join(codes) or "all builds"
        closely = {build.id for build in chosen or known}
        # For all builds together what is short is had much faster; only those parts need be looked at line by line.
        some = None if chosen else {row.part for row in stand_together(shop) if row.short}
        standing = stand(shop, closely=closely, parts=some)
        by_build = standing.lines_by_build()
        pairs = [pair for build in closely for pair in by_build.get(build, ())]
        lacking = {row.part: row.short for row in short_rows(shop, pairs, standing) if row.short}
        self._approved = standing.stand_ins
        self._on_order = self._nobodys(shop, standing)
        self.stood_in = {part: qty for part in lacking if (qty := self._from_orders(part, lacking[part]))}
        self.refs = what_for(shop, pairs)
        self.drafts = _Drafts([] if wishes.past_drafts else drafted(shop.reads))
        lacking = self.drafts.spare(Counter(lacking) - Counter(self.stood_in), self._approved)
        self.kept = self.drafts.spare(Counter(self._to_keep(shop)), {}) if wishes.keep else {}
        self.wanted = +Counter(lacking) + Counter(self.kept)

    def stand_ins(self) -> dict[int, tuple[int, ...]]:
        """The parts that may be bought in the place of each that is wanted."""
        return {part: tuple(self._approved[part]) for part in self.wanted if part in self._approved}

    def _nobodys(self, shop: Workshop, standing: Standing) -> Counter[int]:
        """What is on order and promised to nobody, per part."""
        found = Counter[int]()
        for row in coming(shop.reads):
            found[row.part] += row.qty
        return Counter({**found, **standing.coming_free})

    def _from_orders(self, part: int, short: int) -> int:
        """How much of a shortage stand-ins on order will cover; they count once."""
        covered = 0
        for other in self._approved.get(part, ()):
            taken = min(short - covered, self._on_order[other])
            self._on_order[other] -= taken
            covered += taken
        return covered

    def _to_keep(self, shop: Workshop) -> dict[int, int]:
        """What is missing to the least stock, beside all that the builds need."""
        least, free = read.least_stock(shop.reads), left_free(shop)
        lacks = {part: qty - free.get(part, 0) - self._on_order[part] for part, qty in least.items()}
        return {part: lack for part, lack in lacks.items() if lack > 0}


class _Drafts:
    """What stands in drafts covers what would be ordered a second time; each piece counts once."""

    def __init__(self, rows: Iterable[DraftedRow]) -> None:
        self._left, self._refs = Counter[int](), dict[int, list[str]]()
        self._covered = Counter[tuple[int, int]]()
        for row in rows:
            self._left[row.part] += row.qty
            self._refs.setdefault(row.part, []).append(row.ref)

    def spare(self, lacking: Counter[int], approved: Mapping[int, Collection[int]]) -> Counter[int]:
        """What is lacking still: every part's own drafts come first, then those of stand-ins."""
        rest = Counter(lacking)
        pairs = [(part, part) for part in lacking]
        pairs += [(part, other) for part in lacking for other in approved.get(part, ())]
        for part, other in pairs:
            taken = min(rest[part], self._left[other])
            if taken > 0:
                rest[part] -= taken
                self._left[other] -= taken
                self._covered[part, other] += taken
        return +rest

    @property
    def parts(self) -> set[int]:
        """The parts that are lacking, and those drafted for them."""
        return {part for pair in self._covered for part in pair}

    def told(self, parts: Mapping[int, PartRow]) -> tuple[InDraft, ...]:
        """What is not ordered again, by part."""
        found = [
            InDraft(parts[part].key, parts[part].unit, qty, parts[other].key, tuple(self._refs[other]))
            for (part, other), qty in self._covered.items()
        ]
        return tuple(sorted(found))


class _Market:
    """Offers and terms as they count today, in the currency of the workshop."""

    def __init__(self, suppliers: Mapping[int, SupplierRow], rates: Rates, today: str) -> None:
        self._suppliers, self._today, self._rates = suppliers, today, rates
        self.left_out: list[LeftOut] = []

    def offers(self, rows: Iterable[OfferRow], parts: Mapping[int, PartRow]) -> tuple[Offered, ...]:
        """The offers that count; the others are kept in `left_out`."""
        found = []
        for _, breaks in groupby(rows, key=lambda row: row.offer):
            some = list(breaks)
            first = some[0]
            if why := self._why_not(first):
                code = self._suppliers[first.supplier].code
                self.left_out.append(LeftOut(code, first.order_code, parts[first.part].key, why))
            else:
                found.append(self._offered(first, some))
        return tuple(found)

    def _why_not(self, row: OfferRow) -> str:
        seller = self._suppliers[row.supplier]
        if seller.standing == BANNED:
            return f"{seller.code} is banned"
        if row.standing == BANNED:
            return "the offer is banned"
        if row.valid_until and row.valid_until < self._today:
            return f"valid until {row.valid_until}"
        without = next((one for one in (row.currency, seller.currency) if not self._rates.known(one)), "")
        return f"no rate for {without}" if without else ""

    def _offered(self, first: OfferRow, breaks: Collection[OfferRow]) -> Offered:
        return Offered(
            first.offer,
            first.supplier,
            first.part,
            tuple(Break(row.from_qty, self._rates.here(row.price_micros, row.currency)) for row in breaks),
            first.per_qty,
            first.pack_qty,
            first.min_qty,
            first.multiple_qty,
            first.lead_days,
            first.seen_qty,
            first.standing == PREFERRED,
        )

    def terms(self, steps: Iterable[read.StepRow], sellers: Collection[int]) -> tuple[Terms, ...]:
        """How the suppliers of the offers deal."""
        by_seller: dict[int, list[tuple[str, int, int]]] = {}
        for supplier, kind, from_micros, amount in steps:
            by_seller.setdefault(supplier, []).append((kind, from_micros, amount))
        rows = (self._suppliers[one] for one in sorted(sellers))
        return tuple(terms_here(row, by_seller.get(row.id, ()), self._rates) for row in rows)
