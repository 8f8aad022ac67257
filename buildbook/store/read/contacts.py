"""The rows behind the contacts: switches and relays, the functions on them, and the answers that bring either."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING, NamedTuple

from buildbook.store.read.boards import PATH
from buildbook.store.read.naming import unclear, unknown
from buildbook.store.read.supply import AnswerRow
from buildbook.trade.plain import fold

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


class ContactsRow(NamedTuple):
    """A switch or relay as it is kept; the units are those of the table. `option` is empty where there is none."""

    id: int
    project: str
    project_id: int
    code: str
    name: str
    kind: str
    poles: int
    throws: int
    option_id: int
    option: str
    limit_ua: int | None
    limit_uv: int | None
    note: str


# Index: the unique one of contacts; switches and relays are few.
CONTACTS = """
    SELECT s.id, p.code, s.project_id, s.code, s.name, s.kind, s.poles, s.throws, coalesce(o.id, 0),
           coalesce(c.code || ':' || o.code, ''), s.limit_ua, s.limit_uv, s.note
      FROM contacts AS s JOIN project AS p ON p.id = s.project_id
      LEFT JOIN choice_option AS o ON o.id = s.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     ORDER BY p.code, s.id
"""


def contacts(reads: sqlite3.Connection) -> list[ContactsRow]:
    """Every switch and relay, project by project, as they were written down."""
    return [ContactsRow._make(row) for row in reads.execute(CONTACTS)]


class UseRow(NamedTuple):
    """A function as it is kept; `assembly` and `option` are names, empty where there is none."""

    id: int
    contacts: int
    name: str
    assembly: str
    option_id: int
    option: str
    chosen: int
    poles: int
    throws: int
    pole: int | None
    current_ua: int | None
    volts_uv: int | None
    note: str


# Index: primary keys of assembly, project, choice_option and choice.
USES = f"""
    SELECT u.id, u.contacts_id, u.name, coalesce({PATH}, ''), coalesce(o.id, 0),
           coalesce(c.code || ':' || o.code, ''), coalesce(o.chosen, 0), u.poles, u.throws, u.pole, u.current_ua,
           u.volts_uv, u.note
      FROM contact_use AS u LEFT JOIN assembly AS a ON a.id = u.assembly_id
      LEFT JOIN project AS p ON p.id = a.project_id
      LEFT JOIN choice_option AS o ON o.id = u.option_id LEFT JOIN choice AS c ON c.id = o.choice_id
     ORDER BY u.contacts_id, u.id
"""


def uses(reads: sqlite3.Connection) -> dict[int, list[UseRow]]:
    """The functions of each switch and relay, as they were written down."""
    found: dict[int, list[UseRow]] = {}
    for row in map(UseRow._make, reads.execute(USES)):
        found.setdefault(row.contacts, []).append(row)
    return found


# Indexes: ix_contacts_option_id, ix_contact_use_option_id.
ANSWERS = """
    SELECT o.id, c.id, c.project_id, c.code || ':' || o.code, o.chosen
      FROM choice_option AS o JOIN choice AS c ON c.id = o.choice_id
     WHERE EXISTS (SELECT 1 FROM choice_option AS b
                    WHERE b.choice_id = c.id
                      AND (EXISTS (SELECT 1 FROM contacts AS s WHERE s.option_id = b.id)
                           OR EXISTS (SELECT 1 FROM contact_use AS u WHERE u.option_id = b.id)))
     ORDER BY c.id, o.id
"""


def answers(reads: sqlite3.Connection) -> list[AnswerRow]:
    """Every candidate answer of the questions that bring switches, relays or functions."""
    return [AnswerRow._make(row) for row in reads.execute(ANSWERS)]


def find_contacts(shop: Workshop, text: str) -> ContactsRow:
    """The switch or relay named PROJECT/CODE, or CODE where that is enough.

    Raises BadInput when there is none of that name, or more than one.
    """
    wanted = fold(text)
    known = contacts(shop.reads)
    found = [one for one in known if wanted in (fold(one.code), fold(f"{one.project}/{one.code}"))]
    if not found:
        raise unknown("switch or relay", text, (f"{one.project}/{one.code}" for one in known))
    if len(found) > 1:
        raise unclear("switch or relay", text, [f"{one.project}/{one.code}" for one in found])
    return found[0]


def find_use(shop: Workshop, home: ContactsRow, name: str) -> UseRow:
    """The function of that name on a switch or relay; BadInput when there is none, or more than one."""
    own = uses(shop.reads).get(home.id, [])
    found = [one for one in own if fold(one.name) == fold(name)]
    if not found:
        raise unknown("function", name, (one.name for one in own))
    if len(found) > 1:
        raise unclear("function", name, [f"{one.name} ({one.assembly or one.option})" for one in found])
    return found[0]
