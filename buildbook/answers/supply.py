"""The supply budget: what each fuse, core, winding and rail carries, against the limit that was written down for it.

It says what was added up and against which limit, and no more: whether a set may be switched on is not for it to say.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.heater_offers import Offered, offers
from buildbook.answers.standing import find_build
from buildbook.reckon import supply as reckon
from buildbook.reckon.supply import FULL_BP, MICRO, Standing
from buildbook.store.read import supply as read
from buildbook.store.read.standing import builds
from buildbook.store.read.workshop import settings
from buildbook.trade import fuses
from buildbook.trade.amounts import show_amount

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

FIGURES = 3
STATES = {"over": "over the limit", "tight": "too tight", "unknown": "not all known", "within": "within the limit"}


@dataclass(frozen=True, slots=True)
class LoadLine:
    """What draws on a supply; it counts unless it comes with an answer that is not chosen.

    Where neither current nor power is given, it is not known.
    """

    name: str
    assembly: str
    option: str
    counts: bool
    qty: int
    current_ua: int | None
    power_uw: int | None
    duty_bp: int
    said: str


@dataclass(frozen=True, slots=True)
class WithAnswer:
    """How a supply would stand with an answer (QUESTION:ANSWER), the other questions as they are."""

    answer: str
    chosen: bool
    load_micro: int
    percent: int | None
    state: str
    said: str


@dataclass(frozen=True, slots=True)
class SupplyLine:
    """One supply; `..._micro` are millionths of `unit`, A or for a core VA. `percent` is rounded up.

    `headroom_micro` is the limit less load and margin. `unknown` loads are in none of the figures. `fuse` is what
    common practice proposes, for a fuse that feeds cores. `offered` are heaters from the parts lists that nobody has
    written down as a load yet.
    """

    project: str
    code: str
    kind: str
    name: str
    depth: int
    volts_uv: int
    unit: str
    limit_micro: int | None
    load_micro: int
    all_on_micro: int
    keep_free_micro: int
    headroom_micro: int | None
    percent: int | None
    unknown: int
    state: str
    said: str
    made: str
    fuse: str
    loads: tuple[LoadLine, ...]
    answers: tuple[WithAnswer, ...]
    note: str
    offered: tuple[Offered, ...] = ()


@dataclass(frozen=True, slots=True)
class SupplyBudget(Answer):
    """Every supply, each before what it feeds."""

    SCHEMA: ClassVar[str] = "buildbook.supply/1"
    rows: tuple[SupplyLine, ...]


def supply(shop: Workshop, build: str | None = None) -> SupplyBudget:
    """The supply budget of every project, or of that of one build. Raises BadInput for an unknown build."""
    rows = supplies(shop, build)
    said = supplies_said(rows)
    sentence = f"{said[0].upper()}{said[1:]}; weighed against the limits written down" if said else "No supply yet"
    return SupplyBudget(f"{sentence}.", rows)


def supplies(shop: Workshop, build: str | None = None) -> tuple[SupplyLine, ...]:
    """The supplies with how they stand."""
    own = find_build(builds(shop.reads), build) if build else None
    kept = [row for row in read.supplies(shop.reads) if own is None or row.project == own.project]
    if not kept:
        return ()
    loads, answers = read.loads(shop.reads), read.answers(shop.reads)
    tree = [_node(row, loads.get(row.id, [])) for row in kept]
    chosen = {one.id for one in answers if one.chosen}
    with_answer = {one.id: _by_id(tree, _instead(chosen, one, answers)) for one in answers}
    by_id = {row.id: row for row in kept}
    valves = read.valve_lines(shop.reads)
    window = settings(shop.reads).get("fuse_window", "")
    found = []
    for stands in reckon.standings(tree, chosen):
        row = by_id[stands.id]
        others = [one for one in answers if one.project_id == row.project_id]
        ways = _with_answers(row, others, {one.id: with_answer[one.id][row.id] for one in others})
        lines = tuple(_load_line(one) for one in loads.get(row.id, ()))
        line = _line(row, stands, lines, ways, _fuse(row, kept, window))
        written = [load for one in kept if one.project_id == row.project_id for load in loads.get(one.id, ())]
        found.append(replace(line, offered=offers(row, valves, written)))
    return tuple(found)


def tree_of(shop: Workshop, kept: Iterable[read.SupplyRow]) -> list[reckon.Supply]:
    """These supplies with their loads, as they are reckoned with."""
    loads = read.loads(shop.reads)
    return [_node(row, loads.get(row.id, [])) for row in kept]


def supplies_said(rows: Sequence[SupplyLine]) -> str:
    """How many supplies there are, and how they stand; nothing when there are none."""
    if not rows:
        return ""
    counts = {state: sum(row.state == state for row in rows) for state in STATES}
    said = [f"{count} {STATES[state]}" for state, count in counts.items() if count]
    unknown = sum(load.current_ua is None and load.power_uw is None for row in rows for load in row.loads)
    said += [f"{count_of(unknown, 'load')} not known"] if unknown else []
    said += [f"{one.code} {STATES[way.state]} with {way.answer}" for one in rows for way in one.answers if _breaks(way)]
    return f"{count_of(len(rows), 'supply', 'supplies')}: {', '.join(said)}"


def _breaks(way: WithAnswer) -> bool:
    return not way.chosen and way.state in ("over", "tight")


def _node(row: read.SupplyRow, loads: Iterable[read.LoadRow]) -> reckon.Supply:
    own = [reckon.Load(one.name, one.qty, one.current_ua, one.power_uw, one.duty_bp, one.option_id) for one in loads]
    return reckon.Supply(
        row.id,
        row.kind,
        row.fed_by,
        row.volts_uv,
        row.limit_micro,
        row.keep_free_bp,
        row.way,
        row.factor_ppm,
        row.alike,
        tuple(own),
    )


def _by_id(tree: Sequence[reckon.Supply], chosen: Collection[int]) -> dict[int, Standing]:
    return {one.id: one for one in reckon.standings(tree, chosen)}


def _instead(chosen: Collection[int], answer: read.AnswerRow, every: Iterable[read.AnswerRow]) -> set[int]:
    """What is chosen when this answer is taken in place of the others to its question."""
    rivals = {one.id for one in every if one.choice == answer.choice}
    return {*chosen} - rivals | {answer.id}


def _with_answers(
    row: read.SupplyRow, answers: Sequence[read.AnswerRow], stands: dict[int, Standing]
) -> tuple[WithAnswer, ...]:
    """How the supply stands with each answer of the questions that make a difference to it."""
    found = []
    for choice in dict.fromkeys(one.choice for one in answers):
        rivals = [one for one in answers if one.choice == choice]
        if len({stands[one.id][2:] for one in rivals}) > 1:
            found += [_with_answer(row, one, stands[one.id]) for one in rivals]
    return tuple(found)


def _with_answer(row: read.SupplyRow, answer: read.AnswerRow, stands: Standing) -> WithAnswer:
    said = f"with {answer.code}: {_said(row, stands)}"
    return WithAnswer(answer.code, bool(answer.chosen), stands.load, _percent(stands), stands.state, said)


def _line(
    row: read.SupplyRow, stands: Standing, loads: tuple[LoadLine, ...], answers: tuple[WithAnswer, ...], fuse: str
) -> SupplyLine:
    return SupplyLine(
        project=row.project,
        code=row.code,
        kind=row.kind,
        name=row.name,
        depth=stands.depth,
        volts_uv=row.volts_uv,
        unit=_unit(row),
        limit_micro=stands.limit,
        load_micro=stands.load,
        all_on_micro=stands.all_on,
        keep_free_micro=stands.keep_free,
        headroom_micro=stands.headroom,
        percent=_percent(stands),
        unknown=stands.unknown,
        state=stands.state,
        said=_said(row, stands),
        made=_made(row),
        fuse=fuse,
        loads=loads,
        answers=answers,
        note=row.note,
    )


def _said(row: read.SupplyRow, stands: Standing) -> str:
    """Load, limit, margin and how it stands: "2.42 of 2.5 A, 97 %, 0.5 A to keep free: too tight by 0.424 A"."""
    unit = _unit(row)
    if stands.limit is None or stands.headroom is None:
        said = f"{_amount(stands.load, unit, stands.load)}; the limit is not known"
    else:
        limit = stands.limit
        said = f"{_figure(stands.load, unit, limit)} of {_amount(limit, unit, limit)}, {_percent(stands)} %"
        if stands.keep_free:
            said += f", {_amount(stands.keep_free, unit, limit)} to keep free"
        if stands.load > limit:
            said += f": over the limit by {_amount(stands.load - limit, unit, limit)}"
        elif stands.headroom < 0:
            said += f": too tight by {_amount(-stands.headroom, unit, limit)}"
        else:
            said += f": {_amount(stands.headroom, unit, limit)} of headroom"
    if stands.all_on != stands.load:
        beyond = ", over the limit" if stands.limit is not None and stands.all_on > stands.limit else ""
        said += f"; {_amount(stands.all_on, unit, stands.limit or stands.all_on)} with everything on{beyond}"
    return said + (f"; {count_of(stands.unknown, 'load')} not known and not counted" if stands.unknown else "")


def _percent(stands: Standing) -> int | None:
    """Load over limit, rounded up: never less than it is."""
    return None if stands.per_bp is None else -(-stands.per_bp // 100)


def _unit(row: read.SupplyRow) -> str:
    return "VA" if row.kind == "core" else "A"


def _amount(micro: int, unit: str, like: int) -> str:
    """An amount in three figures, with the prefix of another."""
    return show_amount(float(f"{micro / MICRO:.{FIGURES}g}"), unit, like=like / MICRO)


def _figure(micro: int, unit: str, like: int) -> str:
    """An amount without its unit where that is the unit of the other."""
    return _amount(micro, unit, like).removesuffix(_amount(like, unit, like).rpartition(" ")[2]).rstrip()


def _made(row: read.SupplyRow) -> str:
    """How a rail comes from what feeds it, with the factor that was reckoned with."""
    factor = "factor not known" if row.factor_ppm is None else f"{row.factor_ppm / MICRO:.4g}"
    if row.way == "rectifier":
        return f"{row.circuit}, winding current {factor} x direct current"
    return f"switching, efficiency {factor}" if row.way == "switching" else row.way.replace("straight", "")


def _fuse(row: read.SupplyRow, every: Iterable[read.SupplyRow], window: str) -> str:
    """The rating proposed for a fuse that feeds cores, by what these are made for; in the window set, or the usual."""
    cores = [one.limit_micro for one in every if one.fed_by == row.id and one.kind == "core"]
    known = [limit for limit in cores if limit is not None]
    if row.kind != "fuse" or not cores or len(known) < len(cores) or not row.volts_uv:
        return ""
    low, high = fuses.read_window(window or fuses.USUAL)
    found = fuses.propose(sum(known), row.volts_uv, low_pct=low, high_pct=high)
    primary = _amount(found.primary_ua, "A", found.primary_ua)
    if found.pick_ua is None:
        return f"no preferred rating is large enough for {primary}"
    pick = _amount(found.pick_ua, "A", found.pick_ua)
    inside = "" if found.ratings_ua else ", above the window"
    by = "your window proposes" if window else "common practice proposes"
    return (
        f"{by} {pick} time-lag{inside} "
        f"(IEC 60127 rating from {fuses.show_window(low, high)} x {primary}); local codes decide"
    )


def _load_line(one: read.LoadRow) -> LoadLine:
    return LoadLine(
        name=one.name,
        assembly=one.assembly,
        option=one.option,
        counts=not one.option_id or bool(one.chosen),
        qty=one.qty,
        current_ua=one.current_ua,
        power_uw=one.power_uw,
        duty_bp=one.duty_bp,
        said=_load_said(one),
    )


def _load_said(one: read.LoadRow) -> str:
    if one.current_ua is not None:
        each = _amount(one.current_ua, "A", one.current_ua)
    elif one.power_uw is not None:
        each = _amount(one.power_uw, "W", one.power_uw)
    else:
        each = "not known"
    many = f"{one.qty} x " if one.qty > 1 else ""
    return f"{many}{each}" + (f", on for {one.duty_bp / 100:g} %" if one.duty_bp != FULL_BP else "")
