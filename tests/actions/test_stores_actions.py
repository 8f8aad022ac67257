"""Parts, bins, counts and receipts; and two parts that turn out to be one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from buildbook.actions import kits, lists, log, merging, offers, stores
from buildbook.actions.incoming import NewPart, Remembered
from buildbook.actions.offers import OfferRow
from buildbook.actions.stores import StockRow, StockTaken, Taken
from buildbook.actions.workshop import Workshop
from buildbook.errors import BadInput, Forbidden
from buildbook.store.checkup import check
from buildbook.store.read.naming import find_part

Dump = Callable[[Workshop], dict[str, list[tuple[Any, ...]]]]
Lying = Callable[[str, str], int]


def worth(shop: Workshop, part: str) -> tuple[int, int, int] | None:
    """All that lies of a part: how many, how many of them without a price, what the others are worth."""
    statement = """
        SELECT w.qty, w.unpriced_qty, w.value_micros FROM worth AS w JOIN part AS p ON p.id = w.part_id WHERE p.key = ?
    """
    row = shop.reads.execute(statement, (part,)).fetchone()
    return None if row is None else (int(row[0]), int(row[1]), int(row[2]))


def part_row(shop: Workshop, key: str) -> tuple[Any, ...]:
    statement = "SELECT kind, name, value_text, value_si, package, maker_number, unit FROM part WHERE key = ?"
    row = shop.reads.execute(statement, (key,)).fetchone()
    assert isinstance(row, tuple)
    return row


# --- parts -----------------------------------------------------------------------------------------------------------


def test_a_part_is_written_down_as_it_is_understood(shop: Workshop) -> None:
    stores.new_part(
        shop, " C-47N ", kind="Capacitors", name="Film  cap", value="47 nF 400V", package="radial", maker_number="X"
    )
    assert part_row(shop, "C-47N") == ("capacitor", "Film cap", "47 nF 400V", 47e-9, "radial", "X", "pc")


def test_a_value_that_can_be_read_two_ways_keeps_its_words_only(shop: Workshop) -> None:
    stores.new_part(shop, "R-X", kind="resistor", value="1m")
    stores.new_part(shop, "V-1", kind="valve", value="6.3V")
    assert part_row(shop, "R-X")[2:4] == ("1m", None)
    assert part_row(shop, "V-1")[2:4] == ("6.3V", None)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda shop: stores.new_part(shop, "r-4k7"), "The part r-4k7 was not made."),
        (lambda shop: stores.new_part(shop, " \x1b[0m"), "The part was not made."),
        (lambda shop: stores.new_part(shop, "X" * 81), "The key was not taken."),
        (lambda shop: stores.new_part(shop, "X", kind="zebra"), "“zebra” is no kind of part."),
        (lambda shop: stores.new_part(shop, "X", unit="ft"), "There is no unit “ft”."),
        (lambda shop: stores.change_part(shop, "R-4K7", key="c-100n"), "R-4K7 was not renamed."),
        (lambda shop: stores.new_bin(shop, "a1"), "The bin a1 was not made."),
        (lambda shop: stores.new_bin(shop, " "), "The bin has no name."),
        (lambda shop: stores.move(shop, "R-4K7", "A1", "a1"), "Nothing was moved."),
        (lambda shop: stores.count(shop, "R-4K7", "A1", "lots"), "The quantity was not understood."),
        (lambda shop: stores.receive(shop, "R-4K7", "A1", 0), "A quantity of 0 was not taken."),
        (lambda shop: stores.receive(shop, "R-4K7", "A1", 1, price_micros=-1), "The price was not taken."),
        (lambda shop: stores.forbid_stand_in(shop, "C-100N", "R-4K7"), "R-4K7 is no stand-in for C-100N."),
        (lambda shop: merging.merge(shop, "R-4K7", "r-4k7"), "Nothing was merged."),
    ],
)
def test_what_cannot_be_is_refused(curlew: Workshop, dump: Dump, wrong: Callable[[Workshop], Any], said: str) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput) as refused:
        wrong(curlew)
    assert refused.value.what == said
    assert dump(curlew) == before


def test_a_former_key_stays_as_another_name(curlew: Workshop) -> None:
    assert stores.change_part(curlew, "R-4K7", key="R-4K7-MF", name="Metal film", value="4k99") == "R-4K7-MF"
    assert find_part(curlew, "r-4k7").key == "R-4K7-MF"
    assert part_row(curlew, "R-4K7-MF")[1:4] == ("Metal film", "4k99", 4990.0)
    with pytest.raises(BadInput, match=r"The part R-4K7 was not made. A part has that name already."):
        stores.new_part(curlew, "R-4K7")
    stores.change_part(curlew, "R-4K7-MF", key="r-4K7")
    assert find_part(curlew, "R-4K7-MF").key == "r-4K7"


def test_a_unit_changes_only_before_anything_was_counted(curlew: Workshop) -> None:
    stores.change_part(curlew, "IFT-455", unit="mg")
    assert part_row(curlew, "IFT-455")[-1] == "mg"
    with pytest.raises(Forbidden, match=r"The unit of R-4K7 was not changed. It has been counted in pc."):
        stores.change_part(curlew, "R-4K7", unit="mm")


# --- drawers ---------------------------------------------------------------------------------------------------------


def test_a_count_books_the_difference(curlew: Workshop) -> None:
    assert stores.count(curlew, "r-4k7", "a1", 7) == Taken("R-4K7", "A1", 10, 7)
    assert stores.count(curlew, "WIRE-RED", "B1", "5.5 m") == Taken("WIRE-RED", "B1", 5000, 5500)
    rows = curlew.reads.execute("SELECT kind, bin_qty FROM movement ORDER BY id DESC LIMIT 2").fetchall()
    assert rows == [("counted", 500), ("counted", -3)]
    titles = curlew.reads.execute("SELECT title FROM journal_entry ORDER BY id DESC LIMIT 2").fetchall()
    assert titles == [("Count WIRE-RED in B1: 5.5 m",), ("Count R-4K7 in A1: 7",)]


def test_a_count_that_finds_what_was_thought_writes_nothing(curlew: Workshop) -> None:
    before = curlew.reads.execute("SELECT count(*) FROM journal_entry").fetchone()
    assert stores.count(curlew, "R-4K7", "A1", 10) == Taken("R-4K7", "A1", 10, 10)
    assert curlew.reads.execute("SELECT count(*) FROM journal_entry").fetchone() == before


def test_a_receipt_is_worth_what_it_cost(curlew: Workshop) -> None:
    stores.receive(curlew, "IFT-455", "B1", 3, price_micros=10_000_000, per_qty=4)
    assert worth(curlew, "IFT-455") == (3, 0, 7_500_000)


def test_moving_changes_the_place_and_nothing_else(curlew: Workshop, lying: Lying) -> None:
    before = worth(curlew, "R-4K7")
    assert stores.move(curlew, "R-4K7", "A1", "B1", 4) == Taken("R-4K7", "B1", 0, 4)
    assert stores.move(curlew, "R-4K7", "A1", "B1") == Taken("R-4K7", "B1", 4, 10)
    assert (lying("R-4K7", "A1"), lying("R-4K7", "B1"), worth(curlew, "R-4K7")) == (0, 10, before)
    with pytest.raises(Forbidden, match=r"A1 holds no R-4K7."):
        stores.move(curlew, "R-4K7", "A1", "B1")


def test_no_more_is_scrapped_than_lies_there(curlew: Workshop, lying: Lying) -> None:
    assert stores.scrap(curlew, "R-4K7", "A1", 4, note="Rusty") == Taken("R-4K7", "A1", 10, 6)
    with pytest.raises(Forbidden, match=r"A1 holds 6 of R-4K7, 7 are wanted."):
        stores.scrap(curlew, "R-4K7", "A1", 7)
    assert lying("R-4K7", "A1") == 6


def test_a_stock_list_is_a_count_of_the_bins_it_names(curlew: Workshop, lying: Lying) -> None:
    rows = [
        StockRow("R-4K7", "A1", 4),
        StockRow("4k7 met film", "a1", 3, 30_000),
        StockRow("D-SIG", "C9", 100, 1_000_000, 100),
        StockRow("WIRE-RED", "B1", 5000),
    ]
    done = stores.stock_in(
        curlew,
        rows,
        new_parts=[NewPart("D-SIG", "diode")],
        title="Take in drawers.csv",
        remembered=Remembered({"4K7 met film": "R-4K7"}),
    )
    assert done == StockTaken(rows=4, parts=1, bins=1, changed=2)
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2"), lying("D-SIG", "C9")) == (7, 2, 100)
    assert worth(curlew, "D-SIG") == (100, 0, 1_000_000)
    assert find_part(curlew, "4k7 MET film").key == "R-4K7"


def test_a_stock_list_with_an_unknown_part_leaves_nothing_behind(curlew: Workshop, dump: Dump) -> None:
    before = dump(curlew)
    with pytest.raises(BadInput, match=r"There is no part D-SIC. Did you mean D-SIG\?"):
        stores.stock_in(curlew, [StockRow("D-SIC", "C9", 1)], new_parts=[NewPart("D-SIG", "diode")])
    assert dump(curlew) == before


# --- stand-ins -------------------------------------------------------------------------------------------------------


def test_a_stand_in_needs_a_reason_and_another_part_counted_alike(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"A stand-in needs a reason."):
        stores.allow_stand_in(curlew, "C-100N", "R-4K7", " ")
    with pytest.raises(Forbidden, match=r"R-4K7 cannot stand in for itself."):
        stores.allow_stand_in(curlew, "R-4K7", "r-4k7", "Why not")
    with pytest.raises(Forbidden, match=r"One is counted in mm, the other in pc."):
        stores.allow_stand_in(curlew, "R-4K7", "WIRE-RED", "A long one")


def test_stand_ins_are_ranked_and_may_be_ranked_anew(curlew: Workshop) -> None:
    stores.allow_stand_in(curlew, "R-4K7", "C-100N", "No.")
    stores.allow_stand_in(curlew, "R-4K7", "R-4K7-CF", "Last resort.", rank=3)
    rows = curlew.reads.execute("SELECT rank, reason FROM stand_in ORDER BY rank").fetchall()
    assert rows == [(2, "No."), (3, "Last resort.")]
    stores.forbid_stand_in(curlew, "R-4K7", "C-100N")
    assert curlew.reads.execute("SELECT count(*) FROM stand_in").fetchone() == (1,)


# --- merging ---------------------------------------------------------------------------------------------------------


def test_two_parts_become_one_in_all_places(curlew: Workshop, lying: Lying) -> None:
    stores.change_part(curlew, "R-4K7-CF", key="R-CARBON")
    lists.add_line(curlew, "AUDIO", "R-CARBON", refs="R9")
    offers.set_offers(curlew, [OfferRow("QUAYSIDE", "R-CARBON", "Q1", ((1, 10),))])
    log.note(curlew, "Brown body.", part="R-CARBON")
    assert merging.merge(curlew, "R-CARBON", "R-4K7") == "R-4K7"
    assert (lying("R-4K7", "A1"), lying("R-4K7", "A2")) == (10, 6)
    for name in ("R-CARBON", "r-4k7-cf"):
        assert find_part(curlew, name).key == "R-4K7"
    for table in ("line WHERE refs = 'R9'", "offer", "entry"):
        statement = f"SELECT p.key FROM part AS p JOIN (SELECT part_id FROM {table}) AS t ON t.part_id = p.id"
        assert curlew.reads.execute(statement).fetchall() == [("R-4K7",)]
    assert curlew.reads.execute("SELECT count(*) FROM stand_in").fetchone() == (0,)
    assert [proof.faults for proof in check(curlew) if not proof.holds] == []


def test_money_goes_along_with_a_merged_part(curlew: Workshop) -> None:
    # Ten at 0.02, two in A2 that came in without a price (at the average, then), and four of the other without one.
    assert worth(curlew, "R-4K7") == (12, 0, 240_000)
    assert worth(curlew, "R-4K7-CF") == (4, 4, 0)
    merging.merge(curlew, "R-4K7", "R-4K7-CF")
    assert worth(curlew, "R-4K7-CF") == (16, 4, 240_000)


def test_pieces_without_a_price_take_the_average_of_the_part_they_join(curlew: Workshop) -> None:
    merging.merge(curlew, "R-4K7-CF", "R-4K7")
    assert worth(curlew, "R-4K7") == (16, 0, 320_000)


def test_a_pile_partly_priced_is_merged_as_it_is(curlew: Workshop) -> None:
    stores.receive(curlew, "R-4K7-CF", "A1", 2, price_micros=50_000)
    stores.new_part(curlew, "R-BLANK")
    merging.merge(curlew, "R-4K7-CF", "R-BLANK")
    assert worth(curlew, "R-BLANK") == (6, 4, 100_000)


def test_stand_ins_are_merged_without_doubles(curlew: Workshop) -> None:
    stores.new_part(curlew, "R-WW")
    for wanted, alt in (("R-4K7", "R-WW"), ("R-4K7-CF", "R-WW"), ("R-WW", "R-4K7-CF")):
        stores.allow_stand_in(curlew, wanted, alt, "Will do.")
    merging.merge(curlew, "R-4K7-CF", "R-4K7")
    statement = """
        SELECT p.key, a.key FROM stand_in AS s JOIN part AS p ON p.id = s.part_id JOIN part AS a ON a.id = s.alt_id
         ORDER BY 1, 2
    """
    assert curlew.reads.execute(statement).fetchall() == [("R-4K7", "R-WW"), ("R-WW", "R-4K7")]


def test_an_offer_both_parts_have_is_kept_once(curlew: Workshop) -> None:
    for part, price in (("R-4K7", 10), ("R-4K7-CF", 20)):
        offers.set_offers(curlew, [OfferRow("QUAYSIDE", part, "Q1", ((1, price),))])
    merging.merge(curlew, "R-4K7-CF", "R-4K7")
    statement = "SELECT b.price_micros FROM offer AS o JOIN offer_break AS b ON b.offer_id = o.id"
    assert curlew.reads.execute(statement).fetchall() == [(10,)]


def test_what_a_build_has_taken_stays_what_it_is(curlew: Workshop, dump: Dump) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    before = dump(curlew)
    with pytest.raises(Forbidden) as refused:
        merging.merge(curlew, "R-4K7", "R-4K7-CF")
    assert refused.value.why == "CURLEW took some of R-4K7 and keeps it on record."
    assert dump(curlew) == before
    merging.merge(curlew, "R-4K7-CF", "R-4K7")
    assert [proof.faults for proof in check(curlew) if not proof.holds] == []


def test_where_both_have_been_taken_no_other_way_is_offered(curlew: Workshop) -> None:
    kits.kit_assembly(curlew, "CURLEW", "IF")
    lists.add_line(curlew, "IF", "R-4K7-CF", refs="R99")
    kits.kit_assembly(curlew, "CURLEW", "IF")
    for part, into in (("R-4K7", "R-4K7-CF"), ("R-4K7-CF", "R-4K7")):
        with pytest.raises(Forbidden) as refused:
            merging.merge(curlew, part, into)
        assert refused.value.mend == "Undo the kitting and fitting."


def test_parts_counted_differently_are_not_one(curlew: Workshop) -> None:
    with pytest.raises(Forbidden, match=r"WIRE-RED was not merged into R-4K7. One is counted in mm, the other in pc."):
        merging.merge(curlew, "WIRE-RED", "R-4K7")
