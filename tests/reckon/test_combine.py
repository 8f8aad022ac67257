"""What a few parts come to together, and the nearest ways to a wanted value, against trying every one."""

from __future__ import annotations

from itertools import combinations, combinations_with_replacement
from math import inf, isclose, sqrt
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.combine import SAME, How, Lot, combine, spread, together, voltages, weights

SIZES = st.sampled_from([10.0, 22.0, 33.0, 47.0, 68.0, 100.0, 150.0, 220.0, 470.0, 1000.0, 4700.0])
LOTS = st.lists(st.builds(Lot, SIZES, st.integers(0, 3), st.integers(0, 2)), max_size=7)
KINDS = st.sampled_from("RCL")
WIRED = {1: [How.ONE], 2: [How.SERIES, How.PARALLEL], 3: [How.SERIES, How.PARALLEL]}
MIXED = (How.PAIR_THEN_ONE, How.PAIR_BESIDE_ONE)
Way = tuple[int, int, How, tuple[float, ...]]


def every_way(wanted: float, lots: list[Lot], kind: str, count: int) -> list[Way]:
    """All that can be wired of so many parts, the best first, by trying each."""
    free = {lot.size: sum(one.free for one in lots if one.size == lot.size) for lot in lots}
    lying = {lot.size: sum(one.free + one.spoken_for for one in lots if one.size == lot.size) for lot in lots}
    found: list[Way] = []
    for sizes in combinations_with_replacement(sorted(size for size in lying if lying[size]), count):
        if any(sizes.count(size) > lying[size] for size in sizes):
            continue
        wirings = [(how, sizes) for how in WIRED[count]]
        if count == 3:
            splits = {(sizes[a], sizes[b], sizes[3 - a - b]) for a, b in combinations(range(3), 2)}
            wirings += [(how, split) for how in MIXED for split in splits]
        taken = sum(max(0, sizes.count(size) - free[size]) for size in set(sizes))
        for how, wired in wirings:
            error = together(how, wired, kind) / wanted - 1
            found.append((round(abs(error) / SAME), taken, how, wired))
    return sorted(found)


@settings(deadline=None, max_examples=150)
@given(st.floats(1, 20_000), LOTS, KINDS, st.integers(1, 4))
def test_the_search_finds_what_trying_every_way_finds(wanted: float, lots: list[Lot], kind: str, keep: int) -> None:
    found = combine(wanted, lots, kind=kind, keep=keep)
    for count in (1, 2, 3):
        best = every_way(wanted, lots, kind, count)[:keep]
        ours = [made for made in found if len(made.sizes) == count]
        assert len(ours) == len(best)
        for made, (error, _, _, _) in zip(ours, best, strict=True):
            # A rounding in the last digit may move an error by one step.
            assert abs(round(abs(made.error) / SAME) - error) <= 1
            assert isclose(made.size, together(made.how, made.sizes, kind))


@settings(deadline=None, max_examples=60)
@given(st.sampled_from([20.0, 50.0, 94.0, 200.0, 235.0, 5000.0]), LOTS)
def test_of_ways_as_near_the_one_that_takes_least_from_others_is_first(wanted: float, lots: list[Lot]) -> None:
    found = combine(wanted, lots, keep=1)
    for made in found:
        _, taken, _, _ = every_way(wanted, lots, "R", len(made.sizes))[0]
        assert made.taken == taken


@pytest.mark.parametrize(
    ("how", "sizes", "kind", "size"),
    [
        # Kirchhoff's laws, worked by hand.
        (How.SERIES, (4700, 300), "R", 5000),
        (How.PARALLEL, (10e3, 15e3), "R", 6000),
        (How.PARALLEL, (30, 20, 12), "R", 6),
        (How.PAIR_THEN_ONE, (30, 60, 5), "R", 25),
        (How.PAIR_BESIDE_ONE, (10, 20, 60), "R", 20),
        (How.SERIES, (3e-6, 6e-6), "C", 2e-6),
        (How.PARALLEL, (3e-6, 6e-6), "C", 9e-6),
        (How.PAIR_THEN_ONE, (1e-6, 2e-6, 6e-6), "C", 2e-6),
        (How.PAIR_BESIDE_ONE, (3e-6, 6e-6, 1e-6), "C", 3e-6),
        (How.SERIES, (2e-3, 3e-3), "L", 5e-3),
    ],
)
def test_what_parts_come_to(how: How, sizes: tuple[float, ...], kind: str, size: float) -> None:
    assert together(how, sizes, kind) == pytest.approx(size)


