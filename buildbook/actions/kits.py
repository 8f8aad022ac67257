"""Parts on their way into a build: kitted from the drawers, fitted, taken out again, given back, lost."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from buildbook.actions.drawers import Take, open_drawers, who_has_the_rest
from buildbook.actions.reading import read_qty
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.reckon.reserve import Reserve
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import kitting, standing
from buildbook.store.read.kitting import Need
from buildbook.store.read.naming import (
    AssemblyNamed,
    BuildNamed,
    find_assembly,
    find_bin,
    find_build,
    find_line,
    find_part,
)
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean
from buildbook.trade.refdes import join_refs, read_refs

COUNTING = ("planned", "active")


@dataclass(frozen=True, slots=True)
class Kitted:
    """What was taken or put back: how many lines and base units, and what of each line could not be, by line.

    `left` is what of the short lies there, but was left because another build has spoken for it.
    """

    lines: int
    pieces: int
    short: tuple[tuple[int, int], ...] = ()
    left: tuple[tuple[int, int], ...] = ()


def kit(shop: Workshop, build: str, assembly: str, wants: Sequence[Take]) -> Kitted:
    """Take exactly these parts from these bins into the kit of an assembly."""
    for_build, home = _place(shop, build, assembly)
    with action(shop, f"Kit {home.path} for {for_build.code}", build_id=for_build.id) as work:
        _refuse_strangers(shop, home, wants)
        if any(take.bin is None for take in wants):
            raise BadInput("Nothing was moved.", "A kit comes out of a bin.", "Name the bin of each part.")
        return _post(work, [_into_kit(for_build, take) for take in wants])


def fit(shop: Workshop, build: str, assembly: str, wants: Sequence[Take]) -> Kitted:
    """Fit exactly these parts, out of the kit (no bin) or straight from a bin."""
    for_build, home = _place(shop, build, assembly)
    with action(shop, f"Fit {home.path} for {for_build.code}", build_id=for_build.id) as work:
        _refuse_strangers(shop, home, wants)
        return _post(work, [_onto_board(for_build, take) for take in wants])


def kit_assembly(
    shop: Workshop, build: str, assembly: str, *, stand_ins: bool = False, reserve: Reserve | None = None
) -> Kitted:
    """Kit all that an assembly still needs and that lies in the drawers; approved stand-ins as well when asked for.

    With a `reserve`, no more than it allows. The bin with the fewest that still suffice is taken, or else the fullest
    first. What is short is told by line. Raises Forbidden when nothing is needed, or nothing of it may be taken.
    """
    for_build, home = _place(shop, build, assembly)
    with action(shop, f"Kit {home.path} for {for_build.code}", build_id=for_build.id) as work:
        needs = _needs(shop, for_build, home)
        wanted = [(need, need.to_have - need.kitted - need.fitted) for need in needs]
        drawers = open_drawers(shop, [need.part for need in needs], reserve, stand_ins=stand_ins)
        takes, short = drawers.take_all((need, qty) for need, qty in wanted if qty > 0)
        left = drawers.left_for_others(needs, short)
        if not takes:
            raise _nothing(home, "kitted", short=bool(short), others=who_has_the_rest(needs, left, reserve))
        return _post(work, [_into_kit(for_build, take) for take in takes], short, left)


def fit_lines(
    shop: Workshop,
    build: str,
    assembly: str,
    *,
    refs: str = "",
    lines: Sequence[str | int] = (),
    stand_ins: bool = False,
    reserve: Reserve | None = None,
) -> Kitted:
    """Fit what is still to be fitted: at these designators, for these lines, or on the whole assembly.

    Parts come from the kit first, then from the drawers, from there no more than a `reserve` allows. A designator means
    that place on every unit that the build makes of the assembly. Raises Forbidden when all of it is fitted already, or
    none of it may be taken.
    """
    for_build, home = _place(shop, build, assembly)
    numbers = {find_line(shop, line).id for line in lines}
    places = read_refs(refs)
    with action(
        shop, f"Fit {join_refs(places) or 'parts'} on {home.path} for {for_build.code}", build_id=for_build.id
    ) as work:
        wanted = _to_fit(_needs(shop, for_build, home), home, places, numbers)
        from_kit, to_find = _from_kit(shop, for_build, home, wanted)
        needs = [need for need, _ in to_find]
        drawers = open_drawers(shop, [need.part for need in needs], reserve, stand_ins=stand_ins)
        from_bins, short = drawers.take_all(to_find)
        takes = [*from_kit, *from_bins]
        left = drawers.left_for_others(needs, short)
        if not takes:
            raise _nothing(home, "fitted", short=bool(short), others=who_has_the_rest(needs, left, reserve))
        return _post(work, [_onto_board(for_build, take) for take in takes], short, left)


def unfit(shop: Workshop, build: str, line: str | int, qty: int | str, *, part: str | None = None) -> Kitted:
    """Take parts off an assembly again; they lie in the kit then."""
    for_build, known = find_build(shop, build), find_line(shop, line)
    used = find_part(shop, part or known.part)
    many = read_qty(qty, used.unit)
    title = f"Unfit {many} × {used.key} from {known.path} for {for_build.code}"
    with action(shop, title, build_id=for_build.id) as work:
        off = Move("returned", used.id, fit_qty=-many, kit_qty=many, build_id=for_build.id, line_id=known.id)
        return _post(work, [off])


def give_back(
    shop: Workshop,
    build: str,
    assembly: str | None = None,
    *,
    line: str | int | None = None,
    qty: int | str | None = None,
    bin: str | None = None,
) -> Kitted:
    """Give the kit of a build, of one assembly or of one line back to the drawers: all of it, or `qty` of one line.

    Parts go back to the bin they were taken from last, unless another is named.
    """
    if qty is not None and line is None:
        raise BadInput("Nothing was given back.", "A quantity needs a line.", "Name the line.")
    for_build = find_build(shop, build)
    home = find_assembly(shop, assembly, project_id=for_build.project_id) if assembly else None
    known = find_line(shop, line) if line is not None else None
    place = find_bin(shop, bin).id if bin else None
    what = known.path if known else home.path if home else "everything"
    with action(shop, f"Give back {what} of {for_build.code}", build_id=for_build.id) as work:
        held = kitting.held(shop.reads, for_build.id, home.id if home else None)
        chosen = [row for row in held if row.kitted and (known is None or row.line == known.id)]
        if not chosen:
            raise Forbidden("Nothing was given back.", "Nothing of it is kitted.")
        last = kitting.bins_taken_from(shop.reads, for_build.id)
        left = None if qty is None else read_qty(qty, find_part(shop, known.part).unit if known else "pc")
        moves = []
        for row in chosen:
            many = row.kitted if left is None else min(left, row.kitted)
            left = None if left is None else left - many
            target = place or last.get((row.line, row.part))
            if target is None:
                raise BadInput("Nothing was given back.", "The bin it came from is gone.", "Name a bin.")
            if many:
                moves.append(
                    Move("returned", row.part, target, many, kit_qty=-many, build_id=for_build.id, line_id=row.line)
                )
        if left:
            raise Forbidden("Nothing was given back.", "Not that many of it are kitted.", "Give back fewer.")
        return _post(work, moves)


def scrap_from_kit(
    shop: Workshop, build: str, line: str | int, qty: int | str, *, part: str | None = None, note: str = ""
) -> Kitted:
    """Write off parts of a kit that were lost or spoilt; their worth stays with the build."""
    for_build, known = find_build(shop, build), find_line(shop, line)
    used = find_part(shop, part or known.part)
    many = read_qty(qty, used.unit)
    title = f"Scrap {many} × {used.key} of {known.path} for {for_build.code}"
    with action(shop, title, build_id=for_build.id) as work:
        lost = Move("scrapped", used.id, kit_qty=-many, lost_qty=many, build_id=for_build.id, line_id=known.id)
        return _post(work, [replace(lost, note=clean(note))])


# --- what to take from where -----------------------------------------------------------------------------------------


def _place(shop: Workshop, build: str, assembly: str) -> tuple[BuildNamed, AssemblyNamed]:
    """The build and the assembly meant, after making sure that parts may go there."""
    for_build = find_build(shop, build)
    tree = kitting.inside(shop.reads, for_build.assembly_id)
    home = find_assembly(shop, assembly, among=tree, project_id=for_build.project_id)
    if home.id not in tree:
        raise Forbidden(f"Build {for_build.code} does not make {home.path}.", "", "Name an assembly inside it.")
    if for_build.state not in COUNTING:
        raise Forbidden(
            f"No parts go to build {for_build.code}.", f"It is {for_build.state}.", "Make it active again first."
        )
    return for_build, home


def _needs(shop: Workshop, build: BuildNamed, home: AssemblyNamed) -> list[Need]:
    """What the build needs for each line; what stands ready-made goes to the builds in the order of priority."""
    reads = shop.reads
    demands = [Demand(row.id, row.assembly_id, row.units) for row in standing.builds(reads) if row.state in COUNTING]
    links = [Contains(*link) for link in standing.links(reads)]
    count = explode(demands, links, standing.ready_made(reads)).net.get((build.id, home.id), 0)
    if not count:
        raise Forbidden(
            f"Build {build.code} makes no {home.path}.",
            "All of it stands ready-made, or its option is not chosen.",
            "See `buildbook boards`.",
        )
    return kitting.needs(reads, build.id, home.id, count)


def _to_fit(needs: Iterable[Need], home: AssemblyNamed, refs: Sequence[str], lines: set[int]) -> list[tuple[Need, int]]:
    """How much of each line is to be fitted now: everything, or what designators and lines ask for."""
    wanted = []
    asked = set(refs)
    for need in needs:
        here = read_refs(need.refs)
        left = need.to_fit - need.fitted
        if (refs or lines) and need.line not in lines:
            # The pieces of a line are spread evenly over its designators.
            left = min(left, -(-need.to_fit * len(asked.intersection(here)) // max(1, len(here))))
        asked.difference_update(here)
        if left > 0:
            wanted.append((need, left))
    if asked:
        missing = " or ".join(sorted(asked))
        raise BadInput(f"No {missing} is to be fitted on {home.path}.", "", "Check the designators.")
    return wanted


def _from_kit(
    shop: Workshop, build: BuildNamed, home: AssemblyNamed, wanted: Iterable[tuple[Need, int]]
) -> tuple[list[Take], list[tuple[Need, int]]]:
    """What the kit gives of it, a line's own part before its stand-ins, and what is left to be found."""
    kits: dict[int, list[tuple[int, int]]] = {}
    for row in kitting.held(shop.reads, build.id, home.id):
        kits.setdefault(row.line, []).append((row.part, row.kitted))
    takes, left = [], []
    for need, qty in wanted:
        for part, kitted in kits.get(need.line, ()):
            if many := min(qty, kitted):
                takes.append(Take(need.line, part, None, many))
                qty -= many
        if qty:
            left.append((need, qty))
    return takes, left


