"""A wanted value met from the drawers: what is free, what is spoken for, what each piece bears."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, lists, stores
from buildbook.actions.workshop import Workshop
from buildbook.answers.make import Makes, make
from buildbook.errors import BadInput


def put(shop: Workshop, key: str, value: str, qty: int, kind: str = "resistor") -> None:
    stores.new_part(shop, key, kind=kind, value=value)
    if qty:
        stores.receive(shop, key, "A1", qty)


@pytest.fixture
def drawer(shop: Workshop) -> Workshop:
    """A few resistors, of which the Linnet has spoken for one 4k7, and a trimmer that is of no fixed value."""
    stores.new_bin(shop, "A1")
    put(shop, "R-10K", "10k 1% 0.6W", 4)
    put(shop, "R-4K7", "4k7 5% 0.6W", 1)
    put(shop, "R-300R", "300R 0.6W", 2)
    put(shop, "R-5K6", "5k6 1% 0.6W", 0)
    put(shop, "POT-5K", "5k trimmer", 3, "potentiometer")
    boards.new_project(shop, "LINNET", "Linnet bench supply")
    boards.new_assembly(shop, "LINNET", "REG", "Regulator board", "board")
    lists.add_line(shop, "LINNET/REG", "R-4K7", refs="R1")
    return shop


def told(answer: Makes) -> list[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    return [(row.how, tuple(p.key for p in row.parts), tuple(p.taken_from for p in row.parts)) for row in answer.rows]


def test_what_is_free_is_told_before_what_a_build_has_spoken_for(drawer: Workshop) -> None:
    answer = make(drawer, "5k", most=2)
    assert answer.sentence == "5 kΩ is made by R-10K and R-10K in parallel (5 kΩ, exact), free."
    assert told(answer)[0] == ("one", ("R-4K7",), ("LINNET",))
    assert told(answer)[3:5] == [
        ("parallel", ("R-10K", "R-10K"), ("", "")),
        ("series", ("R-300R", "R-4K7"), ("", "LINNET")),
    ]


def test_what_a_build_has_spoken_for_is_free_to_that_build(drawer: Workshop) -> None:
    assert told(make(drawer, "4k7", build="linnet", most=1))[0] == ("one", ("R-4K7",), ("",))
    said = "4.7 kΩ is made by R-4K7 (4.7 kΩ, exact), taken from LINNET."
    assert make(drawer, "4k7").sentence == said


def test_neither_a_trimmer_nor_an_empty_drawer_counts(drawer: Workshop) -> None:
    used = {part.key for row in make(drawer, "5k6").rows for part in row.parts}
    assert used == {"R-10K", "R-4K7", "R-300R"}
    assert (
        make(drawer, "100n", kind="C").sentence
        == "Nothing in the drawers comes to 100 nF: no part of that kind lies there."
    )


def test_tolerances_come_together_where_all_are_stated(drawer: Workshop) -> None:
    rows = make(drawer, "5k", most=2).rows
    pair = rows[3]
    # Two equal parts of 1 %: the worst case is 1 %, RSS is 1 % over the root of two.
    assert [pair.low_percent, pair.high_percent] == pytest.approx([-1, 1])
    assert pair.rss_percent == pytest.approx(0.70711, abs=1e-5)
    assert rows[4].low_percent is rows[4].rss_percent is None


def test_power_and_voltage_are_shared_and_an_overload_is_named(drawer: Workshop) -> None:
    answer = make(drawer, "5k", volts="50", most=2)
    pair = next(row for row in answer.rows if row.how == "parallel")
    # Ohm's and Joule's laws by hand: 50 V across 10 kOhm is 0.25 W.
    assert [part.watts for part in pair.parts] == pytest.approx([0.25, 0.25])
    assert [part.volts for part in pair.parts] == [50, 50]
    assert "local codes" in answer.remarks[-1]
    strained = make(drawer, "5k", watts="2 W", most=2)
    assert strained.sentence.startswith("Nothing in the drawers makes 5 kΩ without overloading a part; the nearest is")
    assert next(row for row in strained.rows if row.how == "parallel").parts[0].over == "over its 0.6 W"


def test_a_part_that_bears_its_share_goes_before_one_that_does_not(drawer: Workshop) -> None:
    put(drawer, "R-10K-3W", "10k 3W", 1)
    assert told(make(drawer, "10k", watts="1", most=1))[0][1] == ("R-10K-3W",)
    assert told(make(drawer, "10k", watts="0.1", most=1))[0][1] == ("R-10K",)
    # A way without an overload comes first of its number.
    put(drawer, "R-9K1-3W", "9k1 3W", 1)
    stores.count(drawer, "R-10K-3W", "A1", 0)
    assert [row.parts[0].key for row in make(drawer, "10k", watts="1", most=1).rows] == ["R-9K1-3W", "R-10K", "R-4K7"]


def test_capacitors_share_a_voltage_the_other_way_round(shop: Workshop) -> None:
    stores.new_bin(shop, "A1")
    put(shop, "C-100N", "100n 100V", 1, "capacitor")
    put(shop, "C-300N", "300n 100V", 1, "capacitor")
    answer = make(shop, "75n", kind="C", volts="120", most=2)
    pair = answer.rows[2]
    assert pair.how == "series"
    assert [part.volts for part in pair.parts] == pytest.approx([90, 30])
    assert not any(part.over for part in pair.parts)
    assert answer.rows[0].parts[0].over == "over its 100 V"
    assert "leakage" in answer.remarks[0]


@pytest.mark.parametrize(
    ("text", "options"),
    [
        ("bolt", {}),
        ("0R", {}),
        ("100", {"kind": "C"}),
        ("5k", {"kind": "Q"}),
        ("5k", {"tolerance": "-1%"}),
        ("5k", {"tolerance": "nan"}),
        ("5k", {"volts": "inf"}),
        ("5k", {"watts": "0"}),
        ("5k", {"most": 4}),
        ("5k", {"most": 0}),
        ("5k", {"build": "NONE"}),
        ("x" * 1_000_000, {}),
    ],
)
def test_what_cannot_be_met_is_refused_in_a_sentence(drawer: Workshop, text: str, options: dict[str, str]) -> None:
    with pytest.raises(BadInput) as refused:
        make(drawer, text, **options)  # type: ignore[arg-type]
    assert len(str(refused.value)) < 400


def test_a_tolerance_and_ratings_may_stand_with_the_value(drawer: Workshop) -> None:
    answer = make(drawer, "5k 10% 2W")
    assert (answer.tolerance_percent, answer.watts, answer.wanted) == (10, 2, "5 kΩ")
    assert make(drawer, "5k", tolerance="0,5 %").tolerance_percent == 0.5
