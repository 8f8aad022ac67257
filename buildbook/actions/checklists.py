"""Checklists: what has to be done, in what order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.reading import read_count, read_one_of, read_text
from buildbook.actions.rows import OF_STEPS, change, cut_loose, numbers_of, remove, seek, the
from buildbook.actions.seen import refuse_stale
from buildbook.actions.signing import read_checks
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains as Link
from buildbook.reckon.explode import loop_if_added
from buildbook.store.journal import Work, action
from buildbook.store.read import kitting
from buildbook.store.read.naming import (
    AssemblyNamed,
    StepNamed,
    find_assembly,
    find_line,
    find_option,
    find_question,
    find_step,
)
from buildbook.store.tables import Step, StepLine, StepNeed, StepQuestion
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean
from buildbook.trade.units import LONGEST_MIN

WAIT_KINDS = ("dry", "cure", "soak", "cool", "charge")


class After(NamedTuple):
    """A step that must be done (FS) or begun (SS) before another, with the least wait between in minutes."""

    step: str
    link: str = "fs"
    wait_min: int = 0


@dataclass(frozen=True, slots=True)
class NewStep:
    """A step to be made: hands-on minutes (least, likely, most), then perhaps an unattended wait (least, most).

    With only the likely minutes given, the least and the most are the same. `after` names steps by number, place
    or name; `questions` those of its project that hold it while they are open; `fits` designators or parts of its
    assembly's list, which hold it until they are kitted. `checks` are what a signature at it confirms, one on each
    line. `option` (QUESTION:ANSWER) is the answer that it comes with.
    """

    name: str
    likely_min: int = 0
    low_min: int | None = None
    high_min: int | None = None
    wait_low_min: int = 0
    wait_high_min: int | None = None
    work: str = ""
    one_way: bool = False
    hold_point: bool = False
    caution: str = ""
    wait_kind: str = ""
    occupies: str = ""
    tools: str = ""
    checks: str = ""
    after: tuple[After, ...] = ()
    questions: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    option: str = ""


def add_step(shop: Workshop, assembly: str, step: NewStep) -> int:
    """Add a step at the end of the checklist of an assembly and return its number."""
    return add_steps(shop, assembly, [step], title=f"Add step: {clean(step.name)}")[0]


def add_steps(shop: Workshop, assembly: str, steps: Sequence[NewStep], *, title: str = "") -> list[int]:
    """Add steps at the end of the checklist of an assembly, in one action, and return their numbers.

    A step may come after one of the others, by its name. A checklist that was worked from the top down so far has that
    order written down once a new step says what it comes after. Raises Forbidden when they would wait for each other.
    """
    home = find_assembly(shop, assembly)
    with action(shop, clean(title) or f"Add {len(steps)} steps to {home.path}") as work:
        if any(step.after for step in steps):
            write_order_down(work, home.id)
        last = work.exec(select(func.max(Step.position)).where(col(Step.assembly_id) == home.id)).one() or 0
        rows: list[dict[str, str | int | None]] = [
            {**_step_row(step, home.id, last + place), "option_id": _option(shop, home, step.option)}
            for place, step in enumerate(steps, 1)
        ]
        numbers = list(work.insert_many(Step, rows))
        by_name = {clean(step.name).casefold(): number for step, number in zip(steps, numbers, strict=True)}
        needs = []
        for step, number in zip(steps, numbers, strict=True):
            for after in step.after:
                before = by_name.get(clean(after.step).casefold())
                needs.append(_need_row(number, before or find_step(shop, after.step, among={home.id}).id, after))
        _refuse_loops(work, needs)
        work.insert_many(StepNeed, needs)
        _hold(work, shop, home, zip(steps, numbers, strict=True))
    return numbers


def _option(shop: Workshop, home: AssemblyNamed, option: str) -> int | None:
    """The number of the candidate answer of a step's project, named QUESTION:ANSWER; none where nothing is said."""
    return find_option(shop, home.project_id, option).id if clean(option) else None


