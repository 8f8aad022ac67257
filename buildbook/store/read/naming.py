"""What a name means: projects, assemblies, builds, parts, bins, suppliers, orders, steps and lines, by their codes.

Small and capital letters are the same. A name that means nothing raises BadInput with the nearest names there are; one
that could mean several things raises BadInput with all of them. Names are looked up in what has been written so far.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from buildbook.errors import BadInput
from buildbook.store.read.boards import PATH
from buildbook.trade.plain import fold, quote

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

NEAREST = 3
NEARLY = 0.1


class Named(NamedTuple):
    """A project, a bin or a supplier: its number and its code as written in the workshop."""

    id: int
    code: str


class AssemblyNamed(NamedTuple):
    """An assembly; `path` is its name: PROJECT/CODE, or PROJECT alone for the unit that bears its code."""

    id: int
    path: str
    code: str
    project_id: int


class BuildNamed(NamedTuple):
    """A build, of which assembly, and its state."""

    id: int
    code: str
    project_id: int
    assembly_id: int
    state: str


class PartNamed(NamedTuple):
    """A part and the unit in which it is counted."""

    id: int
    key: str
    unit: str


class StepNamed(NamedTuple):
    """A step; `path` is its assembly and its place in the checklist there, PROJECT/CODE/PLACE."""

    id: int
    name: str
    assembly_id: int
    path: str
    one_way: int
    hold_point: int


class LineNamed(NamedTuple):
    """A line of a parts list, its part and its assembly."""

    id: int
    part: str
    assembly_id: int
    path: str


# Index: the unique ones of each table's code or name; a bin is looked for in all bins, which are few.
PROJECTS = "SELECT id, code FROM project"
SUPPLIERS = "SELECT id, code FROM supplier"
BINS = "SELECT id, name FROM bin"
ORDERS = "SELECT id, ref FROM purchase"


def find_project(shop: Workshop, code: str) -> Named:
    """The project of that code."""
    return _by_code(shop.reads, PROJECTS, "code", "project", code)


def find_supplier(shop: Workshop, code: str) -> Named:
    """The supplier of that code."""
    return _by_code(shop.reads, SUPPLIERS, "code", "supplier", code)


def find_order(shop: Workshop, ref: str) -> Named:
    """The order of that reference."""
    return _by_code(shop.reads, ORDERS, "ref", "order", ref)


def find_bin(shop: Workshop, name: str) -> Named:
    """The bin of that name."""
    return _by_code(shop.reads, BINS, "name", "bin", name)


def _by_code(reads: sqlite3.Connection, statement: str, column: str, what: str, text: str) -> Named:
    found = reads.execute(f"{statement} WHERE lower({column}) = ?", (fold(text),)).fetchone()
    if found:
        return Named(*found)
    raise unknown(what, text, (code for _, code in reads.execute(statement)))


BUILDS = "SELECT id, code, project_id, assembly_id, state FROM build"


def find_build(shop: Workshop, code: str) -> BuildNamed:
    """The build of that code, whatever its state."""
    found = shop.reads.execute(f"{BUILDS} WHERE lower(code) = ?", (fold(code),)).fetchone()
    if found:
        return BuildNamed(*found)
    raise unknown("build", code, _column(shop, "SELECT code FROM build"))


# Index: the unique one of assembly when the project is named; assemblies are few.
ASSEMBLIES = f"""
    SELECT a.id, {PATH}, a.code, a.project_id
      FROM assembly AS a JOIN project AS p ON p.id = a.project_id
"""
PATHS = f"SELECT {PATH} FROM assembly AS a JOIN project AS p ON p.id = a.project_id"


def find_assembly(shop: Workshop, text: str, *, among: Collection[int] = (), project_id: int = 0) -> AssemblyNamed:
    """The assembly named PROJECT/CODE (PROJECT for its unit), or CODE where that is enough.

    Of several with one code, the one that is among the numbers `among`, or at home in the project, is meant; else the
    unit of the project of that name.
    """
    wanted = fold(text)
    column = "p.code || '/' || a.code" if "/" in wanted else "a.code"
    rows = shop.reads.execute(f"{ASSEMBLIES} WHERE lower({column}) = ? ORDER BY 2", (wanted,)).fetchall()
    found = [AssemblyNamed(*row) for row in rows]
    if len(found) > 1:
        near = [one for one in found if one.id in among or one.project_id == project_id]
        found = near if len(near) == 1 else [one for one in found if fold(one.path) == wanted] or found
    if not found:
        raise unknown("assembly", text, _column(shop, PATHS))
    if len(found) > 1:
        raise unclear("assembly", text, [one.path for one in found])
    return found[0]


# Indexes: part_key_folded, the unique one of part_alias.
BY_KEY = "SELECT id, key, unit FROM part WHERE lower(key) = ?"
BY_ALIAS = "SELECT p.id, p.key, p.unit FROM part_alias AS a JOIN part AS p ON p.id = a.part_id WHERE a.alias = ?"


# Indexes: ix_part_maker_number, ix_offer_order_code.
BY_MAKER_OR_ORDER = """
    SELECT id, key, unit FROM part WHERE maker_number = ?1
     UNION SELECT p.id, p.key, p.unit FROM offer AS o JOIN part AS p ON p.id = o.part_id WHERE o.order_code = ?1
