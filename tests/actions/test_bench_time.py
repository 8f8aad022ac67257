"""Bench time: kept, taken back, changed by dates; and what cannot be is refused in one sentence, nothing written."""

from __future__ import annotations

import pytest

from buildbook.actions.bench_time import set_hours
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput
from buildbook.store.read.bench_time import kept_hours

WEEK = "tue 19:30-22:00, sat 10:00-16:00"


def test_hours_are_kept_with_their_zone(shop: Workshop) -> None:
    assert set_hours(shop, "sat 10:00-16:00, Tuesday 19:30-22:00", zone="Europe/Berlin") == WEEK
    assert kept_hours(shop.reads) == (WEEK, "Europe/Berlin")


def test_setting_them_is_one_action_that_can_be_taken_back(shop: Workshop) -> None:
    set_hours(shop, WEEK, zone="Europe/Berlin")
    set_hours(shop, "mon 20:00-21:00")
    assert kept_hours(shop.reads) == ("mon 20:00-21:00", "Europe/Berlin")
    assert undo(shop) == "Set bench hours: mon 20:00-21:00 (Europe/Berlin)"
    assert kept_hours(shop.reads).hours == WEEK
    undo(shop)
    assert kept_hours(shop.reads) == ("", "")


def test_dates_add_up_until_one_is_as_usual_again(shop: Workshop) -> None:
    set_hours(shop, WEEK, exceptions=["2026-12-24: none"])
    set_hours(shop, exceptions=["2026-12-27: 10:00-12:00, 14:00-16:00"])
    assert kept_hours(shop.reads).hours.splitlines()[1:] == [
        "2026-12-24: none",
        "2026-12-27: 10:00-12:00, 14:00-16:00",
    ]
    set_hours(shop, exceptions=["2026-12-24: usual", "2026-12-27: none"])
    assert kept_hours(shop.reads).hours == f"{WEEK}\n2026-12-27: none"
    set_hours(shop, "mon 20:00-21:00")
    assert kept_hours(shop.reads).hours == "mon 20:00-21:00\n2026-12-27: none"


@pytest.mark.parametrize(
    ("week", "zone", "exceptions", "why"),
    [
        ("", "", [], "No hours of the week are given."),
        ("", "", ["2026-12-24: none"], "No hours of the week are given."),
        ("sat none", "", [], "no hours"),
        ("sat none", "", ["2026-12-24: 10:00-12:00"], "There are no hours in the whole week."),
        ("sat 10:00-16:00, 15:00-17:00", "", [], "overlaps"),
        ("sat 22:00-10:00", "", [], "runs backwards"),
        ("sat 10:00-25:00", "", [], "no such time"),
        ("sat 10:00-10:75", "", [], "no such time"),
        ("someday 10:00-12:00", "", [], "is not understood"),
        ("10:00-12:00", "", [], "no list of dates"),
        ("sat 10:00-12:00", "Europe/Nowhere", [], "There is no time zone"),
        ("sat 10:00-12:00", "../../etc/passwd", [], "There is no time zone"),
        ("sat 10:00-12:00", "", ["2026-02-30: none"], "is not understood"),
        ("sat 10:00-12:00", "", ["christmas: none"], "is no date"),
        ("sat 10:00-12:00", "", ["2026-12-24"], "is no date"),
        ("sat 10:00-12:00", "", ["2026-12-24: 10:00-11:00, 10:30-12:00"], "overlaps"),
        ("2026-12-24: none", "", [], "no list of dates"),
        ("sat 10:00-12:00\nsun 10:00-12:00", "", [], "no list of dates"),
        ("sat 10:00-12:00," * 400, "", [], "may have 2,000 at most"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    shop: Workshop, week: str, zone: str, exceptions: list[str], why: str
) -> None:
    with pytest.raises(BadInput, match=why) as refused:
        set_hours(shop, week, zone=zone, exceptions=exceptions)
    assert refused.value.why.count(". ") == 0
    assert kept_hours(shop.reads) == ("", "")
    assert shop.reads.execute("SELECT count(*) FROM journal_entry").fetchone() == (0,)


def test_escapes_and_reversed_letters_do_not_get_into_the_hours(shop: Workshop) -> None:
    assert set_hours(shop, "sat\x1b[31m 10:00-\u202e12:00") == "sat 10:00-12:00"
