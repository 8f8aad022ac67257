"""The candidate answers of a question side by side: money, parts, limits, room on the board, hours, and the finish.

Each answer is taken for a moment, all other questions held as they are; what it brings is the difference to taking
none. It says what was added up and against which limits, and no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.contacts import ContactsLine, contact_sets
from buildbook.answers.finish import QUICK_DRAWS, Foretold, foretell
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.offers import currency_of
from buildbook.answers.standing import Standing, stand
from buildbook.answers.supply import STATES, SupplyLine, supplies
from buildbook.answers.weighing import Figures, Prices, build_of, figures_of, prices
from buildbook.errors import BadInput
from buildbook.reckon.compare import Candidate, Compared, Criterion, compare
from buildbook.reckon.supply import MICRO
from buildbook.store.read import choices as read
from buildbook.store.read.as_if import as_if
from buildbook.store.read.naming import find_question
from buildbook.store.read.standing import BuildRow
from buildbook.trade.area import show_area
from buildbook.trade.moments import moment_of
from buildbook.trade.money import line_micros, show_money
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

BROKEN = ("over", "tight")


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit and how it stands with an answer; `more_micro` is the load more than with the answer compared with.

    `kind` is supply or contacts; `..._micro` are millionths of `unit`.
    """

    kind: str
    code: str
    unit: str
    load_micro: int
    limit_micro: int | None
    headroom_micro: int | None
    percent: int | None
    state: str
    said: str
    more_micro: int = 0


class ShortRow(NamedTuple):
    """A part that an answer brings and that does not lie there: so many coming by a day, so many nowhere."""

    part: str
    coming: int
    short: int
    due_on: str


class Difference(NamedTuple):
    """How far an answer is from the one compared with, on each count; None where one of the two is not known."""

    to_spend_micros: int | None
    per_unit_micros: int | None
    minutes: int | None
    area_um2: int | None
    likely_min: int | None
    safe_min: int | None


@dataclass(frozen=True, slots=True)
class OptionWeighed:
    """What one candidate answer brings, beyond taking none; money in millionths, area in square micrometres.

    `per_unit_micros` is what its parts still to be got are worth for one unit, `lines` how many lines it brings and
    `lines_here` how many of them lie there. `unplaced` pieces are of unknown area, and in no figure. `breaks` names the
    limits that it breaks, `beaten_by` the answers that are better in all respects.
    """

    code: str
    name: str
    chosen: bool
    to_spend_micros: int
    per_unit_micros: int
    unpriced: int
    lines: int
    lines_here: int
    shortages: tuple[ShortRow, ...]
    due_on: str
    minutes: int
    area_um2: int
    unplaced: int
    likely: str
    safe: str
    limits: tuple[LimitRow, ...]
    breaks: tuple[str, ...]
    beaten_by: tuple[str, ...]
    unbeaten: bool
    difference: Difference
    said: str


@dataclass(frozen=True, slots=True)
class Weigh(Answer):
    """A question with its candidate answers weighed; the differences are those to the answer `against`."""

    SCHEMA: ClassVar[str] = "buildbook.weigh/1"
    project: str
    question: str
    asks: str
    state: str
    build: str
    currency: str
    against: str
    rows: tuple[OptionWeighed, ...]


CRITERIA = (
    Criterion("to_spend_micros"),
    Criterion("per_unit_micros"),
    Criterion("minutes"),
    Criterion("area_um2"),
    Criterion("likely_min"),
    Criterion("safe_min"),
)


class _Taken(NamedTuple):
    """One answer taken for a moment: the row of the question, and how everything stands with it."""

    option: read.CandidateRow
    figures: Figures
    standing: Standing
    limits: tuple[LimitRow, ...]
    finish: Foretold | None


