"""The bars of planned against spent: never wider than their room, with their figures and causes in words."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.answers.cost_truth import CostTruth, TruthRow
from buildbook.tui.laying import ASCII, UNICODE, Glyphs
from buildbook.tui.plots import Drawn, width_drawn
from buildbook.tui.plots_truth import truth_lines

MICROS = st.integers(0, 10**12)


def text_of(line: Drawn) -> str:
    return "".join(piece.text for piece in line)


def section(name: str, planned: int, spent: int, to_come: int) -> TruthRow:
    diff = spent + to_come - planned
    return TruthRow(name, "", "", "", 0, 0, 0, planned, spent, to_come, diff, diff, 0, 0, 0, "")


def truth(*rows: TruthRow) -> CostTruth:
    return CostTruth("CURLEW costs.", "CURLEW", "EUR", 0, 0, 0, 0, 0, 0, 0, 0, 0, rows, rows)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.text(min_size=1, max_size=30), MICROS, MICROS, MICROS), max_size=4),
    st.integers(2, 160),
    st.sampled_from([UNICODE, ASCII]),
)
def test_it_fits_its_room(rows: list[tuple[str, int, int, int]], room: int, glyphs: Glyphs) -> None:
    lines = truth_lines(truth(*(section(*row) for row in rows)), room, glyphs)
    assert all(width_drawn(line) <= room for line in lines)


def test_planned_stands_above_spent_and_to_come() -> None:
    lines = [
        text_of(line)
        for line in truth_lines(truth(section("CURLEW/IF", 20_000_000, 10_000_000, 20_000_000)), 43, ASCII)
    ]
    at = next(number for number, line in enumerate(lines) if line.startswith("IF "))
    assert lines[at].split() == ["IF", "20.00", "p" + "." * 20]
    assert lines[at + 1].split() == ["30.00", "s##########t--------------------"]
    assert lines[at + 2] == "  +10.00: price +10.00"
