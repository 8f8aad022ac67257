"""Stock lists in: bins, counts and prices; what is not counted, what is at fault, and parts that are new."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.actions import stores
from buildbook.actions.workshop import Workshop, undo
from buildbook.errors import BadInput
from buildbook.exchange.gathering import Asked
from buildbook.exchange.stores import Prepared, apply, prepare

NEW = Asked(new_parts=True)


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    return tmp_path / "drawers.csv"


def plan_of(shop: Workshop, path: Path, text: str, asked: Asked = NEW) -> Prepared:
    path.write_text(text, encoding="utf-8")
    return prepare(shop, path, asked)


def take(shop: Workshop, path: Path, text: str, asked: Asked = NEW) -> str:
    return apply(shop, plan_of(shop, path, text, asked))


def lying(shop: Workshop) -> list[tuple[str, str, int, int]]:
    """Key, bin, quantity and worth in millionths."""
    statement = """
        SELECT p.key, n.name, b.qty, w.value_micros
          FROM balance AS b JOIN part AS p ON p.id = b.part_id JOIN bin AS n ON n.id = b.bin_id
          JOIN worth AS w ON w.part_id = p.id ORDER BY b.part_id, n.name
    """
    return shop.reads.execute(statement).fetchall()


def faults(prepared: Prepared) -> list[str]:
    return [str(fault) for fault in prepared.plan.faults]


def test_a_stock_list_makes_parts_and_bins_and_counts(shop: Workshop, listed: Path) -> None:
    said = take(
        shop,
        listed,
        "Drawer;Part;Kind;Value;Count;Price each;Price per\nA1;R-10K;resistor;10k 1%;43;0,03;\n"
        "A1;C-100N;capacitor;100n;20;8.00;100\nD2;Red wire;wire;;2.5 m;0,42 / m;\n",
    )
    assert said == "Took in drawers.csv: 3 counts, 3 of them not as was thought; 3 new parts, 2 new bins."
    assert lying(shop) == [
        ("R-10K", "A1", 43, 1_290_000),
        ("C-100N", "A1", 20, 1_600_000),
        ("Red wire", "D2", 2500, 1_050_000),
    ]
    assert shop.reads.execute("SELECT kind, value_text, unit FROM part ORDER BY id").fetchall() == [
        ("resistor", "10k 1%", "pc"),
        ("capacitor", "100n", "pc"),
        ("wire", "", "mm"),
    ]


def test_a_second_count_books_what_differs(shop: Workshop, listed: Path) -> None:
    take(shop, listed, "Bin,Part,Qty\nA1,R-10K,43\nA1,R-1M,5\nB1,R-10K,2\n")
    prepared = plan_of(shop, listed, "Bin,Part,Qty\na1,r-10k,40\nA1,R-1M,5\nC1,R-10K,1\nC1,R-10K,2\n")
    assert prepared.plan.changes == ("R-10K in a1: 40, was 43", "R-10K in C1: 3, was 0")
    assert prepared.plan.sentence == "drawers.csv into the stores: 4 rows, 4 counts in 2 bins, 2 not as thought."
    apply(shop, prepared)
    assert [row[:3] for row in lying(shop)] == [
        ("R-10K", "A1", 40),
        ("R-10K", "B1", 2),
        ("R-10K", "C1", 3),
        ("R-1M", "A1", 5),
    ]
    assert undo(shop) == "Take in the stock list drawers.csv"
    assert [row[2] for row in lying(shop)] == [43, 2, 5]


def test_a_blank_count_is_no_count(shop: Workshop, listed: Path) -> None:
    take(shop, listed, "Bin,Part,Qty\nA1,R-10K,43\n")
    prepared = plan_of(shop, listed, "Bin,Part,Qty,Kind\nA1,R-10K,,\n,R-2K2,,resistor\n")
    assert [row.what for row in prepared.plan.rows] == ["R-10K by key, not counted", "new part R-2K2, not counted"]
    apply(shop, prepared)
    assert [row[:3] for row in lying(shop)] == [("R-10K", "A1", 43)]
    take(shop, listed, "Bin,Part,Qty\nA1,R-10K,0\n")
    assert lying(shop) == []


def test_a_key_of_ones_own_is_no_other_part_of_the_same_value(shop: Workshop, listed: Path) -> None:
    text = "Bin,Part,Kind,Value,Qty\nA1,R-4K7,resistor,4k7 1% 0.6W,9\n"
    take(shop, listed, text)
    second = "Bin,Part,Kind,Value,Qty\nA2,R-4K7-CF,resistor,4k7,5\n"
    asked = plan_of(shop, listed, second, Asked()).plan.questions
    assert [(question.asked, question.in_words) for question in asked] == [
        ("R-4K7-CF | 4k7", "R-4K7 (it has another key)")
    ]
    take(shop, listed, second)
    assert [row[:3] for row in lying(shop)] == [("R-4K7", "A1", 9), ("R-4K7-CF", "A2", 5)]


def test_a_note_goes_with_a_new_part(shop: Workshop, listed: Path) -> None:
    take(shop, listed, 'Bin,Part,Qty,Remarks\nA1,V-EZ80,1,"pulled,\ntests 85 %"\n')
    assert shop.reads.execute("SELECT note FROM part").fetchone() == ("pulled,\ntests 85 %",)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (",R-10K,5,,", "Bin: 5 were counted, but no bin is named."),
        ("A1,R-10K,-3,,", "Qty: “-3” is less than nothing."),
        ("A1,R-10K,1.5,,", "Qty: “1.5” is not a whole number of pieces."),
        ("A1,R-10K,a few,,", "Qty: “a few” is not a number."),
        ("A1,R-10K,3,3 for 1,", "Price: “3 for 1” is not one amount of money."),
        ("A1,R-10K,3,$2,", "Price: “$2” is in another currency than EUR."),
        ("A1,W-RED,3 m,0.42,", "Per: The price does not say for how much it is (such as 1 m, 500 g, or pack)."),
        ("A1,W-RED,3 m,0.42,5 kg", "Per: “5 kg” goes by mass, and this is counted by length."),
        ("A1,R-10K,3,1,0", "Per: A price for nothing is no price."),
        ("A1,,3,,", "It names no part."),
        (f"{'A' * 100},R-10K,3,,", "Bin: It is 100 characters long and may have 80 at most."),
    ],
)
def test_what_cannot_be_is_refused_with_row_and_column(shop: Workshop, listed: Path, row: str, said: str) -> None:
    stores.new_part(shop, "R-10K", kind="resistor", value="10k")
    stores.new_part(shop, "W-RED", kind="wire", unit="mm")
    prepared = plan_of(shop, listed, f"Bin,Part,Qty,Price,Per\nA1,R-10K,1,,\n{row}\n")
    assert faults(prepared) == [f"row 3, {said}" if not said.startswith("It names") else f"row 3: {said}"]
    with pytest.raises(BadInput, match=r"Row 3"):
        apply(shop, prepared)
    assert lying(shop) == []


def test_prices_in_another_currency_are_refused_at_once(shop: Workshop, listed: Path) -> None:
    with pytest.raises(BadInput, match=r"Its prices are in USD, and the workshop counts in EUR."):
        plan_of(shop, listed, "Bin,Part,Qty,Price USD\nA1,R-10K,1,2\n")
