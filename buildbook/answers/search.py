"""Log: where do these words stand, in anything that was ever written?"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.errors import BadInput, StoreFault
from buildbook.store.read import search as read
from buildbook.store.words import ROOM
from buildbook.trade.plain import clean, quote
from buildbook.trade.spellings import spellings

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# The kinds of text by the tables that they stand in, in the order in which they are told.
KINDS = {
    "entry": ("note", "notes"),
    "snag": ("snag", "snags"),
    "snag_try": ("try", "tries"),
    "journal_entry": ("action", "actions"),
    "episode": ("episode", "episodes"),
    "mark": ("mark", "marks"),
    "shot": ("shot", "shots"),
    "audience_question": ("question", "questions of the audience"),
    "attachment": ("file", "files"),
    "reading": ("reading", "readings"),
    "step_run": ("signature", "signatures"),
    "delivery": ("parcel", "parcels"),
    "delivery_line": ("line of a parcel", "lines of parcels"),
    "purchase": ("order", "orders"),
    "choice": ("choice", "choices"),
    "choice_option": ("option", "options"),
    "step": ("step", "steps"),
    "test_point": ("test point", "test points"),
    "project": ("project", "projects"),
    "assembly": ("section", "sections"),
    "build": ("build", "builds"),
    "line": ("line", "lines"),
    "supplier": ("supplier", "suppliers"),
    "offer": ("offer", "offers"),
    "stand_in": ("stand-in", "stand-ins"),
    "bin": ("bin", "bins"),
    "part": ("part", "parts"),
}
# What SQLite says of an index that it cannot read.
DAMAGED = ("malformed", "fts5", "vtable", "no such table: said", "no such table: main.said")
# What stands around a piece that was found within a word, in characters.
BEFORE, AROUND = 40, 140


class FoundRow(NamedTuple):
    """One text: when (UTC; empty of what is there and did not happen), what it is and is about.

    `said` is what stands around the words found, `marks` where in it they stand (from, to); `key` is by what the place
    that holds it knows it again.
    """

    at: str
    kind: str
    build: str
    what: str
    about: str
    said: str
    marks: tuple[tuple[int, int], ...]
    key: str


@dataclass(frozen=True, slots=True)
class Found(Answer):
    """The texts in which the words stand; `total` of them, of which `rows` may be only the newest of each kind.

    `within` says that no word begins so, and that it was looked for in the middle of words.
    """

    SCHEMA: ClassVar[str] = "buildbook.found/1"
    rows: tuple[FoundRow, ...]
    total: int
    within: bool


def search(shop: Workshop, text: str, *, most: int | None = None) -> Found:
    """Where all of the words stand, the newest first, then what has no date; at most `most` of each kind.

    The last word may be a beginning, unless a blank or a sign follows it; what stands in quotes stands together.
    Capitals and accents make no difference. Newest first, and not by how well a text fits: each holds all the words,
    and a log is read by when things happened. Raises BadInput for an empty text, StoreFault where the index is damaged.
    """
    wanted = clean(text)
    if not wanted:
        raise BadInput("There is nothing to look for.", "", "Give a piece of text.")
    try:
        return _search(shop.reads, wanted, begins=is_letter(text[-1]), most=most)
    except sqlite3.DatabaseError as error:
        if not any(sign in str(error) for sign in DAMAGED):
            raise
        raise StoreFault(
            f"{quote(wanted)} was not looked for.",
            "The index of words is damaged.",
            "Nothing is lost: make it anew with `buildbook workshop check --rebuild`.",
        ) from error


def _search(reads: sqlite3.Connection, wanted: str, *, begins: bool, most: int | None) -> Found:
    pieces = pieces_of(wanted)
    asked = expression(pieces, begins=begins)
    numbers = read.matching(reads, asked) if asked else []
    within = not numbers
    if within:
        numbers = read.holding(reads, pieces or [wanted])
    runs = runs_of(numbers)
    chosen = {kind: run[:most] for kind, run in runs.items()}
    found = (
        around(reads, pieces or [wanted], list(chosen.values()))
        if within
        else {number: marked(said) for number, said in read.contexts(reads, asked, list(chosen.values())).items()}
    )
    rows = [
        row_of(KINDS[kind][0], row, *found[row.number])
        for kind, run in chosen.items()
        for row in sorted(read.told(reads, kind, run), key=lambda row: -row.number)
        if row.number in found  # another program may have changed it between the two readings
    ]
    rows.sort(key=lambda row: row.at, reverse=True)
    counted = [count_of(len(run), *KINDS[kind]) for kind, run in runs.items()]
    where = f"{'within words of ' if within and counted else 'in '}{join_words(counted) or 'nothing'}"
    less = "; the newest of each are shown" if len(rows) < len(numbers) else ""
    return Found(f"{quote(wanted)} stands {where}{less}.", tuple(rows), len(numbers), within and bool(numbers))


# --- what is asked for -----------------------------------------------------------------------------------------------

QUOTES = str.maketrans({"“": '"', "”": '"', "„": '"', "«": '"', "»": '"'})


def pieces_of(text: str) -> list[str]:
    """The words, and what stands in quotes as one piece; an unfinished quotation goes to the end.

    >>> pieces_of('choke "smoothing  choke" 4k7')
    ['choke', 'smoothing choke', '4k7']
    """
    pieces: list[str] = []
    for at, part in enumerate(text.translate(QUOTES).split('"')):
        words = part.split()
        pieces += [" ".join(words)] if at % 2 and words else words
    return pieces


def is_letter(sign: str) -> bool:
    """Whether a sign belongs to a word of the index: letters, figures, and what SQLite takes for them."""
    return unicodedata.category(sign)[0] in "LN" or unicodedata.category(sign) in ("Co", "Mn", "Mc")


def expression(pieces: Sequence[str], *, begins: bool) -> str:
    """What FTS5 is asked: every piece as a phrase, in quotes, so that no sign means anything; empty without a letter.

    A value may also stand there written in another way.

    >>> expression(["mains", "R-4k7", "%"], begins=True)
    '"mains" AND "R-4k7" *'
    """
    worded = [piece for piece in pieces if any(map(is_letter, piece))]
    phrases = [f'"{piece}"' + (" *" if begins and at == len(worded) else "") for at, piece in enumerate(worded, 1)]
    return " AND ".join(
        " OR ".join([phrase, *(f'"{way}"' for way in ways)]).join("()") if ways else phrase
        for phrase, ways in zip(phrases, map(spellings, worded), strict=True)
    )


def runs_of(numbers: Sequence[int]) -> dict[str, Sequence[int]]:
    """Numbers of the index, the highest first, by kind, in the order in which the kinds are told."""
    runs: dict[str, Sequence[int]] = {}
    low = len(numbers)
    for kind, at in zip(KINDS, range(1, len(KINDS) + 1), strict=True):
        # The numbers fall, so those of the first kinds stand at the end.
        high, low = low, bisect_left(numbers, -(at + 1) * ROOM + 1, key=lambda number: -number)
        if low < high:
            runs[kind] = numbers[low:high]
    return runs


# --- what is shown of it ---------------------------------------------------------------------------------------------

Said = tuple[str, tuple[tuple[int, int], ...]]
LINES = re.compile(r"\s*\n\s*")
SIGNS = re.compile(f"[{read.OPENS}{read.CLOSES}]")


def marked(snippet: str) -> Said:
    """A context on one line, and where in it the words found stand.

    >>> marked("The \\x02choke\\x03 hums\\n10 H")
    ('The choke hums, 10 H', ((4, 9),))
    """
    text = " ".join(LINES.sub(", ", snippet).split())
    places = [sign.start() - at for at, sign in enumerate(SIGNS.finditer(text))]
    return SIGNS.sub("", text), tuple(zip(places[::2], places[1::2], strict=False))


def around(reads: sqlite3.Connection, pieces: Sequence[str], runs: Sequence[Sequence[int]]) -> dict[int, Said]:
    """What stands around pieces that were found within words."""
    texts = read.whole(reads, [number for run in runs for number in run])
    sought = re.compile("|".join(map(re.escape, pieces)), re.IGNORECASE)
    return {number: about(text, sought) for number, text in texts.items()}


def about(text: str, sought: re.Pattern[str]) -> Said:
    """What stands around the first piece of a text that is sought, and where the pieces stand in it."""
    line = " ".join(LINES.sub(", ", text).split())
    first = sought.search(line)
    start = max(0, first.start() - BEFORE) if first else 0
    said = ("…" if start else "") + line[start : start + AROUND] + ("…" if start + AROUND < len(line) else "")
    return said, tuple(found.span() for found in sought.finditer(said))


def row_of(kind: str, row: read.TextRow, said: str, marks: tuple[tuple[int, int], ...]) -> FoundRow:
    """A text with its context, which says what it belongs to where it does not say so itself."""
    far = len(row.head)
    moved = tuple((start + far, end + far) for start, end in marks)
    return FoundRow(row.at, kind, row.build, row.what, row.about, row.head + said, moved, row.key)
