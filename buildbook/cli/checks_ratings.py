"""Checks on the command line, the ratings: what parts bear in their places, against what they are made for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from buildbook.cli.frame import AsJson, BuildCode, Db, opened
from buildbook.cli.show import Column, filled, say, show

if TYPE_CHECKING:
    from buildbook.answers.ratings import BoardRatings, RatingLine

TONES = {"fits": "good", "too tight": "warn", "too little": "bad", "not known": "warn"}
# What is stated and out, or stated and cannot be weighed; the rest is counted.
OUT = ("too little", "too tight", "not known")
LineName = Annotated[
    str, typer.Argument(metavar="LINE", show_default=False, help="Assembly and designator, HT/C1; or its number.")
]
PartKey = Annotated[str, typer.Argument(metavar="PART", show_default=False, help="Its key or another name.")]
Sort = Annotated[
    str,
    typer.Argument(
        metavar="WHAT", show_default=False, help='"dc volts", "ac volts", "reverse volts", amps or watts; else all.'
    ),
]
Note = Annotated[str, typer.Option(metavar="TEXT", show_default=False, help="A remark on it: when, or by what source.")]


def add_to(app: typer.Typer) -> None:
    """Add these verbs to the place."""
    verbs = (
        ("ratings", ratings),
        ("bears", bears),
        ("bears-drop", drop_bears),
        ("rated", rated),
        ("rated-drop", drop_rated),
    )
    for name, verb in verbs:
        app.command(name)(verb)


class Printed(NamedTuple):
    """One printed row: a line, or a board with the count of its lines."""

    state: str
    where: str
    part: str
    said: str


def printed(
    rows: Sequence[RatingLine], boards: Sequence[BoardRatings], *, everything: bool = False
) -> Iterator[Printed]:
    """The lines that are out, then each board of which anything is stated; with everything, all lines and boards."""
    for row in rows:
        if everything or row.state in OUT:
            option = f" (left out: {row.option} is not chosen)" if not row.counts else ""
            part = f"{row.key} {row.value}".strip()
            yield Printed(row.state, f"{row.assembly} {row.refs}".strip(), part, f"{row.said}{option}")
            if everything and row.note:
                yield Printed("", "", "", row.note)
    for board in boards:
        if everything or board.said != f"{board.not_stated} not stated":
            yield Printed("", board.assembly, board.name, board.said)


def columns(rows: Sequence[Printed]) -> list[Column[Printed]]:
    """State, where, which part, how it stands; those that say something."""
    found: list[Column[Printed]] = [
        Column("state", lambda row: row.state, tone=lambda row: TONES.get(row.state, "")),
        Column("where", lambda row: row.where, shrink=True),
        Column("part", lambda row: row.part, shrink=True),
        Column("bears, and is made for", lambda row: row.said, shrink=True),
    ]
    return filled(found, rows)


def ratings(
    assembly: Annotated[
        str, typer.Argument(metavar="ASSEMBLY", show_default=False, help="Only this one, with all inside it.")
    ] = "",
    *,
    everything: Annotated[
        bool, typer.Option("--all", help="Every line, also those that fit or are not stated.")
    ] = False,
    build: BuildCode = None,
    db: Db = None,
    as_json: AsJson = False,
) -> None:
    """Parts against their ratings: first the lines that are made for too little or too tight, then each board.

    \b
    Example:
      buildbook checks ratings
      buildbook checks ratings HT --all
    """
    from buildbook.answers.ratings import ratings as weighed

    with opened(db) as shop:
        answer = weighed(shop, build, assembly=assembly or None, everything=everything)
    rows = list(printed(answer.rows, answer.boards, everything=everything))
    show(answer, columns(rows), rows=rows, as_json=as_json)
    if not as_json and answer.remarks:
        say(" ".join(answer.remarks), apart=True)


def bears(
    line: LineName,
    amounts: Annotated[
        list[str],
        typer.Argument(metavar="BEARS...", show_default=False, help='300V, "230V AC", "566V reverse", 0.2A, 0.3W.'),
    ],
    *,
    note: Note = "",
    db: Db = None,
) -> None:
    """Say what each part of a line bears in its place; the power of a resistor is worked out from volts or amps.

    \b
    Example:
      buildbook checks bears HT/C3 300V --note "before the valves are warm"
    """
    from buildbook.actions import ratings as actions

    with opened(db) as shop:
        said = actions.state_bears(shop, line, amounts, note=note)
    say(said)


def drop_bears(line: LineName, what: Sort = "", *, db: Db = None) -> None:
    """Take back what the parts of a line bear, of one sort or all of it.

    \b
    Example:
      buildbook checks bears-drop HT/C3
    """
    from buildbook.actions import ratings as actions

    with opened(db) as shop:
        name = actions.clear_bears(shop, line, what)
    say(f"Taken back: what {name} bears.")


def rated(
    part: PartKey,
    amounts: Annotated[
        list[str],
        typer.Argument(metavar="MADE_FOR...", show_default=False, help='1000V, "250V AC", 1A, 0.5W.'),
    ],
    *,
    note: Note = "",
    db: Db = None,
) -> None:
    """Say what a part is made for by its data sheet; what its value says already need not be said again.

    \b
    Example:
      buildbook checks rated D-1N4148 75V 0.15A --note "data sheet"
    """
    from buildbook.actions import ratings as actions

    with opened(db) as shop:
        said = actions.state_rated(shop, part, amounts, note=note)
    say(said)


def drop_rated(part: PartKey, what: Sort = "", *, db: Db = None) -> None:
    """Take back what was said of a part's rating, of one sort or all; what its value says counts again.

    \b
    Example:
      buildbook checks rated-drop D-1N4007 amps
    """
    from buildbook.actions import ratings as actions

    with opened(db) as shop:
        key = actions.clear_rated(shop, part, what)
    say(f"Taken back: what {key} is made for.")