def weigh(shop: Workshop, question: str) -> Weigh:
    """Weigh the candidate answers of a question against each other, by the first build of its project in priority.

    Raises BadInput for an unknown question, and where no build of its project is planned or under way.
    """
    asked = next(one for one in read.asked(shop.reads) if one.id == find_question(shop, question).id)
    build = build_of(shop, asked.project_id)
    if build is None:
        raise BadInput(f"{asked.code} was not weighed.", f"{asked.project} has no build under way.", "Start one.")
    options = read.candidates(shop.reads)[asked.id]
    with as_if(shop) as what:
        what.answer({asked.id: 0})
        nothing = stand(what.shop, closely=[build.id])
        stood = []
        for option in options:
            what.answer({asked.id: option.id})
            stood.append(stand(what.shop, closely=[build.id]))
        known = prices(shop, _parts_of([nothing, *stood], build.id))
        what.answer({asked.id: 0})
        base = figures_of(what.shop, build, known, nothing)
        taken = []
        for option, standing in zip(options, stood, strict=True):
            what.answer({asked.id: option.id})
            taken.append(_take(what.shop, build, option, standing, base, known))
    against = next((one for one in taken if one.option.chosen), taken[0])
    currency = currency_of(shop)
    rows = _rows(taken, against, nothing, build, known)
    fullest = _fullest(rows)
    rows = tuple(replace(row, said=option_said(row, currency, fullest)) for row in rows)
    return Weigh(
        sentence=_sentence(asked, rows),
        project=asked.project,
        question=asked.code,
        asks=asked.question,
        state=asked.state,
        build=build.code,
        currency=currency,
        against=against.option.code,
        rows=rows,
    )


def _parts_of(standings: Iterable[Standing], build: int) -> set[int]:
    """The parts that a build wants or gets."""
    shares = [share for one in standings for _, share in one.lines_of(build)]
    return {share.part for share in shares} | {other.part for share in shares for other in share.stood_in}


def _take(
    shop: Workshop, build: BuildRow, option: read.CandidateRow, standing: Standing, base: Figures, known: Prices
) -> _Taken:
    """How everything stands in a workshop in which the answer is taken."""
    brought = figures_of(shop, build, known, standing).less(base)
    limits = (*map(_of_supply, supplies(shop, build.code)), *contacts_of(shop, build))
    return _Taken(option, brought, standing, limits, foretell(shop, build.code, draws=QUICK_DRAWS))


def contacts_of(shop: Workshop, build: BuildRow) -> tuple[LimitRow, ...]:
    """The contacts of the build's project, pole by pole, as the questions stand in this workshop."""
    return tuple(map(_of_contacts, contact_sets(shop, build.code)))


