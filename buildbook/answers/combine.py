"""Every combination of the answers to several open questions: what each comes to, which break a limit, which are left.

What hangs on a question is worked out once for each of its answers, what hangs on several once for the combinations of
those alone; the rest is adding up. The supplies go over the whole grid of combinations at once, winding by winding.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import prod
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.contacts import weighable
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.offers import currency_of
from buildbook.answers.supply import STATES, tree_of
from buildbook.answers.weighing import Figures, Prices, Scope, build_of, figures, prices, scopes
from buildbook.errors import BadInput
from buildbook.reckon.combinations import OverGrid, contacts_over, spread, standings_over
from buildbook.reckon.compare import unbeaten_rows
from buildbook.store.read import choices as read
from buildbook.store.read import contacts as read_contacts
from buildbook.store.read import supply as read_supply
from buildbook.store.read.as_if import AsIf, as_if
from buildbook.store.read.naming import find_question
from buildbook.store.read.standing import BuildRow
from buildbook.store.read.workshop import settings
from buildbook.trade.area import show_area
from buildbook.trade.derating import shares
from buildbook.trade.money import show_money
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.reckon.combinations import Grid
    from buildbook.store.workshop import Workshop

# More rows than that are no comparison any more; the counts tell of all.
MOST_ROWS = 500
MOST_COMBINATIONS = 100_000


class ComboRow(NamedTuple):
    """One combination, `answers` as QUESTION:ANSWER; what it brings beyond taking no answer to any of the questions.

    Money in millionths; `parts_micros` is what its parts still to be got are worth. `breaks` says which limits it
    breaks, how; one that breaks none and that no other beats in all respects is `unbeaten`.
    """

    answers: tuple[str, ...]
    to_spend_micros: int
    parts_micros: int
    unpriced: int
    short: int
    minutes: int
    area_um2: int
    unplaced: int
    breaks: tuple[str, ...]
    unbeaten: bool


@dataclass(frozen=True, slots=True)
class Combine(Answer):
    """The combinations: those that no other beats first, then those that another beats, last those struck out.

    `combinations` of them there are, `struck` of them break a limit; `rows` holds the first of them.
    """

    SCHEMA: ClassVar[str] = "buildbook.combine/1"
    project: str
    build: str
    currency: str
    questions: tuple[str, ...]
    combinations: int
    struck: int
    left: int
    rows: tuple[ComboRow, ...]


@dataclass(frozen=True, slots=True)
class Combinations:
    """All combinations, an axis of each grid for each question: the figures in their order, and the limits."""

    build: BuildRow
    questions: tuple[read.AskedRow, ...]
    options: tuple[tuple[read.CandidateRow, ...], ...]
    figures: Mapping[str, Grid]
    limits: tuple[tuple[str, OverGrid], ...]


def combine(shop: Workshop, questions: Sequence[str] = ()) -> Combine:
    """Weigh every combination of these questions, or of all open ones of the one project that has any.

    Raises BadInput for an unknown question, questions of several projects, fewer than one, too many combinations, and
    where no build of the project is planned or under way.
    """
    found = combinations(shop, questions)
    currency = currency_of(shop)
    broken = struck_out(found)
    marks = unbeaten(found)
    total, struck = broken.size, int(broken.sum())
    left = int(marks.sum())
    rows = tuple(_rows(found, broken, marks))
    answer = Combine("", found.build.project, found.build.code, currency, (), total, struck, left, rows)
    codes = tuple(one.code for one in found.questions)
    return Combine(_sentence(answer, codes), answer.project, answer.build, currency, codes, total, struck, left, rows)


def meant(shop: Workshop, questions: Sequence[str]) -> tuple[tuple[read.AskedRow, ...], BuildRow]:
    """The questions meant, and the build by which they are weighed. Raises BadInput as `combine` does."""
    known = read.asked(shop.reads)
    wanted = {find_question(shop, one).id for one in questions}
    asked = tuple(one for one in known if (one.id in wanted if wanted else one.state == "open"))
    projects = list(dict.fromkeys(one.project for one in asked))
    if not asked:
        raise BadInput("Nothing was combined.", "No question is open.", "Name those that are meant.")
    if len(projects) > 1:
        why = f"The questions are of {join_words(projects)}."
        raise BadInput("Nothing was combined.", why, "Name those of one project.")
    build = build_of(shop, asked[0].project_id)
    if build is None:
        raise BadInput("Nothing was combined.", f"{projects[0]} has no build under way.", "Start one.")
    return asked, build


def combinations(shop: Workshop, questions: Sequence[str] = ()) -> Combinations:
    """Work all combinations out, each part of the figures once. Raises BadInput as `combine` does."""
    asked, build = meant(shop, questions)
    by_choice = read.candidates(shop.reads)
    options = tuple(tuple(by_choice[one.id]) for one in asked)
    if prod(map(len, options)) > MOST_COMBINATIONS:
        why = f"There are more than {MOST_COMBINATIONS:,} combinations."
        raise BadInput("Nothing was combined.", why, "Name fewer questions.")
    axes = [[one.id for one in some] for some in options]
    with as_if(shop) as what:
        tables = _tables(what, build, asked, axes)
    grids = {
        name: spread(axes, {at: table[..., place] for at, table in tables.items()})
        for place, name in enumerate(Figures._fields)
    }
    limits = (*_supplies(shop, build, axes), *_contacts(shop, build, axes))
    return Combinations(build, asked, options, grids, limits)


def _tables(
    what: AsIf, build: BuildRow, asked: Sequence[read.AskedRow], axes: Sequence[Sequence[int]]
) -> dict[tuple[int, ...], Grid]:
    """What each answer brings, by the places of the questions on which it hangs; the figures along the last axis."""
    import numpy as np

    what.answer({one.id: 0 for one in asked})
    hanging = scopes(what.shop, [one.id for one in asked])
    known = prices(what.shop, {part for scope in hanging.values() for part in scope.parts})
    place = {one.id: at for at, one in enumerate(asked)}
    tables = {}
    for choices, scope in hanging.items():
        at = tuple(sorted(place[one] for one in choices))
        base = figures(what.shop, build, known, scope)
        brought = [
            figures_with(
                what, build, known, {asked[one].id: option for one, option in zip(at, taken, strict=True)}, scope
            ).less(base)
            for taken in product(*(axes[one] for one in at))
        ]
        what.answer({asked[one].id: 0 for one in at})
        tables[at] = np.array(brought, np.int64).reshape(*(len(axes[one]) for one in at), len(Figures._fields))
    return tables


def figures_with(
    what: AsIf, build: BuildRow, known: Prices, taken: Mapping[int, int], scope: Scope | None = None
) -> Figures:
    """What the build, or a scope of it, comes to with these answers taken."""
    what.answer(taken)
    return figures(what.shop, build, known, scope)


def _supplies(shop: Workshop, build: BuildRow, axes: Sequence[Sequence[int]]) -> tuple[tuple[str, OverGrid], ...]:
    """The supplies of the build's project over all combinations; those of other questions as they are answered."""
    kept = [row for row in read_supply.supplies(shop.reads) if row.project_id == build.project_id]
    codes = {row.id: row.code for row in kept}
    chosen = {one.id for one in read_supply.answers(shop.reads) if one.chosen}
    return tuple((codes[one.id], one) for one in standings_over(tree_of(shop, kept), axes, chosen))


