"""Buying on the command line: what a purchase really cost."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, PartKey, opened
from buildbook.cli.printing import require_free
from buildbook.cli.show import Column, filled, say, show

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]

# What the workshop's setting does with the shares.
BOOKED = {
    "no": "What arrives is worth its goods alone; `buildbook workshop settings landed_cost yes` adds its share.",
    "yes": "What arrives is worth its goods with its share of postage, discount and tax.",
    "without tax": "What arrives is worth its goods with its share of postage and discount; tax is got back.",
}


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("landed")(landed)
    app.command("plot")(plot)
    app.command("truth")(truth)


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
        say(BOOKED[answer.into_stock])


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
    from buildbook.exchange.writing import put_bytes
    from buildbook.publish import plots
    from buildbook.trade.units import Unit, show_quantity

    kind = plots.kind_of(out)
    with opened(db) as shop:
        curve = price_curve(shop, part)
    each = "a piece" if curve.unit == "pc" else f"for {show_quantity(curve.per_qty, Unit(curve.unit))}"
    prices = [plots.PricePaid(one.end or curve.today, one.micros, 1, one.supplier) for one in curve.spans]
    picture = plots.written(
        kind, curve.key, prices, lambda some: plots.draw_prices(some, curve.currency, title=curve.said, per=each)
    )
    require_free(out, replace=replace)
    put_bytes(out, picture)
    say(f"Drew {count_of(len(prices), 'price')} of {curve.key} into {out}.")


def truth(
    *,
    every: Annotated[bool, typer.Option("--parts", help="Part by part, not only section by section.")] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What a build really costs against what it was planned to, and why: price, quantity, lost, postage.

    \b
    Example:
      buildbook buying truth --build CURLEW
      buildbook buying truth --parts
    """
    from buildbook.answers.cost_truth import TruthRow, causes_said, cost_truth, signed
    from buildbook.trade.money import show_money
    from buildbook.trade.units import Unit, show_quantity

    with opened(db) as shop:
        answer = cost_truth(shop, build)
    money = answer.currency

    def plan(row: TruthRow) -> str:
        return "" if row.planned_micros is None else show_money(row.planned_micros, money)

    def sum_of(micros: int) -> str:
        return show_money(micros, money) if micros else ""

    def costs(row: TruthRow) -> str:
        """What is compared, once all of it is there."""
        return "" if row.difference is None else show_money((row.planned_micros or 0) + row.difference, money)

    def qty(row: TruthRow) -> str:
        if not row.key or row.qty == row.planned_qty:
            return ""
        return f"{show_quantity(row.qty, Unit(row.unit))} for {show_quantity(row.planned_qty, Unit(row.unit))}"

    columns: list[Column[TruthRow]] = [
        Column("section", lambda row: row.section, shrink=True),
        Column("part", lambda row: row.key),
        Column("pieces", qty),
        Column(f"planned {money}", plan, right=True),
        Column("costs", costs, right=True),
        Column("more", lambda row: signed(row.difference, money) if row.difference else "", right=True),
        Column("why", lambda row: row.why_not if row.key else causes_said(row, money), shrink=True),
        Column("not compared", lambda row: sum_of(row.not_compared_micros), right=True),
        Column("of all spent", lambda row: sum_of(row.spent_micros), right=True),
    ]
    rows = [row for row in answer.rows if row.difference or row.why_not] if every else answer.sections
    show(answer, filled(columns, rows), rows=rows, as_json=as_json)
