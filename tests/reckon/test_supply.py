"""The supply budget by hand figures, and what holds for any tree."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.supply import Load, Standing, Supply, standings

A = V = 1_000_000
MA = 1000


def by_id(supplies: list[Supply], chosen: tuple[int, ...] = ()) -> dict[int, Standing]:
    """How each stands."""
    return {one.id: one for one in standings(supplies, chosen)}


def heaters(*loads: Load, keep_free_bp: int = 2000) -> Supply:
    """A 6.3 V winding of 2.5 A."""
    return Supply(1, "winding", 0, 6_300_000, 2_500_000, keep_free_bp, loads=loads)


BASE = Load("all valves but the rectifier", 1, 1_824_000)
VALVE = Load("EZ80", 1, 600 * MA, option=7)


def test_the_rectifier_valve_comes_with_its_option_only() -> None:
    without, with_it = standings([heaters(BASE, VALVE)])[0], standings([heaters(BASE, VALVE)], {7})[0]
    assert (without.load, without.per_bp, without.headroom, without.state) == (1_824_000, 7296, 176_000, "within")
    assert (with_it.load, with_it.per_bp, with_it.headroom, with_it.state) == (2_424_000, 9696, -424_000, "tight")


@pytest.mark.parametrize(
    ("load_ma", "state"), [(2000, "within"), (2001, "tight"), (2500, "tight"), (2501, "over"), (0, "within")]
)
def test_a_limit_is_kept_to_the_microamp(load_ma: int, state: str) -> None:
    assert standings([heaters(Load("x", 1, load_ma * MA))])[0].state == state


def test_two_output_valves_and_two_double_triodes_want_a_winding_of_5_a() -> None:
    """Data sheets: 2 x EL34 and 2 x 6SN7GT draw 4.2 A; 5 A is enough, 4 A is not."""
    loads = (Load("EL34", 2, 1500 * MA), Load("6SN7GT", 2, 600 * MA))
    big, small = (Supply(1, "winding", 0, 6_300_000, limit * A, loads=loads) for limit in (5, 4))
    assert [standings([one])[0].state for one in (big, small)] == ["within", "over"]


def test_from_the_rail_to_the_fuse() -> None:
    """By hand: 62.8 mA of HT x 1.2 is 75.36 mA; two halves of 200 V give 30.144 VA; heaters 11.4912 VA; 0.18102 A."""
    tree = [
        Supply(4, "rail", 3, 228 * V, 80 * MA, 2000, "rectifier", 1_200_000, loads=(Load("HT", 1, 62_800),)),
        Supply(3, "winding", 2, 200 * V, 100 * MA, 2000, alike=2),
        Supply(5, "winding", 2, 6_300_000, 2_500_000, loads=(BASE,)),
        Supply(2, "core", 1, 0, 60 * V),
        Supply(1, "fuse", 0, 230 * V, 400 * MA),
    ]
    found = standings(tree)
    assert [(one.id, one.depth) for one in found] == [(1, 0), (2, 1), (3, 2), (4, 3), (5, 2)]
    stands = by_id(tree)
    assert stands[3].load == 75_360
    assert stands[2].load == 30_144_000 + 11_491_200
    assert stands[1].load == 181_023  # 41.6352 VA over 230 V, rounded up
    assert {one.state for one in found} == {"within"}


def test_regulators_pass_current_or_convert_power() -> None:
    winding = Supply(1, "winding", 0, 12 * V, 2 * A)
    linear = Supply(2, "rail", 1, 5 * V, A, way="linear", loads=(Load("logic", 1, 300 * MA),))
    assert by_id([winding, linear])[1].load == 300 * MA
    # 5 V x 0.3 A = 1.5 W; at 80 % that is 1.875 W, and at 12 V 156.25 mA.
    switching = linear._replace(way="switching", factor_ppm=800_000)
    assert by_id([winding, switching])[1].load == 156_250


def test_power_is_current_at_the_voltage_of_its_supply() -> None:
    """A relay coil of 12 V, 0.25 W draws 20.8 mA."""
    found = standings([Supply(1, "rail", 0, 12 * V, A, loads=(Load("relay", 1, power_uw=250_000),))])[0]
    assert found.load == 20_834


def test_duty_thins_a_load_and_all_on_does_not() -> None:
    found = standings([Supply(1, "rail", 0, 12 * V, A, loads=(Load("lamp", 2, 100 * MA, duty_bp=2500),))])[0]
    assert (found.load, found.all_on) == (50 * MA, 200 * MA)


def test_what_is_unknown_is_counted_all_the_way_up_and_is_never_nought() -> None:
    tree = [
        Supply(1, "winding", 0, 12 * V, A),
        Supply(2, "rail", 1, 12 * V, None, way="rectifier", factor_ppm=1_800_000, loads=(Load("meter", 3),)),
        Supply(3, "rail", 1, 12 * V, A, way="rectifier", loads=(Load("lamp", 1, 100),)),
    ]
    stands = by_id(tree)
    assert (stands[2].unknown, stands[2].state, stands[2].headroom) == (3, "unknown", None)
    assert (stands[1].unknown, stands[1].state) == (4, "unknown")  # three meters, and a rail without a factor


def test_a_ring_is_refused() -> None:
    with pytest.raises(BadInput, match="in a ring"):
        standings([Supply(1, "rail", 2, V, A), Supply(2, "rail", 1, V, A)])
    with pytest.raises(BadInput, match="in a ring"):
        standings([Supply(1, "rail", 1, V, A)])


LOADS = st.builds(
    Load,
    st.just("x"),
    qty=st.integers(1, 9),
    current_ua=st.none() | st.integers(0, 3 * A),
    power_uw=st.none() | st.integers(0, 9 * A),
    duty_bp=st.integers(0, 10_000),
    option=st.integers(0, 2),
)


@settings(deadline=None, max_examples=80)
@given(loads=st.lists(LOADS, max_size=6), factor=st.integers(1, 4 * A), chosen=st.sets(st.integers(1, 2)))
def test_a_second_method_by_fractions(loads: list[Load], factor: int, chosen: set[int]) -> None:
    """The exact sums, by fractions, are met from above by less than a microamp for each rounding."""
    rail = Supply(2, "rail", 1, 5 * V, A, way="rectifier", factor_ppm=factor, loads=tuple(loads))
    stands = {one.id: one for one in standings([Supply(1, "winding", 0, 9 * V, A), rail], chosen)}
    counted = [one for one in loads if one.option in {0, *chosen}]
    exact = Fraction(0)
    for one in counted:
        each = Fraction(one.power_uw or 0, 5) if one.current_ua is None else Fraction(one.current_ua)
        exact += each * one.qty * one.duty_bp / 10_000
    roundings = sum(one.qty + 1 for one in counted)
    assert exact <= stands[2].load < exact + roundings + 1
    assert 0 <= stands[1].load - Fraction(stands[2].load * factor, A) < 1
    assert stands[2].unknown == sum(one.qty for one in counted if one.current_ua is None and one.power_uw is None)


@settings(deadline=None, max_examples=60)
@given(loads=st.lists(LOADS, min_size=1, max_size=5))
def test_one_load_more_never_lightens(loads: list[Load]) -> None:
    fewer, more = heaters(*loads[1:]), heaters(*loads)
    assert standings([fewer], {1, 2})[0].load <= standings([more], {1, 2})[0].load
