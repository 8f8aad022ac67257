"""Movements add up: bins, kits, boards and money, forwards and backwards."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

import pytest

from buildbook.errors import BadInput, Forbidden
from buildbook.store.checkup import check
from buildbook.store.journal import action, redo, undo
from buildbook.store.ledger import Move, post
from buildbook.store.workshop import Workshop

R, C = 1, 2
A1, A2 = 1, 2


def book(shop: Workshop, *moves: Move) -> None:
    with action(shop, "Move parts") as work:
        post(work, moves)


def received(part: int, bin_: int, qty: int, value_micros: int | None = None) -> Move:
    return Move("received", part, bin_, qty, value_micros=value_micros)


def kitted(part: int, bin_: int, qty: int) -> Move:
    return Move("kitted", part, bin_, -qty, kit_qty=qty, build_id=1, line_id=part)


def returned(part: int, bin_: int, qty: int) -> Move:
    return Move("returned", part, bin_, qty, kit_qty=-qty, build_id=1, line_id=part)


def fitted(part: int, qty: int) -> Move:
    return Move("fitted", part, kit_qty=-qty, fit_qty=qty, build_id=1, line_id=part)


def scrapped(part: int, qty: int) -> Move:
    return Move("scrapped", part, kit_qty=-qty, lost_qty=qty, build_id=1, line_id=part)


def asked(shop: Workshop, statement: str) -> list[Any]:
    return shop.reads.execute(statement).fetchall()


def balances(shop: Workshop) -> list[Any]:
    return asked(shop, "SELECT part_id, bin_id, qty FROM balance ORDER BY 1, 2")


def worth(shop: Workshop) -> list[Any]:
    return asked(shop, "SELECT part_id, qty, unpriced_qty, value_micros FROM worth ORDER BY 1")


def holding(shop: Workshop) -> list[Any]:
    return asked(shop, "SELECT part_id, kitted, fitted, lost, value_micros, unpriced_qty FROM holding ORDER BY 1")


def proved(shop: Workshop) -> bool:
    return all(proof.holds for proof in check(shop))


def test_a_receipt_lies_in_its_bin_at_what_it_cost(wren: Workshop) -> None:
    book(wren, received(R, A1, 100, 5_000_000), received(R, A2, 50), received(C, A1, 20))
    assert balances(wren) == [(R, A1, 100), (R, A2, 50), (C, A1, 20)]
    assert worth(wren) == [(R, 150, 0, 7_500_000), (C, 20, 20, 0)]
    assert asked(wren, "SELECT id, at, kind, bin_qty, value_micros, unpriced_qty FROM movement") == [
        (1, "2024-03-01T18:00:01.000Z", "received", 100, 5_000_000, 0),
        (2, "2024-03-01T18:00:01.000Z", "received", 50, 2_500_000, 0),
        (3, "2024-03-01T18:00:01.000Z", "received", 20, 0, 20),
    ]


def test_money_goes_with_the_parts_through_receive_kit_return_scrap(wren: Workshop) -> None:
    book(wren, received(R, A1, 3, 1_000_000))
    book(wren, kitted(R, A1, 2))
    assert worth(wren) == [(R, 1, 0, 333_334)]
    assert holding(wren) == [(R, 2, 0, 0, 666_666, 0)]
    book(wren, received(R, A1, 1, 1_000_000))
    assert worth(wren) == [(R, 2, 0, 1_333_334)]
    book(wren, returned(R, A2, 1))  # comes back at what it left with, not at the average of today
    assert worth(wren) == [(R, 3, 0, 1_666_667)]
    assert holding(wren) == [(R, 1, 0, 0, 333_333, 0)]
    book(wren, scrapped(R, 1))
    assert holding(wren) == [(R, 0, 0, 1, 333_333, 0)]
    assert balances(wren) == [(R, A1, 2), (R, A2, 1)]
    book(wren, Move("scrapped", R, A1, -2))  # dropped on the floor, for no build
    assert worth(wren) == [(R, 1, 0, 555_556)]
    assert proved(wren)


def test_pieces_without_a_price_are_taken_last_and_stay_without_one(wren: Workshop) -> None:
    book(wren, received(C, A1, 2), received(C, A1, 2, 400_000))
    book(wren, kitted(C, A1, 3))
    assert worth(wren) == [(C, 1, 1, 0)]
    assert holding(wren) == [(C, 3, 0, 0, 400_000, 1)]
    book(wren, fitted(C, 2))
    assert holding(wren) == [(C, 1, 2, 0, 400_000, 1)]
    book(wren, returned(C, A1, 1))
    assert holding(wren) == [(C, 0, 2, 0, 200_000, 1)]
    assert worth(wren) == [(C, 2, 1, 200_000)]
    assert proved(wren)


def test_moving_between_bins_changes_no_worth(wren: Workshop) -> None:
    book(wren, received(R, A1, 10, 700))
    book(wren, Move("moved", R, A1, -4), Move("moved", R, A2, 4))
    assert balances(wren) == [(R, A1, 6), (R, A2, 4)]
    assert worth(wren) == [(R, 10, 0, 700)]


def test_movements_booked_together_follow_each_other(wren: Workshop) -> None:
    book(wren, received(R, A1, 3, 100), kitted(R, A1, 3), returned(R, A1, 1), returned(R, A2, 2))
    assert worth(wren) == [(R, 3, 0, 100)]
    assert holding(wren) == []
    assert proved(wren)
    book(wren, received(C, A1, 1, 70), received(C, A1, 1), kitted(C, A1, 2))
    book(wren, returned(C, A1, 1), returned(C, A1, 1))
    assert worth(wren)[1:] == [(C, 2, 0, 140)]


def test_where_nothing_is_left_no_row_is_left(wren: Workshop) -> None:
    book(wren, received(R, A1, 3, 100))
    book(wren, kitted(R, A1, 3))
    assert balances(wren) == worth(wren) == []
    book(wren, returned(R, A1, 3))
    assert holding(wren) == []
    assert worth(wren) == [(R, 3, 0, 100)]


@pytest.mark.parametrize(
    ("moves", "said"),
    [
        ([Move("scrapped", R, A1, -11)], "Nothing was moved. A1 holds 10 of R-4k7, 11 are wanted. Count the bin, or"),
        ([kitted(R, A2, 1)], "Nothing was moved. A2 holds 0 of R-4k7, 1 are wanted."),
        ([kitted(R, A1, 6), kitted(R, A1, 6)], "Nothing was moved. A1 holds 4 of R-4k7, 6 are wanted."),
        ([Move("moved", C, A1, -1), Move("moved", C, A2, 1)], "Nothing was moved. A1 holds 0 of C-100n, 1 are wanted."),
        ([fitted(R, 1)], "Nothing was moved. The build does not hold that many of it. See `buildbook boards show`."),
        ([returned(R, A1, 1)], "Nothing was moved. The build does not hold that many of it."),
        ([kitted(R, A1, 2), scrapped(R, 3)], "Nothing was moved. The build does not hold that many of it."),
    ],
)
def test_more_than_there_is_is_refused(wren: Workshop, moves: Sequence[Move], said: str) -> None:
    book(wren, received(R, A1, 10, 1000))
    before = (balances(wren), worth(wren), holding(wren), asked(wren, "SELECT * FROM movement"))
    with pytest.raises(Forbidden) as refused:
        book(wren, *moves)
    assert str(refused.value).startswith(said)
    assert (balances(wren), worth(wren), holding(wren), asked(wren, "SELECT * FROM movement")) == before


@pytest.mark.parametrize(
    "move",
    [Move("received", 99, A1, 1), Move("received", R, 99, 1), Move("kitted", R, kit_qty=1), Move("stolen", R, A1, 1)],
)
def test_what_leads_nowhere_is_refused(wren: Workshop, move: Move) -> None:
    with pytest.raises(Forbidden, match=r"A rule of the workshop forbids it"):
        book(wren, move)
    assert balances(wren) == []


def test_no_part_is_worth_more_than_can_be_summed_up(wren: Workshop) -> None:
    with action(wren, "Receive") as work:
        post(work, [Move("received", R, A1, 1, value_micros=10**15)])
    with (
        pytest.raises(Forbidden, match=r"All of R-4k7 would be worth more than 1,000,000,000"),
        action(wren, "x") as work,
    ):
        post(work, [Move("received", R, A1, 10**12)])
    assert wren.reads.execute("SELECT qty, value_micros FROM worth").fetchall() == [(1, 10**15)]


def test_a_receipt_cannot_cost_less_than_nothing(wren: Workshop) -> None:
    with pytest.raises(BadInput, match=r"not possible"):
        book(wren, received(R, A1, 1, -1))


@pytest.mark.parametrize("statement", ["UPDATE movement SET bin_qty = 9", "DELETE FROM movement"])
def test_the_ledger_only_grows(wren: Workshop, statement: str) -> None:
    book(wren, received(R, A1, 10))
    db = sqlite3.connect(wren.path)
    with pytest.raises(sqlite3.IntegrityError, match=r"movement only grows"):
        db.execute(statement)
    db.close()


def test_undo_reverses_movements_and_redo_reverses_the_reversal(wren: Workshop) -> None:
    book(wren, received(R, A1, 3, 100), kitted(R, A1, 2), fitted(R, 1))
    full = (balances(wren), worth(wren), holding(wren))
    undo(wren)
    assert balances(wren) == worth(wren) == holding(wren) == []
    redo(wren)
    assert (balances(wren), worth(wren), holding(wren)) == full
    assert asked(wren, "SELECT kind, bin_qty, kit_qty, fit_qty, value_micros, reverses_id FROM movement") == [
        ("received", 3, 0, 0, 100, None),
        ("kitted", -2, 2, 0, -66, None),
        ("fitted", 0, -1, 1, 0, None),
        ("reversed", 0, 1, -1, 0, 3),
        ("reversed", 2, -2, 0, 66, 2),
        ("reversed", -3, 0, 0, -100, 1),
        ("reversed", 3, 0, 0, 100, 6),
        ("reversed", -2, 2, 0, -66, 5),
        ("reversed", 0, -1, 1, 0, 4),
    ]
    assert proved(wren)


def test_many_movements_at_once(wren: Workshop) -> None:
    book(wren, *(received(1 + n % 3, 1 + n % 2, n + 1, n * 1000) for n in range(1201)))
    assert asked(wren, "SELECT sum(qty) FROM balance") == [(1201 * 1202 // 2,)]
    assert proved(wren)
    undo(wren)
    assert balances(wren) == []
    assert proved(wren)
