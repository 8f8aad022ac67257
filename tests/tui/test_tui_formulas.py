"""Formulas of test points on the screen: shown, explained, changed, written down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from buildbook.actions import measuring
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.measuring import PointRow, sheet
from buildbook.tui.checks_formula import formula_check, formula_in, formula_lines, formula_why, limits_shown

Run = Any
Sit = Any
HALF = "V*RB/(RA+RB) where V = 10 V, RA = 10k 1 %, RB = 10k 1 %"


@pytest.fixture
def measured(curlew: Path, another: Workshop) -> Path:
    """A divider on the IF board, read twice."""
    measuring.add_point(another, "IF", NewPoint("HALF", "divider", unit="V", formula=HALF))
    for text in ("5.01", "4.97"):
        measuring.read(another, "CURLEW", "HALF", text)
    return curlew


def point(shop: Workshop, code: str) -> PointRow:
    """A point of the Curlew as it stands."""
    return next(row for row in sheet(shop, "CURLEW").rows if row.code == code)


def test_all_that_goes_into_a_formula_is_shown(another: Workshop, measured: Path) -> None:
    lines = [line.text for line in formula_why(point(another, "HALF"))]
    text = "\n".join(lines)
    assert "V*RB/(RA+RB)" in text
    assert ["RB", "10k", "9.9k", "10.1k", "given:", "10k", "1", "%"] in [line.split() for line in lines]
    assert ["worst", "case", "4.95", "V", "5.05", "V"] in [line.split() for line in lines]
    assert ["RSS", "4.965", "V", "5.035", "V"] in [line.split() for line in lines]
    assert formula_lines(point(another, "HALF"))[0].text == f"by formula (worst): {HALF}"


def test_what_is_not_known_yet_is_said(another: Workshop, measured: Path) -> None:
    measuring.change_point(another, "HALF", formula="R99 * 1m")
    one = point(another, "HALF")
    assert limits_shown(one) == "formula not worked out"
    assert "R99 (neither part nor supply)" in formula_why(one)[-1].text
    assert "R99" in formula_lines(one)[1].text


def test_a_formula_begins_with_a_sign(another: Workshop) -> None:
    assert (formula_in(" = R1 / 2 "), formula_in("1-2 V")) == ("R1 / 2", None)
    assert formula_check("= R1 * I where I = 1 mA") == "a formula of R1 of the parts list and the supplies"


def test_a_point_folds_open_with_its_formula_and_its_history(run: Run, sit: Sit, measured: Path) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "enter")
            assert seat.row() == "CURLEW/IF/HALF"
            seen = " ".join(seat.seen().split())
            assert "by formula (worst): V*RB/(RA+RB)" in seen
            assert "over all builds: 2 readings, mean 4.99 V" in seen

    run(scene())


def test_a_formula_is_written_down_and_changed_where_limits_are(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "plus", "enter", *"vk9", "enter", *"cathode", "enter")
            await seat.press("equals_sign", *"1k", "asterisk", *"IK")
            await seat.type(" where IK ")
            await seat.press("equals_sign")
            await seat.type("2 mA")
            assert "a formula" in seat.asked()
            await seat.press("enter")
            assert "In what is it measured" in " ".join(seat.asked().split())
            await seat.press("V", "enter")
            assert (point(another, "VK9").limits, point(another, "VK9").unit) == ("2 V", "V")
            await seat.press("v", "ctrl+u", "equals_sign", *"4k7", "slash", "2", "enter")
            assert point(another, "VK9").nominal == 2350
            await seat.press("v", "ctrl+u", *"min80V", "enter")
            assert (point(another, "VK9").limits, point(another, "VK9").worked) == ("at least 80 V", None)

    run(scene())


def test_a_formula_that_is_none_is_said_while_it_is_typed(
    run: Run, sit: Sit, measured: Path, another: Workshop
) -> None:
    async def scene() -> None:
        async with sit(measured) as seat:
            await seat.press("5", "down", "v")
            assert HALF in " ".join(seat.asked().split())
            await seat.press("ctrl+u", "equals_sign", *"R1", "plus")
            assert "It ends where a number or a name is expected." in " ".join(seat.asked().split())
            await seat.press("escape")
            await seat.press("y")
            seen = " ".join(seat.seen().split())
            assert "the limits, by formula" in seen
            assert "worst case 4.95 V 5.05 V" in seen

    run(scene())
