"""Formulas of test points and the history of readings on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from typer.testing import Result

from buildbook.actions.workshop import Workshop

Say = Callable[..., Result]


@pytest.fixture
def point(say: Say, curlew: Workshop) -> Workshop:
    """A divider of given sizes on the panel."""
    sizes = "where V = 10 V, RA = 10k 1 %, RB = 10k 1 %"
    said = say("checks", "point-new", "CURLEW/PANEL", "HALF", "--unit", "V", "--formula", f"V*RB/(RA+RB) {sizes}")
    assert said.stdout == "On the test sheet: CURLEW/PANEL/HALF.\n"
    return curlew


def row(say: Say) -> Any:
    """The one point, as JSON."""
    return json.loads(say("checks", "sheet", "PANEL", "--json").stdout)["rows"][0]


def test_a_formula_gives_the_limits(say: Say, point: Workshop) -> None:
    assert "5 V; 4.95 to 5.05 V" in say("checks", "sheet", "PANEL").stdout
    worked = row(say)["worked"]
    assert (worked["worst_low"], worked["worst_high"]) == (4.95, 5.05)
    assert (worked["rss_low"], worked["rss_high"]) == (4.965, 5.035)
    assert worked["terms"][1] == {
        "name": "RB",
        "nominal": 10000.0,
        "low": 9900.0,
        "high": 10100.0,
        "source": "given: 10k 1 %",
    }
    say("checks", "point-change", "HALF", "--spread", "rss")
    assert say("checks", "read", "HALF", "5.04").stdout == "CURLEW/PANEL/HALF: 5.04 V, 0.005 V above 5.035 V.\n"


def test_what_cannot_be_worked_out_is_said(say: Say, point: Workshop) -> None:
    say("checks", "point-change", "HALF", "--formula", "R99 * 1m")
    lines = say("checks", "sheet", "PANEL").stdout.splitlines()
    assert lines[0] == "0 of 1 point read, 1 formula not worked out."
    assert "formula not worked out" in lines[3]
    refused = say("checks", "point-change", "HALF", "--formula", "(1 + 2", code=2).stderr
    assert "The parenthesis at character 1 is not closed." in refused
    refused = say("checks", "point-change", "HALF", "--formula", "__import__('os')", code=2).stderr
    assert "no arithmetic" in refused


def test_a_supply_takes_a_tolerance(say: Say, point: Workshop) -> None:
    say("checks", "supply-new", "CURLEW/HV", "rail", "--volts", "200 V", "--tolerance", "5%")
    say("checks", "point-change", "HALF", "--formula", "HV / 2")
    assert (row(say)["low"], row(say)["high"]) == (95, 105)
    say("checks", "supply-change", "CURLEW/HV", "--tolerance", "10%")
    assert row(say)["high"] == 110


def test_history_tells_mean_and_spread(say: Say, point: Workshop) -> None:
    assert say("checks", "history", "HALF").stdout == "CURLEW/PANEL/HALF: it has not been read yet.\n"
    for text in ("5.01", "4.97"):
        say("checks", "read", "HALF", text)
    lines = say("checks", "history", "HALF").stdout.splitlines()
    assert lines[0] == (
        "CURLEW/PANEL/HALF: 2 readings, mean 4.99 V, spread 0.02828 V, 4.97 V to 5.01 V, "
        "nearest 20 % of the window inside its limit."
    )
    assert lines[2].split() == ["when", "build", "reading", "margin"]
    assert json.loads(say("checks", "history", "HALF", "--json").stdout)["readings"] == 2
