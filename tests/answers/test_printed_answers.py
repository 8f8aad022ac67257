"""What labels say: every bin with what lies in it, and the day that anything printed is of."""

from __future__ import annotations

from collections import Counter

import pytest

from buildbook.actions import stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.printed import bins, last_day
from buildbook.answers.stores import stores as stock
from buildbook.errors import BadInput


def test_bins_of_the_demo_hold_what_the_stores_answer_says(demo_to_read: Workshop) -> None:
    told = Counter((name, row.key) for row in stock(demo_to_read).rows for name, _ in row.bins)
    assert Counter((one.name, part.key) for one in bins(demo_to_read) for part in one.parts) == told
    assert len(told) > 200


def test_they_come_by_name_or_in_the_order_asked_each_once(shop: Workshop) -> None:
    for name in ("B2", "A1", "C3"):
        stores.new_bin(shop, name, note=f"note of {name}")
    assert [one.name for one in bins(shop)] == ["A1", "B2", "C3"]
    assert [one.name for one in bins(shop, ["C3", "a1", "C3"])] == ["C3", "A1"]
    assert bins(shop, ["B2"])[0].note == "note of B2"
    assert bins(shop, ["B2"])[0].parts == ()


def test_what_lies_no_longer_in_a_bin_is_not_on_its_label(shop: Workshop) -> None:
    stores.new_bin(shop, "A1")
    for key, value in (("R-10K", "10k"), ("R-1K", "1k"), ("R-22R", "22R")):
        stores.new_part(shop, key, kind="resistor", value=value)
        stores.receive(shop, key, "A1", 5)
    stores.scrap(shop, "R-1K", "A1", 5)
    assert [part.key for part in bins(shop)[0].parts] == ["R-22R", "R-10K"]


def test_an_unknown_bin_is_refused(shop: Workshop) -> None:
    stores.new_bin(shop, "A1")
    with pytest.raises(BadInput, match="There is no bin Z9"):
        bins(shop, ["A1", "Z9"])


def test_the_day_is_that_of_the_last_change_and_not_of_today(shop: Workshop) -> None:
    assert last_day(shop) == ""
    stores.new_bin(shop, "A1")
    assert last_day(shop) == "2024-03-01"
