"""Every figure of the demo is reckoned a second time, by hand, and must come out the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from math import prod
from typing import TYPE_CHECKING, Any

import pytest

from buildbook.actions.workshop import Workshop
from buildbook.answers.board import Board, board
from buildbook.answers.boards import BoardRow, boards
from buildbook.answers.buying import ShortRow, short
from buildbook.answers.could_make import could_make
from buildbook.answers.ordering import to_order
from buildbook.answers.orders import orders
from buildbook.answers.stores import stores, where
from buildbook.answers.why import why

if TYPE_CHECKING:
    from tests.answers.conftest import ByHand, Got, Want

BUILDS = ("CURLEW", "LINNET", "WREN")


def named(path: str) -> str:
    """How the program names an assembly: the unit of a project by the project alone."""
    project, _, code = path.partition("/")
    return project if code == project else path


def pieces(by_hand: ByHand, want: Want) -> tuple[int, int, int]:
    """Needed, fitted and kitted pieces of a line; a length, a mass or a volume is one piece."""
    if by_hand.unit_of[want.part] == "pc":
        return want.need, min(want.fitted, want.need), want.kitted
    whole = want.fitted >= want.need
    return 1, int(whole), int(not whole and not want.want)


def state_of(given: list[tuple[Want, Got]]) -> str:
    """The one word for a section, but for its steps."""
    if not given:
        return "no parts"
    if all(want.fitted >= want.need for want, _ in given):
        return "fitted"
    if not any(want.want for want, _ in given):
        return "kitted"
    if any(got.short for _, got in given):
        return "short"
    return "waits" if any(got.coming for _, got in given) else "can be kitted"


# --- the tree --------------------------------------------------------------------------------------------------------


def test_the_tree_counts_the_same_on_every_way(by_hand: ByHand, demo_to_read: Workshop) -> None:
    import networkx as nx

    graph: nx.DiGraph[Any] = nx.DiGraph()
    for parent, children in by_hand.inside.items():
        graph.add_weighted_edges_from((parent, child, qty) for child, qty in children)
    rows = {(row.build, row.code): row.count for row in boards(demo_to_read).rows}
    counted = {}
    for build in BUILDS:
        top = by_hand.top(build)
        for assembly in nx.descendants(graph, top):
            ways = nx.all_simple_edge_paths(graph, top, assembly)
            counted[build, named(assembly)] = sum(prod(graph.edges[edge]["weight"] for edge in way) for way in ways)
        counted[build, named(top)] = 1
        assert {named(name): count for name, count in by_hand.count(top).items()} == {
            assembly: count for (own, assembly), count in counted.items() if own == build
        }
    assert rows == counted
    assert rows["CURLEW", "CURLEW/BAND"] == 3
    assert rows["CURLEW", "CURLEW/FUSE"] == rows["LINNET", "CURLEW/FUSE"] == 1


def test_what_was_counted_is_on_hand_or_in_a_build(by_hand: ByHand, demo_to_read: Workshop) -> None:
    counted = by_hand.counted()
    held = dict(
        demo_to_read.reads.execute(
            "SELECT p.key, sum(h.kitted + h.fitted + h.lost) FROM holding h JOIN part p ON p.id = h.part_id GROUP BY 1"
        )
    )
    assert {part: counted[part] - held.get(part, 0) for part in counted} == {
        part: by_hand.on_hand[part] for part in counted
    }
    assert set(counted) == set(by_hand.unit_of)


# --- boards ----------------------------------------------------------------------------------------------------------


def test_boards_say_how_far_every_section_has_got(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for row in boards(demo_to_read).rows:
        path = row.code if "/" in row.code else f"{row.code}/{row.code}"
        given = by_hand.given(build=row.build, assembly=path)
        sums = [sum(column) for column in zip(*(pieces(by_hand, want) for want, _ in given), strict=True)]
        assert [row.kit.need, row.kit.fitted, row.kit.kitted] == sums, row.code
        assert row.kit.lines == len(given)
        assert row.kit.short_lines == sum(1 for _, got in given if got.short)
        assert row.kit.waiting_lines == sum(1 for _, got in given if got.coming and not got.short)
        assert row.kit.stood_in_lines == sum(1 for _, got in given if got.stood_in)
        assert row.kit.due_on == max((one.due for _, got in given for one in got.coming), default="")
        assert row.kit.word == state_of(given), row.code
        assert (row.steps, row.steps_done) == by_hand.steps(row.build, path)
        whole = row.kit.word == "fitted" and row.steps == row.steps_done
        assert row.state == ("done" if whole else state_of(given))
    assert [row.code for row in boards(demo_to_read).rows if row.state == "done"] == ["CURLEW/FUSE", "WREN/AMP"]


@pytest.mark.parametrize("build", [None, *BUILDS])
def test_boards_sum_up_their_rows(demo_to_read: Workshop, build: str | None) -> None:
    answer = boards(demo_to_read, build)
    counts = Counter(row.state for row in answer.rows)
    numbers = [int(word) for word in answer.sentence.replace("(", " ").replace(",", " ").split() if word.isdigit()]
    heading = [1] if build else [3]
    assert numbers[:2] == [*heading, len(answer.rows)]
    assert sorted(numbers[2:]) == sorted(counts.values())
    if build:
        assert answer.rows == tuple(row for row in boards(demo_to_read).rows if row.build == build)


def test_every_section_lists_its_lines(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for row in boards(demo_to_read).rows:
        check_board(by_hand, board(demo_to_read, row.code, row.build), row)


def check_board(by_hand: ByHand, answer: Board, row: BoardRow) -> None:
    path = row.code if "/" in row.code else f"{row.code}/{row.code}"
    assert (answer.code, answer.build, answer.count, answer.kit) == (row.code, row.build, row.count, row.kit)
    given = {want.line: (want, got) for want, got in by_hand.given(build=row.build, assembly=path)}
    listed = {line.line: line for line in by_hand.lines if line.assembly == path}
    assert [line.line for line in answer.lines] == list(listed)
    for line in answer.lines:
        assert (line.key, line.qty, line.on_hand) == (
            listed[line.line].part,
            listed[line.line].qty,
            by_hand.on_hand[line.key],
        )
        if line.line not in given:
            assert line.state in ("not fitted", "not chosen")
            assert not line.need
            continue
        want, got = given[line.line]
        assert (line.need, line.fitted, line.kitted) == (want.need, want.fitted, want.kitted)
        assert (line.from_drawers, line.short) == (got.own, got.short)
        assert {use.key: use.qty for use in line.stand_ins} == got.stood_in
        assert line.coming == sum(one.qty for one in got.coming)
        assert line.due_on == max((one.due for one in got.coming), default="")
        assert line.state == line_state(want, got)
        assert sum(lies.qty for lies in line.bins) == by_hand.on_hand[line.key]


def line_state(want: Want, got: Got) -> str:
    if want.fitted >= want.need:
        return "fitted"
    if not want.want:
        return "kitted"
    if got.short:
        return "short"
    if got.coming:
        return "coming"
    return "stand-in" if got.stood_in else "in the drawers"


# --- stores ----------------------------------------------------------------------------------------------------------


def test_stores_say_what_is_on_hand_spoken_for_free_and_coming(by_hand: ByHand, demo_to_read: Workshop) -> None:
    answer = stores(demo_to_read)
    assert {row.key for row in answer.rows} == set(by_hand.unit_of)
    taken: Counter[str] = Counter()
    for want, got in by_hand.given():
        taken[want.part] += got.own
        taken.update(got.stood_in)
    ordered = {row.key: row.qty - row.received_qty for row in orders(demo_to_read).rows if row.state == "placed"}
    for row in answer.rows:
        assert (row.on_hand, row.spoken_for) == (by_hand.on_hand[row.key], taken[row.key]), row.key
        assert row.free == by_hand.left[row.key] == row.on_hand - row.spoken_for
        assert row.coming == ordered.get(row.key, 0)
        assert sum(qty for _, qty in row.bins) == row.on_hand
    assert {row.key for row in stores(demo_to_read, only_on_hand=True).rows} == {
        part for part, qty in by_hand.on_hand.items() if qty
    }


def test_the_stock_is_worth_what_was_paid_for_it(by_hand: ByHand, demo_to_read: Workshop) -> None:
    answer = stores(demo_to_read)
    for row in answer.rows:
        average = by_hand.paid(row.key)
        if average is None:
            assert (row.worth_micros, row.unpriced_qty) == (0, row.on_hand), row.key
            continue
        # Every issue is rounded down to a millionth.
        assert abs(row.worth_micros - average * row.on_hand) <= 10, row.key
        assert not row.unpriced_qty
    assert answer.worth_micros == sum(row.worth_micros for row in answer.rows)
    ledger = demo_to_read.reads.execute("SELECT sum(value_micros) FROM movement").fetchone()[0]
    assert answer.worth_micros == ledger


def test_where_a_part_is_and_what_it_is_spoken_for(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for part in by_hand.unit_of:
        answer = where(demo_to_read, part)
        assert (answer.on_hand, answer.free) == (by_hand.on_hand[part], by_hand.left[part]), part
        assert sum(qty for _, qty in answer.bins) == answer.on_hand
        rows = [
            (build, *own_sums(by_hand.given(build=build, part=part)))
            for build in BUILDS
            if by_hand.given(build=build, part=part)
        ]
        own = [row for row in answer.builds if row.need]
        assert [
            (one.build, one.need, one.fitted, one.kitted, one.spoken_for, one.stood_in, one.coming, one.short)
            for one in own
        ] == rows
        assert sum(row.spoken_for for row in answer.builds) == answer.on_hand - answer.free
        assert len(answer.uses) == sum(1 for line in by_hand.lines if line.part == part)


def own_sums(given: Iterable[tuple[Want, Got]]) -> tuple[int, ...]:
    """Need, fitted, kitted, from the drawers, stood in, coming, short of these lines together."""
    rows = []
    for want, got in given:
        fitted = min(want.fitted, want.need)
        kitted = want.need - fitted - want.want
        coming = sum(one.qty for one in got.coming)
        rows.append((want.need, fitted, kitted, got.own, sum(got.stood_in.values()), coming, got.short))
    return tuple(map(sum, zip(*rows, strict=True)))


# --- buying ----------------------------------------------------------------------------------------------------------


def figures(row: ShortRow) -> tuple[int, ...]:
    return row.need, row.fitted, row.kitted, row.spoken_for, row.stood_in, row.coming, row.short


def check_short(by_hand: ByHand, rows: tuple[ShortRow, ...], build: str = "", assembly: str = "") -> None:
    given = by_hand.given(build=build, assembly=assembly)
    open_parts = {want.part for want, got in given if got.own < want.want}
    assert {row.key for row in rows} == open_parts
    for row in rows:
        assert figures(row) == own_sums((want, got) for want, got in given if want.part == row.key), row.key
        assert row.need == sum(figures(row)[1:])
        assert (row.on_hand, row.free) == (by_hand.on_hand[row.key], by_hand.left[row.key])


def test_what_is_short_of_everything_and_of_each_build(by_hand: ByHand, demo_to_read: Workshop) -> None:
    everything = short(demo_to_read)
    check_short(by_hand, everything.rows)
    assert everything.sentence.startswith(f"All builds: {sum(1 for row in everything.rows if row.short)} parts short")
    for build in BUILDS:
        check_short(by_hand, short(demo_to_read, build).rows, build)


def test_what_is_short_of_each_section(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for row in boards(demo_to_read).rows:
        path = row.code if "/" in row.code else f"{row.code}/{row.code}"
        check_short(by_hand, short(demo_to_read, row.build, row.code).rows, row.build, path)
        check_short(by_hand, short(demo_to_read, assembly=row.code).rows, "", path)


def test_no_other_way_of_handing_out_covers_more(by_hand: ByHand, demo_to_read: Workshop) -> None:
    # Ford and Fulkerson (1962): the largest flow from drawers to wants is the most that can be covered at all.
    import networkx as nx

    graph: nx.DiGraph[Any] = nx.DiGraph()
    for want in by_hand.wants:
        graph.add_edge(("want", want.build, want.line), "covered", capacity=want.want)
        for part in filter(None, (want.part, by_hand.stand_in.get(want.part, ""))):
            graph.add_edge(("drawer", part), ("want", want.build, want.line), capacity=want.want)
            graph.add_edge("drawers", ("drawer", part), capacity=by_hand.on_hand[part])
    most, _ = nx.maximum_flow(graph, "drawers", "covered")
    assert sum(row.spoken_for for row in stores(demo_to_read).rows) == most


def test_why_gives_every_term(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for part in sorted({want.part for want in by_hand.wants}):
        answer = why(demo_to_read, part)
        given = by_hand.given(part=part)
        assert [(term.build, term.assembly, term.need, term.short) for term in answer.terms] == [
            (want.build, named(want.assembly), want.need, got.short) for want, got in given
        ], part
        for term in answer.terms:
            parts = (term.fitted, term.kitted, term.from_drawers, term.stood_in, term.coming, term.short)
            assert term.need == sum(parts), part
        assert (answer.on_hand, answer.free) == (by_hand.on_hand[part], by_hand.left[part])


@pytest.mark.parametrize("build", ["", *BUILDS])
def test_what_to_order_is_the_cheapest_of_all_quantities(by_hand: ByHand, demo_to_read: Workshop, build: str) -> None:
    answer = to_order(demo_to_read, build or None)
    lacking: Counter[str] = Counter()
    for want, got in by_hand.given(build=build):
        lacking[want.part] += got.short
    bought = {part: by_hand.cheapest(part, qty) for part, qty in lacking.items() if qty}
    assert {row.key for row in answer.rows} == {part for part, buy in bought.items() if buy}
    assert {row.key for row in answer.unpriced} == {part for part, buy in bought.items() if not buy}
    for row in answer.rows:
        buy = bought[row.key]
        assert buy
        assert (row.short, row.qty, row.amount_micros) == (lacking[row.key], buy.qty, round(buy.amount)), row.key
        assert (row.supplier, row.order_code) == (buy.supplier, buy.code)
    assert answer.total_micros == sum(row.amount_micros for row in answer.rows)


def test_how_many_could_be_made_is_found_by_counting_up(by_hand: ByHand, demo_to_read: Workshop) -> None:
    for path in sorted({row[0] for row in demo_to_read.reads.execute(PATHS)}):
        answer = could_make(demo_to_read, path)
        from_all, _ = by_hand.could_make(path, by_hand.on_hand)
        from_free, missing = by_hand.could_make(path, by_hand.left)
        assert (answer.from_all, answer.from_free) == (from_all, from_free), path
        assert {row.key: row.missing for row in answer.missing} == missing, path


PATHS = "SELECT j.code || '/' || a.code FROM assembly a JOIN project j ON j.id = a.project_id"
