"""What is given is read and cleaned here, before anything is written: codes, days, quantities, words."""

from __future__ import annotations

import re
from datetime import date

from buildbook.errors import BadInput, Forbidden
from buildbook.trade.plain import clean, quote
from buildbook.trade.units import LARGEST_QTY, Unit, read_quantity

LONGEST_TEXT = 20_000
_CODE = re.compile(r"[A-Z0-9][A-Z0-9._-]{0,23}")


def read_code(text: str, what: str) -> str:
    """A code of a project, assembly, build, supplier or question, in capital letters.

    >>> read_code(" curlew ", "project")
    'CURLEW'
    """
    code = clean(text).upper()
    if not _CODE.fullmatch(code):
        raise BadInput(
            f"{quote(text)} cannot be the code of {'an' if what[0] in 'aeiou' else 'a'} {what}.",
            "A code begins with a letter or figure and has up to 24 letters, figures, dots, dashes and underscores.",
            "Choose another code.",
        )
    return code


def read_day(text: str) -> str:
    """A day as ISO 8601 writes it, such as 2026-12-04; nothing stays nothing."""
    plain = clean(text)
    if not plain:
        return ""
    try:
        return date.fromisoformat(plain).isoformat()
    except ValueError:
        raise BadInput(f"{quote(text)} is no day.", "", "Write it as year-month-day, such as 2026-12-04.") from None


def read_qty(qty: int | str, unit: str, *, least: int = 1, most: int = LARGEST_QTY) -> int:
    """A quantity in base units: a whole number as it is, a text ("2.5 m") by the unit of its part."""
    count = read_quantity(qty, Unit(unit)) if isinstance(qty, str) else qty
    if not least <= count <= most:
        raise BadInput(
            f"A quantity of {count:,} was not taken.",
            f"It must be {least} or more, and {most:,} at most.",
            "Give another quantity.",
        )
    return count


def read_count(count: int, what: str, *, least: int = 1, most: int = 1_000_000) -> int:
    """A whole number within its limits."""
    if not least <= count <= most:
        raise BadInput(
            f"{count} {what} cannot be.", f"It must be {least} or more, and {most:,} at most.", "Give another."
        )
    return count


def read_one_of(text: str, known: tuple[str, ...], what: str) -> str:
    """One of a few known words."""
    plain = clean(text).lower()
    if plain not in known:
        raise BadInput(f"There is no {what} {quote(text)}.", f"There are {', '.join(known)}.", "Choose one of them.")
    return plain


def read_kind(text: str) -> str:
    """A kind of part, by any word for it; nothing given is "other"."""
    from buildbook.trade.kinds import KINDS
    from buildbook.trade.kinds import read_kind as kind_meant

    if not clean(text):
        return "other"
    kind = kind_meant(text)
    if kind is None:
        raise BadInput(f"{quote(text)} is no kind of part.", f"There are {', '.join(KINDS)}.", "Choose one of them.")
    return kind


def read_value(text: str, kind: str) -> tuple[str, float | None]:
    """The value of a part as it is kept, and in SI units for searching; what is not a value stays a text."""
    from buildbook.trade.kinds import KINDS
    from buildbook.trade.values import Value, read

    plain = clean(text)
    quantity = KINDS[read_kind(kind)].value_kind
    if not plain or quantity is None:
        return plain, None
    value = read(plain, quantity)
    # A value that could be read in two ways is not guessed at: it keeps its text and is not found by its size.
    return plain, value.si if isinstance(value, Value) else None


def read_text(text: str, what: str) -> str:
    """A text of several lines."""
    return clean(text, limit=LONGEST_TEXT, lines=True, what=what)


def need_reason(reason: str, done: str) -> str:
    """A reason, cleaned; raises Forbidden without one."""
    plain = read_text(reason, "reason")
    if not plain:
        raise Forbidden(f"{done} needs a reason.", "Later nobody will know why it was so.", "Give one in a few words.")
    return plain
