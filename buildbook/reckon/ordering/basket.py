"""One way to order everything, kept so that changing one line tells its new price at once."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from buildbook.reckon.ordering.asked import Goal, Wish
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
    """A way for each part, or None where it is left out, with the supplier's bills as they stand."""

    def __init__(self, choices: Choices, wish: Wish) -> None:
        self.choices, self.wish = choices, wish
        self.chosen: list[Choice | None] = [None] * len(choices.of)
        places = len(choices.terms)
        self._goods, self._lines, self._total, self._short = ([0] * places for _ in range(4))
        self._drawn: Counter[int] = Counter()
        self._leads: Counter[int] = Counter()
        self._missing = len(self.chosen)
        self._dislike = 0

    def put(self, want: int, way: Choice | None) -> None:
        """Order a part this way from now on."""
        old = self.chosen[want]
        self.chosen[want] = way
        for one, sign in ((old, -1), (way, 1)):
            if one is None:
                self._missing += sign
                continue
            self._dislike += sign * one.dislike
            self._leads[one.lead_days] += sign
            for place, amount in one.amounts:
                self._goods[place] += sign * amount
                self._lines[place] += sign
            if self.choices.stocks:
                for take in one.takes:
                    self._drawn[take.offered.offer] += sign * take.qty
        self._price(old)
        self._price(way)

    def _price(self, way: Choice | None) -> None:
        for place, _ in way.amounts if way else ():
            if self._lines[place]:
                now = bill(self.choices.terms[place], self._goods[place])
                self._total[place], self._short[place] = now.total_micros, now.short_micros
            else:
                self._total[place] = self._short[place] = 0

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

    def copy(self) -> Basket:
        """The same basket once more, to be changed on its own."""
        twin = Basket(self.choices, self.wish)
        for want, way in enumerate(self.chosen):
            twin.put(want, way)
        return twin
