"""Parts on their way from the drawers through the kit onto the board, and back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.actions import boards, checks, deliveries, kits, lists, stores
from buildbook.actions.drawers import Drawers, Take
from buildbook.actions.kits import Kitted
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.reserve import Reserve
from buildbook.store.checkup import check
from buildbook.store.read.kitting import InBin

Lying = Callable[[str, str], int]
Held = Callable[[str], tuple[int, int, int]]


def test_a_kit_takes_what_is_needed_and_tells_what_is_short(curlew: Workshop, lying: Lying, held: Held) -> None:
    # Two C-100N with half as much again for loss make three; one lies there. No IFT-455 lies anywhere.
    assert kits.kit_assembly(curlew, "CURLEW", "IF") == Kitted(3, 3 + 1 + 600, ((2, 2), (3, 2)))
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2")) == (7, 2)
    assert [held(part) for part in ("R-4K7", "C-100N", "WIRE-RED")] == [(3, 0, 0), (1, 0, 0), (600, 0, 0)]
    with pytest.raises(Forbidden, match=r"Nothing was kitted on CURLEW/IF. None of what it needs lies there."):
        kits.kit_assembly(curlew, "CURLEW", "IF")
    stores.receive(curlew, "IFT-455", "B1", 9)
    assert kits.kit_assembly(curlew, "CURLEW", "IF") == Kitted(1, 2, ((2, 2),))


def test_all_kitted_is_said_so(curlew: Workshop) -> None:
    lists.add_line(curlew, "AUDIO", "R-4K7")
    kits.kit_assembly(curlew, "CURLEW", "AUDIO")
    with pytest.raises(Forbidden, match=r"All that it needs is kitted already."):
        kits.kit_assembly(curlew, "CURLEW", "AUDIO")


def test_the_bin_that_just_suffices_is_taken_else_the_fullest_first(curlew: Workshop, lying: Lying) -> None:
    lists.add_line(curlew, "AUDIO", "R-4K7", 2)
    kits.kit_assembly(curlew, "CURLEW", "AUDIO")
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2")) == (10, 0)
    stores.count(curlew, "R-4K7", "A2", 4)
    lists.change_line(curlew, "IF/R1", qty=13)
    kits.kit_assembly(curlew, "CURLEW", "IF")
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2")) == (0, 1)


@given(
    st.lists(st.integers(1, 20), min_size=1, max_size=6),
    st.lists(st.integers(1, 30), min_size=1, max_size=5),
)
def test_what_is_taken_never_passes_what_lies_there(bins: list[int], wants: list[int]) -> None:
    from buildbook.store.read.kitting import Need

    drawers = Drawers({7: [InBin(7, place, qty) for place, qty in enumerate(bins)]}, {})
    takes, short = drawers.take_all((Need(line, 7, qty, qty, 0, 0, ""), qty) for line, qty in enumerate(wants))
    for place, qty in enumerate(bins):
        assert sum(take.qty for take in takes if take.bin == place) <= qty
    assert sum(take.qty for take in takes) == min(sum(bins), sum(wants))
    assert sum(qty for _, qty in short) == max(0, sum(wants) - sum(bins))


def test_stand_ins_are_kitted_only_when_asked_for(curlew: Workshop, held: Held) -> None:
    stores.count(curlew, "R-4K7", "A1", 0)
    kits.kit_assembly(curlew, "CURLEW", "IF")
    assert (held("R-4K7"), held("R-4K7-CF")) == ((2, 0, 0), (0, 0, 0))
    kits.kit_assembly(curlew, "CURLEW", "IF", stand_ins=True)
    assert held("R-4K7-CF") == (1, 0, 0)


def test_a_stand_in_is_left_to_the_line_that_wants_it_for_itself(curlew: Workshop) -> None:
    lists.add_line(curlew, "AUDIO", "R-4K7", 15)
    own = lists.add_line(curlew, "AUDIO", "R-4K7-CF", 2)
    done = kits.kit_assembly(curlew, "CURLEW", "AUDIO", stand_ins=True)
    assert done.short == ((own - 1, 1),)


def test_the_preferred_stand_in_goes_first(curlew: Workshop, held: Held) -> None:
    stores.new_part(curlew, "R-4K7-WW")
    stores.count(curlew, "R-4K7-WW", "B1", 1)
    stores.allow_stand_in(curlew, "R-4K7", "R-4K7-WW", "Wirewound, best of all.", rank=1)
    stores.allow_stand_in(curlew, "R-4K7", "R-4K7-CF", "Only if need be.", rank=2)
    for place in ("A1", "A2"):
        stores.count(curlew, "R-4K7", place, 0)
    kits.kit_assembly(curlew, "CURLEW", "IF", stand_ins=True)
    assert (held("R-4K7-WW"), held("R-4K7-CF")) == ((1, 0, 0), (2, 0, 0))


def test_no_more_is_taken_than_is_reserved(curlew: Workshop, held: Held, lying: Lying) -> None:
    reserve = Reserve({(1, 1): 2, (5, 5): 9000}, {1: ["WREN"], 3: ["WREN"]})
    done = kits.kit_assembly(curlew, "CURLEW", "IF", reserve=reserve)
    # The capacitor lies there, but not for this build; the transformer does not lie there at all.
    assert done == Kitted(2, 2 + 600, ((1, 1), (2, 3), (3, 2)), ((1, 1), (2, 1)))
    assert (held("R-4K7"), held("C-100N"), lying("C-100N", "B1")) == ((2, 0, 0), (0, 0, 0), 1)
    with pytest.raises(Forbidden, match=r"What lies there of what it needs is spoken for by WREN."):
        kits.kit_assembly(curlew, "CURLEW", "IF", reserve=Reserve({}, {1: ["WREN"], 2: ["WREN"]}))
    assert kits.fit_lines(curlew, "CURLEW", "IF", refs="R1-R3", reserve=Reserve({}, {})).short == ((1, 1),)
    assert kits.kit_assembly(curlew, "CURLEW", "IF").left == ()


def test_a_stand_in_is_reserved_for_what_it_stands_in_for(curlew: Workshop, held: Held) -> None:
    for place in ("A1", "A2"):
        stores.count(curlew, "R-4K7", place, 0)
    reserve = Reserve({(1, 2): 2, (2, 2): 4}, {})
    kits.kit_assembly(curlew, "CURLEW", "IF", stand_ins=True, reserve=reserve)
    assert held("R-4K7-CF") == (2, 0, 0)


@given(st.integers(0, 20), st.integers(0, 20), st.integers(1, 20), st.integers(1, 20))
def test_a_reserve_is_shared_by_the_lines_of_a_build(there: int, most: int, one: int, two: int) -> None:
    from buildbook.store.read.kitting import Need

    bins = {7: [InBin(7, 1, there)]} if there else {}
    drawers = Drawers(bins, {}, {(7, 7): most})
    needs = [Need(line, 7, qty, qty, 0, 0, "") for line, qty in enumerate((one, two))]
    takes, short = drawers.take_all((need, need.to_have) for need in needs)
    taken = sum(take.qty for take in takes)
    assert taken == min(there, most, one + two)
    assert sum(qty for _, qty in short) == one + two - taken
    left = drawers.left_for_others(needs, short)
    assert sum(qty for _, qty in left) == min(there - taken, one + two - taken)


def test_fitting_takes_from_the_kit_first_and_then_from_the_drawers(curlew: Workshop, lying: Lying, held: Held) -> None:
    kits.kit(curlew, "CURLEW", "IF", [Take(1, 1, 1, 2)])
    assert kits.fit_lines(curlew, "CURLEW", "IF", refs="r1") == Kitted(1, 1)
    assert (held("R-4K7"), lying("R-4K7", "A1")) == ((1, 1, 0), 8)
    assert kits.fit_lines(curlew, "CURLEW", "IF", lines=["IF/R1"]) == Kitted(1, 2)
    assert (held("R-4K7"), lying("R-4K7", "A1"), lying("R-4K7", "A2")) == ((0, 3, 0), 8, 1)
    assert kits.fit_lines(curlew, "CURLEW", "IF") == Kitted(2, 1 + 600, ((2, 1), (3, 2)))
    with pytest.raises(Forbidden, match=r"All that it needs is fitted already."):
        kits.fit_lines(curlew, "CURLEW", "IF", refs="R1-R3")


def test_the_allowance_for_loss_is_kitted_but_not_fitted(curlew: Workshop, held: Held) -> None:
    stores.count(curlew, "C-100N", "B1", 5)
    kits.kit_assembly(curlew, "CURLEW", "IF")
    kits.fit_lines(curlew, "CURLEW", "IF", refs="C1 C2")
    assert held("C-100N") == (1, 2, 0)


def test_a_designator_means_its_place_on_every_unit(curlew: Workshop, held: Held) -> None:
    boards.change_build(curlew, "CURLEW", units=2)
    kits.fit_lines(curlew, "CURLEW", "IF", refs="R1,R3")
    assert held("R-4K7") == (0, 4, 0)


def test_a_designator_that_is_not_there_is_refused(curlew: Workshop) -> None:
    with pytest.raises(BadInput, match=r"No C9 or R8 is to be fitted on CURLEW/IF. Check the designators."):
        kits.fit_lines(curlew, "CURLEW", "IF", refs="R1, R8, C9")


def test_parts_come_off_again_and_go_back_where_they_came_from(curlew: Workshop, lying: Lying, held: Held) -> None:
    kits.fit(curlew, "CURLEW", "IF", [Take(1, 1, 2, 2), Take(1, 1, 1, 1)])
    kits.unfit(curlew, "CURLEW", "IF/R1", 2)
    assert held("R-4K7") == (2, 1, 0)
    assert kits.give_back(curlew, "CURLEW", line="IF/R1", qty=1) == Kitted(1, 1)
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2")) == (10, 0)
    kits.give_back(curlew, "CURLEW", "IF", bin="B1")
    assert (held("R-4K7"), lying("R-4K7", "B1")) == ((0, 1, 0), 1)


def test_no_more_goes_back_than_is_there(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"Nothing was given back. Nothing of it is kitted."):
        kits.give_back(curlew, "CURLEW")
    kits.kit_assembly(curlew, "CURLEW", "IF")
    with pytest.raises(Forbidden, match=r"Not that many of it are kitted."):
        kits.give_back(curlew, "CURLEW", line=1, qty=4)
    with pytest.raises(BadInput, match=r"A quantity needs a line."):
        kits.give_back(curlew, "CURLEW", qty=4)
    with pytest.raises(Forbidden, match=r"The build does not hold that many of it."):
        kits.unfit(curlew, "CURLEW", 1, 1)


def test_what_is_lost_stays_on_the_bill_of_the_build(curlew: Workshop, held: Held) -> None:
    kits.kit(curlew, "CURLEW", "IF", [Take(1, 1, 1, 3)])
    kits.scrap_from_kit(curlew, "CURLEW", "IF/R1", 1, note="Burnt")
    assert held("R-4K7") == (2, 0, 1)
    assert curlew.reads.execute("SELECT value_micros FROM holding").fetchone() == (60_000,)
    assert curlew.reads.execute("SELECT note FROM movement ORDER BY id DESC").fetchone() == ("Burnt",)
    assert all(proof.holds for proof in check(curlew))


def test_ready_made_boards_need_no_parts(curlew: Workshop) -> None:
    boards.set_ready_made(curlew, "IF", 1)
    with pytest.raises(Forbidden, match=r"Build CURLEW makes no CURLEW/IF."):
        kits.kit_assembly(curlew, "CURLEW", "IF")


def test_lines_of_an_answer_not_chosen_are_left_out(curlew: Workshop) -> None:
    lists.add_line(curlew, "AUDIO", "R-4K7", option="SILICON")
    with pytest.raises(Forbidden, match=r"All that it needs is kitted already."):
        kits.kit_assembly(curlew, "CURLEW", "AUDIO")
    checks.settle(curlew, "CURLEW", "RECT", "SILICON", "Cooler.")
    assert kits.kit_assembly(curlew, "CURLEW", "AUDIO") == Kitted(1, 1)


def test_parts_go_only_to_a_build_that_is_alive_and_to_what_it_makes(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN")
    with pytest.raises(Forbidden, match=r"Build WREN does not make CURLEW/IF."):
        kits.kit_assembly(curlew, "WREN", "IF")
    boards.change_build(curlew, "CURLEW", state="finished")
    with pytest.raises(Forbidden, match=r"No parts go to build CURLEW. It is finished. Make it active again first."):
        kits.fit_lines(curlew, "CURLEW", "IF")


@pytest.mark.parametrize(
    ("take", "said"),
    [
        (Take(99, 1, 1, 1), "Line 99 is not on the list of CURLEW/IF."),
        (Take(1, 3, 3, 1), "The part is not approved for line 1 of CURLEW/IF."),
        (Take(2, 3, 3, 2), "B1 holds 1 of C-100N, 2 are wanted."),
        (Take(1, 1, 1, 0), "0 cannot be taken."),
        (Take(1, 1, 99, 1), "There is no bin of that number."),
        (Take(1, 1, None, 1), "A kit comes out of a bin."),
    ],
)
def test_what_is_taken_by_hand_must_fit_the_list(curlew: Workshop, take: Take, said: str) -> None:
    with pytest.raises((BadInput, Forbidden)) as refused:
        kits.kit(curlew, "CURLEW", "IF", [take])
    assert refused.value.why == said


def test_two_builds_share_one_set_of_drawers(curlew: Workshop, lying: Lying) -> None:
    boards.new_build(curlew, "AGAIN", "IF", 3)
    done = kits.kit_assembly(curlew, "AGAIN", "IF")
    assert (1, 9) not in done.short
    kits.kit_assembly(curlew, "CURLEW", "IF")
    assert lying("R-4K7", "A1") + lying("R-4K7", "A2") == 0
    deliveries.receive_order(curlew, "Q-1", "B1")
    kits.kit_assembly(curlew, "AGAIN", "IF")
    assert lying("IFT-455", "B1") == 0
    assert all(proof.holds for proof in check(curlew))
