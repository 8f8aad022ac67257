"""What is to be built: projects, the tree of their assemblies, and builds in their order of priority."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

from sqlalchemy import func
from sqlmodel import col, select

from buildbook.actions.counting import LOSS_AT_MOST_BP, UNITS_AT_MOST, refuse_too_many
from buildbook.actions.reading import read_code, read_count, read_day, read_one_of, read_text
from buildbook.actions.rows import change, path_of, put, refuse_taken, remove, seek, taken, the
from buildbook.actions.seen import refuse_stale
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains as Link
from buildbook.reckon.explode import loop_if_added
from buildbook.store.journal import Work, action
from buildbook.store.read import as_built, kitting
from buildbook.store.read.naming import find_assembly, find_build, find_option, find_project
from buildbook.store.tables import AsBuilt, Assembly, Build, Contains, Project
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean

KINDS = ("board", "case", "panel", "harness", "unit")
STATES = ("planned", "active", "finished", "dropped")
Keep: TypeAlias = Callable[[Workshop, str, str], tuple[str, str]]
"""Makes the record of a build finished at a moment, as it is kept: a text and the SHA-256 of it."""


def new_project(shop: Workshop, code: str, name: str = "", units: int = 1, target_on: str = "") -> str:
    """Begin a project, with its unit and one build of it, both of the same code; return the code.

    The build has `units` units, comes last in the order of priority, and is to be ready on `target_on` (ISO 8601 day).
    """
    named = read_code(code, "project")
    with action(shop, f"New project {named}") as work:
        refuse_taken(work, Project, named, "project")
        refuse_taken(work, Build, named, "build")
        project = put(work, Project(code=named, name=clean(name)))
        unit = put(work, Assembly(project_id=project, code=named, name=clean(name), kind="unit"))
        build = Build(code=named, project_id=project, assembly_id=unit, priority=_last_priority(work) + 1)
        build.units, build.target_on = read_units(units), read_day(target_on)
        put(work, build)
    return named


def read_units(units: int) -> int:
    """How many units a build makes."""
    return read_count(units, "units", most=UNITS_AT_MOST)


def change_project(
    shop: Workshop,
    code: str,
    *,
    name: str | None = None,
    consumables_bp: int | None = None,
    note: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> str:
    """Change what is given of a project; `consumables_bp` is the allowance for consumables in 1/100 %.

    With `expected`, what the person saw by the names used here: raises Stale when it is not so now. The same holds for
    every action that changes something.
    """
    project = find_project(shop, code)
    if consumables_bp is not None:
        read_count(consumables_bp, "hundredths of a per cent", least=0, most=LOSS_AT_MOST_BP)
    with action(shop, f"Change project {project.code}") as work:
        row = the(work, Project, project.id)
        refuse_stale(f"Project {project.code}", row, expected)
        change(row, name=_plain(name), consumables_bp=consumables_bp, note=_text(note))
    return project.code


def new_assembly(
    shop: Workshop,
    project: str,
    code: str,
    name: str = "",
    kind: str = "board",
    *,
    inside: str = "",
    qty: int = 1,
) -> str:
    """Add an assembly to a project, `qty` times inside another (or the project's unit); return its full name."""
    home = find_project(shop, project)
    named = read_code(code, "assembly")
    path = f"{home.code}/{named}"
    holder = find_assembly(shop, inside, project_id=home.id).id if inside else None
    with action(shop, f"New assembly {path}") as work:
        if seek(work, Assembly, project_id=home.id, code=named):
            raise taken("assembly", path)
        row = Assembly(project_id=home.id, code=named, name=clean(name), position=last_place(work, home.id) + 1)
        row.kind = read_one_of(kind, KINDS, "kind of assembly")
        child = put(work, row)
        holder = holder or unit_of(work, home.id)
        if holder is not None:
            put(work, Contains(parent_id=holder, child_id=child, qty=read_count(qty, "of it")))
            refuse_too_many(work)
    return path


def last_place(work: Work, project: int) -> int:
    """The place of the last assembly in the order of a project, counted from 0; -1 when it has none."""
    last = work.exec(select(func.max(Assembly.position)).where(col(Assembly.project_id) == project)).one()
    return -1 if last is None else last


def change_assembly(
    shop: Workshop,
    assembly: str,
    *,
    code: str | None = None,
    name: str | None = None,
    kind: str | None = None,
    note: str | None = None,
    expected: Mapping[str, Any] | None = None,
) -> str:
    """Change what is given of an assembly; return its full name.

    Raises BadInput for a code that another assembly of the project has, Forbidden for another code of the unit that
    bears that of its project.
    """
    known = find_assembly(shop, assembly)
    with action(shop, f"Change assembly {known.path}") as work:
        row = the(work, Assembly, known.id)
        refuse_stale(known.path, row, expected)
        checked = None if kind is None else read_one_of(kind, KINDS, "kind of assembly")
        change(row, name=_plain(name), kind=checked, note=_text(note))
        if code is not None and read_code(code, "assembly") != row.code:
            _recode(work, row, read_code(code, "assembly"))
        work.flush()
        return path_of(work, known.id)


def _recode(work: Work, row: Assembly, code: str) -> None:
    home = the(work, Project, row.project_id).code
    if row.code == home:
        raise Forbidden(
            f"{home} was not given another code.",
            "It is the unit that bears the code of its project.",
            "Change its name.",
        )
    if seek(work, Assembly, project_id=row.project_id, code=code):
        raise BadInput(
            f"{home}/{row.code} was not given another code.",
            f"There is an assembly {code} in {home} already.",
            "Choose another code.",
        )
    row.code = code


def set_ready_made(shop: Workshop, assembly: str, qty: int) -> str:
    """Say how many of an assembly lie finished on the shelf; all builds share them. Returns its full name."""
    known = find_assembly(shop, assembly)
    count = read_count(qty, "ready-made", least=0)
    with action(shop, f"{known.path} ready-made: {count}") as work:
        the(work, Assembly, known.id).ready_made = count
    return known.path


def put_inside(shop: Workshop, parent: str, child: str, qty: int = 1, *, option: str | None = None) -> None:
    """Put an assembly `qty` times inside another; if it is there already, change how many times.

    With an option (QUESTION:ANSWER of the parent's project) it counts only while that answer is chosen. Raises
    Forbidden when an assembly would come to hold itself, whatever is chosen, or a build to make more than a million.
    """
    outer = find_assembly(shop, parent)
    inner = find_assembly(shop, child, project_id=outer.project_id)
    answer = find_option(shop, outer.project_id, option).id if option else None
    count = read_count(qty, "of it")
    with action(shop, f"Put {count} × {inner.path} inside {outer.path}") as work:
        refuse_loop(work, Link(outer.id, inner.id, count), f"{inner.path} was not put inside {outer.path}.")
        here = _contained(work, outer.id, inner.id, answer)
        if here is None:
            put(work, Contains(parent_id=outer.id, child_id=inner.id, qty=count, option_id=answer))
        else:
            here.qty = count
        refuse_too_many(work)


def take_out(shop: Workshop, parent: str, child: str, *, option: str | None = None) -> None:
    """Take an assembly out of another: wholly, or only for the option named."""
    outer = find_assembly(shop, parent)
    inner = find_assembly(shop, child, project_id=outer.project_id)
    answer = find_option(shop, outer.project_id, option).id if option else None
    with action(shop, f"Take {inner.path} out of {outer.path}") as work:
        both = select(Contains).where(col(Contains.parent_id) == outer.id, col(Contains.child_id) == inner.id)
        rows = [row for row in work.exec(both) if answer is None or row.option_id == answer]
        if not rows:
            raise BadInput(f"{outer.path} does not hold {inner.path}.", "", "See `buildbook boards`.")
        for row in rows:
            remove(work, row)


def refuse_loop(work: Work, new: Link, what: str) -> None:
    """Raise Forbidden, naming the loop, when the new link would close one."""
    if new.parent == new.child:
        path: tuple[int, ...] | None = (new.parent, new.child)
    else:
        path = loop_if_added([Link(*row) for row in work.run(kitting.ALL_LINKS)], new)
    if path:
        loop = " holds ".join(path_of(work, number) for number in path)
        raise Forbidden(what, f"A loop would close: {loop}.", "Take one of them out of the one that holds it.")


def _contained(work: Work, parent: int, child: int, option: int | None) -> Contains | None:
    both = select(Contains).where(col(Contains.parent_id) == parent, col(Contains.child_id) == child)
    return next((row for row in work.exec(both) if row.option_id == option), None)


def unit_of(work: Work, project: int) -> int | None:
    """The unit of a project: the one with its code, or else the first."""
    units = select(Assembly).where(col(Assembly.project_id) == project, col(Assembly.kind) == "unit")
    home = the(work, Project, project)
    rows = sorted(work.exec(units), key=lambda row: (row.code != home.code, row.position, row.id))
    return rows[0].id if rows else None


# --- builds ----------------------------------------------------------------------------------------------------------


def new_build(
    shop: Workshop,
    code: str,
    assembly: str,
    units: int = 1,
    *,
    priority: int | None = None,
    target_on: str = "",
    state: str = "active",
) -> str:
    """Begin another build of an assembly, at a place in the order of priority (1 is first; last when not given)."""
    named = read_code(code, "build")
    known = find_assembly(shop, assembly)
    with action(shop, f"New build {named} of {known.path}") as work:
        refuse_taken(work, Build, named, "build")
        build = Build(code=named, project_id=known.project_id, assembly_id=known.id, priority=_last_priority(work) + 1)
        build.units, build.target_on = read_units(units), read_day(target_on)
        build.state = read_one_of(state, STATES, "state of a build")
        put(work, build)
        if priority is not None:
            _put_in_place(work, build, priority)
        refuse_too_many(work)
    return named


def change_build(
    shop: Workshop,
    code: str,
    *,
    units: int | None = None,
    priority: int | None = None,
    state: str | None = None,
    target_on: str | None = None,
    note: str | None = None,
    expected: Mapping[str, Any] | None = None,
    keep: Keep | None = None,
) -> str:
    """Change what is given of a build; the others move up or down to make room for its new priority.

    A build that is finished has its record made by `keep` and stored with it; one that is taken up again loses that.
    Raises Forbidden when a build is dropped or finished that still holds kitted parts.
    """
    known = find_build(shop, code)
    named = None if state is None else read_one_of(state, STATES, "state of a build")
    if keep and named == "finished" and (units, target_on, note) != (None, None, None):
        what = f"Build {known.code} is not finished yet."
        raise BadInput(what, "Its record is kept as it stands.", "Make the other changes first, then finish it.")
    title = f"Change build {known.code}"
    if named not in (None, "finished") and as_built.frozen(shop.reads, known.id):
        title += ": the record of it as it was finished is dropped"
    with action(shop, title, build_id=known.id) as work:
        if named in ("dropped", "finished") and kitting.kitted_of(shop.reads, known.id):
            raise Forbidden(
                f"Build {known.code} is not {named} yet.",
                "Parts still lie in its kits.",
                "Fit them, or give them back to the drawers with `buildbook boards give-back`.",
            )
        build = the(work, Build, known.id)
        refuse_stale(f"Build {known.code}", build, expected)
        _keep_record(work, build, known.id, named, keep)
        change(
            build,
            units=None if units is None else read_units(units),
            state=named,
            target_on=None if target_on is None else read_day(target_on),
            note=_text(note),
        )
        if priority is not None:
            _put_in_place(work, build, priority)
        if units is not None:
            refuse_too_many(work)
    return known.code


def _keep_record(work: Work, build: Build, number: int, state: str | None, keep: Keep | None) -> None:
    """Keep the record of a build that is being finished, and drop that of one that is taken up again."""
    kept = seek(work, AsBuilt, build_id=number)
    if state not in (None, "finished") and kept:
        remove(work, kept)
    if state == "finished" and build.state != "finished" and keep:
        if kept:
            remove(work, kept)
        # What is read here is as it was before this action: the build still counts.
        text, sha256 = keep(work.shop, build.code, work.at)
        put(work, AsBuilt(build_id=number, at=work.at, sha256=sha256, record=text))


def _put_in_place(work: Work, build: Build, priority: int) -> None:
    """Give the build its place, and number all builds anew from 1."""
    place = read_count(priority, "as priority")
    in_order = select(Build).order_by(col(Build.priority), col(Build.id))
    others = [row for row in work.exec(in_order) if row.id != build.id]
    others.insert(place - 1, build)
    for number, row in enumerate(others, 1):
        row.priority = number


def _last_priority(work: Work) -> int:
    return work.exec(select(func.max(Build.priority))).one() or 0


def _plain(text: str | None) -> str | None:
    return None if text is None else clean(text)


def _text(text: str | None) -> str | None:
    return None if text is None else read_text(text, "note")
