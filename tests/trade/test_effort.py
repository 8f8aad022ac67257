"""What a try cost, as it is written at the bench."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.effort import Effort, Told, read_effort, read_joints, read_try, show_effort


@pytest.mark.parametrize(
    ("text", "minutes", "joints"),
    [
        ("40 min", 40, 0),
        ("1h10", 70, 0),
        ("1 joint", None, 1),
        ("2 joints", None, 2),
        ("40 min, 2 joints", 40, 2),
        ("2 solder joints 1 h 5 min", 65, 2),
        ("15", 15, 0),
        ("", None, 0),
        ("0 min", 0, 0),
    ],
)
def test_it_is_read_as_it_is_written(text: str, minutes: int | None, joints: int) -> None:
    assert read_effort(text) == Effort(minutes, joints)


@pytest.mark.parametrize(
    "text", ["-5 min", "two joints", "2 joints 3 joints", "10000 joints", "-2 joints", "1.5 joints"]
)
def test_what_is_no_cost_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_effort(text)


@pytest.mark.parametrize("text", ["-1", "many", "2.5", "10000"])
def test_what_is_no_count_of_joints_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        read_joints(text)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("Swapped V1", Told("Swapped V1", "", Effort())),
        ("Swapped V1; the same", Told("Swapped V1", "the same", Effort())),
        ("Swapped V1; the same; 40 min; 2 joints", Told("Swapped V1", "the same", Effort(40, 2))),
        ("Swapped V1; 40 min, 2 joints", Told("Swapped V1", "", Effort(40, 2))),
        ("Swapped V1;; 5 min", Told("Swapped V1", "", Effort(5))),
        # A bare number is what it showed, and so is what stands before it.
        ("Read it again; 42", Told("Read it again", "42", Effort())),
        ("Dried it; 10 min; 20 min", Told("Dried it", "10 min", Effort(20))),
        ("Lifted C2; up to 470k; done", Told("Lifted C2", "up to 470k; done", Effort())),
    ],
)
def test_a_try_is_told_in_one_line(line: str, told: Told) -> None:
    assert read_try(line) == told


@settings(deadline=None, max_examples=60)
@given(st.none() | st.integers(0, 100_000), st.integers(0, 9999))
def test_what_is_shown_is_read_back(minutes: int | None, joints: int) -> None:
    assert read_effort(show_effort(Effort(minutes, joints))) == Effort(minutes, joints)
