"""Price lists in: breaks in columns and in rows, packs, minimums, dates, currencies, and whose order code it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.actions import buying, offers, stores, terms
from buildbook.actions.offers import OfferRow
from buildbook.actions.workshop import Workshop, undo
from buildbook.answers.price_history import price_history
from buildbook.errors import BadInput
from buildbook.exchange.buying import PreparedOffers, apply_offers, prepare_offers
from buildbook.exchange.gathering import Asked


@pytest.fixture
def quayside(shop: Workshop) -> Workshop:
    """Three parts, and two suppliers."""
    stores.new_part(shop, "R-10K", kind="resistor", value="10k 1% 0.6W", maker_number="MF0207-10K")
    stores.new_part(shop, "V-EF89", kind="valve", name="EF89", maker_number="EF89")
    stores.new_part(shop, "W-RED", kind="wire", name="Red wire", unit="mm")
    buying.new_supplier(shop, "QUAYSIDE", "Quayside Spares")
    buying.new_supplier(shop, "MILLLANE", "Mill Lane Surplus")
    return shop


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return tmp_path / "quayside.csv"


def plan_of(
    shop: Workshop, path: Path, text: str, supplier: str = "QUAYSIDE", *, new_parts: bool = False
) -> PreparedOffers:
    path.write_text(text, encoding="utf-8")
    return prepare_offers(shop, path, supplier, Asked(new_parts=new_parts))


def faults(prepared: PreparedOffers) -> list[str]:
    return [str(fault) for fault in prepared.plan.faults]


def test_breaks_stand_in_columns(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(
        quayside,
        listed,
        "Order code,MPN,Pack,MOQ,1+,10+,Price @ 100,Lead time,Valid until,Notes\n"
        "Q2000,MF0207-10K,10,20,0.05,0.04,,3-5 days,2027-06-30,film\n",
    )
    (offer,) = prepared.offers
    assert offer == OfferRow(
        "QUAYSIDE", "R-10K", "Q2000", ((1, 50_000), (10, 40_000)), 1, 10, 20, 5, "2027-06-30", "film"
    )
    assert prepared.plan.changes == ("QUAYSIDE Q2000, R-10K: 0.05 from 1, 0.04 from 10",)
    assert apply_offers(quayside, prepared) == "Took in quayside.csv: 1 new offer, 0 changed, 0 the same, no new parts."
    again = plan_of(quayside, listed, listed.read_text())
    assert apply_offers(quayside, again) == "Took in quayside.csv: no new offers, 0 changed, 1 the same, no new parts."


def test_breaks_stand_in_rows(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(
        quayside,
        listed,
        "Stock no;Item;From;Price each\nML/1;EF89;5+;5,20\nML/1;EF89;1;5,98\nML/2;EF89;1;6,00\n",
    )
    assert [(offer.order_code, offer.breaks) for offer in prepared.offers] == [
        ("ML/1", ((1, 5_980_000), (5, 5_200_000))),
        ("ML/2", ((1, 6_000_000),)),
    ]
    twice = plan_of(quayside, listed, "Stock no,Item,From,Price\nML/1,EF89,1,5\nML/1,EF89,1,6\n")
    assert faults(twice) == ["row 3, Stock no: QUAYSIDE ML/1 has a price for that quantity in an earlier row."]
    packs = plan_of(quayside, listed, "Stock no,Item,From,Price,Pack\nML/1,EF89,1,5,1\nML/1,EF89,5,4,2\n")
    assert faults(packs) == ["row 3, Stock no: QUAYSIDE ML/1 has another pack, minimum or date in an earlier row."]


@pytest.mark.parametrize(
    ("headings", "row", "per_qty", "breaks"),
    [
        ("Price", "0.42 / m", 1000, ((1, 420_000),)),
        ("Price,Price per", "0.42,m", 1000, ((1, 420_000),)),
        ("Price / m", "0.42", 1000, ((1, 420_000),)),
        ("1+,10+,Per", "0.42,0.40,1 m", 1000, ((1, 420_000), (10_000, 400_000))),
        ("From,Price,Per", "25 m,0.40,m", 1000, ((25_000, 400_000),)),
        ("Price,Per,Pack", "21,reel,100 m", 100_000, ((1, 21_000_000),)),
    ],
)
def test_wire_is_priced_by_the_metre(
    quayside: Workshop, listed: Path, headings: str, row: str, per_qty: int, breaks: tuple[tuple[int, int], ...]
) -> None:
    prepared = plan_of(quayside, listed, f"Description,{headings}\nRed wire,{row}\n")
    assert faults(prepared) == []
    assert (prepared.offers[0].per_qty, prepared.offers[0].breaks) == (per_qty, breaks)


def test_a_price_for_a_pack_or_a_hundred(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(quayside, listed, "Code,MPN,Pack of,Price,Price per\n,MF0207-10K,50,2.00,pack\n")
    assert (prepared.offers[0].pack_qty, prepared.offers[0].per_qty) == (50, 50)
    assert plan_of(quayside, listed, "MPN,Price per 100\nMF0207-10K,3.10\n").offers[0].per_qty == 100


def test_what_has_no_price_is_left_out(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(quayside, listed, "MPN,1+,10+\nEF89,on request,-\nMF0207-10K,0.05,POA\n")
    assert [row.what for row in prepared.plan.rows] == ["no price, left out", "R-10K by number"]
    assert [offer.breaks for offer in prepared.offers] == [((1, 50_000),)]


def test_an_expired_offer_is_kept(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(quayside, listed, "MPN,Price,Expires\nEF89,5,2001-03-31\nMF0207-10K,1,30.6.2027\n")
    apply_offers(quayside, prepared)
    kept = quayside.reads.execute("SELECT valid_until FROM offer ORDER BY id").fetchall()
    assert kept == [("2001-03-31",), ("2027-06-30",)]


@pytest.mark.parametrize(
    ("headings", "row", "said"),
    [
        (
            "Currency",
            "doubloons",
            "Currency: “doubloons” is no currency that is known here; give its code, such as GBP.",
        ),
        ("Multiples", "0", "Multiples: It must be one or more."),
        ("Preferred", "perhaps", "Preferred: “perhaps” is neither preferred nor banned."),
        ("In stock", "3 or so", "In stock: “or so” in “3 or so” is not a unit of quantity."),
        ("Pack", "0", "Pack: It must be one or more."),
        ("MOQ", "-1", "MOQ: “-1” is less than nothing."),
        ("Lead time", "soon", "Lead time: “soon” is no number of days."),
        ("Valid until", "2027-02-30", "Valid until: “2027-02-30” is no day such as 2027-03-14."),
        ("Valid until", "03/04/2027", "Valid until: “03/04/2027” is no day such as 2027-03-14."),
        ("Price per", "bucket", "Price per: “bucket” is not a number."),
    ],
)
def test_what_cannot_be_is_refused_with_row_and_column(
    quayside: Workshop, listed: Path, headings: str, row: str, said: str
) -> None:
    prepared = plan_of(quayside, listed, f"MPN,Price,{headings}\nEF89,5,\nEF89,5,{row}\n")
    assert f"row 3, {said}" in faults(prepared)
    with pytest.raises(BadInput):
        apply_offers(quayside, prepared)
    assert quayside.reads.execute("SELECT count(*) FROM offer").fetchone() == (0,)


@pytest.mark.parametrize(("stated", "understood"), [("EUR", True), ("€", True), ("eur", True), ("£", False)])
def test_the_currency_of_the_workshop_may_be_named(
    quayside: Workshop, listed: Path, stated: str, understood: bool
) -> None:
    prepared = plan_of(quayside, listed, f"MPN,Price,Currency\nEF89,5,{stated}\n")
    assert (not prepared.plan.faults) == understood


def test_one_suppliers_code_is_not_anothers(quayside: Workshop, listed: Path) -> None:
    apply_offers(quayside, plan_of(quayside, listed, "Order code,MPN,Price\n1001,EF89,5\n"))
    text = "Order code,Description,Price\n1001,Resistor 10k 1% 0.6W,0.05\n"
    ours = plan_of(quayside, listed, text)
    assert [row.what for row in ours.plan.rows] == ["V-EF89 by number"]
    theirs = plan_of(quayside, listed, text, "milllane")
    assert [row.what for row in theirs.plan.rows] == ["R-10K by value"]


def test_a_list_may_name_the_suppliers_itself(quayside: Workshop, listed: Path) -> None:
    text = "Supplier,MPN,Price\nQuayside,EF89,5\nMillLane,EF89,4\n"
    prepared = plan_of(quayside, listed, text, "")
    apply_offers(quayside, prepared)
    assert quayside.reads.execute("SELECT count(DISTINCT supplier_id) FROM offer").fetchone() == (2,)
    nameless = plan_of(quayside, listed, "MPN,Price\nEF89,5\n", "")
    assert faults(nameless) == ["row 2, supplier: It names no supplier (--supplier names one for the whole list)."]


def test_offers_may_make_parts_but_not_beside_near_ones(quayside: Workshop, listed: Path) -> None:
    text = "Order code,MPN,Description,Price\nQ1,LM317T,Regulator,0.80\nQ2,,Resistor 10k 1% 2W,0.30\n"
    prepared = plan_of(quayside, listed, text, new_parts=True)
    assert [part.key for part in prepared.plan.new_parts] == ["LM317T"]
    assert [question.in_words for question in prepared.plan.questions] == ["R-10K (rated 0.6 W, 2 W wanted)"]


def kept(shop: Workshop, columns: str) -> list[tuple[object, ...]]:
    """What stands in the offers."""
    return shop.reads.execute(f"SELECT {columns} FROM offer ORDER BY order_code").fetchall()


def test_all_that_is_said_of_an_offer_is_read(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(
        quayside,
        listed,
        "Order code,Manufacturer part no,Price,Currency,Order multiple,In stock,Standing\n"
        "Q1,EF89,5,gbp,5,500+,preferred\nQ2,MF0207-10K,0.05,,,sold out,banned\n",
    )
    assert prepared.plan.changes[0] == "QUAYSIDE Q1, V-EF89: 5.00 from 1 GBP"
    apply_offers(quayside, prepared)
    assert kept(quayside, "currency, multiple_qty, seen_qty, standing") == [
        ("GBP", 5, 500, "preferred"),
        ("", None, 0, "banned"),
    ]
    assert all(day for (day,) in kept(quayside, "seen_on"))


def test_a_supplier_paid_in_pounds_needs_no_column_for_it(quayside: Workshop, listed: Path) -> None:
    terms.set_terms(quayside, "QUAYSIDE", currency="GBP")
    for heading in ("Price", "Price (GBP)", "Price £"):
        (offer,) = plan_of(quayside, listed, f"MPN,{heading}\nEF89,5\n").offers
        assert (offer.currency, offer.breaks) == ("", ((1, 5_000_000),))
    (dollars,) = plan_of(quayside, listed, "MPN,Price (USD)\nEF89,5\n").offers
    assert dollars.currency == "USD"
    with pytest.raises(BadInput, match="several currencies"):
        plan_of(quayside, listed, "MPN,1+ (USD),10+ (GBP)\nEF89,5,4\n")


def test_what_a_list_does_not_speak_of_stays(quayside: Workshop, listed: Path) -> None:
    offers.set_offer(
        quayside, "QUAYSIDE", "V-EF89", "Q1", breaks=((1, 9),), standing="banned", multiple_qty=5, seen_qty=3
    )
    apply_offers(quayside, plan_of(quayside, listed, "Order code,MPN,Price\nQ1,EF89,5\n"))
    assert kept(quayside, "standing, multiple_qty, seen_qty") == [("banned", 5, 3)]
    apply_offers(quayside, plan_of(quayside, listed, "Order code,MPN,Price,Standing\nQ1,EF89,5,\n"))
    assert kept(quayside, "standing, multiple_qty, seen_qty") == [("", 5, 3)]


def test_breaks_that_do_not_fall_are_told(quayside: Workshop, listed: Path) -> None:
    prepared = plan_of(quayside, listed, "Order code,MPN,1+,10+\nQ1,EF89,5,5\nQ2,MF0207-10K,0.05,0.04\n")
    assert prepared.plan.changes[0].endswith("; the price does not fall for more")
    assert apply_offers(quayside, prepared).endswith("; the price of 1 offer does not fall for more.")


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_whole_list_retires_what_it_lacks(quayside: Workshop, tmp_path: Path, ending: str) -> None:
    offers.set_offer(quayside, "QUAYSIDE", "R-10K", "Q9", breaks=((1, 70_000),))
    offers.set_offer(quayside, "MILLLANE", "R-10K", "M9", breaks=((1, 80_000),))
    path = tmp_path / f"all.{ending}"
    rows = [("Order code", "MPN", "Price"), ("Q1", "EF89", "5")]
    if ending == "csv":
        path.write_text("\n".join(map(",".join, rows)), encoding="utf-8")
    else:
        openpyxl = pytest.importorskip("openpyxl")
        book = openpyxl.Workbook()
        for row in rows:
            book.active.append(row)
        book.save(path)
    prepared = prepare_offers(quayside, path, "quayside", whole=True)
    assert prepared.plan.changes[-1] == "QUAYSIDE Q9, R-10K: not in the list"
    assert ", 1 offer taken away." in apply_offers(quayside, prepared)
    assert kept(quayside, "order_code") == [("M9",), ("Q1",)]
    past = [(row.what, row.price_micros) for row in price_history(quayside, "R-10K").rows]
    assert past == [("asked now", 80_000), ("asked until", 70_000)]
    undo(quayside)
    assert kept(quayside, "order_code") == [("M9",), ("Q9",)]
