"""First power waits for the safety checks before it, however far away in the order of work they stand."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.reckon.network import Link
from buildbook.reckon.power import CHECKS, POWER, Worked, checks_before, power_holds
from buildbook.reckon.readiness import DONE, DROPPED, NO_CHECK, READY, UNSIGNED, Reason, Run, Step, by_step, readiness
from buildbook.reckon.readiness import Need as Before


def test_unsigned_checks_hold_it_by_way_of_other_steps() -> None:
    steps = [Worked(1, CHECKS, True), Worked(2, CHECKS, True, signed=True), Worked(3, "wire"), Worked(4, POWER)]
    links = [Link(1, 3), Link(2, 3), Link(3, 4)]
    assert power_holds(steps, links) == {4: [Reason(UNSIGNED, 1)]}


def test_a_check_that_is_no_hold_point_or_comes_later_is_none() -> None:
    steps = [Worked(1, CHECKS), Worked(2, POWER), Worked(3, CHECKS, True, signed=True)]
    assert power_holds(steps, [Link(1, 2), Link(2, 3)]) == {2: [Reason(NO_CHECK, 2)]}


def test_other_work_is_held_by_none_of_it() -> None:
    assert power_holds([Worked(1, CHECKS, True), Worked(2, "adjust")], [Link(1, 2)]) == {}


def test_a_check_that_was_left_out_still_holds_the_power() -> None:
    check, power = Step(1, 7, hold_point=True), Step(2, 7)
    needs = by_step([Before(2, 1)])
    held = power_holds([Worked(1, CHECKS, True), Worked(2, POWER)], [Link(1, 2)])
    dropped = {1: Run(DROPPED, 0, 0)}
    assert readiness([[check, power]], dropped, needs, {}, 10)[2].state == READY
    assert readiness([[check, power]], dropped, needs, held, 10)[2].reasons == (Reason(UNSIGNED, 1),)


def test_what_holds_it_already_is_not_said_twice() -> None:
    check, power = Step(1, 7, hold_point=True), Step(2, 7)
    needs = by_step([Before(2, 1)])
    held = {2: [Reason(UNSIGNED, 1)]}
    for runs in ({}, {1: Run(DONE, 0, 0)}):
        reasons = readiness([[check, power]], runs, needs, held, 10)[2].reasons
        assert [one.number for one in reasons] == [1]


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_power_is_free_only_when_every_check_before_it_is_signed(data: st.DataObject) -> None:
    count = data.draw(st.integers(2, 9))
    steps = [
        Worked(
            number,
            data.draw(st.sampled_from((CHECKS, POWER, "wire"))),
            data.draw(st.booleans()),
            data.draw(st.booleans()),
        )
        for number in range(count)
    ]
    pairs = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(lambda pair: pair[0] < pair[1])
    links = [Link(*pair) for pair in data.draw(st.lists(pairs, max_size=15))]
    holds = power_holds(steps, links)

    def above(number: int) -> set[int]:
        direct = {link.before for link in links if link.after == number}
        return direct.union(*(above(one) for one in direct))

    for step in steps:
        checks = [one for one in steps if one.id in above(step.id) and one.work == CHECKS and one.hold_point]
        assert checks_before(step.id, steps, links) == checks
        free = step.work != POWER or (bool(checks) and all(one.signed for one in checks))
        assert (step.id not in holds) == free
