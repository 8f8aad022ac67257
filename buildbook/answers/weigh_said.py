"""Answers weighed, as they are read: a line for each count, a cell for each answer, the difference beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from buildbook.answers.finish import day
from buildbook.answers.supply import STATES
from buildbook.answers.until import day_said
from buildbook.answers.weigh import BROKEN, LimitRow, OptionWeighed, Weigh, differing
from buildbook.trade.area import show_area
from buildbook.trade.moments import minutes_of
from buildbook.trade.money import show_money
from buildbook.trade.units import show_minutes


class Laid(NamedTuple):
    """One count over all answers, side by side; `warns` says of each cell whether a limit is broken there."""

    name: str
    cells: tuple[str, ...]
    warns: tuple[bool, ...] = ()


def laid(answer: Weigh) -> list[Laid]:
    """All counts, those that say something of at least one answer."""
    found = [line for line in _counts(answer) if any(line.cells)]
    for code in differing(answer.rows):
        limits = [next((one for one in row.limits if one.code == code), None) for row in answer.rows]
        cells = tuple(limit_said(one) for one in limits)
        found.append(Laid(code.partition("/")[2], cells, tuple(bool(one and one.state in BROKEN) for one in limits)))
    found += _verdicts(answer.rows)
    return found


def _counts(answer: Weigh) -> Iterator[Laid]:
    rows = answer.rows
    own = [row.code == answer.against for row in rows]

    def money(micros: int, more: int | None, *, here: bool) -> str:
        said = f"{show_money(micros, answer.currency)} {answer.currency}"
        return said if here or not more else f"{said} ({more_said(show_money(abs(more), answer.currency), more)})"

    yield Laid("chosen", tuple("chosen now" if row.chosen else "" for row in rows))
    pairs = list(zip(rows, own, strict=True))
    yield Laid(
        "to spend",
        tuple(money(row.to_spend_micros, row.difference.to_spend_micros, here=here) for row, here in pairs),
    )
    yield Laid(
        "its parts, per unit",
        tuple(money(row.per_unit_micros, row.difference.per_unit_micros, here=here) for row, here in pairs),
    )
    yield Laid("lines without a price", tuple(str(row.unpriced or "") for row in rows))
    yield Laid("lines here", tuple(f"{row.lines_here} of {row.lines}" if row.lines else "" for row in rows))
    yield Laid("short", tuple(shortage_said(row) for row in rows))
    yield Laid("work", tuple(_more(show_minutes(row.minutes), row.difference.minutes) for row in rows))
    yield Laid("board area", tuple(_area(row) for row in rows))
    yield Laid("likely done", tuple(_date(row.likely, row.difference.likely_min) for row in rows))
    yield Laid("safely done", tuple(_date(row.safe, row.difference.safe_min) for row in rows))


def _verdicts(rows: Sequence[OptionWeighed]) -> Iterator[Laid]:
    yield Laid("so far", tuple(verdict(row) for row in rows), tuple(bool(row.breaks) for row in rows))


def verdict(row: OptionWeighed) -> str:
    """Whether an answer breaks a limit, is beaten, or is left."""
    if row.breaks:
        return "breaks a limit"
    return f"beaten by {', '.join(row.beaten_by)}" if row.beaten_by else "beaten by none"


def limit_said(one: LimitRow | None) -> str:
    """How full a limit is, and its state where that is not plain."""
    if one is None:
        return ""
    if one.percent is None:
        return STATES[one.state] if one.state in ("over", "tight") else ""
    return f"{one.percent} %" if one.state == "within" else f"{one.percent} %, {STATES[one.state]}"


def shortage_said(row: OptionWeighed) -> str:
    """The parts that an answer wants and that are not there, with the day of the last that is coming."""
    said = ", ".join(f"{one.short or one.coming} {one.part}" for one in row.shortages)
    return f"{said}, due {day_said(row.due_on)}" if row.due_on else said


def more_said(amount: str, more: int) -> str:
    """A difference with its sign."""
    return f"{'+' if more > 0 else '-'}{amount}"


def _more(said: str, more: int | None) -> str:
    if not more:
        return said
    return f"{said} ({more_said(show_minutes(abs(more)), more)})"


def _area(row: OptionWeighed) -> str:
    said = show_area(row.area_um2) if row.area_um2 else ""
    more = row.difference.area_um2
    if more and said:
        said += f" ({more_said(show_area(abs(more)), more)})"
    unknown = f"{row.unplaced} not known" if row.unplaced else ""
    return ", ".join(filter(None, (said, unknown)))


def _date(moment: str, more: int | None) -> str:
    minutes = minutes_of(moment)
    if minutes is None:
        return ""
    days = round((more or 0) / (24 * 60))
    return f"{day(minutes)} ({days:+d} d)" if days else day(minutes)


def why_lines(answer: Weigh, row: OptionWeighed) -> list[str]:
    """The arithmetic behind an answer: what was taken from what, and every limit with load and headroom."""
    currency = answer.currency

    def money(micros: int) -> str:
        return f"{show_money(micros, currency)} {currency}"

    said = [
        f"Taken with {answer.question} answered {row.code}, less the same with no answer; other questions as they are.",
        f"To spend: {money(row.to_spend_micros)}; parts still to be got are worth {money(row.per_unit_micros)} a unit.",
        f"Lines: {row.lines} brought, {row.lines_here} of them there; work of its steps: {show_minutes(row.minutes)}.",
        f"Board: {show_area(row.area_um2)}, {row.unplaced} pieces of unknown area in no figure.",
    ]
    said += [
        f"{one.part}: {one.short} short, {one.coming} coming {day_said(one.due_on)}".rstrip() for one in row.shortages
    ]
    said += [f"{one.code}: {one.said}" for one in row.limits]
    return [*said, f"Differences are those to {answer.against}."]
