"""Who gets which pieces: none is promised twice, the earlier build comes first, and stand-ins go as far as they can."""

from __future__ import annotations

from collections import Counter
from itertools import groupby

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.cover import (
    Arrival,
    Cover,
    Due,
    PartTotal,
    Share,
    StoodIn,
    Want,
    cover,
    totals,
)

PARTS = st.integers(0, 6)
# Parts 0 to 4 are wanted, 3 to 6 may stand in: some of these are needed by nobody, some are.
WANTED, INSTEAD = st.integers(0, 4), st.integers(3, 6)
WANTS = st.lists(st.tuples(WANTED, st.integers(0, 5)), max_size=9).map(
    lambda asked: [Want(key, part, qty) for key, (part, qty) in enumerate(asked)]
)
DRAWERS = st.dictionaries(PARTS, st.integers(0, 7))
STAND_INS = st.dictionaries(WANTED, st.lists(INSTEAD, max_size=4, unique=True))
DAYS = st.sampled_from(["", "2027-03-05", "2027-03-12", "2027-04-01"])
COMING = st.dictionaries(PARTS, st.lists(st.builds(Arrival, DAYS, st.integers(1, 5), st.integers(1, 9)), max_size=3))


def lent(share: Share) -> int:
    return sum(piece.qty for piece in share.stood_in)


def promised(share: Share) -> int:
    return sum(due.qty for due in share.coming)


# --- by hand ----------------------------------------------------------------------------------------------------------

FILM_CAP, POLY_CAP, MICA_CAP, DISC_CAP = 1, 2, 3, 4


def test_the_earlier_build_takes_its_pieces_first() -> None:
    answer = cover([Want(10, FILM_CAP, 4), Want(20, FILM_CAP, 4)], {FILM_CAP: 5})
    assert answer.shares == (Share(10, FILM_CAP, 4, 4, (), (), 0), Share(20, FILM_CAP, 4, 1, (), (), 3))
    assert answer.free == {FILM_CAP: 0}


def test_a_part_stands_in_only_with_what_no_build_needs_itself() -> None:
    wants = [Want(10, FILM_CAP, 3), Want(20, POLY_CAP, 4)]
    answer = cover(wants, {POLY_CAP: 5}, {FILM_CAP: [POLY_CAP]})
    assert answer.shares[0] == Share(10, FILM_CAP, 3, 0, (StoodIn(POLY_CAP, 1),), (), 2)
    assert answer.shares[1].own == 4


def test_the_preferred_stand_in_goes_first_and_to_the_earlier_want() -> None:
    wants = [Want(10, FILM_CAP, 2), Want(20, FILM_CAP, 3)]
    answer = cover(wants, {POLY_CAP: 9, MICA_CAP: 3}, {FILM_CAP: [MICA_CAP, POLY_CAP]})
    assert [share.stood_in for share in answer.shares] == [
        (StoodIn(MICA_CAP, 2),),
        (StoodIn(MICA_CAP, 1), StoodIn(POLY_CAP, 2)),
    ]
    assert answer.free == {POLY_CAP: 7, MICA_CAP: 0}


def test_an_earlier_want_makes_room_when_it_has_another_stand_in() -> None:
    wants = [Want(10, FILM_CAP, 2), Want(20, DISC_CAP, 2)]
    answer = cover(wants, {POLY_CAP: 2, MICA_CAP: 2}, {FILM_CAP: [POLY_CAP, MICA_CAP], DISC_CAP: [POLY_CAP]})
    assert [share.stood_in for share in answer.shares] == [(StoodIn(MICA_CAP, 2),), (StoodIn(POLY_CAP, 2),)]


def test_an_earlier_want_keeps_its_stand_in_when_it_has_no_other() -> None:
    wants = [Want(10, FILM_CAP, 2), Want(20, DISC_CAP, 2)]
    answer = cover(wants, {POLY_CAP: 2}, {FILM_CAP: [POLY_CAP], DISC_CAP: [POLY_CAP]})
    assert [share.short for share in answer.shares] == [0, 2]


