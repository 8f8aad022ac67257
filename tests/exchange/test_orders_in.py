"""Order lists in: what `buying export` writes is what an order is placed from, for one supplier at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.actions import boards, buying, lists, stores
from buildbook.actions.buying import OrderLine
from buildbook.actions.offers import OfferRow, set_offers
from buildbook.actions.workshop import Workshop
from buildbook.answers.order_out import plan_out
from buildbook.answers.ordering import to_order
from buildbook.errors import BadInput
from buildbook.exchange.buying import read_order
from buildbook.exchange.orders_out import Written, write_out
from buildbook.trade.order_columns import USUAL


@pytest.fixture
def short(shop: Workshop) -> Workshop:
    """A board that lacks three valves and 600 mm of wire, which two suppliers offer."""
    boards.new_project(shop, "CURLEW", "Curlew receiver")
    stores.new_part(shop, "V-EF89", kind="valve", name="EF89")
    stores.new_part(shop, "W-RED", kind="wire", unit="mm")
    lists.add_line(shop, "CURLEW", "V-EF89", refs="V1-V3")
    lists.add_line(shop, "CURLEW", "W-RED", "600 mm")
    for code in ("QUAYSIDE", "MILLLANE"):
        buying.new_supplier(shop, code, code.title())
    offers = [
        OfferRow("QUAYSIDE", "V-EF89", "=Q1", ((1, 5_980_000), (3, 5_200_000))),
        OfferRow("MILLLANE", "W-RED", "ML/7", ((1, 420_000),), per_qty=1000, pack_qty=1000),
    ]
    set_offers(shop, offers)
    return shop


def write_orders(shop: Workshop, target: Path) -> None:
    """What is to be ordered, with the usual columns."""
    write_out([Written(order.name, USUAL, (order,)) for order in plan_out(to_order(shop))], target)


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_what_is_exported_can_be_ordered(short: Workshop, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"orders.{ending}"
    write_orders(short, path)
    assert read_order(short, path, "quayside") == (OrderLine("V-EF89", 3, 5_200_000, 1, "=Q1"),)
    lines = read_order(short, path, "MILLLANE")
    assert lines == (OrderLine("W-RED", 1000, 420_000, 1000, "ML/7"),)
    buying.place_order(short, "M-1", "MILLLANE", lines)
    assert short.reads.execute("SELECT qty, price_micros, per_qty FROM purchase_line").fetchall() == [
        (1000, 420_000, 1000)
    ]


def test_a_folder_gets_a_file_of_each_kind_for_each_supplier(short: Workshop, tmp_path: Path) -> None:
    write_orders(short, tmp_path)
    names = ["order-MILLLANE.csv", "order-MILLLANE.xlsx", "order-QUAYSIDE.csv", "order-QUAYSIDE.xlsx"]
    assert sorted(path.name for path in tmp_path.glob("order-*")) == names
    with pytest.raises(BadInput, match=r"“order-QUAYSIDE.csv” orders nothing from “MILLLANE”."):
        read_order(short, tmp_path / "order-QUAYSIDE.csv", "MILLLANE")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Part,Qty,Text\nV-EF89,,EF89\n", "Row 2, Qty: “V-EF89 | EF89” has no quantity."),
        ("Part,Qty\nV-EF89,0\n", "Row 2, Qty: It must be one or more."),
        ("Part,Qty,Price\nV-EF89,1,cheap\n", "Row 2, Price: “cheap” is not one amount of money."),
        (
            "Part,Qty,Price,Currency\nV-EF89,1,5.20,GBP\n",
            "Row 2, Currency: The price is in “GBP”, the workshop counts in EUR.",
        ),
        ("Part,Qty\nV-EF98,1\n", "1 description must be settled first, such as “V-EF98” in row 2."),
    ],
)
def test_an_order_that_is_not_clear_is_not_placed(short: Workshop, tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "order.csv"
    path.write_text(text)
    with pytest.raises(BadInput) as refused:
        read_order(short, path, "QUAYSIDE")
    assert refused.value.why == said
