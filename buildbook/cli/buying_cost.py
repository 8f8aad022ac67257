"""Buying on the command line: what a purchase really cost."""

from __future__ import annotations

from pathlib import Path
from typing import IO, Annotated

import typer

from buildbook.cli.frame import AsJson, Db, PartKey, opened
from buildbook.cli.show import Column, filled, say, show
from buildbook.errors import BadInput

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("landed")(landed)
    app.command("plot")(plot)


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


def plot(
    part: PartKey,
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", show_default=False, help="The .svg, .pdf or .png file to write.")
    ],
    replace: Annotated[bool, typer.Option("--replace", help="Write over a file of that name.")] = False,
    db: Db = None,
) -> None:
    """Draw what a part cost over time, a sign for each supplier, into a file.

    A file of that name is not written over unasked.

    \b
    Example:
      buildbook buying plot V-ECH81 --out ech81.svg
    """
    from buildbook.answers.form import count_of
    from buildbook.answers.price_curve import price_curve
    from buildbook.exchange.writing import put_in_place
    from buildbook.publish import plots
    from buildbook.trade.plain import quote
    from buildbook.trade.units import Unit, show_quantity

    kind = plots.kind_of(out)
    with opened(db) as shop:
        curve = price_curve(shop, part)
    each = "a piece" if curve.unit == "pc" else f"for {show_quantity(curve.per_qty, Unit(curve.unit))}"
    prices = [plots.PricePaid(one.end or curve.today, one.micros, 1, one.supplier) for one in curve.spans]
    picture = plots.written(
        kind, curve.key, prices, lambda some: plots.draw_prices(some, curve.currency, title=curve.said, per=each)
    )
    if out.is_file() and not replace:
        raise BadInput(
            f"{quote(out.name, limit=80)} was not written.",
            "A file of that name is there.",
            "Choose another name, or say --replace.",
        )

    def fill(file: IO[bytes]) -> None:
        file.write(picture)

    put_in_place(out, fill)
    say(f"Drew {count_of(len(prices), 'price')} of {curve.key} into {out}.")