"""


def find_part(shop: Workshop, name: str) -> PartNamed:
    """The part of that key, or met under that name; else the one of that maker's number or order code."""
    part = seek_part(shop, name)
    if part is not None:
        return part
    found = [PartNamed(*row) for row in shop.reads.execute(BY_MAKER_OR_ORDER, (name.strip(),))] if name.strip() else []
    if len(found) > 1:
        raise unclear("part", name, [one.key for one in found])
    if not found:
        raise unknown("part", name, _column(shop, "SELECT key FROM part"))
    return found[0]


def seek_part(shop: Workshop, name: str) -> PartNamed | None:
    """As `find_part`, by key and names met only; None when there is no such part."""
    wanted = (fold(name),)
    row = shop.reads.execute(BY_KEY, wanted).fetchone() or shop.reads.execute(BY_ALIAS, wanted).fetchone()
    return PartNamed(*row) if row else None


# Indexes: part_key_folded, the unique one of part_alias.
BY_NAMES = """
    SELECT j.value, p.id, p.key, p.unit FROM json_each(?1) AS j CROSS JOIN part_alias AS a ON a.alias = j.value
      JOIN part AS p ON p.id = a.part_id
     UNION ALL
    SELECT j.value, p.id, p.key, p.unit FROM json_each(?1) AS j CROSS JOIN part AS p ON lower(p.key) = j.value
"""


def find_parts(shop: Workshop, names: Iterable[str], new: Iterable[PartNamed] = ()) -> dict[str, PartNamed]:
    """The parts of all these keys or other names, by folded name; `new` are parts that are being made just now."""
    wanted = {fold(name): name for name in names}
    rows = shop.reads.execute(BY_NAMES, (json.dumps(list(wanted)),))
    # A key goes before another part's other name, hence the order above.
    found = {name: PartNamed(*rest) for name, *rest in rows}
    made = {fold(part.key): part for part in new}
    found.update(made)
    for folded, name in wanted.items():
        if folded not in found:
            raise unknown("part", name, [*_column(shop, "SELECT key FROM part"), *(part.key for part in made.values())])
    return found


# Index: primary key of step, or ix_step_assembly_id for the place of each.
STEPS = """
    SELECT id, name, assembly_id, path, one_way, hold_point FROM (
        SELECT s.id, s.name, s.assembly_id, s.one_way, s.hold_point, p.code || '/' || a.code || '/' || (
                 SELECT count(*) FROM step AS b
                  WHERE b.assembly_id = s.assembly_id AND (b.position, b.id) <= (s.position, s.id)) AS path
          FROM step AS s JOIN assembly AS a ON a.id = s.assembly_id JOIN project AS p ON p.id = a.project_id
    )
"""
BY_NUMBER = f"{STEPS} WHERE id = ?"
BY_PLACE = f"{STEPS} WHERE '/' || lower(path) = ?1 OR substr(lower(path), -length(?1)) = ?1"
BY_STEP_NAME = f"{STEPS} WHERE instr(lower(name), ?)"


def find_step(shop: Workshop, text: str | int, *, among: Collection[int] = ()) -> StepNamed:
    """The step of that number ("12"), place in a checklist ("IF/3"), name, or part of a name, where that is enough.

    Of several, those in the assemblies numbered `among` are meant.
    """
    wanted = fold(str(text))
    found = _steps_meant(shop.reads, wanted)
    found = [step for step in found if step.assembly_id in among] or found
    if not found:
        raise unknown("step", str(text), _column(shop, "SELECT name FROM step"))
    if len(found) > 1:
        raise unclear("step", str(text), [f"{step.path} ({step.name})" for step in found])
    return found[0]


def _steps_meant(reads: sqlite3.Connection, wanted: str) -> list[StepNamed]:
    if _is_number(wanted):
        return [StepNamed(*row) for row in reads.execute(BY_NUMBER, (int(wanted),))]
    at_place = [StepNamed(*row) for row in reads.execute(BY_PLACE, (f"/{wanted}",))] if "/" in wanted else []
    if at_place or not wanted:
        return at_place
    named = [StepNamed(*row) for row in reads.execute(BY_STEP_NAME, (wanted,))]
    return [step for step in named if fold(step.name) == wanted] or named


# Index: primary key of line, line_of_assembly.
LINES = f"""
    SELECT l.id, r.key, l.assembly_id, {PATH}, l.refs
      FROM line AS l JOIN part AS r ON r.id = l.part_id
      JOIN assembly AS a ON a.id = l.assembly_id JOIN project AS p ON p.id = a.project_id
"""


