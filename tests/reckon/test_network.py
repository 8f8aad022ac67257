"""The network of steps: published examples, random networks by a second method, and loops that are named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.reckon.explode import Contains, loop_if_added
from buildbook.reckon.network import Activity, Kind, Link, Network, critical_path, downstream, in_order


def number(name: str) -> int:
    return int.from_bytes(name.encode())


def weighed(durations: Mapping[str, int], *links: tuple[str, str, Kind, int]) -> Network:
    steps = [Activity(number(name), minutes) for name, minutes in durations.items()]
    return critical_path(steps, [Link(number(a), number(b), kind, wait) for a, b, kind, wait in links])


def fs(text: str) -> list[tuple[str, str, Kind, int]]:
    """Plain links by name: fs("B:A D:AB") is a B after A, and a D after A and B; names are one letter."""
    pairs = [one.split(":") for one in text.split()]
    return [(before, after, "FS", 0) for after, befores in pairs for before in befores]


def at(network: Network, name: str) -> tuple[int, ...]:
    return tuple(network.times[number(name)])[1:]


def chains(network: Network) -> list[str]:
    return ["".join(one.to_bytes(1).decode() for one in chain) for chain in network.chains]


def floats(network: Network, names: str) -> list[int]:
    return [network.times[number(name)].total_float for name in names]


# --- published examples ----------------------------------------------------------------------------------------------


def test_the_new_product_project_takes_41_weeks() -> None:
    """Chase, Jacobs, Aquilano, "Operations Management": as printed; precedences from memory, free floats derived."""
    network = weighed(
        {"A": 4, "B": 6, "C": 3, "D": 6, "E": 14, "F": 5, "G": 2, "H": 2, "I": 3, "J": 4, "K": 2},
        *fs("B:A C:A D:B E:D F:C G:EF H:G I:G J:HI K:J"),
    )
    printed = """
        A 0 4 0 4 0 0; B 4 10 4 10 0 0; C 4 7 22 25 18 0; D 10 16 10 16 0 0; E 16 30 16 30 0 0; F 7 12 25 30 18 18
        G 30 32 30 32 0 0; H 32 34 33 35 1 1; I 32 35 32 35 0 0; J 35 39 35 39 0 0; K 39 41 39 41 0 0
    """
    for row in printed.strip().replace("\n", ";").split(";"):
        name, *figures = row.split()
        assert at(network, name) == tuple(map(int, figures)), name
    assert network.total == 41
    assert chains(network) == ["ABDEGIJK"]


def on_arrows(text: str) -> tuple[list[Activity], list[Link]]:
    """Activities on arrows, "1-2 7": each is a step after all that end where it begins."""
    rows = [row.split() for row in text.split(",")]
    ends = [tuple(map(int, arrow.split("-"))) for arrow, _ in rows]
    steps = [Activity(a * 10 + b, int(minutes)) for (a, b), (_, minutes) in zip(ends, rows, strict=True)]
    links = [Link(a * 10 + b, c * 10 + d) for a, b in ends for c, d in ends if b == c]
    return steps, links


def test_a_network_drawn_on_arrows() -> None:
    """Taylor, "Introduction to Management Science", chapter 8, a problem."""
    network = critical_path(*on_arrows("1-2 7,1-3 10,2-4 6,3-4 5,3-5 4,4-5 3,5-6 2"))
    printed = {
        12: (0, 7, 2, 9, 2),
        13: (0, 10, 0, 10, 0),
        24: (7, 13, 9, 15, 2),
        34: (10, 15, 10, 15, 0),
        35: (10, 14, 14, 18, 4),
        45: (15, 18, 15, 18, 0),
        56: (18, 20, 18, 20, 0),
    }
    assert {arrow: tuple(times)[1:6] for arrow, times in network.times.items()} == printed
    assert (network.total, network.chains) == (20, ((13, 34, 45, 56),))


def test_a_network_with_a_dummy_of_no_length() -> None:
    """Taylor, "Introduction to Management Science", chapter 8."""
    text = "1-2 8,1-3 10,1-4 9,2-5 6,2-6 4,3-5 5,4-5 0,4-7 7,5-7 12,5-8 15,6-9 18,7-8 4,8-9 7"
    steps, links = on_arrows(text)
    network = critical_path(steps, links)
    assert [network.times[step.id].total_float for step in steps] == [1, 0, 6, 1, 8, 0, 6, 11, 0, 1, 8, 0, 0]
    assert (network.total, network.chains) == (38, ((13, 35, 57, 78, 89),))


SLIDES = {
    "A": 2,
    "B": 10,
    "C": 13,
    "D": 12,
    "E": 12,
    "F": 7,
    "G": 10,
    "H": 16,
    "I": 6,
    "J": 12,
    "K": 5,
    "L": 8,
    "M": 5,
    "N": 3,
}


def test_one_network_by_finish_to_start_alone() -> None:
    """Teaching slides on network construction."""
    network = weighed(SLIDES, *fs("B:A C:A D:A E:B F:B G:D H:D I:F J:CG K:I L:EK M:H N:JLM"))
    assert network.total == 41
    assert chains(network) == ["ABFIKLN"]


def test_the_same_network_with_steps_that_start_together() -> None:
    """Teaching slides on network construction; the times are derived."""
    together: list[tuple[str, str, Kind, int]] = [("A", "B", "SS", 0), ("I", "K", "SS", 0), ("G", "J", "SS", 0)]
    network = weighed(SLIDES, *together, *fs("C:A D:A E:B F:B G:D H:D I:F J:C L:EIK M:H N:GJLM"))
    assert network.total == 38
    assert chains(network) == ["ADHMN"]
    assert [network.times[number(name)].early_start for name in "JKLN"] == [15, 17, 23, 35]
    assert floats(network, "BCEFGIJKL") == [4, 8, 5, 4, 9, 4, 8, 5, 4]


def test_floats_of_a_schedule_for_builders() -> None:
    """US Navy training manual (Seabee), chapter on scheduling: a free float of 1 and a total float of 2."""
    network = weighed({"A": 10, "B": 11, "C": 4}, *fs("C:AB"))
    assert network.times[number("A")].free_float == 1
    late = weighed({"A": 3, "B": 2, "C": 7}, *fs("B:A"))
    assert (late.times[number("B")].early_start, late.times[number("B")].late_start) == (3, 5)
    assert late.times[number("B")].total_float == 2


def test_waits_between_steps() -> None:
    """Derived by hand."""
    network = weighed({"P": 1, "Q": 2, "R": 3, "S": 1}, ("P", "Q", "FS", 1), ("Q", "S", "FS", 2), *fs("R:P S:R"))
    assert network.total == 7
    assert [network.times[number(name)].early_start for name in "PQRS"] == [0, 2, 1, 6]
    assert floats(network, "R") == [2]
    assert chains(network) == ["PQS"]


def test_links_of_every_kind_with_waits() -> None:
    """Derived by hand."""
    links: list[tuple[str, str, Kind, int]] = [("A", "B", "SS", 2), ("A", "C", "FS", 3), ("B", "D", "FF", 2)]
    network = weighed({"A": 6, "B": 8, "C": 4, "D": 5, "E": 2}, *links, *fs("D:C E:D"))
    assert network.total == 20
    assert [network.times[number(name)].early_start for name in "ABCDE"] == [0, 2, 9, 13, 18]
    assert floats(network, "B") == [6]
    assert chains(network) == ["ACDE"]


@pytest.mark.parametrize("as_own_wait", [False, True])
def test_a_case_that_dries_while_it_is_wired(as_own_wait: bool) -> None:
    """Derived by hand, in hours; the wait may be the link's or the step's own."""
    waits = {"prime": 24, "paint": 48}
    hours = {"drill": 3, "prime": 1, "paint": 1, "wire": 10, "fit": 4, "test": 2}
    own = waits if as_own_wait else {}
    steps = [Activity(number(name), long, own.get(name, 0)) for name, long in hours.items()]
    pairs = ["drill prime", "prime paint", "drill wire", "paint fit", "wire fit", "fit test"]
    links = [Link(number(a), number(b), "FS", 0 if as_own_wait else waits.get(a, 0)) for a, b in map(str.split, pairs)]
    network = critical_path(steps, links)
    assert network.total == 83
    assert network.times[number("paint")].early_start == 28
    assert network.times[number("fit")].early_start == 77
    assert network.times[number("wire")].total_float == 64
    assert network.chains == (tuple(number(name) for name in ("drill", "prime", "paint", "fit", "test")),)


def test_a_foundry_takes_15_weeks() -> None:
    """Heizer, Render, "Operations Management", Milwaukee Paper: from memory; floats derived."""
    network = weighed(
        {"A": 2, "B": 3, "C": 2, "D": 4, "E": 4, "F": 3, "G": 5, "H": 2}, *fs("C:A D:AB E:C F:C G:DE H:FG")
    )
    assert network.total == 15
    assert chains(network) == ["ACEGH"]
    assert floats(network, "BDF") == [1, 1, 6]


# --- what the rules say ----------------------------------------------------------------------------------------------


def test_the_last_wait_counts_in_the_finish() -> None:
    network = critical_path([Activity(1, 30, wait_min=1440), Activity(2, 100)], [])
    assert network.total == 1470
    assert network.critical == (1,)
    assert network.times[2].total_float == network.times[2].free_float == 1370


def test_the_longer_of_two_waits_counts() -> None:
    steps = [Activity(1, 10, wait_min=60), Activity(2, 5)]
    assert critical_path(steps, [Link(1, 2, "FS", 20)]).times[2].early_start == 70
    assert critical_path(steps, [Link(1, 2, "FS", 90)]).times[2].early_start == 100


def test_every_way_of_equal_length_is_a_chain_up_to_as_many_as_are_asked_for() -> None:
    steps = [Activity(one, 5) for one in range(1, 5)]
    links = [Link(1, 2), Link(1, 3), Link(2, 4), Link(3, 4)]
    assert critical_path(steps, links).chains == ((1, 2, 4), (1, 3, 4))
    assert critical_path(steps, links, most_chains=1).chains == ((1, 2, 4),)
    ladder = [Link(a, b) for rung in range(0, 100, 2) for a in (rung, rung + 1) for b in (rung + 2, rung + 3)]
    network = critical_path([Activity(one, 1) for one in range(102)], ladder)
    assert len(network.chains) == 8
    assert all(len(chain) == 51 for chain in network.chains)


def test_no_steps_take_no_time() -> None:
    assert critical_path([], []) == Network({}, 0, (), ())


def test_a_loop_is_named_in_order() -> None:
    names = {1: "Mask", 2: "Prime", 3: "Paint"}
    steps = [Activity(one, 1) for one in (1, 2, 3, 4)]
    links = [Link(4, 1), Link(1, 2), Link(2, 3), Link(3, 1, "SS")]
    with pytest.raises(BadInput, match="They wait for each other:") as raised:
        critical_path(steps, links, names)
    named = raised.value.why.removeprefix("They wait for each other: ").rstrip(".").split(" before ")
    assert named[0] == named[-1]
    assert set(pairwise(named)) == {("Mask", "Prime"), ("Prime", "Paint"), ("Paint", "Mask")}
    with pytest.raises(BadInput, match="step 1 before step 1"):
        in_order([1], [Link(1, 1)])


@pytest.mark.parametrize(
    ("steps", "links", "why"),
    [
        ([Activity(1, 1), Activity(1, 2)], [], "Step 1 is there twice"),
        ([Activity(1, -1)], [], "less than 0 minutes"),
        ([Activity(1, 1, -1)], [], "less than 0 minutes"),
        ([Activity(1, 1)], [Link(1, 2)], "step 2, which is not there"),
        ([Activity(1, 1), Activity(2, 1)], [Link(1, 2, "FS", -5)], "with -5 min between"),
        ([Activity(1, 1), Activity(2, 1)], [Link(1, 2, "SF")], "by SF"),  # type: ignore[arg-type]
    ],
)
def test_what_makes_no_network_is_refused(steps: list[Activity], links: list[Link], why: str) -> None:
    with pytest.raises(BadInput, match=why):
        critical_path(steps, links)


def test_a_link_that_would_close_a_loop_is_seen_by_the_same_check_as_for_assemblies() -> None:
    links = [Contains(before, after, 1) for before, after in [(1, 2), (2, 3)]]
    assert loop_if_added(links, Contains(3, 1, 1)) == (3, 1, 2, 3)
    assert loop_if_added(links, Contains(2, 2, 1)) == (2, 2)


# --- by a second method ----------------------------------------------------------------------------------------------

Drawn = tuple[list[Activity], list[Link]]


@st.composite
def networks(draw: st.DrawFn, *, plain: bool = False) -> Drawn:
    """Steps with numbers in no order, and links forward in a hidden order."""
    ids = draw(st.lists(st.integers(1, 999), min_size=1, max_size=9, unique=True))
    minutes = st.integers(0, 20)
    waits = st.just(0) if plain else st.sampled_from((0, 0, 7, 30))
    kinds: st.SearchStrategy[Kind] = st.just("FS") if plain else st.sampled_from(("FS", "SS", "FF"))
    steps = [Activity(one, draw(minutes), draw(waits)) for one in ids]
    pairs = [(a, b) for place, a in enumerate(ids) for b in ids[place + 1 :]]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=14, unique=True)) if pairs else []
    return draw(st.permutations(steps)), [Link(a, b, draw(kinds), draw(st.integers(0, 9))) for a, b in chosen]


def least_between(steps: Mapping[int, Activity], link: Link) -> int:
    a, b = steps[link.before], steps[link.after]
    by_kind = {
        "FS": a.minutes + max(a.wait_min, link.wait_min),
        "SS": link.wait_min,
        "FF": a.minutes + link.wait_min - b.minutes,
    }
    return by_kind[link.kind]


@settings(deadline=None, max_examples=80)
@given(networks())
def test_times_are_those_of_the_longest_way_through_a_graph(drawn: Drawn) -> None:
    steps, links = drawn
    known = {step.id: step for step in steps}
    graph: nx.DiGraph[int] = nx.DiGraph()
    begin, end = 0, 1000
    for step in steps:
        graph.add_edge(begin, step.id, weight=0)
        graph.add_edge(step.id, end, weight=step.minutes + step.wait_min)
    for link in links:
        graph.add_edge(link.before, link.after, weight=least_between(known, link))
    network = critical_path(steps, links)
    assert network.total == nx.dag_longest_path_length(graph)
    # Lengths turned round, the shortest way is the longest; those of links from finish to finish may be below 0.
    for _, _, edge in graph.edges(data=True):
        edge["weight"] = -edge["weight"]
    to = nx.single_source_bellman_ford_path_length(graph, begin)
    onward = nx.single_source_bellman_ford_path_length(graph.reverse(), end)
    for step in steps:
        assert network.times[step.id].early_start == -to[step.id]
        assert network.times[step.id].total_float == network.total + to[step.id] + onward[step.id]


def fits(starts: Mapping[int, int], steps: Sequence[Activity], links: Sequence[Link], total: int) -> bool:
    """Whether starts keep every link and the finish, read straight from the words."""
    known = {step.id: step for step in steps}
    return all(starts[a] + least_between(known, link) <= starts[b] for link in links for a, b in [link[:2]]) and all(
        starts[step.id] + step.minutes + step.wait_min <= total for step in steps
    )


@settings(deadline=None, max_examples=80)
@given(networks(), st.data())
def test_play_is_exactly_how_late_a_step_may_be(drawn: Drawn, data: st.DataObject) -> None:
    steps, links = drawn
    network = critical_path(steps, links)
    early = {one: times.early_start for one, times in network.times.items()}
    late = {one: times.late_start for one, times in network.times.items()}
    assert fits(early, steps, links, network.total)
    assert fits(late, steps, links, network.total)
    one = data.draw(st.sampled_from(steps)).id
    times = network.times[one]
    assert 0 <= times.free_float <= times.total_float
    assert fits({**early, one: times.early_start + times.free_float}, steps, links, network.total)
    assert not fits({**early, one: times.early_start + times.free_float + 1}, steps, links, network.total)
    assert not fits({**late, one: times.late_start + 1}, steps, links, network.total)


@settings(deadline=None, max_examples=60)
@given(networks(plain=True))
def test_a_chain_is_as_long_as_the_whole(drawn: Drawn) -> None:
    steps, links = drawn
    network = critical_path(steps, [link._replace(wait_min=0) for link in links])
    minutes = {step.id: step.minutes for step in steps}
    assert network.chains
    for chain in network.chains:
        assert sum(minutes[one] for one in chain) == network.total
        assert set(chain) <= set(network.critical)
    if len(network.chains) < 8:
        assert {one for chain in network.chains for one in chain} == set(network.critical)


@settings(deadline=None, max_examples=60)
@given(networks(), st.data())
def test_all_that_comes_after_a_step(drawn: Drawn, data: st.DataObject) -> None:
    steps, links = drawn
    graph = nx.DiGraph(link[:2] for link in links)
    graph.add_nodes_from(step.id for step in steps)
    one = data.draw(st.sampled_from(steps)).id
    after = downstream(links, one)
    assert set(after) == nx.descendants(graph, one)
    assert len(set(after)) == len(after)
