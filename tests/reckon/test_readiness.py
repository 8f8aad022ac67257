"""What can be done now: every state and every reason is reached, and all agree with a plain reading of the rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.readiness import (
    BEFORE,
    BEGUN,
    DONE,
    DROPPED,
    HELD,
    IN_HAND,
    OUT,
    PARTS,
    QUESTION,
    READY,
    TAKEN,
    UNREAD,
    UNSIGNED,
    WAIT,
    WAITING,
    Need,
    Reason,
    Run,
    Standing,
    Step,
    by_step,
    readiness,
)

CASE, PANEL, OVEN = 7, 8, "oven"
DAY = 24 * 60
NOW = 100 * DAY


def primed(finished: int | None = NOW, *, low: int = DAY, high: int = 2 * DAY) -> tuple[Step, dict[int, Run]]:
    """A case that was primed, and takes its own assembly while it dries."""
    return Step(1, CASE, low, high, occupies=CASE), {1: Run(DONE, NOW - 30, finished)}


def stand(
    steps: Sequence[Step],
    runs: Mapping[int, Run],
    needs: Sequence[Need] = (),
    holds: Mapping[int, Sequence[Reason]] | None = None,
    now: int = NOW,
) -> dict[int, Standing]:
    """How steps stand, each on a checklist of its own: nothing goes from the top down."""
    return readiness([[step] for step in steps], runs, by_step(needs), holds or {}, now)


# --- every state -----------------------------------------------------------------------------------------------------


def test_a_step_that_nothing_holds_is_ready() -> None:
    assert stand([Step(1, CASE)], {})[1] == Standing(READY)


def test_a_step_in_hand_tells_what_should_have_come_before_it() -> None:
    found = stand([Step(1, CASE), Step(2, CASE)], {2: Run(IN_HAND, NOW - 5)}, [Need(2, 1)])
    assert found[2] == Standing(IN_HAND, (Reason(BEFORE, 1),))


def test_a_step_that_was_dropped_holds_nothing() -> None:
    found = stand([Step(1, CASE, DAY, DAY, hold_point=True), Step(2, CASE)], {1: Run(DROPPED)}, [Need(2, 1, "FS", 60)])
    assert found == {1: Standing(DROPPED), 2: Standing(READY)}


def test_a_wait_runs_to_its_earliest_end_and_then_tells_the_recommended_one() -> None:
    step, runs = primed()
    assert stand([step], runs)[1] == Standing(WAITING, (), NOW + DAY, NOW + 2 * DAY)
    assert stand([step], runs, now=NOW + DAY - 1)[1].state == WAITING
    assert stand([step], runs, now=NOW + DAY)[1] == Standing(DONE, (), None, NOW + 2 * DAY)
    assert stand([step], runs, now=NOW + 2 * DAY)[1] == Standing(DONE)


def test_a_wait_of_unknown_beginning_is_over() -> None:
    step, runs = primed(None)
    assert stand([step], runs)[1] == Standing(DONE)


def test_a_clock_set_back_makes_no_wait_longer() -> None:
    step, runs = primed(NOW + 5 * DAY)
    assert stand([step], runs)[1].until == NOW + DAY


# --- every reason ----------------------------------------------------------------------------------------------------


def test_a_step_before_must_be_done_and_another_only_begun() -> None:
    steps = [Step(1, CASE), Step(2, CASE), Step(3, PANEL)]
    needs = [Need(3, 1), Need(3, 2, "SS")]
    assert stand(steps, {}, needs)[3].reasons == (Reason(BEFORE, 1), Reason(BEGUN, 2))
    both = {1: Run(IN_HAND, NOW), 2: Run(IN_HAND, NOW)}
    assert stand(steps, both, needs)[3].reasons == (Reason(BEFORE, 1),)


def test_a_mock_up_runs_beside_from_so_long_after_the_start() -> None:
    steps, needs = [Step(1, CASE), Step(2, PANEL)], [Need(2, 1, "SS", 60)]
    found = stand(steps, {1: Run(IN_HAND, NOW - 20)}, needs)
    assert found[2] == Standing(HELD, (Reason(WAIT, 1, NOW + 40),))
    assert stand(steps, {1: Run(IN_HAND, NOW - 60)}, needs)[2].state == READY


def test_the_longer_of_the_wait_of_a_step_and_of_its_link_holds() -> None:
    step, runs = primed()
    for wait, longer in ((60, DAY), (3 * DAY, 3 * DAY)):
        found = stand([step, Step(2, PANEL)], runs, [Need(2, 1, "FS", wait)])
        assert found[2] == Standing(HELD, (Reason(WAIT, 1, NOW + longer),))


def test_a_coat_that_is_wet_holds_the_drilling_of_its_case_and_of_nothing_else() -> None:
    step, runs = primed()
    found = stand([step, Step(2, CASE), Step(3, PANEL)], runs)
    assert found[2] == Standing(HELD, (Reason(TAKEN, 1, NOW + DAY),))
    assert found[3] == Standing(READY)
    assert stand([step._replace(occupies=None), Step(2, CASE)], runs)[2] == Standing(READY)


def test_an_oven_that_is_taken_holds_what_would_go_into_it() -> None:
    baking = Step(1, CASE, DAY, DAY, occupies=OVEN)
    found = stand([baking, Step(2, PANEL, DAY, DAY, occupies=OVEN), Step(3, PANEL)], {1: Run(DONE, NOW, NOW)})
    assert found[2] == Standing(HELD, (Reason(TAKEN, 1, NOW + DAY),))
    assert found[3].state == READY


def test_what_dries_is_not_named_twice_where_it_is_needed_as_well() -> None:
    step, runs = primed()
    assert stand([step, Step(2, CASE)], runs, [Need(2, 1)])[2].reasons == (Reason(WAIT, 1, NOW + DAY),)


def test_a_hold_point_is_passed_when_it_is_signed() -> None:
    steps, needs = [Step(1, CASE, hold_point=True), Step(2, CASE)], [Need(2, 1)]
    assert stand(steps, {1: Run(DONE, NOW, NOW)}, needs)[2] == Standing(HELD, (Reason(UNSIGNED, 1),))
    assert stand(steps, {1: Run(DONE, NOW, NOW, signed=True)}, needs)[2] == Standing(READY)


def test_parts_questions_and_readings_hold_a_step_until_it_is_done() -> None:
    told = [Reason(PARTS, 40, NOW + DAY), Reason(QUESTION, 2), Reason(UNREAD, 3), Reason(OUT, 4)]
    assert stand([Step(1, CASE)], {}, holds={1: told})[1] == Standing(HELD, tuple(told))
    assert stand([Step(1, CASE)], {1: Run(DONE)}, holds={1: told})[1] == Standing(DONE)


def test_needs_beyond_the_build_are_left_aside() -> None:
    assert stand([Step(1, CASE)], {9: Run(DONE)}, [Need(1, 9), Need(9, 1)]) == {1: Standing(READY)}


# --- from the top down -----------------------------------------------------------------------------------------------


def test_a_checklist_that_says_nothing_is_worked_from_the_top_down() -> None:
    steps = [Step(1, CASE), Step(2, CASE), Step(3, CASE)]
    found = readiness([steps], {}, {}, {}, NOW)
    assert [found[one].state for one in (1, 2, 3)] == [READY, HELD, HELD]
    assert found[3].reasons == (Reason(BEFORE, 1),)
    found = readiness([steps], {1: Run(DONE, NOW, NOW)}, {}, {}, NOW)
    assert [found[one].state for one in (1, 2, 3)] == [DONE, READY, HELD]


def test_one_need_anywhere_in_a_checklist_and_it_is_worked_as_it_says() -> None:
    steps = [Step(1, CASE), Step(2, CASE), Step(3, CASE)]
    found = readiness([steps], {}, by_step([Need(3, 2)]), {}, NOW)
    assert [found[one].state for one in (1, 2, 3)] == [READY, READY, HELD]


def test_from_the_top_down_a_wait_and_a_hold_point_hold_what_is_below() -> None:
    below = Step(2, PANEL)
    step, runs = primed()
    assert readiness([[step, below]], runs, {}, {}, NOW)[2].reasons == (Reason(WAIT, 1, NOW + DAY),)
    unsigned = [Step(1, CASE, hold_point=True), below]
    assert readiness([unsigned], {1: Run(DONE, NOW, NOW)}, {}, {}, NOW)[2].reasons == (Reason(UNSIGNED, 1),)


# --- a plain reading -------------------------------------------------------------------------------------------------

Build = tuple[list[Step], dict[int, Run], list[Need], dict[int, list[Reason]]]


@st.composite
def builds(draw: st.DrawFn) -> Build:
    """A few steps of three assemblies, some waiting for others, begun and finished in any order."""
    waits = st.sampled_from([(0, 0), (0, 50), (30, 30), (30, 90)])
    steps = []
    for number in range(1, draw(st.integers(1, 7)) + 1):
        assembly = draw(st.integers(CASE, CASE + 2))
        place = draw(st.sampled_from([None, assembly, OVEN]))
        steps.append(Step(number, assembly, *draw(waits), hold_point=draw(st.booleans()), occupies=place))
    moment = st.none() | st.integers(NOW - 120, NOW + 20)
    run = st.builds(Run, st.sampled_from([IN_HAND, DONE, DONE, DROPPED]), moment, moment, st.booleans())
    ids = [step.id for step in steps]
    runs = draw(st.dictionaries(st.sampled_from(ids), run))
    pairs = st.tuples(st.sampled_from(ids), st.sampled_from(ids)).filter(lambda pair: pair[0] > pair[1])
    chosen = draw(st.lists(pairs, max_size=8, unique=True)) if len(ids) > 1 else []
    link = st.sampled_from(["FS", "SS"])
    needs = [Need(step, before, draw(link), draw(st.sampled_from([0, 40]))) for step, before in chosen]
    told = st.lists(st.sampled_from([Reason(PARTS, 40), Reason(QUESTION, 2)]), max_size=2, unique=True)
    return steps, runs, needs, draw(st.dictionaries(st.sampled_from(ids), told))


def dries_until(step: Step, runs: Mapping[int, Run]) -> int | None:
    """When the wait of a step that is done may be ended, if that lies ahead."""
    run = runs.get(step.id)
    if run is None or run.state != DONE or run.finished is None:
        return None
    until = min(run.finished, NOW) + step.wait_low_min
    return until if until > NOW else None


def why_held(step: Step, build: Build) -> set[Reason]:
    """All that holds a step, rule by rule, without any thought of speed."""
    steps, runs, needs, holds = build
    reasons = set(holds.get(step.id, []))
    for need in [one for one in needs if one.step == step.id]:
        (other,) = [one for one in steps if one.id == need.before]
        run = runs.get(other.id)
        if need.link == "SS":
            if run is None:
                reasons.add(Reason(BEGUN, other.id))
            elif run.started is not None and min(run.started, NOW) + need.wait_min > NOW:
                reasons.add(Reason(WAIT, other.id, min(run.started, NOW) + need.wait_min))
        elif run is None or run.state == IN_HAND:
            reasons.add(Reason(BEFORE, other.id))
        elif run.state == DONE:
            if other.hold_point and not run.signed:
                reasons.add(Reason(UNSIGNED, other.id))
            by_link = min(run.finished, NOW) + need.wait_min if run.finished is not None else 0
            until = max(by_link, dries_until(other, runs) or 0)
            if until > NOW:
                reasons.add(Reason(WAIT, other.id, until))
    waits_named = {(reason.number, reason.until) for reason in reasons if reason.kind == WAIT}
    for other in steps:
        until_dry = dries_until(other, runs)
        in_its_place = other.occupies == step.assembly or (
            other.occupies is not None and other.occupies == step.occupies
        )
        if until_dry and in_its_place and (other.id, until_dry) not in waits_named:
            reasons.add(Reason(TAKEN, other.id, until_dry))
    return reasons


@settings(deadline=None, max_examples=250)
@given(builds())
def test_readiness_is_a_plain_reading_of_the_rules(build: Build) -> None:
    steps, runs, needs, holds = build
    lists = [[step, Step(step.id + 1000, 99)] for step in steps]
    found = readiness(lists, runs, by_step([*needs, *tied(steps)]), holds, NOW)
    for step in steps:
        standing, run = found[step.id], runs.get(step.id)
        assert len(set(standing.reasons)) == len(standing.reasons)
        if run is None:
            held = why_held(step, build)
            assert (standing.state, set(standing.reasons)) == (HELD if held else READY, held)
        elif run.state == IN_HAND:
            assert (standing.state, set(standing.reasons)) == (IN_HAND, why_held(step, build))
        elif run.state == DROPPED:
            assert standing == Standing(DROPPED)
        else:
            until = dries_until(step, runs)
            assert (standing.state, standing.until) == (WAITING if until else DONE, until)
            best = min(run.finished, NOW) + step.wait_high_min if run.finished is not None else 0
            assert standing.best == (best if best > NOW else None)
            assert standing.reasons == ()


def tied(steps: Sequence[Step]) -> list[Need]:
    """A need on every checklist, so that none is worked from the top down."""
    return [Need(step.id + 1000, step.id) for step in steps]


@settings(deadline=None, max_examples=60)
@given(builds(), st.integers(0, 200))
def test_time_alone_never_holds_what_was_ready(build: Build, later: int) -> None:
    steps, runs, needs, holds = build
    past = {number: run for number, run in runs.items() if (run.started or 0) <= NOW and (run.finished or 0) <= NOW}
    before = readiness([steps], past, by_step(needs), holds, NOW)
    after = readiness([steps], past, by_step(needs), holds, NOW + later)
    assert all(after[one].state == READY for one in before if before[one].state == READY)


def test_from_the_top_down_an_unsigned_hold_point_does_not_hide_the_open_step_below_it() -> None:
    steps = [Step(1, 7, hold_point=True), Step(2, 7), Step(3, 7)]
    found = readiness([steps], {1: Run(DONE, NOW, NOW)}, {}, {}, NOW)
    assert found[2].reasons == (Reason(UNSIGNED, 1),)
    assert found[3].reasons == (Reason(UNSIGNED, 1), Reason(BEFORE, 2))
