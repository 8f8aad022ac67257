"""What a file is, by its content."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.trade.media import BINARY, JPEG, PDF, PNG, SVG, TEXT, WORDS, media_of, size_said


@pytest.mark.parametrize(
    ("head", "media"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", PNG),  # ISO/IEC 15948, 5.2
        (b"\x89PNG\n\x1a\n", BINARY),  # as a transfer that translates line ends leaves it
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", JPEG),  # ITU-T T.81, B.1.1.3
        (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3", PDF),  # ISO 32000-1, 7.5.2
        (b"<svg xmlns='http://www.w3.org/2000/svg'>", SVG),
        (b"\xef\xbb\xbf<?xml version='1.0'?>\n<!-- a > b -->\n<!DOCTYPE svg>\n<svg>", SVG),
        (b"<svgx>", TEXT),
        (b"<html><svg></html>", TEXT),
        (b"4k7 is \xc2\xb11 %", TEXT),
        ("µ".encode() * 3000 + b"\xc2", TEXT),  # cut in the middle of a letter
        (b"R1,4k7\r\n", TEXT),
        (b"4k7 \xb5", BINARY),
        (b"text\x00", BINARY),
        (b"\x1b[31mred", BINARY),
        (b"", BINARY),
        (b"MZ\x90\x00", BINARY),
    ],
)
def test_it_is_told_by_how_it_begins(head: bytes, media: str) -> None:
    assert media_of(head) == media


@given(st.binary(max_size=300))
@settings(max_examples=100, deadline=None)
def test_whatever_it_is_it_is_something_that_has_a_word(head: bytes) -> None:
    media = media_of(head)
    assert media in WORDS
    if media == TEXT:
        head.decode("utf-8", errors="strict" if head[-1:] < b"\x80" else "replace")


@given(st.text("abc <>!-\n", max_size=2000))
@settings(max_examples=50, deadline=None)
def test_a_picture_is_known_behind_any_comment(comment: str) -> None:
    inner = comment.replace("--", "")
    assert media_of(f"<!--{inner}--><svg>".encode()) == SVG


def test_a_size_is_said_in_decimal_prefixes() -> None:
    assert [size_said(size) for size in (0, 1, 1000, 12_345, 1_500_000)] == [
        "0 bytes",
        "1 byte",
        "1.0 kB",
        "12.3 kB",
        "1.5 MB",
    ]
