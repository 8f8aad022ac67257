"""Buying on the screen: what must I buy, from whom, for how much?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from buildbook.tui.asking import Option
from buildbook.tui.buying_arrivals import receive, receive_short
from buildbook.tui.buying_drafts import confirm, draft, is_draft, move, place_draft, sum_lines
from buildbook.tui.buying_landed import landed_lines
from buildbook.tui.buying_matters import give_back, matter_lines, matter_of, matter_row, settle
from buildbook.tui.buying_offers import add_offer, add_supplier, offer_lines, offers
from buildbook.tui.buying_orders import change, place, strike, write_out
from buildbook.tui.buying_rows import (
    CLOSED,
    Placed,
    Plan,
    columns,
    placed,
    placed_lines,
    placed_row,
    plan_lines,
    plan_row,
    plans,
    short_row,
)
from buildbook.tui.buying_search import Search, choose_goal, stop_search
from buildbook.tui.buying_terms import change_terms, terms_lines
from buildbook.tui.desk import Desk
from buildbook.tui.importing import import_prices
from buildbook.tui.place import Place, Verb
from buildbook.tui.plots_screen import plot_prices
from buildbook.tui.rows import Line, Row, View, heading

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.tui.panel import Panel


class Buying(Place):
    """What to order from each supplier, the orders under way, every part that is short, and the orders closed."""

    KEY: ClassVar[str] = "4"
    NAME: ClassVar[str] = "Buying"
    QUESTION: ClassVar[str] = "What must I buy, from whom, for how much?"

    def __init__(self) -> None:
        self.search = Search()

    def answered(self, panel: Panel) -> None:
        """Look for a better plan than the quick one, beside all else."""
        self.search.go_on(panel, self)

    def ask(self, shop: Workshop, build: str | None) -> View:
        """What the drawers do not cover, what to order of it from whom, and what is on its way."""
        from buildbook.answers.buying import short
        from buildbook.answers.form import count_of
        from buildbook.answers.matters import matters
        from buildbook.answers.offered import suppliers
        from buildbook.answers.orders import orders

        answer, buy = short(shop, build), self.search.plan(shop, build)
        ordered = orders(shop)
        known = placed(ordered.rows, dict(suppliers(shop)), buy.currency, ordered.sums)
        wanted = {line.wanted: line for line in buy.rows}
        nobody = {one.key: one.why for one in buy.nobody}
        open_ones = matters(shop).rows
        rows = [matter_row(matter, buy.currency) for matter in open_ones]
        rows += [plan_row(plan) for plan in plans(buy)]
        rows += [placed_row(order) for order in known if order.state not in CLOSED]
        rows += [short_row(row, wanted.get(row.key), buy.currency, nobody.get(row.key)) for row in answer.rows]
        rows += [placed_row(order) for order in known if order.state in CLOSED]
        first = next((row.key for row in rows if matter_of(row) is None), "")
        said = f" {count_of(len(open_ones), 'matter')} to settle." if open_ones else ""
        return View(answer.sentence + said, columns(buy.currency), rows, self.search.said(buy), at=first)

    def unfold(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """The lines of a plan or an order; of a part what is short of it, who offers it, and what is on its way.

        Below them only what can be done with such a row.
        """
        about = row.about
        if isinstance(about, Plan):
            return [*plan_lines(about), *terms_lines(shop, about.supplier), *self._acts("space", "D", "w")]
        if isinstance(about, Placed) and about.state == "drafted":
            return [*placed_lines(about), *self._acts("space", "m", "v", "d", "w")]
        if isinstance(about, Placed):
            acts = ("p", "P", "c", "m", "v", "d") if about.to_come else ()
            return [*placed_lines(about), *self._acts(*acts, *(("B",) if came(about) else ()))]
        if matter := matter_of(row):
            return [*matter_lines(matter), *self._acts("space")]
        return [
            *part_lines(shop, key_of(row), build),
            *before_lines(shop, key_of(row), build),
            *self._acts("v", *(("space",) if is_short(row) else ("p", "P"))),
        ]

    def _acts(self, *keys: str) -> list[Line]:
        return [
            Line(""),
            *(Line(f"{verb.key}  {verb.help}", "do", verb.key) for verb in self.verbs if verb.key in keys),
        ]

    def why(self, shop: Workshop, build: str | None, row: Row) -> Sequence[Line]:
        """Every term of a shortage; of a plan or an order, the terms of each of its parts, of a plan why from there."""
        from buildbook.answers.order_why import reason_said
        from buildbook.answers.why import why

        about = row.about
        if matter := matter_of(row):
            return matter_lines(matter)
        lines: list[Line] = []
        if isinstance(about, Plan):
            lines = [Line(reason_said(line)) for line in about.lines]
            keys = [line.wanted for line in about.lines]
        elif isinstance(about, Placed):
            lines = [*sum_lines(shop, about.ref), *landed_lines(shop, about.ref)]
            keys = [line.key for line in about.lines]
        else:
            keys = [key_of(row)]
        for key in dict.fromkeys(keys):
            answer = why(shop, key, build)
            lines.append(heading(answer.sentence))
            lines += [Line(f"{term.build}, {term.assembly} {term.refs}: {term.said}") for term in answer.terms]
            lines += [Line(text) for text in answer.remarks]
        return lines

    def why_line(self, shop: Workshop, build: str | None, row: Row, about: object) -> Sequence[Line]:
        """Of a line of a plan: why from this supplier, and what the next best would cost; then the lines again."""
        plan, key = row.about, getattr(about, "key", "")
        if not isinstance(plan, Plan) or not key:
            return self.why(shop, build, row)
        return [*map(Line, self.search.why(shop, build, key)), Line(""), *plan_lines(plan)]

    def note_about(self, row: Row) -> Mapping[str, str]:
        """A note is about the part; of an order or a plan about nothing in particular."""
        return {} if isinstance(row.about, (Plan, Placed)) else {"part": key_of(row)}


def key_of(row: Row) -> str:
    """The key of the part that a row tells of."""
    return str(getattr(row.about, "key", ""))


def came(order: Placed) -> bool:
    """Whether something of an order has come."""
    return any(line.received_qty for line in order.lines)


def is_short(row: Row) -> bool:
    """Whether something must be ordered of the part that a row tells of."""
    return bool(getattr(row.about, "short", 0))


def part_lines(shop: Workshop, key: str, build: str | None) -> list[Line]:
    """What is short of a part, what may stand in, what is on its way, and who offers it."""
    from buildbook.answers.offered import offered
    from buildbook.answers.why import why

    answer = why(shop, key, build)
    return [Line(answer.sentence), *map(Line, answer.remarks), *offer_lines(offered(shop, key))]


def before_lines(shop: Workshop, key: str, build: str | None) -> list[Line]:
    """What to look at before a part is bought and is not said above: free stock, what could be made, who could lend."""
    from buildbook.answers.before_buying import DRAWERS, LEND, MAKE, before_buying

    rows = [row for row in before_buying(shop, key, build).rows if row.what in (DRAWERS, MAKE, LEND)]
    return [heading("before buying"), *(Line(f"{row.what}: {row.said}") for row in rows)] if rows else []


async def go_on(desk: Desk) -> None:
    """The natural next thing: settle an open matter, place what is planned or drafted, receive what is coming."""
    row = desk.row
    if matter_of(row):
        await settle(desk)
    elif isinstance(row.about, Placed) and is_draft(desk):
        await place_draft(desk, row.about)
    elif isinstance(row.about, Plan) or is_short(row):
        await place(desk)
    else:
        await receive(desk)


async def alter(desk: Desk) -> None:
    """Change what stands there: an offer of the part, the days of the order, a row of the order."""
    if isinstance(desk.row.about, Placed):
        await change(desk)
    else:
        await offers(desk)


NEWS = {"order": place, "offer": add_offer, "supplier": add_supplier}


async def add(desk: Desk) -> None:
    """Something new: an order, an offer or a supplier."""
    options = [
        Option("order", "an order", "placed as the plan has it"),
        Option("offer", "an offer", "what a supplier asks for a part"),
        Option("supplier", "a supplier", "by a short code and a name"),
    ]
    await NEWS[await desk.choose("What is new?", options)](desk)


Buying.verbs = (
    Verb(
        "space",
        "next",
        "settle a matter, place what is planned or drafted, receive what is coming",
        go_on,
        on_row=False,
    ),
    Verb("p", "receive", "receive a row or a whole order in full", receive, on_row=False),
    Verb("P", "short", "receive fewer, at another price, or into another bin", receive_short, on_row=False),
    Verb("v", "change", "change an offer and its prices, the days of an order, a row of it", alter, on_row=False),
    Verb("D", "draft", "keep what the plan says for a supplier as a draft", draft, on_row=False),
    Verb("c", "confirm", "note that the supplier has confirmed an order, and for which day", confirm, on_row=False),
    Verb("m", "move", "move the day on which an order, or a row of it, is due", move, on_row=False),
    Verb("B", "give back", "send goods of an order back to whoever sold them", give_back, on_row=False, foot=False),
    Verb("w", "write out", "write what to order, or an order, into a file", write_out, on_row=False),
    Verb("d", "cancel", "cancel an order; take a row of it, or an offer, away", strike, on_row=False),
    Verb(
        "G",
        "goal",
        "switch what the plan of orders is to be: cheapest, fewest parcels, soonest",
        choose_goal,
        on_row=False,
    ),
    Verb("T", "terms", "change the terms of a supplier: parcel, discount, tax", change_terms, on_row=False, foot=False),
    Verb(".", "stop", "stop looking for a better plan of orders", stop_search, on_row=False, foot=False),
    Verb("+", "new", "place an order, write down an offer or a supplier", add, on_row=False),
    Verb("I", "import", "take in a price list, from a CSV or XLSX file", import_prices, on_row=False),
    Verb("=", "plot", "draw what a part cost over time", plot_prices, on_row=False, foot=False),
    Verb("", "order", "place an order from the plan", place, on_row=False, foot=False),
    Verb("", "offer", "write down an offer of a part", add_offer, on_row=False, foot=False),
    Verb("", "supplier", "add a supplier", add_supplier, on_row=False, foot=False),
)