def _of_contacts(row: ContactsLine) -> LimitRow:
    """A switch or relay as a limit: its poles, and how many are wanted of them."""
    wanted = row.poles + row.short_poles if row.short_poles else row.taken_poles
    state = row.state if row.state in BROKEN or row.state == "unknown" else "within"
    return LimitRow(
        "contacts",
        f"{row.project}/{row.code} poles",
        "poles",
        wanted * MICRO,
        row.poles * MICRO,
        # A switch that is over for another reason than its poles has neither room to praise nor a share that tells it.
        (row.poles - wanted) * MICRO if state != "over" or row.short_poles else None,
        -(-100 * wanted // row.poles) if state != "over" or row.short_poles else None,
        state,
        row.said,
    )


def _of_supply(row: SupplyLine) -> LimitRow:
    return LimitRow(
        "supply",
        f"{row.project}/{row.code}",
        row.unit,
        row.load_micro,
        row.limit_micro,
        row.headroom_micro,
        row.percent,
        row.state,
        row.said,
    )


def _rows(
    taken: Sequence[_Taken], against: _Taken, nothing: Standing, build: BuildRow, known: Prices
) -> tuple[OptionWeighed, ...]:
    candidates = [_candidate(one, build) for one in taken]
    unknown = (Criterion("unpriced"), Criterion("unplaced"))
    criteria = [
        *CRITERIA,
        *unknown,
        *(Criterion(f"headroom {row.code}", less_is_better=False) for row in against.limits),
    ]
    compared = compare(candidates, criteria, against.option.code)
    before = {need.line: need.need for need, _ in nothing.lines_of(build.id)}
    return tuple(_row(one, how, against, before, build, known) for one, how in zip(taken, compared, strict=True))


def _candidate(one: _Taken, build: BuildRow) -> Candidate:
    """What it is weighed by; unpriced lines and pieces of unknown area count by themselves, the fewer the better."""
    brought = one.figures
    figures: dict[str, int | None] = {
        "to_spend_micros": brought.to_spend_micros,
        "per_unit_micros": _each(brought.parts_micros, build),
        "minutes": brought.minutes,
        "area_um2": brought.area_um2,
        "unpriced": brought.unpriced,
        "unplaced": brought.unplaced,
        "likely_min": one.finish.likely if one.finish else None,
        "safe_min": one.finish.safe if one.finish else None,
    }
    figures |= {f"headroom {row.code}": row.headroom_micro for row in one.limits}
    breaks = tuple(f"{row.code} {STATES[row.state]}" for row in one.limits if row.state in BROKEN)
    return Candidate(one.option.code, figures, breaks)


def _row(
    one: _Taken, how: Compared, against: _Taken, before: dict[int, int], build: BuildRow, known: Prices
) -> OptionWeighed:
    brought = [pair for pair in one.standing.lines_of(build.id) if pair[0].need > before.get(pair[0].line, 0)]
    lacking = [
        ShortRow(known.parts[need.part].key, sum(due.qty for due in share.coming), share.short, one.standing.due(share))
        for need, share in brought
        if share.short or share.coming
    ]
    loads = {row.code: row.load_micro for row in against.limits}
    return OptionWeighed(
        code=one.option.code,
        name=one.option.name,
        chosen=bool(one.option.chosen),
        to_spend_micros=one.figures.to_spend_micros,
        per_unit_micros=_each(one.figures.parts_micros, build),
        unpriced=one.figures.unpriced,
        lines=len(brought),
        lines_here=len(brought) - len(lacking),
        shortages=tuple(lacking),
        due_on=max((row.due_on for row in lacking), default=""),
        minutes=one.figures.minutes,
        area_um2=one.figures.area_um2,
        unplaced=one.figures.unplaced,
        likely=moment_of(one.finish.likely) if one.finish else "",
        safe=moment_of(one.finish.safe) if one.finish else "",
        limits=tuple(replace(row, more_micro=row.load_micro - loads.get(row.code, 0)) for row in one.limits),
        breaks=how.breaks,
        beaten_by=how.beaten_by,
        unbeaten=how.unbeaten,
        difference=Difference(*(how.differences[each.name] for each in CRITERIA)),
        said="",
    )


def _each(micros: int, build: BuildRow) -> int:
    return line_micros(1, micros, build.units)


def differing(rows: Sequence[OptionWeighed]) -> list[str]:
    """The limits that do not stand alike with all answers, or that one of them breaks."""
    loads: dict[str, set[int]] = {}
    for row in rows:
        for one in row.limits:
            loads.setdefault(one.code, set()).add(one.load_micro)
    broken = {one.code for row in rows for one in row.limits if one.state in BROKEN}
    return [code for code, found in loads.items() if len(found) > 1 or code in broken]


def _fullest(rows: Sequence[OptionWeighed]) -> str:
    """Of the limits that do not stand alike, the one that comes nearest to being reached."""
    telling = set(differing(rows))
    known = [(one.percent or 0, one.code) for row in rows for one in row.limits if one.code in telling]
    return max(known)[1] if known else ""


def option_said(row: OptionWeighed, currency: str, fullest: str = "") -> str:
    """ "VALVE: nothing to spend, all 3 lines here, 35 min of work; CURLEW/HTR too tight (97 %)"."""
    spend = f"{show_money(row.to_spend_micros, currency)} {currency} to spend" if row.to_spend_micros else ""
    said = [spend or ("nothing to spend" if row.lines else "no parts")]
    if row.lines:
        here = "all" if row.lines_here == row.lines else f"{row.lines_here} of"
        said.append(f"{here} {count_of(row.lines, 'line')} here")
    said.append(f"{show_minutes(row.minutes)} of work" if row.minutes else "no work of its own")
    if row.area_um2 or row.unplaced:
        room = [f"{show_area(row.area_um2)} of board"] if row.area_um2 else []
        room += [f"{count_of(row.unplaced, 'piece')} of unknown area"] if row.unplaced else []
        said.append(join_words(room))
    told = f"{row.code}: {', '.join(said)}"
    limits = [
        f"{one.code} at {one.percent} %"
        if one.state not in BROKEN
        else f"{one.code} {STATES[one.state]}" + ("" if one.percent is None else f" ({one.percent} %)")
        for one in row.limits
        if one.state in BROKEN or (one.code == fullest and one.percent is not None)
    ]
    return f"{told}; {join_words(limits)}" if limits else told


def _sentence(asked: read.AskedRow, rows: Sequence[OptionWeighed]) -> str:
    """Each answer in words, and which of them are left when those that break a limit or are beaten go."""
    left = [row.code for row in rows if row.unbeaten]
    if not left:
        end = "each of them breaks a limit"
    elif len(left) == len(rows):
        end = "none breaks a limit, and none is better in all respects"
    else:
        keep = "keeps the limits and is" if len(left) == 1 else "keep the limits and are"
        end = f"{join_words(left)} {keep} beaten by none"
    return f"{asked.project}/{asked.code}, {asked.state}. {'. '.join(row.said for row in rows)}. So far, {end}."
