"""Waits: a coat dries by the clock, whatever is done to the clock, the time zone and summer time meanwhile."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from buildbook.actions import bench as actions
from buildbook.actions import boards, checklists
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.bench import bench, waiting


@pytest.fixture
def zone() -> Iterator[None]:
    """The time zone as it was before."""
    before = os.environ.get("TZ")
    yield
    if before is None:
        os.environ.pop("TZ", None)
    else:
        os.environ["TZ"] = before
    time.tzset()


def live_in(name: str) -> None:
    os.environ["TZ"] = name
    time.tzset()


@pytest.fixture
def coat(shop: Workshop) -> Workshop:
    """A case with a coat that dries for a day, and the panel of the same unit."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    boards.new_assembly(shop, "CURLEW", "PANEL", "Panel", "panel")
    coat = NewStep("Prime", 30, wait_low_min=24 * 60, wait_high_min=48 * 60, wait_kind="dry")
    checklists.add_steps(shop, "CASE", [coat, NewStep("Flat", 20)])
    checklists.add_step(shop, "PANEL", NewStep("Mark out", 20))
    return shop


def at(shop: Workshop, moment: datetime) -> dict[str, str]:
    shop.clock = lambda: moment
    return {row.name: row.state for row in bench(shop).rows}


def primed(shop: Workshop, moment: datetime) -> None:
    shop.clock = lambda: moment
    actions.tick(shop, "CURLEW", "Prime")


def test_a_coat_takes_its_case_and_nothing_else(coat: Workshop) -> None:
    start = datetime(2026, 11, 28, 18, 0, 20, tzinfo=UTC)
    primed(coat, start)
    assert at(coat, start) == {"Prime": "waiting", "Flat": "held", "Mark out": "ready"}
    assert [one.name for one in waiting(coat)] == ["Prime"]
    flat = next(row for row in bench(coat).rows if row.name == "Flat")
    assert [one.kind for one in flat.held] == ["wait"]
    # It was finished within the minute of 18:00, so it is dry at 18:00 of the next day.
    assert flat.held[0].until == "2026-11-29T18:00:00Z"
    assert at(coat, start + timedelta(hours=23, minutes=59))["Flat"] == "held"
    assert at(coat, start + timedelta(hours=24)) == {"Prime": "done", "Flat": "ready", "Mark out": "ready"}
    assert waiting(coat) == ()


def test_the_recommended_time_is_told_until_it_has_come(coat: Workshop) -> None:
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    primed(coat, start)
    at(coat, start + timedelta(hours=30))
    assert bench(coat).rows[0].best_at == "2026-11-30T18:00:00Z"
    at(coat, start + timedelta(hours=48))
    assert bench(coat).rows[0].best_at == ""


@pytest.mark.parametrize(
    ("finished", "dry"),
    [
        # Europe/Berlin: summer time ends on 2026-10-25 and begins on 2027-03-28; a day of drying is 24 hours.
        (datetime(2026, 10, 24, 16, 0, tzinfo=UTC), "17:00"),
        (datetime(2027, 3, 27, 17, 0, tzinfo=UTC), "19:00"),
    ],
)
def test_summer_time_shifts_what_the_clock_shows_and_not_how_long_it_dries(
    coat: Workshop, zone: None, finished: datetime, dry: str
) -> None:
    live_in("Europe/Berlin")
    primed(coat, finished)
    assert bench(coat).sentence.startswith(f"1 step ready, 1 waiting (until tomorrow {dry})")
    assert at(coat, finished + timedelta(hours=23, minutes=59))["Prime"] == "waiting"
    assert at(coat, finished + timedelta(hours=24))["Prime"] == "done"


def test_a_journey_to_another_time_zone_changes_nothing_but_the_words(coat: Workshop, zone: None) -> None:
    live_in("Europe/Berlin")
    start = datetime(2026, 11, 28, 6, 0, tzinfo=UTC)
    primed(coat, start)
    assert "(until tomorrow 07:00)" in bench(coat).sentence
    live_in("America/New_York")
    assert "(until tomorrow 01:00)" in bench(coat).sentence
    assert at(coat, start + timedelta(hours=24))["Prime"] == "done"


def test_a_clock_set_back_makes_no_wait_longer_than_it_is(coat: Workshop) -> None:
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    primed(coat, start)
    early = start - timedelta(days=300)
    assert at(coat, early)["Prime"] == "waiting"
    until = datetime.fromisoformat(bench(coat).rows[0].until)
    assert until - early == timedelta(hours=24)


def test_a_wait_of_a_year_is_a_wait(coat: Workshop) -> None:
    checklists.change_step(coat, "Prime", wait_low_min=365 * 24 * 60, wait_high_min=365 * 24 * 60)
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    primed(coat, start)
    assert at(coat, start + timedelta(days=364))["Flat"] == "held"
    assert at(coat, start + timedelta(days=365))["Flat"] == "ready"


def test_a_shared_oven_takes_one_at_a_time(coat: Workshop) -> None:
    checklists.change_step(coat, "Prime", occupies="Oven")
    step = NewStep("Bake the panel", 5, wait_low_min=60, wait_high_min=60, wait_kind="cure", occupies="oven")
    checklists.add_step(coat, "PANEL", step)
    checklists.change_step(coat, "Flat", after=[])
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    actions.tick(coat, "CURLEW", "Mark out")
    primed(coat, start)
    states = at(coat, start)
    assert states["Bake the panel"] == "held"
    held = next(row for row in bench(coat).rows if row.name == "Bake the panel").held
    assert [(one.kind, one.what.partition(" until")[0]) for one in held] == [("taken", "Prime dries")]


def test_what_occupies_nothing_leaves_its_case_free(coat: Workshop) -> None:
    checklists.change_step(coat, "Prime", occupies="nothing")
    checklists.add_step(coat, "CASE", NewStep("Cut the label", 5, after=()))
    checklists.change_step(coat, "Flat", after=[checklists.After("Prime")])
    start = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
    primed(coat, start)
    assert at(coat, start) == {"Prime": "waiting", "Flat": "held", "Cut the label": "ready", "Mark out": "ready"}
