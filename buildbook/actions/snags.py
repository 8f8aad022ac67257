"""Snags: faults of a build, what was tried to find and cure them, and what the cause was."""

from __future__ import annotations

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.reading import need_reason, read_text
from buildbook.actions.rows import put, the
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import action
from buildbook.store.read import kitting
from buildbook.store.read.measuring import SnagNamed, find_snag
from buildbook.store.read.naming import find_assembly, find_build, find_step
from buildbook.store.tables import Reading, Snag, SnagTry
from buildbook.store.workshop import Workshop
from buildbook.trade.effort import read_effort, read_joints
from buildbook.trade.plain import clean, quote


def open_snag(
    shop: Workshop,
    build: str,
    title: str,
    *,
    assembly: str | None = None,
    step: str | int | None = None,
    reading: int | None = None,
) -> str:
    """Write down a fault of a build, about an assembly, a step or a reading of it, and return its name, BUILD/NUMBER.

    Raises BadInput without a title, and for a reading of another build.
    """
    about = find_build(shop, build)
    called = clean(title)
    if not called:
        raise BadInput("The snag was not opened.", "It is not said what is wrong.", "Say it in a few words.")
    tree = kitting.inside(shop.reads, about.assembly_id)
    row = Snag(build_id=about.id, number=1, title=called, opened_at="")
    row.assembly_id = find_assembly(shop, assembly, among=tree).id if assembly else None
    row.step_id = find_step(shop, step, among=tree).id if step is not None else None
    with action(shop, f"Open snag: {called}", build_id=about.id) as work:
        if reading is not None:
            shown_by = work.get(Reading, reading)
            if shown_by is None or shown_by.build_id != about.id:
                raise BadInput("The snag was not opened.", f"There is no reading {reading} of {about.code}.", "")
            row.reading_id = reading
        last = work.exec(select(func.max(Snag.number)).where(col(Snag.build_id) == about.id)).one() or 0
        row.number, row.opened_at = last + 1, work.at
        put(work, row)
    return f"{about.code}/{last + 1}"


def add_try(
    shop: Workshop,
    snag: str,
    tried: str,
    showed: str = "",
    *,
    minutes: str = "",
    joints: str = "",
    build: str | None = None,
) -> str:
    """Write down what was tried at an open snag, what it showed and what it cost; return the snag's name, BUILD/NUMBER.

    The snag is named BUILD/NUMBER, or NUMBER where that is enough. Minutes lost ("40 min", "1h10") and joints made anew
    ("2") may be left out. Raises Forbidden for a snag that is closed.
    """
    known = find_snag(shop, snag, build=build)
    done = read_text(tried, "try")
    if not done:
        raise BadInput("Nothing was written down.", "It is not said what was tried.", "Say it in a few words.")
    took = read_effort(minutes).minutes
    anew = read_joints(joints)
    with action(shop, f"Try at snag {known.number}: {_shortly(done)}", build_id=known.build_id) as work:
        if the(work, Snag, known.id).state != "open":
            raise Forbidden("Nothing was written down.", f"{_named(known)} is closed.", "Open it again first.")
        row = SnagTry(snag_id=known.id, at=work.at, tried=done, showed=read_text(showed, "result"))
        row.minutes, row.joints = took, anew
        put(work, row)
    return f"{known.build}/{known.number}"


def close_snag(shop: Workshop, snag: str, cause: str, *, build: str | None = None) -> str:
    """Close a snag whose cause is known, and return its name. Raises Forbidden without a cause, or if it is closed."""
    known = find_snag(shop, snag, build=build)
    why = read_text(cause, "cause")
    if not why:
        raise Forbidden("The snag was not closed.", "A snag is closed with its cause.", "Say what it was.")
    with action(shop, f"Close {_named(known)}: {_shortly(why, 160)}", build_id=known.build_id) as work:
        row = the(work, Snag, known.id)
        if row.state != "open":
            raise Forbidden("The snag was not closed.", f"{_named(known)} is closed already.", "")
        row.state, row.closed_at, row.cause = "closed", work.at, why
    return f"{known.build}/{known.number}"


def reopen(shop: Workshop, snag: str, reason: str, *, build: str | None = None) -> str:
    """Open a closed snag again, for a reason, and return its name; what its cause was thought to be stays as a try."""
    known = find_snag(shop, snag, build=build)
    why = need_reason(reason, "Opening a snag again")
    with action(shop, f"Reopen {_named(known)}", build_id=known.build_id) as work:
        row = the(work, Snag, known.id)
        if row.state == "open":
            raise Forbidden("The snag was not opened again.", f"{_named(known)} is open.", "")
        thought = read_text(f"Closed, and open again; the cause was thought to be: {row.cause}"[:20_000], "try")
        put(work, SnagTry(snag_id=known.id, at=work.at, tried=thought, showed=why))
        row.state, row.closed_at, row.cause = "open", "", ""
    return f"{known.build}/{known.number}"


def _named(snag: SnagNamed) -> str:
    return f"snag {snag.number} of {snag.build}, {snag.title}"


def _shortly(text: str, limit: int = 60) -> str:
    return quote(text, limit=limit)[1:-1]
