"""The tree of a project rearranged: assemblies copied, put in another place, taken away; whole projects taken away."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from sqlmodel import col, select

from buildbook.actions.boards import last_place, refuse_loop, unit_of
from buildbook.actions.counting import refuse_too_many
from buildbook.actions.reading import read_code, read_count
from buildbook.actions.rows import (
    OF_CONTACTS,
    OF_LINES,
    OF_POINTS,
    OF_QUESTIONS,
    OF_STEPS,
    OF_SUPPLIES,
    cut_loose,
    numbers_of,
    put,
    seek,
    take_away,
    taken,
    the,
)
from buildbook.errors import Forbidden
from buildbook.reckon.explode import Contains as Link
from buildbook.store.journal import Work, action, table_of
from buildbook.store.read import kitting
from buildbook.store.read.naming import find_assembly, find_project
from buildbook.store.tables import (
    Assembly,
    Bank,
    Build,
    Choice,
    Contacts,
    ContactUse,
    Contains,
    Line,
    Option,
    Project,
    Row,
    Step,
    StepLine,
    StepNeed,
    StepWaived,
    Supply,
    SupplyLoad,
    TestPoint,
)
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean, quote

Fields = dict[str, Any]


def copy_assembly(shop: Workshop, assembly: str, project: str, code: str, name: str = "") -> str:
    """Copy an assembly into a project, once inside its unit, and return the full name of the copy.

    The copy has the same parts list, holds the same assemblies, and has the same checklist with the order among its own
    steps. Within a project lines and assemblies stay bound to the answers of its questions; into another one go those
    that count as the choices stand. Raises Forbidden when a loop would close.
    """
    known, home = find_assembly(shop, assembly), find_project(shop, project)
    named = read_code(code, "assembly")
    path = f"{home.code}/{named}"
    with action(shop, f"Copy {known.path} to {path}") as work:
        if seek(work, Assembly, project_id=home.id, code=named):
            raise taken("assembly", path)
        model = the(work, Assembly, known.id)
        row = Assembly(project_id=home.id, code=named, name=clean(name) or model.name, kind=model.kind, note=model.note)
        row.position = last_place(work, home.id) + 1
        copy = put(work, row)
        options = None if home.id == known.project_id else _chosen(work)
        lines = _bound(_rows_of(work, Line, "assembly_id", [known.id], numbered=True), options)
        old = [line.pop("id") for line in lines]
        copies = work.insert_many(Line, [{**line, "assembly_id": copy} for line in lines])
        links = _bound(_rows_of(work, Contains, "parent_id", [known.id]), options)
        work.insert_many(Contains, [{**link, "parent_id": copy} for link in _merged(links)])
        _copy_steps(work, known.id, copy, dict(zip(old, copies, strict=True)), options)
        unit = unit_of(work, home.id)
        if unit not in (None, copy):
            refuse_loop(work, Link(unit, copy, 1), f"{path} was not made.")
            put(work, Contains(parent_id=unit, child_id=copy, qty=1))
        refuse_too_many(work)
    return path


def _chosen(work: Work) -> set[int]:
    return {row[0] for row in work.run("SELECT id FROM choice_option WHERE chosen = 1")}


def _bound(rows: Iterable[Fields], options: Collection[int] | None) -> list[Fields]:
    """All rows as they are, or, for another project, those that count, free of their options."""
    if options is None:
        return list(rows)
    return [{**row, "option_id": None} for row in rows if row["option_id"] is None or row["option_id"] in options]


def _merged(links: Iterable[Fields]) -> list[Fields]:
    """What is held once for itself and once for an option is one link when the option falls away."""
    found: dict[tuple[int, int | None], Fields] = {}
    for link in links:
        key = link["child_id"], link["option_id"]
        found[key] = {**link, "qty": link["qty"] + (found[key]["qty"] if key in found else 0)}
    return list(found.values())


def _copy_steps(work: Work, model: int, copy: int, lines: Mapping[int, int], options: Collection[int] | None) -> None:
    """The checklist of an assembly, with the order among its steps and the copied lines that they fit."""
    steps = _bound(_rows_of(work, Step, "assembly_id", [model], numbered=True), options)
    old = [step.pop("id") for step in steps]
    new = dict(zip(old, work.insert_many(Step, [{**step, "assembly_id": copy} for step in steps]), strict=True))
    ties: tuple[tuple[type[Row], str, Mapping[int, int]], ...] = (
        (StepNeed, "needs_id", new),
        (StepWaived, "before_id", new),
        (StepLine, "line_id", lines),
    )
    for tie, other, copies in ties:
        rows = _rows_of(work, tie, "step_id", old)
        within = [row for row in rows if row[other] in copies]
        work.insert_many(tie, [{**row, "step_id": new[row["step_id"]], other: copies[row[other]]} for row in within])


def _rows_of(
    work: Work, model: type[Row], column: str, numbers: Sequence[int], *, numbered: bool = False
) -> list[Fields]:
    """The rows of a table that belong to these numbers, in the order written; without their own numbers."""
    statement = f"SELECT * FROM {table_of(model).name} WHERE {column} IN (SELECT value FROM json_each(?)) ORDER BY id"
    found = work.run(statement, (json.dumps(numbers),)).mappings()
    return [{name: value for name, value in row.items() if numbered or name != "id"} for row in found]


def move_assembly(shop: Workshop, assembly: str, position: int) -> str:
    """Give an assembly its place (1 is first) among those beside it in the tree; return its full name.

    Beside it are all that stand inside an assembly in which it stands too. The others keep their order.
    """
    known = find_assembly(shop, assembly)
    place = read_count(position, "as place")
    with action(shop, f"Move {known.path} to place {place}") as work:
        mine = select(Assembly).where(col(Assembly.project_id) == known.project_id)
        in_order = sorted(work.exec(mine), key=lambda row: (row.position, row.id or 0))
        links = kitting.all_links(shop.reads)
        holders = {parent for parent, child, _ in links if child == known.id}
        held = {child for _, child, _ in links}
        beside = {child for parent, child, _ in links if parent in holders}
        slots = [at for at, row in enumerate(in_order) if row.id in beside or not (holders or row.id in held)]
        siblings = [in_order[at] for at in slots if in_order[at].id != known.id]
        siblings.insert(place - 1, the(work, Assembly, known.id))
        for at, row in zip(slots, siblings, strict=True):
            in_order[at] = row
        for number, row in enumerate(in_order):
            row.position = number
    return known.path


def drop_assembly(shop: Workshop, assembly: str) -> None:
    """Take an assembly away, with its parts list and its checklist; what stood inside it stays in the project.

    Raises Forbidden while a build makes it or holds (or has lost) parts for it, a step of it has been begun, or the log
    tells of it.
    """
    known = find_assembly(shop, assembly)
    with action(shop, f"Take {known.path} away") as work:
        builds = [row[0] for row in work.run("SELECT code FROM build WHERE assembly_id = ?", (known.id,))]
        if builds:
            raise Forbidden(
                f"{known.path} was not taken away.",
                f"It is what {' and '.join(builds)} makes.",
                "Drop the build instead.",
            )
        _refuse_used(work, known.path, [known.id])
        _drop_assemblies(work, [known.id])


def drop_project(shop: Workshop, code: str) -> None:
    """Take a project away, with its assemblies, questions and builds.

    Raises Forbidden while a build holds (or has lost) parts for it, one of its steps has been begun, the log tells of
    it, or another project uses one of its assemblies.
    """
    home = find_project(shop, code)
    with action(shop, f"Take project {home.code} away") as work:
        assemblies = numbers_of(work, Assembly, "project_id", [home.id])
        _refuse_used(work, f"Project {home.code}", assemblies)
        _refuse_told(work, f"Project {home.code}", home.id)
        take_away(work, Build, numbers_of(work, Build, "project_id", [home.id]))
        _drop_assemblies(work, assemblies)
        supplies = numbers_of(work, Supply, "project_id", [home.id])
        cut_loose(work, OF_SUPPLIES, supplies)
        take_away(work, Supply, supplies[::-1])
        contacts = numbers_of(work, Contacts, "project_id", [home.id])
        cut_loose(work, OF_CONTACTS, contacts)
        take_away(work, Contacts, contacts)
        choices = numbers_of(work, Choice, "project_id", [home.id])
        cut_loose(work, (*OF_QUESTIONS, (Option, "choice_id")), choices)
        take_away(work, Choice, choices)
        take_away(work, Project, [home.id])


# Indexes: line_of_assembly, ix_step_assembly_id, ix_step_run_step_id; holdings and entries are few.
HELD = """
    SELECT DISTINCT b.code FROM holding AS h JOIN build AS b ON b.id = h.build_id JOIN line AS l ON l.id = h.line_id
     WHERE l.assembly_id IN (SELECT value FROM json_each(?))
