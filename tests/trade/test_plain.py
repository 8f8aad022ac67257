"""Text from outside: what a person sees stays, what acts unseen goes, and cleaning twice changes nothing."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote

HOSTILE = st.text(
    st.sampled_from("ab \t\n\r\x1b[]31mG;\x07\\\0\x9b\x85\u202e\u200b\u0301\u00a0é\u2028\u037eΩ\ufeff\U000e0041")
)


@given(st.text(max_size=60) | HOSTILE, st.booleans())
@settings(deadline=None, max_examples=400)
def test_cleaning_twice_changes_nothing_more(text: str, lines: bool) -> None:
    once = clean(text, lines=lines)
    assert clean(once, lines=lines) == once


@given(st.text(max_size=60) | HOSTILE)
@settings(deadline=None, max_examples=400)
def test_what_is_left_is_one_composed_line_without_controls(text: str) -> None:
    plain = clean(text)
    assert plain == plain.strip()
    assert "  " not in plain
    assert unicodedata.is_normalized("NFC", plain)
    assert not [char for char in plain if unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp")]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("\x1b[1;31mHT\x1b[0m supply", "HT supply"),  # ECMA-48 colours
        ("\x1b]0;title\x07Mains", "Mains"),  # a window title
        ("\x1b]8;;file:x\x1b\\link\x1b]8;;\x1b\\", "link"),  # a link
        ("\x9b2JMixer", "Mixer"),  # the eight-bit form
        ("fuse\u202egnp.exe", "fusegnp.exe"),  # right-to-left override
        ("\u2066R1\u2069\u200e", "R1"),
        ("4\u200bk\ufeff7", "4k7"),
        ("a\0b", "ab"),
        ("cafe\u0301", "café"),
        ("10\u00a0k\u2003\t5 %", "10 k 5 %"),
        ("two\r\nlines", "two lines"),
        ("2.2 \u2126", "2.2 Ω"),  # the ohm sign is the letter omega in NFC
        ("half\ud800", "half"),
    ],
)
def test_unseen_characters_vanish_and_the_words_stay(text: str, plain: str) -> None:
    assert clean(text) == plain


def test_lines_are_kept_when_asked_for_with_one_gap_at_most() -> None:
    assert clean(" one \r\n\r\n\n\n two\x85three \n", lines=True) == "one\n\ntwo\nthree"


def test_too_long_a_text_is_refused_with_its_length_and_not_cut() -> None:
    with pytest.raises(BadInput, match=r"The name was not taken\. It is 1,000,000 characters long and may have 400"):
        clean("x" * 1_000_000, what="name")
    assert clean("x" * 400) == "x" * 400
    assert clean("x" + " " * 1000 + "y") == "x y"


def test_a_quotation_is_short_and_plain() -> None:
    assert quote("a\x1b[31m\nb") == "“a b”"
    assert quote("x" * 100, limit=5) == "“xxxx…”"
    assert len(quote("y" * 10**6)) == 42
