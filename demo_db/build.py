"""Builds the demo workshop from the lists beside it, by public actions only, day by day as it is told."""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, NamedTuple

from buildbook.actions import (
    bench,
    boards,
    buying,
    checklists,
    checks,
    kits,
    log,
    measuring,
    snag_parts,
    snags,
    stores,
    supply,
)
from buildbook.answers.measuring import point_meant
from buildbook.answers.orders import orders
from buildbook.exchange import boards as boards_in
from buildbook.exchange import buying as buying_in
from buildbook.exchange import stores as stores_in
from buildbook.exchange.gathering import Asked
from buildbook.trade.money import read_money
from buildbook.trade.units import Unit, read_minutes, read_quantity

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop

HERE = Path(__file__).resolve().parent
FIRST_DAY = datetime(2026, 9, 5, 8, 0, tzinfo=UTC)
Rows = list[dict[str, str]]


class Event(NamedTuple):
    """Something that happened on a day; things of one moment happen in the order of the lists."""

    at: datetime
    act: Callable[[Workshop], object]


def build(shop: Workshop) -> None:
    """Fill an empty workshop: what is defined first, then what happened since, each at its own time."""
    moment = FIRST_DAY

    def clock() -> datetime:
        # A second between two actions, so that no two of them bear the same time.
        nonlocal moment
        moment += timedelta(seconds=1)
        return moment

    usual, shop.clock = shop.clock, clock
    try:
        define(shop)
        for event in sorted(events(usual()), key=lambda event: event.at):
            moment = max(moment, event.at)
            event.act(shop)
    finally:
        shop.clock = usual


