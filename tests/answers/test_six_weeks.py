"""The demo's Curlew from where it stands to the last screw, session by session, with the clock as it goes.

Whoever builds it here knows nothing but what the Bench says: what is ready is done, what is held is looked up and
released in the place that the Bench names, what dries is left alone. Sessions are those of an evening builder: Tuesday
and Thursday evenings, Saturday by day.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import checks, deliveries, kits, measuring, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import Bench, StepRow, bench, waiting
from buildbook.answers.measuring import points
from buildbook.answers.orders import orders
from buildbook.answers.workshop import checkup
from buildbook.errors import Forbidden

BUILD = "CURLEW"
FIRST = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
SESSIONS = {1: (18.5, 21), 3: (18.5, 21), 5: (9, 15)}  # Tuesday, Thursday, Saturday: hours UTC
# What somebody at this bench decides or buys in the shop round the corner, once the Bench says that it is needed.
ANSWERS = {"CURLEW/RECT": "SI", "CURLEW/METER": "NONE"}


class Builder:
    """Somebody who works the list of the Bench from the top, and writes down what was seen on the way."""

    def __init__(self, shop: Workshop) -> None:
        self.shop = shop
        self.now = FIRST
        self.done: list[str] = []
        self.waited: list[str] = []
        self.when: dict[str, datetime] = {}
        self.refused: dict[str, str] = {}
        shop.clock = lambda: self.now

    def look(self) -> Bench:
        """The Bench, which must never contradict itself."""
        answer = bench(self.shop, BUILD)
        for row in answer.rows:
            assert (row.state == "held") == bool(row.held) or row.state == "in hand"
            assert bool(row.until) == (row.state == "waiting")
            for one in row.held:
                assert not one.until or datetime.fromisoformat(one.until) > self.now.replace(second=0)
        return answer

    def sessions(self) -> Iterator[datetime]:
        """The ends of the sessions, the clock standing at the beginning of each."""
        day = FIRST.replace(hour=0)
        while True:
            if day.weekday() in SESSIONS:
                begin, end = SESSIONS[day.weekday()]
                self.now = day + timedelta(hours=begin)
                yield day + timedelta(hours=end)
            day += timedelta(days=1)

    def receive_what_is_due(self) -> None:
        """Deliveries come on the day they are due."""
        today = f"{self.now:%Y-%m-%d}"
        due = [row for row in orders(self.shop).rows if row.state == "placed" and row.due_on <= today]
        for ref in dict.fromkeys(row.ref for row in due):
            deliveries.receive_order(self.shop, ref, "NEW")

    def work(self, step: StepRow) -> None:
        """Do one step: it takes as long as it likely takes."""
        self.try_what_is_one_way(step)
        name = actions.start(self.shop, BUILD, step.step)
        assert name == step.name
        self.now += timedelta(minutes=max(step.likely_min, 1))
        signed = "Looked at, measured, as drawn." if step.hold_point else None
        actions.tick(self.shop, BUILD, step.step, signed=signed, by="the builder")
        self.done.append(step.name)
        self.when[step.name] = self.now
        after = next(row for row in self.look().rows if row.step == step.step)
        assert after.minutes == max(step.likely_min, 1)
        if step.wait_low_min:
            self.see_that_it_waits(after)

    def see_that_it_waits(self, step: StepRow) -> None:
        """It is left alone for as long as it says, to the minute; nothing else is done in its section meanwhile."""
        assert step.state == "waiting"
        finished, until = self.now, datetime.fromisoformat(step.until)
        assert until - finished.replace(second=0) == timedelta(minutes=step.wait_low_min)
        assert step.name in [one.name for one in waiting(self.shop)]
        beside = [row for row in self.look().rows if row.assembly == step.assembly]
        assert not [row.name for row in beside if row.state == "ready"]
        self.now = until - timedelta(minutes=1)
        assert next(row for row in self.look().rows if row.step == step.step).state == "waiting"
        self.now = until
        assert next(row for row in self.look().rows if row.step == step.step).state == "done"
        assert step.name not in [one.name for one in waiting(self.shop)]
        self.now = finished
        self.waited.append(step.name)

    def try_what_is_one_way(self, about: StepRow) -> None:
        """Before each step, somebody impatient tries every one-way step of the same section that is held."""
        for row in self.look().rows:
            if row.one_way and row.state == "held" and row.assembly == about.assembly:
                with pytest.raises(Forbidden) as refusal:
                    actions.start(self.shop, BUILD, row.step)
                self.refused.setdefault(row.name, str(refusal.value))

    def release(self) -> bool:
        """Do what the Bench says would release something, where that is in one's own hands; whether anything was."""
        for row in self.look().rows:
            for one in row.held:
                if one.kind == "question":
                    project, _, code = one.key.partition("/")
                    checks.settle(self.shop, project, code, ANSWERS[one.key], "It was time.")
                    return True
                if one.kind == "unread":
                    self.measure(one.key)
                    return True
                if one.kind == "parts" and one.where == "Boards":
                    kits.kit_assembly(self.shop, BUILD, one.key, stand_ins=True)
                    return True
        return False

    def measure(self, name: str) -> None:
        """Read a point in the middle of its limits."""
        row = next(one for one in points(self.shop, BUILD) if one.point == name)
        low, high = row.low, row.high
        value = (low + high) / 2 if low is not None and high is not None else (low or 0) * 2 or (high or 0) / 2
        measuring.read(self.shop, BUILD, name, f"{value:.9f} {row.unit}")
        assert next(one for one in points(self.shop, BUILD) if one.point == name).state == "within"


@pytest.fixture
def builder(demo: Workshop) -> Builder:
    stores.new_bin(demo, "NEW")
    return Builder(demo)


def test_a_whole_build_in_six_weeks(builder: Builder) -> None:
    for end in builder.sessions():
        builder.receive_what_is_due()
        while builder.now < end:
            ready = [row for row in builder.look().rows if row.state in ("ready", "in hand")]
            if ready:
                builder.work(ready[0])
            elif not builder.release():
                break
        left = [row for row in builder.look().rows if row.state not in ("done", "dropped")]
        if not left or builder.now > FIRST + timedelta(weeks=12):
            break
    assert left == []
    assert builder.look().sentence == f"No steps ready, {len(builder.look().rows)} done."
    # Six weeks of sessions, and what is left over for the last Saturday.
    assert timedelta(weeks=5) < builder.now - FIRST < timedelta(weeks=6, days=1)
    came_before = {name: number for number, name in enumerate(builder.done)}
    for first, then in (
        ("Mask the bare-metal patch under the earth stud", "Prime inside and out"),
        ("Read and sign the safety checks", "First power through the lamp limiter, no valves"),
        ("Let the lacquer of the case cure", "Bolt mains transformer and choke to the chassis"),
    ):
        assert came_before[first] < came_before[then]
    # Every one-way step was tried too early by somebody, and refused with the names of what ought to come first.
    assert "Mask the bare-metal patch under the earth stud" in builder.refused["Prime inside and out"]
    assert "It cannot be undone" in builder.refused["Prime inside and out"]
    assert "question CURLEW/METER" in builder.refused["Cut the meter opening"]
    # Nothing was done with parts before they had come, on the day that the order said.
    assert builder.when["Fit the IF transformers"] >= datetime(2026, 12, 4, tzinfo=UTC)
    assert {"Prime inside and out", "Let the lacquer of the case cure"} <= set(builder.waited)
    assert checkup(builder.shop).holds
