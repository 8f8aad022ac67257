"""Money: exact to the millionth, rounded half to even, never taken for another currency."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iso4217 import Currency

from buildbook.errors import BadInput
from buildbook.trade.money import line_micros, minor_decimals, read_money, show_money, show_price

MICROS = st.integers(-(10**18), 10**18)


def test_minor_units_agree_with_the_published_list() -> None:
    """ISO 4217 list one, as the package iso4217 ships it."""
    for currency in Currency:
        if currency.exponent is None:
            with pytest.raises(BadInput, match="is not the ISO 4217 code"):
                minor_decimals(currency.code)
        else:
            assert minor_decimals(currency.code) == currency.exponent


@given(MICROS, st.sampled_from(["EUR", "JPY", "KWD", "CLF"]))
@settings(deadline=None, max_examples=200)
def test_a_price_that_is_shown_reads_back_unchanged(micros: int, currency: str) -> None:
    assert read_money(show_price(micros, currency), currency, signed=True) == micros


@given(MICROS, st.integers(0, 6))
@settings(deadline=None, max_examples=200)
def test_amounts_are_rounded_as_decimal_arithmetic_does(micros: int, decimals: int) -> None:
    exact = Decimal(micros).scaleb(-6).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)
    assert Decimal(show_money(micros, "EUR", decimals=decimals)) == exact


@given(st.integers(-(10**9), 10**9), st.integers(0, 10**12), st.integers(1, 10**6))
@settings(deadline=None, max_examples=200)
def test_a_line_costs_the_exact_share_to_the_nearest_millionth(qty: int, price: int, per_qty: int) -> None:
    assert line_micros(qty, price, per_qty) == round(Fraction(qty * price, per_qty))


def test_a_price_for_none_is_refused() -> None:
    with pytest.raises(BadInput, match="A price for 0 of a part is not possible"):
        line_micros(1, 100, 0)


@pytest.mark.parametrize(
    ("text", "currency", "micros"),
    [
        ("1,234.56", "EUR", 1_234_560_000),
        ("1.234,56", "EUR", 1_234_560_000),
        ("1 234,56", "EUR", 1_234_560_000),
        ("1'234.50", "CHF", 1_234_500_000),
        ("1,234,567", "EUR", 1_234_567_000_000),
        ("€ 0.042", "EUR", 42_000),
        ("0,042 EUR", "EUR", 42_000),
        ("eur 3", "EUR", 3_000_000),
        ("£12", "GBP", 12_000_000),
        ("$3", "AUD", 3_000_000),
        ("US$ 3", "USD", 3_000_000),
        ("12.50 Fr.", "CHF", 12_500_000),
        ("1.234", "EUR", 1_234_000),
        ("1234,567", "EUR", 1_234_567_000),
        ("0,125", "EUR", 125_000),
        (".5", "EUR", 500_000),
        ("0.10000000", "EUR", 100_000),
        ("0", "JPY", 0),
        ("1000000000000", "EUR", 10**18),
    ],
)
def test_prices_as_lists_and_invoices_write_them(text: str, currency: str, micros: int) -> None:
    assert read_money(text, currency) == micros


@pytest.mark.parametrize(
    ("text", "currency", "why"),
    [
        ("", "EUR", "No amount is given."),
        ("1,234", "EUR", "“1,234” is ambiguous: it can be read as 1234 or as 1.234."),
        ("12 USD", "EUR", "“12 USD” is in another currency than EUR."),
        ("$3", "EUR", "“$3” is in another currency than EUR."),
        ("EUR 3 USD", "EUR", "“EUR 3 USD” is in another currency than EUR."),
        ("1.234.56", "EUR", "“1.234.56” is not one amount of money."),
        ("12p", "GBP", "“p” in “12p” is neither GBP nor a sign for it."),
        ("-3", "EUR", "“-3” is less than nothing."),
        ("EUR -3", "EUR", "“EUR -3” is less than nothing."),
        ("--3", "EUR", "“--3” is not one amount of money."),
        ("0.0000001", "EUR", "“0.0000001” has more than six decimals."),
        ("1e3", "EUR", "“1e3” is not one amount of money."),
        ("12 or 13", "EUR", "“12 or 13” is not one amount of money."),
        ("free", "EUR", "“free” is not one amount of money."),
        ("1000000000001", "EUR", "“1000000000001” is more than 10^12."),
        ("9" * 5000, "EUR", f"“{'9' * 39}…” is not one amount of money."),
        ("3", "XAU", "“XAU” is not the ISO 4217 code of a currency with a minor unit."),
        ("3", "eur", "“eur” is not the ISO 4217 code of a currency with a minor unit."),
    ],
)
def test_what_is_not_clear_is_refused_with_the_reason(text: str, currency: str, why: str) -> None:
    with pytest.raises(BadInput) as fault:
        read_money(text, currency)
    assert fault.value.why == why


def test_a_credit_is_taken_only_where_a_sign_makes_sense() -> None:
    assert read_money("-£3.20", "GBP", signed=True) == -3_200_000
    assert read_money("£\u22123.20", "GBP", signed=True) == -3_200_000


@pytest.mark.parametrize(
    ("micros", "currency", "shown"),
    [
        (43_675_000, "EUR", "43.68"),  # a half goes to the even cent
        (43_665_000, "EUR", "43.66"),
        (1_500_000, "JPY", "2"),
        (2_500_000, "JPY", "2"),
        (1_234_500, "KWD", "1.234"),
        (-5_000, "EUR", "0.00"),
        (0, "EUR", "0.00"),
    ],
)
def test_amounts_are_shown_to_the_minor_unit(micros: int, currency: str, shown: str) -> None:
    assert show_money(micros, currency) == shown


@pytest.mark.parametrize(
    ("micros", "currency", "shown"),
    [
        (4_200, "EUR", "0.0042"),
        (1, "EUR", "0.000001"),
        (12_000_000, "EUR", "12.00"),
        (12_500_000, "JPY", "12.5"),
        (12_000_000, "JPY", "12"),
        (-250_000, "EUR", "-0.25"),
    ],
)
def test_prices_are_shown_in_full(micros: int, currency: str, shown: str) -> None:
    assert show_price(micros, currency) == shown


def test_more_decimals_than_are_kept_cannot_be_shown() -> None:
    with pytest.raises(BadInput, match="7 is not 0 to 6 decimals"):
        show_money(1, "EUR", decimals=7)