def _contacts(shop: Workshop, build: BuildRow, axes: Sequence[Sequence[int]]) -> tuple[tuple[str, OverGrid], ...]:
    """The switches and relays of the build's project; each by the questions alone that bring it something."""
    uses, share = read_contacts.uses(shop.reads), shares(settings(shop.reads))["switch"]
    chosen = {one.id for one in read_contacts.answers(shop.reads) if one.chosen}
    return tuple(
        (f"{row.code} poles", contacts_over(weighable(row, uses.get(row.id, ())), axes, chosen, current_share=share))
        for row in read_contacts.contacts(shop.reads)
        if row.project_id == build.project_id
    )


def struck_out(found: Combinations) -> Grid:
    """Which combinations break a limit."""
    import numpy as np

    broken = np.zeros(tuple(map(len, found.options)), np.bool_)
    for _, one in found.limits:
        broken |= one.over | one.tight
    return broken


def unbeaten(found: Combinations) -> Grid:
    """Which combinations keep all limits and are beaten by none that does.

    They are weighed by money, hands-on time, room, the load on each supply and the poles wanted of each switch; with a
    price or an area unknown, by how many are unknown as well.
    """
    import numpy as np

    broken = struck_out(found).reshape(-1)
    shape = tuple(map(len, found.options))
    columns = [grid.reshape(-1) for name, grid in found.figures.items() if name != "short"]
    for _, one in found.limits:
        columns += [np.unique(np.broadcast_to(grid, shape), return_inverse=True)[1].reshape(-1) for grid in one[1:3]]
    marks = np.zeros(broken.shape, np.bool_)
    free = np.flatnonzero(~broken)
    marks[free] = unbeaten_rows(np.stack(columns, axis=1)[free])
    return marks.reshape(shape)


