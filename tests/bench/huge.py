"""A workshop far larger than any real one, always the same for the same seed: 200 projects, 500,000 movements.

It is written straight into a freshly migrated file, without the journal: the ledger, the balances, the worth and the
holdings agree with each other, but no journal entry tells where the rows come from. At a scale of 1 it has 200 projects
with one build each, 2,000 assemblies up to 5 deep, 100,000 lines, 20,000 parts and 40,000 offers with 4 breaks each.
"""

from __future__ import annotations

import hashlib
import itertools
import os
import random
import shutil
import sqlite3
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from buildbook.reckon.explode import Contains, Demand, explode, line_need
from buildbook.store.migrate import migrations_folder
from buildbook.store.workshop import open_workshop

SEED = 20_240
DEEP = 5
PER_PROJECT = 10
KINDS = ("board", "case", "panel", "harness")
PART_KINDS = ("resistor", "capacitor", "semiconductor", "connector", "fastener", "wire", "other")
REF_LETTERS = {"resistor": "R", "capacitor": "C", "semiconductor": "D", "connector": "J"}
FIRST_DAY = datetime(2024, 1, 1, tzinfo=UTC)

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


@dataclass(slots=True)
class Line:
    """A line as the stock is planned by."""

    number: int
    part: int
    qty: int
    loss_bp: int


def huge_workshop(scale: float = 1.0, seed: int = SEED) -> Path:
    """The workshop file of that scale and seed, kept in the folder for temporary files; never write to it, copy it."""
    migrations = sorted((migrations_folder() / "versions").glob("*.py"))
    stamp = hashlib.sha256(b"".join(path.read_bytes() for path in (*migrations, Path(__file__)))).hexdigest()[:12]
    path = Path(tempfile.gettempdir()) / f"buildbook-bench-{seed}-{scale:g}-{stamp}.db"
    if not path.exists():
        making = path.with_suffix(f".{os.getpid()}")
        fill(making, scale=scale, seed=seed)
        making.replace(path)
    return path


def copy_of(path: Path, to: Path) -> Path:
    """A copy that may be written to."""
    shutil.copyfile(path, to)
    return to


