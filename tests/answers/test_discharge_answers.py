"""Banks of capacitors in words and figures; those of the demo by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.actions import banks as actions
from buildbook.actions import boards, tree
from buildbook.actions.banks import NewBank
from buildbook.actions.workshop import Workshop
from buildbook.answers.checks import checks
from buildbook.answers.discharge import BankRow, banks, discharge, figures, time_said
from buildbook.errors import BadInput
from buildbook.reckon.banks import Piece, discharge_of


def of_demo(shop: Workshop, bank: str) -> BankRow:
    """One bank of the demo."""
    return next(row for row in banks(shop) if row.bank == bank)


def test_a_workshop_without_banks_says_so_and_who_decides(shop: Workshop) -> None:
    said = discharge(shop).sentence
    assert said.startswith("No bank of capacitors has been written down yet.")
    assert said.endswith("measure before a hand goes in. Local codes and licensed practice decide.")


def test_the_ht_bank_of_the_demo_by_hand(demo_to_read: Workshop) -> None:
    row = of_demo(demo_to_read, "CURLEW/HT/HT")
    farads, ohms = 33e-6 + 47e-6 + 22e-6, 2 * 47e3
    assert row.seconds == pytest.approx(ohms * farads * math.log(300 / 60))
    assert row.joules == pytest.approx(farads * 300**2 / 2)
    assert row.first_watts == pytest.approx(300**2 / ohms)
    assert (row.state, row.word) == ("bled", "60 V in 16 s")
    assert [one.longer for one in row.limits] == [True, True, True]


def test_the_mains_filter_of_the_demo_is_quicker_than_the_published_times(demo_to_read: Workshop) -> None:
    row = of_demo(demo_to_read, "CURLEW/MAINS/XCAP")
    assert row.seconds == pytest.approx(940e3 * 0.1e-6 * math.log(325 / 60))
    assert [(one.source, one.longer) for one in row.limits][:2] == [("IEC 60204-1", False), ("IEC 60204-1", False)]


def test_without_a_bleeder_the_energy_stays(demo_to_read: Workshop) -> None:
    row = of_demo(demo_to_read, "CURLEW/IF/IFHT")
    assert (row.state, row.seconds) == ("no bleeder", None)
    assert row.without == (
        "Without one: 0.694 J stay; a film capacitor may hold them for days. Discharge by a resistor stick of 10 kΩ "
        "and at least 6.25 W for 250 V, and measure."
    )
    assert all(one.longer for one in row.limits)


def test_what_is_not_above_the_voltage_needs_no_time(demo_to_read: Workshop) -> None:
    row = of_demo(demo_to_read, "LINNET/RECT/POS")
    assert (row.state, row.word, row.without) == ("low", "not above 60 V", "")


def test_what_is_not_known_is_named_and_counted_never_nought(demo: Workshop) -> None:
    actions.change_bank(demo, "CURLEW/HT/HT", capacitors="C1 C2 C99 R3", bleeder="R1 R77")
    row = of_demo(demo, "CURLEW/HT/HT")
    assert row.state == "unknown"
    assert row.farads == pytest.approx(80e-6)
    assert row.seconds is None
    assert row.unknown[0] == "C99 is not on the parts list"
    assert row.unknown[1].startswith("R3 is no capacitor")
    assert row.unknown[2] == "R77 is not on the parts list"
    assert "at least 80 µF at 300 V hold at least 3.6 J" in row.said
    assert "how fast they discharge is not known" in row.said
    assert "3 parts of them not known" in discharge(demo).sentence


def test_a_capacitor_of_an_answer_that_is_not_chosen_is_not_known(demo: Workshop) -> None:
    actions.add_bank(demo, "CURLEW/HT", NewBank("SNUB", "300 V", "C8 C9", "R3"))
    chosen = demo.reads.execute(
        "SELECT o.chosen FROM choice_option AS o JOIN choice AS c ON c.id = o.choice_id "
        "WHERE c.code = 'RECT' AND o.code = 'SI'"
    ).fetchone()[0]
    row = of_demo(demo, "CURLEW/HT/SNUB")
    if chosen:
        assert row.unknown == ()
    else:
        assert row.state == "unknown"
        assert row.said.startswith("what it holds is not known: C8 is left out of the design as it is chosen")


def test_the_place_tells_of_them(demo_to_read: Workshop) -> None:
    answer = checks(demo_to_read, "CURLEW")
    assert "6 banks of capacitors: 2 without a bleeder" in answer.sentence
    assert {row.project for row in answer.banks} == {"CURLEW"}


def test_times_are_rounded_up() -> None:
    assert [time_said(one) for one in (0.1501, 4.21, 10.1, 121)] == ["0.16 s", "4.3 s", "11 s", "3 min"]
    assert figures(0.000102, "F") == "102 µF"


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(1e-9, 1e-2), min_size=1, max_size=5),
    st.lists(st.floats(1, 1e7), min_size=1, max_size=4),
    st.floats(61, 2000),
    st.floats(1e-9, 1e-2),
)
def test_another_capacitor_takes_longer_and_holds_more(
    farads: list[float], ohms: list[float], volts: float, more: float
) -> None:
    bleeder = [Piece(f"R{at}", one) for at, one in enumerate(ohms, 1)]
    some = [Piece(f"C{at}", one) for at, one in enumerate(farads, 1)]
    less, then = (discharge_of(one, bleeder, volts, 60) for one in (some, [*some, Piece("C99", more)]))
    assert less.seconds is not None
    assert then.seconds is not None
    assert then.seconds > less.seconds > 0
    assert then.joules > less.joules
    unknown = discharge_of([*some, Piece("C99", None, "not known")], bleeder, volts, 60)
    assert unknown.seconds == less.seconds
    assert unknown.state in ("unknown", "slow")


# --- written down ----------------------------------------------------------------------------------------------------


@pytest.fixture
def board(shop: Workshop) -> Workshop:
    """A board without anything on it."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "HT")
    return shop


