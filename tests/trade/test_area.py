"""The room that a part takes on a board."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.area import read_area, show_area


@pytest.mark.parametrize(
    ("text", "um2"),
    [
        ("7 x 5 mm", 35_000_000),
        ("7x5", 35_000_000),
        ("7 mm x 5 mm", 35_000_000),
        ("2,5 × 3 mm", 7_500_000),
        ("35 mm2", 35_000_000),
        ("35 mm²", 35_000_000),
        ("1.2 cm^2", 120_000_000),
        ("1 cm x 5 mm", 50_000_000),
        ("0 mm2", 0),
    ],
)
def test_areas_as_they_are_written(text: str, um2: int) -> None:
    assert read_area(text) == um2


@pytest.mark.parametrize("text", ["", "7", "7 mm", "7 x 5 in", "-7 x 5", "7 x", "x5", "35 m2", "1,000,000 mm2"])
def test_what_is_no_area_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is no area"):
        read_area(text)


def test_more_than_a_square_metre_is_refused() -> None:
    with pytest.raises(BadInput, match="more than a square metre"):
        read_area("1001 x 1000 mm")


@given(st.integers(0, 99_999))
def test_what_is_shown_is_read_again(hundredths: int) -> None:
    assert read_area(show_area(hundredths * 10_000)) == hundredths * 10_000