def _rows(found: Combinations, broken: Grid, marks: Grid) -> Iterable[ComboRow]:
    """The combinations in order: unbeaten, beaten, struck out; the cheapest first."""
    import numpy as np

    spend = found.figures["to_spend_micros"].reshape(-1)
    minutes = found.figures["minutes"].reshape(-1)
    order = np.lexsort((minutes, spend, ~marks.reshape(-1), broken.reshape(-1)))
    for flat in islice(order, MOST_ROWS):
        yield combination(
            found,
            [int(one) for one in np.unravel_index(int(flat), broken.shape)],
            unbeaten=bool(marks.reshape(-1)[flat]),
        )


def combination(found: Combinations, at: Sequence[int], *, unbeaten: bool = False) -> ComboRow:
    """One combination by the places of its answers."""
    place = tuple(map(int, at))
    answers = tuple(
        f"{asked.code}:{options[one].code}"
        for asked, options, one in zip(found.questions, found.options, place, strict=True)
    )
    figured = Figures(*(int(found.figures[name][place]) for name in Figures._fields))
    breaks = []
    for code, one in found.limits:
        own = tuple(spot if size > 1 else 0 for spot, size in zip(place, one.load.shape, strict=True))
        if one.over[own]:
            breaks.append(f"{code} {STATES['over']}")
        elif one.tight[own]:
            breaks.append(f"{code} {STATES['tight']}")
    return ComboRow(answers, *figured, tuple(breaks), unbeaten)


def combo_said(row: ComboRow, currency: str) -> str:
    """What a combination brings, in words."""
    said = [f"{show_money(row.to_spend_micros, currency)} {currency} to spend", f"{show_minutes(row.minutes)} of work"]
    said += [f"{show_area(row.area_um2)} of board"] if row.area_um2 else []
    said += [f"{row.short} short"] if row.short else []
    return ", ".join(said) + (f"; {join_words(list(row.breaks))}" if row.breaks else "")


def _sentence(answer: Combine, codes: Sequence[str]) -> str:
    """How many combinations there are, how many are struck out, and what is left."""
    said = f"{count_of(answer.combinations, 'combination')} of {join_words(list(codes))}"
    if answer.struck == answer.combinations:
        return f"{said}: each of them breaks a limit."
    breaks = "breaks" if answer.struck == 1 else "break"
    said += f": {answer.struck} {breaks} a limit" if answer.struck else ": none breaks a limit"
    best = answer.rows[0]
    of = "1 is" if answer.left == 1 else f"{answer.left} are"
    cheapest = f"{join_words(list(best.answers))} ({combo_said(best, answer.currency)})"
    return f"{said}, {of} beaten by no other. The cheapest of those: {cheapest}."