def test_room_is_made_along_a_chain_of_many() -> None:
    # Each want holds a stand-in that the next could use too; the last to ask moves all of them on by one.
    count = 500
    stand_ins = {part: [1000 + part, 1001 + part] for part in range(count)}
    wants = [Want(part, part, 1) for part in range(count)]
    answer = cover([*wants, Want(count, 0, 1)], {1000 + number: 1 for number in range(count + 1)}, stand_ins)
    assert not any(share.short for share in answer.shares)
    assert set(answer.free.values()) == {0}


def test_what_comes_earliest_is_promised_first_and_an_unknown_day_last() -> None:
    coming = {FILM_CAP: [Arrival("", 9, 3), Arrival("2027-03-12", 2, 2), Arrival("2027-03-05", 2, 1)]}
    answer = cover([Want(10, FILM_CAP, 3), Want(20, FILM_CAP, 4)], {}, coming=coming)
    assert answer.shares[0].coming == (Due("2027-03-05", 2, 1), Due("2027-03-12", 1, 2))
    assert answer.shares[1].coming == (Due("2027-03-12", 1, 2), Due("", 3, 3))
    assert answer.coming_free == {FILM_CAP: 6}


def test_drawers_come_before_stand_ins_and_stand_ins_before_orders() -> None:
    answer = cover(
        [Want(10, FILM_CAP, 10)], {FILM_CAP: 1, POLY_CAP: 2}, {FILM_CAP: [POLY_CAP]}, {FILM_CAP: [Arrival("", 3, 7)]}
    )
    assert answer.shares == (Share(10, FILM_CAP, 10, 1, (StoodIn(POLY_CAP, 2),), (Due("", 3, 7),), 4),)


def test_nothing_wanted_leaves_all_free() -> None:
    assert cover([], {FILM_CAP: 3}, coming={POLY_CAP: [Arrival("", 2, 1)]}) == Cover((), {FILM_CAP: 3}, {POLY_CAP: 2})
    assert cover([Want(10, FILM_CAP, 0)], {}) == Cover((Share(10, FILM_CAP, 0, 0, (), (), 0),), {}, {})


def test_totals_show_a_part_used_only_as_a_stand_in() -> None:
    summed = totals([Want(10, FILM_CAP, 2)], {POLY_CAP: 3, DISC_CAP: 1}, {FILM_CAP: [POLY_CAP]})
    assert list(summed.values()) == [PartTotal(FILM_CAP, 2, 0, 2, 0, 0, 0), PartTotal(POLY_CAP, 0, 0, 0, 0, 0, 1)]


@pytest.mark.parametrize("reckoned", [cover, totals])
def test_less_than_nothing_is_refused(reckoned: object) -> None:
    assert callable(reckoned)
    with pytest.raises(BadInput, match="-2 of part 1 are wanted"):
        reckoned([Want(10, FILM_CAP, -2)], {FILM_CAP: 3})
    with pytest.raises(BadInput, match="-3 of part 1 lie in the drawers"):
        reckoned([], {FILM_CAP: -3})


# --- whatever is wanted -----------------------------------------------------------------------------------------------


@given(WANTS, DRAWERS, STAND_INS, COMING)
@settings(deadline=None, max_examples=200)
def test_every_want_adds_up_and_no_piece_is_promised_twice(
    wants: list[Want],
    drawers: dict[int, int],
    stand_ins: dict[int, list[int]],
    coming: dict[int, list[Arrival]],
) -> None:
    answer = cover(wants, drawers, stand_ins, coming)
    out, due = Counter[int](), Counter[tuple[int, str, int]]()
    for want, share in zip(wants, answer.shares, strict=True):
        assert share[:3] == want
        assert share.qty == share.own + lent(share) + promised(share) + share.short
        assert min([share.own, share.short, *(piece.qty - 1 for piece in share.stood_in)]) >= 0
        assert {piece.part for piece in share.stood_in} <= set(stand_ins.get(share.part, ()))
        out[share.part] += share.own
        for piece in share.stood_in:
            out[piece.part] += piece.qty
        for when, qty, number in share.coming:
            assert qty > 0
            due[share.part, when, number] += qty
    assert min([0, *answer.free.values(), *answer.coming_free.values()]) == 0
    assert answer.free == {part: qty - out[part] for part, qty in drawers.items()}
    on_order = Counter[tuple[int, str, int]]()
    for part, arrivals in coming.items():
        for arrival in arrivals:
            on_order[part, arrival.when, arrival.order] += arrival.qty
    assert due <= on_order
    for part, arrivals in coming.items():
        used = sum(qty for (of, _, _), qty in due.items() if of == part)
        assert answer.coming_free[part] == sum(arrival.qty for arrival in arrivals) - used


