"""The history of a test point over builds and units."""

from __future__ import annotations

from statistics import mean, stdev

import pytest

from buildbook.actions import boards, measuring
from buildbook.actions.measuring import NewPoint
from buildbook.actions.workshop import Workshop
from buildbook.answers.form import as_json
from buildbook.answers.point_history import SHOWN, point_history
from buildbook.errors import BadInput


@pytest.fixture
def measured(shop: Workshop) -> Workshop:
    """An IF board in the Curlew and in a pair of it, with one point."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "IF", "IF board")
    boards.new_build(shop, "PAIR", "CURLEW/CURLEW", 2)
    measuring.add_points(shop, "IF", [NewPoint("VK1", "cathode", "1.6-2.2 V"), NewPoint("INS", limits="min 1 Mohm")])
    return shop


def test_it_tells_of_all_builds_and_units(measured: Workshop) -> None:
    readings = [("CURLEW", 1, "2.31"), ("CURLEW", 1, "2.1"), ("PAIR", 1, "1.9"), ("PAIR", 2, "1.7")]
    for build, unit, text in readings:
        measuring.read(measured, build, "VK1", text, unit_number=unit)
    values = [float(text) for _, _, text in readings]
    answer = point_history(measured, "if/vk1")
    assert answer.mean == pytest.approx(mean(values))
    assert answer.spread == pytest.approx(stdev(values))
    assert (answer.readings, answer.lowest, answer.highest) == (4, 1.7, 2.31)
    assert answer.margin == pytest.approx(-0.11 / 0.6, rel=1e-5)
    assert [(row.build, row.unit_number, row.value) for row in answer.rows] == [
        (build, unit, float(text)) for build, unit, text in reversed(readings)
    ]
    assert answer.sentence == (
        "CURLEW/IF/VK1: 4 readings, mean 2.002 V, spread 0.2621 V, 1.7 V to 2.31 V, "
        "worst 18.3 % of the window out of limits."
    )
    assert as_json(answer)["schema"] == "buildbook.point-history/1"


def test_what_is_beyond_the_scale_is_in_no_figure(measured: Workshop) -> None:
    measuring.read(measured, "CURLEW", "INS", ">200M")
    answer = point_history(measured, "INS")
    assert (answer.readings, answer.beyond, answer.mean, answer.margin) == (1, 1, None, None)
    assert answer.sentence == "CURLEW/IF/INS: 1 reading, 1 beyond the scale."
    measuring.read(measured, "CURLEW", "INS", "2M")
    answer = point_history(measured, "INS")
    assert (answer.mean, answer.spread, answer.margin) == (2e6, None, 1)


def test_one_that_was_never_read_says_so(measured: Workshop) -> None:
    answer = point_history(measured, "VK1")
    assert (answer.sentence, answer.rows) == ("CURLEW/IF/VK1: it has not been read yet.", ())
    with pytest.raises(BadInput, match="no test point"):
        point_history(measured, "VK9")


def test_the_last_readings_are_shown_and_all_are_counted(measured: Workshop) -> None:
    for at in range(SHOWN + 3):
        measuring.read(measured, "CURLEW", "VK1", f"{1.7 + at / 100:.2f}")
    answer = point_history(measured, "VK1")
    assert (answer.readings, len(answer.rows), answer.rows[0].value) == (SHOWN + 3, SHOWN, 1.92)
    assert answer.lowest == 1.7
