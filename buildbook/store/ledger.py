"""The stores ledger: movements are only ever added, and balances, worth and holdings follow in the same transaction."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import select

from buildbook.errors import Forbidden
from buildbook.reckon.average import Change, Pile, issue, receive
from buildbook.store.journal import Work, table_of
from buildbook.store.tables import Bin, Movement, Part

# A thousand million: so the worth of thousands of such parts can still be summed up in 63 bits.
MOST_WORTH_MICROS = 10**9 * 10**6


@dataclass(frozen=True, slots=True)
class Move:
    """A movement to be booked. Quantities in base units, signed; `value_micros` is what a receipt cost, if known."""

    kind: str
    part_id: int
    bin_id: int | None = None
    bin_qty: int = 0
    kit_qty: int = 0
    fit_qty: int = 0
    lost_qty: int = 0
    build_id: int | None = None
    line_id: int | None = None
    value_micros: int | None = None
    purchase_line_id: int | None = None
    note: str = ""


class Held(NamedTuple):
    """What a build holds of a part for a line."""

    kitted: int = 0
    fitted: int = 0
    lost: int = 0
    value_micros: int = 0
    unpriced_qty: int = 0


@dataclass(slots=True)
class Books:
    """The figures that the movements at hand touch, read once, changed in memory, written once where they changed."""

    balances: dict[tuple[int, int], int] = field(default_factory=dict)
    piles: dict[int, Pile] = field(default_factory=dict)
    held: dict[tuple[int, int, int], Held] = field(default_factory=dict)

    def copy(self) -> Books:
        """The same figures, to compare with later."""
        return Books(dict(self.balances), dict(self.piles), dict(self.held))


def post(work: Work, moves: Sequence[Move]) -> range:
    """Book the movements, in order, and return their numbers.

    Raises Forbidden when a bin, a kit or a board would hold less than nothing, or a part be worth too much.
    """
    books = _open(work, {move.part_id for move in moves}, {move.build_id for move in moves if move.build_id})
    before = books.copy()
    rows = []
    for move in moves:
        row = _row(work, move, _worth_change(books, move))
        _apply(work, books, row)
        rows.append(row)
    _refuse_treasure(work, books)
    _close(work, books, before)
    return work.insert_many(Movement, rows)


def _refuse_treasure(work: Work, books: Books) -> None:
    """No part may be worth so much that the worth of all of them could not be summed up."""
    for number, pile in books.piles.items():
        if pile.value_micros > MOST_WORTH_MICROS:
            part = work.get(Part, number)
            raise Forbidden(
                "Nothing was booked.",
                f"All of {part.key if part else 'it'} would be worth more than {MOST_WORTH_MICROS // 10**6:,}.",
                "Look at the quantity and the price.",
            )


def reverse(work: Work, numbers: Iterable[int]) -> range:
    """Book the exact opposite of earlier movements, last first."""
    wanted = list(numbers)
    table = table_of(Movement)
    found = work.execute(select(table).where(table.c.id.in_(wanted)).order_by(table.c.id.desc())).mappings().all()
    rows = [_opposite(work, dict(row)) for row in found]
    books = _open(work, {row["part_id"] for row in rows}, {row["build_id"] for row in rows if row["build_id"]})
    before = books.copy()
    for row in rows:
        _apply(work, books, row)
        pile = books.piles.get(row["part_id"], Pile())
        books.piles[row["part_id"]] = Pile(
            pile.qty + row["bin_qty"],
            pile.unpriced_qty + row["unpriced_qty"],
            pile.value_micros + row["value_micros"],
        )
    _close(work, books, before)
    return work.insert_many(Movement, rows)


def _opposite(work: Work, row: dict[str, Any]) -> dict[str, Any]:
    signed = ("bin_qty", "kit_qty", "fit_qty", "lost_qty", "value_micros", "unpriced_qty")
    number = row.pop("id")
    return {
        **row,
        **{name: -row[name] for name in signed},
        "kind": "reversed",
        "reverses_id": number,
        "at": work.at,
    }


def _row(work: Work, move: Move, change: Change) -> dict[str, Any]:
    return {
        "at": work.at,
        "kind": move.kind,
        "part_id": move.part_id,
        "bin_id": move.bin_id,
        "build_id": move.build_id,
        "line_id": move.line_id,
        "purchase_line_id": move.purchase_line_id,
        "bin_qty": move.bin_qty,
        "kit_qty": move.kit_qty,
        "fit_qty": move.fit_qty,
        "lost_qty": move.lost_qty,
        "value_micros": change.value_micros,
        "unpriced_qty": change.unpriced_qty,
        "reverses_id": None,
        "note": move.note,
    }


def _worth_change(books: Books, move: Move) -> Change:
    """What the movement does to the worth of the stock; moving between bins does nothing to it."""
    if move.bin_qty == 0 or move.kind == "moved":
        return Change(0, 0, 0)
    pile = books.piles.get(move.part_id, Pile())
    if move.bin_qty < 0:
        if -move.bin_qty > pile.qty:
            return Change(0, 0, 0)  # the bin cannot hold it either: _apply refuses it, naming the bin
        pile, change = issue(pile, -move.bin_qty)
    elif move.line_id is not None:
        held = _held(books, move.build_id, move.line_id, move.part_id)
        in_hand = held.kitted + held.fitted + held.lost
        _, back = issue(Pile(in_hand, held.unpriced_qty, held.value_micros), min(move.bin_qty, in_hand))
        change = Change(move.bin_qty, -back.unpriced_qty, -back.value_micros)
        pile = Pile(*(had + more for had, more in zip(pile, change, strict=True)))
    else:
        pile, change = receive(pile, move.bin_qty, move.value_micros)
    books.piles[move.part_id] = pile
    return change


def _apply(work: Work, books: Books, row: dict[str, Any]) -> None:
    """Change the balance of the bin and what the build holds."""
    if row["bin_qty"]:
        place = (row["part_id"], row["bin_id"])
        books.balances[place] = books.balances.get(place, 0) + row["bin_qty"]
        if books.balances[place] < 0:
            raise _too_few(work, row, books.balances[place])
    if row["line_id"] is not None:
        held = _held(books, row["build_id"], row["line_id"], row["part_id"])
        moved = row["bin_qty"] != 0
        after = Held(
            held.kitted + row["kit_qty"],
            held.fitted + row["fit_qty"],
            held.lost + row["lost_qty"],
            held.value_micros - (row["value_micros"] if moved else 0),
            held.unpriced_qty - (row["unpriced_qty"] if moved else 0),
        )
        if min(after) < 0:
            raise Forbidden(
                "Nothing was moved.",
                "The build does not hold that many of it.",
                "See `buildbook boards show`.",
            )
        books.held[row["build_id"], row["line_id"], row["part_id"]] = after


def _held(books: Books, build_id: int | None, line_id: int, part_id: int) -> Held:
    return books.held.get((build_id or 0, line_id, part_id), Held())


def _too_few(work: Work, row: dict[str, Any], left: int) -> Forbidden:
    part = work.get(Part, row["part_id"])
    place = work.get(Bin, row["bin_id"])
    names = f"{place.name if place else 'the bin'} holds {left - row['bin_qty']} of {part.key if part else 'it'}"
    return Forbidden("Nothing was moved.", f"{names}, {-row['bin_qty']} are wanted.", "Count the bin, or take fewer.")


# Indexes: the primary keys of balance, worth and holding (build first).
BALANCES = "SELECT part_id, bin_id, qty FROM balance WHERE part_id IN (SELECT value FROM json_each(?))"
PILES = """
    SELECT part_id, qty, unpriced_qty, value_micros FROM worth WHERE part_id IN (SELECT value FROM json_each(?))
