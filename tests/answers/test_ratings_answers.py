"""Parts against their ratings in words and figures; those of the demo by hand."""

from __future__ import annotations

import pytest

from buildbook.actions import boards, checks, lists, ratings, stores
from buildbook.actions.workshop import Workshop, set_setting
from buildbook.answers.checks import checks as all_checks
from buildbook.answers.ratings import RatingLine
from buildbook.answers.ratings import ratings as weighed
from buildbook.errors import BadInput


@pytest.fixture
def supply_board(shop: Workshop) -> Workshop:
    """A board with a smoothing capacitor, a bleeder, a mains capacitor and a rectifier that comes with an answer."""
    boards.new_project(shop, "CURLEW")
    boards.new_assembly(shop, "CURLEW", "HT", "HT board")
    checks.ask(shop, "CURLEW", "RECT", "Which rectifier?", {"VALVE": "", "SI": ""})
    for key, kind, value, name in (
        ("C-33U", "capacitor", "33u 450V", "Capacitor, electrolytic"),
        ("R-100K", "resistor", "100k 3W", ""),
        ("C-X2", "capacitor", "100n 275VAC X2", ""),
        ("D-1N4004", "diode", "1N4004", ""),
        ("R-LINK", "resistor", "0R", ""),
    ):
        stores.new_part(shop, key, kind=kind, value=value, name=name)
    lists.add_line(shop, "HT", "C-33U", refs="C1")
    lists.add_line(shop, "HT", "R-100K", refs="R1")
    lists.add_line(shop, "HT", "C-X2", refs="C2")
    lists.add_line(shop, "HT", "D-1N4004", refs="D1,D2", option="RECT:SI")
    lists.add_line(shop, "HT", "R-LINK", refs="R2")
    return shop


def of(shop: Workshop, refs: str) -> RatingLine:
    """The line of these designators."""
    return next(row for row in weighed(shop, everything=True).rows if row.refs == refs)


def test_a_workshop_without_parts_lists_says_so(shop: Workshop) -> None:
    answer = weighed(shop)
    assert answer.sentence == "No resistor, capacitor or diode stands in a parts list yet."
    assert (answer.rows, answer.boards) == ((), ())


def test_what_is_not_stated_is_counted_and_not_taken_for_nought(supply_board: Workshop) -> None:
    answer = weighed(supply_board)
    assert answer.sentence == "Of 3 lines, none says what its parts bear."
    assert [(one.not_stated, one.fits) for one in answer.boards] == [(3, 0)]
    # A link of no ohms bears nothing worth stating.
    assert [row.refs for row in weighed(supply_board, everything=True).rows] == ["C1", "R1", "C2", "D1, D2"]
    row = of(supply_board, "C1")
    assert (row.state, row.percent, row.said) == ("not stated", None, "what it bears is not stated")
    assert "ratings" not in all_checks(supply_board).sentence


def test_an_electrolytic_of_450_volts_at_345(supply_board: Workshop) -> None:
    # A reliability centre's derating table: 80 % benign, 70 % severe.
    ratings.state_bears(supply_board, "HT/C1", ["345V"])
    assert of(supply_board, "C1").said == "345 V DC of 450 V DC, 77 %: fits"
    set_setting(supply_board, "derating_electrolytic", "70 %")
    row = of(supply_board, "C1")
    assert (row.state, row.percent) == ("too tight", 77)
    assert row.said == "345 V DC of 450 V DC, 77 %: too tight, wants 493 V DC where 70 % is used at most"
    assert "Such a voltage can kill" in row.caution


def test_a_bleeder_by_its_voltage(supply_board: Workshop) -> None:
    # Computed: 450 V squared over 100 kilohm is 2.025 W, which wants 4.05 W at half the rating.
    ratings.state_bears(supply_board, "HT/R1", ["450V"])
    row = of(supply_board, "R1")
    assert row.state == "too tight"
    assert row.said.startswith("2.02 W of 3 W, 68 %: too tight, wants 4.05 W where 50 % is used at most; ")
    assert row.said.endswith("; its own highest voltage is not stated")
    assert row.weighed[0].how.startswith("(450 V DC)² / 100 kΩ = 2.02 W; ")
    ratings.state_rated(supply_board, "R-100K", ["5W", "350V"])
    row = of(supply_board, "R1")
    assert row.state == "too little"
    assert row.said.startswith("450 V DC of 350 V DC, 129 %: too little, wants 450 V DC; 2.02 W of 5 W, 41 %: fits")


