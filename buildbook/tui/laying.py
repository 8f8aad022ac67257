"""How text is laid into the cells of a terminal: cleaned, measured, cut, wrapped; and columns into a width."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple
from unicodedata import combining, normalize

from rich.cells import cell_len, set_cell_size

from buildbook.trade.plain import clean
from buildbook.tui.rows import Cell, Column, Row

GAP = 2
# How far the lines below a row stand in.
INDENT = 4
# Nobody reads more of a cell on one line; what is longer stands whole in the lines below the row.
LONGEST_CELL = 120
LONGEST_LINE = 20_000
_NO_LIMIT = 1 << 40


class Glyphs(NamedTuple):
    """The signs that the program draws by itself."""

    ellipsis: str
    rule: str
    side: str
    mark: str
    gap: str = " "


UNICODE = Glyphs(ellipsis="…", rule="─", side="│", mark="›", gap="▔")
ASCII = Glyphs(ellipsis="...", rule="-", side="|", mark=">")


def one_line(text: str, most: int = LONGEST_CELL * 4) -> str:
    r"""A text from outside on one line, without anything that moves the cursor or turns the direction of writing.

    Blanks before it stay. More than `most` characters are not looked at.

    >>> one_line("  4k7\n\x1b[31m1%\u202e")
    '  4k7 1%'
    """
    if len(text) > most:
        text = text[:most]
    if text.isascii() and text.isprintable():
        return text
    return " " * (len(text) - len(text.lstrip(" "))) + clean(text, limit=_NO_LIMIT)


# The trade's signs and those of printed text, as a terminal can show them that has no more than ASCII.
_SPELT = str.maketrans(
    {"Ω": "ohm", "\u2126": "ohm", "µ": "u", "μ": "u", "±": "+/-", "×": "x", "°": " deg", "€": "EUR", "²": "2"}
    | {"–": "-", "—": "-", "−": "-", "“": '"', "”": '"', "‘": "'", "’": "'", "…": "...", "≤": "<=", "≥": ">="}
)


def spelt(text: str) -> str:
    """A text in ASCII alone: signs spelt out, letters without their accents, a question mark for the rest.

    >>> spelt("4.7 kΩ ±5 %, 22 µF, “Größe”, 抵抗")
    '4.7 kohm +/-5 %, 22 uF, "Grosse", ??'
    """
    if text.isascii():
        return text
    letters = normalize("NFKD", text.translate(_SPELT).replace("ß", "ss"))
    return "".join(letter for letter in letters if not combining(letter)).encode("ascii", "replace").decode("ascii")


class _Terminal:
    """What the terminal of this program can show."""

    ascii = False


def show_ascii_only(*, wanted: bool) -> None:
    """Whether every text is spelt out in ASCII from now on."""
    _Terminal.ascii = wanted


def plain(text: str, most: int = LONGEST_CELL * 4) -> str:
    """A text from outside as it is drawn: on one line, harmless, and in signs that the terminal can show."""
    said = one_line(text, most)
    return spelt(said) if _Terminal.ascii else said


def width_of(text: str) -> int:
    """How many cells of a terminal a plain text takes.

    >>> width_of("4k7 Ω"), width_of("抵抗"), width_of("e\u0301")
    (5, 4, 1)
    """
    return len(text) if text.isascii() else cell_len(text)


def set_to(text: str, width: int, *, right: bool = False, glyphs: Glyphs = UNICODE) -> str:
    """A plain text in exactly `width` cells: filled with blanks, or cut with an ellipsis.

    >>> set_to("Curlew", 8), set_to("120", 5, right=True), set_to("Detector board", 9)
    ('Curlew  ', '  120', 'Detector…')
    """
    has = width_of(text)
    if has <= width:
        blanks = " " * (width - has)
        return blanks + text if right else text + blanks
    if width <= len(glyphs.ellipsis):
        return set_cell_size(text, max(0, width))
    kept = set_cell_size(text, width - len(glyphs.ellipsis)).rstrip(" ") + glyphs.ellipsis
    blanks = " " * (width - width_of(kept))
    return blanks + kept if right else kept + blanks


def wrapped(text: str, width: int) -> list[str]:
    """A plain text in lines of at most `width` cells, broken at blanks where there are any; what is indented stays so.

    A number stays with the word that it counts; the rest of a row of columns, set apart by two blanks, is indented.

    >>> wrapped("Mask the earth patch, then 2 coats of primer", 16)
    ['Mask the earth', 'patch, then', '2 coats of', 'primer']
    """
    width = max(2, width)
    apart = GAP if " " * GAP in text.strip(" ") else 0
    indent = " " * min(len(text) - len(text.lstrip(" ")) + apart, width // 2)
    lines: list[str] = []
    rest = text
    while width_of(rest) > width:
        head = set_cell_size(rest, width)
        if not rest.startswith(head):
            head = head[:-1]  # Half of a wide letter stood there.
        if not head.strip():
            rest, indent = rest.lstrip(" "), ""
            continue
        if len(head) < len(rest) and rest[len(head)] != " ":
            blank = head.rfind(" ")
            head = head[:blank] if blank > len(indent) else head.rstrip(" ")
        words, _, last = head.rstrip(" ").rpartition(" ")
        if last.isdecimal() and len(words) > len(indent):
            head = words
        lines.append(head.rstrip(" "))
        rest = indent + rest[len(head) :].lstrip(" ")
    return [*lines, rest] if rest.strip() or not lines else lines


def within(text: str, width: int, most: int, glyphs: Glyphs = UNICODE) -> list[str]:
    """A text in at most `most` lines of `width` cells, the last one cut where there is more."""
    lines = wrapped(plain(text, LONGEST_LINE), width)
    if len(lines) <= most:
        return lines
    rest = " ".join(lines[most - 1 :])
    return [*lines[: most - 1], set_to(rest, width, glyphs=glyphs)]


def bands_width(cell: Cell) -> int:
    """How many cells the colour bands before a text take, with the gap after them."""
    return 2 * len(cell.bands) + 2 if cell.bands else 0


def natural_widths(columns: Sequence[Column], rows: Sequence[Row]) -> tuple[int, ...]:
    """How wide each column is when nothing is cut, LONGEST_CELL at most."""
    widths = [width_of(plain(column.heading)) for column in columns]
    for row in rows:
        for at, cell in enumerate(row.cells):
            if isinstance(cell, Cell) and cell.span > 1:
                continue
            text, drawn = (cell, 0) if isinstance(cell, str) else (cell.text, bands_width(cell))
            # No character takes more than two cells, so that most texts need not be measured.
            if 2 * len(text) + drawn <= widths[at] or (len(text) + drawn <= widths[at] and text.isascii()):
                continue
            widths[at] = max(widths[at], min(LONGEST_CELL, drawn + width_of(plain(text))))
    return tuple(widths)


def laid(columns: Sequence[Column], widths: Sequence[int], room: int) -> list[tuple[int, int]]:
    """Which columns stand in `room` cells, gaps included, and how wide: pairs of the column's number and its width.

    First what may shrink gives way, the widest most; then columns go, the highest rank first; then all are squeezed.

    >>> columns = (Column("part"), Column("value", shrink=True), Column("worth", rank=1))
    >>> laid(columns, (6, 30, 9), 60), laid(columns, (6, 30, 9), 40), laid(columns, (6, 30, 9), 24)
    ([(0, 6), (1, 30), (2, 9)], [(0, 6), (1, 21), (2, 9)], [(0, 6), (1, 16)])
    """
    kept = list(range(len(columns)))
    while True:
        least = sum(min(widths[at], columns[at].least) if columns[at].shrink else widths[at] for at in kept)
        least += GAP * (len(kept) - 1)
        going = [at for at in kept if columns[at].rank]
        if least <= room or not going:
            break
        kept.remove(max(going, key=lambda at: (columns[at].rank, at)))
    fit = {at: widths[at] for at in kept}
    excess = sum(fit.values()) + GAP * (len(kept) - 1) - room
    for giving, squeezed in ((True, False), (False, False), (True, True), (False, True)):
        least_of = {at: 1 if squeezed else columns[at].least for at in kept if columns[at].shrink is giving}
        while excess > 0 and any(fit[at] > least for at, least in least_of.items()):
            widest = max((at for at in least_of if fit[at] > least_of[at]), key=lambda at: fit[at])
            fit[widest] -= 1
            excess -= 1
    return [(at, fit[at]) for at in kept if fit[at]]
