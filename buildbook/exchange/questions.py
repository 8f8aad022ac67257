"""What is not clear in a list, put to a person as a sheet with a column for the answers, and read back filled in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from buildbook.errors import BadInput
from buildbook.exchange.intake import read_headed
from buildbook.exchange.writing import write_csv
from buildbook.trade.plain import clean, quote

HEADINGS = ("asked", "rows", "candidates", "answer")
NEW, SKIP = "new", "skip"
ROWS_NAMED = 5
LONGEST = 4000


@dataclass(frozen=True, slots=True)
class Question:
    """A description that is not clear: its rows, the parts it might be, each with why it was not taken, and the reason.

    It is known again by the description itself: an answer serves every list in which the same description comes up.
    """

    asked: str
    rows: tuple[int, ...]
    candidates: tuple[tuple[str, tuple[str, ...]], ...]
    why: str

    @property
    def rows_named(self) -> str:
        """The first of its rows.

        >>> Question("4k7", (2, 3, 4, 5, 6, 7), (), "").rows_named
        '2, 3, 4, 5, 6, ...'
        """
        return ", ".join(map(str, self.rows[:ROWS_NAMED])) + (", ..." if len(self.rows) > ROWS_NAMED else "")

    @property
    def in_words(self) -> str:
        """The parts that may be meant, with what speaks against each, or else why it is asked."""
        said = [f"{key} ({', '.join(why)})" if why else key for key, why in self.candidates]
        return "; ".join(said) or self.why


def write_questions(path: Path, questions: Sequence[Question], answers: Mapping[str, str]) -> None:
    """Write what a person must settle as a sheet with an empty column for the answers; those given already are kept."""
    rows = [(asked, "", "", answer) for asked, answer in answers.items()]
    rows += [(one.asked, one.rows_named, one.in_words, "") for one in questions if one.asked not in answers]
    write_csv(path, HEADINGS, rows)


def read_answers(path: Path) -> dict[str, str]:
    """The answers of a sheet that `write_questions` wrote: description to key, "new" or "skip"; blank ones left out.

    Raises BadInput when it is no such sheet, and when one description has two answers.
    """
    sheet = read_headed(path, None, lambda heading: heading.casefold() in HEADINGS)
    places = {heading.casefold(): place for place, heading in enumerate(sheet.headings)}
    if "asked" not in places or "answer" not in places:
        raise refused(path, "It has no headings `asked` and `answer`.", "Use the file that --answers wrote.")
    found: dict[str, str] = {}
    for row in sheet.rows:
        asked = clean(row.cells[places["asked"]], limit=LONGEST)
        answer = clean(row.cells[places["answer"]], limit=LONGEST)
        if answer and found.setdefault(asked, answer) != answer:
            raise refused(path, f"Row {row.number} answers {quote(asked)} otherwise than an earlier row.", "Keep one.")
    return found


def refused(path: Path, why: str, mend: str) -> BadInput:
    """That the answers were not taken, and why."""
    return BadInput(f"{quote(path.name, limit=80)} was not taken as answers.", why, mend)
