"""Plots on paper: what is drawn is what the answers say, the same bytes every time, hostile texts stay texts."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.answers.plotted import AnswerBar, Dot, OptionFigure, PointDots, SupplyBar
from buildbook.errors import BadInput
from buildbook.publish.paper import MOST_HEIGHT_MM, Paper, broken, fitted, pdf, plain_text, png, svg, width_mm
from buildbook.publish.plots import (
    CostBar,
    PricePaid,
    Progress,
    draw_builds,
    draw_costs,
    draw_options,
    draw_prices,
    draw_progress,
    draw_readings,
    draw_supplies,
    kind_of,
    sheets,
)

HOSTILE = "$x^2$ $\\frac{ <b>&amp;\x1b[31m\u202e\x00 --> ]]> 抵抗 \U0001f600 \\n %s {}"
ANSWER = AnswerBar("RECT:VALVE", False, 2_424_000, "tight", "with RECT:VALVE: too tight by 0.424 A")
HEATERS = SupplyBar("HTR", "Heaters", 1, "A", 2_500_000, 1_824_000, 2_000_000, 500_000, 73, "within", "so", (ANSWER,))
UNKNOWN = HEATERS._replace(limit_micro=None, percent=None, state="unknown", answers=())
DOTS = (Dot("", "CURLEW", 1.5, "within"), Dot("", "LINNET", 2.75, "within"), Dot("", "WREN", 99.0, "out"))
CATHODE = PointDots("IF/VK1", "cathode", "V", 2.0, 1.0, 3.0, "1 to 3 V", "out", "99 V, 96 V above 3 V", DOTS)
OPTIONS = (
    OptionFigure("VALVE", "headroom", -0.4, "A", "more"),
    OptionFigure("SI", "headroom", 0.2, "A", "more"),
    OptionFigure("SI", "money", None, "EUR", "less"),
)
COSTS = (CostBar("CASE", 10_000_000, 20_000_000, 0, 10_000_000), CostBar("IF", 0, 0, 5_000_000, 0))
PROGRESS = (Progress("2026-10-08T18:00:00Z", 60, 1), Progress("2026-10-10T18:00:00Z", 180, 2))
PRICES = (PricePaid("2026-01-05", 12_000_000, 10, "Tern Windings"), PricePaid("2026-03-01", 1_500_000, 1, "Quayside"))


def every_plot() -> dict[str, Paper]:
    return {
        "supplies": draw_supplies([HEATERS, UNKNOWN]),
        "readings": draw_readings([CATHODE]),
        "builds": draw_builds(CATHODE),
        "options": draw_options(OPTIONS),
        "costs": draw_costs(COSTS, "EUR"),
        "progress": draw_progress(PROGRESS, left_min=120),
        "prices": draw_prices(PRICES, "EUR"),
    }


def spans(picture: bytes) -> dict[str, tuple[float, float, float, float]]:
    """Of each named shape of an SVG file: left, right, upper and lower edge, in points."""
    found = {}
    for group in ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}g"):
        path = group.find("{http://www.w3.org/2000/svg}path")
        if path is None:
            path = group.find("{http://www.w3.org/2000/svg}g/{http://www.w3.org/2000/svg}use")
            if path is not None and "x" in path.attrib:
                x, y = float(path.attrib["x"]), float(path.attrib["y"])
                found[group.attrib["id"]] = (x, x, y, y)
            continue
        numbers = [float(one) for one in re.findall(r"-?\d+\.?\d*", path.attrib["d"])]
        xs, ys = numbers[::2], numbers[1::2]
        found[group.attrib.get("id", "")] = (min(xs), max(xs), min(ys), max(ys))
    return found


def wide(span: tuple[float, float, float, float]) -> float:
    return span[1] - span[0]


def test_supplies_are_as_long_as_their_figures() -> None:
    found = spans(svg(draw_supplies([HEATERS, UNKNOWN]), "Headroom"))
    limit = wide(found["supply-0-limit"])
    assert wide(found["supply-0-load"]) / limit == pytest.approx(1_824_000 / 2_500_000, abs=1e-4)
    assert wide(found["supply-0-margin"]) / limit == pytest.approx(0.2, abs=1e-4)
    assert found["supply-0-margin"][1] == pytest.approx(found["supply-0-limit"][1])
    assert wide(found["supply-0-answer-0-load"]) / limit == pytest.approx(2_424_000 / 2_500_000, abs=1e-4)
    all_on = (found["supply-0-all-on"][0] - found["supply-0-limit"][0]) / limit
    assert all_on == pytest.approx(0.8, abs=1e-4)
    assert not any(name.startswith("supply-1") for name in found)


def test_what_is_far_over_its_limit_is_cut_and_says_so() -> None:
    over = HEATERS._replace(load_micro=9_000_000, all_on_micro=9_000_000, state="over", percent=360)
    found = spans(svg(draw_supplies([over]), "Headroom"))
    assert wide(found["supply-0-load"]) / wide(found["supply-0-limit"]) == pytest.approx(1.25, abs=1e-4)
    assert "supply-0-beyond" in found
    assert "supply-0-beyond" not in spans(svg(draw_supplies([HEATERS]), "Headroom"))


def test_readings_stand_between_their_limits_by_their_amounts() -> None:
    found = spans(svg(draw_readings([CATHODE]), "Readings"))
    low, high = found["point-0-low"][0], found["point-0-high"][0]
    for number, value in enumerate((1.5, 2.75)):
        assert (found[f"point-0-dot-{number}"][0] - low) / (high - low) == pytest.approx((value - 1) / 2, abs=1e-4)
    assert found["point-0-dot-2"][0] > high
    assert (found["point-0-nominal"][0] - low) / (high - low) == pytest.approx(0.5, abs=1e-4)


def test_the_mean_and_the_spread_of_the_builds_are_drawn() -> None:
    close = CATHODE._replace(dots=DOTS[:2])
    found = spans(svg(draw_builds(close), "Builds"))
    low, high = found["mean-low"][0], found["mean-high"][0]
    assert (found["mean-mark"][0] - low) / (high - low) == pytest.approx((2.125 - 1) / 2, abs=1e-4)
    # Two readings 1.25 V apart: the standard deviation of the sample is 1.25 V / sqrt(2).
    assert wide(found["spread"]) / (high - low) == pytest.approx(2 * 1.25 / 2**0.5 / 2, abs=1e-4)


def test_options_costs_and_prices_are_drawn_by_their_figures() -> None:
    found = spans(svg(draw_options(OPTIONS), "Options"))
    valve, si = found["criterion-0-option-0"], found["criterion-0-option-1"]
    assert wide(valve) / wide(si) == pytest.approx(2, abs=1e-3)
    assert valve[1] == pytest.approx(si[0])
    assert not any(name.startswith("criterion-1") for name in found)
    found = spans(svg(draw_costs(COSTS, "EUR"), "Cost"))
    assert wide(found["cost-0-in-the-drawers"]) / wide(found["cost-0-spent"]) == pytest.approx(2, abs=1e-4)
    assert wide(found["cost-1-on-order"]) / wide(found["cost-0-spent"]) == pytest.approx(0.5, abs=1e-4)
    assert "cost-1-spent" not in found
    found = spans(svg(draw_prices(PRICES, "EUR"), "Prices"))
    # 1.20 and 1.50 a piece, over an axis that begins at nothing.
    upper = found["price-1"][2]
    foot = max(span[3] for name, span in found.items() if name.startswith("line2d"))
    assert found["price-0"][2] > upper
    assert foot > found["price-0"][2]


def test_progress_rises_to_what_was_done() -> None:
    found = spans(svg(draw_progress(PROGRESS, left_min=180), "Progress"))
    rise = found["progress"][3] - found["progress"][2]
    assert rise / (found["progress"][3] - found["progress-all"][2]) == pytest.approx(0.5, abs=1e-4)


def test_the_same_figures_give_the_same_bytes() -> None:
    other = every_plot()
    for name, picture in every_plot().items():
        again = other[name]
        for write in (svg, png):
            assert write(picture, name) == write(again, name)
        assert pdf([picture], name) == pdf([again], name)
        assert b"/CreationDate" not in pdf([picture], name)


PROGRAM = """
import hashlib
from buildbook.answers.plotted import *
from buildbook.publish.paper import pdf, svg
from buildbook.publish.plots import draw_supplies
bar = SupplyBar("HTR", "Heaters", 1, "A", 2_500_000, 1_824_000, 2_000_000, 500_000, 73, "tight", "so", ())
picture = draw_supplies([bar])
print(hashlib.sha256(svg(picture, "x") + pdf([picture], "x")).hexdigest())
"""


@pytest.mark.process
def test_neither_home_nor_locale_nor_settings_of_the_library_nor_hashing_change_a_byte(tmp_path: Path) -> None:
    rc = tmp_path / "other" / "matplotlibrc"
    rc.parent.mkdir()
    rc.write_text("lines.markeredgewidth: 5\nsvg.fonttype: none\npdf.compression: 0\ntext.usetex: True\n")
    said = set()
    for seed, folder, zone in (("1", rc.parent, "Asia/Tokyo"), ("2", tmp_path, "UTC")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "MPLCONFIGDIR": str(folder)}
        done = subprocess.run([sys.executable, "-c", PROGRAM], env=env, capture_output=True, text=True, check=True)
        assert done.stderr == ""
        said.add(done.stdout)
    assert len(said) == 1


def test_hostile_texts_stay_texts() -> None:
    bar = HEATERS._replace(
        code=HOSTILE, name=HOSTILE * 50, said=HOSTILE * 9, answers=(ANSWER._replace(answer=HOSTILE),)
    )
    point = CATHODE._replace(point=HOSTILE, name=HOSTILE, said=HOSTILE, dots=(Dot("", HOSTILE, 2.0, "within"),))
    pictures = [
        draw_supplies([bar], title=HOSTILE),
        draw_readings([point]),
        draw_builds(point, title=HOSTILE),
        draw_options([OptionFigure(HOSTILE, HOSTILE, 1.0, HOSTILE)]),
        draw_costs([CostBar(HOSTILE, 1, 2, 3, 4)], "EUR"),
        draw_prices([PricePaid("2026-01-05", 1, 1, HOSTILE)], "EUR"),
    ]
    for picture in pictures:
        whole = svg(picture, HOSTILE)
        ElementTree.fromstring(whole)
        assert not re.search(rb"[\x00-\x08\x0b-\x1f]", whole)
        assert b"<b>" not in whole
    assert pdf(pictures, HOSTILE).startswith(b"%PDF")


@settings(deadline=None, max_examples=60)
@given(st.text(max_size=80), st.floats(5, 100))
def test_a_text_never_stands_wider_than_its_room(text: str, room: float) -> None:
    kept = fitted(text, room, 7.5)
    assert width_mm(kept, 7.5) <= room
    assert all(width_mm(line, 7.5) <= room for line in broken(text, room, 7.5))
    assert plain_text(plain_text(text)) == plain_text(text)


def test_widths_are_those_of_the_font() -> None:
    # The letter m of DejaVu Sans advances 1995 of 2048 units; ten of them at 72 points are an inch each, or nearly.
    assert width_mm("m" * 10, 72) == pytest.approx(10 * 25.4 * 1995 / 2048, rel=1e-3)


def test_nothing_to_draw_is_a_picture_too() -> None:
    empty = CATHODE._replace(dots=())
    for picture in (
        draw_supplies([]),
        draw_readings([]),
        draw_builds(empty),
        draw_options([]),
        draw_costs([], "EUR"),
        draw_progress([]),
        draw_prices([], "EUR"),
    ):
        ElementTree.fromstring(svg(picture, "nothing"))


def test_many_points_go_on_several_pages_of_a_document() -> None:
    pages = sheets([CATHODE] * 70, draw_readings)
    assert len(pages) > 2
    assert all(page.height_mm <= MOST_HEIGHT_MM for page in pages)
    assert pdf(pages, "Readings").count(b"/Type /Page ") == len(pages)


def test_the_ending_says_what_kind_it_is() -> None:
    assert [kind_of(Path(name)) for name in ("a.svg", "b.PDF", "c.d.png")] == ["svg", "pdf", "png"]
    with pytest.raises(BadInput, match="SVG, PDF or PNG"):
        kind_of(Path("plot.jpeg"))