def test_a_bank_is_written_down_changed_and_taken_away(board: Workshop) -> None:
    assert actions.add_bank(board, "CURLEW/HT", NewBank("ht", "0.35 kV", "c1,c2", "R1")) == "CURLEW/HT/HT"
    row = banks(board)[0]
    assert (row.volts_uv, row.safe_uv, [one.ref for one in row.capacitors]) == (350_000_000, 60_000_000, ["C1", "C2"])
    actions.change_bank(board, "HT/HT", bleeder="-", safe="50 V", name="reservoir")
    row = banks(board)[0]
    assert (row.state, row.safe_uv, row.name) == ("no bleeder", 50_000_000, "reservoir")
    actions.drop_bank(board, "HT")
    assert banks(board) == ()


@pytest.mark.parametrize(
    "new",
    [NewBank("A", "0 V", "C1"), NewBank("A", "-5", "C1"), NewBank("A", "350 V", ""), NewBank("A", "350 A", "C1")],
)
def test_what_is_no_bank_is_refused(board: Workshop, new: NewBank) -> None:
    with pytest.raises(BadInput):
        actions.add_bank(board, "CURLEW/HT", new)
    assert banks(board) == ()


def test_two_banks_of_one_code_are_refused_and_an_unknown_one(board: Workshop) -> None:
    actions.add_bank(board, "CURLEW/HT", NewBank("HT", "350 V", "C1"))
    with pytest.raises(BadInput, match="one of that code already"):
        actions.add_bank(board, "CURLEW/HT", NewBank("HT", "350 V", "C1"))
    with pytest.raises(BadInput, match="There is no bank LT"):
        actions.drop_bank(board, "LT")


def test_an_assembly_that_goes_takes_its_banks_along(board: Workshop) -> None:
    actions.add_bank(board, "CURLEW/HT", NewBank("HT", "350 V", "C1"))
    tree.drop_assembly(board, "CURLEW/HT")
    assert banks(board) == ()