@given(WANTS, DRAWERS, STAND_INS, COMING)
@settings(deadline=None, max_examples=200)
def test_own_pieces_and_orders_go_one_by_one_to_the_earliest_want(
    wants: list[Want],
    drawers: dict[int, int],
    stand_ins: dict[int, list[int]],
    coming: dict[int, list[Arrival]],
) -> None:
    pieces = {part: ["own"] * qty for part, qty in drawers.items()}
    days = {
        part: [a.when for a in sorted(arrivals, key=lambda a: a.when or "9999") for _ in range(a.qty)]
        for part, arrivals in coming.items()
    }
    for share in cover(wants, drawers, stand_ins, coming).shares:
        mine = pieces.get(share.part, [])[: share.qty]
        del pieces.get(share.part, [])[: share.qty]
        assert share.own == len(mine)
        still = share.qty - share.own - lent(share)
        assert [due.when for due in share.coming for _ in range(due.qty)] == days.get(share.part, [])[:still]
        del days.get(share.part, [])[:still]


def most_that_can_be_lent(shares: tuple[Share, ...], spare: dict[int, int], stand_ins: dict[int, list[int]]) -> int:
    """Max-flow (networkx) from what these wants lack of their own to the pieces nobody needs for himself."""
    net: nx.DiGraph[str] = nx.DiGraph()
    net.add_nodes_from(["lack", "spare"])
    for number, share in enumerate(shares):
        net.add_edge("lack", f"want {number}", capacity=share.qty - share.own)
        for part in stand_ins.get(share.part, ()):
            net.add_edge(f"want {number}", f"part {part}")
            net.add_edge(f"part {part}", "spare", capacity=spare.get(part, 0))
    return int(nx.maximum_flow_value(net, "lack", "spare"))


@given(WANTS, DRAWERS, STAND_INS)
@settings(deadline=None, max_examples=200)
def test_stand_ins_cover_the_most_for_the_first_the_first_two_and_so_on(
    wants: list[Want], drawers: dict[int, int], stand_ins: dict[int, list[int]]
) -> None:
    shares = cover(wants, drawers, stand_ins).shares
    needed = Counter[int]()
    for want in wants:
        needed[want.part] += want.qty
    spare = {part: max(0, qty - needed[part]) for part, qty in drawers.items()}
    for first in range(1, len(shares) + 1):
        covered = sum(lent(share) for share in shares[:first])
        assert covered == most_that_can_be_lent(shares[:first], spare, stand_ins)


def best_by_trying_all(lacks: list[int], spare: dict[int, int], stand_ins: dict[int, list[int]]) -> list[int]:
    """Give out piece by piece in every possible way; the best list of covered wants, the first want counting most."""
    best = [0] * len(lacks)

    def give(number: int, covered: list[int]) -> None:
        nonlocal best
        if number == len(lacks):
            best = max(best, [sum(1 for want in covered if want == place) for place in range(len(wanted))])
            return
        give(number + 1, covered)
        for part in stand_ins.get(lacks[number], ()):
            if spare.get(part, 0):
                spare[part] -= 1
                give(number + 1, [*covered, places[number]])
                spare[part] += 1

    wanted = [part for part, _ in groupby(lacks)]
    places = [place for place, (_, run) in enumerate(groupby(lacks)) for _ in run]
    best = [0] * len(wanted)
    give(0, [])
    return best


