"""Money is an integer: millionths ("micros") of the one currency of the workshop, never a binary float."""

from __future__ import annotations

import re

from buildbook.errors import BadInput
from buildbook.trade.figures import Figure, half_even, readings, show_decimal
from buildbook.trade.plain import quote

MICROS = 10**6
MOST_MICROS = 10**12 * MICROS
# What a workshop counts in until it says otherwise.
DEFAULT_CURRENCY = "EUR"

# Decimals of the minor unit, ISO 4217 list one as published on 2026-01-01. Metals, funds' and test codes have none.
_CODES = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: (
        "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW"
        " CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF"
        " IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK"
        " MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP"
        " SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG"
        " YER ZAR ZMW ZWG"
    ),
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
_DECIMALS = {code: decimals for decimals, codes in _CODES.items() for code in codes.split()}

# One sign serves many currencies; it is taken for any of these, and speaks against all others.
_DOLLARS = "AUD BBD BMD BND BSD BZD CAD FJD GYD HKD JMD KYD LRD NAD NZD SBD SGD SRD TTD TWD USD XCD"
_SIGNS = {
    "€": "EUR",
    "£": "EGP FKP GBP GIP LBP SDG SHP SSP SYP",
    "$": f"{_DOLLARS} ARS CLP COP CUP CVE DOP MOP MXN UYU",
    "us$": "USD",
    "a$": "AUD",
    "c$": "CAD",
    "nz$": "NZD",
    "s$": "SGD",
    "hk$": "HKD",
    "r$": "BRL",
    "¥": "CNY JPY",
    "\uffe5": "CNY JPY",
    "kr": "DKK ISK NOK SEK",
    "kr.": "DKK ISK NOK SEK",
    "fr": "CHF",
    "fr.": "CHF",
    "sfr": "CHF",
    "sfr.": "CHF",
    "zł": "PLN",
    "kč": "CZK",
    "ft": "HUF",
    "lei": "RON",
    "₹": "INR",
    "₩": "KPW KRW",
    "₺": "TRY",
    "₴": "UAH",
    "₽": "RUB",
    "₪": "ILS",
    "₫": "VND",
    "฿": "THB",
    "₱": "PHP",
    "₦": "NGN",
}
_MONEY = re.compile(
    r"([+\-−]?)\s*([^0-9.,\s+\-−][^0-9,\s+\-−]{0,9})?\s*([+\-−]?)\s*"
    r"([0-9.,](?:[0-9.,'’_ \u00a0\u2009\u202f]*[0-9])?)\s*([^0-9,\s]{1,10})?"
)


def minor_decimals(currency: str) -> int:
    """Give the decimals of a currency's minor unit by ISO 4217: 2 for EUR, 0 for JPY, 3 for KWD.

    Raises BadInput for a code that is not in use or has no minor unit (gold, test codes).

    >>> minor_decimals("EUR"), minor_decimals("JPY"), minor_decimals("KWD")
    (2, 0, 3)
    """
    decimals = _DECIMALS.get(currency)
    if decimals is None:
        raise BadInput(
            "The currency was not understood.",
            f"{quote(currency)} is not the ISO 4217 code of a currency with a minor unit.",
            "Give three capital letters, such as EUR, GBP or JPY.",
        )
    return decimals


def read_money(text: str, currency: str, *, signed: bool = False) -> int:
    """Read an amount or a price exactly, in millionths of `currency`; its code or sign may stand on either side.

    Thousands may be grouped by comma, point, blank or apostrophe, decimals marked by comma or point. A single comma
    before three digits that could part thousands is refused as ambiguous; a single point there marks decimals, as this
    program writes them. Raises BadInput for another currency, more than six decimals, more than 10^12 units of
    currency, anything that is not one number, and below zero unless `signed`.

    >>> read_money("1.234,56", "EUR"), read_money("€ 0.042", "EUR"), read_money("£12", "GBP")
    (1234560000, 42000, 12000000)
    """
    minor_decimals(currency)
    if not text.strip():
        raise _refused("No amount is given.")
    parts = _MONEY.fullmatch(text.strip()) if len(text) <= 80 else None
    if parts is None or (parts[1] and parts[3]):
        raise _refused(f"{quote(text)} is not one amount of money.")
    for name in (parts[2], parts[5]):
        _require_currency(name, currency, text)
    micros = _micros(_chosen(readings(parts[4]), text), text)
    if micros and (parts[1] or parts[3]) in ("-", "−"):
        if not signed:
            raise _refused(f"{quote(text)} is less than nothing.")
        return -micros
    return micros


def show_money(micros: int, currency: str, *, decimals: int | None = None) -> str:
    """Write an amount without its currency, rounded half to even to the minor unit or to `decimals` (0 to 6).

    >>> show_money(43_675_000, "EUR"), show_money(1_500_000, "JPY"), show_money(-5_000, "EUR", decimals=3)
    ('43.68', '2', '-0.005')
    """
    places = minor_decimals(currency) if decimals is None else decimals
    if not 0 <= places <= 6:
        raise BadInput("The amount was not written.", f"{places} is not 0 to 6 decimals.", "Give 0 to 6.")
    return show_decimal(half_even(micros, 10 ** (6 - places)), places, least=places)


def show_price(micros: int, currency: str) -> str:
    """Write a price in full, without its currency: the minor unit at least, and up to six decimals where it takes them.

    >>> show_price(4_200, "EUR"), show_price(12_000_000, "EUR")
    ('0.0042', '12.00')
    """
    return show_decimal(micros, 6, least=minor_decimals(currency))


def line_micros(qty: int, price_micros: int, per_qty: int) -> int:
    """Give the price of `qty` base units in millionths, when `per_qty` of them cost `price_micros`.

    Rounded to a whole millionth, a half to the even one. Raises BadInput when `per_qty` is not above zero.

    >>> line_micros(25, 1_747_000, 1), line_micros(1500, 2_000_000, 1000)
    (43675000, 3000000)
    """
    if per_qty <= 0:
        raise BadInput(
            "The price was not worked out.",
            f"A price for {per_qty} of a part is not possible.",
            "Give a price for one or more.",
        )
    return half_even(qty * price_micros, per_qty)


def _require_currency(name: str | None, currency: str, text: str) -> None:
    if not name or name.upper() == currency:
        return
    if currency in _SIGNS.get(name.casefold(), "").split():
        return
    if name.casefold() in _SIGNS or name.upper() in _DECIMALS:
        raise _refused(f"{quote(text)} is in another currency than {currency}.")
    raise _refused(f"{quote(name)} in {quote(text)} is neither {currency} nor a sign for it.")


def _chosen(figures: tuple[Figure, ...], text: str) -> Figure:
    if not figures:
        raise _refused(f"{quote(text)} is not one amount of money.")
    if len(figures) == 2 and "." not in text:
        raise _refused(f"{quote(text)} is ambiguous: it can be read as {figures[0]} or as {figures[1]}.")
    return figures[-1]


def _micros(size: Figure, text: str) -> int:
    scale: int = 10**size.places
    micros, finer = divmod(size.digits * MICROS, scale)
    if finer:
        raise _refused(f"{quote(text)} has more than six decimals.")
    if micros > MOST_MICROS:
        raise _refused(f"{quote(text)} is more than 10^12.")
    return micros


def _refused(why: str) -> BadInput:
    return BadInput("The amount was not understood.", why, "Give one number, such as 12.50 or 0.042.")