def rows_of(name: str) -> Rows:
    """The rows of one of our own lists."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def beside(name: str) -> ModuleType:
    """A module that lies beside this one, which is loaded by its path and belongs to no package."""
    spec = importlib.util.spec_from_file_location(f"buildbook_demo_{name}", HERE / f"{name}.py")
    if spec is None or spec.loader is None:
        raise ImportError(f"There is no {name}.py beside the demo's lists.")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


# --- what is defined -------------------------------------------------------------------------------------------------


def define(shop: Workshop) -> None:
    """Projects with their trees, drawers, choices, parts lists, offers and checklists."""
    define_projects(shop)
    define_stores(shop)
    for row in rows_of("choices.csv"):
        options = {one["option"]: one["name"] for one in options_of(row)}
        if len(options) > 1:
            checks.ask(shop, row["project"], row["question"], row["text"], options)
    for path in sorted((HERE / "lists").glob("*-*.csv")):
        take_list(shop, path)
    for row in rows_of("suppliers.csv"):
        buying.new_supplier(shop, row["code"], row["name"], row["note"])
    for name, supplier in OFFERS.items():
        buying_in.apply_offers(shop, buying_in.prepare_offers(shop, HERE / "offers" / name, supplier))
    define_steps(shop)
    define_points(shop)
    define_supplies(shop)
    beside("terms").define(shop)
    beside("abroad").define(shop)
    beside("bearing").define(shop)
    beside("safety").define(shop)
    beside("formulas").define(shop)
    beside("switching").define(shop)
    for row in rows_of("choices.csv"):
        if row["state"] == "shelved":
            checks.shelve(shop, row["project"], row["question"], row["reason"])


OFFERS = {
    "quayside.csv": "QUAYSIDE",
    "mill_lane.csv": "MILLLANE",
    "tern_windings.csv": "TERN",
    "postal_fastener.csv": "POSTAL",
}


def options_of(choice: dict[str, str]) -> Rows:
    """The candidate answers of a question."""
    asked = (choice["project"], choice["question"])
    return [row for row in rows_of("options.csv") if (row["project"], row["question"]) == asked]


def define_projects(shop: Workshop) -> None:
    """The product trees; an assembly named a second time is put inside one more parent."""
    targets = {row["build"]: row for row in rows_of("builds.csv")}
    known: set[str] = set()
    for row in rows_of("projects.csv"):
        project, code = row["project"], row["code"]
        if code == project:
            boards.new_project(shop, project, row["name"], int(targets[project]["units"]), targets[project]["target"])
        elif f"{project}/{code}" in known:
            boards.put_inside(shop, row["inside"], f"{project}/{code}", int(row["qty"]))
        else:
            name, kind = row["assembly name"], row["kind"]
            boards.new_assembly(shop, project, code, name, kind, inside=row["inside"], qty=int(row["qty"]))
        known.add(f"{project}/{code}")
    for row in targets.values():
        boards.change_build(shop, row["build"], priority=int(row["priority"]), state=row["state"])


def define_stores(shop: Workshop) -> None:
    """The drawers as first counted, the other names of parts, and the stand-ins."""
    prepared = stores_in.prepare(shop, HERE / "stock.csv", Asked(new_parts=True))
    aliases = {row["alias"]: row["part"] for row in rows_of("aliases.csv")}
    stores_in.apply(shop, replace(prepared, remembered=replace(prepared.remembered, aliases=aliases)))
    for row in rows_of("areas.csv"):
        stores.change_part(shop, row["part"], area=row["area"])
    for row in rows_of("stand_ins.csv"):
        stores.allow_stand_in(shop, row["part"], row["stand-in"], row["reason"])


def take_list(shop: Workshop, path: Path) -> None:
    """One parts list; headings and texts that nobody could know are explained by two lists beside it."""
    into = path.stem.replace("-", "/", 1)
    columns = {row["file"]: row["mapping"] for row in rows_of("lists/mappings.csv")}.get(path.name)
    asked = Asked(columns=columns)
    prepared = boards_in.prepare(shop, path, into, asked)
    if prepared.plan.questions:
        known = [row for row in rows_of("lists/answers.csv") if row["file"] == path.name]
        answers = {
            question.asked: row["answer"]
            for question in prepared.plan.questions
            for row in known
            if row["asked"] in question.asked
        }
        prepared = boards_in.prepare(shop, path, into, replace(asked, answers=answers))
    boards_in.apply(shop, prepared)


def define_steps(shop: Workshop) -> None:
    """The checklists; then, when all steps are there, those that wait for steps of other checklists."""
    lists = {path: list(steps_of(path)) for path in sorted((HERE / "steps").glob("*.txt"))}
    for path, steps in lists.items():
        own = {step.name for step in steps}
        within = [replace(step, after=tuple(one for one in step.after if one.step in own)) for step in steps]
        checklists.add_steps(shop, path.stem.replace("-", "/", 1), within)
    for path, steps in lists.items():
        own = {step.name for step in steps}
        for number, step in enumerate(steps, 1):
            if any(one.step not in own for one in step.after):
                checklists.change_step(shop, f"{path.stem.replace('-', '/', 1)}/{number}", after=step.after)


# Why a step is left alone afterwards, by its kind of work.
WAIT_KINDS = {"degrease": "dry", "prime": "dry", "paint": "dry", "letter": "dry", "clear-coat": "dry", "cure": "cure"}


def flagged(flags: str, word: str) -> Iterator[str]:
    """What stands behind a word among the flags: "one-way, question METER", "fits T1 T2"."""
    for flag in flags.split(","):
        first, _, rest = flag.strip().partition(" ")
        if first == word:
            yield rest


def define_points(shop: Workshop) -> None:
    """The test sheets, board by board, and the steps that wait for a reading."""
    rows = rows_of("points.csv")
    for home in dict.fromkeys(row["assembly"] for row in rows):
        sheet = [
            measuring.NewPoint(
                row["code"], row["measured"], row["limits"], row["unit"], row["condition"], row["caution"]
            )
            for row in rows
            if row["assembly"] == home
        ]
        measuring.add_points(shop, home, sheet)
    for row in rows:
        if row["holds"]:
            measuring.hold_step_by_point(shop, row["holds"], f"{row['assembly']}/{row['code']}")


def define_supplies(shop: Workshop) -> None:
    """Fuses, cores, windings and rails, each after what feeds it; then what draws on them."""
    for row in rows_of("supplies.csv"):
        new = supply.NewSupply(
            code=row["supply"],
            kind=row["kind"],
            name=row["what"],
            volts=row["volts"],
            limit=row["limit"],
            keep_free=row["keep free %"],
            fed_by=row["fed by"],
            made=row["made"],
            factor=row["factor"],
            alike=int(row["alike"]),
            note=row["note"],
        )
        supply.add_supply(shop, row["project"], new)
    for row in rows_of("loads.csv"):
        load = supply.NewLoad(
            row["what"],
            int(row["qty"]),
            row["amps each"],
            assembly=row["assembly"] and f"{row['project']}/{row['assembly']}",
            option=row["option"],
            note=row["note"],
        )
        supply.add_load(shop, f"{row['project']}/{row['supply']}", load)


def steps_of(path: Path) -> Iterator[checklists.NewStep]:
    """The steps of a checklist: name | work | minutes | wait | flags | caution | after."""
    before = ""
    for text in path.read_text(encoding="utf-8").splitlines():
        if not text.strip() or text.startswith("#"):
            continue
        cells = [*(cell.strip() for cell in text.split("|")), *[""] * 7][:7]
        name, work, minutes, wait, flags, caution, after = cells
        low, likely, high = (read_minutes(part) for part in minutes.split("/"))
        waits = [read_minutes(part) for part in wait.split("/")] if wait else [0]
        named = [one.strip() for one in after.split(";")] if after else [before]
        yield checklists.NewStep(
            name=name,
            likely_min=likely,
            low_min=low,
            high_min=high,
            wait_low_min=waits[0],
            wait_high_min=waits[-1],
            work=work,
            one_way="one-way" in flags,
            hold_point="hold point" in flags,
            caution=caution,
            wait_kind=("cure" if "cure" in flags else WAIT_KINDS.get(work, "soak")) if wait else "",
            questions=tuple(flagged(flags, "question")),
            fits=tuple(ref for refs in flagged(flags, "fits") for ref in refs.split()),
            option=next(flagged(flags, "option"), ""),
            after=tuple(checklists.After(one) for one in named if one not in ("", "-")),
        )
        before = name


# --- what happened ---------------------------------------------------------------------------------------------------


def events(now: datetime) -> Iterator[Event]:
    """Everything that happened since, up to this hour, from the five lists that tell of it."""
    for row in rows_of("orders.csv"):
        yield Event(day(row["placed"]), lambda shop, ref=row["order"]: place(shop, ref))  # type: ignore[misc]
    abroad = beside("abroad")
    yield Event(day(abroad.ROSE), abroad.get_dearer)
    parcels = beside("parcels")
    yield Event(day(parcels.CAME), parcels.come)
    yield Event(day(parcels.CALLED), parcels.settle_two)
    drafts = beside("drafts")
    yield Event(day(drafts.CONFIRMED), drafts.confirm)
    yield Event(day(drafts.DRAFTED), drafts.draft)
    sketches = beside("sketches")
    yield Event(day(sketches.DRAWN), sketches.attach_all)
    for row in rows_of("progress.csv"):
        yield Event(moment_of(row["date"], now), lambda shop, row=row: progress(shop, row))  # type: ignore[misc]
    for row in rows_of("log.csv"):
        yield Event(moment(row["at"]), lambda shop, row=row: tell(shop, row))  # type: ignore[misc]
    for at, act in beside("camera").events():
        yield Event(moment(at), act)
    for row in rows_of("readings.csv"):
        yield Event(moment(row["at"]), lambda shop, row=row: read(shop, row))  # type: ignore[misc]
    for row in rows_of("snags.csv"):
        yield Event(moment(row["at"]), lambda shop, row=row: snag(shop, row))  # type: ignore[misc]


def moment(text: str) -> datetime:
    """A moment, in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def moment_of(text: str, now: datetime) -> datetime:
    """Ten in the morning of a day; "2 h ago" is so long before the demo is made, so that something is under way."""
    ago = text.removesuffix(" ago")
    return day(text) if ago == text else now - timedelta(minutes=read_minutes(ago))


