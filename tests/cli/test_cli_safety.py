"""Safety on the command line: banks, signatures, standards, and the page that tells of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

Say = Callable[..., Result]


@pytest.fixture
def demo_said(say: Say, at_demo: Path) -> Callable[..., Result]:
    """The command line over the demo."""

    def run(*words: str, code: int = 0) -> Result:
        return say(*words, code=code, db=at_demo)

    return run


def test_banks_are_written_down_told_and_taken_away(demo_said: Say) -> None:
    demo_said("checks", "bank-new", "CURLEW/MIX", "MIXHT", "250 V", "C1", "--name", "mixer")
    assert "CURLEW/MIX/MIXHT" in demo_said("checks", "discharge").stdout
    demo_said("checks", "bank-change", "CURLEW/HT/HT", "--volts", "310 V", "--bleeder", "-")
    full = demo_said("checks", "discharge", "--full").stdout
    assert "at 310 V hold 4.9 J; no bleeder" in full
    assert "Without one: 4.9 J stay; a film capacitor may hold them for days." in full
    assert "live parts of machines within reach: 5 s (IEC 60204-1); this takes longer." in full
    assert full.splitlines()[0].endswith("Local codes and licensed practice decide.")
    demo_said("checks", "bank-drop", "CURLEW/HT/HT")
    assert "CURLEW/HT/HT " not in demo_said("checks", "discharge").stdout
    assert "Capacitors" in demo_said("checks").stdout


def test_banks_as_json(demo_said: Say) -> None:
    answer = json.loads(demo_said("checks", "discharge", "--build", "LINNET", "--json").stdout)
    assert answer["schema"] == "buildbook.discharge/1"
    assert [row["state"] for row in answer["rows"]] == ["low"]


def test_a_signature_on_the_command_line(demo_said: Say) -> None:
    place = "LINNET/MAINS/2"
    demo_said("bench", "finish", place, "--build", "LINNET")
    said = demo_said("bench", "sign", place, "--by", "K. Lund", "--build", "LINNET").stdout
    assert said.startswith("Signed by K. Lund: Inspect the Linnet mains board.")
    assert "It says what was checked, no more: Isolated: unplugged" in said
    why = demo_said("bench", "why", "First power of the Linnet", "--build", "LINNET").stdout
    assert "K. Lund" in why
    assert "nobody yet" in why


def test_the_safety_page(demo_said: Say) -> None:
    page = demo_said("checks", "safety", "--build", "CURLEW").stdout
    for text in ("First power", "Hold points", "the builder", "unsigned", "Earth and insulation", "Capacitors"):
        assert text in page
    assert "IEC 60950-1 cl. 2.6.3.3" in page
    assert "not that it is safe. Local codes and licensed practice decide." in page
    answer = json.loads(demo_said("checks", "safety", "--build", "CURLEW", "--json").stdout)
    assert answer["schema"] == "buildbook.safety/1"
    assert {row["standard"] for row in answer["points"]} == {"protective earth", "insulation"}
    signed = [row for row in answer["hold_points"] if row["signed_at"]]
    assert {row["signed_by"] for row in signed} == {"the builder"}


def test_a_point_takes_its_limits_from_a_standard(demo_said: Say) -> None:
    demo_said("checks", "point-new", "CURLEW/CASE", "PE2", "--standard", "protective earth", "--name", "stud to wrap")
    told = demo_said("checks", "sheet", "CURLEW/CASE").stdout
    assert "at most 0.1 Ω" in told
    assert "IEC 60065 cl. 15.2" in told


def test_what_a_signature_confirms_is_changed(demo_said: Say) -> None:
    demo_said("bench", "change", "LINNET/MAINS/2", "--check", "Distances measured", "--check", "Cover on")
    rows = json.loads(demo_said("bench", "--json", "--build", "LINNET").stdout)["rows"]
    row = next(row for row in rows if row["place"] == "LINNET/MAINS/2")
    assert row["confirms"] == ["Distances measured", "Cover on"]
