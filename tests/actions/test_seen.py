"""A change made to what has been changed by others meanwhile is refused, telling both values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import bench, boards, buying, checklists, lists, log, offers, stores
from buildbook.actions.workshop import Workshop
from buildbook.errors import Forbidden, Stale

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
Expected = dict[str, Any]
Change = Callable[[Workshop, Expected], object]

CHANGES: dict[str, tuple[Change, Expected, Expected, str]] = {
    "change_part": (
        lambda shop, seen: stores.change_part(shop, "R-4K7", note="New", expected=seen),
        {"value": "4k7", "package": "", "kind": "resistor"},
        {"value": "4k7", "package": "0207"},
        "Part R-4K7 was not changed. The package is nothing now, you saw “0207”. Look again.",
    ),
    "change_line": (
        lambda shop, seen: lists.change_line(shop, "IF/C1", qty=9, expected=seen),
        {"part": "C-100N", "qty": 2, "refs": "C1, C2", "fitted": True, "loss_bp": 5000, "option": "", "note": ""},
        {"part": "C-47N", "qty": 3, "fitted": False, "loss_bp": 250, "option": "RECT:VALVE"},
        "Line 2 was not changed. The part is “C-100N” now, you saw “C-47N”; the quantity is 2 now, you saw 3; "
        "the mark of what is fitted is yes now, you saw no; the allowance for loss is 50 % now, you saw 2.5 %; "
        "the option is nothing now, you saw “RECT:VALVE”. Look again.",
    ),
    "change_line of wire": (
        lambda shop, seen: lists.change_line(shop, 4, qty="1 m", expected=seen),
        {"qty": 600},
        {"qty": 1500},
        "Line 4 was not changed. The quantity is 600 mm now, you saw 1.5 m. Look again.",
    ),
    "change_project": (
        lambda shop, seen: boards.change_project(shop, "CURLEW", name="Other", expected=seen),
        {"consumables_bp": 0},
        {"consumables_bp": 300},
        "Project CURLEW was not changed. The allowance for consumables is 0 % now, you saw 3 %. Look again.",
    ),
    "change_assembly": (
        lambda shop, seen: boards.change_assembly(shop, "IF", code="IF2", expected=seen),
        {"code": "IF", "name": "IF board"},
        {"code": "IF", "name": "IF strip"},
        "CURLEW/IF was not changed. The name is “IF board” now, you saw “IF strip”. Look again.",
    ),
    "change_build": (
        lambda shop, seen: boards.change_build(shop, "CURLEW", units=3, expected=seen),
        {"units": 1, "target_on": "2026-12-24"},
        {"units": 2, "target_on": "2026-12-24"},
        "Build CURLEW was not changed. The number of units is 1 now, you saw 2. Look again.",
    ),
    "change_step": (
        lambda shop, seen: checklists.change_step(shop, "IF/1", likely_min=25, high_min=25, expected=seen),
        {"likely_min": 20, "one_way": False},
        {"likely_min": 30, "one_way": True},
        "Step CURLEW/IF/1 was not changed. The likely time is 20 min now, you saw 30 min; "
        "the mark of no way back is no now, you saw yes. Look again.",
    ),
    "set_offer": (
        lambda shop, seen: offers.set_offer(shop, "QUAYSIDE", "R-4K7", "Q", breaks=[(1, 1)], expected=seen),
        {"breaks": ((1, 50_000), (100, 20_000)), "pack_qty": 1, "lead_days": None},
        {"breaks": ((1, 60_000),)},
        "The offer of R-4K7 by QUAYSIDE was not changed. "
        "The list of prices is 0.05 from 1 and 0.02 from 100 now, you saw 0.06 from 1. Look again.",
    ),
    "change_order": (
        lambda shop, seen: buying.change_order(shop, "Q-1", note="Late", expected=seen),
        {"due_on": ""},
        {"due_on": "2026-12-04"},
        "Order Q-1 was not changed. The day it is due is nothing now, you saw “2026-12-04”. Look again.",
    ),
    "change_order_line": (
        lambda shop, seen: buying.change_order_line(shop, "Q-1", "IFT-455", qty=4, expected=seen),
        {"qty": 3, "price_micros": 4_000_000},
        {"qty": 3, "price_micros": 4_200_000},
        "IFT-455 of order Q-1 was not changed. The price is 4.00 now, you saw 4.20. Look again.",
    ),
    "change_note": (
        lambda shop, seen: log.change_note(shop, 1, "It hums.", expected=seen),
        {"text": "The coil sings."},
        {"text": "The coil sang."},
        "Note 1 was not changed. The text is “The coil sings.” now, you saw “The coil sang.”. Look again.",
    ),
    "count": (
        lambda shop, seen: stores.count(shop, "R-4K7", "A1", 3, expected=seen),
        {"qty": 10},
        {"qty": 12},
        "The count of R-4K7 in A1 was not changed. The quantity is 10 now, you saw 12. Look again.",
    ),
}


@pytest.fixture
def shared(curlew: Workshop) -> Workshop:
    """The Curlew with a note and an offer."""
    log.note(curlew, "The coil sings.", part="R-4K7")
    offers.set_offer(curlew, "QUAYSIDE", "R-4K7", "Q", breaks=[(1, 50_000), (100, 20_000)])
    return curlew


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_goes_through_when_all_is_as_it_was_seen(shared: Workshop, dump: Dump, name: str) -> None:
    change, right, _, _ = CHANGES[name]
    before = dump(shared)
    change(shared, right)
    assert dump(shared) != before


@pytest.mark.parametrize("name", CHANGES)
def test_a_stale_change_tells_both_values_and_writes_nothing(shared: Workshop, dump: Dump, name: str) -> None:
    change, _, wrong, said = CHANGES[name]
    before = dump(shared)
    with pytest.raises(Stale) as refused:
        change(shared, wrong)
    assert str(refused.value) == said
    assert isinstance(refused.value, Forbidden)
    assert dump(shared) == before


def test_what_another_program_changed_is_seen(shared: Workshop) -> None:
    other = Workshop(shared.path)
    lists.change_line(other, "IF/R1", qty=4)
    other.close()
    with pytest.raises(Stale, match=r"The quantity is 4 now, you saw 3."):
        lists.change_line(shared, "IF/R1", qty=5, expected={"qty": 3})
    assert lists.change_line(shared, "IF/R1", qty=5, expected={"qty": 4}) == 1


def test_every_action_that_changes_something_can_be_told_what_was_seen() -> None:
    known = {name.split()[0] for name in CHANGES}
    for module in (bench, boards, buying, lists, log, offers, stores):
        own = [one for one in vars(module).values() if getattr(one, "__module__", "") == module.__name__]
        named = {one.__name__ for one in own if "expected" in getattr(one, "__annotations__", {})}
        assert named <= known
        changing = {one.__name__ for one in own if getattr(one, "__name__", "").startswith("change_")}
        assert changing <= known
