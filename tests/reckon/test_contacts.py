"""Functions on the poles of switches and relays: by hand, by trying every order, and what holds for any set."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.contacts import Contacts, Misfit, Standing, Use, assign, standings
from buildbook.reckon.ratings import Verdict

A = V = 1_000_000


def stands(poles: int, throws: int, *uses: Use, chosen: tuple[int, ...] = ()) -> Standing:
    """How a switch of 4 A and 250 V stands with these functions."""
    return standings([Contacts(1, poles, throws, 4 * A, 250 * V, uses=uses)], chosen)[0]


def known(number: int, poles: int = 1, throws: int = 1, pole: int | None = None, option: int = 0) -> Use:
    """A function whose contacts bear 1 A at 230 V."""
    return Use(number, poles, throws, pole, option, A, 230 * V)


def test_the_poles_of_one_function_are_neighbours_where_there_are_enough() -> None:
    assert assign(4, 3, [Use(1, 1, 3, pole=2), Use(2, 2), Use(3)]) == [(2,), (3, 4), (1,)]
    # No two free ones are neighbours, and that does not matter to the wires.
    assert assign(3, 1, [Use(1, pole=2), Use(2, 2)]) == [(2,), (1, 3)]


def test_those_bound_to_a_pole_come_first_whenever_they_were_written_down() -> None:
    assert assign(2, 1, [Use(1), Use(2, pole=1)]) == [(2,), (1,)]
    assert assign(4, 1, [Use(1, 2, pole=3), Use(2, 2)]) == [(3, 4), (1, 2)]


@pytest.mark.parametrize(
    ("uses", "why"),
    [
        ([Use(1, 1, 4)], Misfit.THROWS),
        ([Use(1, 1, 1, pole=5)], Misfit.OUTSIDE),
        ([Use(1, 2, 1, pole=4)], Misfit.OUTSIDE),
        ([Use(1, 2, 1, pole=1), Use(2, 1, 1, pole=2)], Misfit.CLASH),
        ([Use(1, 3), Use(2, 2)], Misfit.POLES),
    ],
)
def test_why_a_function_does_not_fit(uses: list[Use], why: Misfit) -> None:
    found = standings([Contacts(1, 4, 3, uses=tuple(uses))])[0]
    assert found.placed[-1].misfit is why
    assert found.placed[-1].on == ()
    assert found.state == "over"


def test_poles_and_throws_that_are_spare() -> None:
    found = stands(4, 3, known(1, 2, 3), known(2, 1, 1))
    assert (found.taken_poles, found.spare_poles, found.short_poles, found.spare_throws) == (3, 1, 0, 2)
    assert found.state == "spare"
    assert stands(2, 1, known(1, 2)).state == "full"
    short = stands(4, 1, known(1, 3), known(2, 3))
    assert (short.spare_poles, short.short_poles) == (1, 2)


def test_what_comes_with_an_answer_counts_when_that_is_chosen() -> None:
    uses = (known(1), known(2, option=7))
    assert [stands(1, 1, *uses, chosen=chosen).state for chosen in ((), (8,), (7,))] == ["full", "full", "over"]
    relay = Contacts(1, 1, 1, option=7, uses=(known(1, 2),))
    assert standings([relay])[0].state == "left out"
    assert standings([relay])[0].placed == ()
    assert standings([relay], {7})[0].state == "over"


@pytest.mark.parametrize(
    ("current_ua", "volts_uv", "state"),
    [
        (3 * A, 250 * V, "full"),  # common practice: three quarters of the current, and all of the voltage
        (3 * A + 1, 250 * V, "tight"),
        (4 * A, 250 * V, "tight"),
        (4 * A + 1, 250 * V, "over"),
        (A, 250 * V + 1, "over"),
        (None, 230 * V, "unknown"),
        (A, None, "unknown"),
        (None, 300 * V, "over"),
        (0, 0, "full"),
    ],
)
def test_a_contact_is_weighed_to_the_microamp(current_ua: int | None, volts_uv: int | None, state: str) -> None:
    assert stands(1, 1, Use(1, current_ua=current_ua, volts_uv=volts_uv)).state == state


def test_what_is_not_known_is_counted_and_never_nought() -> None:
    found = stands(3, 1, Use(1), Use(2, current_ua=0), known(3))
    assert found.unknown == 2
    assert [one.current.verdict for one in found.placed] == [Verdict.UNKNOWN, Verdict.FITS, Verdict.FITS]
    no_limits = standings([Contacts(1, 1, 1, uses=(known(1),))])[0]
    assert (no_limits.unknown, no_limits.state) == (1, "unknown")


def test_another_share_may_be_allowed() -> None:
    one = [Contacts(1, 1, 1, 4 * A, 250 * V, uses=(Use(1, current_ua=3 * A, volts_uv=V),))]
    assert [standings(one, current_share=share)[0].state for share in (0.75, 0.7)] == ["full", "tight"]


USES = st.lists(
    st.builds(
        Use,
        st.just(0),
        poles=st.integers(1, 3),
        throws=st.integers(1, 3),
        pole=st.none() | st.integers(1, 5),
        option=st.integers(0, 2),
        current_ua=st.none() | st.integers(0, 5 * A),
        volts_uv=st.none() | st.integers(0, 300 * V),
    ),
    max_size=5,
).map(lambda uses: [use._replace(id=at) for at, use in enumerate(uses, 1)])


def by_trying(poles: int, throws: int, uses: list[Use]) -> bool:
    """Whether every function finds its poles in some order of all the poles there are."""
    wanted = [(use, nth) for use in uses for nth in range(use.poles)]
    if len(wanted) > poles or any(use.throws > throws for use in uses):
        return False
    return any(
        all(use.pole is None or pole == use.pole + nth for (use, nth), pole in zip(wanted, order, strict=True))
        for order in permutations(range(1, poles + 1), len(wanted))
    )


@settings(deadline=None, max_examples=300)
@given(poles=st.integers(1, 6), throws=st.integers(1, 3), uses=USES)
def test_everything_fits_exactly_when_some_order_of_the_poles_does(poles: int, throws: int, uses: list[Use]) -> None:
    found = assign(poles, throws, uses)
    assert (not any(isinstance(one, Misfit) for one in found)) == by_trying(poles, throws, uses)


@settings(deadline=None, max_examples=200)
@given(poles=st.integers(1, 6), throws=st.integers(1, 3), uses=USES, chosen=st.sets(st.integers(1, 2)))
def test_what_holds_for_any_switch(poles: int, throws: int, uses: list[Use], chosen: set[int]) -> None:
    stands = standings([Contacts(1, poles, throws, 4 * A, 250 * V, uses=tuple(uses))], chosen)[0]
    by_id = {use.id: use for use in uses}
    assert [one.use for one in stands.placed] == [use.id for use in uses if use.option in {0, *chosen}]
    taken = [pole for one in stands.placed for pole in one.on]
    assert len(taken) == len(set(taken)) == stands.taken_poles == poles - stands.spare_poles
    assert set(taken) <= set(range(1, poles + 1))
    for one in stands.placed:
        use = by_id[one.use]
        assert bool(one.on) == (one.misfit is None)
        if one.on:
            assert len(one.on) == use.poles
            assert use.throws <= throws
            assert use.pole in (None, one.on[0])
        if one.misfit is Misfit.POLES:
            assert use.poles > stands.spare_poles
    if any(one.misfit for one in stands.placed):
        assert stands.state == "over"
    if stands.state in ("full", "spare"):
        assert stands.unknown == stands.short_poles == 0
        assert (stands.state == "spare") == (stands.spare_poles > 0)


@settings(deadline=None, max_examples=100)
@given(poles=st.integers(1, 6), throws=st.integers(1, 3), uses=USES)
def test_a_pole_more_never_leaves_more_functions_out(poles: int, throws: int, uses: list[Use]) -> None:
    fewer, more = (assign(poles + extra, throws, uses) for extra in (0, 1))
    if not any(isinstance(one, Misfit) for one in fewer):
        assert not any(isinstance(one, Misfit) for one in more)
