"""Poles and throws as the trade writes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.ways import MOST, read_ways, show_ways


@pytest.mark.parametrize(
    ("text", "ways"),
    [
        ("SPST", (1, 1)),
        ("spdt", (1, 2)),
        ("DPST", (2, 1)),
        ("DPDT", (2, 2)),
        ("4P3T", (4, 3)),
        ("2P6T", (2, 6)),
        ("1p12t", (1, 12)),
        ("SP3T", (1, 3)),
        ("3PDT", (3, 2)),
        ("4 poles 3 throws", (4, 3)),
        ("4 pole, 3 way", (4, 3)),
        ("1 pole 1 throw", (1, 1)),
        (" 4 P 3 T ", (4, 3)),
    ],
)
def test_what_is_understood(text: str, ways: tuple[int, int]) -> None:
    assert read_ways(text) == ways


@pytest.mark.parametrize("text", ["", "4", "P3T", "4P", "0P3T", "4P0T", "100P3T", "4P3T5", "TPST", "-4P3T", "4.5P3T"])
def test_what_is_not_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="not understood as poles and throws"):
        read_ways(text)


@given(poles=st.integers(1, MOST), throws=st.integers(1, MOST))
def test_what_is_shown_is_read_back(poles: int, throws: int) -> None:
    assert read_ways(show_ways(poles, throws)) == (poles, throws)
    assert read_ways(f"{poles} poles {throws} throws") == (poles, throws)
