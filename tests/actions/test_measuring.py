"""Test points, the steps that wait for them, and readings; each undone as if it had not been."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buildbook.actions import bench, boards, measuring, snags
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop, redo, undo
from buildbook.answers.bench import bench as steps_of
from buildbook.errors import BadInput, Forbidden, Stale
from buildbook.store.checkup import check

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
VK1 = NewPoint("vk1", "Cathode of V1", "1.6-2.2 V", condition="Load on.", caution="High voltage.")


def points(shop: Workshop) -> list[tuple[Any, ...]]:
    """What stands of each point."""
    statement = "SELECT code, name, unit, nominal, low, high, condition, caution FROM test_point ORDER BY position"
    return list(shop.reads.execute(statement))


def readings(shop: Workshop) -> list[tuple[Any, ...]]:
    """What stands of each reading."""
    return list(shop.reads.execute("SELECT unit_number, text, value, note FROM reading ORDER BY id"))


def state_of(shop: Workshop, place: str) -> tuple[str, list[str]]:
    """How a step stands, and what holds it."""
    row = next(row for row in steps_of(shop).rows if row.place == place)
    return row.state, [one.kind for one in row.held]


def test_points_are_written_down_with_their_limits(curlew: Workshop) -> None:
    assert measuring.add_point(curlew, "if", VK1) == "CURLEW/IF/VK1"
    more = [NewPoint("RG", limits="470k 10%", unit="ohm"), NewPoint("F", " The\x1b[1m passband ", "455 kHz")]
    assert measuring.add_points(curlew, "IF", more) == ["CURLEW/IF/RG", "CURLEW/IF/F"]
    assert points(curlew) == [
        ("VK1", "Cathode of V1", "V", None, 1.6, 2.2, "Load on.", "High voltage."),
        ("RG", "", "Ω", 470e3, 423e3, 517e3, "", ""),
        ("F", "The passband", "Hz", 455e3, None, None, "", ""),
    ]


@pytest.mark.parametrize(
    ("point", "why"),
    [
        (NewPoint("V K", limits="1 V"), "cannot be the code"),
        (NewPoint("VK1", limits="min 1M"), "in what it is measured"),
        (NewPoint("VK1", limits="2 to 1 V"), "from the lower to the higher"),
        (NewPoint("VK1", limits="1 V", unit="furlong"), "no unit"),
        (NewPoint("VK1", limits="1 V", condition="x" * 20_001), "may have 20,000 at most"),
    ],
)
def test_a_point_that_is_not_clear_is_not_written_down(curlew: Workshop, point: NewPoint, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        measuring.add_points(curlew, "IF", [NewPoint("OK", limits="1 V"), point])
    assert points(curlew) == []


def test_a_code_stands_once_on_a_board(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    with pytest.raises(BadInput, match="There is one of that code already"):
        measuring.add_point(curlew, "IF", VK1)
    measuring.add_point(curlew, "AUDIO", VK1)
    with pytest.raises(BadInput, match="CURLEW/AUDIO/VK1 and CURLEW/IF/VK1"):
        measuring.read(curlew, "CURLEW", "VK1", "2")
    assert measuring.read(curlew, "CURLEW", "if/vk1", "2").point == "CURLEW/IF/VK1"
    with pytest.raises(BadInput, match=r"no test point VK9.*Did you mean"):
        measuring.read(curlew, "CURLEW", "VK9", "2")


def test_a_reading_says_how_it_stands(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    good = measuring.read(curlew, "curlew", "IF/VK1", " 2,01 V", note="cold")
    assert (good.said, good.out) == ("2.01 V, within limits", False)
    bad = measuring.read(curlew, "CURLEW", "IF/VK1", "2.31")
    assert (bad.said, bad.out) == ("2.31 V, 0.11 V above 2.2 V", True)
    assert readings(curlew) == [(1, "2,01 V", 2.01, "cold"), (1, "2.31", 2.31, "")]
    with pytest.raises(BadInput, match="no amount"):
        measuring.read(curlew, "CURLEW", "IF/VK1", "hot")
    with pytest.raises(BadInput, match="is not in V"):
        measuring.read(curlew, "CURLEW", "IF/VK1", "2 mA")


def test_a_reading_is_of_a_unit_that_there_is_and_of_a_board_that_is_in_the_build(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    boards.change_build(curlew, "CURLEW", units=3)
    measuring.read(curlew, "CURLEW", "IF/VK1", "2", unit_number=3)
    for number in (0, 4):
        with pytest.raises(BadInput, match="as the unit of CURLEW cannot be"):
            measuring.read(curlew, "CURLEW", "IF/VK1", "2", unit_number=number)
    boards.new_project(curlew, "WREN")
    with pytest.raises(BadInput, match="CURLEW/IF/VK1 is no part of WREN"):
        measuring.read(curlew, "WREN", "IF/VK1", "2")
    assert readings(curlew) == [(3, "2", 2.0, "")]


def test_a_step_is_held_until_the_reading_keeps_its_limits(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    said = measuring.hold_step_by_point(curlew, "IF/2", "VK1")
    assert said == "Fit the coils is held until CURLEW/IF/VK1 has been read and keeps its limits."
    bench.tick(curlew, "CURLEW", "IF/1")
    assert state_of(curlew, "CURLEW/IF/2") == ("held", ["unread"])
    measuring.read(curlew, "CURLEW", "IF/VK1", "2.31")
    assert state_of(curlew, "CURLEW/IF/2") == ("held", ["out"])
    measuring.read(curlew, "CURLEW", "IF/VK1", "2.2")
    assert state_of(curlew, "CURLEW/IF/2") == ("ready", [])
    undo(curlew)
    assert state_of(curlew, "CURLEW/IF/2") == ("held", ["out"])
    measuring.let_go_of_point(curlew, "IF/2", "VK1")
    assert state_of(curlew, "CURLEW/IF/2") == ("ready", [])
    with pytest.raises(Forbidden, match="does not wait for CURLEW/IF/VK1"):
        measuring.let_go_of_point(curlew, "IF/2", "VK1")


def test_limits_are_changed_as_they_were_seen(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    seen = {"limits": "1.6 to 2.2 V"}
    assert measuring.change_point(curlew, "VK1", limits="1.7-2.3 V", code="vk2", expected=seen) == "CURLEW/IF/VK2"
    assert points(curlew)[0][:6] == ("VK2", "Cathode of V1", "V", None, 1.7, 2.3)
    with pytest.raises(Stale, match=r"The set of limits is “1.7 to 2.3 V” now, you saw “1.6 to 2.2 V”"):
        measuring.change_point(curlew, "VK2", limits="1-3 V", expected=seen)
    measuring.change_point(curlew, "VK2", limits="", name="", caution="Hot.")
    assert points(curlew)[0] == ("VK2", "", "V", None, None, None, "Load on.", "Hot.")
    measuring.add_point(curlew, "IF", VK1)
    with pytest.raises(BadInput, match="one of that code"):
        measuring.change_point(curlew, "VK2", code="VK1")


def test_the_unit_of_a_point_stays_once_it_was_read(curlew: Workshop) -> None:
    measuring.add_point(curlew, "IF", VK1)
    with pytest.raises(BadInput, match="Its limits are in another unit"):
        measuring.change_point(curlew, "VK1", unit="A")
    measuring.change_point(curlew, "VK1", unit="A", limits="1-2 mA")
    measuring.read(curlew, "CURLEW", "VK1", "1.5m")
    with pytest.raises(Forbidden, match=r"A reading was taken there: 1\.5m"):
        measuring.change_point(curlew, "VK1", unit="V", limits="1-2 V")


def test_a_point_that_was_read_stays(curlew: Workshop) -> None:
    measuring.add_points(curlew, "IF", [VK1, NewPoint("VK2", limits="2 V")])
    measuring.hold_step_by_point(curlew, "IF/1", "VK2")
    measuring.drop_point(curlew, "VK2")
    assert state_of(curlew, "CURLEW/IF/1") == ("ready", [])
    measuring.read(curlew, "CURLEW", "VK1", "2")
    with pytest.raises(Forbidden, match="stays on record"):
        measuring.drop_point(curlew, "VK1")
    undo(curlew)
    measuring.drop_point(curlew, "VK1")
    assert points(curlew) == []


ACTIONS: dict[str, Callable[[Workshop], object]] = {
    "add_point": lambda shop: measuring.add_point(shop, "AUDIO", VK1),
    "add_points": lambda shop: measuring.add_points(shop, "IF", [NewPoint("A", limits="1 V"), NewPoint("B", unit="A")]),
    "change_point": lambda shop: measuring.change_point(shop, "VK1", limits="1-3 V", name="Foot"),
    "drop_point": lambda shop: measuring.drop_point(shop, "TP2"),
    "read": lambda shop: measuring.read(shop, "CURLEW", "VK1", "2.31 V", note="warm"),
    "hold_step_by_point": lambda shop: measuring.hold_step_by_point(shop, "IF/1", "VK1"),
    "let_go_of_point": lambda shop: measuring.let_go_of_point(shop, "IF/2", "TP2"),
    "open_snag": lambda shop: snags.open_snag(shop, "CURLEW", "It whistles", step="IF/2"),
    "add_try": lambda shop: snags.add_try(shop, "1", "Moved C7", "Silent"),
    "close_snag": lambda shop: snags.close_snag(shop, "1", "C7 stood too far away"),
    "reopen": lambda shop: snags.reopen(shop, "2", "It hums again"),
}


@pytest.mark.parametrize("name", ACTIONS)
def test_an_action_is_one_entry_and_undo_takes_all_of_it_back(curlew: Workshop, dump: Dump, name: str) -> None:
    measuring.add_points(curlew, "IF", [VK1, NewPoint("TP2", limits="max 2 V")])
    measuring.hold_step_by_point(curlew, "IF/2", "TP2")
    snags.open_snag(curlew, "CURLEW", "It crackles")
    snags.open_snag(curlew, "CURLEW", "It hums")
    snags.close_snag(curlew, "2", "A dry joint")
    before = dump(curlew)
    entries = "SELECT count(*) FROM journal_entry"
    count = curlew.reads.execute(entries).fetchone()[0]
    ACTIONS[name](curlew)
    after = dump(curlew)
    assert after != before
    assert curlew.reads.execute(entries).fetchone()[0] == count + 1
    undo(curlew)
    assert dump(curlew) == before
    redo(curlew)
    assert dump(curlew) == after
    assert [proof.faults for proof in check(curlew) if not proof.holds] == []


def test_every_action_is_taken_back_here() -> None:
    for module in (measuring, snags):
        own = [one for one in vars(module).values() if getattr(one, "__module__", "") == module.__name__]
        actions = {one.__name__ for one in own if "shop" in getattr(one, "__annotations__", {})}
        assert {name for name in actions if not name.startswith("_")} <= set(ACTIONS)


@given(st.lists(st.integers(-500, 500), min_size=1, max_size=5))
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_last_reading_counts_however_many_there_were(curlew: Workshop, tenths: list[int]) -> None:
    board = f"P{curlew.reads.execute('SELECT count(*) FROM test_point').fetchone()[0]}"
    measuring.add_point(curlew, "IF", NewPoint(board, limits="-10 to 10 V"))
    measuring.hold_step_by_point(curlew, "IF/1", board)
    for one in tenths:
        measuring.read(curlew, "CURLEW", board, f"{one / 10} V")
    kind = state_of(curlew, "CURLEW/IF/1")[1]
    assert kind == ([] if -100 <= tenths[-1] <= 100 else ["out"])
    measuring.let_go_of_point(curlew, "IF/1", board)