def fill(path: Path, *, scale: float, seed: int = SEED) -> None:
    """Make the workshop at `path`, which must not be there yet."""
    open_workshop(path).close()
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("PRAGMA synchronous = OFF")
    db.execute("PRAGMA cache_size = -200000")
    db.execute("BEGIN")
    Filling(db, random.Random(seed), Size.at(scale)).run()
    db.execute("COMMIT")
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()


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

    def run(self) -> None:
        """Everything, in the order in which the tables refer to each other."""
        self.projects()
        self.stores()
        self.parts_lists()
        self.steps()
        self.builds()
        self.buying()
        Ledger(self).write()

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
                line = Line(number, row["part_id"], row["qty"], row["loss_bp"])
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
                    **{"assembly_id": assembly, "position": position, "low_min": likely // 2, "likely_min": likely},
                    **{"high_min": 2 * likely, "wait_low_min": 0, "wait_high_min": 0, "one_way": 0, "hold_point": 0},
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
                    **{"project_id": demand.build, "assembly_id": demand.assembly, "units": demand.units},
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


class Ledger:
    """Movements, and the sums of them: some sections are kitted or fitted, most parts are plenty, some are short."""

    def __init__(self, filling: Filling) -> None:
        self.filling = filling
        self.chance = filling.chance
        self.size = filling.size
        self.rows: list[tuple[float, Row]] = []
        self.balances: dict[int, dict[int, int]] = {}  # part -> bin -> qty
        self.held: dict[tuple[int, int, int], list[int]] = {}  # (build, line, part) -> [kitted, fitted]
        self.price = {
            part: None if self.chance.random() < 0.04 else self.chance.randint(20, 2_000) * 1_000
            for part in range(1, self.size.parts + 1)
        }

    def write(self) -> None:
        """Book everything, in the order of time, and write the sums beside it."""
        needs = self.needs()
        taken = self.taken(needs)
        wanted: dict[int, int] = {}
        for (_, line), need in needs.items():
            wanted[line.part] = wanted.get(line.part, 0) + need
        kits: dict[int, list[tuple[int, int, int, int]]] = {}
        for (build, line), (kitted, fitted) in taken.items():
            kits.setdefault(line.part, []).append((build, line.number, kitted, fitted))
        booked = sum(1 + bool(fitted) for _, fitted in taken.values())
        each = max(3, (self.size.movements - booked) // self.size.parts - 1)
        for part in range(1, self.size.parts + 1):
            self.part(part, each, wanted.get(part, 0), kits.get(part, ()))
        self.rows.sort(key=lambda row: row[0])
        for place, (moment, row) in enumerate(self.rows):
            stamp = FIRST_DAY + timedelta(seconds=round(moment * 300 * 86_400), milliseconds=place % 1000)
            row["at"] = stamp.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        self.filling.put("movement", (row for _, row in self.rows))
        self.sums()

    def needs(self) -> dict[tuple[int, LineKey], int]:
        """What every build needs for every line."""
        exploded = explode(self.filling.demands, self.filling.children, self.filling.shelf)
        return {
            (build, LineKey(line.number, line.part, assembly)): line_need(count, line.qty, line.loss_bp)
            for (build, assembly), count in exploded.net.items()
            if count
            for line in self.filling.lines.get(assembly, ())
        }

    def taken(self, needs: Mapping[tuple[int, LineKey], int]) -> dict[tuple[int, LineKey], tuple[int, int]]:
        """How much of each line is kitted, and how much of that fitted: some sections wholly, some in part."""
        states: dict[tuple[int, int], str] = {}
        found = {}
        for (build, line), need in needs.items():
            section = (build, line.assembly)
            if section not in states:
                states[section] = self.chance.choices(("", "fitted", "kitted", "half"), (80, 10, 6, 4))[0]
            kitted = {"": 0, "half": need // 2}.get(states[section], need)
            if kitted:
                found[build, line] = (kitted, kitted if states[section] == "fitted" else 0)
        return found

    def part(self, part: int, moves: int, wanted: int, kits: Sequence[tuple[int, int, int, int]]) -> None:
        """The life of one part in the stores: received, counted and moved, then kitted and fitted."""
        home, other = self.chance.sample(range(1, self.size.bins + 1), 2)
        self.balances[part] = {home: 0, other: 0}
        for_kits = sum(kitted for _, _, kitted, _ in kits)
        still = wanted - for_kits
        share = self.chance.choices((1.2, self.chance.random(), 0), (75, 15, 10))[0]
        stock = for_kits + round(still * share) + self.chance.choice((0, 0, 5, 20)) * (share > 1)
        moments = sorted(self.chance.random() * 0.8 for _ in range(moves))
        lots = _lots(self.chance, stock, min(4, moves))
        for moment, lot in zip(moments, lots, strict=False):
            self.book(moment, "received", part, home, lot)
        lying = iter(moments[len(lots) :])
        for moment in lying:
            qty = min(self.chance.randint(0, 3), self.balances[part][home])
            kind = self.chance.choice(("moved", "counted"))
            self.book(moment, kind, part, home, -qty)
            # Taken out and put back, or over into the other bin: what is there for the kits stays there.
            self.book(next(lying, moment), kind, part, other if kind == "moved" else home, qty)
        strayed = self.balances[part][other]
        if kits and strayed:
            self.book(0.81, "moved", part, other, -strayed)
            self.book(0.82, "moved", part, home, strayed)
        for build, line, kitted, fitted in kits:
            moment = 0.85 + self.chance.random() * 0.1
            self.book(moment, "kitted", part, home, -kitted, kit_qty=kitted, build_id=build, line_id=line)
            if fitted:
                fit = {"kit_qty": -fitted, "fit_qty": fitted, "build_id": build, "line_id": line}
                self.book(moment + 0.01, "fitted", part, None, 0, **fit)

    def book(self, moment: float, kind: str, part: int, place: int | None, bin_qty: int, **held: int) -> None:
        """One movement."""
        price = self.price[part]
        counts = bin_qty if kind != "moved" else 0
        if place is not None:
            self.balances[part][place] += bin_qty
            if self.balances[part][place] < 0:
                raise ValueError(f"bin {place} would hold less than nothing of part {part}")
        row: Row = {"at": "", "kind": kind, "part_id": part, "bin_id": place}
        row |= {name: held.get(name) for name in ("build_id", "line_id")}
        row |= {"bin_qty": bin_qty, "kit_qty": held.get("kit_qty", 0), "fit_qty": held.get("fit_qty", 0)}
        row |= {"lost_qty": 0, "value_micros": counts * (price or 0), "unpriced_qty": counts if price is None else 0}
        row["note"] = ""
        self.rows.append((moment, row))
        if held:
            kept = self.held.setdefault((held["build_id"], held["line_id"], part), [0, 0])
            kept[0] += held["kit_qty"]
            kept[1] += held.get("fit_qty", 0)

    def sums(self) -> None:
        """The balances, the worth and the holdings, as the movements add up to."""
        put = self.filling.put
        put(
            "balance",
            (
                {"part_id": part, "bin_id": place, "qty": qty}
                for part, bins in self.balances.items()
                for place, qty in sorted(bins.items())
                if qty
            ),
        )
        lying = {part: sum(bins.values()) for part, bins in self.balances.items()}
        put("worth", ({"part_id": part, "qty": qty, **self.value(part, qty)} for part, qty in lying.items() if qty))
        put(
            "holding",
            (
                {
                    **{"build_id": build, "line_id": line, "part_id": part, "kitted": kitted, "fitted": fitted},
                    **{"lost": 0, **self.value(part, kitted + fitted)},
                }
                for (build, line, part), (kitted, fitted) in sorted(self.held.items())
            ),
        )

    def value(self, part: int, qty: int) -> Row:
        """What so many of a part are worth."""
        price = self.price[part]
        return {"unpriced_qty": qty if price is None else 0, "value_micros": qty * (price or 0)}


@dataclass(frozen=True, slots=True)
class LineKey:
    """A line, with its part and its assembly."""

    number: int
    part: int
    assembly: int


def _lots(chance: random.Random, total: int, most: int) -> list[int]:
    """Divide a quantity into a few deliveries."""
    cuts = sorted(chance.randint(0, total) for _ in range(most - 1))
    return [after - before for before, after in itertools.pairwise([0, *cuts, total]) if after > before]


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
