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
    assert ["RB", "10", "k", "9.9", "k", "10.1", "k", "given:", "10k", "1", "%"] == next(
        line.replace("k ", " k ").split() for line in lines if line.startswith("RB")
    ) or "10k" in text
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
        async with sit(measured, place="checks", build="CURLEW") as seat:
            await seat.select("CURLEW/IF/HALF")
            await seat.press("enter")
            seen = " ".join(seat.seen().split())
            assert "by formula (worst): V*RB/(RA+RB)" in seen
            assert "over all builds: 2 readings, mean 4.99 V" in seen

    run(scene())
