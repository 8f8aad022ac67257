"""The supply budget written down: supplies with their limits and what feeds them, and the loads on them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from buildbook.actions.reading import read_code, read_count, read_one_of, read_text
from buildbook.actions.rows import OF_SUPPLIES, change, cut_loose, put, remove, seek, taken, the
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.supply import FULL_BP, KINDS, MICRO
from buildbook.store.journal import action
from buildbook.store.read.naming import find_assembly, find_option, find_project, unclear, unknown
from buildbook.store.read.supply import LoadRow, SupplyRow, find_supply, loads, supplies
from buildbook.store.tables import Supply, SupplyLoad
from buildbook.store.workshop import Workshop
from buildbook.trade import heaters, rectifiers
from buildbook.trade.amounts import quantity
from buildbook.trade.loads import read_draws
from buildbook.trade.plain import clean, fold, quote

LARGEST = 10**6
# What may feed what; nothing may always.
FED_BY = {"fuse": ("winding", "rail"), "core": ("fuse",), "winding": ("core",), "rail": ("winding", "rail", "fuse")}


@dataclass(frozen=True, slots=True)
class NewSupply:
    """A supply to be written down, its amounts as the trade writes them ("6.3 V", "2.5 A", of a core "60 VA").

    `made` says how a rail comes from what feeds it: a rectifier circuit ("bridge, capacitor"), "linear" or "switching";
    `factor` is the rectifier's (what maker B prints where it is left out) or the efficiency ("85 %").
    """

    code: str
    kind: str
    name: str = ""
    volts: str = ""
    limit: str = ""
    keep_free: str = ""
    fed_by: str = ""
    made: str = ""
    factor: str = ""
    alike: int = 1
    note: str = ""
    tolerance: str = ""


@dataclass(frozen=True, slots=True)
class NewLoad:
    """A load to be written down: its current or its power each, or the heater it is; none of them where unknown.

    `duty` is the part of the time in which it is on; `option` the candidate answer with which it comes. `draws` says
    number, current and duty at once, as the trade writes it ("2 x 300 mA, 50 %", "LED 2 V, 1k", "relay 300 ohm").
    """

    name: str
    qty: int = 1
    current: str = ""
    power: str = ""
    heater: str = ""
    duty: str = ""
    assembly: str = ""
    option: str = ""
    note: str = ""
    draws: str = ""


def add_supply(shop: Workshop, project: str, new: NewSupply) -> str:
    """Write a supply down and return its full name.

    Raises BadInput for an unknown kind or circuit, and for what cannot feed it.
    """
    home = find_project(shop, project)
    code, kind = read_code(new.code, "supply"), read_one_of(new.kind, KINDS, "kind of supply")
    feeder = find_supply(shop, new.fed_by, project_id=home.id) if clean(new.fed_by) else None
    way, factor = _made(new.made, new.factor)
    row = Supply(project_id=home.id, code=code, kind=kind, name=clean(new.name), note=read_text(new.note, "note"))
    row.volts_uv = _micro(new.volts, "V") or 0
    row.limit_micro = _limit(new.limit, kind)
    row.keep_free_bp = _percent(new.keep_free, 0)
    row.way, row.circuit, row.factor_ppm = way, fold(new.made) if way == "rectifier" else "", factor
    row.alike = read_count(new.alike, "windings alike", most=99)
    row.tolerance_bp = _percent(new.tolerance, 0)
    if feeder:
        _refuse_feeder(f"{home.code}/{code}", kind, home.id, feeder)
        row.fed_by_id = feeder.id
    with action(shop, f"Supply {home.code}/{code}") as work:
        if seek(work, Supply, project_id=home.id, code=code):
            raise taken("supply", f"{home.code}/{code}")
        put(work, row)
    return f"{home.code}/{code}"


def change_supply(
    shop: Workshop,
    supply: str,
    *,
    name: str | None = None,
    volts: str | None = None,
    limit: str | None = None,
    keep_free: str | None = None,
    fed_by: str | None = None,
    factor: str | None = None,
    tolerance: str | None = None,
) -> str:
    """Change what is given of a supply and return its full name; fed by "-" means by nothing.

    Raises BadInput for what cannot feed it and where supplies would feed each other in a ring.
    """
    known = find_supply(shop, supply)
    path = f"{known.project}/{known.code}"
    feeder = None
    if fed_by is not None and clean(fed_by) != "-":
        feeder = find_supply(shop, fed_by, project_id=known.project_id)
        _refuse_feeder(path, known.kind, known.project_id, feeder)
        _refuse_ring(path, known, feeder, supplies(shop.reads))
    with action(shop, f"Change supply {path}") as work:
        row = the(work, Supply, known.id)
        change(
            row,
            name=None if name is None else clean(name),
            volts_uv=None if volts is None else _micro(volts, "V") or 0,
            keep_free_bp=None if keep_free is None else _percent(keep_free, 0),
            tolerance_bp=None if tolerance is None else _percent(tolerance, 0),
        )
        if limit is not None:
            row.limit_micro = _limit(limit, known.kind)
        if fed_by is not None:
            row.fed_by_id = feeder.id if feeder else None
        if factor is not None:
            row.factor_ppm = _factor(factor, known.way)
    return path


def drop_supply(shop: Workshop, supply: str) -> None:
    """Take a supply away, with its loads. Raises Forbidden while it feeds another."""
    known = find_supply(shop, supply)
    with action(shop, f"Take supply {known.project}/{known.code} away") as work:
        fed = seek(work, Supply, fed_by_id=known.id)
        if fed:
            raise Forbidden(f"{known.code} was not taken away.", f"It feeds {fed.code}.", "Feed that from elsewhere.")
        cut_loose(work, OF_SUPPLIES, [known.id])
        remove(work, the(work, Supply, known.id))


def add_load(shop: Workshop, supply: str, new: NewLoad) -> str:
    """Write a load on a supply down, and return a sentence that says so.

    Raises BadInput for a negative load, for more than one of current, power and heater, and for a core or a fuse, on
    which only what they feed draws.
    """
    known = find_supply(shop, supply)
    path, name = f"{known.project}/{known.code}", clean(new.name)
    if known.kind in ("core", "fuse"):
        raise BadInput(f"{path} takes no load.", "Only what it feeds draws on it.", "Name a winding or a rail.")
    if not name:
        raise BadInput("The load was not written down.", "It has no name.", "Say what draws.")
    row = SupplyLoad(supply_id=known.id, name=name, note=read_text(new.note, "note"))
    _draw(row, new, known)
    if clean(new.assembly):
        row.assembly_id = find_assembly(shop, new.assembly, project_id=known.project_id).id
    if clean(new.option):
        row.option_id = find_option(shop, known.project_id, new.option).id
    with action(shop, f"Load on {path}: {name}") as work:
        put(work, row)
    unknown_yet = row.current_ua is None and row.power_uw is None
    return f"{name} draws on {path}{'; how much is not known yet' if unknown_yet else ''}."


def change_load(
    shop: Workshop,
    supply: str,
    load: str,
    *,
    name: str | None = None,
    draws: str | None = None,
    assembly: str | None = None,
    option: str | None = None,
    note: str | None = None,
) -> str:
    """Change what is given of a load, named as it is or by its number, and return a sentence that says so.

    `draws` is number, current and duty at once, as `NewLoad` has it; empty where nobody knows. An empty assembly or
    option takes it away. Raises BadInput as `add_load` does.
    """
    known = find_supply(shop, supply)
    meant = load_meant(shop, known, load)
    called = meant.name if name is None else clean(name)
    if not called:
        raise BadInput("The load was not changed.", "It has no name.", "Say what draws.")
    project = known.project_id
    board = find_assembly(shop, assembly, project_id=project).id if assembly else None
    answer = find_option(shop, project, option).id if option else None
    found = None if draws is None else read_draws(draws, known.volts_uv)
    said = None if note is None else read_text(note, "note")
    with action(shop, f"Change {meant.name} on {known.project}/{known.code}") as work:
        row = the(work, SupplyLoad, meant.id)
        change(row, name=called, note=said)
        if found is not None:
            row.qty, row.current_ua, row.power_uw, row.duty_bp = found[:4]
        if assembly is not None:
            row.assembly_id = board
        if option is not None:
            row.option_id = answer
    return f"Changed: {called} on {known.project}/{known.code}."


def drop_load(shop: Workshop, supply: str, name: str) -> None:
    """Take the load of that name or number off a supply; BadInput when there is none, or more than one."""
    known = find_supply(shop, supply)
    meant = load_meant(shop, known, name)
    with action(shop, f"Take {meant.name} off {known.project}/{known.code}") as work:
        remove(work, the(work, SupplyLoad, meant.id))


def load_meant(shop: Workshop, supply: SupplyRow, text: str) -> LoadRow:
    """The load of a supply by its name, or by its number among them ("3"); BadInput when none or several are meant."""
    own = loads(shop.reads).get(supply.id, [])
    found = [one for one in own if fold(one.name) == fold(text)]
    number = clean(text)
    if not found and number.isascii() and number.isdigit() and len(number) < 6 and 1 <= int(number) <= len(own):
        found = [own[int(number) - 1]]
    if not found:
        raise unknown("load", text, (one.name for one in own))
    if len(found) > 1:
        alike = (f"{own.index(one) + 1} ({one.name}, {one.assembly or one.option or 'everywhere'})" for one in found)
        raise unclear("load", text, list(alike))
    return found[0]


def _draw(row: SupplyLoad, new: NewLoad, supply: SupplyRow) -> None:
    """Set how many there are, the microamps or microwatts of one, neither where it is not known, and the duty."""
    given = [text for text in (new.current, new.power, new.heater, new.draws) if clean(text)]
    if len(given) > 1:
        raise BadInput("The load was not written down.", "It says twice what it draws.", "Give one of the figures.")
    row.qty, row.duty_bp = read_count(new.qty, "of a load", most=10_000), _percent(new.duty, FULL_BP)
    if clean(new.draws):
        found = read_draws(new.draws, supply.volts_uv)
        row.current_ua, row.power_uw = found.current_ua, found.power_uw
        row.qty, row.duty_bp = max(row.qty, found.qty), min(row.duty_bp, found.duty_bp)
        row.note = row.note or found.remark
    elif clean(new.heater):
        row.current_ua = heaters.draws(new.heater, supply.volts_uv)
    else:
        row.current_ua, row.power_uw = _micro(new.current, "A"), _micro(new.power, "W")


def _made(made: str, factor: str) -> tuple[str, int | None]:
    """How a rail is made, and its factor or efficiency in millionths."""
    way = fold(made)
    if way in ("", "straight", "linear"):
        if clean(factor):
            raise BadInput("The factor was not taken.", "It belongs to a rectifier or a converter.", "Say which.")
        return way or "straight", None
    if way == "switching":
        return way, _factor(factor, way)
    if way not in rectifiers.CIRCUITS:
        raise BadInput(
            f"There is no circuit {quote(made)}.",
            f"There are linear, switching; {'; '.join(rectifiers.CIRCUITS)}.",
            "Choose one of them.",
        )
    if clean(factor):
        return "rectifier", _factor(factor, "rectifier")
    printed = [maker for maker in "BA" if way in rectifiers.MAKERS[maker].currents]
    return "rectifier", rectifiers.factor_ppm(way, printed[0])


def _factor(text: str, way: str) -> int | None:
    """A rectifier's factor, or an efficiency of at most one; nothing where it is not known."""
    if not clean(text):
        return None
    if way not in ("rectifier", "switching"):
        raise BadInput("The factor was not taken.", "It belongs to a rectifier or a converter.", "Leave it out.")
    part = clean(text).endswith("%")
    found = _whole(quantity(text, "%") / 100 if part else quantity(text, ""), text)
    if found == 0 or (way == "switching" and found > MICRO):
        why = "It must be above zero, and an efficiency 100 % at most."
        raise BadInput(f"{quote(text)} cannot be the factor.", why, "Give another.")
    return found


