"""What snags cost, where they come again, and that a board with an open one is not done."""

from __future__ import annotations

import pytest

from buildbook.actions import bench, boards, checklists, lists, measuring, snag_parts, snags, stores
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.board import board
from buildbook.answers.boards import boards as all_boards
from buildbook.answers.form import as_json
from buildbook.answers.snag_habits import snag_habits
from buildbook.answers.snags import one_snag
from buildbook.answers.snags import snags as all_snags


@pytest.fixture
def two_builds(shop: Workshop) -> Workshop:
    """A fuse board that two units share, with one line, a point and one step; the step is done for the first."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "FUSE")
    boards.new_project(shop, "LINNET")
    boards.put_inside(shop, "LINNET", "CURLEW/FUSE", 1)
    stores.new_part(shop, "F-400", kind="fuse")
    lists.add_line(shop, "FUSE", "F-400", refs="F1 F2", fitted=False)
    measuring.add_point(shop, "FUSE", NewPoint("ACROSS", limits="1-2 V"))
    checklists.add_steps(shop, "CURLEW/FUSE", [checklists.NewStep("Populate it", 10)])
    bench.tick(shop, "CURLEW", "FUSE/1")
    return shop


def state_of(shop: Workshop, code: str = "CURLEW/FUSE", build: str = "CURLEW") -> str:
    """How a board stands."""
    return next(row.state for row in all_boards(shop, build).rows if row.code == code)


def test_minutes_and_joints_add_up_and_what_is_not_known_is_told(two_builds: Workshop) -> None:
    snags.open_snag(two_builds, "CURLEW", "It hums")
    snags.open_snag(two_builds, "LINNET", "It sings")
    snags.add_try(two_builds, "CURLEW/1", "a", minutes="40 min", joints="2")
    snags.add_try(two_builds, "CURLEW/1", "b", minutes="1h10")
    snags.add_try(two_builds, "CURLEW/1", "c", joints="1")
    row = one_snag(two_builds, "CURLEW/1").rows[0]
    assert (row.minutes, row.joints, row.untimed) == (110, 3, 1)
    assert one_snag(two_builds, "CURLEW/1").sentence == (
        "Snag CURLEW/1, It hums: open, 3 tries, 1 h 50 min, 3 joints (1 try without minutes)."
    )
    found = [
        (one.build, one.snags, one.open, one.tries, one.minutes, one.joints) for one in all_snags(two_builds).totals
    ]
    assert found == [("CURLEW", 1, 1, 3, 110, 3), ("LINNET", 1, 1, 0, 0, 0)]
    assert all_snags(two_builds).sentence == (
        "2 snags open; 1 h 50 min, 3 joints (1 try without minutes) lost to them."
    )


def test_a_board_with_an_open_snag_is_not_done(two_builds: Workshop) -> None:
    assert state_of(two_builds) == "done"
    snags.open_snag(two_builds, "CURLEW", "The cover is bent", assembly="FUSE")
    assert state_of(two_builds) == "snag open"
    assert "1 done but for a snag" in all_boards(two_builds, "CURLEW").sentence
    assert "done," not in all_boards(two_builds, "CURLEW").sentence
    shown = board(two_builds, "CURLEW/FUSE", "CURLEW")
    assert shown.snags == ("CURLEW/1 The cover is bent",)
    assert shown.sentence.endswith("1 of 1 step done; 1 snag open.")
    # It is a matter of the one build alone.
    assert board(two_builds, "CURLEW/FUSE", "LINNET").snags == ()
    snags.close_snag(two_builds, "1", "It was dropped")
    assert state_of(two_builds) == "done"
    snags.reopen(two_builds, "CURLEW/1", "Bent again")
    assert state_of(two_builds) == "snag open"


def test_a_snag_about_a_step_or_a_reading_of_a_board_counts_and_one_about_the_build_does_not(
    two_builds: Workshop,
) -> None:
    snags.open_snag(two_builds, "CURLEW", "About all of it")
    assert state_of(two_builds) == "done"
    snags.open_snag(two_builds, "CURLEW", "A blob", step="FUSE/1")
    assert state_of(two_builds) == "snag open"
    snags.close_snag(two_builds, "2", "Too hot")
    taken = measuring.read(two_builds, "CURLEW", "ACROSS", "3")
    snags.open_snag(two_builds, "CURLEW", "Too high", reading=taken.number)
    assert state_of(two_builds) == "snag open"


def test_the_same_point_in_another_build_has_been_seen_before(two_builds: Workshop) -> None:
    for build in ("LINNET", "CURLEW"):
        taken = measuring.read(two_builds, build, "ACROSS", "3")
        snags.open_snag(two_builds, build, f"Too high in the {build}", reading=taken.number)
    newest = one_snag(two_builds, "CURLEW/1").rows[0]
    assert [(one.build, one.number, one.how, one.before) for one in newest.seen] == [("LINNET", 1, "same point", True)]
    assert [one.before for one in one_snag(two_builds, "LINNET/1").rows[0].seen] == [False]
    answer = snag_habits(two_builds)
    assert [(row.how, row.what, row.builds) for row in answer.rows] == [
        ("same point", "CURLEW/FUSE/ACROSS", ("CURLEW", "LINNET"))
    ]
    assert answer.sentence == "1 habit of snags, 1 of them across builds (CURLEW and LINNET)."
    assert "same test point" in answer.rule


def test_the_same_part_of_the_same_board_is_a_habit(two_builds: Workshop) -> None:
    for build, ref in (("CURLEW", "F1"), ("LINNET", "F2")):
        name = snags.open_snag(two_builds, build, "It blows", assembly="CURLEW/FUSE")
        snag_parts.touch_parts(two_builds, name, ref)
    (row,) = snag_habits(two_builds, "LINNET").rows
    assert (row.how, row.what) == ("same part of the same board", "F-400 of CURLEW/FUSE")
    parts = one_snag(two_builds, "LINNET/1").rows[0].parts
    assert [(part.assembly, part.refs, part.key) for part in parts] == [("CURLEW/FUSE", "F2", "F-400")]


def test_without_habits_it_says_so(two_builds: Workshop) -> None:
    snags.open_snag(two_builds, "CURLEW", "It hums")
    assert snag_habits(two_builds).sentence == "No snag has come more than once."
    assert as_json(snag_habits(two_builds))["rows"] == []


def test_the_demo_has_one_that_recurs(demo_to_read: Workshop) -> None:
    (row,) = snag_habits(demo_to_read).rows
    assert (row.builds, row.how) == (("LINNET", "WREN"), "same words in the cause")
    assert "decoupling" in row.what
    # Added up by hand from the list: 15 + 40 and 25 + 20 minutes, 2 + 4 and 3 + 2 joints.
    assert (row.minutes, row.joints) == (100, 11)
    audio = next(row for row in all_boards(demo_to_read, "CURLEW").rows if row.code == "CURLEW/AUDIO")
    assert audio.snags == 1
