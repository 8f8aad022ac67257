"""Parts on their way into a build: kitted from the drawers, fitted, taken out again, given back, lost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from buildbook.actions.naming import (
    AssemblyNamed,
    BuildNamed,
    find_assembly,
    find_bin,
    find_build,
    find_line,
    find_part,
)
from buildbook.actions.reading import read_qty
from buildbook.errors import BadInput, Forbidden
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.store import ledger
from buildbook.store.journal import Work, action
from buildbook.store.ledger import Move
from buildbook.store.read import kitting, standing
from buildbook.store.read.kitting import InBin, Need
from buildbook.store.workshop import Workshop
from buildbook.trade.plain import clean
from buildbook.trade.refdes import join_refs, read_refs

COUNTING = ("planned", "active")


class Take(NamedTuple):
    """So many base units of a part for a line, out of a bin; no bin means out of the kit. All by their numbers."""

    line: int
    part: int
    bin: int | None
    qty: int


@dataclass(frozen=True, slots=True)
class Kitted:
    """What was taken or put back: how many lines and base units, and what of each line could not be, by line."""

    lines: int
    pieces: int
    short: tuple[tuple[int, int], ...] = ()


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


def kit_assembly(shop: Workshop, build: str, assembly: str, *, stand_ins: bool = False) -> Kitted:
    """Kit all that an assembly still needs and that lies in the drawers; approved stand-ins as well when asked for.

    The bin with the fewest that still suffice is taken, or else the fullest first. What is short is told by line.
    Raises Forbidden when nothing is needed, or nothing of it lies there.
    """
    for_build, home = _place(shop, build, assembly)
    with action(shop, f"Kit {home.path} for {for_build.code}", build_id=for_build.id) as work:
        needs = _needs(shop, for_build, home)
        wanted = [(need, need.to_have - need.kitted - need.fitted) for need in needs]
        drawers = _open_drawers(shop, [need.part for need in needs], stand_ins=stand_ins)
        takes, short = drawers.take_all((need, qty) for need, qty in wanted if qty > 0)
        if not takes:
            raise _nothing(home, "kitted", short=bool(short))
        return _post(work, [_into_kit(for_build, take) for take in takes], short)


def fit_lines(
    shop: Workshop,
    build: str,
    assembly: str,
    *,
    refs: str = "",
    lines: Sequence[str | int] = (),
    stand_ins: bool = False,
) -> Kitted:
    """Fit what is still to be fitted: at these designators, for these lines, or on the whole assembly.

    Parts come from the kit first, then from the drawers. A designator means that place on every unit that the
    build makes of the assembly. Raises Forbidden when all of it is fitted already, or none of it lies there.
    """
    for_build, home = _place(shop, build, assembly)
    numbers = {find_line(shop, line).id for line in lines}
    places = read_refs(refs)
    with action(
        shop, f"Fit {join_refs(places) or 'parts'} on {home.path} for {for_build.code}", build_id=for_build.id
    ) as work:
        wanted = _to_fit(_needs(shop, for_build, home), home, places, numbers)
        from_kit, left = _from_kit(shop, for_build, home, wanted)
        drawers = _open_drawers(shop, [need.part for need, _ in left], stand_ins=stand_ins)
        from_bins, short = drawers.take_all(left)
        takes = [*from_kit, *from_bins]
        if not takes:
            raise _nothing(home, "fitted", short=bool(short))
        return _post(work, [_onto_board(for_build, take) for take in takes], short)


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
            "See `buildbook boards tree`.",
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


class Drawers:
    """The bins, emptiest first, getting emptier as parts are taken from them."""

    def __init__(self, bins: Mapping[int, Sequence[InBin]], stand_ins: Mapping[int, Sequence[int]]) -> None:
        self._bins = {part: list(places) for part, places in bins.items()}
        self._stand_ins = stand_ins

    def take_all(self, wanted: Iterable[tuple[Need, int]]) -> tuple[list[Take], tuple[tuple[int, int], ...]]:
        """What can be taken for each line, and what is short; stand-ins only with what no line wants for itself."""
        takes: list[Take] = []
        lacks = []
        for need, qty in wanted:
            left = self._take(takes, need.line, need.part, qty)
            if left:
                lacks.append((need, left))
        short = []
        for need, left in lacks:
            for part in self._stand_ins.get(need.part, ()):
                left = self._take(takes, need.line, part, left) if left else 0
            if left:
                short.append((need.line, left))
        return takes, tuple(short)

    def _take(self, takes: list[Take], line: int, part: int, qty: int) -> int:
        """Take up to `qty` of a part and return how many are lacking."""
        left = qty
        while left and (bins := self._bins.get(part)):
            chosen = next((place for place in bins if place.qty >= left), bins[-1])
            many = min(left, chosen.qty)
            takes.append(Take(line, part, chosen.bin, many))
            left -= many
            bins.remove(chosen)
            if chosen.qty > many:
                bins.append(InBin(part, chosen.bin, chosen.qty - many))
                bins.sort(key=lambda place: (place.qty, place.bin))
        return left


def _open_drawers(shop: Workshop, parts: Iterable[int], *, stand_ins: bool) -> Drawers:
    """The bins of these parts, and of what may stand in for them."""
    own = set(parts)
    approved = standing.stand_ins(shop.reads) if stand_ins else {}
    alts = {part: approved[part] for part in own if part in approved}
    return Drawers(kitting.bins(shop.reads, own.union(*alts.values())), alts)


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


def _post(work: Work, moves: Sequence[Move], short: tuple[tuple[int, int], ...] = ()) -> Kitted:
    ledger.post(work, moves)
    pieces = sum(abs(move.bin_qty or move.kit_qty) for move in moves)
    return Kitted(len({move.line_id for move in moves}), pieces, short)


def _nothing(home: AssemblyNamed, done: str, *, short: bool) -> Forbidden:
    what = f"Nothing was {done} on {home.path}."
    if short:
        return Forbidden(what, "None of what it needs lies there.", "See `buildbook buying short`.")
    return Forbidden(what, f"All that it needs is {done} already.")
