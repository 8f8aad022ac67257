"""What a file is, told from how its content begins; never from its name, which anybody can give."""

from __future__ import annotations

import codecs
import re

PNG = "image/png"
JPEG = "image/jpeg"
SVG = "image/svg+xml"
PDF = "application/pdf"
TEXT = "text/plain"
BINARY = "application/octet-stream"
# What each is called in a sentence.
WORDS = {PNG: "PNG", JPEG: "JPEG", SVG: "SVG", PDF: "PDF", TEXT: "text", BINARY: "file"}
PICTURES = frozenset((PNG, JPEG, SVG))
# So many bytes of the beginning are enough to tell.
HEAD_BYTES = 4096

# The signatures: PNG by ISO/IEC 15948 (5.2), JPEG by ITU-T T.81 (SOI, then the first byte of a marker), PDF by
# ISO 32000-1 (7.5.2).
_SIGNATURES = ((b"\x89PNG\r\n\x1a\n", PNG), (b"\xff\xd8\xff", JPEG), (b"%PDF-", PDF))
# Before its first element an XML document may have a declaration, comments and a document type (XML 1.0, 2.8).
_BEFORE_SVG = re.compile(r"\s*(?:<\?xml[^>]*\?>\s*)?(?:<!--.*?-->\s*|<!DOCTYPE[^>\[]*>\s*)*<svg[\s>/]", re.DOTALL)
# Tab, line feed, form feed and carriage return stand in texts; no other control character does.
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")


def media_of(head: bytes) -> str:
    """The media type (RFC 6838) of a file that begins so: PNG, JPEG, SVG, PDF, text in UTF-8, else binary.

    >>> media_of(b"%PDF-1.7"), media_of(b"<svg width='9'/>"), media_of(b"Three holes"), media_of(b"")
    ('application/pdf', 'image/svg+xml', 'text/plain', 'application/octet-stream')
    """
    for signature, media in _SIGNATURES:
        if head.startswith(signature):
            return media
    try:
        # A letter that the end of the head cuts in two is no fault.
        text = codecs.getincrementaldecoder("utf-8-sig")().decode(head[:HEAD_BYTES])
    except UnicodeDecodeError:
        return BINARY
    if not text or _NOT_TEXT.search(text):
        return BINARY
    return SVG if _BEFORE_SVG.match(text) else TEXT


def size_said(size: int) -> str:
    """So many bytes in words, in the decimal prefixes of the SI.

    >>> size_said(1), size_said(999), size_said(4_249), size_said(260_000_000)
    ('1 byte', '999 bytes', '4.2 kB', '260.0 MB')
    """
    if size < 1000:
        return f"{size} byte{'' if size == 1 else 's'}"
    return f"{size / 1000:,.1f} kB" if size < 1_000_000 else f"{size / 1_000_000:,.1f} MB"
