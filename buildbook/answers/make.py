"""A wanted value met from what lies in the drawers: the nearest part, the best pairs, the best triples."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from math import inf, isclose, isfinite
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, join_words
from buildbook.answers.standing import Standing, find_build, stand
from buildbook.errors import BadInput
from buildbook.reckon.combine import MOST_PARTS, SAME, How, Lot, Made, combine, spread, voltages, weights
from buildbook.store.read import stores as read_stores
from buildbook.store.read.stores import PartRow
from buildbook.trade.values import Ambiguous, NotAValue, Value, read, write

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# A potentiometer or a thermistor is no part of a fixed value.
FIXED = {"resistor": "R", "capacitor": "C", "inductor": "L"}
NEAR_ENOUGH_PERCENT = 2.0
WHOLE_FROM_PERCENT = 10
SHOWN = 3
# Where parts may be overloaded, so many ways are looked at for those that are not.
LOOKED_AT = 24
# Above it a touch is dangerous even in dry rooms (common practice).
CARE_FROM_VOLTS = 50
SHARED_BY_LEAKAGE = (
    "Capacitors in series share a steady voltage by their leakage, not as reckoned here: they need resistors across."
)
CARE = (
    "Such a voltage can kill: leave a margin on every rating, put only parts made for it across the mains; local codes "
    "and licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class PartUsed:
    """One piece: its shares of power or energy and of voltage (0 to 1), in W and V where known, and what it may bear.

    `over` says which rating it exceeds, `taken_from` which build has it spoken for; both are empty when none.
    """

    key: str
    value: str
    power_share: float
    voltage_share: float
    watts: float | None
    volts: float | None
    rated_watts: float | None
    rated_volts: float | None
    over: str
    taken_from: str


@dataclass(frozen=True, slots=True)
class WayRow:
    """One way: wiring, value (ohm, farad or henry), errors and spreads in percent; of a pair and one, the one is last.

    The spreads are None where a part states no tolerance. `meets` says that it is near enough; `shared` what the parts
    share by `power_share`: power, or in capacitors and coils the energy that they hold.
    """

    how: str
    value: str
    amount: float
    error_percent: float
    meets: bool
    low_percent: float | None
    high_percent: float | None
    rss_percent: float | None
    shared: str
    parts: tuple[PartUsed, ...]


@dataclass(frozen=True, slots=True)
class Makes(Answer):
    """The ways to a wanted value, one part before two before three, the nearest first among as many."""

    SCHEMA: ClassVar[str] = "buildbook.make/1"
    kind: str
    wanted: str
    tolerance_percent: float
    volts: float | None
    watts: float | None
    rows: tuple[WayRow, ...]
    remarks: tuple[str, ...]


class Stocked(NamedTuple):
    """A part of a fixed value with what lies of it, and which builds have how many spoken for, the first one first."""

    part: PartRow
    value: Value
    free: int
    spoken_for: tuple[tuple[str, int], ...]


def make(
    shop: Workshop,
    text: str,
    *,
    kind: str | None = None,
    tolerance: str = "",
    build: str | None = None,
    volts: str = "",
    watts: str = "",
    most: int = MOST_PARTS,
) -> Makes:
    """Meet a wanted value by at most `most` parts (1 to 3) that lie in the drawers.

    `kind` is R, C or L where the text does not tell. `tolerance` in percent says how near is near enough, 2 % if
    neither it nor the text does. `volts` across the whole and `watts` in it are what it has to bear; where parts would
    be over their ratings, those ways come last of their number. What `build` has spoken for counts as free to it.
    Raises BadInput for what is no value above zero, an unknown build, or a figure out of range.
    """
    wanted = wanted_value(text, kind)
    if not 1 <= most <= MOST_PARTS:
        raise BadInput(
            "Nothing was looked for.", f"It goes by 1 to {MOST_PARTS} parts, not by {most}.", "Say 1, 2 or 3."
        )
    near = near_enough(wanted, tolerance)
    across = figure(volts, "V") if volts else stated(wanted.volts)
    heat = figure(watts, "W") if watts else stated(wanted.watts)
    stock = in_the_drawers(shop, wanted.kind, build)
    lots = [Lot(one.value.si, one.free, sum(qty for _, qty in one.spoken_for)) for one in stock]
    keep = SHOWN if across is None and heat is None else LOOKED_AT
    by_size: dict[float, list[Stocked]] = defaultdict(list)
    for one in stock:
        by_size[one.value.si].append(one)
    asked = Asked(wanted, near, across, heat)
    found = combine(wanted.si, lots, kind=wanted.kind, most=most, keep=keep)
    rows = tuple(best_of_each([asked.way(made, by_size) for made in found]))
    said = write(replace(wanted, tolerance=None, volts=None, watts=None, amps=None, material="", rest=""), "si")
    leaking = wanted.kind == "C" and any(row.how not in (How.ONE, How.PARALLEL) for row in rows)
    remarks = (SHARED_BY_LEAKAGE,) * leaking + (CARE,) * (across is not None and across >= CARE_FROM_VOLTS)
    return Makes(sentence(said, near, rows), wanted.kind, said, near, across, heat, rows, remarks)


def wanted_value(text: str, kind: str | None) -> Value:
    """The value that is wanted, above zero. Raises BadInput when it is none, or not clear."""
    found = read(text, kind.strip().upper() if kind else None)
    if isinstance(found, NotAValue):
        raise BadInput(f"{text[:60]!r} is no component value.", found.why, "Write it as 4k7, 22u 25V or 10mH.")
    if isinstance(found, Ambiguous):
        said = " or ".join(write(one, "si") for one in found.readings)
        raise BadInput(
            f"{text[:60]!r} is not clear.", f"It could be {said}.", "Write the unit, or say which of R, C or L."
        )
    if not found.amount:
        raise BadInput("Nothing was looked for.", "A link has no value to be met.", "Give a value above zero.")
    return found


def near_enough(wanted: Value, tolerance: str) -> float:
    """How far off is near enough, in percent: as asked, or as the wanted value says, or as is usual here."""
    if tolerance:
        return figure(tolerance, "%")
    if wanted.tolerance and wanted.tolerance.unit == "%":
        return float(min(wanted.tolerance.minus, wanted.tolerance.plus)) or NEAR_ENOUGH_PERCENT
    return NEAR_ENOUGH_PERCENT


def figure(text: str, unit: str) -> float:
    """A figure above zero, with or without its unit."""
    plain = text.strip().removesuffix(unit).removesuffix(unit.lower()).strip().replace(",", ".")
    try:
        found = float(plain)
    except ValueError:
        found = inf
    if not isfinite(found) or not 0 < found <= 1e6:
        raise BadInput(f"{text[:20]!r} was not taken.", "It has to be one number above zero.", f"Write it as 2 {unit}.")
    return found


def stated(rating: Decimal | None) -> float | None:
    """A rating as a float, if there is one."""
    return None if rating is None else float(rating)


def in_the_drawers(shop: Workshop, kind: str, build: str | None) -> list[Stocked]:
    """The parts of that kind with a fixed value of which a piece lies there, in the order of the stores."""
    rows = [
        row
        for row in read_stores.parts(shop.reads)
        if FIXED.get(row.kind) == kind and row.on_hand > 0 and row.unit == "pc" and row.value_si
    ]
    standing = stand(shop, parts={row.id for row in rows})
    meant = find_build(standing.builds, build) if build else None
    own = meant.code if meant else ""
    speaking = spoken_by(standing)
    found = []
    for row in rows:
        value = read(row.value, kind)
        if not isinstance(value, Value) or not isclose(value.si, row.value_si or 0, rel_tol=SAME):
            value = Value(kind, Decimal(repr(row.value_si)))
        by = speaking.get(row.id, {})
        others = tuple((code, qty) for code, qty in by.items() if code != own)
        free = max(0, row.on_hand - sum(qty for _, qty in others))
        found.append(Stocked(row, value, free, others))
    return found


def spoken_by(standing: Standing) -> Mapping[int, Mapping[str, int]]:
    """How many pieces of each part each build has spoken for, the first in priority first."""
    codes = {one.id: one.code for one in standing.builds}
    found: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for need, share in zip(standing.needs, standing.shares, strict=True):
        for part, qty in ((need.part, share.own), *((other.part, other.qty) for other in share.stood_in)):
            if qty:
                found[part][codes[need.build]] += qty
    return found


class Asked(NamedTuple):
    """What is wanted, how near in percent, and what the whole has to bear in V and W, where that is known."""

    wanted: Value
    near_percent: float
    volts: float | None
    watts: float | None

    def way(self, made: Made, by_size: Mapping[float, list[Stocked]]) -> WayRow:
        """One way with the pieces that it takes: those that bear it, then those that are free, then the closest."""
        kind, used = self.wanted.kind, defaultdict[int, int](int)
        powers = weights(made.how, made.sizes, kind)
        across = voltages(made.how, made.sizes, kind)
        picked: list[tuple[Stocked, PartUsed]] = []
        for size, power, volts in zip(made.sizes, powers, across, strict=True):
            offers = [
                (one, self.piece(one, made, power, volts, used[one.part.id]))
                for one in by_size[size]
                if left(one, used)
            ]
            best = min(offers, key=lambda offer: (offer[1].over, bool(offer[1].taken_from), strays(offer[0].value)))
            used[best[0].part.id] += 1
            picked.append(best)
        sides = [sides_of(one.value) for one, _ in picked]
        known = [side for side in sides if side is not None]
        wide = spread(made.how, made.sizes, known, kind) if len(known) == len(sides) else None
        return WayRow(
            how=made.how.value,
            value=write(Value(kind, Decimal(f"{made.size:.4g}")), "si"),
            amount=made.size,
            error_percent=100 * made.error,
            meets=abs(100 * made.error) <= self.near_percent * (1 + SAME),
            low_percent=100 * wide.low if wide else None,
            high_percent=100 * wide.high if wide else None,
            rss_percent=100 * wide.rss if wide else None,
            shared="power" if kind == "R" else "energy",
            parts=tuple(part for _, part in picked),
        )

    def piece(self, one: Stocked, made: Made, power: float, across: float, used: int) -> PartUsed:
        """One piece with its share, and whether it bears that."""
        resistor = self.wanted.kind == "R"
        whole = self.watts if self.watts is not None else self.volts**2 / made.size if self.volts else None
        watts = whole * power if resistor and whole is not None else None
        volts = self.volts * across if self.volts is not None else None
        rated_watts, rated_volts = stated(one.value.watts), stated(one.value.volts)
        over = [
            f"over its {rated:g} {unit}"
            for load, rated, unit in ((watts, rated_watts, "W"), (volts, rated_volts, "V"))
            if load is not None and rated is not None and load > rated * (1 + SAME)
        ]
        taken = taken_from(one, used)
        return PartUsed(
            one.part.key, one.part.value, power, across, watts, volts, rated_watts, rated_volts, join_words(over), taken
        )


def left(one: Stocked, used: Mapping[int, int]) -> bool:
    """Whether another piece of the part lies there."""
    return used.get(one.part.id, 0) < one.free + sum(qty for _, qty in one.spoken_for)


def taken_from(one: Stocked, used: int) -> str:
    """The build that the next piece is taken from: the last in priority first; nothing while free ones are left."""
    beyond = used - one.free
    for code, qty in reversed(one.spoken_for):
        if 0 <= beyond < qty:
            return code
        beyond -= qty
    return ""


def sides_of(value: Value) -> tuple[float, float] | None:
    """How far a part may stray below and above, as shares of its size; None when it does not say, or says all."""
    if value.tolerance is None:
        return None
    unit = 0.01 if value.tolerance.unit == "%" else 1e-12 / value.si
    minus, plus = float(value.tolerance.minus) * unit, float(value.tolerance.plus) * unit
    return (minus, plus) if minus < 1 else None


def strays(value: Value) -> float:
    """The wider side of its tolerance; one that is not stated is the widest."""
    return max(sides_of(value) or (inf,))


def best_of_each(rows: list[WayRow]) -> list[WayRow]:
    """Of each number of parts the first few, those without an overloaded part before the others."""
    kept: list[WayRow] = []
    for count in range(1, MOST_PARTS + 1):
        same = [row for row in rows if len(row.parts) == count]
        kept += sorted(same, key=overloaded)[:SHOWN]
    return kept


def overloaded(row: WayRow) -> bool:
    """Whether a part is over its rating."""
    return any(part.over for part in row.parts)


def is_good(row: WayRow) -> bool:
    """Near enough, and no part overloaded."""
    return row.meets and not overloaded(row)


def off_said(percent: float) -> str:
    """ "0.43 % above", "exact"."""
    if abs(percent) < 100 * SAME:
        return "exact"
    figure_said = f"{abs(percent):.0f}" if abs(percent) >= WHOLE_FROM_PERCENT else f"{abs(percent):.2g}"
    return f"{figure_said} % {'above' if percent > 0 else 'below'}"


def sentence(wanted: str, near: float, rows: tuple[WayRow, ...]) -> str:
    """The way with the fewest parts that is near enough and overloads nothing, or else the nearest there is."""
    if not rows:
        return f"Nothing in the drawers comes to {wanted}: no part of that kind lies there."
    good = [row for row in rows if is_good(row)]
    if not good:
        best = min(rows, key=lambda row: (overloaded(row), abs(row.error_percent)))
        why = "without overloading a part" if any(row.meets for row in rows) else f"within {near:g} %"
        return f"Nothing in the drawers makes {wanted} {why}; the nearest is {way_said(best)}."
    return f"{wanted} is made by {way_said(good[0])}."


def way_said(row: WayRow) -> str:
    """ "R-10K and R-10K in parallel (5 kΩ, exact), one of them spoken for by LINNET"."""
    wired = "" if row.how == How.ONE else f" as a {row.how}" if len(row.how) > len(How.PARALLEL) else f" in {row.how}"
    said = f"{join_words([part.key for part in row.parts])}{wired} ({row.value}, {off_said(row.error_percent)})"
    builds = list(dict.fromkeys(part.taken_from for part in row.parts if part.taken_from))
    return f"{said}, taken from {join_words(builds)}" if builds else f"{said}, free"