def day(text: str) -> datetime:
    """Ten in the morning of a day."""
    return datetime.fromisoformat(text).replace(hour=10, tzinfo=UTC)


def place(shop: Workshop, ref: str) -> None:
    """Place an order, at its first row; at the others it is placed already."""
    if ref in {row.ref for row in orders(shop).rows}:
        return
    rows = [row for row in rows_of("orders.csv") if row["order"] == ref]
    lines = []
    for row in rows:
        per_qty = read_quantity(row["price per"], Unit.PC) if row["price per"] else 1
        price = read_money(row["price"], "EUR")
        lines.append(buying.OrderLine(row["part"], int(row["qty"]), price, per_qty, row["order code"]))
    buying.place_order(shop, ref, rows[0]["supplier"], lines, placed_on=rows[0]["placed"], due_on=rows[0]["due"])


def progress(shop: Workshop, row: dict[str, str]) -> None:
    """Kit, fit, tick or note."""
    build_code, assembly, what = row["build"], row["assembly"], row["what"]
    match row["action"]:
        case "kit":
            kits.kit_assembly(shop, build_code, assembly, stand_ins=True)
        case "fit":
            kits.fit_lines(shop, build_code, assembly, refs="" if what == "all" else what)
        case "tick":
            minutes = int(row["minutes"]) if row["minutes"] else None
            number, step = step_named(assembly, what)
            signed = "Looked at and measured: as drawn." if step.hold_point else None
            bench.tick(shop, build_code, f"{assembly}/{number}", minutes=minutes, signed=signed, by="the builder")
        case "drop":
            bench.drop(shop, build_code, f"{assembly}/{step_named(assembly, what)[0]}")
        case "start":
            bench.start(shop, build_code, f"{assembly}/{step_named(assembly, what)[0]}")
        case "note":
            log.note(shop, what, build=build_code, assembly=assembly)