def _hold(work: Work, shop: Workshop, home: AssemblyNamed, steps: Iterable[tuple[NewStep, int]]) -> None:
    """Write down which questions and lines hold new steps."""
    asked, lines = [], []
    project = home.path.partition("/")[0]
    for step, number in steps:
        asked += [(number, find_question(shop, f"{project}/{one}").id) for one in step.questions]
        lines += [(number, find_line(shop, f"{home.path}/{one}").id) for one in step.fits]
    work.insert_many(StepQuestion, [{"step_id": step, "choice_id": choice} for step, choice in dict.fromkeys(asked)])
    work.insert_many(StepLine, [{"step_id": step, "line_id": line} for step, line in dict.fromkeys(lines)])


def _step_row(step: NewStep, assembly: int, position: int) -> dict[str, str | int]:
    name = clean(step.name)
    if not name:
        raise BadInput("The step was not made.", "It has no name.", "Say in a few words what is to be done.")
    likely = step.likely_min
    low = likely if step.low_min is None else step.low_min
    high = likely if step.high_min is None else step.high_min
    wait_high = step.wait_low_min if step.wait_high_min is None else step.wait_high_min
    _refuse_disorder(name, low, likely, high)
    _refuse_disorder(name, 0, step.wait_low_min, wait_high)
    return {
        "assembly_id": assembly,
        "position": position,
        "name": name,
        "work": clean(step.work),
        "low_min": low,
        "likely_min": likely,
        "high_min": high,
        "wait_low_min": step.wait_low_min,
        "wait_high_min": wait_high,
        "one_way": int(step.one_way),
        "hold_point": int(step.hold_point),
        "caution": read_text(step.caution, "caution"),
        "wait_kind": _wait_kind(step.wait_kind),
        "occupies": read_text(step.occupies, "place that it takes"),
        "tools": read_text(step.tools, "list of tools"),
        "checks": read_checks(step.checks),
    }


def _wait_kind(text: str) -> str:
    return read_one_of(text, WAIT_KINDS, "kind of wait") if clean(text) else ""


def _refuse_disorder(name: str, low: int, likely: int, high: int) -> None:
    if not 0 <= low <= likely <= high <= LONGEST_MIN:
        raise BadInput(
            f"The minutes of {name} were not taken.",
            f"{low}, {likely} and {high} do not stand in order from 0 up.",
            "Give the least first and the most last.",
        )


def _need_row(step: int, before: int, after: After) -> dict[str, str | int]:
    return {
        "step_id": step,
        "needs_id": before,
        "link": read_one_of(after.link, ("fs", "ss"), "link between steps").upper(),
        "wait_min": read_count(after.wait_min, "minutes", least=0, most=LONGEST_MIN),
    }


def _refuse_loops(work: Work, needs: Iterable[dict[str, str | int]]) -> None:
    """Raise Forbidden when steps would wait for each other."""
    links = [Link(row.needs_id, row.step_id, 1) for row in work.exec(select(StepNeed))]
    for need in needs:
        new = Link(int(need["needs_id"]), int(need["step_id"]), 1)
        path = (new.parent, new.child) if new.parent == new.child else loop_if_added(links, new)
        if path:
            names = [the(work, Step, number).name for number in path]
            raise Forbidden(
                "The order of the steps was not taken.",
                f"They would wait for each other: {' before '.join(names)}.",
                "Leave one of them out.",
            )
        links.append(new)


def add_need(work: Work, step: StepNamed, before: StepNamed, after: After) -> None:
    """Have a step come after another. Raises Forbidden when steps would wait for each other."""
    write_order_down(work, step.assembly_id)
    row = seek(work, StepNeed, step_id=step.id, needs_id=before.id)
    if row:
        remove(work, row)
    need = _need_row(step.id, before.id, after)
    _refuse_loops(work, [need])
    work.insert_many(StepNeed, [need])


