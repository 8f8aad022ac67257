"""Orders on the command line, from draft to confirmed, and written out; on the demo."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Say = Callable[..., Any]


@pytest.fixture(autouse=True)
def demo_there(at_demo: Path) -> Path:
    """The demo is where the command line looks."""
    return at_demo


def told(say: Say, *words: str) -> dict[str, Any]:
    """An answer as JSON."""
    found: dict[str, Any] = json.loads(say(*words, "--json").stdout)
    return found


def sums(say: Say) -> dict[str, dict[str, Any]]:
    """The sums of all orders."""
    return {one["ref"]: one for one in told(say, "buying", "orders")["sums"]}


def test_the_demo_has_a_draft_and_a_confirmed_order(say: Say) -> None:
    known = sums(say)
    assert (known["QS-1204"]["state"], known["QS-1204"]["basis"]) == ("drafted", "by the terms of today")
    assert known["TW-2611"]["confirmed_on"] == "2026-11-18"
    assert "confirmed" in say("buying", "orders").stdout


def test_the_plan_is_drafted_changed_placed_confirmed_and_moved(say: Say) -> None:
    planned = told(say, "buying", "plan")
    said = say("buying", "draft").stdout
    assert said.startswith("Drafted 3 orders: MILLLANE-1, POSTAL-1 and QUAYSIDE-1.\n")
    known = sums(say)
    assert {bill["supplier"]: bill["total_micros"] for bill in planned["bills"]} == {
        supplier: known[f"{supplier}-1"]["total_micros"] for supplier in ("MILLLANE", "POSTAL", "QUAYSIDE")
    }
    assert "in draft MILLLANE-1, so not ordered again" in say("buying", "plan").stdout
    assert say("buying", "draft", code=2).stderr.startswith("Nothing was drafted. There is nothing to order")
    assert say("buying", "change", "QUAYSIDE-1", "--line", "U-LM337T=2@0.80", "--postage", "3.90").stdout == (
        "Changed order QUAYSIDE-1. Order QUAYSIDE-1, drafted: goods 1.60, postage 3.90: 5.50 EUR.\n"
    )
    assert say("buying", "receive", "QUAYSIDE-1", code=3).stderr.startswith(
        "Order QUAYSIDE-1 was not received. It is drafted only. Place it first."
    )
    assert say("buying", "confirm", "QUAYSIDE-1", code=3).stderr.startswith("Order QUAYSIDE-1 was not confirmed.")
    assert say("buying", "place", "QUAYSIDE-1", "--due", "2026-12-09").stdout == (
        "Placed order QUAYSIDE-1; it is coming. Order QUAYSIDE-1, placed: goods 1.60, postage 3.90: 5.50 EUR.\n"
    )
    assert say("buying", "confirm", "QUAYSIDE-1", "--line", "U-LM337T=2026-12-11").stdout.startswith(
        "Order QUAYSIDE-1 is confirmed."
    )
    assert say("buying", "move", "QUAYSIDE-1", "2026-12-14").stdout == (
        "Order QUAYSIDE-1 is due 2026-12-14 now, before 2026-12-11.\n"
    )
    assert {row["due_on"] for row in told(say, "buying", "orders")["rows"] if row["ref"] == "QUAYSIDE-1"} == {
        "2026-12-14"
    }


def test_a_draft_by_hand(say: Say) -> None:
    done = say("buying", "draft", "M-1", "--supplier", "POSTAL", "--line", "W-RG174=10 m@0.90/1 m", "--note", "soon")
    assert done.stdout.startswith("Drafted 1 order: M-1.")
    assert sums(say)["M-1"]["goods_micros"] == 9_000_000
    assert "was not understood" in say("buying", "draft", "--supplier", "POSTAL", "--line", "W-RG174", code=2).stderr
    assert "Name it with --supplier." in say("buying", "draft", "--line", "W-RG174=1 m", code=2).stderr
    assert say("buying", "change", "M-1", "--off", "W-RG174", code=3).stderr.endswith("Cancel the whole order.\n")
    assert say("buying", "change", "M-1", "--by-terms", "--tax", "1", code=2).stderr.startswith("Nothing was changed.")


def test_how_a_sum_comes_about(say: Say) -> None:
    answer = told(say, "buying", "sum", "tw-2611")
    assert answer["total_micros"] == 40_100_000 == sum(row["micros"] for row in answer["rows"])
    assert say("buying", "sum", "TW-2611").stdout.startswith(
        "Order TW-2611, placed: goods 32.10, postage 8.00: 40.10 EUR.\n"
    )


def test_an_order_as_text_with_columns_of_its_own(say: Say, tmp_path: Path) -> None:
    assert say("buying", "export", "--as", "text", "--order", "TW-2611").stdout == "TW-2611:\nTW11  2\nTW16  1\n"
    assert say("buying", "columns", "form", "part,qty", "--supplier", "tern").stdout == (
        "Kept the columns form for TERN.\n"
    )
    out = say("buying", "export", "--as", "tabs", "--order", "TW-2611").stdout
    assert out == "TW-2611:\nT-IFT-455\t2\nL-CHOKE-10H\t1\n"
    say("buying", "export", str(tmp_path / "o.csv"), "--order", "TW-2611")
    assert (tmp_path / "o.csv").read_text().splitlines()[1] == "T-IFT-455,2"
    assert told(say, "buying", "columns")["rows"] == [{"name": "form", "supplier": "TERN", "columns": "part,qty"}]
    assert "There are supplier, order_code" in say("buying", "columns", "form", "qty,colour", code=2).stderr
    assert say("buying", "columns", "form", "--drop").stdout == "Forgot the columns form.\n"
    assert "There are none yet" in say("buying", "export", "--columns", "form", code=2).stderr


def test_nothing_to_order_is_said_and_no_file_is_written(say: Say, tmp_path: Path) -> None:
    say("buying", "draft")
    refused = say("buying", "export", str(tmp_path / "o.csv"), code=2)
    assert refused.stderr == "Nothing was written. There is nothing to order; 5 parts in drafts.\n"
    assert not (tmp_path / "o.csv").exists()
    assert told(say, "buying", "export", "--as", "text")["rows"] == []