def _limit(text: str, kind: str) -> int | None:
    """A limit in microamps, of a core in microvoltamperes."""
    plain = clean(text)
    if kind == "core":
        bare = plain.upper().removesuffix("VA").strip()
        found = _whole(quantity(bare, "W"), text) if plain else None
    else:
        found = _micro(plain, "A")
    if found == 0:
        raise BadInput("The limit was not taken.", "It is zero.", "Give it, or leave it out where it is not known.")
    return found


def _micro(text: str, unit: str) -> int | None:
    """An amount in millionths of its unit; None where nothing is given."""
    return _whole(quantity(text, unit), text) if clean(text) else None


def _whole(amount: Decimal, text: str) -> int:
    if not 0 <= amount <= LARGEST:
        raise BadInput(f"{quote(text)} was not taken.", "It is below zero, or too large.", "Give another.")
    found = amount * MICRO
    if found != found.to_integral_value():
        raise BadInput(f"{quote(text)} was not taken.", "It is finer than a millionth.", "Round it up.")
    return int(found)


def _percent(text: str, usual: int) -> int:
    """A part of the whole, in hundredths of a percent."""
    if not clean(text):
        return usual
    found = quantity(text, "%") * 100
    if not 0 <= found <= FULL_BP or found != found.to_integral_value():
        raise BadInput(f"{quote(text)} was not taken.", "It must be from 0 to 100 %.", "Give another.")
    return int(found)


def _refuse_feeder(path: str, kind: str, project: int, feeder: SupplyRow) -> None:
    if feeder.project_id != project:
        raise BadInput(f"{path} was not fed so.", "Another project has that supply.", "Name one of its own.")
    if feeder.kind not in FED_BY[kind]:
        raise BadInput(
            f"{path} was not fed so.",
            f"A {feeder.kind} does not feed a {kind}.",
            f"Name a {' or a '.join(FED_BY[kind])}.",
        )


def _refuse_ring(path: str, known: SupplyRow, feeder: SupplyRow, every: Iterable[SupplyRow]) -> None:
    above = {one.id: one.fed_by for one in every}
    at = feeder.id
    while at:
        if at == known.id:
            raise BadInput(f"{path} was not fed so.", "It would feed itself, by way of others.", "Name another supply.")
        at = above.get(at, 0)
