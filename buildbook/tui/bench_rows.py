"""The rows of the Bench on the screen: each step, with what stands against it below."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from buildbook.trade.moments import MONTHS
from buildbook.tui.rows import Cell, Line, Row
from buildbook.tui.words import moment

if TYPE_CHECKING:
    from buildbook.answers.bench import StepRow

TONES = {"in hand": "good", "ready": "good", "waiting": "warn", "held": "quiet", "done": "quiet", "dropped": "quiet"}
ONE_WAY = "It cannot be undone."
HOLD_POINT = "It is a hold point: nothing after it before its check is signed."


def step_row(row: StepRow, *, several: bool) -> Row:
    """One step, with what stands against it below; its project is named where there are several."""
    place = row.place if several else row.place.partition("/")[2]
    cells = (
        Cell(row.state, TONES.get(row.state, "")),
        place,
        row.name,
        Cell(takes(row), sort=row.likely_min),
        remark(row),
    )
    tone = "quiet" if row.state in ("done", "dropped") else ""
    hay = f"{row.work} {row.assembly} {row.build}"
    return Row(key_of(row), cells, tone, tuple(step_lines(row)), row, hay)


def key_of(row: StepRow) -> str:
    """By what a step is known again in the list."""
    return f"{row.build} {row.step}"


def takes(row: StepRow) -> str:
    """How long it took, or likely takes: "24 min" or "~2h30"."""
    if row.minutes is not None:
        return short_time(row.minutes)
    return f"~{short_time(row.likely_min)}" if row.likely_min else ""


def short_time(minutes: int) -> str:
    """Minutes in few letters, as one types them.

    >>> short_time(40), short_time(150), short_time(120)
    ('40 min', '2h30', '2 h')
    """
    from buildbook.trade.units import show_minutes

    hours, rest = divmod(minutes, 60)
    return f"{hours}h{rest:02}" if rest and 0 < hours < 24 else show_minutes(minutes)


def since(at: str) -> str:
    """Since when: the time of this day, else the day.

    >>> since("2026-11-07T10:00:00Z")
    'since 7 Nov'
    """
    local = datetime.fromisoformat(at).astimezone()
    today = local.date() == datetime.now().astimezone().date()
    return f"since {local:%H:%M}" if today else f"since {local.day} {MONTHS[local.month - 1]}"


def remark(row: StepRow) -> Cell:
    """What holds it, until when it waits, since when it is in hand, whether there is a way back; in few words."""
    if row.state in ("done", "dropped"):
        said = f"{moment(row.finished_at).strip()}{', not signed' if unsigned(row) else ''}"
        return Cell(said, "warn" if unsigned(row) else "quiet", row.finished_at)
    if row.state == "waiting":
        return Cell(f"{row.wait_kind or 'until'} {'at ' if row.wait_kind else ''}{clock(row.until)}", "warn", row.until)
    said_ = [since(row.started_at)] if row.state == "in hand" and row.started_at else []
    said_ += ["put down"] if row.state == "in hand" and not row.running_since else []
    said_ += [f"by {len(row.held_by)}: {', '.join(row.held_by)}"] if row.held_by else []
    said_ += ["one-way"] if row.one_way else []
    said_ += ["hold point"] if row.hold_point else []
    said_ += ["caution"] if row.caution and not row.held_by else []
    return Cell(", ".join(said_), "quiet" if row.state == "held" else "warn" if row.one_way or row.hold_point else "")


def unsigned(row: StepRow) -> bool:
    """Whether it is a hold point that is done, and whose check nobody has signed."""
    return row.hold_point and row.state == "done" and not row.signed_at


def clock(at: str) -> str:
    """A moment ahead, as people say it."""
    from buildbook.answers.until import clock_time
    from buildbook.trade.moments import minutes_of

    minutes = minutes_of(at)
    return "" if minutes is None else clock_time(minutes, int(datetime.now(UTC).timestamp()) // 60)


def step_lines(row: StepRow) -> list[Line]:
    """What holds the step, what to mind, how long it takes, how far it has got."""
    lines = [
        Line(f"held by {one.what}. {one.release} ({one.where})", verb="h", about=(one.where, one.key))
        for one in row.held
    ]
    if not lines and row.state in ("ready", "in hand"):
        lines = [Line("Nothing stands against it.", "good")]
    lines += warnings(row)
    if row.confirms and not row.signed_at:
        lines += [Line("A signature here confirms:"), *(Line(f"- {one}") for one in row.confirms)]
    lines += [Line(said, "quiet") for said in (*definition(row), *history(row)) if said]
    return lines


def definition(row: StepRow) -> list[str]:
    """The kind of work, the tools, the wait."""
    from buildbook.trade.units import show_minutes

    low, high = show_minutes(row.wait_low_min), show_minutes(row.wait_high_min)
    waits = f"then leave it alone for {low if low == high else f'{low} to {high}'}" if row.wait_high_min else ""
    takes = {"": "", "nothing": ", which takes no place"}.get(row.occupies, f", in {row.occupies}")
    kind = f" ({row.wait_kind})" if row.wait_kind else ""
    return [
        f"work: {row.work}" if row.work else "",
        f"tools: {row.tools}" if row.tools else "",
        f"{waits}{kind}{takes}" if waits else "",
        f"{row.place} for build {row.build}",
    ]


def history(row: StepRow) -> list[str]:
    """How far it has got."""
    from buildbook.answers.signatures import signature_said
    from buildbook.trade.units import show_minutes

    took = f", it took {show_minutes(row.minutes)}" if row.minutes is not None else ""
    return [
        f"begun {moment(row.started_at).strip()}" if row.started_at else "",
        f"begun before {row.early}" if row.early else "",
        f"{row.state if row.state == 'dropped' else 'done'} {moment(row.finished_at).strip()}{took}"
        if row.finished_at
        else "",
        f"signed {moment(row.signed_at).strip()} {signature_said(row.signed_by, row.signed)}" if row.signed_at else "",
        f"better left alone until {clock(row.best_at)}" if row.best_at else "",
    ]


def warnings(row: StepRow) -> list[Line]:
    """What is to be minded before a step is begun."""
    lines = [Line(ONE_WAY, "warn")] if row.one_way else []
    lines += [Line(HOLD_POINT, "warn")] if row.hold_point else []
    lines += [Line(f"Caution: {row.caution}", "warn")] if row.caution else []
    return lines
