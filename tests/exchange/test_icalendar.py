"""Calendars out, by RFC 5545: folded, escaped, in UTC; parsed back by another program they say the same."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from buildbook.actions import bench as at_bench
from buildbook.actions import boards, buying, checklists, stores
from buildbook.actions.bench_time import set_hours
from buildbook.actions.checklists import NewStep
from buildbook.actions.workshop import Workshop
from buildbook.answers.agenda import agenda
from buildbook.errors import BadInput
from buildbook.exchange.icalendar import Entry, calendar_text, escaped, folded, write_calendar
from buildbook.trade.plain import clean

STAMP = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)
NASTY = "Prime; inside, out\\ and\nEND:VEVENT\r\nBEGIN:VALARM \x1b[31m\u202eΩ 抵抗 " + "x" * 90


def parsed(text: str) -> list[Any]:
    return list(Calendar.from_ical(text).walk("VEVENT"))


@settings(deadline=None, max_examples=80)
@given(st.text(max_size=300))
def test_no_line_is_longer_than_75_octets_and_nothing_is_lost(text: str) -> None:
    line = f"SUMMARY:{escaped(text)}"
    pieces = list(folded(line))
    assert all(len(piece.encode()) <= 75 for piece in pieces)
    assert pieces[0] + "".join(piece[1:] for piece in pieces[1:]) == line
    assert all(piece[0] == " " for piece in pieces[1:])


@settings(deadline=None, max_examples=80)
@given(st.text(max_size=120), st.text(max_size=300), st.integers(0, 10**6), st.integers(1, 10**4))
def test_another_program_reads_back_what_was_written(summary: str, more: str, since: int, minutes: int) -> None:
    start = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=since)
    entry = Entry("one", start, start + timedelta(minutes=minutes), summary, more, alarm=True)
    (event,) = parsed(calendar_text([entry], STAMP))
    assert str(event["SUMMARY"]) == clean(summary, lines=True)
    assert str(event.get("DESCRIPTION", "")) == clean(more, lines=True)
    assert event.decoded("DTSTART") == start
    assert event.decoded("DTEND") == start + timedelta(minutes=minutes)
    assert event.decoded("DTSTAMP") == STAMP
    (alarm,) = event.walk("VALARM")
    assert alarm.decoded("TRIGGER") == timedelta(0)
    assert alarm["TRIGGER"].params["RELATED"] == "END"


def test_hostile_names_stay_names() -> None:
    entry = Entry(NASTY, STAMP, STAMP, NASTY, NASTY)
    text = calendar_text([entry], STAMP)
    (event,) = parsed(text)
    assert text.count("\r\nBEGIN:VEVENT\r\n") == 1
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert str(event["SUMMARY"]).startswith("Prime; inside, out\\ and\nEND:VEVENT\nBEGIN:VALARM Ω 抵抗 xxx")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))


def test_a_whole_day_is_a_day_and_takes_nobodys_time() -> None:
    entry = Entry("d", date(2026, 12, 4), date(2026, 12, 5), "Delivery", busy=False)
    (event,) = parsed(calendar_text([entry], STAMP))
    assert event.decoded("DTSTART") == date(2026, 12, 4)
    assert str(event["TRANSP"]) == "TRANSPARENT"


# --- the agenda of a workshop ----------------------------------------------------------------------------------------


@pytest.fixture
def curlew(shop: Workshop) -> Workshop:
    """A case with a coat that dries for a day, hours in Berlin, and an order under way."""
    shop.clock = lambda: datetime(2026, 10, 20, 10, 0, tzinfo=UTC)
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "CASE", "Case", "case")
    coat = NewStep("Prime, inside; and out", 30, wait_low_min=1440, wait_high_min=2880, wait_kind="dry")
    checklists.add_steps(shop, "CASE", [NewStep("Degrease", 20), coat, NewStep("Flat", 25)])
    set_hours(shop, "tue 19:30-22:00, sat 10:00-16:00", zone="Europe/Berlin")
    stores.new_part(shop, "T-IFT")
    buying.new_supplier(shop, "TERN", "Tern Windings")
    order = buying.OrderLine("T-IFT", 2)
    buying.place_order(shop, "TW-1", "TERN", [order], due_on="2026-11-04")
    return shop


def events(shop: Workshop, tmp_path: Path) -> dict[str, Any]:
    target = tmp_path / "bench.ics"
    write_calendar(target, agenda(shop).rows, shop.clock())
    return {str(event["UID"]): event for event in parsed(target.read_bytes().decode())}


def test_sessions_waits_and_deliveries_are_written_in_utc(curlew: Workshop, tmp_path: Path) -> None:
    found = events(curlew, tmp_path)
    sessions = [event for uid, event in found.items() if uid.startswith("session")]
    # On 24 October it is still summer time in Berlin, on 27 October no longer.
    assert [str(event.decoded("DTSTART")) for event in sessions] == [
        "2026-10-20 17:30:00+00:00",
        "2026-10-24 08:00:00+00:00",
    ]
    assert "Degrease" in str(sessions[0]["SUMMARY"])
    (wait,) = [event for uid, event in found.items() if uid.startswith("wait")]
    assert wait.decoded("DTEND") - wait.decoded("DTSTART") == timedelta(days=1)
    assert len(wait.walk("VALARM")) == 1
    (parcel,) = [event for uid, event in found.items() if uid.startswith("delivery")]
    assert parcel.decoded("DTSTART") == date(2026, 11, 4)
    assert "T-IFT" in str(parcel["DESCRIPTION"])


def test_after_the_end_of_summer_time_a_session_begins_at_the_same_local_hour(curlew: Workshop, tmp_path: Path) -> None:
    curlew.clock = lambda: datetime(2026, 10, 26, 10, 0, tzinfo=UTC)
    starts = [str(row.start) for row in agenda(curlew).rows if row.kind == "session"]
    assert starts[0] == "2026-10-27T18:30:00Z"


def test_the_same_entry_keeps_its_uid_when_the_plan_is_made_again(curlew: Workshop, tmp_path: Path) -> None:
    before = events(curlew, tmp_path)
    at_bench.tick(curlew, "CURLEW", "Degrease", minutes=20)
    at_bench.tick(curlew, "CURLEW", "Prime, inside; and out", minutes=30)
    curlew.clock = lambda: datetime(2026, 10, 20, 10, 5, tzinfo=UTC)
    after = events(curlew, tmp_path)
    assert {uid for uid in after if not uid.startswith("session")} == {
        uid for uid in before if not uid.startswith("session")
    }
    # The coat dries now, until a day after it was ticked off.
    (wait,) = [event for uid, event in after.items() if uid.startswith("wait")]
    assert wait.decoded("DTEND") == datetime(2026, 10, 21, 10, 0, tzinfo=UTC)
    assert wait.decoded("DTSTAMP") == datetime(2026, 10, 20, 10, 5, tzinfo=UTC)


def test_a_folder_that_is_not_there_is_told_and_weeks_must_make_sense(curlew: Workshop, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no folder"):
        write_calendar(tmp_path / "none" / "bench.ics", [], STAMP)
    with pytest.raises(BadInput, match="1 to 520 weeks"):
        agenda(curlew, weeks=0)
