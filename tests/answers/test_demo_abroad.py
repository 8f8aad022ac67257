"""The supplier of the demo who is paid in pounds: his offers count at their rate, one has expired, one got dearer."""

from __future__ import annotations

from buildbook.actions.workshop import Workshop
from buildbook.answers.least_stock import lacking
from buildbook.answers.offered import offered
from buildbook.answers.offers import offers_for
from buildbook.answers.price_curve import price_curve
from buildbook.answers.stores import part_named, stores


def test_his_valve_counts_in_euros(demo_to_read: Workshop) -> None:
    row = next(row for row in offered(demo_to_read, "V-ECH81").rows if row.supplier == "CAIRN")
    assert (row.currency, row.breaks, row.seen_qty, row.left_out) == ("GBP", ((1, 6_900_000),), 40, "")
    number = part_named(demo_to_read, "V-ECH81").id
    # 6.90 at 1.16.
    assert 8_004_000 in [one.price_micros for offer in offers_for(demo_to_read)[number] for one in offer.breaks]


def test_his_expired_offer_is_told_and_not_counted(demo_to_read: Workshop) -> None:
    row = next(row for row in offered(demo_to_read, "V-ECL82").rows if row.supplier == "CAIRN")
    assert row.left_out == "valid until 2026-10-31"


def test_what_the_valve_cost_before_is_kept(demo_to_read: Workshop) -> None:
    spans = [span for span in price_curve(demo_to_read, "V-ECH81").spans if span.supplier == "CAIRN"]
    assert [span.micros for span in spans] == [7_424_000, 8_004_000]
    assert (spans[0].end, spans[1].begin) == ("2026-11-09", "2026-11-09")


def test_a_common_part_is_always_to_be_there(demo_to_read: Workshop) -> None:
    assert next(row.keep_qty for row in stores(demo_to_read).rows if row.key == "D-1N4007") == 20
    assert set(lacking(demo_to_read)) <= {part_named(demo_to_read, "D-1N4007").id}
