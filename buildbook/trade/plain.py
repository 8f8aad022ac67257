"""Text from outside is hostile: it is cleaned once, at the border, and is plain text from there on."""

from __future__ import annotations

import re
import unicodedata
from string import ascii_lowercase, ascii_uppercase

from buildbook.errors import BadInput

# Escape sequences as terminals obey them (ECMA-48): with a parameter (colours, cursor), with a string (titles, links),
# and the short ones. Whatever is left of a broken sequence goes with the control characters.
_ESCAPES = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"
    r"|(?:\x1b[\]PX^_]|[\x9d\x90\x98\x9e\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)"
    r"|\x1b[ -/]*[0-Z\\^-~]"
)
# Control characters, soft hyphen, zero-width, bidirectional controls (Unicode UAX 9), tags, surrogates.
_UNSEEN = re.compile(
    "[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    "\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\ud800-\udfff\U0001bca0-\U0001bca3"
    "\U0001d173-\U0001d17a\U000e0000-\U000e0fff]"
)
_BLANKS = re.compile(r"\s+")
_LINE_ENDS = re.compile("\r\n|[\r\n\v\f\x1c-\x1e\x85\u2028\u2029]")
_GAPS = re.compile("\n{3,}")
SMALL = str.maketrans(ascii_uppercase, ascii_lowercase)


def clean(text: str, *, limit: int = 400, lines: bool = False, what: str = "text") -> str:
    r"""Make text from outside plain: nothing unseen, letters composed (Unicode NFC), single blanks, none at the ends.

    Terminal escapes, control characters, zero-width and bidirectional controls vanish. Line ends become blanks, or
    stay as `\n` (two at most in a row) when `lines` is set. Nothing is cut: more than `limit` characters raise
    BadInput, which calls the text `what`. Cleaning twice changes nothing more.

    >>> clean("  Mains \x1b[31mboard\x1b[0m\u202e \t no. 2 ")
    'Mains board no. 2'
    """
    if text.isascii() and text.isprintable():
        plain = " ".join(text.split()) if "  " in text else text.strip()
    elif lines:
        plain = "\n".join(_one_line(part) for part in _LINE_ENDS.split(_ESCAPES.sub("", text)))
        plain = _GAPS.sub("\n\n", plain).strip()
    else:
        plain = _one_line(_ESCAPES.sub("", text))
    if len(plain) > limit:
        raise BadInput(
            f"The {what} was not taken.",
            f"It is {len(plain):,} characters long and may have {limit:,} at most.",
            "Shorten it.",
        )
    return plain


def quote(text: str, *, limit: int = 40) -> str:
    r"""Put text from outside into a sentence: cleaned, in quotation marks, cut after `limit` characters.

    >>> print(quote("4k7\n resistor"))
    “4k7 resistor”
    """
    plain = _one_line(_ESCAPES.sub("", text[: 50 * limit]))
    return f"“{plain[: limit - 1]}…”" if len(plain) > limit else f"“{plain}”"


def _one_line(text: str) -> str:
    # Unseen characters go before composing, or an accent behind one would stay apart from its letter.
    return _BLANKS.sub(" ", unicodedata.normalize("NFC", _UNSEEN.sub("", text))).strip()


def fold(text: str) -> str:
    """Cleaned, with A to Z made small and nothing else: as SQLite compares, and as other names of parts are kept.

    >>> fold(" Film  Cap 10Ω")
    'film cap 10Ω'
    """
    plain = clean(text, limit=1000)
    return plain.lower() if plain.isascii() else plain.translate(SMALL)
