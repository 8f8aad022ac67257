"""The supply budget of the demo, added up a second time from its lists, with decimals and no code of ours."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from buildbook.actions.workshop import Workshop
from buildbook.answers.supply import SupplyLine, supply

DEMO = Path(__file__).resolve().parents[2] / "demo_db"
VALVE, DIGITAL = "RECT:VALVE", "READOUT:DIGITAL"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a list."""
    with (DEMO / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def amps(code: str, *options: str) -> Decimal:
    """What draws on a supply of the Curlew, with these answers."""
    return sum(
        (
            int(row["qty"]) * Decimal(row["amps each"])
            for row in rows_of("loads.csv")
            if (row["project"], row["supply"]) == ("CURLEW", code) and row["option"] in ("", *options)
        ),
        Decimal(0),
    )


@pytest.fixture
def lines(demo_to_read: Workshop) -> dict[str, SupplyLine]:
    """The supplies of the demo by name."""
    return {f"{row.project}/{row.code}": row for row in supply(demo_to_read).rows}


def test_the_rectifier_question_as_the_story_tells_it(lines: dict[str, SupplyLine]) -> None:
    """97 % of the 6.3 V winding with the valve, 73 % with silicon, 91 % with a digital readout."""
    row = lines["CURLEW/HTR"]
    percents = {one.answer: (one.percent, one.state) for one in row.answers}
    assert percents[VALVE] == (97, "tight")
    assert percents["RECT:SI"] == (73, "within")
    assert percents[DIGITAL] == (91, "tight")
    assert row.load_micro == amps("HTR") * 10**6 == 1_824_000
    loads = {one.answer: one.load_micro for one in row.answers}
    assert loads[VALVE] == amps("HTR", VALVE) * 10**6 == 2_424_000
    assert loads[DIGITAL] == amps("HTR", DIGITAL) * 10**6
    assert row.headroom_micro == (Decimal("2.5") * Decimal("0.8") - amps("HTR")) * 10**6


def test_every_load_of_the_lists_is_there(lines: dict[str, SupplyLine]) -> None:
    assert sum(len(row.loads) for row in lines.values()) == len(rows_of("loads.csv"))
    assert set(lines) == {f"{row['project']}/{row['supply']}" for row in rows_of("supplies.csv")}


def test_from_the_rail_to_the_fuse_by_hand(lines: dict[str, SupplyLine]) -> None:
    """62.8 mA x 1.2 = 75.36 mA; 2 x 200 V x 75.36 mA + 6.3 V x 1.824 A = 41.6352 VA; over 230 V 181.023 mA."""
    direct = amps("HT")
    assert lines["CURLEW/HT"].load_micro == direct * 10**6 == 62_800
    assert lines["CURLEW/HTAC"].load_micro == direct * Decimal("1.2") * 10**6 == 75_360
    power = 400 * direct * Decimal("1.2") + Decimal("6.3") * amps("HTR")
    assert lines["CURLEW/T1"].load_micro == power * 10**6 == 41_635_200
    fuse = lines["CURLEW/FUSE"]
    assert 0 <= fuse.load_micro - power / 230 * 10**6 < 1
    # The demo's list of parts fits T 400 mA: 60 VA / 230 V x 1.5 = 0.391 A (common practice; IEC 60127).
    assert "0.4 A time-lag" in fuse.fuse


def test_a_rail_without_a_limit_is_not_called_within(lines: dict[str, SupplyLine]) -> None:
    assert (lines["LINNET/DC"].state, lines["LINNET/DC"].headroom_micro) == ("unknown", None)
    assert lines["LINNET/SEC"].load_micro == 900_000
    assert lines["LINNET/T1"].load_micro == 32_400_000
