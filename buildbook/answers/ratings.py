"""The ratings: what each part is made for, against what it bears in its place; what was weighed, and no more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.ratings_said import line_said, weighed_said
from buildbook.answers.standing import find_build
from buildbook.reckon.ratings import WORST, Place, Verdict, Weighed, weigh, worst
from buildbook.store.read import ratings as read
from buildbook.store.read.boards import assemblies
from buildbook.store.read.kitting import inside
from buildbook.store.read.naming import find_assembly
from buildbook.store.read.standing import builds
from buildbook.store.read.workshop import settings
from buildbook.trade.bearing import AMPS, BORNE, MICRO, REVERSE, WATTS, made_for, show_bearing
from buildbook.trade.derating import group_of, shares

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

NOT_STATED = "not stated"
# An answer that brings one of these in is named, chosen or not.
OUT = (Verdict.LITTLE.value, Verdict.TIGHT.value)
# Above it a touch is dangerous even in dry rooms (common practice).
CARE_FROM_UV = 50 * MICRO
CARE = (
    "Such a voltage can kill: it was only weighed what is written down; put only parts made for it across the mains; "
    "local codes and licensed practice decide."
)


@dataclass(frozen=True, slots=True)
class Weighing:
    """One load against one rating, in millionths of V, A or W by `what`; None where not known.

    `percent` of the rating is taken, rounded up; `allowed_percent` is used at most. `wants_micro` is the least rating
    that would fit, `how` the arithmetic.
    """

    what: str
    load_micro: int | None
    rating_micro: int | None
    allowed_percent: float
    percent: int | None
    verdict: str
    wants_micro: int | None
    how: str
    said: str


@dataclass(frozen=True, slots=True)
class RatingLine:
    """One line: what a part of it bears and is made for, as written; all that was weighed, the worst first.

    It counts unless it comes with an answer that is not chosen. `state` is too little, too tight, not known, fits, or
    "not stated" where nobody has said what it bears. `caution` is there where a voltage can kill.
    """

    assembly: str
    line: int
    refs: str
    key: str
    kind: str
    value: str
    qty: int
    option: str
    counts: bool
    state: str
    percent: int | None
    said: str
    bears: tuple[str, ...]
    made_for: tuple[str, ...]
    weighed: tuple[Weighing, ...]
    note: str
    caution: str


@dataclass(frozen=True, slots=True)
class BoardRatings:
    """How the lines of one assembly stand that count: how many of each state."""

    assembly: str
    name: str
    too_little: int
    too_tight: int
    not_known: int
    fits: int
    not_stated: int
    said: str


@dataclass(frozen=True, slots=True)
class Ratings(Answer):
    """The lines, those that are out first, and how each assembly stands."""

    SCHEMA: ClassVar[str] = "buildbook.ratings/1"
    rows: tuple[RatingLine, ...]
    boards: tuple[BoardRatings, ...]
    remarks: tuple[str, ...]


def ratings(
    shop: Workshop, build: str | None = None, *, assembly: str | None = None, everything: bool = False
) -> Ratings:
    """Weigh the lines of every assembly, of those in one build, or of one with all that it holds.

    The rows are those of which it is stated what they bear; with `everything` the resistors, capacitors and diodes of
    which it is not come behind them. Raises BadInput for an unknown build or assembly.
    """
    scope = _scope(shop, build, assembly)
    lines = read.stated_lines(shop.reads)
    lines = [row for row in lines if scope is None or row.assembly in scope]
    known = assemblies(shop.reads)
    rest = {one: many for one, many in read.unstated_counts(shop.reads).items() if scope is None or one in scope}
    rows = _weighed_lines(shop, lines)
    boards = []
    for number, home in known.items():
        own = [row for row in rows if row.assembly == home.path and row.counts]
        if own or number in rest:
            boards.append(_board(home.path, home.name, own, rest.get(number, 0)))
    if everything:
        rows += _weighed_lines(shop, read.unstated_lines(shop.reads, known if scope is None else scope))
    rows.sort(key=lambda row: _STATES.index(row.state))
    said = ratings_said(rows, boards)
    sentence = f"{said[0].upper()}{said[1:]}" if said else _nothing(sum(rest.values()))
    return Ratings(f"{sentence}.", tuple(rows), tuple(boards), (CARE,) * any(row.caution for row in rows))


_STATES = (*(verdict.value for verdict in WORST), NOT_STATED)


def _nothing(lines: int) -> str:
    if not lines:
        return "No resistor, capacitor or diode stands in a parts list yet"
    return f"Of {count_of(lines, 'line')}, none says what its parts bear"


def ratings_said(rows: Iterable[RatingLine], boards: Sequence[BoardRatings]) -> str:
    """How the parts stand against their ratings; nothing while no line says what its parts bear."""
    stated = [row for row in rows if row.state != NOT_STATED]
    if not stated:
        return ""
    said = [_counts(boards)]
    ways: dict[tuple[str, str], list[str]] = {}
    for row in stated:
        if not row.counts and row.state in OUT:
            ways.setdefault((row.state, row.option), []).append(where(row))
    said += [f"{' and '.join(names)} {state} with {option}" for (state, option), names in ways.items()]
    return f"parts against their ratings: {', '.join(filter(None, said))}"


def where(row: RatingLine) -> str:
    """How a line is named: its assembly without the project, and its designators or else its part."""
    return f"{row.assembly.rpartition('/')[2]} {row.refs or row.key}"


def _counts(boards: Iterable[BoardRatings]) -> str:
    every = list(boards)
    counts = {
        Verdict.LITTLE.value: sum(one.too_little for one in every),
        Verdict.TIGHT.value: sum(one.too_tight for one in every),
        Verdict.UNKNOWN.value: sum(one.not_known for one in every),
        "fit": sum(one.fits for one in every),
        NOT_STATED: sum(one.not_stated for one in every),
    }
    return ", ".join(f"{count} {state}" for state, count in counts.items() if count)


def _board(path: str, name: str, own: Sequence[RatingLine], not_stated: int) -> BoardRatings:
    little, tight, unknown, fits = (sum(row.state == verdict.value for row in own) for verdict in WORST)
    board = BoardRatings(path, name, little, tight, unknown, fits, not_stated, said="")
    return replace(board, said=_counts([board]))


def _scope(shop: Workshop, build: str | None, assembly: str | None) -> set[int] | None:
    found: set[int] | None = None
    one = find_build(builds(shop.reads), build) if build else None
    if one:
        found = inside(shop.reads, one.assembly_id)
    if assembly:
        named = inside(shop.reads, find_assembly(shop, assembly, among=found or ()).id)
        return named if found is None else named & found
    return found


def _weighed_lines(shop: Workshop, lines: Iterable[read.LineRow]) -> list[RatingLine]:
    used = shares(settings(shop.reads))
    stresses, own = read.stresses(shop.reads), read.part_ratings(shop.reads)
    return [_line(row, stresses.get(row.line, []), own.get(row.part, []), used) for row in lines]


def _line(
    row: read.LineRow, bears: Sequence[read.Borne], own: Sequence[read.Borne], used: Mapping[str, float]
) -> RatingLine:
    made = made_for(row.kind, row.value, row.name)
    made_to = {**made.ratings, **{one.what: one.micro for one in own}}
    group = group_of(row.kind, electrolytic=made.electrolytic, for_mains=made.for_mains)
    place = Place(row.kind, made.ohms, made_to, {one.what: one.micro for one in bears}, _shares(group, used))
    found = weigh(place)
    state = worst(found).value if bears else NOT_STATED
    told = tuple(_weighing(one, place, made.doubt) for one in found)
    notes = dict.fromkeys(one.note for one in (*bears, *own) if one.note)
    return RatingLine(
        assembly=row.path,
        line=row.line,
        refs=row.refs,
        key=row.key,
        kind=row.kind,
        value=row.value,
        qty=row.qty,
        option=row.option,
        counts=bool(row.chosen),
        state=state,
        percent=told[0].percent if told else None,
        said=line_said(place, [one.said for one in told]),
        bears=tuple(show_bearing(one.what, one.micro) for one in bears),
        made_for=tuple(show_bearing(what, micro) for what, micro in made_to.items()),
        weighed=told,
        note="; ".join(notes),
        caution=CARE if any(one.micro >= CARE_FROM_UV and BORNE[one.what] == "V" for one in bears) else "",
    )


def _shares(group: str, used: Mapping[str, float]) -> dict[str, float]:
    """How much of each rating is used at most of a part of that group, "" for those not named."""
    if group == "resistor":
        return {"": used["other"], WATTS: used["resistor"]}
    if group == "diode":
        return {"": used["other"], AMPS: used["diode"], REVERSE: used["reverse"]}
    return {"": used[group], AMPS: used["other"], WATTS: used["other"]} if "capacitor" in group else {"": used[group]}


def _weighing(one: Weighed, place: Place, doubt: str) -> Weighing:
    how, said = weighed_said(one, place, doubt)
    return Weighing(
        what=one.what,
        load_micro=one.load,
        rating_micro=one.rating,
        allowed_percent=round(100 * one.allowed, 4),
        # Rounded up: never less than it is.
        percent=None if one.share is None else ceil(round(100 * one.share, 6)),
        verdict=one.verdict.value,
        wants_micro=one.wants,
        how=how,
        said=said,
    )
