"""Saying what the columns of a list mean, where their headings do not say it: kept as the command line keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import cast

from buildbook.errors import BadInput
from buildbook.tui.asking import Option
from buildbook.tui.desk import Desk, Left
from buildbook.tui.importing_columns import MEANINGS, Heading, Understood, understand
from buildbook.tui.importing_list import incoming_of, work_out_again

LEAVE_OUT = "leave it out"


def read_as(now: Understood, column: Heading, word: str) -> str:
    """The mapping, as typed, with a column read as one of our words; a column that had that word is not read then.

    Raises BadInput for a column that cannot be named, because its heading has no letters, or stands twice.
    """
    from buildbook.exchange.headings import fold

    folded = fold(column.text)
    first = next(one for one in now.headings if fold(one.text) == folded)
    if not folded or first != column:
        why = "An earlier column has the same heading." if folded else "Its heading has neither letters nor figures."
        raise BadInput("This column cannot be named.", why, "Give it another heading in the file.")
    return typed({**without(now.mapping, column.text), word: column.text})


def left_out(now: Understood, heading: str) -> str:
    """The mapping, as typed, with nothing read from a heading.

    Raises BadInput for a column of prices from a quantity on, which is understood by that quantity alone.
    """
    from buildbook.exchange.headings import NO_COLUMN, fold, meaning, step_of

    kept = without(now.mapping, heading)
    own = meaning(heading, now.purpose) or step_of(heading, now.purpose)
    if isinstance(own, int):
        raise BadInput(
            "This column cannot be left out by itself.",
            f"Its heading means a price from {own}.",
            "Give it another heading in the file.",
        )
    if own is not None and own not in kept:
        kept[own] = NO_COLUMN
    # Nothing said at all would bring back what is remembered.
    others = ((word, text) for word, text in now.read if fold(text) != fold(heading) and word in MEANINGS)
    return typed(kept or dict([next(others)] if now.mapping and now.read[1:] else []))


def without(mapping: Mapping[str, str], heading: str) -> dict[str, str]:
    """What was said of the other headings."""
    from buildbook.exchange.headings import fold

    return {word: text for word, text in mapping.items() if fold(text) != fold(heading)}


def typed(mapping: Mapping[str, str]) -> str:
    """A mapping as typed on the command line; a heading with a comma in it as it is compared, without any.

    >>> typed({"qty": "Menge", "value": "Wert, Typ"})
    'qty=Menge,value=wert typ'
    """
    from buildbook.exchange.headings import fold

    return ",".join(f"{word}={fold(text) if {',', '='} & set(text) else text}" for word, text in mapping.items())


# --- the verbs -------------------------------------------------------------------------------------------------------


async def change_column(desk: Desk) -> None:
    """Say what a column is, or leave it out."""
    from buildbook.exchange.headings import PURPOSES
    from buildbook.trade.plain import quote

    column, now = column_at(desk)
    taken = {word: text for word, text in now.read if text != column.text}
    options = [
        Option(word, word, f"{MEANINGS[word]}{f' (now {quote(taken[word])})' if word in taken else ''}")
        for word in PURPOSES[now.purpose]
    ]
    options.append(Option(LEAVE_OUT, LEAVE_OUT, "nothing is read from it"))
    word = await desk.choose(f"What stands in the column {quote(column.text)}?", options, at=column.word)
    map_columns(desk, left_out(now, column.text) if word == LEAVE_OUT else read_as(now, column, word))


async def leave_column(desk: Desk) -> None:
    """Read nothing from a column."""
    column, now = column_at(desk)
    map_columns(desk, left_out(now, column.text))


async def other_sheet(desk: Desk) -> None:
    """Read another sheet of a workbook."""
    incoming = incoming_of(desk)
    if incoming.path.suffix.casefold() != ".xlsx":
        raise BadInput("There are no sheets in this file.", "", "Only a workbook has several.")
    name = await desk.line("Which sheet of the workbook?", initial=incoming.said.sheet or "")
    await desk.read(lambda shop: understand(shop, replace(incoming, said=replace(incoming.said, sheet=name))))
    incoming.said = replace(incoming.said, sheet=name, columns=None)
    work_out_again(desk)


def column_at(desk: Desk) -> tuple[Heading, Understood]:
    """The selected column, and all of them."""
    now = incoming_of(desk).columns
    if now is None:
        raise Left
    return cast(Heading, desk.row.about), now


def map_columns(desk: Desk, columns: str) -> None:
    """Read the columns like that from now on."""
    incoming = incoming_of(desk)
    incoming.said = replace(incoming.said, columns=columns or None)
    work_out_again(desk)
