"""Deliveries on the command line: parcels as they arrive, what was odd about them, and how it is settled."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from buildbook.cli.frame import AsJson, Db, opened
from buildbook.cli.show import Column, filled, say, show

if TYPE_CHECKING:
    from buildbook.actions.deliveries import Odd, Price
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.matters import Matter

Ref = Annotated[str, typer.Argument(metavar="ORDER", show_default=False, help="The reference of the order.")]
Told = list[str] | None


def told(flag: str, metavar: str, help: str) -> typer.models.OptionInfo:
    """An option that may be given several times."""
    found = typer.Option(flag, metavar=metavar, help=f"{help} May be repeated.")
    assert isinstance(found, typer.models.OptionInfo)
    return found


def add_to(app: typer.Typer) -> None:
    """Hang the verbs into the place."""
    for name, verb in (("receive", receive), ("matters", matters), ("settle", settle), ("give-back", give_back)):
        app.command(name)(verb)


def receive(
    ref: Ref,
    lines: Annotated[
        list[str] | None,
        typer.Argument(metavar="PART=QTY", show_default=False, help="Only these parts and quantities."),
    ] = None,
    *,
    bin: Annotated[
        str | None, typer.Option("--bin", metavar="BIN", help="Where it all goes; else where each part lay last.")
    ] = None,
    short: Annotated[Told, told("--short", "PART=QTY", "So much did not come, though it should have.")] = None,
    over: Annotated[Told, told("--over", "PART=QTY", "So much more came than ordered.")] = None,
    damaged: Annotated[Told, told("--damaged", "PART=QTY", "So much came damaged.")] = None,
    wrong: Annotated[Told, told("--wrong", "PART=OTHER:QTY", "So much of another part came by mistake.")] = None,
    replaced: Annotated[Told, told("--replaced", "PART=OTHER:QTY", "The supplier sent another part instead.")] = None,
    price: Annotated[Told, told("--price", "PART=PRICE", "The bill asks this for as many as the order says.")] = None,
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="A remark on the parcel.")] = "",
    db: Db = None,
) -> None:
    """Take in an order: all that is to come of it but what was odd, or only the parts and quantities named.

    What is odd becomes an open matter, to be settled by `buying settle`; wrong, damaged and surplus goods are no stock
    until then.

    \b
    Example:
      buildbook buying receive PF-0419 --bin J07
      buildbook buying receive TW-2611 T-IFT-455=1 --bin C02
    """
    from buildbook.actions.deliveries import receive_order
    from buildbook.answers.form import count_of

    named = read_pairs(lines or ())
    odd = [
        *_read_odd("short", short), *_read_odd("over", over), *_read_odd("damaged", damaged),
        *_read_odd("wrong", wrong), *_read_odd("replaced", replaced),
    ]  # fmt: skip
    with opened(db) as shop:
        prices = {part: _read_price(shop, ref, part, text) for part, text in read_pairs(price or ()).items()}
        done = receive_order(shop, ref, bin, lines=named or None, odd=odd, prices=prices or None, note=note)
    rest = "nothing is open any more" if done.state == "received" else "the rest is still coming"
    say(f"Received {count_of(done.rows, 'part')} of order {ref}; {rest}.")
    if done.matters:
        numbers = ", ".join(map(str, done.matters))
        say(f"To be settled: {'matter' if len(done.matters) == 1 else 'matters'} {numbers}.")


def _read_odd(what: str, texts: Iterable[str] | None) -> list[Odd]:
    """PART=QTY, or PART=OTHER:QTY where another part came."""
    from buildbook.actions.deliveries import Odd
    from buildbook.errors import BadInput

    found = []
    for text in texts or ():
        part, qty = read_pair(text)
        instead = ""
        if what in ("wrong", "replaced"):
            instead, sign, qty = qty.rpartition(":")
            if not sign or not instead or not qty:
                raise BadInput(f"{text[:60]} was not understood.", "", "Write PART=OTHER:QTY, such as R-4K7=R-47K:3.")
        found.append(Odd(what, part, qty, instead))
    return found


def _read_price(shop: Workshop, ref: str, part: str, text: str) -> Price:
    """The price of the bill for as many as the order's price is for."""
    from buildbook.actions.deliveries import Price
    from buildbook.answers.matters import per_of
    from buildbook.answers.offers import currency_of
    from buildbook.trade.money import read_money

    return Price(read_money(text, currency_of(shop)), per_of(shop, ref, part))


