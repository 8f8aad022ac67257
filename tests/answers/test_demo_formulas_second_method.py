"""The formulas of the demo, reckoned a second time: every corner, in plain arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from math import log

import pytest

from buildbook.actions.workshop import Workshop
from buildbook.answers.measuring import point_meant

Band = tuple[float, float]


def about(size: float, percent: float) -> Band:
    return size * (1 - percent / 100), size * (1 + percent / 100)


def bleeder(r12: float, r3: float, r5: float, r6: float, farads: float, volts: float) -> float:
    return farads * log(volts / 60) / (1 / r12 + 1 / r3 + 1 / (r5 + r6))


CASES: list[tuple[str, Callable[..., float], list[Band]]] = [
    ("CURLEW/IF/VK3", lambda r1, ik: r1 * ik, [about(160, 1), about(0.0119, 15)]),
    ("CURLEW/IF/VK4", lambda r5, ik: r5 * ik, [about(180, 1), about(0.0105, 15)]),
    ("CURLEW/AUDIO/VK2", lambda r8, ik: r8 * ik, [about(680, 5), about(0.0206, 5)]),
    ("CURLEW/HT/VLIFT", lambda ht, r6, r5: ht * r6 / (r5 + r6), [about(228, 5), about(22e3, 1), about(220e3, 5)]),
    (
        "CURLEW/HT/TBLEED",
        bleeder,
        [about(94e3, 5), about(220e3, 5), about(220e3, 5), about(22e3, 1), about(102e-6, 20), about(300, 10)],
    ),
    (
        "LINNET/REG/VTOP",
        lambda vref, r3, pot, r1: vref * (1 + (r3 + pot) / r1),
        [about(1.25, 4), about(2200, 1), about(500, 20), about(220, 1)],
    ),
]


@pytest.mark.parametrize(("name", "sum_of", "bands"), CASES, ids=[name for name, _, _ in CASES])
def test_a_formula_of_the_demo(
    demo_to_read: Workshop, name: str, sum_of: Callable[..., float], bands: list[Band]
) -> None:
    corners = [sum_of(*one) for one in product(*bands)]
    worked = point_meant(demo_to_read, name).worked
    assert worked is not None
    assert (worked.fault, worked.remark) == ("", "")
    assert (worked.worst_low, worked.worst_high) == pytest.approx((min(corners), max(corners)), rel=1e-3)
    assert worked.nominal == pytest.approx(sum_of(*(sum(band) / 2 for band in bands)), rel=1e-3)
