"""The parcels that steps wait for: what is on order, what is yet to be ordered, and what nobody can tell.

A parcel is thought to be on the bench at five in the afternoon of its day, perhaps a day early, perhaps some days late:
common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.held import Lacking
from buildbook.answers.offers import offers_for
from buildbook.answers.until import day_said
from buildbook.reckon.pace import Delivery, Range
from buildbook.reckon.purchase import cheapest
from buildbook.store.read import buying as read
from buildbook.store.read.standing import ComingRow, coming

if TYPE_CHECKING:
    from buildbook.answers.bench_time import BenchTimes
    from buildbook.store.workshop import Workshop

HOUR = 17
EARLY_DAYS, LATE_DAYS = 1, 5
# Of a parcel that should be here by now, or that is yet to be ordered, less is known.
OVERDUE_DAYS, VERY_LATE_DAYS = 3, 10
ON_ORDER, TO_ORDER, OVERDUE = "on order", "to order", "overdue"


class Unknown(NamedTuple):
    """Something that holds a step and of which nobody knows the end: in few words, and what would release it."""

    what: str
    release: str
    choice: int = 0


class Wanted(NamedTuple):
    """A line that a task waits for."""

    task: int
    part: int
    line: Lacking


class Parcel(NamedTuple):
    """What comes together: the order, or the supplier to order from; `state` is on order, to order or overdue."""

    name: str
    due_on: str
    state: str


class Parcels(NamedTuple):
    """The parcels, when they may come and which tasks wait for them; and what is not known of parts."""

    parcels: Mapping[int, Parcel]
    deliveries: tuple[Delivery, ...]
    unknown: tuple[tuple[int, Unknown], ...]


def parcels_for(shop: Workshop, wanted: Sequence[Wanted], times: BenchTimes, now: int) -> Parcels:
    """What is to come for these lines, and when.

    For what is short and not on order it is the lead time of the cheapest offer, from today.
    """
    today = times.date_of(now)
    on_order = _on_order(coming(shop.reads)) if any(one.line.coming for one in wanted) else {}
    leads = _leads(shop, [one for one in wanted if one.line.short], today)
    tasks: dict[Parcel, list[int]] = {}
    unknown: list[tuple[int, Unknown]] = []
    for task, part, line in wanted:
        what = f"{line.refs or line.key} ({line.key})" if line.refs else line.key
        if line.coming:
            ref = on_order.get((part, line.due_on), "")
            if line.due_on:
                late = times.minute_of(date.fromisoformat(line.due_on), HOUR) <= now
                tasks.setdefault(Parcel(ref, line.due_on, OVERDUE if late else ON_ORDER), []).append(task)
            else:
                unknown.append((task, Unknown(f"{what} on order, no day known", f"Ask when {line.key} will come.")))
        if line.short:
            found = leads.get((part, line.short))
            if isinstance(found, Parcel):
                tasks.setdefault(found, []).append(task)
            else:
                why = found or "nobody offers it"
                unknown.append((task, Unknown(f"{what}: {line.short} short, {why}", f"Find an offer of {line.key}.")))
    ordered = sorted(tasks, key=lambda parcel: (parcel.due_on, parcel.name, parcel.state))
    deliveries = [
        Delivery(number, _when(parcel, times, now), tuple(dict.fromkeys(tasks[parcel])))
        for number, parcel in enumerate(ordered, 1)
    ]
    return Parcels(dict(enumerate(ordered, 1)), tuple(deliveries), tuple(dict.fromkeys(unknown)))


def parcel_said(parcel: Parcel) -> str:
    """A parcel in a few words.

    >>> parcel_said(Parcel("TW-2611 from TERN", "2026-12-04", ON_ORDER))
    'TW-2611 from TERN, due 4 Dec'
    """
    day = day_said(parcel.due_on)
    if parcel.state == TO_ORDER:
        return f"to order from {parcel.name}, here by {day} if ordered today"
    return f"{parcel.name or 'an order'}, {'was due' if parcel.state == OVERDUE else 'due'} {day}"


def _on_order(rows: Iterable[ComingRow]) -> dict[tuple[int, str], str]:
    return {(row.part, row.when or ""): f"{row.ref} from {row.supplier}" for row in rows}


def _leads(shop: Workshop, lacking: Sequence[Wanted], today: date) -> dict[tuple[int, int], Parcel | str]:
    """Of each part and number short: the parcel that would come if it were ordered today, or why nobody can tell."""
    if not lacking:
        return {}
    parts = {one.part for one in lacking}
    offers = offers_for(shop, parts)
    lead_days = {row.offer: row.lead_days for row in read.offer_breaks(shop.reads, parts)}
    suppliers = read.suppliers(shop.reads)
    found: dict[tuple[int, int], Parcel | str] = {}
    for _, part, line in lacking:
        buy = cheapest(offers.get(part, ()), line.short)
        if buy is None:
            continue
        days = lead_days[buy.offer]
        code = suppliers[buy.supplier].code
        found[part, line.short] = (
            f"{code} names no lead time" if days is None else Parcel(code, _after(today, days), TO_ORDER)
        )
    return found


def _after(today: date, days: int) -> str:
    return (today + timedelta(days=max(1, min(days, 20_000)))).isoformat()


def _when(parcel: Parcel, times: BenchTimes, now: int) -> Range:
    """The least, likely and most likely latest moment at which it is there."""
    today, due = times.date_of(now), date.fromisoformat(parcel.due_on)
    if parcel.state == OVERDUE:
        days = [today + timedelta(days=more) for more in (1, OVERDUE_DAYS, VERY_LATE_DAYS)]
    else:
        late = VERY_LATE_DAYS if parcel.state == TO_ORDER else LATE_DAYS
        days = [due + timedelta(days=more) for more in (-EARLY_DAYS, 0, late)]
    low, likely, high = (max(now, times.minute_of(day, HOUR)) for day in days)
    return Range(low, likely, high)