"""
HELD = """
    SELECT build_id, line_id, part_id, kitted, fitted, lost, value_micros, unpriced_qty
      FROM holding WHERE build_id IN (SELECT value FROM json_each(?)) AND part_id IN (SELECT value FROM json_each(?))
"""


def _open(work: Work, parts: set[int], builds: set[int]) -> Books:
    """Read what is known of the parts, and what these builds hold of them."""
    numbers = (json.dumps(sorted(parts)),)
    held = work.run(HELD, (json.dumps(sorted(builds)), *numbers)) if builds else ()
    return Books(
        {(row[0], row[1]): row[2] for row in work.run(BALANCES, numbers)},
        {row[0]: Pile(*row[1:]) for row in work.run(PILES, numbers)},
        {(row[0], row[1], row[2]): Held(*row[3:]) for row in held},
    )


SAVE_BALANCE = """
    INSERT INTO balance (part_id, bin_id, qty) VALUES (?, ?, ?)
    ON CONFLICT (part_id, bin_id) DO UPDATE SET qty = excluded.qty
"""
SAVE_WORTH = """
    INSERT INTO worth (part_id, qty, unpriced_qty, value_micros) VALUES (?, ?, ?, ?)
    ON CONFLICT (part_id) DO UPDATE
       SET qty = excluded.qty, unpriced_qty = excluded.unpriced_qty, value_micros = excluded.value_micros
"""
SAVE_HOLDING = """
    INSERT INTO holding (build_id, line_id, part_id, kitted, fitted, lost, value_micros, unpriced_qty)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT (build_id, line_id, part_id) DO UPDATE
       SET kitted = excluded.kitted, fitted = excluded.fitted, lost = excluded.lost,
           value_micros = excluded.value_micros, unpriced_qty = excluded.unpriced_qty
"""
CLEAR_BALANCE = "DELETE FROM balance WHERE part_id = ? AND bin_id = ?"
CLEAR_WORTH = "DELETE FROM worth WHERE part_id = ?"
CLEAR_HOLDING = "DELETE FROM holding WHERE build_id = ? AND line_id = ? AND part_id = ?"


def _close(work: Work, books: Books, before: Books) -> None:
    """Write back the figures that are not as before; where nothing is left, no row is left."""
    balances = {place: qty for place, qty in books.balances.items() if before.balances.get(place) != qty}
    piles = {part: pile for part, pile in books.piles.items() if before.piles.get(part) != pile}
    held = {of: it for of, it in books.held.items() if before.held.get(of) != it}
    _run(work, SAVE_BALANCE, [(*place, qty) for place, qty in balances.items() if qty])
    _run(work, CLEAR_BALANCE, [place for place, qty in balances.items() if not qty])
    _run(work, SAVE_WORTH, [(part, *pile) for part, pile in piles.items() if pile.qty])
    _run(work, CLEAR_WORTH, [(part,) for part, pile in piles.items() if not pile.qty])
    _run(work, SAVE_HOLDING, [(*of, *it) for of, it in held.items() if it.kitted or it.fitted or it.lost])
    _run(work, CLEAR_HOLDING, [of for of, it in held.items() if not (it.kitted or it.fitted or it.lost)])


def _run(work: Work, statement: str, rows: list[tuple[int, ...]]) -> None:
    if rows:
        work.run(statement, rows)
