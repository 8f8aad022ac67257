"""Boards: which sections are done, kitted, short?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import builds_that_count, find_build, stand
from buildbook.store.read import boards as read
from buildbook.store.read.boards import AssemblyRow
from buildbook.store.read.snags import open_snags
from buildbook.store.read.standing import BuildRow, LineNeed, links

if TYPE_CHECKING:
    from buildbook.reckon.cover import Share
    from buildbook.store.workshop import Workshop


SNAG_OPEN = "snag open"


@dataclass(frozen=True, slots=True)
class KitState:
    """How far an assembly has got with its parts: pieces needed, fitted, kitted; lines short and lines that wait.

    A line of wire, solder or lacquer counts as one piece, whatever its length, mass or volume. `word` is one of fitted,
    kitted, can be kitted, waits, short, no parts; or ready-made where finished ones lie on the shelf for all that is
    needed, and not needed inside such. `due_on` is when the last of what it waits for should arrive, empty when no day
    is known. `surplus_lines` hold more than they need, or are not needed
    at all: there is some to give back.
    """

    word: str
    lines: int
    need: int
    fitted: int
    kitted: int
    stood_in_lines: int
    waiting_lines: int
    short_lines: int
    due_on: str
    surplus_lines: int = 0


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One section of a build: where it stands in the tree, its parts, its steps, and how many open snags it has."""

    build: str
    code: str
    name: str
    kind: str
    depth: int
    count: int
    kit: KitState
    steps: int
    steps_done: int
    snags: int = 0

    @property
    def worked(self) -> bool:
        """All steps behind it and all parts fitted; nothing at all to do counts as not done."""
        parts_done = self.kit.word in ("fitted", "no parts")
        return parts_done and self.steps_done == self.steps and (self.steps > 0 or self.kit.lines > 0)

    @property
    def done(self) -> bool:
        """All work is behind it, and no snag about it is open."""
        return self.worked and not self.snags

    @property
    def state(self) -> str:
        """One word: done, or what keeps it from that: an open snag alone, or how far it has got with its parts."""
        if self.worked:
            return SNAG_OPEN if self.snags else "done"
        return self.kit.word


@dataclass(frozen=True, slots=True)
class Boards(Answer):
    """Every section of the builds asked for, in the order of the product tree."""

    SCHEMA: ClassVar[str] = "buildbook.boards/1"
    rows: tuple[BoardRow, ...]


def boards(shop: Workshop, build: str | None = None) -> Boards:
    """Which sections are done, kitted, short: of one build, or of all that are planned or under way.

    Raises BadInput for an unknown build.
    """
    known = builds_that_count(shop)
    chosen = find_build(known, build)
    wanted = known if chosen is None else (chosen,)
    standing = stand(shop, closely=[one.id for one in wanted])
    assemblies = read.assemblies(shop.reads)
    inside: dict[int, list[int]] = {}
    for parent, child, _ in links(shop.reads):
        inside.setdefault(parent, []).append(child)
    bulk = read.parts_in_bulk(shop.reads)
    lines = standing.lines_by_build()
    rows: list[BoardRow] = []
    for one in wanted:
        rows.extend(board_rows(shop, one, lines.get(one.id, []), standing.counts, assemblies, inside, bulk))
    return Boards(boards_sentence(wanted, rows), tuple(rows))


def board_rows(
    shop: Workshop,
    build: BuildRow,
    pairs: Sequence[tuple[LineNeed, Share]],
    counts: Mapping[tuple[int, int], int],
    assemblies: dict[int, AssemblyRow],
    inside: dict[int, list[int]],
    bulk: Collection[int],
) -> list[BoardRow]:
    """The sections of one build, each where it is first met in the tree."""
    lines: dict[int, list[tuple[LineNeed, Share]]] = {}
    for need, share in pairs:
        lines.setdefault(need.assembly, []).append((need, share))
    surplus = Counter(row.assembly for row in surplus_of(shop, build.id, pairs))
    tree = list(walk(build.assembly_id, inside, assemblies))
    steps = read.step_counts(shop.reads, build.id, [number for number, _ in tree])
    faults = open_snags(shop.reads, build.id)
    rows = []
    for number, depth in tree:
        own = assemblies[number]
        count = steps.get(number)
        makes = counts.get((build.id, number))
        rows.append(
            BoardRow(
                build=build.code,
                code=own.path,
                name=own.name,
                kind=own.kind,
                depth=depth,
                count=makes or 0,
                kit=replace(
                    kit_state(lines.get(number, ()), bulk) if makes else none_made(makes),
                    surplus_lines=surplus[number],
                ),
                steps=count.steps if count else 0,
                steps_done=count.done if count else 0,
                snags=len(faults.get(number, ())),
            )
        )
    return rows


