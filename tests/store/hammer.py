"""A program that works on a workshop without a pause and says what it has done; a test ends it in the middle."""

from __future__ import annotations

import os
import random
import sys
from pathlib import Path

from buildbook.errors import Forbidden
from buildbook.store import migrate  # noqa: F401  (brought in before the work begins)
from buildbook.store.journal import Work, action, redo, undo
from buildbook.store.ledger import Move, post
from buildbook.store.tables import Part, PartAlias
from buildbook.store.workshop import open_workshop


def something(work: Work, dice: random.Random, name: str) -> None:
    """Write a few rows, some with the ledger."""
    part, place, qty = dice.randint(1, 3), dice.randint(1, 3), dice.randint(1, 20)
    match dice.randrange(4):
        case 0:
            work.insert_many(Part, [{"key": f"{name} {n}", "note": "x" * 300} for n in range(dice.randint(1, 40))])
        case 1:
            work.add(PartAlias(part_id=part, alias=name))
        case 2:
            post(work, [Move("received", part, place, qty, value_micros=dice.randint(0, 10**6))])
        case _:
            kit = Move("kitted", part, place, -qty, kit_qty=qty, build_id=1, line_id=part)
            post(work, [kit, Move("fitted", part, kit_qty=-1, fit_qty=1, build_id=1, line_id=part)])


def say(words: str) -> None:
    """A line, at once."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


def hammer(path: Path, seed: int) -> None:
    """200 actions; each is acknowledged by its title as soon as it is done."""
    dice = random.Random(seed)
    shop = open_workshop(path)
    for number in range(200):
        name = f"{seed}.{number}"
        try:
            if dice.random() < 0.2:
                name = f"Undo: {undo(shop)}" if dice.random() < 0.6 else f"Redo: {redo(shop)}"
            else:
                with action(shop, name) as work:
                    something(work, dice, name)
        except Forbidden:
            continue
        say(name)


def main() -> None:
    """Each line asked for, a path and a seed, is worked on by a process of its own, which says its number first."""
    for line in sys.stdin:
        path, seed = line.rsplit(maxsplit=1)
        if os.fork() == 0:
            say(str(os.getpid()))
            hammer(Path(path), int(seed))
            os._exit(0)
        os.wait()
        say("ended")


if __name__ == "__main__":
    main()