@given(
    st.lists(st.tuples(st.integers(0, 3), st.integers(1, 2)), max_size=3, unique_by=lambda asked: asked[0]),
    st.dictionaries(st.integers(10, 13), st.integers(0, 2)),
    st.dictionaries(st.integers(0, 3), st.lists(st.integers(10, 13), max_size=3, unique=True)),
)
@settings(deadline=None, max_examples=150)
def test_nobody_could_give_out_stand_ins_better(
    asked: list[tuple[int, int]], spare: dict[int, int], stand_ins: dict[int, list[int]]
) -> None:
    answer = cover([Want(key, part, qty) for key, (part, qty) in enumerate(asked)], spare, stand_ins)
    pieces = [part for part, qty in asked for _ in range(qty)]
    assert [lent(share) for share in answer.shares] == best_by_trying_all(pieces, dict(spare), stand_ins)


@given(WANTS, DRAWERS, STAND_INS)
@settings(deadline=None, max_examples=200)
def test_what_stands_in_is_needed_by_nobody_and_no_preferred_one_lies_free(
    wants: list[Want], drawers: dict[int, int], stand_ins: dict[int, list[int]]
) -> None:
    answer = cover(wants, drawers, stand_ins)
    used = {piece.part for share in answer.shares for piece in share.stood_in}
    assert all(share.own == share.qty for share in answer.shares if share.part in used)
    for share in answer.shares:
        in_preference = stand_ins.get(share.part, [])
        if share.short:
            assert not any(answer.free.get(part, 0) for part in in_preference)
        for piece in share.stood_in:
            assert not any(answer.free.get(part, 0) for part in in_preference[: in_preference.index(piece.part)])


@given(WANTS.filter(bool), DRAWERS, STAND_INS, COMING)
@settings(deadline=None, max_examples=200)
def test_a_later_want_never_takes_from_an_earlier_one(
    wants: list[Want],
    drawers: dict[int, int],
    stand_ins: dict[int, list[int]],
    coming: dict[int, list[Arrival]],
) -> None:
    # The one exception: pieces that the later want needs for itself cannot stand in for an earlier one.
    *earlier, last = wants
    stand_ins = {part: [other for other in others if other != last.part] for part, others in stand_ins.items()}
    with_it, without = (cover(asked, drawers, stand_ins, coming) for asked in (wants, earlier))
    for share, alone in zip(with_it.shares, without.shares, strict=False):
        assert (share.own, lent(share), share.coming, share.short) == (
            alone.own,
            lent(alone),
            alone.coming,
            alone.short,
        )


@given(WANTS, DRAWERS, STAND_INS, COMING)
@settings(deadline=None, max_examples=200)
def test_totals_are_the_sums_of_the_shares(
    wants: list[Want],
    drawers: dict[int, int],
    stand_ins: dict[int, list[int]],
    coming: dict[int, list[Arrival]],
) -> None:
    answer = cover(wants, drawers, stand_ins, coming)
    used_only_instead = {piece.part for share in answer.shares for piece in share.stood_in}
    expected = {}
    for part in {want.part for want in wants} | used_only_instead:
        of_part = [share for share in answer.shares if share.part == part]
        expected[part] = PartTotal(
            part,
            want=sum(share.qty for share in of_part),
            own=sum(share.own for share in of_part),
            stood_in=sum(lent(share) for share in of_part),
            coming=sum(promised(share) for share in of_part),
            short=sum(share.short for share in of_part),
            free=answer.free.get(part, 0),
        )
    assert totals(wants, drawers, stand_ins, coming) == expected


@given(WANTS, DRAWERS, STAND_INS, COMING)
@settings(deadline=None, max_examples=100)
def test_wants_of_one_part_that_follow_each_other_may_be_given_as_one(
    wants: list[Want],
    drawers: dict[int, int],
    stand_ins: dict[int, list[int]],
    coming: dict[int, list[Arrival]],
) -> None:
    wants.sort(key=lambda want: want.part // 2)
    merged = [Want(0, part, sum(want.qty for want in run)) for part, run in groupby(wants, key=lambda want: want.part)]
    assert totals(merged, drawers, stand_ins, coming) == totals(wants, drawers, stand_ins, coming)


@given(WANTS, DRAWERS, STAND_INS)
@settings(deadline=None, max_examples=50)
def test_the_drawers_given_are_left_as_they_were(
    wants: list[Want], drawers: dict[int, int], stand_ins: dict[int, list[int]]
) -> None:
    before = dict(drawers)
    cover(wants, drawers, stand_ins)
    totals(wants, drawers, stand_ins)
    assert drawers == before
