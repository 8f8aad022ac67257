"""Who gets which pieces: all builds at once, in the order of priority, against one set of drawers.

Each want takes its own part from the drawers; what nobody needs for itself may stand in for what is lacking; then comes
what is on order; the rest is short. Pieces that stand in are given out by augmenting paths (Ford and Fulkerson, "Flows
in Networks", 1962): a want may send an earlier one to another of its stand-ins, but never leaves it with less.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple, TypeAlias

from buildbook.errors import BadInput


class Want(NamedTuple):
    """Base units of a part still to be had: need less fitted less kitted, 0 or more. Given in the order of priority."""

    key: int
    part: int
    qty: int


class Arrival(NamedTuple):
    """Base units on order, due on a day (ISO 8601 date; empty if unknown, which counts as last)."""

    when: str
    qty: int
    order: int


class StoodIn(NamedTuple):
    """Base units of another part, approved in the place of the one wanted."""

    part: int
    qty: int


class Due(NamedTuple):
    """Base units for one want out of an order, due on a day (empty if unknown)."""

    when: str
    qty: int
    order: int


class Share(NamedTuple):
    """What one want gets, in base units: qty = own + stood_in + coming + short, the lists summed."""

    key: int
    part: int
    qty: int
    own: int
    stood_in: tuple[StoodIn, ...]
    coming: tuple[Due, ...]
    short: int


class PartTotal(NamedTuple):
    """What all wants of one part get together, in base units, and what of the part is left free in the drawers."""

    part: int
    want: int
    own: int
    stood_in: int
    coming: int
    short: int
    free: int


@dataclass(frozen=True, slots=True)
class Cover:
    """The share of every want, in the order of the wants, and what no want has taken, per part, in base units.

    `free` is on hand less own less used as stand-in, of every part on hand; `coming_free` is on order for nobody.
    """

    shares: tuple[Share, ...]
    free: Mapping[int, int]
    coming_free: Mapping[int, int]


class _Lack(NamedTuple):
    """What a want is still without, and its place among the wants."""

    place: int
    part: int
    qty: int


StandIns: TypeAlias = Mapping[int, Sequence[int]]
Coming: TypeAlias = Mapping[int, Sequence[Arrival]]

_NO_STAND_INS: StandIns = MappingProxyType({})
_NOTHING_COMING: Coming = MappingProxyType({})


def cover(
    wants: Sequence[Want],
    on_hand: Mapping[int, int],
    stand_ins: StandIns = _NO_STAND_INS,
    coming: Coming = _NOTHING_COMING,
) -> Cover:
    """Give every want its pieces: its own from the drawers, approved stand-ins, then what is coming, earliest first.

    `stand_ins` lists for a part the parts approved in its place, the preferred one first; they serve only with what no
    want needs for itself. Among those, an earlier want is never served worse for a later one, and no stand-in lies idle
    that could serve; none is used while a preferred one lies free. Raises BadInput for a want or a drawer below 0.

    >>> answer = cover([Want(1, 40, 5)], {40: 2, 41: 2}, {40: [41]}, {40: [Arrival("2027-03-05", 9, 6)]})
    >>> answer.shares[0].own, answer.shares[0].stood_in, answer.shares[0].coming, answer.shares[0].short
    (2, (StoodIn(part=41, qty=2),), (Due(when='2027-03-05', qty=1, order=6),), 0)
    >>> answer.free, answer.coming_free
    ({40: 0, 41: 0}, {40: 8})
    """
    _refuse_drawers_below_nothing(on_hand)
    left = dict(on_hand)
    lacks = _take_own(wants, left)
    # Most wants lack nothing: their shares are made in one go, and only the others are taken up again.
    share = Share._make
    shares = [share((key, part, qty, qty, (), (), 0)) for key, part, qty in wants]
    lending = _Lending(left, stand_ins)
    lent = [lending.lend(part, lack) if part in stand_ins else 0 for _, part, lack in lacks]
    on_order = _OnOrder(coming)
    for (place, part, lack), stood_in in zip(lacks, lent, strict=True):
        key, _, qty = wants[place]
        instead = lending.hand_out(part, stood_in) if stood_in else ()
        due, short = on_order.take(part, lack - stood_in)
        shares[place] = Share(key, part, qty, qty - lack, instead, due, short)
    return Cover(tuple(shares), left, on_order.free())


def totals(
    wants: Sequence[Want],
    on_hand: Mapping[int, int],
    stand_ins: StandIns = _NO_STAND_INS,
    coming: Coming = _NOTHING_COMING,
) -> dict[int, PartTotal]:
    """Sum up, part by part, what `cover` would give: the same figures, without a share for every want.

    Wants of one part that follow each other may be given as one. Holds every part that is wanted, in the order in which
    it is first wanted, and then every part used only as a stand-in; of any other part all that lies there is free.

    >>> totals([Want(1, 40, 5), Want(2, 40, 1)], {40: 2, 41: 3}, {40: [41]})[40]
    PartTotal(part=40, want=6, own=2, stood_in=3, coming=0, short=1, free=0)
    """
    _refuse_drawers_below_nothing(on_hand)
    wanted: dict[int, int] = {}
    for want in wants:
        _, part, qty = want
        if qty < 0:
            raise _less_than_nothing(want)
        wanted[part] = wanted.get(part, 0) + qty
    own = {part: min(qty, on_hand.get(part, 0)) for part, qty in wanted.items()}
    left = {part: qty - own.get(part, 0) for part, qty in on_hand.items()}
    lacking = {part: qty - own[part] for part, qty in wanted.items() if qty > own[part]}
    lending, lent = _Lending(left, stand_ins), dict.fromkeys(lacking, 0)
    # Priority among wants matters only where stand-ins may be contested.
    if helped := lacking.keys() & stand_ins.keys():
        for _, part, lack in _take_own([want for want in wants if want.part in helped], dict(on_hand)):
            lent[part] += lending.lend(part, lack)
    total = PartTotal._make
    summed = {part: total((part, qty, own[part], 0, 0, 0, left.get(part, 0))) for part, qty in wanted.items()}
    on_order = _OnOrder(coming)
    for part, lack in lacking.items():
        _, short = on_order.take(part, lack - lent[part])
        coming_qty = lack - lent[part] - short
        summed[part] = PartTotal(part, wanted[part], own[part], lent[part], coming_qty, short, free=0)
    for part in lending.lent():
        summed.setdefault(part, PartTotal(part, 0, 0, 0, 0, 0, left[part]))
    return summed


def _take_own(wants: Sequence[Want], left: dict[int, int]) -> list[_Lack]:
    """Give each want in turn what there is of its own part; return what is then lacking, in the same order."""
    lacks = []
    for place, want in enumerate(wants):
        _, part, qty = want
        have = left.get(part, 0)
        if 0 < qty <= have:
            left[part] = have - qty
        elif qty > 0:
            lacks.append(_Lack(place, part, qty - have))
            if have:
                left[part] = 0
        elif qty < 0:
            raise _less_than_nothing(want)
    return lacks


class _Lending:
    """Gives out the pieces in `left` as stand-ins, to the earlier lack first, so that as much as possible is covered.

    All lacks of one part are one borrower: which of them has which piece is settled by `hand_out`, when all have asked.
    """

    def __init__(self, left: dict[int, int], stand_ins: StandIns) -> None:
        self._left = left
        self._stand_ins = stand_ins
        self._given: dict[int, dict[int, int]] = {}  # stand-in -> borrower -> base units
        self._dry: set[int] = set()  # borrowers for whom nothing more can be freed, now or later

    def lend(self, borrower: int, qty: int) -> int:
        """Lend up to `qty` base units for a lack of part `borrower`; return how many."""
        lent = 0
        while lent < qty and borrower not in self._dry:
            lent += self._lend_along_a_way(borrower, qty - lent)
        return lent

    def hand_out(self, borrower: int, qty: int) -> tuple[StoodIn, ...]:
        """Take `qty` base units of what was lent to `borrower`, the preferred first; asked in the order of priority."""
        handed = []
        for stand_in in self._stand_ins[borrower]:
            given = self._given.get(stand_in, {})
            taken = min(qty, given.get(borrower, 0))
            if taken:
                given[borrower] -= taken
                qty -= taken
                handed.append(StoodIn(stand_in, taken))
        return tuple(handed)

    def lent(self) -> list[int]:
        """Name the parts of which something has been lent."""
        return list(self._given)

    def _lend_along_a_way(self, borrower: int, most: int) -> int:
        """Search for a free piece among the borrower's stand-ins, then for another who could give one of them up."""
        gives_up: dict[int, tuple[int, int]] = {}  # borrower -> (stand-in it could give up, to whom)
        asked, seen = [borrower], set[int]()
        for asker in asked:
            for stand_in in self._stand_ins[asker]:
                if self._left.get(stand_in, 0) > 0:
                    return self._move(asker, stand_in, gives_up, most)
                if stand_in in seen:
                    continue
                seen.add(stand_in)
                for other, given in self._given.get(stand_in, {}).items():
                    if given and other != borrower and other not in gives_up and other not in self._dry:
                        gives_up[other] = (stand_in, asker)
                        asked.append(other)
        self._dry.update(asked)
        return 0

    def _move(self, taker: int, free: int, gives_up: Mapping[int, tuple[int, int]], most: int) -> int:
        """Let `taker` have the free stand-in, and pass on what each gives up for it down to the one who asked."""
        steps = [(taker, free)]
        qty = min(most, self._left[free])
        while taker in gives_up:
            stand_in, asker = gives_up[taker]
            qty = min(qty, self._given[stand_in][taker])
            steps.append((asker, stand_in))
            taker = asker
        self._left[free] -= qty
        giver = None
        for gainer, stand_in in steps:
            borrowers = self._given.setdefault(stand_in, {})
            if giver is not None:
                borrowers[giver] -= qty
            borrowers[gainer] = borrowers.get(gainer, 0) + qty
            giver = gainer
        return qty


