"""How far parts and given sizes may stray."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.strays import part_size, split_givens, supply_size


@pytest.mark.parametrize(
    ("kind", "value", "name", "expected"),
    [
        ("resistor", "4k7 1%", "", (4700, 4653, 4747)),
        ("resistor", "4k7", "Resistor, metal oxide 5 %, 500 V", (4700, 4465, 4935)),
        ("resistor", "4k7", "", (4700, 4465, 4935)),
        ("resistor", "0R", "Link", (0, 0, 0)),
        ("capacitor", "100n", "", (100e-9, 90e-9, 110e-9)),
        ("capacitor", "4p7 ±0.25pF", "", (4.7e-12, 4.45e-12, 4.95e-12)),
        ("capacitor", "1u", "Capacitor, electrolytic", (1e-6, 0.8e-6, 1.2e-6)),
        ("capacitor", "22u 400V", "", (22e-6, 17.6e-6, 26.4e-6)),
        ("inductor", "10mH", "", (10e-3, 9e-3, 11e-3)),
        ("potentiometer", "500R trimmer", "", (500, 400, 600)),
    ],
)
def test_a_part_strays_as_stated_or_as_is_usual(
    kind: str, value: str, name: str, expected: tuple[float, float, float]
) -> None:
    found = part_size(kind, value, name)
    assert not isinstance(found, str)
    assert found[:3] == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("kind", "value", "why"),
    [
        ("valve", "EF89", "a valve has no value"),
        ("resistor", "", "its value is not known"),
        ("resistor", "1m", "not clear"),
        ("gadget", "1k", "has no value"),
    ],
)
def test_what_has_no_size_says_why(kind: str, value: str, why: str) -> None:
    found = part_size(kind, value)
    assert isinstance(found, str)
    assert why in found


def test_a_supply_strays_by_its_tolerance() -> None:
    assert supply_size(6_300_000, 1000)[:3] == pytest.approx((6.3, 5.67, 6.93))
    assert supply_size(0, 1000) == "its voltage is not known"


def test_givens_stand_behind_where() -> None:
    bare, givens = split_givens("HT*R2/(R1+R2) WHERE HT = 250 V 5 %, ik=18 mA ± 2 mA; r=10k 1%, w = 1.2-1.3 V, n = 3")
    assert bare == "HT*R2/(R1+R2)"
    assert {name: one[:3] for name, one in givens.items()} == {
        "HT": pytest.approx((250, 237.5, 262.5)),
        "IK": pytest.approx((0.018, 0.016, 0.02)),
        "R": pytest.approx((10e3, 9.9e3, 10.1e3)),
        "W": pytest.approx((1.25, 1.2, 1.3)),
        "N": (3, 3, 3),
    }


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("A where", "gives nothing a size"),
        ("A where A", "gives nothing a size"),
        ("A where A = ", "A is missing"),
        ("A where A = max 3 V", "open to one side"),
        ("A where A = 1 V, A = 2 V", "A is given twice"),
        ("A where A = 1 V where B = 2 V", "where more than once"),
        ("A where A = __import__('os')", ""),
        ("A where " + ", ".join(f"A{at} = 1 V" for at in range(13)), "12 is the most"),
    ],
)
def test_what_gives_no_size_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadInput) as caught:
        split_givens(text)
    assert why in caught.value.why


@settings(deadline=None, max_examples=150)
@given(st.text(max_size=40), st.sampled_from(["", "A", "where", "A where A = ", "where B=1 V, "]))
def test_any_text_gives_sizes_or_is_refused(text: str, before: str) -> None:
    try:
        split_givens(before + text)
    except BadInput:
        return
