"""What holds a step besides its place in the checklist: other steps, questions, lines to be kitted."""

from __future__ import annotations

from collections.abc import Sequence

from sqlmodel import col, select

from buildbook.actions.checklists import After, add_need
from buildbook.actions.reading import need_reason
from buildbook.actions.rows import numbers_of, put, remove, seek, take_away
from buildbook.errors import BadInput, Forbidden
from buildbook.store.journal import action
from buildbook.store.read.naming import find_line, find_question, find_step
from buildbook.store.tables import Step, StepLine, StepNeed, StepPoint, StepQuestion, StepWaived
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import quote
from buildbook.trade.refdes import read_refs


def put_after(shop: Workshop, step: str | int, before: str | int, *, link: str = "fs", wait_min: int = 0) -> str:
    """Have a step come after another (FS) or after its beginning (SS), and return a sentence that says so.

    A checklist in which no step said anything is worked from the top down; that order is written down first, so that it
    still holds. Raises Forbidden when steps would wait for each other, naming the loop.
    """
    known = find_step(shop, step)
    earlier = find_step(shop, before, among={known.assembly_id})
    with action(shop, f"{known.name} after {earlier.name}") as work:
        add_need(work, known, earlier, After(earlier.name, link, wait_min))
    return f"{known.name} comes after {earlier.name}."


def set_free(shop: Workshop, step: str | int, before: str | int) -> str:
    """Have a step no longer come after another, and return a sentence that says so."""
    known = find_step(shop, step)
    earlier = find_step(shop, before, among={known.assembly_id})
    with action(shop, f"{known.name} no longer after {earlier.name}") as work:
        row = seek(work, StepNeed, step_id=known.id, needs_id=earlier.id)
        if row is None:
            raise Forbidden(
                f"{known.name} does not say that it comes after {earlier.name}.", "", "There is no such link."
            )
        remove(work, row)
        own = work.exec(select(Step.id).where(col(Step.assembly_id) == known.assembly_id)).all()
        loose = not numbers_of(work, StepNeed, "step_id", [number for number in own if number])
    said = f"{known.name} no longer waits for {earlier.name}."
    more = " No step of its checklist says any more what it comes after: it is worked from the top down."
    return said + more if loose and len(own) > 1 else said


def hold_for_question(shop: Workshop, step: str | int, question: str) -> str:
    """Hold a step while a question of its project is open, and return a sentence that says so."""
    known, asked = find_step(shop, step), find_question(shop, question)
    with action(shop, f"{known.name} waits for the question {asked.code}") as work:
        if seek(work, StepQuestion, step_id=known.id, choice_id=asked.id) is None:
            put(work, StepQuestion(step_id=known.id, choice_id=asked.id))
    return f"{known.name} is held while {asked.code} is open."


def let_go_of_question(shop: Workshop, step: str | int, question: str) -> str:
    """No longer hold a step for a question, and return a sentence that says so."""
    known, asked = find_step(shop, step), find_question(shop, question)
    with action(shop, f"{known.name} no longer waits for the question {asked.code}") as work:
        row = seek(work, StepQuestion, step_id=known.id, choice_id=asked.id)
        if row is None:
            raise Forbidden(f"{known.name} is not held by {asked.code}.")
        remove(work, row)
    return f"{known.name} does not wait for {asked.code} any more."


def let_go(shop: Workshop, step: str | int) -> str:
    """No longer hold a step for questions, lines or readings, and return a sentence that says so."""
    known = find_step(shop, step)
    with action(shop, f"{known.name} is held by its order alone") as work:
        for model in (StepQuestion, StepLine, StepPoint):
            take_away(work, model, numbers_of(work, model, "step_id", [known.id]))
    return f"{known.name} is held by no question, line or reading any more."


def read_places(text: str) -> list[str]:
    """Places of a parts list as they are typed: designators and their ranges, or keys of parts, blanks between.

    >>> read_places("T1 T2, R1-R3"), read_places("IFT-455 R1")
    (['T1', 'T2', 'R1', 'R2', 'R3'], ['IFT-455', 'R1'])
    """
    try:
        return list(read_refs(text))
    except BadInput:
        return text.replace(",", " ").split()


def fits(shop: Workshop, step: str | int, places: Sequence[str]) -> str:
    """Say which lines of its parts list a step fits, by designator or part, and return a sentence that says so.

    The step is held until they are kitted. What was said before no longer counts; no places at all free it.
    """
    known = find_step(shop, step)
    home = known.path.rpartition("/")[0]
    lines = {find_line(shop, f"{home}/{place}").id for place in places}
    with action(shop, f"{known.name} fits {', '.join(places) or 'nothing'}") as work:
        while row := seek(work, StepLine, step_id=known.id):
            remove(work, row)
        work.insert_many(StepLine, [{"step_id": known.id, "line_id": line} for line in sorted(lines)])
    many = len(lines)
    return f"{known.name} fits {many} line{'' if many == 1 else 's'}." if lines else f"{known.name} fits nothing."


def waive(shop: Workshop, step: str | int, before: str | int, reason: str) -> str:
    """Remember, for a reason, that the natural order of two steps does not matter here; return a sentence of it."""
    known = find_step(shop, step)
    earlier = find_step(shop, before, among={known.assembly_id})
    why = need_reason(reason, "An order that does not matter")
    if known.id == earlier.id:
        raise BadInput("Nothing was written.", f"{quote(known.name)} was named twice.", "Name two steps.")
    with action(shop, f"{known.name} need not come after {earlier.name}") as work:
        row = seek(work, StepWaived, step_id=known.id, before_id=earlier.id)
        if row is None:
            put(work, StepWaived(step_id=known.id, before_id=earlier.id, reason=why))
        else:
            row.reason = why
    return f"{known.name} need not come after {earlier.name}: {why}"
