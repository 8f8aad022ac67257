"""How far each build has got with its steps: begun, put down, done, signed, dropped."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from buildbook.actions.reading import read_count, read_text
from buildbook.actions.rows import remove, seek
from buildbook.actions.signing import confirms_of, keep_signer, signer
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.forgotten import Closed, closes_off
from buildbook.reckon.forgotten_words import closed_said, first_told
from buildbook.reckon.readiness import BEFORE, BEGUN, NO_CHECK, OUT, QUESTION, UNREAD, readiness
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting, order
from buildbook.store.read.bench import waived
from buildbook.store.read.naming import BuildNamed, StepNamed, find_build, find_step
from buildbook.store.tables import StepRun
from buildbook.store.workshop import Workshop
from buildbook.trade.cautions import in_one_line
from buildbook.trade.moments import told_by_clock
from buildbook.trade.units import LONGEST_MIN


def start(shop: Workshop, build: str, step: str | int, *, anyway: bool = False) -> str:
    """Take a step in hand, or go on with one that was put down, and return its name. Its clock runs from now on.

    Begun before what ought to come first, that is kept with it. Unless `anyway` says that this was read, raises
    Forbidden for a hold point or the first power that is held, and for a one-way step that is held or would close off
    what ought to be done before it though nothing says so: what it would close off is listed, the most serious first.
    """
    for_build, known = _step_of(shop, build, step)
    against = _against(shop, for_build, known)
    if not anyway and not against.in_hand and (known.one_way or known.hold_point or against.power):
        _refuse_early(known, against)
    with action(shop, f"Start: {known.name}", build_id=for_build.id) as work:
        row = _run(work, for_build, known)
        if row.state == "in hand" and row.resumed_at:
            raise Forbidden(f"{known.name} is in hand already for {for_build.code}.")
        if row.state != "in hand":
            row.state, row.finished_at, row.started_at = "in hand", "", work.at
            row.early = "; ".join([*against.held, *against.forgotten])
            # What is worked on again has not been checked since.
            row.signed_at = row.signed = row.signed_by = ""
        row.resumed_at = work.at
    return known.name


def pause(shop: Workshop, build: str, step: str | int) -> str:
    """Put a step in hand down for now: its clock stands still, and the minutes so far are kept. Returns its name."""
    for_build, known = _step_of(shop, build, step)
    with action(shop, f"Put down: {known.name}", build_id=for_build.id) as work:
        row = seek(work, StepRun, build_id=for_build.id, step_id=known.id)
        if row is None or row.state != "in hand" or not row.resumed_at:
            raise Forbidden(f"{known.name} is not being worked on for {for_build.code}.", "", "Start it first.")
        row.minutes = _so_far(row, work.at)
        row.resumed_at = ""
    return known.name


def tick(
    shop: Workshop,
    build: str,
    step: str | int,
    *,
    minutes: int | None = None,
    signed: str | None = None,
    by: str = "",
) -> str:
    """Tick a step off as done, with the hands-on minutes it took if known, and return its name.

    Minutes not given are those of its clock. At a hold point, `signed` says what was checked and `by` by whom; without
    a name it is who signed last. Raises BadInput where nobody has signed yet.
    """
    took = None if minutes is None else read_count(minutes, "minutes", least=0, most=LONGEST_MIN)
    for_build, known = _step_of(shop, build, step)
    words = None if signed is None else _signature(shop, known, signed)
    name = "" if words is None else signer(shop, known.name, by)
    signing = f", signed by {name}" if name else ""
    with action(shop, f"Done: {known.name}{signing}", build_id=for_build.id) as work:
        row = _run(work, for_build, known)
        if row.state == "done" and took is None and words is None:
            raise Forbidden(f"{known.name} is done already for {for_build.code}.")
        row.minutes = _so_far(row, work.at) if took is None else took
        if row.state != "done":
            row.state, row.finished_at = "done", work.at
        row.resumed_at = ""
        if words is not None:
            row.signed_at, row.signed, row.signed_by = work.at, words, name
            keep_signer(work, name)
    return known.name


def sign(shop: Workshop, build: str, step: str | int, checked: str = "", *, by: str = "") -> str:
    """Sign a hold point that is done: what was checked, and by whom. Returns its name; what follows is then free.

    Where nothing is said, all that a signature there confirms was checked; without a name it is who signed last.
    """
    for_build, known = _step_of(shop, build, step)
    words = _signature(shop, known, checked)
    name = signer(shop, known.name, by)
    with action(shop, f"Sign: {known.name}, by {name}", build_id=for_build.id) as work:
        row = seek(work, StepRun, build_id=for_build.id, step_id=known.id)
        if row is None or row.state != "done":
            raise Forbidden(f"{known.name} was not signed.", "It is not done.", "Finish it first.")
        row.signed_at, row.signed, row.signed_by = work.at, words, name
        keep_signer(work, name)
    return known.name


class _Against(NamedTuple):
    """What speaks against beginning a step, each thing by its name; parts are not asked for.

    `held` is what of the order of work, questions and readings holds it, `besides` that which is no step to be done
    before. `forgotten` are the steps that ought to come before a one-way step though nothing says so; `closed` says in
    sentences all that it would close off, the most serious first. `power`: it is the first power, and a safety check is
    lacking.
    """

    held: list[str]
    besides: list[str]
    forgotten: list[str]
    closed: list[str]
    in_hand: bool
    power: bool


def _against(shop: Workshop, build: BuildNamed, step: StepNamed) -> _Against:
    found = order.order(shop.reads)
    tree = kitting.inside(shop.reads, build.assembly_id)
    units = shop.reads.execute("SELECT units FROM build WHERE id = ?", (build.id,)).fetchone()[0]
    holds = order.told_holds(found, build.id, units)
    power = order.power_holds(found, tree, build.id).get(step.id, [])
    holds.setdefault(step.id, []).extend(power)
    lists, runs = order.checklists(found, tree), order.runs_of(found, build.id)
    stands = readiness(lists, runs, found.before, holds, int(shop.clock().timestamp()) // 60)
    if step.id not in stands:
        raise Forbidden(
            f"{step.name} was not begun.",
            "It comes with an answer that is not chosen.",
            "Settle the question first, in Checks.",
        )
    standing = stands[step.id]
    names = {row.id: row.name for rows in found.lists.values() for row in rows}
    codes = {QUESTION: {row.choice: f"question {row.code}" for row in found.questions}}
    codes[UNREAD] = codes[OUT] = {row.point: f"reading {row.code}" for row in found.points}
    codes[NO_CHECK] = {step.id: "no safety check stands before it"}
    called = [(reason.kind, codes.get(reason.kind, names)[reason.number]) for reason in standing.reasons]
    in_hand = order.in_hand(found, build.id)
    closed: tuple[Closed, ...] = ()
    if step.one_way:
        closed = closes_off(
            step.id,
            order.worked(found, tree),
            order.links(found, tree),
            order.behind(found, build.id),
            begun=in_hand,
            dismissed=waived(shop.reads),
        )
    return _Against(
        held=[name for _, name in called],
        besides=[name for kind, name in called if kind not in (BEFORE, BEGUN)],
        forgotten=[names[one.step] for one in closed if one.why == "forgotten"],
        closed=first_told([closed_said(one, names[one.step]) for one in closed]),
        in_hand=step.id in in_hand,
        power=bool(power),
    )


def _refuse_early(step: StepNamed, against: _Against) -> None:
    """Raise Forbidden for what may not simply be begun early, with all that speaks against it."""
    if not against.held and not against.forgotten:
        return
    what, mend = f"{step.name} was not begun.", "Do these first, or say that it is to be begun all the same"
    if not step.one_way:
        kind = "a hold point" if step.hold_point else "the first power"
        raise Forbidden(what, f"It is {kind}, and it is held: {'; '.join(against.held)}.", f"{mend}.")
    said = [*against.closed, *(f"It is held by {name}." for name in against.besides)]
    raise Forbidden(what, "It cannot be undone.", "\n  ".join([f"{mend}, the most serious first:", *said]))


def _signature(shop: Workshop, step: StepNamed, checked: str) -> str:
    if not step.hold_point:
        raise Forbidden(f"{step.name} was not signed.", "It is no hold point.", "Finish it as it is.")
    words = read_text(checked, "signature") or in_one_line(confirms_of(shop, step.id))
    if not words:
        raise BadInput(f"{step.name} was not signed.", "Nothing says what was checked.", "Say it in a few words.")
    return words


def drop(shop: Workshop, build: str, step: str | int) -> str:
    """Leave a step out of a build and return its name."""
    for_build, known = _step_of(shop, build, step)
    with action(shop, f"Leave out: {known.name}", build_id=for_build.id) as work:
        row = _run(work, for_build, known)
        if row.state == "dropped":
            raise Forbidden(f"{known.name} is dropped already for {for_build.code}.")
        row.state, row.finished_at, row.resumed_at = "dropped", work.at, ""
    return known.name


def untick(shop: Workshop, build: str, step: str | int) -> str:
    """Make a step as if it had not been begun, and return its name."""
    for_build, known = _step_of(shop, build, step)
    with action(shop, f"Not done after all: {known.name}", build_id=for_build.id) as work:
        row = seek(work, StepRun, build_id=for_build.id, step_id=known.id)
        if row is None:
            raise Forbidden(f"{known.name} has not been begun for {for_build.code}.", "", "There is nothing to untick.")
        remove(work, row)
    return known.name


def _run(work: Work, build: BuildNamed, step: StepNamed) -> StepRun:
    """How far a step has got in a build; a new row when it has not been begun."""
    row = seek(work, StepRun, build_id=build.id, step_id=step.id)
    if row is None:
        row = StepRun(build_id=build.id, step_id=step.id, state="")
        work.add(row)
    return row


def _so_far(row: StepRun, now: str) -> int | None:
    """The minutes spent on a step, its clock included; none where nothing tells them."""
    if not row.resumed_at:
        return row.minutes
    ran = int((datetime.fromisoformat(now) - datetime.fromisoformat(row.resumed_at)).total_seconds() // 60)
    told = told_by_clock(ran)
    return (row.minutes or 0) + told if told else row.minutes


def _step_of(shop: Workshop, build: str, step: str | int) -> tuple[BuildNamed, StepNamed]:
    """The build and the step meant, after making sure that the build has it."""
    for_build = find_build(shop, build)
    tree = kitting.inside(shop.reads, for_build.assembly_id)
    known = find_step(shop, step, among=tree)
    if known.assembly_id not in tree:
        raise Forbidden(f"{known.name} is no step of build {for_build.code}.", "", "Name one that is.")
    return for_build, known
