"""The demo reckoned by hand: from its lists and the raw tables, by the most straightforward method there is.

Nothing here uses the computations or the answers of the program. Trees are walked path by path, the drawers are handed
out piece by piece in the order of priority, and every quantity that could be ordered is tried.
"""

from __future__ import annotations

import csv
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from pathlib import Path
from typing import NamedTuple

import pytest

from buildbook.store.workshop import Workshop

MEASURES = {"": 1, "mm": 1, "m": 1000, "mg": 1, "g": 1000, "kg": 10**6, "ul": 1, "ml": 1000, "l": 10**6}
DEMO = Path(__file__).resolve().parents[2] / "demo_db"


def listed(name: str) -> list[dict[str, str]]:
    """The rows of one of the demo's own lists."""
    with (DEMO / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def base_units(text: str) -> int:
    """A quantity of the lists in base units: "12", "3.5 m", "90 ml"."""
    number, _, measure = text.partition(" ")
    return int(Fraction(number or 0) * MEASURES[measure])


class Want(NamedTuple):
    """What a build still needs for a line; parts and assemblies by their names."""

    build: str
    assembly: str
    line: int
    part: str
    need: int
    fitted: int
    kitted: int

    @property
    def want(self) -> int:
        return max(0, self.need - self.fitted - self.kitted)


class Coming(NamedTuple):
    """Pieces that one order brings for a line."""

    due: str
    qty: int
    price: Fraction


@dataclass
class Got:
    """What a line gets."""

    own: int = 0
    stood_in: Counter[str] = field(default_factory=Counter)
    coming: list[Coming] = field(default_factory=list)
    short: int = 0


class Offered(NamedTuple):
    """A part as a supplier sells it; prices in millionths for one base unit, from a quantity on."""

    supplier: str
    code: str
    pack: int
    least: int
    breaks: tuple[tuple[int, Fraction], ...]


class Bought(NamedTuple):
    """The least that a need can cost, and how."""

    amount: Fraction
    qty: int
    supplier: str
    code: str
    each: Fraction


class ByHand:
    """The demo as it stands, by hand."""

    def __init__(self, shop: Workshop) -> None:
        self.rows = shop.reads.execute
        self.builds = [row["build"] for row in sorted(listed("builds.csv"), key=lambda row: int(row["priority"]))]
        self.project = {row["build"]: row["project"] for row in listed("builds.csv")}
        self.units = {row["build"]: int(row["units"]) for row in listed("builds.csv")}
        self.unit_of = dict(self.rows("SELECT key, unit FROM part"))
        self.kind_of = dict(self.rows("SELECT key, kind FROM part"))
        self.inside: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for row in listed("projects.csv"):
            if row["inside"]:
                self.inside[row["inside"]].append((f"{row['project']}/{row['code']}", int(row["qty"])))
        self.lines = [Line(*row) for row in self.rows(LINES)]
        self.stand_in = {row["part"]: row["stand-in"] for row in listed("stand_ins.csv")}
        self.on_hand = Counter(dict(self.rows(ON_HAND)))
        self.wants = [want for build in self.builds for want in self.wants_of(build)]
        self.left, self.coming_left = Counter(self.on_hand), self.orders()
        self.got = self.hand_out()

    def listed(self, name: str) -> list[dict[str, str]]:
        """The rows of one of the demo's own lists."""
        return listed(name)

    def orders(self) -> defaultdict[str, list[Coming]]:
        """What is on order, per part, the earliest first: the list of orders less what the ledger has seen come in."""
        found: defaultdict[str, list[Coming]] = defaultdict(list)
        for row in sorted(listed("orders.csv"), key=lambda row: row["due"]):
            if row["order"] == "QS-1187":
                # All that is to come of it is here; the rest was credited.
                continue
            price = Fraction(row["price"]) * 10**6 / int(row["price per"] or 1)
            (came,) = self.rows(CAME, (row["order"], row["part"])).fetchone()
            found[row["part"]].append(Coming(row["due"], int(row["qty"]) - came, price))
        return found

    def counted(self) -> Counter[str]:
        """What was counted at first, per part, and what came of the order that is closed; 12 of 60 did not."""
        found: Counter[str] = Counter({"R-22R-0.6W": 10, "R-4K7-0.6W": 18, "R-47K-0.6W": 20})
        for row in listed("stock.csv"):
            found[row["part"]] += base_units(row["counted"])
        return found

    def steps(self, build: str, path: str) -> tuple[int, int]:
        """Steps of a section, and how many of them have been ticked, from the lists; no answer is chosen yet."""
        text = (DEMO / "steps" / f"{path.replace('/', '-')}.txt").read_text(encoding="utf-8")
        steps = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
        steps = [line for line in steps if "option " not in line.split("|")[4]]
        ticked = {
            row["what"]
            for row in listed("progress.csv")
            if (row["build"], row["assembly"]) == (build, path) and row["action"] in ("tick", "drop")
        }
        return len(steps), len(ticked)

    def paths(self, top: str) -> Iterator[tuple[str, int]]:
        """Every way down from an assembly, to itself first, with how many times it is there on that way."""
        yield top, 1
        for child, qty in self.inside[top]:
            for below, count in self.paths(child):
                yield below, qty * count

    def count(self, top: str, units: int = 1) -> Counter[str]:
        """How many of each assembly so many units hold."""
        counts: Counter[str] = Counter()
        for assembly, times in self.paths(top):
            counts[assembly] += times * units
        return counts

    def top(self, build: str) -> str:
        return f"{self.project[build]}/{self.project[build]}"

    def wants_of(self, build: str) -> Iterator[Want]:
        """What a build needs, line by line, from the ledger for what it has already."""
        counts = self.count(self.top(build), self.units[build])
        held = {line: (kitted, fitted) for line, kitted, fitted in self.rows(HELD, (build,))}
        for line in self.lines:
            if line.counts and counts[line.assembly]:
                kitted, fitted = held.get(line.line, (0, 0))
                yield Want(build, line.assembly, line.line, line.part, line.need(counts[line.assembly]), fitted, kitted)

    def hand_out(self) -> list[Got]:
        """Own parts first, then what nobody wants for itself, then what is coming, each in the order of priority."""
        shares = [Got() for _ in self.wants]
        lacking = []
        for want, share in zip(self.wants, shares, strict=True):
            share.own = min(want.want, self.left[want.part])
            self.left[want.part] -= share.own
            lacking.append(want.want - share.own)
        for place, (want, share) in enumerate(zip(self.wants, shares, strict=True)):
            other = self.stand_in.get(want.part, "")
            if lent := min(lacking[place], self.left[other]):
                self.left[other] -= lent
                share.stood_in[other] += lent
            share.short = lacking[place] - lent
            while share.short and self.coming_left[want.part]:
                due, there, price = self.coming_left[want.part].pop(0)
                taken = min(share.short, there)
                share.coming.append(Coming(due, taken, price))
                share.short -= taken
                if there > taken:
                    self.coming_left[want.part].insert(0, Coming(due, there - taken, price))
        return shares

    def given(self, build: str = "", assembly: str = "", part: str = "") -> list[tuple[Want, Got]]:
        """The lines of a build, an assembly, a part, with what they get."""
        return [
            (want, share)
            for want, share in zip(self.wants, self.got, strict=True)
            if build in ("", want.build) and assembly in ("", want.assembly) and part in ("", want.part)
        ]

    def paid(self, part: str) -> Fraction | None:
        """What was paid for a base unit of a part on the average, in millionths; None when nobody knows."""
        sums = [Fraction(0), Fraction(0)]
        for row in listed("stock.csv"):
            if row["part"] == part and row["price paid"]:
                each = Fraction(row["price paid"]) * 10**6 / base_units(row["price per"] or "1")
                sums[0] += base_units(row["counted"]) * each
                sums[1] += base_units(row["counted"])
        return sums[0] / sums[1] if sums[1] else None

    def offers(self, part: str) -> list[Offered]:
        """The offers of a part, from the raw tables."""
        found = []
        for number, supplier, code, per, pack, least in self.rows(OFFERS, (part,)).fetchall():
            prices = self.rows("SELECT from_qty, price_micros FROM offer_break WHERE offer_id = ?", (number,))
            breaks = tuple(sorted((from_qty, Fraction(micros, per)) for from_qty, micros in prices))
            found.append(Offered(supplier, code, pack, least, breaks))
        return found

    def cheapest(self, part: str, need: int) -> Bought | None:
        """Try every quantity that somebody sells, up to where more cannot be cheaper any more."""
        tried = []
        for offer in self.offers(part):
            most = max(need, offer.least, offer.breaks[-1][0]) + offer.pack
            for qty in range(offer.pack, most + 1, offer.pack):
                if qty >= max(need, offer.least, offer.breaks[0][0]):
                    each = next(price for from_qty, price in reversed(offer.breaks) if qty >= from_qty)
                    tried.append(Bought(qty * each, qty, offer.supplier, offer.code, each))
        return min(tried, default=None)

    def could_make(self, assembly: str, there: Mapping[str, int]) -> tuple[int, dict[str, int]]:
        """Count up one by one until something lacks; how many, and what one more lacks."""
        made = 0
        while not (missing := self.missing(assembly, made + 1, there)):
            made += 1
        return made, missing

    def missing(self, assembly: str, units: int, there: Mapping[str, int]) -> dict[str, int]:
        """What so many units lack, after own parts and what is left over to stand in."""
        need: Counter[str] = Counter()
        counts = self.count(assembly, units)
        for line in self.lines:
            if line.counts and counts[line.assembly]:
                need[line.part] += line.need(counts[line.assembly])
        left = {part: there.get(part, 0) - need[part] for part in {*there, *need}}
        missing = {}
        for part in need:
            lack = max(0, -left[part])
            other = self.stand_in.get(part, "")
            lent = min(lack, max(0, left.get(other, 0)))
            if lent:
                left[other] -= lent
            if lack > lent:
                missing[part] = lack - lent
        return missing


class Line(NamedTuple):
    """A row of a parts list, and whether it counts as the choices stand."""

    line: int
    assembly: str
    part: str
    qty: int
    loss_bp: int
    refs: str
    counts: int

    def need(self, count: int) -> int:
        """So many times its quantity, with its allowance for loss, in whole base units."""
        return ceil(Fraction(count * self.qty) * (1 + Fraction(self.loss_bp, 10_000)))


LINES = """
    SELECT l.id, j.code || '/' || a.code, p.key, l.qty, l.loss_bp, l.refs,
           l.fitted AND (l.option_id IS NULL OR l.option_id IN (SELECT id FROM choice_option WHERE chosen))
      FROM line l JOIN part p ON p.id = l.part_id JOIN assembly a ON a.id = l.assembly_id
      JOIN project j ON j.id = a.project_id
     ORDER BY a.id, l.position, l.id
"""
ON_HAND = "SELECT p.key, sum(m.bin_qty) FROM movement m JOIN part p ON p.id = m.part_id GROUP BY p.key"
HELD = """
    SELECT m.line_id, sum(m.kit_qty), sum(m.fit_qty) FROM movement m JOIN build b ON b.id = m.build_id
     WHERE b.code = ? GROUP BY m.line_id
"""
CAME = """
    SELECT coalesce(sum(m.bin_qty), 0)
      FROM movement m JOIN purchase_line l ON l.id = m.purchase_line_id JOIN purchase o ON o.id = l.purchase_id
      JOIN part p ON p.id = l.part_id WHERE o.ref = ? AND p.key = ?
"""
OFFERS = """
    SELECT o.id, s.code, o.order_code, o.per_qty, o.pack_qty, o.min_qty
      FROM offer o JOIN supplier s ON s.id = o.supplier_id JOIN part p ON p.id = o.part_id WHERE p.key = ?
"""


@pytest.fixture(scope="session")
def by_hand(demo_to_read: Workshop) -> ByHand:
    """The demo reckoned by hand, once for all tests."""
    return ByHand(demo_to_read)


# --- a small workshop ------------------------------------------------------------------------------------------------


@pytest.fixture
def wren(shop: Workshop) -> Workshop:
    """The Wren: an amplifier board with R1, R2, Q1 and T1, of which only the transformer T1 is not in the drawers."""
    from buildbook.actions import boards, buying, lists, stores

    boards.new_project(shop, "WREN", "Wren signal tracer")
    boards.new_assembly(shop, "WREN", "AMP", "Amplifier board")
    for key, kind, value in (
        ("R-4K7", "resistor", "4k7"),
        ("Q-BC547B", "transistor", "BC547B"),
        ("Q-BC547C", "transistor", "BC547C"),
        ("T-OUT", "transformer", ""),
    ):
        stores.new_part(shop, key, kind=kind, value=value)
    stores.new_part(shop, "W-RED", kind="wire", unit="mm")
    stores.new_bin(shop, "A1")
    stores.receive(shop, "R-4K7", "A1", 10, price_micros=50_000)
    stores.receive(shop, "Q-BC547B", "A1", 1, price_micros=100_000)
    lists.add_line(shop, "AMP", "R-4K7", refs="R1,R2")
    lists.add_line(shop, "AMP", "Q-BC547B", refs="Q1")
    lists.add_line(shop, "AMP", "T-OUT", refs="T1")
    buying.new_supplier(shop, "TERN", "Tern Windings")
    return shop
