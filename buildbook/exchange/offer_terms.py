"""What a price list says of an offer beside its prices: the currency, whether it is wanted, what the supplier has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.errors import BadInput
from buildbook.exchange.headings import is_currency
from buildbook.exchange.prices import is_money
from buildbook.trade.plain import fold, quote

if TYPE_CHECKING:
    from buildbook.exchange.gathering import Gathering

# A sign that stands for one currency only is understood whoever sells.
SURE = ("EUR",)
PREFERRED = ("preferred", "pref", "yes", "y", "x", "1", "true", "first choice")
BANNED = ("banned", "ban", "blocked", "never", "do not buy")
NEITHER = ("", "-", "no", "n", "0", "false", "neither")
NONE_THERE = ("none", "no", "out of stock", "sold out", "nil")


class Money(NamedTuple):
    """The currency of the workshop, and of each supplier by folded code."""

    own: str
    sellers: Mapping[str, str]

    def of(self, seller: str) -> str:
        """In which a supplier is paid."""
        return self.sellers.get(fold(seller), "") or self.own


def read_currency(gathering: Gathering, row: int, cells: Sequence[str], seller: str, money: Money) -> str:
    """The currency of a row's prices: of its cell, else of the headings, else the supplier's. A fault when unclear."""
    columns = gathering.listed.columns
    stated = columns.cell(cells, "currency")
    usual = money.of(seller)
    named = {price.currency for price in columns.prices if price.currency}
    for text in filter(None, (stated, *sorted(named))):
        found = named_currency(text, (usual, money.own))
        if not found:
            why = f"{quote(text)} is no currency that is known here; give its code, such as GBP."
            gathering.fault(row, "currency" if stated else "price", why)
            return usual
        if stated:
            return found
        usual = found
    return usual


def named_currency(text: str, near: Sequence[str]) -> str:
    """The code of a currency that is named by it or by its sign; a sign of several is one of those `near`, or nothing.

    >>> named_currency("gbp", ()), named_currency("£", ("GBP", "EUR")), named_currency("£", ("EUR",))
    ('GBP', 'GBP', '')
    """
    plain = text.strip()
    if len(plain) == 3 and plain.isalpha() and is_currency(plain):
        return plain.upper()
    return next((code for code in (*near, *SURE) if is_money(f"1 {plain}", code)), "")


def one_currency(gathering: Gathering) -> None:
    """Raise BadInput when two headings of prices name two currencies."""
    named = sorted({price.currency for price in gathering.listed.columns.prices if price.currency})
    if len(named) > 1:
        raise BadInput(
            f"{quote(gathering.listed.path.name, limit=80)} was not read in.",
            f"Its headings name several currencies: {', '.join(one.upper() for one in named)}.",
            "Keep the prices of one of them.",
        )


def read_standing(gathering: Gathering, row: int, text: str) -> str:
    """Whether an offer is preferred or banned."""
    plain = fold(text)
    if plain in PREFERRED:
        return "preferred"
    if plain in BANNED:
        return "banned"
    if plain not in NEITHER:
        gathering.fault(row, "standing", f"{quote(text)} is neither preferred nor banned.")
    return ""


def read_seen(gathering: Gathering, row: int, text: str, part: int) -> int | None:
    """How many the supplier has; `500+` and `> 500` count as 500. None where no number is said."""
    plain = text.strip().lstrip(">").rstrip("+").strip()
    if fold(plain) in NONE_THERE:
        return 0
    if not any(sign.isdigit() for sign in plain):
        return None
    return gathering.quantity(row, "seen", plain, part)