"""
BEGUN = """
    SELECT s.name FROM step_run AS r JOIN step AS s ON s.id = r.step_id
     WHERE s.assembly_id IN (SELECT value FROM json_each(?)) LIMIT 1
"""
MEASURED = """
    SELECT t.code || ' ' || r.text FROM reading AS r JOIN test_point AS t ON t.id = r.point_id
     WHERE t.assembly_id IN (SELECT value FROM json_each(?)) LIMIT 1
"""
WRITTEN_ABOUT = """
    SELECT e.text FROM (SELECT text, assembly_id, step_id FROM entry UNION ALL
                        SELECT title, assembly_id, step_id FROM snag UNION ALL
                        SELECT name, assembly_id, step_id FROM attachment) AS e LEFT JOIN step AS s ON s.id = e.step_id
     WHERE coalesce(e.assembly_id, s.assembly_id) IN (SELECT value FROM json_each(?)) LIMIT 1
"""
# Of a whole project: what is said of its builds, and which other projects use a piece of it.
TOLD_OF_BUILDS = """
    SELECT b.code FROM build AS b WHERE b.project_id = ?
       AND (EXISTS (SELECT 1 FROM entry AS e WHERE e.build_id = b.id)
         OR EXISTS (SELECT 1 FROM episode AS e WHERE e.build_id = b.id)
         OR EXISTS (SELECT 1 FROM attachment AS e WHERE e.build_id = b.id)
         OR EXISTS (SELECT 1 FROM step_run AS r WHERE r.build_id = b.id)
         OR EXISTS (SELECT 1 FROM holding AS h WHERE h.build_id = b.id)) LIMIT 1
