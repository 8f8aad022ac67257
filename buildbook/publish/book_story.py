"""The story in the book: choices with their reasons, snags with their cures, cost, time, episodes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from buildbook.answers.form import count_of
from buildbook.publish.book_pictures import photos, plotted
from buildbook.publish.book_said import day_said, steps_said
from buildbook.publish.document import Block, Facts, Heading, Items, Table, Text
from buildbook.trade.money import show_money
from buildbook.trade.units import show_minutes

if TYPE_CHECKING:
    from buildbook.answers.record import Record
    from buildbook.answers.record_rows import Done
    from buildbook.answers.record_story import Snagged, Tried
    from buildbook.publish.plots_time import Progress

    Photo = Callable[[str], bytes | None]


def choices(record: Record) -> Iterator[Block]:
    """Every question with its answers, the one chosen, and why."""
    if not record.choices:
        yield Text("No question of the design has been written down.", "quiet")
    for row in record.choices:
        yield Heading(row.question or row.code, 2)
        yield Text(f"{row.code}: {row.state}.{f' {row.reason}' if row.reason else ' No reason is written down.'}")
        answers = (f"{one.code}, {one.name or one.code}{': chosen' if one.chosen else ''}" for one in row.answers)
        yield Items(tuple(answers))


def snags(record: Record, photo: Photo) -> Iterator[Block]:
    """Every snag with its tries in their order, and the cause."""
    if not record.snags:
        yield Text("No snag is written down.", "quiet")
    for row in record.snags:
        yield Heading(f"Snag {row.number}: {row.title}", 2)
        yield Facts(tuple((name, said) for name, said in snag_facts(row) if said))
        yield from photos(record.attached, "snag", f"{row.number}", photo)
        if row.tries:
            yield Items(tuple(map(_try, row.tries)), numbered=True)


def snag_facts(row: Snagged) -> Iterator[tuple[str, str]]:
    """What is known of a snag."""
    yield "about", row.about
    yield "showed itself", row.reading
    yield "opened", day_said(row.opened_at)
    yield "closed", day_said(row.closed_at) or row.state
    yield "cause", row.cause or "not found"
    anew = count_of(row.joints, "joint") + " made anew" if row.joints else ""
    yield "cost", ", ".join(filter(None, (show_minutes(row.minutes) if row.minutes else "", anew)))
    yield "parts", "\n".join(row.parts)


def _try(row: Tried) -> str:
    took = f" ({show_minutes(row.minutes)})" if row.minutes is not None else ""
    return f"{day_said(row.at)}: {row.tried}{took}{f' It showed: {row.showed}' if row.showed else ''}"


def costs(record: Record) -> Iterator[Block]:
    """What it costs and what was spent, drawn by section, and in figures."""
    from buildbook.publish.plots_time import CostBar, draw_costs

    cost, currency = record.cost, record.cost.currency
    yield Text(cost.said)
    money = (
        ("in all", cost.total_micros),
        ("each unit", cost.per_unit_micros),
        ("spent", cost.spent_micros),
        ("in the drawers", cost.in_stock_micros),
        ("on order", cost.ordered_micros),
        ("still to spend", cost.to_spend_micros),
        *((("consumables", cost.consumables_micros),) if cost.consumables_micros else ()),
        *((("labour", cost.labour_micros),) if cost.labour_micros else ()),
    )
    yield Facts(tuple((name, f"{show_money(micros, currency)} {currency}") for name, micros in money))
    bars = [CostBar(row.name, row.spent, row.in_stock, row.ordered, row.to_spend) for row in cost.sections if row.total]
    yield from plotted("Cost by section", bars, lambda some: draw_costs(some, currency))
    rows = tuple(
        (
            row.name,
            *(show_money(one, currency) for one in (row.spent, row.in_stock, row.ordered, row.to_spend, row.total)),
        )
        for row in cost.sections
    )
    if rows:
        headings = ("section", "spent", "in the drawers", "on order", "to spend", "in all")
        yield Table(headings, rows, right=(1, 2, 3, 4, 5), shares=(30, 14, 15, 14, 13, 14), caption=f"In {currency}")
    if cost.unpriced:
        yield Text(f"Of these parts no price is known: {', '.join(cost.unpriced)}.", "quiet")


def progress(done: tuple[Done, ...]) -> list[Progress]:
    """What was done by when, as running sums."""
    from buildbook.publish.plots_time import Progress

    found: list[Progress] = []
    for steps, row in enumerate(done, start=1):
        found.append(Progress(row.at, row.minutes + (found[-1].minutes if found else 0), steps))
    return found


def time_spent(record: Record) -> Iterator[Block]:
    """What was planned and what it took, drawn over the days, and by section."""
    from buildbook.publish.plots_time import draw_progress

    if not record.work:
        yield Text("No step is written down.", "quiet")
        return
    kept = [row.minutes for row in record.work if row.minutes is not None]
    moments = progress(record.done)
    done = moments[-1].minutes if moments else 0
    yield Facts(
        (
            ("planned", f"{show_minutes(record.cost.labour_minutes)} of hands-on time"),
            ("spent", f"{show_minutes(sum(kept))} at the {len(kept)} steps at which it was kept"),
            ("steps", steps_said(record.work)),
        )
    )
    left = max(0, record.cost.labour_minutes - done)
    yield from plotted("Hands-on hours done", moments, lambda some: draw_progress(some, left_min=left))
    rows = []
    for code in dict.fromkeys(row.section for row in record.work):
        own = [row for row in record.work if row.section == code]
        took = [row.minutes for row in own if row.minutes is not None]
        rows.append((code, steps_said(own), show_minutes(sum(row.likely_min for row in own)), show_minutes(sum(took))))
    yield Table(("section", "steps", "thought", "kept"), tuple(rows), right=(2, 3), shares=(26, 40, 17, 17))


def episodes(record: Record, photo: Photo) -> Iterator[Block]:
    """Every episode: its recap, the builder's own words, what was written down in it."""
    if not record.episodes:
        yield Text("No episode was told.", "quiet")
    for row in record.episodes:
        yield Heading(f"Episode {row.number}: {row.title}", 2)
        span = (
            f"From {day_said(row.opened_at)} {f'to {day_said(row.closed_at)}' if row.closed_at else 'on; still open'}."
        )
        yield Text(span, "quiet")
        yield from (Text(said) for said in (row.recap, row.words) if said)
        yield from photos(record.attached, "episode", f"{row.number}", photo)
        told = (f"{day_said(one.at)}: {one.what}{f' ({one.about})' if one.about else ''}" for one in row.rows)
        yield Items(tuple(told))
