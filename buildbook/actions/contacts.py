"""Switches and relays written down, with the functions that ride on their poles."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from buildbook.actions.reading import read_code, read_count, read_one_of, read_text
from buildbook.actions.rows import OF_CONTACTS, change, cut_loose, put, remove, seek, taken, the
from buildbook.errors import BadInput
from buildbook.store.journal import action
from buildbook.store.read.contacts import find_contacts, find_use
from buildbook.store.read.naming import find_assembly, find_option, find_project
from buildbook.store.tables import Contacts, ContactUse
from buildbook.store.workshop import Workshop
from buildbook.trade.amounts import quantity
from buildbook.trade.plain import clean, quote
from buildbook.trade.ways import MOST, read_ways

KINDS = ("switch", "relay")
MICRO = 1_000_000
LARGEST = 10**6


@dataclass(frozen=True, slots=True)
class NewContacts:
    """A switch or relay to be written down: poles and throws as the trade writes them ("4P3T", "DPDT").

    `amps` and `volts` are what one contact is made for ("4 A", "250 V"), left out where that is not known; `option` is
    the candidate answer with which it comes.
    """

    code: str
    ways: str
    kind: str = "switch"
    name: str = ""
    amps: str = ""
    volts: str = ""
    option: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class NewUse:
    """A function to be written down: the poles and throws that it needs ("SP3T"), `pole` the first that it must have.

    `amps` and `volts` are what each of its contacts bears, left out where that is not known.
    """

    name: str
    ways: str = "SPST"
    pole: str = ""
    amps: str = ""
    volts: str = ""
    assembly: str = ""
    option: str = ""
    note: str = ""


def add_contacts(shop: Workshop, project: str, new: NewContacts) -> str:
    """Write a switch or relay down and return its full name. Raises BadInput for what is not understood."""
    home = find_project(shop, project)
    code, kind = read_code(new.code, "switch or relay"), read_one_of(new.kind, KINDS, "kind of contacts")
    poles, throws = read_ways(new.ways)
    row = Contacts(project_id=home.id, code=code, kind=kind, name=clean(new.name), poles=poles, throws=throws)
    row.limit_ua, row.limit_uv = _limit(new.amps, "A"), _limit(new.volts, "V")
    row.option_id = _option(shop, home.id, new.option)
    row.note = read_text(new.note, "note")
    with action(shop, f"Contacts {home.code}/{code}") as work:
        if seek(work, Contacts, project_id=home.id, code=code):
            raise taken("switch or relay", f"{home.code}/{code}")
        put(work, row)
    return f"{home.code}/{code}"


def change_contacts(
    shop: Workshop,
    contacts: str,
    *,
    ways: str | None = None,
    name: str | None = None,
    amps: str | None = None,
    volts: str | None = None,
    option: str | None = None,
) -> str:
    """Change what is given of a switch or relay and return its full name; an option "-" means that none brings it."""
    known = find_contacts(shop, contacts)
    path = f"{known.project}/{known.code}"
    poles, throws = read_ways(ways) if ways is not None else (None, None)
    limits = {field: _limit(text, unit) for field, text, unit in _limits(amps, volts) if text is not None}
    comes_with = None if option is None else _option(shop, known.project_id, option)
    with action(shop, f"Change contacts {path}") as work:
        row = the(work, Contacts, known.id)
        change(row, poles=poles, throws=throws, name=None if name is None else clean(name))
        for field, found in limits.items():
            setattr(row, field, found)
        if option is not None:
            row.option_id = comes_with
    return path


def drop_contacts(shop: Workshop, contacts: str) -> None:
    """Take a switch or relay away, with the functions on it."""
    known = find_contacts(shop, contacts)
    with action(shop, f"Take contacts {known.project}/{known.code} away") as work:
        cut_loose(work, OF_CONTACTS, [known.id])
        remove(work, the(work, Contacts, known.id))


def add_use(shop: Workshop, contacts: str, new: NewUse) -> str:
    """Write a function of a switch or relay down, and return a sentence that says so.

    One that does not fit is kept, and told of by the answers. Raises BadInput for what is not understood.
    """
    known = find_contacts(shop, contacts)
    path, name = f"{known.project}/{known.code}", _name(new.name)
    poles, throws = read_ways(new.ways)
    row = ContactUse(contacts_id=known.id, name=name, poles=poles, throws=throws, note=read_text(new.note, "note"))
    row.pole = _pole(new.pole)
    row.current_ua, row.volts_uv = _micro(new.amps, "A"), _micro(new.volts, "V")
    row.option_id = _option(shop, known.project_id, new.option)
    row.assembly_id = _assembly(shop, known.project_id, new.assembly)
    with action(shop, f"Function on {path}: {name}") as work:
        put(work, row)
    return f"{name} rides on {path}{_unknown(row)}."


def change_use(
    shop: Workshop,
    contacts: str,
    name: str,
    *,
    rename: str | None = None,
    ways: str | None = None,
    pole: str | None = None,
    amps: str | None = None,
    volts: str | None = None,
    assembly: str | None = None,
    option: str | None = None,
) -> str:
    """Change what is given of a function and return its name; "-" means no pole, assembly or option."""
    home = find_contacts(shop, contacts)
    known = find_use(shop, home, name)
    poles, throws = read_ways(ways) if ways is not None else (None, None)
    fields: dict[str, int | None] = {}
    if pole is not None:
        fields["pole"] = _pole(pole)
    if amps is not None:
        fields["current_ua"] = _micro(amps, "A")
    if volts is not None:
        fields["volts_uv"] = _micro(volts, "V")
    if assembly is not None:
        fields["assembly_id"] = _assembly(shop, home.project_id, assembly)
    if option is not None:
        fields["option_id"] = _option(shop, home.project_id, option)
    called = None if rename is None else _name(rename)
    with action(shop, f"Change {known.name} on {home.project}/{home.code}") as work:
        row = the(work, ContactUse, known.id)
        change(row, poles=poles, throws=throws, name=called)
        for field, found in fields.items():
            setattr(row, field, found)
    return called or known.name


def drop_use(shop: Workshop, contacts: str, name: str) -> None:
    """Take the function of that name off a switch or relay; BadInput when there is none, or more than one."""
    home = find_contacts(shop, contacts)
    known = find_use(shop, home, name)
    with action(shop, f"Take {known.name} off {home.project}/{home.code}") as work:
        remove(work, the(work, ContactUse, known.id))


def _limits(amps: str | None, volts: str | None) -> tuple[tuple[str, str | None, str], ...]:
    return ("limit_ua", amps, "A"), ("limit_uv", volts, "V")


def _name(text: str) -> str:
    name = clean(text)
    if not name:
        raise BadInput("The function was not written down.", "It has no name.", "Say what is switched.")
    return name


def _unknown(row: ContactUse) -> str:
    missing = [what for what, size in (("current", row.current_ua), ("voltage", row.volts_uv)) if size is None]
    return f"; its {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not known yet" if missing else ""


def _given(text: str) -> str:
    """A text, nothing where only a dash is given."""
    plain = clean(text)
    return "" if plain == "-" else plain


def _pole(text: str) -> int | None:
    plain = _given(text)
    if not plain:
        return None
    if not (plain.isascii() and plain.isdigit() and len(plain) < 9):
        raise BadInput(f"{quote(text)} is no pole.", f"Poles are counted from 1 to {MOST}.", "Give its number.")
    return read_count(int(plain), "as a pole", most=MOST)


def _option(shop: Workshop, project: int, text: str) -> int | None:
    return find_option(shop, project, text).id if _given(text) else None


def _assembly(shop: Workshop, project: int, text: str) -> int | None:
    return find_assembly(shop, text, project_id=project).id if _given(text) else None


def _limit(text: str, unit: str) -> int | None:
    """What a contact is made for, in millionths; None where it is not known."""
    found = _micro(text, unit)
    if found == 0:
        raise BadInput("The limit was not taken.", "It is zero.", "Give it, or leave it out where it is not known.")
    return found


def _micro(text: str, unit: str) -> int | None:
    """An amount in millionths of its unit; None where nothing is given."""
    return _whole(quantity(text, unit), text) if _given(text) else None


def _whole(amount: Decimal, text: str) -> int:
    if not 0 <= amount <= LARGEST:
        raise BadInput(f"{quote(text)} was not taken.", "It is below zero, or too large.", "Give another.")
    found = amount * MICRO
    if found != found.to_integral_value():
        raise BadInput(f"{quote(text)} was not taken.", "It is finer than a millionth.", "Round it up.")
    return int(found)