def _refuse_strangers(shop: Workshop, home: AssemblyNamed, wants: Iterable[Take]) -> None:
    """Raise Forbidden for a line of another assembly, or a part neither its own nor a stand-in."""
    own = kitting.lines_of(shop.reads, home.id)
    approved = standing.stand_ins(shop.reads)
    bins = kitting.bin_numbers(shop.reads)
    for take in wants:
        if take.line not in own:
            raise Forbidden("Nothing was moved.", f"Line {take.line} is not on the list of {home.path}.")
        part = own[take.line]
        if take.part != part and take.part not in approved.get(part, ()):
            raise Forbidden(
                "Nothing was moved.",
                f"The part is not approved for line {take.line} of {home.path}.",
                "Allow it as a stand-in first.",
            )
        if take.qty < 1:
            raise BadInput("Nothing was moved.", f"{take.qty} cannot be taken.", "Take 1 or more.")
        if take.bin is not None and take.bin not in bins:
            raise BadInput("Nothing was moved.", "There is no bin of that number.", "Name another bin.")


def _into_kit(build: BuildNamed, take: Take) -> Move:
    return Move("kitted", take.part, take.bin, -take.qty, kit_qty=take.qty, build_id=build.id, line_id=take.line)


def _onto_board(build: BuildNamed, take: Take) -> Move:
    if take.bin is None:
        return Move("fitted", take.part, kit_qty=-take.qty, fit_qty=take.qty, build_id=build.id, line_id=take.line)
    return Move("fitted", take.part, take.bin, -take.qty, fit_qty=take.qty, build_id=build.id, line_id=take.line)


def _post(
    work: Work,
    moves: Sequence[Move],
    short: tuple[tuple[int, int], ...] = (),
    left: tuple[tuple[int, int], ...] = (),
) -> Kitted:
    ledger.post(work, moves)
    pieces = sum(abs(move.bin_qty or move.kit_qty) for move in moves)
    return Kitted(len({move.line_id for move in moves}), pieces, short, left)


def _nothing(home: AssemblyNamed, done: str, *, short: bool, others: Sequence[str] = ()) -> Forbidden:
    what = f"Nothing was {done} on {home.path}."
    if others:
        why = f"What lies there of what it needs is spoken for by {' and '.join(others)}."
        return Forbidden(what, why, "Take it all the same (--anyway), or put this build first in priority.")
    if short:
        return Forbidden(what, "None of what it needs lies there.", "See `buildbook buying short`.")
    return Forbidden(what, f"All that it needs is {done} already.")
