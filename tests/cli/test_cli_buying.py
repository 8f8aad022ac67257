"""Buying on the command line, on a copy of the demo: what is short and why, what to order, what comes."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from buildbook.trade.money import show_money

Say = Callable[..., Result]
pytestmark = pytest.mark.usefixtures("at_demo")


def lines_of(result: Result) -> list[str]:
    return [str(line) for line in result.stdout.splitlines()]


def row_of(result: Result, piece: str) -> str:
    """The line of the output in which a piece of text stands."""
    return next(line for line in lines_of(result) if piece in line)


@pytest.mark.parametrize(
    ("words", "schema"),
    [
        (["buying"], "buildbook.short/1"),
        (["buying", "short", "--of", "HARN"], "buildbook.short/1"),
        (["buying", "short", "--why", "W-RG174"], "buildbook.why/1"),
        (["buying", "plan"], "buildbook.order-plan/1"),
        (["buying", "plan", "--naive"], "buildbook.to-order/1"),
        (["buying", "plan", "--why", "KNOB-45"], "buildbook.why-supplier/1"),
        (["buying", "look", "KNOB-45"], "buildbook.before-buying/1"),
        (["buying", "orders"], "buildbook.orders/1"),
    ],
)
def test_the_sentence_is_first_in_words_and_as_json(say: Say, words: list[str], schema: str) -> None:
    plain = lines_of(say(*words))[0]
    told = json.loads(say(*words, "--json").stdout)
    assert list(told)[:2] == ["sentence", "schema"]
    assert (told["sentence"], told["schema"]) == (plain, schema)


def told(say: Say, *words: str) -> Any:
    """The same answer as figures."""
    return json.loads(say(*words, "--json").stdout)


def test_what_is_short_and_what_covers_the_rest(say: Say) -> None:
    result = say("buying")
    rows = {row["key"]: row for row in told(say, "buying")["rows"]}
    lacking = sum(1 for row in rows.values() if row["short"])
    assert lines_of(result)[0].startswith(f"All builds: {lacking} parts short, 5 on order (last due 2026-12-04), ")
    pillar = rows["SP-M3-10"]
    assert row_of(result, "SP-M3-10 ").endswith(
        f"{pillar['kitted']} kitted, {pillar['spoken_for']} in drawers, {pillar['coming']} coming 2026-12-02"
    )
    assert row_of(result, "W-RG174").endswith("2 m  1.5 m  500 mm in drawers")
    diode = rows["D-1N4004"]
    assert row_of(result, "D-1N4004").endswith(f"{diode['spoken_for']} in drawers, {diode['stood_in']} by stand-ins")
    assert len(lines_of(result)) == 3 + len(rows)
    assert lines_of(say("buying", "--build", "WREN"))[0] == "WREN: 1 part short."
    assert lines_of(say("buying", "short", "--build", "LINNET", "--of", "REG"))[0].startswith(
        "LINNET/REG: 1 part short"
    )


def test_why_a_part_is_short_term_by_term(say: Say) -> None:
    assert lines_of(say("buying", "short", "--why", "W-RG174")) == [
        "W-RG174: 2 m needed, 500 mm of 500 mm on hand; 1.5 m short.",
        "",
        "CURLEW/HARN W8: 1 x 1.1 m = 1.1 m, 500 mm from the drawers: 600 mm short.",
        "WREN/PROBE W1: 1 x 900 mm = 900 mm: 900 mm short.",
    ]
    shared = say("buying", "short", "--why", "F-400MA-T", "--build", "LINNET")
    assert "LINNET/MAINS F1: 1 x 1 = 1, 1 kitted." in lines_of(shared)
    foreign = say("buying", "short", "--why", "XF-5X20-PCB")
    assert "CURLEW/FUSE XF1 for LINNET: 1 x 1 = 1, 1 from the drawers." in lines_of(foreign)
    remarks = say("buying", "short", "--why", "T-IFT-455")
    assert lines_of(remarks)[-1] == "Order TW-2611 from TERN brings 2, due 2026-12-04."


def test_the_plan_is_laid_out_by_supplier_with_sums(say: Say) -> None:
    result = say("buying", "plan")
    plan = told(say, "buying", "plan")
    suppliers = sorted({row["supplier"] for row in plan["rows"]})
    assert lines_of(result)[0].startswith(
        f"{len(plan['rows'])} parts from {len(suppliers)} suppliers for {show_money(plan['total_micros'], 'EUR')} EUR"
    )
    names = {row["supplier"]: row["supplier_name"] for row in plan["rows"]}
    for supplier in suppliers:
        amount = sum(row["amount_micros"] for row in plan["rows"] if row["supplier"] == supplier)
        (bill,) = (bill for bill in plan["bills"] if bill["supplier"] == supplier)
        assert bill["goods_micros"] == amount
        title = f"{supplier}, {names[supplier]}: {show_money(bill['total_micros'], 'EUR')} EUR"
        assert any(line.startswith(title) for line in lines_of(result))
    row = row_of(result, "W-RG174")
    assert row.split()[1:6] == ["W-RG174", "1.5", "m", "5", "m"]
    assert row.endswith("CURLEW/HARN W8; WREN/PROBE W1")
    assert lines_of(say("buying", "plan", "--build", "LINNET"))[0].startswith("1 part from 1 supplier for ")


def test_an_order_from_the_plan_to_the_bin(say: Say) -> None:
    assert say("buying", "place", "ML-7", "milllane", "--due", "2026-12-11").stdout == (
        "Placed order ML-7 with MILLLANE: 3 parts.\n"
    )
    assert "8 on order (last due 2026-12-11)" in lines_of(say("buying"))[0]
    assert say("buying", "receive", "ML-7", "KNOB-45=1", "--bin", "J07").stdout == (
        "Received 1 part of order ML-7; the rest is still coming.\n"
    )
    too_many = say("buying", "receive", "ML-7", "BEZEL-EM84=2", "--bin", "J07", code=3)
    assert too_many.stderr.startswith("Order ML-7 was not received. 1 more of BEZEL-EM84 came than are to come.")
    assert say("buying", "receive", "ML-7", "--bin", "J07").stdout == (
        "Received 2 parts of order ML-7; nothing is open any more.\n"
    )
    assert say("buying", "receive", "ML-7", code=3).stderr.startswith("Order ML-7 was not received. It is received")
    assert lines_of(say("buying", "orders"))[0] == "2 orders under way, the next due 2026-12-02; 1 draft; 2 closed."
    assert lines_of(say("boards", "show", "PANEL"))[0].startswith("CURLEW/PANEL, Dial panel: can be kitted")
    for _ in range(2):
        say("workshop", "undo")
    assert lines_of(say("buying", "orders"))[0] == "3 orders under way, the next due 2026-12-02; 1 draft; 1 closed."
    for _ in range(2):
        say("workshop", "redo")
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


def test_a_part_named_twice_is_not_received_once(say: Say) -> None:
    for again in ("SC-M4X8=5", "sc-m4x8=7"):
        refused = say("buying", "receive", "PF-0419", "SC-M4X8=5", again, code=2)
        assert refused.stderr.startswith("Nothing was received.")


def test_a_supplier_without_a_name_goes_by_its_code(say: Say, tmp_path: Path) -> None:
    say("buying", "supplier", "CORNER")
    (tmp_path / "corner.csv").write_text("Part,Order code,Price\nBEZEL-EM84,B-84,0.01\n")
    say("buying", "import-offers", str(tmp_path / "corner.csv"), "--supplier", "CORNER")
    assert any(line.startswith("CORNER: ") for line in lines_of(say("buying", "plan")))


def test_what_was_ordered_arrives_where_it_lay_and_the_board_can_be_kitted(say: Say) -> None:
    assert say("buying", "receive", "PF-0419", "SC-M4X8=20").exit_code == 0
    assert row_of(say("buying", "orders"), "SC-M4X8").split()[-2:] == ["50", "20"]
    say("buying", "receive", "TW-2611", "T-IFT-455=2", "--bin", "C02")
    assert lines_of(say("boards", "show", "IF"))[0].startswith("CURLEW/IF, IF board: can be kitted")
    lines = told(say, "boards", "show", "IF")["kit"]["lines"]
    assert say("boards", "kit", "IF", "--stand-ins").stdout == f"Kitted {lines} lines; nothing is short.\n"
    assert say("buying", "cancel", "TW-2611").stdout == "Cancelled order TW-2611.\n"
    assert row_of(say("boards"), "Curlew receiver").split()[3:6] == ["short", "of", "1"]
    say("workshop", "undo")
    assert row_of(say("boards"), "Curlew receiver").split()[3:6] == ["waits", "for", "1,"]
    assert say("workshop", "check").stdout.startswith("The workshop is sound")


def test_an_order_list_goes_out_and_is_placed_from_its_file(say: Say, tmp_path: Path) -> None:
    file = tmp_path / "orders.csv"
    assert lines_of(say("buying", "export", str(file)))[0] == told(say, "buying", "plan")["sentence"]
    assert say("buying", "place", "PF-9", "POSTAL", "--from", str(file)).stdout == (
        "Placed order PF-9 with POSTAL: 1 part.\n"
    )
    assert row_of(say("buying", "orders"), "PF-9").split()[-2:] == ["5", "m"]


def test_a_supplier_is_made_known(say: Say) -> None:
    assert say("buying", "supplier", "STOAT", "--name", "Stoat Glass").stdout == "New supplier STOAT.\n"
    assert say("buying", "supplier", "stoat", code=2).stderr.startswith("The supplier STOAT was not made.")


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["--build", "NONE"], 2, "There is no build NONE."),
        (["short", "--of", "NONE"], 2, "There is no assembly NONE."),
        (["short", "--why", "NONE"], 2, "There is no part NONE."),
        (["place", "ML-8", "NOBODY"], 2, "There is no supplier NOBODY."),
        (["place", "ML-8", "TERN"], 2, "There is nothing to order from TERN."),
        (["place", "TW-2611", "MILLLANE"], 2, "Order TW-2611 was not placed."),
        (["place", "ML-8", "MILLLANE", "--due", "soon"], 2, ""),
        (["receive", "NONE"], 2, "There is no order NONE."),
        (["receive", "PF-0419", "FOOT-20"], 2, "FOOT-20 was not understood."),
        (["receive", "PF-0419", "FOOT-20=4"], 2, "Nothing was received. FOOT-20 has not been in any bin yet."),
        (["receive", "PF-0419", "V-ECH81=1"], 3, "Order PF-0419 was not received."),
        (["cancel", "NONE"], 2, "There is no order NONE."),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_a_code(say: Say, words: list[str], code: int, said: str) -> None:
    result = say("buying", *words, code=code)
    assert result.stderr.startswith(said)
    assert result.stderr.count("\n") == 1
    assert result.stdout == ""


def test_the_offers_of_a_part_with_packs_and_breaks(say: Say) -> None:
    said = say("buying", "offers", "SP-M3-10").stdout.splitlines()
    assert said[0] == "SP-M3-10: 1 offer."
    assert "POSTAL" in said[-1]
    assert "for 20" in said[-1]
    assert say("buying", "offers", "V-NONE", code=2).stderr.startswith("There is no part V-NONE.")


def test_what_is_said_by_hand_goes_into_the_plan_and_the_order(say: Say) -> None:
    without = told(say, "buying", "plan", "--not", "milllane,POSTAL", "--goal", "fewest")
    assert {row["supplier"] for row in without["rows"]} == {"QUAYSIDE"}
    assert {row["key"]: row["why"] for row in without["nobody"]}["KNOB-45"] == "its suppliers are ruled out"
    only = told(say, "buying", "plan", "--only", "POSTAL", "--builds", "CURLEW", "--builds", "WREN")
    assert (only["builds"], {row["supplier"] for row in only["rows"]}) == ("CURLEW, WREN", {"POSTAL"})
    placed = say("buying", "place", "PF-9", "POSTAL", "--only", "POSTAL").stdout
    assert placed == "Placed order PF-9 with POSTAL: 2 parts.\n"
    assert say("buying", "plan", "--at-most", "4").stdout.splitlines()[0].endswith("over the sum wished.")
    assert told(say, "buying", "plan", "--parcel-worth", "3")["goal"] == "weighted"
    assert "There is no goal nearest." in say("buying", "plan", "--goal", "nearest", code=2).stderr


def test_the_spare_of_a_pack_is_told_with_what_it_is_good_for(say: Say) -> None:
    spare = row_of(say("buying", "plan"), "to spare")
    assert spare == "W-RG174: 3.5 m to spare, good for CURLEW/HARN (1.1 m) and WREN/PROBE (900 mm)."


def test_an_export_is_the_plan_that_is_shown(say: Say, tmp_path: Path) -> None:
    plan = told(say, "buying", "plan", "--not", "MILLLANE")
    say("buying", "export", str(tmp_path / "out.csv"), "--not", "MILLLANE")
    with open(tmp_path / "out.csv", encoding="utf-8-sig", newline="") as file:
        codes = [row["Order code"] for row in csv.DictReader(file)]
    assert codes == [row["order_code"] for row in plan["rows"]]