def test_power_is_shared_as_the_currents_are() -> None:
    # 30 V across 30 ohm beside 60 ohm, in series with 10 ohm: 1 A through the last; Joule's law by hand.
    shares = weights(How.PAIR_THEN_ONE, (30, 60, 10))
    assert [30 * share for share in shares] == pytest.approx([(2 / 3) ** 2 * 30, (1 / 3) ** 2 * 60, 10])
    assert voltages(How.PAIR_THEN_ONE, (30, 60, 10)) == pytest.approx((20 / 30, 20 / 30, 10 / 30))
    # 30 V across 10 ohm and 20 ohm in series, beside 60 ohm.
    assert [45 * share for share in weights(How.PAIR_BESIDE_ONE, (10, 20, 60))] == pytest.approx([10, 20, 15])
    assert voltages(How.PAIR_BESIDE_ONE, (10, 20, 60)) == pytest.approx((1 / 3, 2 / 3, 1))


THREE = st.tuples(*[st.floats(1, 1e6)] * 3)


@settings(deadline=None)
@given(st.sampled_from([How.SERIES, How.PARALLEL, *MIXED]), THREE, KINDS)
def test_shares_come_to_the_whole_and_say_how_a_change_passes_on(
    how: How, sizes: tuple[float, float, float], kind: str
) -> None:
    shares = weights(how, sizes, kind)
    assert sum(shares) == pytest.approx(1)
    whole, tiny = together(how, sizes, kind), 1e-4
    for at, share in enumerate(shares):
        up, down = ([size * (1 + by * (number == at)) for number, size in enumerate(sizes)] for by in (tiny, -tiny))
        slope = (together(how, up, kind) - together(how, down, kind)) / (2 * tiny * whole)
        assert slope == pytest.approx(share, abs=1e-6)


@settings(deadline=None)
@given(st.sampled_from([How.SERIES, How.PARALLEL, *MIXED]), THREE, KINDS)
def test_the_worst_case_lies_in_a_corner(how: How, sizes: tuple[float, float, float], kind: str) -> None:
    sides = [(0.05, 0.05), (0.2, 0.8), (0.01, 0.02)]
    whole = together(how, sizes, kind)
    corners = [1.0]
    for bits in range(8):
        moved = [size * (1 + sides[at][1] if bits >> at & 1 else 1 - sides[at][0]) for at, size in enumerate(sizes)]
        corners.append(together(how, moved, kind) / whole)
    found = spread(how, sizes, sides, kind)
    assert (found.low, found.high) == pytest.approx((min(corners) - 1, max(corners) - 1))
    assert found.rss <= max(map(max, sides)) + SAME


def test_rss_agrees_with_many_parts_drawn_at_random() -> None:
    # Standard deviations in the place of tolerances: the root of the sum of squares is that of the whole.
    draw, sizes, sides = Random(7), (3300.0, 4700.0, 1000.0), [(0.01, 0.01), (0.02, 0.02), (0.005, 0.005)]
    whole = together(How.PAIR_THEN_ONE, sizes)
    many = 20_000
    square = 0.0
    for _ in range(many):
        drawn = [draw.gauss(size, size * side) for size, (side, _) in zip(sizes, sides, strict=True)]
        square += (together(How.PAIR_THEN_ONE, drawn) / whole - 1) ** 2
    # The error of a standard deviation from n draws is a share of 1/sqrt(2n); four of them are allowed.
    assert sqrt(square / many) == pytest.approx(spread(How.PAIR_THEN_ONE, sizes, sides).rss, rel=4 / sqrt(2 * many))


def test_an_empty_drawer_makes_nothing() -> None:
    assert combine(100, []) == []
    assert combine(100, [Lot(100, 0, 0), Lot(0.0, 5)]) == []


def test_one_piece_is_not_used_twice() -> None:
    assert [made.sizes for made in combine(200, [Lot(100, 1)])] == [(100,)]
    assert [made.error for made in combine(200, [Lot(100, 1, 1)], keep=1)][1] == 0
    assert min((made.error for made in combine(1, [Lot(5.0, 3)])), default=inf) > 0
