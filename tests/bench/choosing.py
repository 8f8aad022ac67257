"""How fast all combinations of answers are weighed: all at once, against each by itself from nothing."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from itertools import product
from random import Random
from time import process_time
from typing import Any

from buildbook.actions import boards, checklists, checks, lists, supply
from buildbook.actions.checklists import NewStep
from buildbook.actions.supply import NewLoad
from buildbook.answers.combine import combination, combinations, meant, struck_out, unbeaten
from buildbook.answers.supply import supplies
from buildbook.answers.weighing import figures, prices
from buildbook.store.read.as_if import as_if
from buildbook.store.workshop import Workshop
from tests.bench.race import Ground, Race

QUESTIONS, ANSWERS, SAMPLE = 8, "ABC", 60


def asked(shop: Workshop, count: int, seed: int = 1) -> list[str]:
    """Ask so many questions of the Curlew with three answers each, which bring lines, a load, a step, a board."""
    chance = Random(seed)
    parts = [key for (key,) in shop.reads.execute("SELECT key FROM part WHERE unit = 'pc' ORDER BY id")]
    chance.shuffle(parts)
    for number in range(count):
        code = f"Q{number}"
        checks.ask(shop, "CURLEW", code, "Which way?", dict.fromkeys(ANSWERS, ""))
        boards.new_assembly(shop, "CURLEW", code)
        boards.take_out(shop, "CURLEW/CURLEW", f"CURLEW/{code}")
        boards.put_inside(shop, "CURLEW/CURLEW", f"CURLEW/{code}", 1, option=f"{code}:A")
        lists.add_line(shop, f"CURLEW/{code}", parts.pop(), 3)
        for answer in ANSWERS:
            option = f"{code}:{answer}"
            home = chance.choice(("HT", "AUDIO", "MIX", "IF"))
            for _ in range(2):
                lists.add_line(shop, f"CURLEW/{home}", parts.pop(), chance.randrange(1, 6), option=option)
            checklists.add_step(
                shop, f"CURLEW/{home}", NewStep(f"Fit {option}", chance.randrange(5, 60), option=option)
            )
            milliamps = f"{chance.randrange(0, 60)} mA"
            supply.add_load(shop, "CURLEW/HTR", NewLoad(f"load of {option}", current=milliamps, option=option))
    return [f"CURLEW/Q{number}" for number in range(count)]


def all_combinations(ground: Ground) -> Race:
    """All of them, against a sample of them one after the other from nothing: the time of the sample, scaled up."""
    full = not ground.trial and ground.scale >= 1
    shop = demo_with(ground)
    questions = asked(shop, QUESTIONS if full else 3)
    every = list(product(range(len(ANSWERS)), repeat=len(questions)))
    some = Random(2).sample(every, min(SAMPLE, len(every)))
    done: dict[str, float] = {}

    def ours() -> list[Any]:
        begun = process_time()
        found = combinations(shop, questions)
        broken, marks = struck_out(found), unbeaten(found)
        done["ours"] = process_time() - begun
        return [(combination(found, at)[1:8], bool(broken[at]), bool(marks.any())) for at in some]

    def from_nothing() -> list[Any]:
        begun = process_time()
        rows = one_by_one(shop, questions, some)
        done["baseline"] = (process_time() - begun) * len(every) / len(some)
        return [(*row, True) for row in rows]

    return Race(
        f"{len(every):,} combinations of {len(questions)} questions",
        f"each from nothing (a sample of {len(some)}, scaled up)",
        0.05,
        ours,
        from_nothing,
        lambda mine, theirs: mine == theirs,
        told(done),
    )


def told(done: dict[str, float]) -> Callable[[], float]:
    """A clock that goes on by what the side that ran last has measured of itself."""
    shown = {"now": 0.0, "open": 0.0}

    def clock() -> float:
        # Looked at before and after each run; after it there is something to go on by.
        shown["now"] += done.pop("ours", 0.0) + done.pop("baseline", 0.0)
        return shown["now"]

    return clock


def one_by_one(shop: Workshop, questions: list[str], some: list[tuple[int, ...]]) -> list[tuple[Any, bool]]:
    """What each combination brings and whether it breaks a limit, the whole build worked out every time."""
    questioned, build = meant(shop, questions)
    options = [
        [number for (number,) in shop.reads.execute("SELECT id FROM choice_option WHERE choice_id = ?", (one.id,))]
        for one in questioned
    ]
    found = []
    with as_if(shop) as what:
        known = prices(what.shop, {number for (number,) in shop.reads.execute("SELECT id FROM part")})
        what.answer({one.id: 0 for one in questioned})
        base = figures(what.shop, build, known)
        for at in some:
            what.answer({one.id: options[axis][at[axis]] for axis, one in enumerate(questioned)})
            brought = tuple(figures(what.shop, build, known).less(base))
            states = [one.state for one in supplies(what.shop, build.code)]
            found.append((brought, any(state in ("over", "tight") for state in states)))
    return found


def demo_with(ground: Ground) -> Workshop:
    """The demo workshop, in the folder of the race."""
    from buildbook.cli.demo import make_demo

    made = ground.folder / "made.db"
    make_demo(made)
    path = ground.folder / "choosing.db"
    shutil.copyfile(made, path)
    shop = Workshop(path)
    ground.closing.callback(shop.close)
    return shop
