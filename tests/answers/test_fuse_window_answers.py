"""The window in which a fuse is proposed is a setting of the workshop, and is told with its source."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, supply
from buildbook.actions.supply import NewSupply
from buildbook.actions.workshop import Workshop, set_setting, undo
from buildbook.answers.supply import supply as budget
from buildbook.answers.workshop import settings
from buildbook.errors import BadInput


def fuse(shop: Workshop) -> str:
    """What is proposed for the fuse."""
    return next(row.fuse for row in budget(shop).rows if row.kind == "fuse")


def test_the_window_set_is_taken_and_named(shop: Workshop) -> None:
    boards.new_project(shop, "CURLEW")
    supply.add_supply(shop, "CURLEW", NewSupply("F", "fuse", volts="230 V", limit="0.4 A"))
    supply.add_supply(shop, "CURLEW", NewSupply("T", "core", limit="50 VA", fed_by="F"))
    # 50 VA / 230 V is 0.2174 A; 1.5 times that is 0.326 A, 1.25 times 0.272 A (ratings: IEC 60127).
    assert fuse(shop) == (
        "common practice proposes 0.4 A time-lag (IEC 60127 rating from 1.5 to 2 x 0.217 A); local codes decide"
    )
    assert set_setting(shop, "fuse window", "1.25 - 3 x") == "1.25 to 3"
    assert fuse(shop).startswith("your window proposes 0.315 A time-lag (IEC 60127 rating from 1.25 to 3 x 0.217 A)")
    undo(shop)
    assert fuse(shop).startswith("common practice proposes 0.4 A")


def test_a_reversed_window_is_refused_and_nothing_is_written(shop: Workshop) -> None:
    with pytest.raises(BadInput, match="the lower one first"):
        set_setting(shop, "fuse_window", "2 to 1.5")
    assert next(row.value for row in settings(shop).rows if row.key == "fuse_window") == "1.5 to 2"
