"""Buying on the command line: what a purchase really cost."""

from __future__ import annotations

from typing import Annotated

import typer

from buildbook.cli.frame import AsJson, Db, opened
from buildbook.cli.show import Column, filled, say, show

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("landed")(landed)


def landed(ref: Ref, *, db: Db = None, as_json: AsJson = False) -> None:
    """What each line of an order costs with its share of postage, discount and tax, by value.

    \b
    Example:
      buildbook buying landed PF-0419
    """
    from buildbook.answers.landed import LandedRow
    from buildbook.answers.landed import landed as answer_for
    from buildbook.trade.money import show_money, show_price
    from buildbook.trade.units import Unit, show_quantity

    with opened(db) as shop:
        answer = answer_for(shop, ref)
    money = answer.currency

    def each(row: LandedRow) -> str:
        return "" if row.each_micros is None else show_price(row.each_micros, money)

    columns: list[Column[LandedRow]] = [
        Column("part", lambda row: row.key),
        Column("qty", lambda row: show_quantity(row.qty, Unit(row.unit)), right=True),
        Column(
            "goods", lambda row: "" if row.goods_micros is None else show_money(row.goods_micros, money), right=True
        ),
        Column("share", lambda row: show_money(row.share_micros, money) if row.share_micros else "", right=True),
        Column(f"landed {money}", lambda row: show_money(row.landed_micros, money), right=True),
        Column("each", each, right=True),
        Column(
            "in stock at", lambda row: show_money(row.booked_micros, money) if row.booked_micros else "", right=True
        ),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
    if not as_json:
        say(f"Postage and discount: {answer.shipping_from}; tax: {answer.tax_from}.", apart=True)
