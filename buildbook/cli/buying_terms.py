"""Buying on the command line: the terms of suppliers, rates of currencies, prices that were."""

from __future__ import annotations

from typing import Annotated

import typer

from buildbook.cli.frame import AsJson, Db, PartKey, opened
from buildbook.cli.show import Column, filled, say, show
from buildbook.errors import BadInput

Text = Annotated[str | None, typer.Option(metavar="TEXT", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the verbs to the place."""
    app.command("suppliers")(suppliers)
    app.command("terms")(terms)
    app.command("rate")(rate)
    app.command("history")(history)
    app.command("offer")(offer)


def suppliers(*, db: Db = None, as_json: AsJson = False) -> None:
    """The suppliers and their terms: shipping, least order, discount, tax, currency.

    \b
    Example:
      buildbook buying suppliers
    """
    from buildbook.answers.suppliers import SupplierLine
    from buildbook.answers.suppliers import suppliers as every

    with opened(db) as shop:
        answer = every(shop)
    columns: list[Column[SupplierLine]] = [
        Column("supplier", lambda row: row.code),
        Column("name", lambda row: row.name),
        Column("standing", lambda row: row.standing),
        Column("money", lambda row: row.currency),
        Column("parcel", lambda row: row.shipping, shrink=True),
        Column("least order", lambda row: row.least, right=True),
        Column("discount", lambda row: row.discount, shrink=True),
        Column("tax", lambda row: f"{row.tax_bp / 100:g} %" if row.tax_bp else "", right=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)
    if not as_json:
        for code, worth in answer.rates.items():
            say(f"1 {code} is worth {worth} here.")


def terms(
    supplier: Annotated[str, typer.Argument(metavar="SUPPLIER", show_default=False, help="The supplier's code.")],
    *,
    shipping: Annotated[
        str | None,
        typer.Option(metavar="TEXT", show_default=False, help='A parcel: "6.90, 4.90 from 50, free from 80".'),
    ] = None,
    least: Annotated[str | None, typer.Option(metavar="SUM", show_default=False, help="The least order.")] = None,
    discount: Annotated[
        str | None, typer.Option(metavar="TEXT", show_default=False, help='On all of it: "5 % from 100".')
    ] = None,
    tax: Annotated[str | None, typer.Option(metavar="PERCENT", show_default=False, help="Added to the goods.")] = None,
    tax_on_shipping: Annotated[
        bool | None, typer.Option("--tax-on-shipping/--no-tax-on-shipping", show_default=False, help="And to shipping.")
    ] = None,
    currency: Annotated[
        str | None, typer.Option(metavar="CODE", show_default=False, help="In which prices and terms are (ISO 4217).")
    ] = None,
    days: Annotated[str | None, typer.Option(metavar="N", show_default=False, help="Days until it comes.")] = None,
    standing: Annotated[
        str | None, typer.Option(metavar="WORD", show_default=False, help='preferred, banned, or "" for neither.')
    ] = None,
    db: Db = None,
) -> None:
    """Say on what terms a supplier sells; the plan of orders reckons with them.

    \b
    Example:
      buildbook buying terms QUAYSIDE --shipping "4.90, free from 75" --tax "0 %"
    """
    from buildbook.actions.terms import set_terms
    from buildbook.answers.suppliers import suppliers as every

    if days and not days.strip().isdigit():
        raise BadInput("The terms were not changed.", f"{days[:20]} is no number of days.", "Give a whole number.")
    with opened(db) as shop:
        code = set_terms(
            shop,
            supplier,
            currency=currency,
            least=least,
            shipping=shipping,
            discount=discount,
            tax=tax,
            tax_on_shipping=tax_on_shipping,
            lead_days=days,
            standing=standing,
        )
        said = next(row.said for row in every(shop).rows if row.code == code)
    say(f"{code}: {said}.")


def rate(
    currency: Annotated[str, typer.Argument(metavar="CODE", show_default=False, help="A foreign currency (ISO 4217).")],
    worth: Annotated[
        str, typer.Argument(metavar="RATE", show_default=False, help='What one of it is worth here; "" for none.')
    ],
    *,
    db: Db = None,
) -> None:
    """Say what one unit of a foreign currency is worth in the workshop's; without a rate nothing is bought in it.

    \b
    Example:
      buildbook buying rate GBP 1.16
    """
    from buildbook.actions.terms import set_rate

    with opened(db) as shop:
        kept = set_rate(shop, currency, worth)
    say(f"1 {currency.upper()} is worth {kept} here." if kept else f"{currency.upper()} has no rate any more.")


def history(part: PartKey, *, db: Db = None, as_json: AsJson = False) -> None:
    """What a part has cost: the prices of each offer now and before, and what was paid in orders.

    \b
    Example:
      buildbook buying history V-ECH81
    """
    from buildbook.answers.price_history import PriceRow, price_history
    from buildbook.trade.money import show_price

    with opened(db) as shop:
        answer = price_history(shop, part)
    columns: list[Column[PriceRow]] = [
        Column("what", lambda row: row.what),
        Column("day", lambda row: row.day),
        Column("supplier", lambda row: row.supplier),
        Column("order code", lambda row: row.order_code, shrink=True),
        Column("from", lambda row: f"{row.from_qty}+", right=True),
        Column("price", lambda row: f"{show_price(row.price_micros, row.currency)} {row.currency}", right=True),
        Column("for", lambda row: f"{row.per_qty}" if row.per_qty > 1 else "", right=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def offer(
    supplier: Annotated[str, typer.Argument(metavar="SUPPLIER", show_default=False, help="The supplier's code.")],
    part: PartKey,
    order_code: Annotated[str, typer.Argument(metavar="CODE", help="The supplier's order code.")] = "",
    *,
    standing: Annotated[
        str | None, typer.Option(metavar="WORD", show_default=False, help='preferred, banned, or "" for neither.')
    ] = None,
    seen: Annotated[int | None, typer.Option(metavar="N", show_default=False, help="So many are there.")] = None,
    multiple: Annotated[
        int | None, typer.Option(metavar="N", show_default=False, help="Sold in multiples of so many only.")
    ] = None,
    currency: Annotated[
        str | None, typer.Option(metavar="CODE", show_default=False, help="Of its prices, if not the supplier's.")
    ] = None,
    until: Annotated[str | None, typer.Option(metavar="DAY", show_default=False, help="The last day it holds.")] = None,
    price: Annotated[
        list[str] | None, typer.Option(metavar="PRICE", show_default=False, help='"0.12", "0.10 from 25"; one a break.')
    ] = None,
    db: Db = None,
) -> None:
    """Change what is known of an offer, or write a new one down with its prices; old prices are kept.

    \b
    Example:
      buildbook buying offer QUAYSIDE D-1N4007 QS-1007 --price 0.06 --price "0.045 from 50" --seen 400
    """
    from buildbook.actions.offers import set_offer
    from buildbook.actions.terms import read_prices

    with opened(db) as shop:
        breaks = read_prices(shop, supplier, currency, price) if price else None
        set_offer(
            shop,
            supplier,
            part,
            order_code,
            breaks=breaks,
            standing=standing,
            seen_qty=seen,
            multiple_qty=multiple,
            currency=currency,
            valid_until=until,
        )
    say(f"Kept: what {supplier.upper()} asks for {part}.")
