"""What a purchase really cost, on the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

Say = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("at_demo")


def test_an_order_lands_with_its_postage(say: Say) -> None:
    shown = say("buying", "landed", "pf-0419").stdout
    assert "postage 3.20, landed 11.66 EUR" in shown
    assert "Postage and discount: " in shown
    told = json.loads(say("buying", "landed", "PF-0419", "--json").stdout)
    assert told["schema"] == "buildbook.landed/1"
    assert sum(row["landed_micros"] for row in told["rows"]) == told["total_micros"]


def test_an_unknown_order_is_told(say: Say) -> None:
    assert "PF-9" in say("buying", "landed", "PF-9", code=2).stderr


def test_the_prices_of_a_part_are_drawn_into_a_file(say: Say, tmp_path: Path) -> None:
    file = tmp_path / "ech81.svg"
    assert "of V-ECH81 into" in say("buying", "plot", "v-ech81", "--out", str(file)).stdout
    assert "<svg" in file.read_text(encoding="utf-8")
    assert "--replace" in say("buying", "plot", "V-ECH81", "--out", str(file), code=2).stderr
    say("buying", "plot", "V-ECH81", "--out", str(file), "--replace")


def test_planned_stands_against_spent(say: Say) -> None:
    shown = say("buying", "truth", "--build", "CURLEW").stdout
    assert shown.startswith("CURLEW: planned ")
    assert sum(line.startswith("CURLEW/AUDIO ") for line in shown.splitlines()) == 1
    assert "price +" in shown
    told = json.loads(say("buying", "truth", "--build", "CURLEW", "--json").stdout)
    cost = json.loads(say("boards", "cost", "--build", "CURLEW", "--json").stdout)
    assert told["spent_micros"] == cost["spent_micros"]
    parts = say("buying", "truth", "--parts", "--build", "CURLEW").stdout
    assert "V-ECL82" in parts
    assert "T-IFT-455" not in parts, "what costs as planned is left out"
