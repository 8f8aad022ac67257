"""Plans of a real workshop: they keep every rule of the Bench, the builder's pace, deliveries, hours and time zones."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import bench as at_bench
from buildbook.actions import boards, buying, checklists, checks, lists, network, offers, stores
from buildbook.actions.bench_time import set_hours
from buildbook.actions.checklists import After, NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.agenda import agenda
from buildbook.answers.bench import bench
from buildbook.answers.bench_time import bench_hours
from buildbook.answers.finish import finish, likely_and_safe
from buildbook.answers.plan import Left, what_is_left
from buildbook.answers.standing import builds_that_count
from buildbook.answers.tonight import tonight
from buildbook.errors import BadInput
from buildbook.reckon.sessions import Schedule, faults, list_schedule
from buildbook.trade.moments import minutes_of

# A Monday.
MONDAY = datetime(2026, 11, 23, 12, 0, tzinfo=UTC)
WEEK = "tue 19:30-22:00, thu 19:30-22:00, sat 10:00-16:00"


@pytest.fixture
def curlew(shop: Workshop) -> Workshop:
    """The Curlew with a case and a panel, no steps yet, on a Monday noon; hours in UTC."""
    shop.clock = lambda: MONDAY
    boards.new_project(shop, "CURLEW", "Curlew receiver", target_on="2026-12-24")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    boards.new_assembly(shop, "CURLEW", "PANEL", "Dial panel", "panel")
    set_hours(shop, WEEK, zone="UTC")
    return shop


def left_of(shop: Workshop) -> Left:
    return what_is_left(shop, builds_that_count(shop))


def plan_of(left: Left) -> Schedule:
    return list_schedule(left.at_delivery(), left.links, left.sessions)


# --- bench time ------------------------------------------------------------------------------------------------------


def test_without_hours_a_usual_week_is_assumed_and_said(shop: Workshop) -> None:
    shop.clock = lambda: MONDAY
    boards.new_project(shop, "CURLEW")
    checklists.add_step(shop, "CURLEW", NewStep("Mark out", 20))
    assert bench_hours(shop).assumed
    assert bench_hours(shop).sentence.startswith(f"No bench hours are set: reckoned with {WEEK}; set them with")
    for said in (tonight(shop).assumed, finish(shop).assumed, agenda(shop).assumed):
        assert said[0].startswith("No bench hours are set")
    set_hours(shop, WEEK)
    assert not bench_hours(shop).assumed
    assert not [one for one in tonight(shop).assumed if "bench hours" in one]


def test_the_next_session_follows_summer_time(curlew: Workshop) -> None:
    set_hours(curlew, "sun 10:00-12:00, mon 19:30-22:00", zone="Europe/Berlin")
    # Summer time ends there on Sunday 25 October 2026 at 03:00.
    curlew.clock = lambda: datetime(2026, 10, 24, 12, 0, tzinfo=UTC)
    assert [row.start for row in bench_hours(curlew).rows[:2]] == ["2026-10-25T09:00:00Z", "2026-10-26T18:30:00Z"]
    curlew.clock = lambda: datetime(2026, 10, 17, 12, 0, tzinfo=UTC)
    assert bench_hours(curlew).rows[0].start == "2026-10-18T08:00:00Z"


def test_a_session_over_the_end_of_summer_time_has_its_hour_more(curlew: Workshop) -> None:
    set_hours(curlew, "sun 01:00-05:00", zone="Europe/Berlin")
    curlew.clock = lambda: datetime(2026, 10, 24, 12, 0, tzinfo=UTC)
    assert bench_hours(curlew).rows[0].minutes == 5 * 60


def test_a_date_without_hours_is_left_out(curlew: Workshop) -> None:
    checklists.add_step(curlew, "CASE", NewStep("Mark out", 20))
    assert tonight(curlew).start == "2026-11-24T19:30:00Z"
    set_hours(curlew, exceptions=["2026-11-24: none"])
    assert tonight(curlew).start == "2026-11-26T19:30:00Z"
    assert "other than that on 1 date" in bench_hours(curlew).sentence


# --- tonight ---------------------------------------------------------------------------------------------------------


def test_the_long_wait_begins_last_and_runs_while_nobody_is_there(curlew: Workshop) -> None:
    checklists.add_steps(
        curlew, "CASE", [NewStep("Prime", 30, wait_low_min=1440, wait_kind="dry"), NewStep("Flat", 20)]
    )
    checklists.add_steps(curlew, "PANEL", [NewStep("Mark out", 30), NewStep("Engrave", 40)])
    answer = tonight(curlew)
    assert [row.name for row in answer.rows] == ["Mark out", "Engrave", "Prime"]
    assert answer.rows[-1].why == "overnight"
    assert answer.rows[-1].reason.startswith("Its wait of 24 h runs while nobody is there")
    assert "overnight: Prime" in answer.sentence
    assert all(row.start < row.end for row in answer.rows)


def test_the_time_at_hand_begins_now(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "CASE", [NewStep("Mark out", 30), NewStep("Drill", 60), NewStep("Deburr", 60)])
    answer = tonight(curlew, minutes=100)
    assert (answer.start, answer.end) == ("2026-11-23T12:00:00Z", "2026-11-23T13:40:00Z")
    assert [(row.name, row.minutes, row.part) for row in answer.rows] == [
        ("Mark out", 30, False),
        ("Drill", 60, False),
        ("Deburr", 10, True),
    ]


@pytest.mark.parametrize("minutes", [0, -5, 24 * 60 + 1])
def test_no_time_and_more_than_a_day_are_refused(curlew: Workshop, minutes: int) -> None:
    with pytest.raises(BadInput, match="1 minute to 24 hours"):
        tonight(curlew, minutes=minutes)


def test_a_question_keeps_a_step_from_tonight_and_that_is_said(curlew: Workshop) -> None:
    checks.ask(curlew, "CURLEW", "METER", "Which meter?", {"M52": "round", "NONE": "none"})
    checklists.add_step(curlew, "PANEL", NewStep("Cut meter opening", 40, questions=("METER",)))
    checklists.add_step(curlew, "CASE", NewStep("Mark out", 20))
    answer = tonight(curlew)
    assert [row.name for row in answer.rows] == ["Mark out"]
    assert [(row.name, row.what) for row in answer.not_tonight] == [("Cut meter opening", "question CURLEW/METER")]
    assert answer.not_tonight[0].release == "Settle the question CURLEW/METER."
    assert "1 step not tonight" in answer.sentence
    checks.settle(curlew, "CURLEW", "METER", "M52", "It fits.")
    assert len(tonight(curlew).rows) == 2


def parts_wanted(shop: Workshop) -> None:
    """A step that fits two transformers which nobody has."""
    stores.new_part(shop, "T-IFT")
    lists.add_line(shop, "PANEL", "T-IFT", refs="T1 T2")
    checklists.add_step(shop, "PANEL", NewStep("Fit transformers", 40, fits=("T1",)))
    buying.new_supplier(shop, "TERN", "Tern Windings")


def test_parts_on_order_release_a_step_on_the_day_they_are_due(curlew: Workshop) -> None:
    parts_wanted(curlew)
    buying.place_order(curlew, "TW-1", "TERN", [buying.OrderLine("T-IFT", 2)], due_on="2026-11-27")
    answer = tonight(curlew)
    assert not answer.rows
    assert answer.not_tonight[0].what == "parts: TW-1 from TERN, due 27 Nov"
    told = finish(curlew)
    assert [(row.name, row.state, row.steps) for row in told.deliveries] == [("TW-1 from TERN", "on order", 1)]
    assert told.rows[0].start == "2026-11-28T10:00:00Z"
    assert told.rows[0].pushed == "parts"
    # On the Saturday after, all is there in the plan, but it has not come: nothing is planned on its being there.
    curlew.clock = lambda: datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
    assert not tonight(curlew).rows
    assert finish(curlew).deliveries[0].state == "overdue"


def test_what_is_short_takes_the_lead_time_of_the_cheapest_offer(curlew: Workshop) -> None:
    parts_wanted(curlew)
    assert finish(curlew).without == ("T1, T2 (T-IFT): 2 short, nobody offers it",)
    offers.set_offer(curlew, "TERN", "T-IFT", "TW11", breaks=[(1, 7_800_000)])
    assert finish(curlew).without == ("T1, T2 (T-IFT): 2 short, TERN names no lead time",)
    offers.set_offer(curlew, "TERN", "T-IFT", "TW11", lead_days=14)
    told = finish(curlew)
    assert told.without == ()
    assert [(row.name, row.due_on, row.state) for row in told.deliveries] == [("TERN", "2026-12-07", "to order")]
    assert told.gains[0].what == "sooner"
    assert told.gains[0].likely_min > 10 * 1440


def test_a_reading_not_taken_and_a_kit_to_be_made_are_done_at_once(curlew: Workshop) -> None:
    parts_wanted(curlew)
    stores.new_bin(curlew, "A1")
    stores.receive(curlew, "T-IFT", "A1", 2)
    (row,) = tonight(curlew).rows
    assert row.first == "Kit CURLEW/PANEL first."


def test_several_builds_share_the_evening_the_first_in_priority_first(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "CASE", [NewStep("Mark out", 30), NewStep("Drill", 60)])
    boards.new_project(curlew, "LINNET")
    checklists.add_step(curlew, "LINNET", NewStep("Wire the switch", 50))
    assert [row.build for row in tonight(curlew).rows] == ["CURLEW", "CURLEW", "LINNET"]
    assert [row.build for row in tonight(curlew, "LINNET").rows] == ["LINNET"]
    assert "LINNET left aside" in finish(curlew, "CURLEW").assumed[-1]
    with pytest.raises(BadInput, match="not clear which build"):
        finish(curlew)


def test_of_many_builds_the_first_few_are_planned_and_that_is_said(curlew: Workshop) -> None:
    for number in range(6):
        boards.new_project(curlew, f"WREN{number}")
        checklists.add_step(curlew, f"WREN{number}", NewStep("Wire the switch", 5))
    assert [row.build for row in tonight(curlew).rows] == ["WREN0", "WREN1", "WREN2", "WREN3"]
    said = "Only the first 5 builds in priority are planned; 2 more are left aside."
    assert said in tonight(curlew).assumed
    assert said in agenda(curlew).assumed
    assert [row.build for row in tonight(curlew, "WREN5").rows] == ["WREN5"]


def test_a_better_plan_is_no_later_and_says_how_good_it_is(curlew: Workshop) -> None:
    steps = [NewStep(f"Coat {number}", 25 + number, wait_low_min=600 * number) for number in range(1, 6)]
    checklists.add_steps(curlew, "CASE", steps)
    checklists.add_steps(curlew, "PANEL", [NewStep(f"Cut {number}", 35) for number in range(6)])
    quick, better = tonight(curlew), tonight(curlew, improve_s=2)
    assert quick.gap is None
    assert better.gap is not None
    assert better.finish <= quick.finish


def test_nothing_left_and_no_build_are_said(shop: Workshop) -> None:
    assert tonight(shop).sentence == "No build is planned or under way."
    boards.new_project(shop, "CURLEW")
    assert tonight(shop).sentence == "Nothing is left to do."
    assert finish(shop).sentence == "Nothing is left to do of CURLEW."
    assert likely_and_safe(shop, "CURLEW") is None
    assert agenda(shop).rows == ()


# --- the finish ------------------------------------------------------------------------------------------------------


def test_the_finish_of_a_sure_step_is_sure(curlew: Workshop) -> None:
    checklists.add_step(curlew, "CASE", NewStep("Drill", 60, low_min=55, high_min=65))
    answer = finish(curlew)
    assert answer.sentence == (
        "CURLEW is likely finished by 24 Nov 2026, safely by 24 Nov 2026; "
        "a chance of 99 in 100 for the target of 24 Dec 2026."
    )
    assert [row.critical for row in answer.rows] == [True]
    dates = likely_and_safe(curlew, "CURLEW")
    assert dates is not None
    assert (dates.likely_on, dates.safe_on) == ("2026-11-24", "2026-11-24")


def test_the_chances_rise_from_the_first_draw_to_the_last(curlew: Workshop) -> None:
    checklists.add_steps(
        curlew, "CASE", [NewStep(f"Wind {number}", 100, low_min=60, high_min=300) for number in range(6)]
    )
    answer = finish(curlew)
    assert list(answer.curve) == sorted(answer.curve)
    assert len(answer.curve) == 101
    assert answer.curve[50] == answer.likely < answer.safe == answer.curve[90]
    assert {row.what for row in answer.drivers} == {"hands"}
    assert finish(curlew) == answer


def test_the_pace_is_learned_from_minutes_noted(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "CASE", [NewStep(f"Wind {number}", 30) for number in range(6)])
    assert "No minutes were noted yet" in " ".join(finish(curlew).assumed)
    for number in range(5):
        at_bench.tick(curlew, "CURLEW", f"Wind {number}", minutes=60)
    answer = finish(curlew)
    # Noted twice what was thought in 5 steps, shrunk by 5: 2 ** (5 / 10).
    assert (answer.pace_ratio, answer.pace_steps) == (1.414, 5)
    assert "You take 1.4 times as long as thought, over 5 steps." in answer.assumed
    assert answer.rows[0].minutes == 42


def test_what_was_spent_on_a_step_in_hand_is_taken_off(curlew: Workshop) -> None:
    checklists.add_step(curlew, "CASE", NewStep("Wind", 60))
    at_bench.start(curlew, "CURLEW", "Wind")
    curlew.clock = lambda: MONDAY + timedelta(minutes=25)
    assert finish(curlew).minutes_left == 35
    curlew.clock = lambda: MONDAY + timedelta(minutes=300)
    assert finish(curlew).minutes_left == 1


def test_a_step_without_a_time_is_reckoned_with_half_an_hour_and_that_is_said(curlew: Workshop) -> None:
    checklists.add_step(curlew, "CASE", NewStep("Look it over"))
    checklists.add_step(curlew, "CASE", NewStep("Let it cure", wait_low_min=1440))
    answer = finish(curlew)
    assert [row.minutes for row in answer.rows] == [30, 1]
    assert "1 step has no time written down: reckoned with 30 min each." in answer.assumed


def test_several_units_take_the_minutes_once_for_each_and_the_waits_once(curlew: Workshop) -> None:
    boards.new_project(curlew, "WREN", units=3)
    checklists.add_step(curlew, "WREN", NewStep("Pot the coil", 20, wait_low_min=600))
    answer = finish(curlew, "WREN")
    assert [(row.minutes, row.wait_min) for row in answer.rows] == [(60, 600)]
    said = " ".join(answer.assumed)
    assert "hands-on minutes count once for each piece" in said
    assert "All 3 units are built together" in said


def test_putting_off_what_an_open_question_holds_is_told_in_days(curlew: Workshop) -> None:
    checks.ask(curlew, "CURLEW", "METER", "Which meter?", {"M52": "round", "NONE": "none"})
    cut = NewStep("Cut meter opening", 120, wait_low_min=5 * 1440, questions=("METER",))
    checklists.add_step(curlew, "PANEL", cut)
    checklists.add_step(curlew, "CASE", NewStep("Mark out", 20))
    (gain,) = [row for row in finish(curlew).gains if row.what == "shelve"]
    assert gain.key == "CURLEW/METER"
    assert gain.name == "CURLEW/METER put off, with the 1 step that hangs on it"
    assert gain.likely_min > 4 * 1440


def test_what_stands_there_only_for_an_option_goes_with_its_choice(curlew: Workshop) -> None:
    checks.ask(curlew, "CURLEW", "READOUT", "Digital readout?", {"YES": "a module", "NO": "none"})
    boards.new_project(curlew, "EYE", "Readout module")
    checklists.add_step(curlew, "EYE", NewStep("Program the module", 600))
    boards.put_inside(curlew, "CURLEW", "EYE", option="READOUT:YES")
    checks.settle(curlew, "CURLEW", "READOUT", "YES", "It is asked for.")
    checklists.add_step(curlew, "CASE", NewStep("Mark out", 20))
    (gain,) = [row for row in finish(curlew, "CURLEW").gains if row.what == "shelve"]
    assert gain.key == "CURLEW/READOUT"
    assert gain.likely_min > 1440


def test_waits_of_more_than_sixty_years_are_refused_and_of_a_year_are_not(curlew: Workshop) -> None:
    year = 365 * 1440
    checklists.add_steps(curlew, "CASE", [NewStep("Season", 5, wait_low_min=year), NewStep("Saw", 5)])
    assert finish(curlew).likely.startswith("2027-11")
    checklists.add_steps(curlew, "PANEL", [NewStep(f"Season {n}", 5, wait_low_min=9 * year) for n in range(7)])
    with pytest.raises(BadInput, match="more than 60 years"):
        finish(curlew)


def test_a_clock_set_back_does_no_harm(curlew: Workshop) -> None:
    checklists.add_steps(curlew, "CASE", [NewStep("Prime", 30, wait_low_min=1440), NewStep("Flat", 20)])
    at_bench.tick(curlew, "CURLEW", "Prime", minutes=30)
    curlew.clock = lambda: MONDAY - timedelta(days=40)
    (row,) = finish(curlew).rows
    start = minutes_of(row.start)
    assert start is not None
    assert start >= int((MONDAY - timedelta(days=39)).timestamp()) // 60


# --- properties ------------------------------------------------------------------------------------------------------

NAMES = [f"Step {number}" for number in range(1, 8)]


@st.composite
def checklists_drawn(draw: st.DrawFn) -> list[tuple[str, NewStep]]:
    """Up to seven steps of two assemblies, with waits here and in an oven, and what they come after."""
    made = []
    for at, name in enumerate(NAMES[: draw(st.integers(1, 7))]):
        wait = draw(st.sampled_from((0, 0, 30, 700, 3000)))
        after = draw(st.lists(st.sampled_from(NAMES[:at]), max_size=2, unique=True)) if at else []
        link = draw(st.sampled_from(("fs", "fs", "ss")))
        step = NewStep(
            name,
            draw(st.integers(1, 100)),
            wait_low_min=wait,
            wait_high_min=wait * draw(st.sampled_from((1, 2))),
            occupies=draw(st.sampled_from(("", "", "nothing", "oven"))) if wait else "",
            one_way=draw(st.booleans()),
            after=tuple(After(one, link, draw(st.sampled_from((0, 0, 45)))) for one in after),
        )
        made.append((draw(st.sampled_from(("CASE", "PANEL"))), step))
    return made


def workshop_with(folder: Path, template: Path, steps: Sequence[tuple[str, NewStep]]) -> Workshop:
    shop = Workshop(Path(shutil.copyfile(template, folder / "workshop.db")), clock=lambda: MONDAY, durable=False)
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    boards.new_assembly(shop, "CURLEW", "PANEL", "Panel", "panel")
    set_hours(shop, WEEK)
    for home, step in steps:
        checklists.add_step(shop, home, step)
    return shop


@settings(deadline=None, max_examples=25)
@given(checklists_drawn(), st.integers(0, 3))
def test_no_plan_has_a_fault_and_the_bench_agrees_step_by_step(
    template: Path, steps: list[tuple[str, NewStep]], done: int
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        shop = workshop_with(Path(folder), template, steps)
        try:
            for row in [row for row in bench(shop).rows if row.state == "ready"][:done]:
                at_bench.tick(shop, "CURLEW", row.step)
            walk_through(shop)
        finally:
            shop.close()


def walk_through(shop: Workshop) -> None:
    """Do what the plan says when it says so: nothing that is begun is held, and all is done at the end."""
    left = left_of(shop)
    schedule = plan_of(left)
    assert faults(schedule, left.at_delivery(), left.links, left.sessions) == ()
    ends = {piece.task: piece.end for piece in schedule.pieces}
    begun = set[int]()
    moves = sorted([(piece.end, 0, piece) for piece in schedule.pieces] + [(p.start, 1, p) for p in schedule.pieces])
    for minute, begins, piece in moves:
        shop.clock = lambda minute=minute: datetime.fromtimestamp(minute * 60, UTC)  # type: ignore[misc]
        step = left.todo[piece.task].step
        if begins and piece.task not in begun:
            states = {row.step: row for row in bench(shop).rows}
            assert states[step].state == "ready", (states[step].name, states[step].held_by)
            at_bench.start(shop, "CURLEW", step)
            begun.add(piece.task)
        elif not begins and minute == ends[piece.task]:
            at_bench.tick(shop, "CURLEW", step)
    assert {row.state for row in bench(shop).rows} <= {"done", "waiting"}


@settings(deadline=None, max_examples=15)
@given(checklists_drawn(), st.sampled_from((None, 20, 150, 600)))
def test_tonight_stays_within_its_session_and_does_one_thing_after_the_other(
    template: Path, steps: list[tuple[str, NewStep]], minutes: int | None
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        shop = workshop_with(Path(folder), template, steps)
        try:
            answer = tonight(shop, minutes=minutes)
            left = left_of(shop)
        finally:
            shop.close()
    if not answer.rows:
        # Some step that nothing holds must be done at one stretch, and is longer than what there is.
        free = set(left.todo) - {link.after for link in left.links}
        assert any(left.todo[task].one_way and left.todo[task].hands.likely > (minutes or 150) for task in free)
    assert all(answer.start <= row.start < row.end <= answer.end for row in answer.rows)
    assert all(one.end <= other.start for one, other in pairwise(answer.rows))
    numbers = {left.todo[task].step: task for task in left.todo}
    tonights = {numbers[row.step] for row in answer.rows}
    for link in left.links:
        assert link.after not in tonights or link.before in tonights


@settings(deadline=None, max_examples=15)
@given(checklists_drawn())
def test_more_bench_time_of_the_same_hours_never_moves_a_single_chain_later(
    template: Path, steps: list[tuple[str, NewStep]]
) -> None:
    chained = [(home, replace(step, after=())) for home, step in steps]
    chained = [("CASE", step) for _, step in chained]
    with tempfile.TemporaryDirectory() as folder:
        shop = workshop_with(Path(folder), template, chained)
        try:
            before = plan_of(left_of(shop)).finish
            set_hours(shop, f"{WEEK}, sun 10:00-18:00")
            assert plan_of(left_of(shop)).finish <= before
        finally:
            shop.close()


def test_it_uses_what_a_step_fits(curlew: Workshop) -> None:
    parts_wanted(curlew)
    network.fits(curlew, "Fit transformers", [])
    assert [row.name for row in tonight(curlew).rows] == ["Fit transformers"]
