"""The stores ledger: movements are only ever added, and balances, worth and holdings follow in the same transaction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import select, text
from sqlmodel import col

from buildbook.errors import Forbidden
from buildbook.reckon.average import Change, Pile, issue, receive
from buildbook.store.journal import Work, table_of
from buildbook.store.tables import Balance, Bin, Holding, Movement, Part, Worth

CHUNK = 500


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
    """The figures that the movements at hand touch, read once, changed in memory, written once."""

    balances: dict[tuple[int, int], int] = field(default_factory=dict)
    piles: dict[int, Pile] = field(default_factory=dict)
    held: dict[tuple[int, int, int], Held] = field(default_factory=dict)


def post(work: Work, moves: Sequence[Move]) -> range:
    """Book the movements, in order, and return their numbers.

    Raises Forbidden when a bin, a kit or a board would hold less than nothing.
    """
    books = _open(work, {move.part_id for move in moves})
    rows = []
    for move in moves:
        row = _row(work, move, _worth_change(books, move))
        _apply(work, books, row)
        rows.append(row)
    _close(work, books)
    return work.insert_many(Movement, rows)


def reverse(work: Work, numbers: Iterable[int]) -> range:
    """Book the exact opposite of earlier movements, last first."""
    wanted = list(numbers)
    table = table_of(Movement)
    found = work.execute(select(table).where(table.c.id.in_(wanted)).order_by(table.c.id.desc())).mappings().all()
    rows = [_opposite(work, dict(row)) for row in found]
    books = _open(work, {row["part_id"] for row in rows})
    for row in rows:
        _apply(work, books, row)
        pile = books.piles.get(row["part_id"], Pile())
        books.piles[row["part_id"]] = Pile(
            pile.qty + row["bin_qty"],
            pile.unpriced_qty + row["unpriced_qty"],
            pile.value_micros + row["value_micros"],
        )
    _close(work, books)
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


def _open(work: Work, parts: set[int]) -> Books:
    """Read what is known of the parts."""
    books = Books()
    numbers = sorted(parts)
    for start in range(0, len(numbers), CHUNK):
        some = numbers[start : start + CHUNK]
        for balance in work.execute(select(table_of(Balance)).where(col(Balance.part_id).in_(some))):
            books.balances[balance.part_id, balance.bin_id] = balance.qty
        for pile in work.execute(select(table_of(Worth)).where(col(Worth.part_id).in_(some))):
            books.piles[pile.part_id] = Pile(pile.qty, pile.unpriced_qty, pile.value_micros)
        for row in work.execute(select(table_of(Holding)).where(col(Holding.part_id).in_(some))):
            held = Held(row.kitted, row.fitted, row.lost, row.value_micros, row.unpriced_qty)
            books.held[row.build_id, row.line_id, row.part_id] = held
    return books


SAVE_BALANCE = """
    INSERT INTO balance (part_id, bin_id, qty) VALUES (:part_id, :bin_id, :qty)
    ON CONFLICT (part_id, bin_id) DO UPDATE SET qty = excluded.qty
"""
SAVE_WORTH = """
    INSERT INTO worth (part_id, qty, unpriced_qty, value_micros) VALUES (:part_id, :qty, :unpriced_qty, :value_micros)
    ON CONFLICT (part_id) DO UPDATE
       SET qty = excluded.qty, unpriced_qty = excluded.unpriced_qty, value_micros = excluded.value_micros
"""
SAVE_HOLDING = """
    INSERT INTO holding (build_id, line_id, part_id, kitted, fitted, lost, value_micros, unpriced_qty)
    VALUES (:build_id, :line_id, :part_id, :kitted, :fitted, :lost, :value_micros, :unpriced_qty)
    ON CONFLICT (build_id, line_id, part_id) DO UPDATE
       SET kitted = excluded.kitted, fitted = excluded.fitted, lost = excluded.lost,
           value_micros = excluded.value_micros, unpriced_qty = excluded.unpriced_qty
"""

CLEAR_BALANCE = "DELETE FROM balance WHERE part_id = :part_id AND bin_id = :bin_id"
CLEAR_WORTH = "DELETE FROM worth WHERE part_id = :part_id"
CLEAR_HOLDING = "DELETE FROM holding WHERE build_id = :build_id AND line_id = :line_id AND part_id = :part_id"


def _close(work: Work, books: Books) -> None:
    """Write the figures back; where nothing is left, no row is left."""
    balances = [{"part_id": part, "bin_id": place, "qty": qty} for (part, place), qty in books.balances.items()]
    piles = [{"part_id": part, **pile._asdict()} for part, pile in books.piles.items()]
    held = [
        {"build_id": build, "line_id": line, "part_id": part, **it._asdict()}
        for (build, line, part), it in books.held.items()
    ]
    for save, clear, rows, empty in (
        (SAVE_BALANCE, CLEAR_BALANCE, balances, ("qty",)),
        (SAVE_WORTH, CLEAR_WORTH, piles, ("qty",)),
        (SAVE_HOLDING, CLEAR_HOLDING, held, ("kitted", "fitted", "lost")),
    ):
        kept = [row for row in rows if any(row[name] for name in empty)]
        gone = [row for row in rows if not any(row[name] for name in empty)]
        if kept:
            work.execute(text(save), kept)
        if gone:
            work.execute(text(clear), gone)