class _OnOrder:
    """What is coming of each part, given out earliest first."""

    def __init__(self, coming: Coming) -> None:
        self._coming = coming
        self._waiting: dict[int, list[Arrival]] = {}  # the earliest at the end
        self._taken: dict[int, int] = {}

    def take(self, part: int, qty: int) -> tuple[tuple[Due, ...], int]:
        """Promise up to `qty` base units out of the orders for a part; tell also how many are not covered."""
        if not qty or part not in self._coming:
            return (), qty
        if part not in self._waiting:
            real = [arrival for arrival in self._coming[part] if arrival.qty > 0]
            self._waiting[part] = sorted(real, key=lambda arrival: (not arrival.when, arrival.when))[::-1]
        waiting, promised = self._waiting[part], []
        while qty and waiting:
            when, there, number = waiting.pop()
            taken = min(qty, there)
            if taken < there:
                waiting.append(Arrival(when, there - taken, number))
            promised.append(Due(when, taken, number))
            self._taken[part] = self._taken.get(part, 0) + taken
            qty -= taken
        return tuple(promised), qty

    def free(self) -> dict[int, int]:
        """Count what nobody has been promised."""
        return {
            part: sum(max(arrival.qty, 0) for arrival in arrivals) - self._taken.get(part, 0)
            for part, arrivals in self._coming.items()
        }


def _less_than_nothing(want: Want) -> BadInput:
    return BadInput(
        "The pieces were not given out.",
        f"{want.qty} of part {want.part} are wanted.",
        "Ask for 0 or more.",
    )


def _refuse_drawers_below_nothing(on_hand: Mapping[int, int]) -> None:
    for part, qty in on_hand.items():
        if qty < 0:
            raise BadInput(
                "The pieces were not given out.",
                f"{qty} of part {part} lie in the drawers.",
                "Count the bin.",
            )