def step_named(assembly: str, name: str) -> tuple[int, checklists.NewStep]:
    """A step and its place in its checklist, from 1."""
    path = HERE / "steps" / f"{assembly.replace('/', '-')}.txt"
    return next((number, step) for number, step in enumerate(steps_of(path), 1) if step.name == name)


def tell(shop: Workshop, row: dict[str, str]) -> None:
    """Open or close an episode, or note something."""
    match row["what"]:
        case "episode":
            log.open_episode(shop, row["build"], row["text"])
        case "close":
            log.close_episode(shop, row["build"], row["text"])
        case "note":
            log.note(shop, row["text"], build=row["build"] or None, assembly=row["assembly"] or None)


def read(shop: Workshop, row: dict[str, str]) -> None:
    """Take a reading."""
    measuring.read(shop, row["build"], row["point"], row["reading"], note=row["note"])


def snag(shop: Workshop, row: dict[str, str]) -> None:
    """Open a snag from the last reading of a point or about an assembly, try at it, or close it."""
    name = f"{row['build']}/{row['snag']}"
    match row["what"]:
        case "open":
            reading = point_meant(shop, row["point"], row["build"]).reading if row["point"] else None
            snags.open_snag(shop, row["build"], row["text"], assembly=row["about"] or None, reading=reading)
        case "try":
            snags.add_try(shop, name, row["text"], row["showed"], minutes=row["minutes"], joints=row["joints"])
        case "close":
            snags.close_snag(shop, name, row["text"])
    if row["parts"]:
        snag_parts.touch_parts(shop, name, row["parts"])