"""
USED_ELSEWHERE = """
    SELECT DISTINCT p.code FROM contains AS c JOIN assembly AS a ON a.id = c.child_id
      JOIN assembly AS o ON o.id = c.parent_id JOIN project AS p ON p.id = o.project_id
     WHERE a.project_id = ?1 AND o.project_id <> ?1
"""


def _refuse_used(work: Work, what: str, assemblies: Sequence[int]) -> None:
    numbers = (json.dumps(assemblies),)
    if holders := [row[0] for row in work.run(HELD, numbers)]:
        raise Forbidden(
            f"{what} was not taken away.",
            f"Parts for it are held, or were lost, by {' and '.join(holders)}.",
            "Give them back to the drawers first.",
        )
    if begun := work.run(BEGUN, numbers).scalar():
        raise Forbidden(f"{what} was not taken away.", f"A step of it has been begun: {begun}.", "Untick it first.")
    if read := work.run(MEASURED, numbers).scalar():
        raise Forbidden(f"{what} was not taken away.", f"A reading was taken there: {read}.", "It stays on record.")
    if said := work.run(WRITTEN_ABOUT, numbers).scalar():
        raise Forbidden(
            f"{what} was not taken away.", f"The log tells of it: {quote(said)}.", "Take the note away first."
        )


def _refuse_told(work: Work, what: str, project: int) -> None:
    if told := work.run(TOLD_OF_BUILDS, (project,)).scalar():
        raise Forbidden(
            f"{what} was not taken away.", f"Work on build {told} is on record.", "Drop its builds instead."
        )
    if users := [row[0] for row in work.run(USED_ELSEWHERE, (project,))]:
        raise Forbidden(
            f"{what} was not taken away.", f"{' and '.join(users)} uses a piece of it.", "Take it out there first."
        )


def _drop_assemblies(work: Work, assemblies: Sequence[int]) -> None:
    """Take assemblies away, and all that belongs to them."""
    steps = numbers_of(work, Step, "assembly_id", assemblies)
    lines = numbers_of(work, Line, "assembly_id", assemblies)
    points = numbers_of(work, TestPoint, "assembly_id", assemblies)
    cut_loose(work, OF_STEPS, steps)
    cut_loose(work, OF_LINES, lines)
    cut_loose(work, OF_POINTS, points)
    cut_loose(work, ((Contains, "parent_id"), (Contains, "child_id"), (Bank, "assembly_id")), assemblies)
    cut_loose(work, ((SupplyLoad, "assembly_id"), (ContactUse, "assembly_id")), assemblies)
    for model, numbers in ((TestPoint, points), (Line, lines), (Step, steps), (Assembly, assemblies)):
        take_away(work, model, numbers)
