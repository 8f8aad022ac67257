"""What each line of an order costs with its share of postage, discount and tax, on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from buildbook.tui.rows import Line, table_lines
from buildbook.tui.words import amount

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop


def landed_lines(shop: Workshop, order: str) -> list[Line]:
    """The sum of an order in a sentence, then each of its lines with its share; and whether stock takes it in."""
    from buildbook.answers.landed import landed
    from buildbook.trade.money import show_money, show_price

    answer = landed(shop, order)
    money = answer.currency
    rows = [
        [
            row.key,
            amount(row.qty, row.unit),
            "no price" if row.goods_micros is None else show_money(row.goods_micros, money),
            show_money(row.share_micros, money),
            show_money(row.landed_micros, money),
            "" if row.each_micros is None else show_price(row.each_micros, money),
        ]
        for row in answer.rows
    ]
    kept = {"no": "its goods alone", "yes": "its share as well", "without tax": "its share as well, without the tax"}
    return [
        Line(answer.sentence),
        *table_lines(["part", "ordered", "goods", "share", f"landed {money}", "each"], rows, right=range(1, 6)),
        Line(f"What arrives is worth {kept[answer.into_stock]} (setting landed_cost).", "quiet"),
    ]
