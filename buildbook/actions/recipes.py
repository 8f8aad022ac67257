"""Runs of steps that a checklist takes from elsewhere: from a recipe, or from the checklist of another assembly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from sqlmodel import col, select

from buildbook.actions.checklists import After, NewStep, add_steps, write_order_down
from buildbook.actions.rows import numbers_of
from buildbook.errors import Forbidden
from buildbook.store.journal import Work, action
from buildbook.store.read.naming import find_assembly
from buildbook.store.tables import Step, StepNeed, StepWaived
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean
from buildbook.trade.recipes import RecipeStep, steps_for


def take_recipe(
    shop: Workshop, recipe: str, assembly: str, *, called: str = "", after: Sequence[str | int] = ()
) -> list[int]:
    """Put the steps of a recipe at the end of a checklist, in one action, linked as the recipe says; their numbers.

    `called` is what the names of the steps say the work is on, the name of the assembly if nothing is given. The first
    step comes after those named in `after`; in a checklist that is worked from the top down, after the last one there.
    Raises BadInput for an unknown recipe or assembly.
    """
    home = find_assembly(shop, assembly)
    taken = steps_for(clean(recipe).casefold(), clean(called) or usual_name(shop, home.path))
    first = [After(str(step)) for step in after] or [After(str(step)) for step in _last_of_loose(shop, home.id)]
    title = f"Take the recipe {clean(recipe).casefold()} for {home.path}"
    return add_steps(shop, home.path, [_new(step, first) for step in taken], title=title)


def usual_name(shop: Workshop, assembly: str) -> str:
    """What the steps of a recipe call an assembly where nothing else is said: "the IF board", "the dial panel"."""
    home = find_assembly(shop, assembly)
    statement = "SELECT name, kind FROM assembly WHERE id = ?"
    name, kind = shop.reads.execute(statement, (home.id,)).fetchone()
    said = str(name or home.code)
    # The unit bears a proper name; of the others, one that is no abbreviation begins small within a sentence.
    proper = kind == "unit" or not said[1:2].islower()
    return f"the {said if proper else said[:1].lower() + said[1:]}"


def take_like(shop: Workshop, model: str, assembly: str) -> list[int]:
    """Copy the checklist of another assembly to the end of this one, in one action; the numbers of the new steps.

    The order among the copied steps comes along, and what was said not to matter of it; what ties the model to other
    checklists, to questions, lines and readings does not. In a checklist that is worked from the top down, the copy
    comes after the last step there. Raises Forbidden where there is nothing to copy.
    """
    source, home = find_assembly(shop, model), find_assembly(shop, assembly)
    with action(shop, f"Take the checklist of {source.path} for {home.path}") as work:
        steps = _steps_of(work, source.id)
        if source.project_id != home.project_id:
            # The answers of a project's questions mean nothing in another: what counts there comes along, free of them.
            counting = {number for (number,) in work.run("SELECT id FROM choice_option WHERE chosen = 1")}
            steps = [step for step in steps if step.option_id is None or step.option_id in counting]
        if not steps:
            raise Forbidden("Nothing was copied.", f"{source.path} has no steps.", "Name another assembly.")
        there = _steps_of(work, home.id)
        loose = _is_loose(work, there)
        old = [int(step.id or 0) for step in steps]
        last = max((step.position for step in there), default=0)
        free = {} if source.project_id == home.project_id else {"option_id": None}
        rows = [
            {**step.model_dump(exclude={"id"}), "assembly_id": home.id, "position": last + at, **free}
            for at, step in enumerate(steps, 1)
        ]
        if there:
            write_order_down(work, home.id)
        new = dict(zip(old, work.insert_many(Step, rows), strict=True))
        needs = list(_needs_of_copy(work, old, new, spelled_out=bool(there)))
        if loose:
            tied = {need["step_id"] for need in needs}
            needs += [_need(number, int(there[-1].id or 0)) for number in new.values() if number not in tied]
        work.insert_many(StepNeed, needs)
        work.insert_many(StepWaived, list(_waived_of_copy(work, old, new)))
    return list(new.values())


def _new(step: RecipeStep, first: Sequence[After]) -> NewStep:
    """A step of a recipe as a new step; the first ones come after what is given."""
    return NewStep(
        name=step.name,
        low_min=step.low_min,
        likely_min=step.likely_min,
        high_min=step.high_min,
        wait_low_min=step.wait_low_min,
        wait_high_min=step.wait_high_min,
        wait_kind=step.wait_kind,
        work=step.work,
        one_way=step.one_way,
        hold_point=step.hold_point,
        caution=step.caution,
        after=tuple(After(one) for one in step.after) or tuple(first),
    )


# Index: ix_step_assembly_id, the unique one of step_need.
LAST_OF_LOOSE = """
    SELECT id FROM step
     WHERE assembly_id = :home AND NOT EXISTS (
        SELECT 1 FROM step AS s JOIN step_need AS n ON n.step_id = s.id WHERE s.assembly_id = :home
     )
     ORDER BY position DESC, id DESC LIMIT 1
"""


def _last_of_loose(shop: Workshop, assembly: int) -> list[int]:
    """The last step of a checklist in which no step says what it comes after; nothing of any other."""
    return [number for (number,) in shop.reads.execute(LAST_OF_LOOSE, {"home": assembly})]


def _steps_of(work: Work, assembly: int) -> list[Step]:
    return list(work.exec(select(Step).where(col(Step.assembly_id) == assembly).order_by("position", "id")).all())


def _is_loose(work: Work, steps: Sequence[Step]) -> bool:
    """Whether there are steps, and none of them says what it comes after."""
    return bool(steps) and not numbers_of(work, StepNeed, "step_id", [step.id for step in steps if step.id])


def _needs_of_copy(
    work: Work, old: Sequence[int], new: dict[int, int], *, spelled_out: bool
) -> Iterator[dict[str, Any]]:
    """The order among the copied steps; that from the top down only where it would not be understood by itself."""
    found = work.exec(select(StepNeed).where(col(StepNeed.step_id).in_(old))).all()
    for row in found:
        if row.needs_id in new:
            yield {**row.model_dump(exclude={"id"}), "step_id": new[row.step_id], "needs_id": new[row.needs_id]}
    if not found and spelled_out:
        yield from (_need(new[below], new[above]) for above, below in pairwise(old))


def _need(step: int, before: int) -> dict[str, Any]:
    return {"step_id": step, "needs_id": before, "link": "FS", "wait_min": 0}


def _waived_of_copy(work: Work, old: Sequence[int], new: dict[int, int]) -> Iterator[dict[str, Any]]:
    for row in work.exec(select(StepWaived).where(col(StepWaived.step_id).in_(old))).all():
        if row.before_id in new:
            yield {**row.model_dump(exclude={"id"}), "step_id": new[row.step_id], "before_id": new[row.before_id]}
