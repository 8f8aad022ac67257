"""One way to order everything, kept so that changing one line tells its new price at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from buildbook.reckon.ordering.asked import WHOLE_BP, Goal, Wish
from buildbook.reckon.ordering.bill import Bill, bill
from buildbook.reckon.ordering.choices import Choice, Choices


class Score(NamedTuple):
    """What makes one basket better than another, the first difference deciding; less is better."""

    short_micros: int
    missing: int
    over_micros: int
    goal: int
    total_micros: int
    dislike: int


class Basket:
    """A way for each part, or None where it is left out, with the suppliers' bills as they stand."""

    def __init__(self, choices: Choices, wish: Wish, chosen: Iterable[Choice | None] = ()) -> None:
        self.choices, self.wish = choices, wish
        self.chosen: list[Choice | None] = list(chosen) or [None] * len(choices.of)
        places = range(len(choices.terms))
        self._goods, self._lines, self._total, self._short = ([0 for _ in places] for _ in range(4))
        self._stretch = [parts[0] for parts in choices.stretches]
        self._drawn: Counter[int] = Counter()
        self._leads: Counter[int] = Counter()
        self._missing = sum(way is None for way in self.chosen)
        self._dislike = 0
        for way in self.chosen:
            if way:
                self._count(way, 1)
        for place in places:
            self._price(place)

    def put(self, want: int, way: Choice | None) -> None:
        """Order a part this way from now on."""
        old = self.chosen[want]
        self.chosen[want] = way
        self._missing += (way is None) - (old is None)
        for one, sign in ((old, -1), (way, 1)):
            if one:
                self._count(one, sign)
        for place in {place for one in (old, way) if one for place, _ in one.amounts}:
            self._price(place)

    def _count(self, way: Choice, sign: int) -> None:
        self._dislike += sign * way.dislike
        self._leads[way.lead_days] += sign
        for place, amount in way.amounts:
            self._goods[place] += sign * amount
            self._lines[place] += sign
        if self.choices.stocks:
            for take in way.takes:
                self._drawn[take.offered.offer] += sign * take.qty

    def _price(self, place: int) -> None:
        if not self._lines[place]:
            self._total[place] = self._short[place] = 0
            return
        goods = self._goods[place]
        now = bill(self.choices.terms[place], goods)
        self._total[place], self._short[place] = now.total_micros, now.short_micros
        parts = self.choices.stretches[place]
        self._stretch[place] = next((part for part in reversed(parts) if part.low_micros <= goods), parts[0])

    def dearer_by(self, want: int, way: Choice) -> int:
        """By how much the sum would rise, in hundred-millionths of a millionth, were a part that is ordered put so."""
        change, goods = 0, Counter(dict(way.amounts))
        lines = dict.fromkeys(goods, 1)
        old = self.chosen[want]
        for place, amount in old.amounts if old else ():
            goods[place] -= amount
            lines[place] = lines.get(place, 0) - 1
        for place, more in goods.items():
            now, part, terms = self._goods[place], self._stretch[place], self.choices.terms[place]
            left = self._lines[place] + lines[place]
            if self._lines[place] and left and part.low_micros <= now + more <= part.high_micros:
                change += more * (WHOLE_BP - part.discount_bp) * (WHOLE_BP + terms.goods_tax_bp)
            else:
                total = bill(terms, now + more).total_micros if left else 0
                change += (total - self._total[place]) * WHOLE_BP * WHOLE_BP
        return change

    def fits(self, want: int, way: Choice) -> bool:
        """Whether the stocks on which several parts draw still allow this way."""
        stocks, old = self.choices.stocks, self.chosen[want]
        if not stocks:
            return True
        own = Counter({take.offered.offer: take.qty for take in old.takes}) if old else Counter()
        return all(
            self._drawn[take.offered.offer] - own[take.offered.offer] + take.qty <= stocks[take.offered.offer]
            for take in way.takes
            if take.offered.offer in stocks
        )

    @property
    def total_micros(self) -> int:
        """What all the bills come to."""
        return sum(self._total)

    @property
    def mask(self) -> int:
        """The suppliers ordered from."""
        return sum(1 << place for place, lines in enumerate(self._lines) if lines)

    @property
    def parcels(self) -> int:
        """How many suppliers send something."""
        return sum(1 for lines in self._lines if lines)

    @property
    def days(self) -> int:
        """The days until all that is ordered is here."""
        return max((lead for lead, lines in self._leads.items() if lines), default=0)

    def score(self) -> Score:
        """How good the basket is by the wish."""
        total, limit = sum(self._total), self.wish.not_over_micros
        over = 0 if limit is None else max(0, total - limit)
        return Score(sum(self._short), self._missing, over, self._goal(total), total, self._dislike)

    def _goal(self, total: int) -> int:
        if self.wish.goal is Goal.FEWEST:
            return self.parcels
        if self.wish.goal is Goal.WEIGHTED:
            return total + self.parcels * self.wish.parcel_worth_micros + self.days * self.wish.day_worth_micros
        return 0

    def bills(self) -> list[Bill]:
        """The bill of every supplier ordered from."""
        return [bill(terms, self._goods[place]) for place, terms in enumerate(self.choices.terms) if self._lines[place]]

    def copy(self, wish: Wish | None = None) -> Basket:
        """The same basket once more, to be changed on its own or judged by another wish."""
        return Basket(self.choices, wish or self.wish, self.chosen)