def surplus_of(shop: Workshop, build: int, pairs: Iterable[tuple[LineNeed, Share]]) -> list[read.HeldRow]:
    """The lines for which a build holds more than it needs now: a choice, a list or its units have changed."""
    needed = {need.line: need.need for need, _ in pairs}
    held = read.held_lines(shop.reads, build)
    return [row for row in held if row.kitted + row.fitted > needed.get(row.line, 0)]


def walk(top: int, inside: dict[int, list[int]], assemblies: dict[int, AssemblyRow]) -> Iterable[tuple[int, int]]:
    """The assemblies of a tree from the top down, each once, with its depth."""
    seen = set()
    stack = [(top, 0)]
    while stack:
        number, depth = stack.pop()
        if number in seen:
            continue
        seen.add(number)
        yield number, depth
        children = sorted(inside.get(number, ()), key=lambda child: (assemblies[child].position, child), reverse=True)
        stack.extend((child, depth + 1) for child in children)


def none_made(count: int | None) -> KitState:
    """Of an assembly that the build makes none of: all of them lie on the shelf (0), or all that would hold them."""
    return KitState("not needed" if count is None else "ready-made", 0, 0, 0, 0, 0, 0, 0, "")


def kit_state(lines: Sequence[tuple[LineNeed, Share]], bulk: Collection[int]) -> KitState:
    """Sum up the lines of one assembly in one build; `bulk` are the parts that are not counted in pieces."""
    short = sum(1 for _, share in lines if share.short)
    waiting = sum(1 for _, share in lines if share.coming and not share.short)
    dues = [due.when for _, share in lines for due in share.coming]
    open_lines = [need for need, _ in lines if need.want]
    unfitted = [need for need, _ in lines if need.fitted < need.need]
    if not lines:
        word = "no parts"
    elif not unfitted:
        word = "fitted"
    elif not open_lines:
        word = "kitted"
    elif short:
        word = "short"
    else:
        word = "waits" if waiting else "can be kitted"
    pieces = [pieces_of(need, in_bulk=need.part in bulk) for need, _ in lines]
    return KitState(
        word=word,
        lines=len(lines),
        need=sum(needed for needed, _, _ in pieces),
        fitted=sum(fitted for _, fitted, _ in pieces),
        kitted=sum(kitted for _, _, kitted in pieces),
        stood_in_lines=sum(1 for _, share in lines if share.stood_in),
        waiting_lines=waiting,
        short_lines=short,
        due_on="" if not dues or "" in dues else max(dues),
    )


def pieces_of(need: LineNeed, *, in_bulk: bool) -> tuple[int, int, int]:
    """Pieces needed, fitted and kitted for a line; a line in bulk is one piece, fitted or kitted when all of it is."""
    if not in_bulk:
        fitted = min(need.fitted, need.need)
        return need.need, fitted, min(need.kitted, need.need - fitted)
    whole = need.fitted >= need.need
    return 1, int(whole), int(not whole and need.want == 0)


# How a state is counted in a sentence: of one section, of several.
COUNTED = {
    "done": ("done", "done"),
    SNAG_OPEN: ("done but for a snag", "done but for snags"),
    "fitted": ("fitted", "fitted"),
    "kitted": ("kitted", "kitted"),
    "can be kitted": ("can be kitted", "can be kitted"),
    "waits": ("waits", "wait"),
    "short": ("short", "short"),
    "ready-made": ("ready-made", "ready-made"),
    "not needed": ("not needed", "not needed"),
    "no parts": ("without parts", "without parts"),
}


def boards_sentence(builds: Sequence[BuildRow], rows: Sequence[BoardRow]) -> str:
    """ "CURLEW, 1 unit: 12 sections, 2 done, 1 kitted, 3 can be kitted, 2 wait (last due 2026-12-04), 4 short."""
    if not builds:
        return "No build is planned or under way."
    said = [count_of(len(rows), "section")]
    for word, (one, several) in COUNTED.items():
        having = [row for row in rows if row.state == word]
        if having:
            said.append(f"{len(having)} {one if len(having) == 1 else several}{last_due(having)}")
    units = count_of(builds[0].units, "unit")
    whose = f"{builds[0].code}, {units}" if len(builds) == 1 else count_of(len(builds), "build")
    return f"{whose}: {', '.join(said)}."


def last_due(rows: Sequence[BoardRow]) -> str:
    """When the last of what these sections wait for should arrive; nothing where a day is not known, or none waits."""
    dues = [row.kit.due_on for row in rows if row.state == "waits"]
    if not dues or "" in dues:
        return ""
    return f" (due {dues[0]})" if len(dues) == 1 else f" (last due {max(dues)})"