def test_a_row_of_its_own_goes_before_the_value(supply_board: Workshop) -> None:
    ratings.state_bears(supply_board, "HT/C1", ["300V"])
    assert of(supply_board, "C1").made_for == ("450 V DC",)
    ratings.state_rated(supply_board, "C-33U", ["350V"])
    assert (of(supply_board, "C1").made_for, of(supply_board, "C1").state) == (("350 V DC",), "too tight")


def test_direct_volts_say_nothing_of_an_ac_rating(supply_board: Workshop) -> None:
    ratings.state_bears(supply_board, "HT/C2", ["230 V AC"])
    assert of(supply_board, "C2").said == "230 V AC of 275 V AC, 84 %: fits"
    ratings.state_bears(supply_board, "HT/C2", ["100V DC"])
    row = of(supply_board, "C2")
    assert (row.state, row.weighed[0].rating_micro) == ("not known", None)
    assert row.said.startswith("100 V DC: what it is made for is not stated; 230 V AC of 275 V AC")


def test_an_answer_that_is_not_chosen_is_named_but_not_counted(supply_board: Workshop) -> None:
    ratings.state_rated(supply_board, "D-1N4004", ["400V"])
    ratings.state_bears(supply_board, "HT/D1", ["300V"])
    ratings.state_bears(supply_board, "HT/C1", ["300V"])
    answer = weighed(supply_board)
    assert answer.sentence == ("Parts against their ratings: 1 fit, 2 not stated, HT D1, D2 too tight with RECT:SI.")
    assert [(row.refs, row.counts) for row in answer.rows] == [("D1, D2", False), ("C1", True)]
    checks.settle(supply_board, "CURLEW", "RECT", "SI", "In the drawer.")
    assert weighed(supply_board).sentence == "Parts against their ratings: 1 too tight, 1 fit, 2 not stated."
    assert "; parts against their ratings: 1 too tight, 1 fit, 2 not stated" in all_checks(supply_board).sentence
    assert [row.state for row in all_checks(supply_board).ratings] == ["too tight", "fits"]


def test_only_what_is_asked_about_is_weighed(supply_board: Workshop) -> None:
    boards.new_project(supply_board, "WREN")
    lists.add_line(supply_board, "WREN", "R-100K", refs="R9")
    ratings.state_bears(supply_board, "HT/C1", ["300V"])
    ratings.state_bears(supply_board, "WREN/R9", ["9V"])
    assert [row.refs for row in weighed(supply_board, "WREN").rows] == ["R9"]
    assert [row.refs for row in weighed(supply_board, assembly="HT").rows] == ["C1"]
    assert [one.assembly for one in weighed(supply_board).boards] == ["CURLEW/HT", "WREN"]
    assert weighed(supply_board, "WREN", assembly="CURLEW/HT", everything=True).rows == ()
    with pytest.raises(BadInput):
        weighed(supply_board, assembly="NOWHERE")


def test_the_boards_count_each_line_once(demo_to_read: Workshop) -> None:
    answer = weighed(demo_to_read, everything=True)
    for board in answer.boards:
        own = [row.state for row in answer.rows if row.assembly == board.assembly and row.counts]
        counts = (board.too_little, board.too_tight, board.not_known, board.fits, board.not_stated)
        states = ("too little", "too tight", "not known", "fits", "not stated")
        assert counts == tuple(own.count(state) for state in states), board.assembly


def test_the_demo_by_hand(demo_to_read: Workshop) -> None:
    rows = {f"{row.assembly.partition('/')[2]} {row.refs}": row for row in weighed(demo_to_read, "CURLEW").rows}
    assert rows["HT C1"].percent == 67  # 300 / 450
    assert rows["IF C9"].said == "330 V DC of 400 V DC, 83 %: too tight, wants 413 V DC where 80 % is used at most"
    assert rows["HT R4"].weighed[0].load_micro == round(0.0115**2 * 4700 * 1e6)
    assert rows["AUDIO R8"].weighed[0].load_micro == round(14**2 / 680 * 1e6)
    assert (rows["HT D1, D2"].counts, rows["HT D1, D2"].state) == (False, "fits")
    assert rows["HT C4, C5"].state == "not known"
    assert rows["MAINS C1"].said == "230 V AC of 275 V AC, 84 %: fits"
