"""The movements of a generated workshop, and the sums of them, which agree."""

from __future__ import annotations

import itertools
import random
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta

from buildbook.reckon.explode import explode, line_need
from tests.bench.filling import Filling, Line, Row

FIRST_DAY = datetime(2024, 1, 1, tzinfo=UTC)


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

    def needs(self) -> dict[tuple[int, Line], int]:
        """What every build needs for every line."""
        exploded = explode(self.filling.demands, self.filling.children, self.filling.shelf)
        return {
            (build, line): line_need(count, line.qty, line.loss_bp)
            for (build, assembly), count in exploded.net.items()
            if count
            for line in self.filling.lines.get(assembly, ())
        }

    def taken(self, needs: Mapping[tuple[int, Line], int]) -> dict[tuple[int, Line], tuple[int, int]]:
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
                    "build_id": build,
                    "line_id": line,
                    "part_id": part,
                    "kitted": kitted,
                    "fitted": fitted,
                    "lost": 0,
                    **self.value(part, kitted + fitted),
                }
                for (build, line, part), (kitted, fitted) in sorted(self.held.items())
            ),
        )

    def value(self, part: int, qty: int) -> Row:
        """What so many of a part are worth."""
        price = self.price[part]
        return {"unpriced_qty": qty if price is None else 0, "value_micros": qty * (price or 0)}


def _lots(chance: random.Random, total: int, most: int) -> list[int]:
    """Divide a quantity into a few deliveries."""
    cuts = sorted(chance.randint(0, total) for _ in range(most - 1))
    return [after - before for before, after in itertools.pairwise([0, *cuts, total]) if after > before]
