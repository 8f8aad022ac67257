"""Between which multiples of the primary current a fuse is proposed."""

from __future__ import annotations

import pytest

from buildbook.errors import BadInput
from buildbook.trade.fuses import HIGH_PCT, LOW_PCT, USUAL, propose, read_window, show_window


def test_the_usual_window_is_that_of_common_practice() -> None:
    assert read_window(USUAL) == (LOW_PCT, HIGH_PCT) == (150, 200)


@pytest.mark.parametrize(
    ("text", "ends"),
    [("1.25 to 3", (125, 300)), ("1,5-2", (150, 200)), ("1.5 x to 2 x", (150, 200)), ("2-2", (200, 200))],
)
def test_it_is_read_as_it_is_written(text: str, ends: tuple[int, int]) -> None:
    assert read_window(text) == ends
    assert read_window(show_window(*ends)) == ends


@pytest.mark.parametrize("text", ["2 to 1.5", "0.5 to 2", "-1 to 2", "1.5", "", "1.005 to 2", "1 to 20", "a to b"])
def test_a_window_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="no window for a fuse"):
        read_window(text)


def test_another_published_window_proposes_another_fuse() -> None:
    """Texts differ: 1.25 to 3 times for a fuse in the primary alone. 50 VA at 230 V: 0.2174 A, 1.25 x is 0.2717 A."""
    low, high = read_window("1.25 to 3")
    found = propose(50_000_000, 230_000_000, low_pct=low, high_pct=high)
    assert (found.pick_ua, found.ratings_ua) == (315_000, (315_000, 400_000, 500_000, 630_000))