def write_order_down(work: Work, assembly: int) -> None:
    """Write down the order of a checklist in which no step says anything: from the top down."""
    steps = work.exec(select(Step.id).where(col(Step.assembly_id) == assembly).order_by("position", "id")).all()
    if numbers_of(work, StepNeed, "step_id", [step for step in steps if step]):
        return
    pairs = pairwise(steps)
    work.insert_many(
        StepNeed, [{"step_id": after, "needs_id": before, "link": "FS", "wait_min": 0} for before, after in pairs]
    )


def change_step(
    shop: Workshop,
    step: str | int,
    *,
    name: str | None = None,
    low_min: int | None = None,
    likely_min: int | None = None,
    high_min: int | None = None,
    wait_low_min: int | None = None,
    wait_high_min: int | None = None,
    work: str | None = None,
    one_way: bool | None = None,
    hold_point: bool | None = None,
    caution: str | None = None,
    wait_kind: str | None = None,
    occupies: str | None = None,
    tools: str | None = None,
    checks: str | None = None,
    option: str | None = None,
    after: Sequence[After] | None = None,
    expected: Mapping[str, Any] | None = None,
) -> int:
    """Change what is given of a step and return its number; `after` replaces all that it comes after.

    `option` is the answer (QUESTION:ANSWER) that it comes with, empty for none.
    """
    known = find_step(shop, step)
    befores = None if after is None else [(one, find_step(shop, one.step, among={known.assembly_id})) for one in after]
    brought = None if option is None else _option(shop, find_assembly(shop, known.path.rpartition("/")[0]), option)
    with action(shop, f"Change step: {known.name}") as writing:
        row = the(writing, Step, known.id)
        refuse_stale(f"Step {known.path}", row, expected)
        change(
            row,
            name=clean(name) if name is not None else None,
            low_min=low_min,
            likely_min=likely_min,
            high_min=high_min,
            wait_low_min=wait_low_min,
            wait_high_min=wait_high_min,
            work=None if work is None else clean(work),
            one_way=None if one_way is None else int(one_way),
            hold_point=None if hold_point is None else int(hold_point),
            caution=None if caution is None else read_text(caution, "caution"),
            wait_kind=None if wait_kind is None else _wait_kind(wait_kind),
            occupies=None if occupies is None else read_text(occupies, "place that it takes"),
            tools=None if tools is None else read_text(tools, "list of tools"),
            checks=None if checks is None else read_checks(checks),
        )
        if option is not None:
            row.option_id = brought
        _refuse_disorder(row.name, row.low_min, row.likely_min, row.high_min)
        _refuse_disorder(row.name, 0, row.wait_low_min, row.wait_high_min)
        if befores is not None:
            _replace_needs(writing, known, [_need_row(known.id, before.id, one) for one, before in befores])
    return known.id


def _replace_needs(work: Work, step: StepNamed, needs: Sequence[dict[str, str | int]]) -> None:
    for row in work.exec(select(StepNeed).where(col(StepNeed.step_id) == step.id)).all():
        work.delete(row)
    work.flush()
    _refuse_loops(work, needs)
    work.insert_many(StepNeed, needs)


def drop_step(shop: Workshop, step: str | int) -> str:
    """Take a step off its checklist, for every build, and return its name.

    Raises Forbidden when others are said to come after it, a build has begun it, or something was written about it.
    """
    known = find_step(shop, step)
    with action(shop, f"Take step off the list: {known.name}") as work:
        if kitting.step_is_used(shop.reads, known.id):
            raise Forbidden(
                f"{known.name} was not taken off the list.",
                "A build has begun it, or the log tells of it.",
                "Drop it for that build instead.",
            )
        after = [row[0] for row in work.run(COME_AFTER, (known.id,))]
        if after:
            raise Forbidden(
                f"{known.name} was not taken off the list.",
                f"{' and '.join(after)} come{'s' if len(after) == 1 else ''} after it.",
                "Have them come after something else first.",
            )
        cut_loose(work, OF_STEPS, [known.id])
        remove(work, the(work, Step, known.id))
    return known.name


# Index: ix_step_need_needs_id.
COME_AFTER = """
    SELECT s.name FROM step_need AS n JOIN step AS s ON s.id = n.step_id WHERE n.needs_id = ? ORDER BY n.id
"""