def matters(
    *,
    settled: Annotated[bool, typer.Option("--settled", help="Those that are settled as well.")] = False,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """What came otherwise than ordered and is to be settled: short, over, wrong, damaged, replaced, dearer, given back.

    \b
    Example:
      buildbook buying matters
      buildbook buying matters --settled
    """
    from buildbook.answers.matters import matters as answer_for
    from buildbook.trade.money import show_money

    with opened(db) as shop:
        answer = answer_for(shop, settled=settled)

    def worth(row: Matter) -> str:
        return "" if row.worth_micros is None else show_money(row.worth_micros, answer.currency)

    columns: list[Column[Matter]] = [
        Column("number", lambda row: f"{row.number}", right=True),
        Column("order", lambda row: row.ref),
        Column("supplier", lambda row: row.supplier),
        Column("part", lambda row: row.key),
        Column("what", lambda row: row.said, shrink=True),
        Column(answer.currency, worth, right=True),
        Column("since", lambda row: row.since[:10]),
        Column("settle as", lambda row: row.settled or ", ".join(row.ways), shrink=True),
        Column("why", lambda row: row.reason, shrink=True),
    ]
    show(answer, filled(columns, answer.rows), as_json=as_json)


def settle(
    number: Annotated[int, typer.Argument(metavar="NUMBER", show_default=False, help="The number of the matter.")],
    how: Annotated[
        str,
        typer.Argument(
            metavar="HOW",
            show_default=False,
            help="reorder, credit, accepted, sent-back, written-off or as-ordered: what fits the matter.",
        ),
    ],
    *,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why, or what was agreed.")] = "",
    bin: Annotated[
        str | None, typer.Option("--bin", metavar="BIN", help="Where it goes; else where the part lay last.")
    ] = None,
    due: Annotated[str, typer.Option("--due", metavar="DAY", help="When it comes again (2027-03-14).")] = "",
    stand_in: Annotated[
        bool, typer.Option("--stand-in", help="What came instead may stand in from now on; give the reason.")
    ] = False,
    db: Db = None,
) -> None:
    """Settle a matter of a delivery: it comes again, is credited, goes into stock, goes back, or is written off.

    \b
    Example:
      buildbook buying settle 3 accepted --reason "kept at the price of the order" --bin J07
    """
    from buildbook.actions.matters import settle as act

    way = how.replace("-", " ").strip().lower()
    with opened(db) as shop:
        done = act(shop, number, way, reason=reason, bin=bin, due_on=due, stand_in=stand_in)
    rest = "nothing of the order is open any more" if done.state == "received" else f"the order is {done.state}"
    say(f"Settled {done.what} of {done.part}, order {done.ref}: {way}; {rest}.")


def give_back(
    ref: Ref,
    pair: Annotated[str, typer.Argument(metavar="PART=QTY", show_default=False, help="What goes back.")],
    *,
    reason: Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why it goes back.")] = "",
    bin: Annotated[
        str | None, typer.Option("--bin", metavar="BIN", help="Out of which bin; else where it was put last.")
    ] = None,
    db: Db = None,
) -> None:
    """Send goods back to whoever sold them: out of stock at its average, and a matter until it is settled.

    \b
    Example:
      buildbook buying give-back QS-1187 R-22R-0.6W=2 --reason "leads are bent"
    """
    from buildbook.actions.matters import give_back as act

    part, qty = read_pair(pair)
    with opened(db) as shop:
        number = act(shop, ref, part, qty, reason=reason, bin=bin)
    say(f"Given back {qty} of {part} of order {ref}; matter {number} is open until it is settled.")


def read_pairs(texts: Iterable[str]) -> dict[str, str]:
    """Each PART=QTY as typed. Raises BadInput for a part named twice, since one of the two would be lost."""
    from buildbook.errors import BadInput

    found: dict[str, str] = {}
    for part, qty in map(read_pair, texts):
        if part.upper() in (known.upper() for known in found):
            raise BadInput("Nothing was received.", f"{part[:60]} is named twice.", "Name it once, with all that came.")
        found[part] = qty
    return found


def read_pair(text: str) -> tuple[str, str]:
    """PART=QTY as typed."""
    from buildbook.errors import BadInput

    part, sign, qty = text.rpartition("=")
    if not sign or not part or not qty:
        raise BadInput(f"{text[:60]} was not understood.", "", "Write PART=QTY, such as V-ECH81=1.")
    return part, qty
