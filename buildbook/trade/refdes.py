"""Reference designators: R1, C3-C5, IC1A; read in groups and ranges, written compactly, sorted as people count."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import NamedTuple

from buildbook.errors import BadInput
from buildbook.trade.plain import clean, quote
from buildbook.trade.refclasses import CLASSES, Meaning

LONGEST_RANGE = 2000
LONGEST_TEXT = 100_000

_SIMPLE = re.compile(r"[A-Z]{1,6}(?:0|[1-9][0-9]{0,8})")
# An optional prefix of letters with a hyphen (the mark of a board), class letters, a number, up to two suffix letters.
_ONE = re.compile(r"((?:[A-Z]{1,8}-)?)([A-Z]{1,6})([0-9]{1,9})([A-Z]{0,2})")
_RANGE = re.compile(rf"{_ONE.pattern}-((?:[A-Z]{{1,8}}-)?)([A-Z]{{0,6}})([0-9]{{1,9}})([A-Z]{{0,2}})")
_MORE = re.compile(r"([0-9]{1,9})(?:-([0-9]{1,9}))?")
_TO = re.compile(r"\s*(?:\.{2,3}|…|[-‐‑‒–—−~]|(?<![^\s])(?:TO|THRU|THROUGH)(?![^\s]))\s*")
_BETWEEN = re.compile(r"\s*([,;/&+\s]|\bAND\b)[,;/&+\s]*")
_RUNS = re.compile(r"([^0-9]*)([0-9]*)")


class _Ref(NamedTuple):
    """One designator in its parts; `mark` is the prefix and the class letters together."""

    mark: str
    number: int
    suffix: str

    def __str__(self) -> str:
        return f"{self.mark}{self.number}{self.suffix}"


def read_refs(text: str) -> tuple[str, ...]:
    """Read designators in the order in which they stand: "R1,R2, R5-R9", "C1 C2", "R1-4", "R1 to R4", "MB-R12, IC1A".

    Letters are made capitals and leading zeros dropped. After a comma a bare number goes on with the letters before it:
    "R1, 3, 5-7". Blank text gives none. Raises BadInput for a range that runs backwards, changes its letters or is
    longer than 2,000, for a designator given twice, and for anything else.

    >>> read_refs("R1-R3, R7"), read_refs("c1 c2"), read_refs("R1..R3")
    (('R1', 'R2', 'R3', 'R7'), ('C1', 'C2'), ('R1', 'R2', 'R3'))
    """
    if _SIMPLE.fullmatch(text):
        return (text,)
    said = _TO.sub("-", clean(text, limit=LONGEST_TEXT, what="list of designators").upper())
    refs: list[str] = []
    mark = ""
    for piece, after_comma in _pieces(said):
        found, mark = _read_piece(piece, mark if after_comma else "")
        refs += found
    _require_single(refs)
    return tuple(refs)


def join_refs(refs: tuple[str, ...] | list[str]) -> str:
    """Write designators compactly, in natural order, three or more in a row as a range; `read_refs` reads it back.

    >>> join_refs(("R10", "R2", "R1", "R3", "C1", "R11"))
    'C1, R1-R3, R10, R11'
    """
    if len(refs) == 1:
        return refs[0]  # by far the most common, and there is nothing to join
    run: list[str] = []
    written: list[str] = []
    for ref in sorted(set(refs), key=natural_key):
        if run and (len(run) == LONGEST_RANGE or not _follows(run[-1], ref)):
            written += _written(run)
            run = []
        run.append(ref)
    return ", ".join(written + _written(run))


def natural_key(text: str) -> tuple[tuple[str, int, str], ...]:
    """Give a key that sorts any text as people count: R2 before R10, whatever the case.

    >>> sorted(["R10", "R2", "r1", "C3"], key=natural_key)
    ['C3', 'r1', 'R2', 'R10']
    """
    # Digits compare by length and then as text, so a hostile row of a million digits is never turned into a number.
    runs = ((letters, digits.lstrip("0")) for letters, digits in _RUNS.findall(text.casefold()))
    return (*((letters, len(digits), digits) for letters, digits in runs), (text, 0, ""))


def classes(letters: str) -> tuple[Meaning, ...]:
    """Give every meaning of class letters: by IEEE 315 first, then at the bench (common practice), then by IEC 81346-2.

    Letters alone never identify a part across standards: V is a valve in one and a diode in another.

    >>> [(meaning.standard, meaning.words) for meaning in classes("V")]
    [('IEEE 315', 'valve'), ('older IEC', 'semiconductor or valve')]
    """
    return CLASSES.get(letters.upper(), ())


def kind_of(ref: str) -> str | None:
    """Guess the kind of part from the class letters of a designator, or of the letters alone; None when unknown.

    The first meaning of `classes` is taken: a guess to be shown, not a fact.

    >>> kind_of("R12"), kind_of("MB-C3"), kind_of("SW1"), kind_of("12")
    ('resistor', 'capacitor', 'switch', None)
    """
    letters = ref.upper().strip().rpartition("-")[2]
    if one := _ONE.fullmatch(letters):
        letters = one[2]
    meanings = CLASSES.get(letters)
    return meanings[0].kind if meanings else None


def _pieces(said: str) -> list[tuple[str, bool]]:
    """Split at commas, blanks and other marks, and say for each piece whether a comma or its like stood before it."""
    pieces: list[tuple[str, bool]] = []
    at, comma = 0, False
    for gap in _BETWEEN.finditer(said):
        if gap.start() > at:
            pieces.append((said[at : gap.start()], comma))
            comma = False
        comma = comma or bool(gap[0].strip())
        at = gap.end()
    return [*pieces, (said[at:], comma)] if at < len(said) else pieces


def _read_piece(piece: str, mark: str) -> tuple[list[str], str]:
    """Read one designator, range or bare number that goes on with `mark`; give the designators and their mark."""
    if one := _ONE.fullmatch(piece):
        return [str(_ref(one[1] + one[2], one[3], one[4]))], one[1] + one[2]
    if span := _RANGE.fullmatch(piece):
        first = _ref(span[1] + span[2], span[3], span[4])
        last = _ref((span[5] or span[1]) + (span[6] or span[2]), span[7], span[8])
        if (span[5] and not span[6]) or (span[5] and span[5] != span[1]) or first.mark != last.mark:
            raise _refused(f"{quote(piece)} starts and ends with different letters.")
        return _counted(piece, first, last), first.mark
    more = _MORE.fullmatch(piece)
    if more and mark:
        return _counted(piece, _ref(mark, more[1]), _ref(mark, more[2] or more[1])), mark
    if re.fullmatch(r"(?:[A-Z]{1,8}-)?[A-Z]{1,6}[?*]?", piece):
        raise _refused(f"{quote(piece)} has no number.")
    raise _refused(f"{quote(piece)} is not a reference designator.")


def _ref(mark: str, number: str, suffix: str = "") -> _Ref:
    return _Ref(mark, int(number), suffix)


def _counted(piece: str, first: _Ref, last: _Ref) -> list[str]:
    """Write out a range, after making sure that it goes upwards and is not absurdly long."""
    if first.suffix or last.suffix:
        raise _refused(f"{quote(piece)} is a range with letters behind the number.")
    if last.number < first.number:
        raise _refused(f"{quote(piece)} runs backwards.")
    if last.number - first.number >= LONGEST_RANGE:
        raise _refused(f"{quote(piece)} is longer than {LONGEST_RANGE:,}.")
    return [f"{first.mark}{number}" for number in range(first.number, last.number + 1)]


def _require_single(refs: list[str]) -> None:
    if len(set(refs)) < len(refs):
        twice = [one for one, other in pairwise(sorted(refs, key=natural_key)) if one == other]
        raise _refused(f"{join_refs(twice)} {'is' if len(set(twice)) == 1 else 'are'} given more than once.")


def _follows(one: str, other: str) -> bool:
    before, after = _ONE.fullmatch(one), _ONE.fullmatch(other)
    if before is None or after is None or before[4] or after[4]:
        return False
    return before.group(1, 2) == after.group(1, 2) and int(after[3]) == int(before[3]) + 1


def _written(run: list[str]) -> list[str]:
    return [f"{run[0]}-{run[-1]}"] if len(run) > 2 else run


def _refused(why: str) -> BadInput:
    return BadInput("The designators were not understood.", why, "Write them like R1, R4-R6, C2.")
