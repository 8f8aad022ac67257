"""Test points and snags on the screen: read one after the other, a snag from what is out, tries; within their keys."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import boards, measuring, snags
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.log import stream
from buildbook.answers.measuring import PointRow, sheet
from buildbook.answers.snags import SnagRow
from buildbook.answers.snags import snags as all_snags

Run = Any
Sit = Any


@pytest.fixture
def measured(curlew: Path, another: Workshop) -> Path:
    """Four points on two boards of the Curlew."""
    points = [
        NewPoint("VK1", "cathode of V1", "1.6-2.2 V", caution="High voltage."),
        NewPoint("VK2", limits="1.6-2.2 V"),
    ]
    measuring.add_points(another, "IF", points)
    points = [NewPoint("PE", "inlet to case", "max 0.1 ohm"), NewPoint("INS", "insulation", "min 1 Mohm")]
    measuring.add_points(another, "CURLEW/CASE", points)
    return curlew


def flat(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def point(shop: Workshop, code: str) -> PointRow:
    """A point of the Curlew as it stands."""
    return next(row for row in sheet(shop, "CURLEW").rows if row.code == code)


def texts(shop: Workshop) -> dict[str, str]:
    """What was typed at each point."""
    return {row.code: row.text for row in sheet(shop, "CURLEW").rows}


def only_snag(shop: Workshop) -> SnagRow:
    """The one snag that there is."""
    (row,) = all_snags(shop).rows
    return row


def test_questions_come_first_then_points_board_by_board_then_snags(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    snags.open_snag(another, "CURLEW", "It hums")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5")
            keys = [row.key for row in seat.list.shown]
            assert keys == [
                "CURLEW/RECT",
                "CURLEW/IF/VK1",
                "CURLEW/IF/VK2",
                "CURLEW/CASE/PE",
                "CURLEW/CASE/INS",
                "snag CURLEW/1",
            ]
            assert "1 question open; 1 snag open; 0 of 4 points read." in flat(seat.seen())
            line = next(line for line in seat.seen().splitlines() if "IF/VK1" in line)
            assert "to read" in line
            assert "cathode of V1" in line
            assert "1.6 to 2.2 V" in line

    run(scene())


def test_a_reading_takes_two_keys_from_the_opening(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "M")
            assert "IF/VK1 cathode of V1 (1.6 to 2.2 V), in V:" in flat(seat.asked())
            assert "High voltage." in seat.asked()
            await seat.type("2.01")
            assert "2.01 V, within limits" in seat.asked()
            await seat.press("enter")
            assert point(another, "VK1").said == "2.01 V, within limits"

    run(scene())


def test_readings_are_taken_one_after_the_other_and_esc_stops(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "M", *"2.1", "enter", *"1.9", "enter")
            assert "CASE/PE" in seat.asked()
            await seat.press("escape")
            assert texts(another) == {"VK1": "2.1", "VK2": "1.9", "PE": "", "INS": ""}
            assert seat.row() == "CURLEW/CASE/PE"
            assert "2 of 4 points read" in flat(seat.seen())

    run(scene())


def test_what_was_read_is_not_asked_again_but_can_be(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    measuring.read(another, "CURLEW", "VK2", "2")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "space", *"2.1", "enter")
            assert "CASE/PE" in seat.asked()
            await seat.press("escape", "up")
            assert seat.row() == "CURLEW/IF/VK2"
            await seat.press("space", *"1.8", "enter", "escape")
            assert texts(another)["VK2"] == "1.8"
            assert point(another, "VK2").times == 2
            await seat.press("u")
            assert texts(another)["VK2"] == "2"

    run(scene())


def test_a_reading_that_is_no_amount_is_told_beside_the_field(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "M", *"2mA", "enter")
            assert "is not in V" in flat(seat.asked())
            await seat.press("escape")
            assert texts(another)["VK1"] == ""

    run(scene())


def test_out_of_limits_says_so_and_one_key_opens_a_snag(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "M", *"2.31", "enter")
            assert "cathode of V1 (IF/VK1) is out of limits: 2.31 V, 0.11 V above 2.2 V." in flat(seat.asked())
            await seat.press("X")
            assert "IF/VK2" in seat.asked()
            await seat.press("escape")
            snag = only_snag(another)
            assert snag.title == "cathode of V1: 2.31 V, 0.11 V above 2.2 V"
            assert (snag.state, snag.about) == ("open", "CURLEW/IF")
            assert snag.reading == "VK1: 2.31 V, 0.11 V above 2.2 V"

    run(scene())


def test_out_of_limits_may_be_read_again_passed_over_or_end_it(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "M", *"2.31", "enter", "space")
            assert "IF/VK1" in seat.asked()
            await seat.press(*"2.1", "enter", *"9", "enter", "enter")
            assert "CASE/PE" in seat.asked()
            await seat.press(*"1", "enter", "escape")
            assert texts(another) == {"VK1": "2.1", "VK2": "9", "PE": "1", "INS": ""}
            assert not all_snags(another).rows
            assert "3 of 4 points read, 2 out of limits" in flat(seat.seen())

    run(scene())


def test_a_snag_takes_two_keys_and_a_try_two(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "X")
            await seat.type("It hums")
            await seat.press("enter")
            assert only_snag(another).title == "It hums"
            await seat.press("T")
            await seat.type("Earthed the screen; silent")
            assert "tried: Earthed the screen; it showed: silent" in flat(seat.asked())
            await seat.press("enter")
            assert [(one.tried, one.showed) for one in only_snag(another).tries] == [("Earthed the screen", "silent")]

    run(scene())


def test_a_snag_from_the_point_that_is_out_has_its_title_ready(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    measuring.read(another, "CURLEW", "VK1", "2.31")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "X", "enter")
            assert only_snag(another).reading == "VK1: 2.31 V, 0.11 V above 2.2 V"
            await seat.press("down", "X")
            await seat.type("VK2 gets hot")
            await seat.press("enter")
            newest = all_snags(another).rows[0]
            assert (newest.title, newest.about, newest.reading) == ("VK2 gets hot", "CURLEW/IF", "")

    run(scene())


def test_a_snag_is_closed_with_its_cause_and_reopened(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    snags.open_snag(another, "CURLEW", "It hums")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "end", "c")
            await seat.type("a dry joint")
            await seat.press("enter")
            assert only_snag(another).cause == "a dry joint"
            await seat.press("o")
            await seat.type("hums again")
            await seat.press("enter")
            assert only_snag(another).state == "open"
            await seat.press("u", "u", "u")
            assert not all_snags(another).rows

    run(scene())


def test_a_point_opens_on_its_readings_and_says_why(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    measuring.read(another, "CURLEW", "VK1", "2.31", note="cold")
    measuring.read(another, "CURLEW", "VK1", "2.1")
    measuring.hold_step_by_point(another, "Prime inside and out", "IF/VK1")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "enter")
            seen = flat(seat.seen())
            for said in ("mind: High voltage.", "2.1 V, within limits", "2.31 V, 0.11 V above 2.2 V (cold)", "Prime"):
                assert said in seen
            await seat.press("enter", "y")
            assert "upper limit: 2.2 V; the reading is 0.1 V below it" in flat(seat.seen())

    run(scene())


def test_a_point_is_written_down_changed_and_taken_away(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "plus", "enter", *"vg2", "enter", *"screen", "enter")
            await seat.type("80 to 95 V")
            await seat.press("enter")
            row = point(another, "VG2")
            assert (row.assembly, row.name, row.limits) == ("CURLEW/IF", "screen", "80 to 95 V")
            assert seat.row() == "CURLEW/IF/VG2"
            await seat.press("v", "ctrl+u", *"min80V", "enter")
            assert point(another, "VG2").limits == "at least 80 V"
            await seat.press("d")
            assert "VG2" not in texts(another)

    run(scene())


def test_the_list_is_narrowed_to_points_and_to_what_was_tried(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    snags.open_snag(another, "CURLEW", "It hums")
    snags.add_try(another, "1", "Turned the choke")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "slash", *"choke")
            assert [row.key for row in seat.list.shown] == ["snag CURLEW/1"]
            await seat.press("escape", "slash", *"insul")
            assert [row.key for row in seat.list.shown] == ["CURLEW/CASE/INS"]

    run(scene())


def test_the_log_tells_of_snags_and_opens_them(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("6", "X")
            await seat.type("It hums")
            await seat.press("enter", "T")
            await seat.type("Turned the choke; less")
            await seat.press("enter")
            rows = [(row.kind, row.what) for row in stream(another).rows[:2]]
            assert rows == [
                ("try", "Snag 1, It hums: Turned the choke; it showed: less"),
                ("snag", "Snag 1: It hums"),
            ]
            assert "Snag 1: It hums" in seat.seen()

    run(scene())


def test_bench_leads_to_the_reading_that_holds_a_step(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    measuring.hold_step_by_point(another, "Mask the earth patch", "PE")

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("1", "slash", *"mask", "enter", "h")
            assert "5 Checks" in seat.seen()
            assert seat.row() == "CURLEW/CASE/PE"

    run(scene())


def test_nothing_left_to_read_is_said(run: Run, sit: Sit, curlew: Path) -> None:
    async def scene() -> None:
        async with sit(curlew) as seat:
            await seat.press("5", "M")
            assert "No point is to be read." in flat(seat.seen())
            await seat.press("T")
            assert "No snag is open." in flat(seat.seen())

    run(scene())


def test_a_try_is_at_the_snag_selected_or_at_the_one_opened_last(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    for title in ("It hums", "It whistles"):
        snags.open_snag(another, "CURLEW", title)

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "T")
            assert "Snag CURLEW/2, It whistles." in flat(seat.asked())
            await seat.press("escape", "end", "space")
            assert "Snag CURLEW/1, It hums." in flat(seat.asked())

    run(scene())


def test_every_row_has_a_key_of_its_own(run: Run, sit: Sit, measured: Path, another: Workshop) -> None:
    # A point named like a question, and a board that two builds have, of one of which two are made.
    measuring.add_point(another, "CURLEW/CURLEW", NewPoint("RECT", limits="1 V"))
    boards.new_build(another, "PAIR", "CURLEW/IF", 2)

    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "b")
            await seat.type("All builds")
            await seat.press("enter")
            keys = [row.key for row in seat.list.shown]
            assert len(keys) == len(set(keys)) == 1 + 3 + 2 + 4
            assert "PAIR IF/VK1 unit 2" in flat(seat.seen())

    run(scene())
