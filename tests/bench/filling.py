"""What a generated workshop has besides its movements: projects, parts, parts lists, steps, builds, offers, orders."""

from __future__ import annotations

import itertools
import random
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from buildbook.reckon.explode import Contains, Demand

DEEP = 5
PER_PROJECT = 10
KINDS = ("board", "case", "panel", "harness")
PART_KINDS = ("resistor", "capacitor", "semiconductor", "connector", "fastener", "wire", "other")
REF_LETTERS = {"resistor": "R", "capacitor": "C", "semiconductor": "D", "connector": "J"}

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Size:
    """How many rows of each kind a workshop has."""

    projects: int
    assemblies: int
    lines: int
    parts: int
    movements: int
    offers: int
    steps: int
    bins: int
    suppliers: int
    orders: int

    @classmethod
    def at(cls, scale: float) -> Size:
        """The size at a scale; 1 is the huge workshop."""
        projects = max(2, round(200 * scale))
        parts = max(40, round(20_000 * scale))
        return cls(
            projects=projects,
            assemblies=PER_PROJECT * projects,
            lines=500 * projects,
            parts=parts,
            movements=25 * parts,
            offers=2 * parts,
            steps=25 * projects,
            bins=max(10, parts // 20),
            suppliers=8,
            orders=max(4, projects // 2),
        )


class Line(NamedTuple):
    """A line that counts, as the stock is planned by."""

    number: int
    assembly: int
    part: int
    qty: int
    loss_bp: int


class Filling:
    """Writes one workshop, table by table; every number comes from one source of chance."""

    def __init__(self, db: sqlite3.Connection, chance: random.Random, size: Size) -> None:
        self.db = db
        self.chance = chance
        self.size = size
        self.kinds: list[str] = []
        self.children: list[Contains] = []
        self.lines: dict[int, list[Line]] = {}
        self.demands: list[Demand] = []
        self.shelf: dict[int, int] = {}

    def write(self) -> None:
        """Everything, in the order in which the tables refer to each other."""
        self.projects()
        self.stores()
        self.parts_lists()
        self.steps()
        self.builds()
        self.buying()

    def put(self, table: str, rows: Iterable[Row]) -> None:
        """Insert rows with the same fields, numbered from 1 unless they say otherwise."""
        rows = iter(rows)
        first = next(rows, None)
        if first is None:
            return
        fields = ", ".join(first)
        marks = ", ".join("?" * len(first))
        values = (tuple(row.values()) for row in itertools.chain([first], rows))
        self.db.executemany(f"INSERT INTO {table} ({fields}) VALUES ({marks})", values)

    def projects(self) -> None:
        """Projects, their trees of assemblies, and a question with two answers and a shelved one in each."""
        numbers = range(1, self.size.projects + 1)
        self.put("project", [{**_words("project", code=f"PRJ-{n:03}"), "consumables_bp": 300} for n in numbers])
        self.shelf = {
            n: self.chance.randint(1, 2) for n in range(1, self.size.assemblies + 1) if self.chance.random() < 0.01
        }
        self.put("assembly", (self.assembly(n) for n in range(1, self.size.assemblies + 1)))
        states = ("chosen", "shelved")
        self.put(
            "choice",
            [
                {"project_id": n, "code": state.upper(), "question": "Which?", "state": state, "reason": ""}
                for n in numbers
                for state in states
            ],
        )
        self.put(
            "choice_option",
            [
                {"choice_id": choice, "code": code, "name": "", "chosen": int(choice % 2 == 1 and code == "A")}
                for choice in range(1, 2 * self.size.projects + 1)
                for code in "AB"
            ],
        )
        links = self.links()
        # An answer that is not chosen would bring assemblies that no build needs: these links do not count.
        dead = [(parent, child, qty, self.option(parent, "B")) for parent, child, qty in links[:: 50 * DEEP]]
        fields = ("parent_id", "child_id", "qty", "option_id")
        self.put("contains", (dict(zip(fields, (*link, None), strict=True)) for link in links))
        self.put("contains", (dict(zip(fields, link, strict=True)) for link in dead))
        self.children = links

    def assembly(self, number: int) -> Row:
        """One assembly; the first of each project is its unit."""
        project, place = divmod(number - 1, PER_PROJECT)
        kind = "unit" if place == 0 else KINDS[0] if place < 7 else KINDS[place - 6]
        code = f"PRJ-{project + 1:03}" if place == 0 else f"A{place}"
        return {
            "project_id": project + 1,
            "code": code,
            "name": f"Section {number}",
            "kind": kind,
            "position": place,
            "ready_made": self.shelf.get(number, 0),
            "note": "",
        }

    def links(self) -> list[Contains]:
        """A tree in each project, and now and then an assembly of an earlier project inside one of a later."""
        found: list[Contains] = []
        leaves: list[int] = []
        for project in range(self.size.projects):
            top = project * PER_PROJECT + 1
            depth = {top: 1}
            holders = set()
            for child in range(top + 1, top + PER_PROJECT):
                # The first ones form a chain as deep as any.
                able = [one for one in depth if depth[one] < DEEP]
                parent = child - 1 if child - top < DEEP else self.chance.choice(able)
                depth[child] = depth[parent] + 1
                holders.add(parent)
                found.append(Contains(parent, child, self.chance.choice((1, 1, 1, 1, 2, 3))))
            if leaves and self.chance.random() < 0.5:
                parent = self.chance.choice([one for one in depth if depth[one] < DEEP])
                found.append(Contains(parent, self.chance.choice(leaves), self.chance.choice((1, 2))))
            leaves += [one for one in depth if one not in holders]
        return found

    def option(self, assembly: int, code: str) -> int:
        """The number of an answer to the question of the assembly's project: A is chosen, B is not; S is shelved."""
        project = (assembly - 1) // PER_PROJECT
        return 4 * project + {"A": 1, "B": 2, "S": 3}[code]

    def stores(self) -> None:
        """Parts of all kinds, bins, and stand-ins for one part in twenty."""
        self.kinds = self.chance.choices(PART_KINDS, (40, 25, 12, 8, 8, 2, 5), k=self.size.parts)
        self.put("part", (self.part(n) for n in range(1, self.size.parts + 1)))
        self.put("bin", ({"name": f"B{n:04}", "note": ""} for n in range(1, self.size.bins + 1)))
        wanted = self.chance.sample(range(1, self.size.parts + 1), self.size.parts // 20)
        pairs = []
        for part in wanted:
            alike = [part + step for step in (-2, -1, 1, 2, 3) if 1 <= part + step <= self.size.parts]
            for rank, alt in enumerate(self.chance.sample(alike, self.chance.choice((1, 1, 2))), 1):
                pairs.append({"part_id": part, "alt_id": alt, "rank": rank, "reason": "the same but for the maker"})
        self.put("stand_in", pairs)

    def part(self, number: int) -> Row:
        """One part."""
        kind = self.kinds[number - 1]
        value = f"{number % 1000}{'R' if kind == 'resistor' else 'n'}" if kind in ("resistor", "capacitor") else ""
        return {
            "key": f"{kind[:3].upper()}-{number:05}",
            "kind": kind,
            "name": f"{kind} of the {number}th sort",
            "value_text": value,
            "value_si": float(number % 1000) if value else None,
            "package": self.chance.choice(("", "radial", "axial", "TO-92", "DO-41")),
            "maker": "",
            "maker_number": f"M{number:06}",
            "unit": "mm" if kind == "wire" else "pc",
            "note": "",
        }

    def parts_lists(self) -> None:
        """The lines of all assemblies: half of them of the commonest parts, a few not fitted or of an answer."""
        each = self.size.lines // self.size.assemblies
        common = self.chance.sample(range(1, self.size.parts + 1), max(1, self.size.parts // 10))
        rows: list[Row] = []
        for assembly in range(1, self.size.assemblies + 1):
            picked = {
                self.chance.choice(common) if self.chance.random() < 0.5 else self.chance.randint(1, self.size.parts)
                for _ in range(2 * each)
            }
            chosen = self.chance.sample(sorted(picked), min(each, len(picked)))
            rows += [self.line(assembly, place, part) for place, part in enumerate(chosen)]
        self.put("line", rows)
        for number, row in enumerate(rows, 1):
            if row["fitted"] and row["option_id"] in (None, self.option(row["assembly_id"], "A")):
                line = Line(number, row["assembly_id"], row["part_id"], row["qty"], row["loss_bp"])
                self.lines.setdefault(row["assembly_id"], []).append(line)

    def line(self, assembly: int, place: int, part: int) -> Row:
        """One line."""
        chance = self.chance.random()
        kind = self.kinds[part - 1]
        qty = self.chance.randint(50, 900) if kind == "wire" else self.chance.choice((1, 1, 1, 2, 2, 3, 4, 8))
        letter = REF_LETTERS.get(kind, "")
        refs = f"{letter}{place * 8 + 1}-{letter}{place * 8 + qty}" if qty > 1 else f"{letter}{place * 8 + 1}"
        return {
            "assembly_id": assembly,
            "part_id": part,
            "position": place,
            "qty": qty,
            "refs": refs if letter else "",
            "fitted": int(chance > 0.02),
            "loss_bp": self.chance.choice((0, 0, 0, 500)) if kind in ("wire", "fastener") else 0,
            "option_id": self.option(assembly, self.chance.choice("ABS")) if chance > 0.96 else None,
            "note": "",
        }

    def steps(self) -> None:
        """A short checklist for each assembly, each step after the one before."""
        rows, needs = [], []
        for number in range(1, self.size.steps + 1):
            assembly = number % self.size.assemblies + 1
            position = number // self.size.assemblies
            likely = self.chance.choice((15, 30, 60, 120))
            rows.append(
                {
                    **_words("step", name=f"Step {position}", work="solder", caution=""),
                    "assembly_id": assembly,
                    "position": position,
                    "low_min": likely // 2,
                    "likely_min": likely,
                    "high_min": 2 * likely,
                    "wait_low_min": 0,
                    "wait_high_min": 0,
                    "one_way": 0,
                    "hold_point": 0,
                }
            )
            if number > self.size.assemblies:
                before = number - self.size.assemblies
                needs.append({"step_id": number, "needs_id": before, "link": "FS", "wait_min": 0})
        self.put("step", rows)
        self.put("step_need", needs)

    def builds(self) -> None:
        """One build of each project, in an order of priority that is not that of the projects."""
        places = list(range(1, self.size.projects + 1))
        self.chance.shuffle(places)
        asked = []
        for project, priority in enumerate(places, 1):
            top = (project - 1) * PER_PROJECT + 1
            units = self.chance.choice((1, 1, 1, 2, 5))
            asked.append((priority, Demand(project, top, units)))
        self.put(
            "build",
            (
                {
                    **_words("build", code=f"PRJ-{demand.build:03}", state="active", target_on=""),
                    "project_id": demand.build,
                    "assembly_id": demand.assembly,
                    "units": demand.units,
                    "priority": priority,
                }
                for priority, demand in asked
            ),
        )
        self.demands = [demand for _, demand in sorted(asked)]

    def buying(self) -> None:
        """Two offers for each part, each with four breaks, and some orders that are still open."""
        self.put("supplier", (_words("supplier", code=f"SUP-{n}", name="") for n in range(1, self.size.suppliers + 1)))
        self.put("offer", (self.offer(n) for n in range(1, self.size.offers + 1)))
        breaks = []
        for offer in range(1, self.size.offers + 1):
            price = self.chance.randint(5_000, 3_000_000)
            breaks += [
                {"offer_id": offer, "from_qty": from_qty, "price_micros": price * share // 100}
                for from_qty, share in ((1, 100), (10, 90), (100, 75), (1000, 60))
            ]
        self.put("offer_break", breaks)
        orders = range(1, self.size.orders + 1)
        self.put(
            "purchase",
            (
                {
                    **_words("purchase", ref=f"PO-{n:03}", state="placed", placed_on="2024-11-01"),
                    "due_on": self.chance.choice(("", "2024-12-04", "2025-01-10")),
                    "supplier_id": self.chance.randint(1, self.size.suppliers),
                }
                for n in orders
            ),
        )
        self.put("purchase_line", (self.order_line(order) for order in orders for _ in range(4)))

    def offer(self, number: int) -> Row:
        """One offer: the two of a part come from different suppliers."""
        part, place = (number - 1) // 2 + 1, number % 2
        return {
            "supplier_id": (part + place) % self.size.suppliers + 1,
            "part_id": part,
            "order_code": f"{number:06}",
            "per_qty": 100 if place else 1,
            "pack_qty": self.chance.choice((1, 1, 5, 10)),
            "min_qty": self.chance.choice((1, 1, 10)),
            "lead_days": None,
            "valid_until": "",
            "note": "",
        }

    def order_line(self, order: int) -> Row:
        """One row of an order."""
        return {
            "purchase_id": order,
            "part_id": self.chance.randint(1, self.size.parts),
            "order_code": "",
            "qty": self.chance.randint(10, 50),
            "price_micros": self.chance.choice((None, 150_000, 90_000)),
            "per_qty": 1,
            "received_qty": self.chance.choice((0, 0, 5)),
            "due_on": "",
        }


def _words(table: str, **given: str) -> Row:
    """The text columns of a row, empty unless given."""
    fields = {
        "project": ("code", "name", "note"),
        "step": ("name", "work", "caution"),
        "build": ("code", "state", "target_on", "note"),
        "supplier": ("code", "name", "note"),
        "purchase": ("ref", "state", "placed_on", "note"),
    }[table]
    return {field: given.get(field, "") for field in fields}
