"""How many of each assembly a build needs: published explosions, every path counted, and loops that are there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import (
    Contains,
    Demand,
    Exploded,
    Line,
    Loop,
    Need,
    explode,
    line_need,
    loop_if_added,
    order,
    parts_need,
)

BUILD = 1


def number(name: str) -> int:
    return int.from_bytes(name.encode())


def tree(**holds: Mapping[str, int]) -> list[Contains]:
    """Links by name: tree(A={"B": 2}) is an A that holds two B."""
    return [Contains(number(a), number(b), qty) for a, inside in holds.items() for b, qty in inside.items()]


def shelf(**ready: int) -> dict[int, int]:
    return {number(name): count for name, count in ready.items()}


def exploded(units: int, top: str, links: list[Contains], ready: dict[int, int] | None = None) -> Exploded:
    return explode([Demand(BUILD, number(top), units)], links, ready or {})


def by_name(counts: Mapping[tuple[int, int], int], *names: str) -> list[int]:
    return [counts[BUILD, number(name)] for name in names]


# --- published explosions ---------------------------------------------------------------------------------------------

# Heizer, Render, "Operations Management", problem 14.3 (rows as printed, structure from memory).
BRACKET = tree(
    bracket={"base": 1, "spring": 2, "clamp": 4},
    base={"clamp": 1, "housing": 2},
    clamp={"handle": 1, "casting": 1},
    housing={"bearing": 2, "shaft": 1},
)
BRACKET_PARTS = ("base", "spring", "clamp", "handle", "casting", "housing", "bearing", "shaft")


def test_bracket_gross() -> None:
    answer = exploded(50, "bracket", BRACKET)
    assert by_name(answer.gross, *BRACKET_PARTS) == [50, 100, 250, 250, 250, 100, 200, 100]
    assert answer.net == answer.gross
    assert answer.ready_made_used == {}


def test_bracket_net_runs_level_by_level() -> None:
    # Net row as printed; stock of 25 bases and 100 clamps derived. A flat "gross less stock" would give 150 clamps.
    answer = exploded(50, "bracket", BRACKET, shelf(base=25, clamp=100))
    assert by_name(answer.net, *BRACKET_PARTS) == [25, 100, 125, 125, 125, 50, 100, 50]


def test_product_z() -> None:
    # A textbook product of three levels, quantities only (data published, results computed).
    answer = exploded(50, "Z", tree(Z={"A": 2, "B": 4}, A={"C": 3, "D": 4}, D={"E": 2}))
    assert by_name(answer.gross, *"ABCDE") == [100, 200, 300, 400, 800]


# Heizer, Render, the speaker kit (from memory): D and E lie on several levels.
SPEAKER_KIT = tree(A={"B": 2, "C": 3}, B={"D": 2, "E": 2}, C={"E": 2, "F": 2}, F={"D": 2, "G": 1})


def test_speaker_kit_without_stock() -> None:
    assert by_name(exploded(50, "A", SPEAKER_KIT).gross, *"BCDEFG") == [100, 150, 800, 500, 300, 300]


def test_speaker_kit_with_stock_on_every_level() -> None:
    answer = exploded(50, "A", SPEAKER_KIT, shelf(A=10, B=15, C=20, D=10, E=10, F=5, G=0))
    assert by_name(answer.gross, *"ABCDEFG") == [50, 80, 120, 520, 330, 200, 195]
    assert by_name(answer.net, *"ABCDEFG") == [40, 65, 100, 510, 320, 195, 195]
    assert answer.ready_made_used == {
        (BUILD, number(n)): q for n, q in {"A": 10, "B": 15, "C": 20, "D": 10, "E": 10, "F": 5}.items()
    }


# In the manner of Orlicky, "Material Requirements Planning", 1975; figures our own, by hand.
OWN_TREE = tree(A={"B": 2, "C": 3}, B={"D": 2, "E": 1}, C={"E": 1, "F": 2}, F={"G": 2, "D": 1})


def test_gross_to_net_by_hand() -> None:
    assert by_name(exploded(50, "A", OWN_TREE).net, *"BCDEFG") == [100, 150, 500, 250, 300, 600]
    with_stock = exploded(50, "A", OWN_TREE, shelf(B=20, C=30, F=100))
    assert by_name(with_stock.net, *"BCFDEG") == [80, 120, 140, 300, 200, 280]


# --- the workshop's own rules -----------------------------------------------------------------------------------------


def test_the_build_first_in_priority_has_the_ready_made_board() -> None:
    links = tree(curlew={"mains": 1}, linnet={"mains": 1}, mains={"terminal": 2})
    curlew, linnet = Demand(1, number("curlew"), 1), Demand(2, number("linnet"), 2)
    first = explode([curlew, linnet], links, shelf(mains=2))
    assert (first.net[1, number("mains")], first.net[2, number("mains")]) == (0, 1)
    assert (1, number("terminal")) not in first.net
    assert first.net[2, number("terminal")] == 2
    turned = explode([linnet, curlew], links, shelf(mains=2))
    assert (turned.net[1, number("mains")], turned.net[2, number("mains")]) == (1, 0)


def test_a_build_may_ask_for_several_assemblies_one_inside_the_other() -> None:
    links = tree(unit={"board": 2})
    demands = [Demand(4, number("board"), 3), Demand(4, number("unit"), 1), Demand(4, number("unit"), 1)]
    assert explode(demands, links).gross == {(4, number("unit")): 2, (4, number("board")): 7}


def test_two_links_between_the_same_assemblies_add_up() -> None:
    assert explode([Demand(1, 5, 2)], [Contains(5, 6, 1), Contains(5, 6, 3)]).net[1, 6] == 8


def test_nothing_asked_needs_nothing() -> None:
    assert explode([], [Contains(1, 2, 1)]) == explode([Demand(1, 1, 0)], [Contains(1, 2, 1)]) == Exploded({}, {}, {})


def test_builds_come_in_the_order_of_priority_and_parents_before_children() -> None:
    answer = explode([Demand(9, 3, 1), Demand(2, 3, 1)], [Contains(3, 1, 1), Contains(1, 2, 1)])
    assert list(answer.net) == [(9, 3), (9, 1), (9, 2), (2, 3), (2, 1), (2, 2)]


def test_a_chain_of_ten_thousand_levels_is_counted() -> None:
    links = [Contains(level, level + 1, 1) for level in range(10_000)]
    assert explode([Demand(1, 0, 3)], links).net[1, 10_000] == 3
    assert order(reversed(links)) == list(range(10_001))
    closing = Contains(10_000, 0, 1)
    assert loop_if_added(links, closing) == (10_000, *range(10_001))
    with pytest.raises(Loop):
        order([*links, closing])


@pytest.mark.parametrize(
    ("demands", "links", "ready", "why"),
    [
        ([Demand(1, 2, 1)], [Contains(2, 3, 0)], {}, "Assembly 2 holds assembly 3 0 times."),
        ([Demand(1, 2, -1)], [], {}, "Build 1 asks for -1 of assembly 2."),
        ([Demand(1, 2, 1)], [], {2: -4}, "-4 of assembly 2 stand ready-made."),
    ],
)
def test_less_than_nothing_is_refused(
    demands: list[Demand], links: list[Contains], ready: dict[int, int], why: str
) -> None:
    with pytest.raises(BadInput) as refused:
        explode(demands, links, ready)
    assert refused.value.why == why


# --- lines ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "qty", "loss_bp", "need"),
    [(1, 4, 0, 4), (3, 10, 250, 31), (1, 1, 1, 2), (100, 1, 100, 101), (0, 7, 500, 0), (2, 50, 10_000, 200)],
)
def test_loss_is_added_and_rounded_up_once(count: int, qty: int, loss_bp: int, need: int) -> None:
    assert line_need(count, qty, loss_bp) == need


@given(st.integers(0, 10**9), st.integers(1, 10**9), st.integers(0, 10**5))
@settings(deadline=None, max_examples=100)
def test_a_line_gets_at_least_its_loss_and_less_than_one_more(count: int, qty: int, loss_bp: int) -> None:
    assert 0 <= line_need(count, qty, loss_bp) * 10_000 - count * qty * (10_000 + loss_bp) < 10_000


def test_parts_are_needed_only_for_what_is_still_to_be_made() -> None:
    links = [Contains(1, 2, 2), Contains(1, 3, 1)]
    lines = [Line(10, 2, 100, 5, 0), Line(11, 3, 100, 1, 0), Line(12, 2, 101, 3, 1000), Line(13, 99, 100, 1, 0)]
    answer = explode([Demand(7, 1, 2), Demand(8, 1, 1)], links, {2: 1, 3: 2})
    assert parts_need(answer, lines) == [
        Need(7, 10, 2, 100, 15),
        Need(7, 12, 2, 101, 10),
        Need(8, 10, 2, 100, 10),
        Need(8, 12, 2, 101, 7),
        Need(8, 11, 3, 100, 1),
    ]


# --- against other ways of counting -----------------------------------------------------------------------------------

ASSEMBLIES = st.integers(0, 7)
ANY_LINKS = st.lists(st.builds(Contains, ASSEMBLIES, ASSEMBLIES, st.integers(1, 3)), max_size=14)
# An assembly holds only those with a higher number, so there is no loop; then the numbers are shuffled.
TREES = st.tuples(ANY_LINKS, st.permutations(range(8))).map(
    lambda drawn: [Contains(drawn[1][min(a, b)], drawn[1][max(a, b)], qty) for a, b, qty in drawn[0] if a != b]
)
DEMANDS = st.lists(
    st.builds(Demand, st.integers(1, 4), ASSEMBLIES, st.integers(0, 4)), max_size=4, unique_by=lambda d: d.build
)
SHELVES = st.dictionaries(ASSEMBLIES, st.integers(0, 9))


def along_every_path(assembly: int, count: int, links: list[Contains]) -> Counter[int]:
    """Walk down every path there is, multiplying."""
    total = Counter({assembly: count})
    for link in links:
        if link.parent == assembly:
            total += along_every_path(link.child, count * link.qty, links)
    return total


def graph(links: list[Contains]) -> nx.DiGraph[int]:
    drawn: nx.DiGraph[int] = nx.DiGraph()
    drawn.add_nodes_from(range(8))
    drawn.add_edges_from((link.parent, link.child) for link in links)
    return drawn


@given(DEMANDS, TREES)
@settings(deadline=None, max_examples=150)
def test_explosion_equals_the_sum_along_every_path(demands: list[Demand], links: list[Contains]) -> None:
    expected = {
        (demand.build, assembly): count
        for demand in demands
        for assembly, count in along_every_path(demand.assembly, demand.units, links).items()
        if count
    }
    answer = explode(demands, links)
    assert answer.gross == answer.net == expected


@given(DEMANDS, TREES, SHELVES)
@settings(deadline=None, max_examples=150)
def test_netting_equals_going_assembly_by_assembly(
    demands: list[Demand], links: list[Contains], ready: dict[int, int]
) -> None:
    gross = Counter({(demand.build, demand.assembly): demand.units for demand in demands})
    used, left = Counter[tuple[int, int]](), Counter(ready)
    for assembly in nx.topological_sort(graph(links)):
        for build in (demand.build for demand in demands):
            used[build, assembly] = min(gross[build, assembly], left[assembly])
            left[assembly] -= used[build, assembly]
            for link in links:
                if link.parent == assembly:
                    gross[build, link.child] += (gross[build, assembly] - used[build, assembly]) * link.qty
    answer = explode(demands, links, ready)
    assert answer.gross == +gross
    assert answer.ready_made_used == +used
    assert answer.net == {place: count - used[place] for place, count in (+gross).items()}


@given(DEMANDS, TREES, SHELVES)
@settings(deadline=None, max_examples=100)
def test_a_later_build_changes_nothing_for_the_earlier_ones(
    demands: list[Demand], links: list[Contains], ready: dict[int, int]
) -> None:
    before = dict(ready)
    whole, part = explode(demands, links, ready), explode(demands[:-1], links, ready)
    earlier = {demand.build for demand in demands[:-1]}
    assert part.net == {place: count for place, count in whole.net.items() if place[0] in earlier}
    assert ready == before


@given(ANY_LINKS)
@settings(deadline=None, max_examples=200)
def test_order_puts_parents_first_or_names_a_loop_that_is_there(links: list[Contains]) -> None:
    drawn = graph(links)
    if not nx.is_directed_acyclic_graph(drawn):
        with pytest.raises(Loop) as raised:
            order(links, range(8))
        path = raised.value.path
        assert path[0] == path[-1]
        assert len(set(path)) == len(path) - 1
        assert all(drawn.has_edge(a, b) for a, b in pairwise(path))
    else:
        ordered = order(links, range(8))
        assert sorted(ordered) == list(range(8))
        assert all(ordered.index(link.parent) < ordered.index(link.child) for link in links)


@given(TREES, st.builds(Contains, ASSEMBLIES, ASSEMBLIES, st.just(1)))
@settings(deadline=None, max_examples=200)
def test_the_loop_that_a_new_link_would_close_is_the_shortest(links: list[Contains], new: Contains) -> None:
    drawn, path = graph(links), loop_if_added(links, new)
    if path is None:
        assert not nx.has_path(drawn, new.child, new.parent)
    else:
        assert (path[0], path[1], path[-1]) == (new.parent, new.child, new.parent)
        assert all(drawn.has_edge(a, b) for a, b in pairwise(path[1:]))
        assert len(path) - 2 == nx.shortest_path_length(drawn, new.child, new.parent)


def test_the_short_way_round_is_named_although_a_longer_one_is_met_first() -> None:
    links = [Contains(1, 2, 1), Contains(1, 3, 1), Contains(2, 3, 1), Contains(1, 4, 1), Contains(3, 4, 1)]
    assert loop_if_added(links, Contains(4, 1, 1)) == (4, 1, 4)


def test_a_loop_that_is_there_already_does_not_hide_the_answer() -> None:
    links = [Contains(2, 3, 1), Contains(3, 2, 1)]
    assert loop_if_added(links, Contains(1, 2, 1)) is None


def test_a_loop_is_told_with_names_and_forbidden() -> None:
    with pytest.raises(Forbidden) as raised:
        explode([Demand(1, 5, 1)], [Contains(5, 6, 1), Contains(6, 7, 1), Contains(7, 6, 1)])
    assert isinstance(raised.value, Loop)
    assert set(raised.value.path) == {6, 7}
    told = Loop((6, 7, 6), {6: "the IF board", 7: "the mixer board"})
    assert told.why == "the IF board holds the mixer board, which holds the IF board."
    assert Loop((5, 5)).why == "assembly 5 holds assembly 5."


def test_an_assembly_inside_itself_is_a_loop() -> None:
    assert loop_if_added([], Contains(5, 5, 1)) == (5, 5)
    with pytest.raises(Loop):
        order([Contains(5, 5, 1)])


def test_a_loop_that_no_build_reaches_holds_nobody_up() -> None:
    assert explode([Demand(1, 5, 2)], [Contains(8, 9, 1), Contains(9, 8, 1)]).net == {(1, 5): 2}