def find_line(shop: Workshop, text: str | int) -> LineNamed:
    """The line of that number (31), or where that designator or part stands in a list ("IF/R12", "IF/R-4K7")."""
    plain = fold(str(text))
    if "/" not in plain:
        row = shop.reads.execute(f"{LINES} WHERE l.id = ?", (int(plain) if _is_number(plain) else 0,)).fetchone()
        if row is None:
            mend = "Name it by its number, or by assembly and designator, such as IF/R12."
            raise BadInput(f"There is no line {quote(str(text))[1:-1]}.", "", mend)
        return LineNamed(*row[:4])
    home, _, wanted = plain.rpartition("/")
    assembly = find_assembly(shop, home)
    rows = shop.reads.execute(f"{LINES} WHERE l.assembly_id = ?", (assembly.id,)).fetchall()
    found = [row for row in rows if stands_at(row[4], wanted)] or [row for row in rows if fold(row[1]) == wanted]
    if not found:
        mend = f"See `buildbook boards show {assembly.path}`."
        raise BadInput(f"There is no line {quote(str(text))[1:-1]}.", "", mend)
    if len(found) > 1:
        raise unclear("line", str(text), [f"line {row[0]}" for row in found])
    return LineNamed(*found[0][:4])


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 19


def stands_at(refs: str, ref: str) -> bool:
    """Whether a designator is among those of a line."""
    from buildbook.trade.refdes import read_refs

    return ref.upper() in {one.upper() for one in read_refs(refs)} if refs else False


# Index: the unique ones of choice and choice_option; the questions of a project are few.
OPTIONS = """
    SELECT o.id, c.code || ':' || o.code
      FROM choice AS c JOIN choice_option AS o ON o.choice_id = c.id
     WHERE c.project_id = ?
"""


def find_option(shop: Workshop, project_id: int, text: str) -> Named:
    """The candidate answer named QUESTION:ANSWER, or ANSWER where that is enough."""
    wanted = fold(text)
    known = [Named(*row) for row in shop.reads.execute(OPTIONS, (project_id,))]
    found = [one for one in known if fold(one.code) == wanted or fold(one.code).endswith(f":{wanted}")]
    if not found:
        raise unknown("option", text, (one.code for one in known))
    if len(found) > 1:
        raise unclear("option", text, [one.code for one in found])
    return found[0]


# Index: primary key of project; questions are few.
QUESTIONS = "SELECT c.id, p.code || '/' || c.code FROM choice AS c JOIN project AS p ON p.id = c.project_id"


def find_question(shop: Workshop, text: str) -> Named:
    """The question named PROJECT/CODE, or CODE where that is enough."""
    wanted = fold(text)
    known = [Named(*row) for row in shop.reads.execute(QUESTIONS)]
    found = [one for one in known if fold(one.code) == wanted or fold(one.code).endswith(f"/{wanted}")]
    if not found:
        raise unknown("question", text, (one.code for one in known))
    if len(found) > 1:
        raise unclear("question", text, [one.code for one in found])
    return found[0]


# Where those that there are can be looked up.
SEE = {
    "part": "See `buildbook stores find`.",
    "assembly": "See `buildbook boards`.",
    "build": "See `buildbook boards`.",
    "order": "See `buildbook buying orders`.",
    "step": "See `buildbook bench --all`.",
    "question": "See `buildbook checks`.",
}


def unknown(what: str, text: str, names: Iterable[str]) -> BadInput:
    """The error for a name that means nothing, with the nearest that there are."""
    known = {fold(name): name for name in names if name}
    # A code alone is also compared with the last piece of the full names.
    tails = {name.rpartition("/")[2]: name for name in known}
    near = _nearest(fold(text), known) or [tails[one] for one in _nearest(fold(text), tails)]
    mend = f"Did you mean {' or '.join(known[one] for one in near)}?" if near else SEE.get(what, "")
    if not known:
        mend = f"There is none yet: make the {what} first."
    return BadInput(f"There is no {what} {quote(text)[1:-1]}.", "", mend)


def _nearest(wanted: str, known: Iterable[str]) -> list[str]:
    """The name most like the one wanted, and those nearly as much like it."""
    from difflib import SequenceMatcher, get_close_matches

    near = get_close_matches(wanted, list(known), NEAREST)
    likeness = [SequenceMatcher(None, wanted, one).ratio() for one in near]
    return [one for one, alike in zip(near, likeness, strict=True) if alike > likeness[0] - NEARLY]


def unclear(what: str, text: str, names: Sequence[str]) -> BadInput:
    """The error for a name that could mean several things, with all of them."""
    listed = f"{', '.join(names[:-1])} and {names[-1]}"
    return BadInput(f"{quote(text)[1:-1]} could be more than one {what}.", f"There are {listed}.", "Name one in full.")


def _column(shop: Workshop, statement: str) -> Iterable[str]:
    return (row[0] for row in shop.reads.execute(statement))
