"""How fast a value is met from the drawers, and all of Checks is asked."""

from __future__ import annotations

import sqlite3
from random import Random
from time import process_time
from typing import Any

from buildbook.actions import boards, checks, measuring, snags, supply
from buildbook.actions.measuring import NewPoint
from buildbook.actions.supply import NewLoad, NewSupply
from buildbook.actions.workshop import Workshop, open_workshop
from buildbook.answers.checks import Checks
from buildbook.answers.checks import checks as all_checks
from buildbook.reckon.combine import Lot, Made, combine
from tests.bench.race import Ground, Race

WANTED = 12_345.0
STEP = 1e-6


def stocked(count: int, seed: int = 1) -> list[Lot]:
    """So many different values from 10 ohms to 1 megohm, some pieces of each."""
    chance = Random(seed)
    sizes = {round(10 ** chance.uniform(1, 6), 3) for _ in range(2 * count)}
    return [Lot(size, chance.randrange(1, 5)) for size in chance.sample(sorted(sizes), count)]


def every_triple(wanted: float, lots: list[Lot]) -> float:
    """By what share the best three of a kind of wiring miss what is wanted: every triple, plane by plane in numpy."""
    import numpy as np

    sizes = np.array([lot.size for lot in lots], dtype=float)
    best = np.inf
    pieces = np.array([lot.free for lot in lots])
    for at, one in enumerate(sizes):
        left = pieces.copy()
        left[at] -= 1
        first, second = np.meshgrid(np.arange(len(sizes)), np.arange(len(sizes)), indexing="ij")
        there = (left[first] > 0) & (left[second] - (first == second) > 0)
        a, b = sizes[first], sizes[second]
        pair = a * b / (a + b)
        for total in (a + b + one, 1 / (1 / a + 1 / b + 1 / one), pair + one, 1 / (1 / (a + b) + 1 / one)):
            off = np.where(there, np.abs(total / wanted - 1), np.inf)
            best = min(best, float(off.min()))
    return float(best)


def triples(ground: Ground) -> Race:
    """Three from 5,000 values, against every triple of a twenty-fifth of them: 1 in 15,625 of all triples."""
    full = not ground.trial and ground.scale >= 1
    lots = stocked(5_000 if full else 60)
    few = lots[: 200 if full else 60]

    def both() -> tuple[list[Made], list[Made]]:
        # The few are met besides, so that the two sides can be held to the same result.
        return combine(WANTED, lots, keep=1), combine(WANTED, few, keep=1)

    def agree(ours: tuple[list[Made], list[Made]], best: float) -> bool:
        three = next(made for made in ours[1] if len(made.sizes) == 3)
        return round(abs(three.error) / STEP) == round(best / STEP)

    return Race(
        f"the best of three from {len(lots):,} stocked values, and of {len(few)}",
        f"numpy tries every three of {len(few)} of them",
        1,
        both,
        lambda: every_triple(WANTED, few),
        agree,
        process_time,
    )


# The rows that the answer of Checks is made of.
ROWS = (
    "SELECT id, project_id, code, question, state, reason FROM choice",
    "SELECT id, choice_id, code, name, chosen FROM choice_option",
    "SELECT * FROM supply",
    "SELECT * FROM supply_load",
    "SELECT * FROM test_point",
    "SELECT * FROM reading",
    "SELECT * FROM snag",
    "SELECT * FROM snag_try",
    "SELECT id, code, project_id, assembly_id, units, state FROM build",
    "SELECT parent_id, child_id, qty, option_id FROM contains",
    "SELECT id, project_id, code, name FROM assembly",
)


def design(ground: Ground, projects: int) -> Workshop:
    """Projects with questions, supplies, test sheets read in part, and snags."""
    shop = open_workshop(ground.folder / "design.db", create=True)
    ground.closing.callback(shop.close)
    for number in range(projects):
        code = f"P{number}"
        boards.new_project(shop, code)
        checks.ask(shop, code, "Q", "Which?", {"A": "One", "B": "Other"})
        supply.add_supply(shop, code, NewSupply("HTR", "winding", volts="6.3 V", limit="3 A", keep_free="20 %"))
        supply.add_supply(shop, code, NewSupply("HT", "rail", volts="12 V", limit="1 A", fed_by="HTR"))
        for load in range(6):
            supply.add_load(shop, f"{code}/HTR", NewLoad(f"load {load}", current="0.1 A"))
        measuring.add_points(shop, code, [NewPoint(f"T{point}", limits="1-2 V") for point in range(12)])
        for point in range(6):
            measuring.read(shop, code, f"{code}/T{point}", "1.5")
        snags.open_snag(shop, code, "It hums")
        snags.add_try(shop, f"{code}/1", "Prodded it", minutes="5 min")
    return shop


def whole_checks(ground: Ground) -> Race:
    """All of Checks at once, against fetching the rows it is made of."""
    shop = design(ground, 30 if not ground.trial and ground.scale >= 1 else 2)
    plain = sqlite3.connect(shop.path)
    ground.closing.callback(plain.close)

    def fetch() -> list[list[tuple[Any, ...]]]:
        return [plain.execute(statement).fetchall() for statement in ROWS]

    def agree(ours: Checks, rows: list[list[tuple[Any, ...]]]) -> bool:
        return [len(ours.rows), len(ours.supplies), len(ours.points), len(ours.snags)] == [
            len(rows[at]) for at in (0, 2, 4, 6)
        ]

    return Race(
        "all of Checks: questions, supplies, test sheets, snags",
        "sqlite3 fetches the same rows",
        12,
        lambda: all_checks(shop),
        fetch,
        agree,
        process_time,
    )
