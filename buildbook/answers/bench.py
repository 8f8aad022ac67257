"""Bench: what can I do now, and what must I not do yet?

So far only the order of work is weighed. A step that says what it comes after is held by that. A checklist in which no
step says anything is done from the top down: a step is held by the first above it that is not done. `BEYOND` says what
is not weighed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.boards import walk
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import builds_that_count, find_build
from buildbook.store.read import bench as read
from buildbook.store.read.boards import AssemblyRow, assemblies
from buildbook.store.read.standing import BuildRow, links

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

STATES = ("in hand", "ready", "waiting", "held", "done", "dropped")
BEHIND = ("done", "dropped")
BEYOND = "Held is told by the order of work alone: parts, open questions and drying times are not weighed yet."


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of a build. `state` is one of STATES; `held_by` names the steps that hold it, or should have.

    `place` is how the step is named on the command line, PROJECT/ASSEMBLY/PLACE. Minutes are whole; `minutes` is what
    it took, where that was kept.
    """

    build: str
    assembly: str
    place: str
    step: int
    name: str
    state: str
    held_by: tuple[str, ...]
    work: str
    likely_min: int
    wait_low_min: int
    wait_high_min: int
    one_way: bool
    hold_point: bool
    caution: str
    started_at: str
    finished_at: str
    minutes: int | None


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the checklist of one assembly has got: steps, those behind it, hands-on minutes left."""

    build: str
    assembly: str
    name: str
    steps: int
    done: int
    left_min: int


@dataclass(frozen=True, slots=True)
class Bench(Answer):
    """Every step of one build, or of all, in the order of the product tree and of each checklist."""

    SCHEMA: ClassVar[str] = "buildbook.bench/1"
    rows: tuple[StepRow, ...]
    progress: tuple[Progress, ...]
    beyond: str


def bench(shop: Workshop, build: str | None = None) -> Bench:
    """The steps of the build named, else of every build planned or under way, the first in priority first.

    Raises BadInput for an unknown build.
    """
    builds = builds_that_count(shop)
    asked = find_build(builds, build)
    wanted = builds if asked is None else (asked,)
    checklists = list(_steps(shop, wanted))
    rows = tuple(row for one in checklists for row in one.rows)
    progress = tuple(_progress(one) for one in checklists)
    return Bench(_sentence(wanted, rows), rows, progress, BEYOND)


class StepsOfBuild(NamedTuple):
    """How many steps a build has, how many are behind it, and how many are ready or in hand."""

    steps: int
    done: int
    ready: int


def count_steps(shop: Workshop) -> dict[int, StepsOfBuild]:
    """The steps of each build planned or under way, by its number."""
    builds = builds_that_count(shop)
    found = {build.id: StepsOfBuild(0, 0, 0) for build in builds}
    for one in _steps(shop, builds):
        steps, done, ready = found[one.build.id]
        states = [row.state for row in one.rows]
        found[one.build.id] = StepsOfBuild(
            steps + len(states),
            done + sum(state in BEHIND for state in states),
            ready + sum(state in ("ready", "in hand") for state in states),
        )
    return found


class _Checklist(NamedTuple):
    build: BuildRow
    assembly: AssemblyRow
    rows: list[StepRow]


def _steps(shop: Workshop, builds: Sequence[BuildRow]) -> Iterator[_Checklist]:
    """The checklist of each assembly in each build, where the assembly is first met in the tree."""
    known = assemblies(shop.reads)
    lists = read.steps(shop.reads)
    runs = read.runs(shop.reads)
    needs = read.needs(shop.reads)
    inside: dict[int, list[int]] = {}
    for parent, child, _ in links(shop.reads):
        inside.setdefault(parent, []).append(child)
    for build in builds:
        met = [number for number, _ in walk(build.assembly_id, inside, known)]
        here = {step.id for number in met for step in lists.get(number, ())}
        own_runs = {step: run for (of_build, step), run in runs.items() if of_build == build.id}
        own_needs = {step: [need for need in needs.get(step, ()) if need.needs in here] for step in here}
        for number in met:
            if number in lists:
                yield _Checklist(
                    build, known[number], _checklist(build, known[number], lists[number], own_runs, own_needs)
                )


def _checklist(
    build: BuildRow,
    assembly: AssemblyRow,
    steps: Sequence[read.StepRow],
    runs: Mapping[int, read.RunRow],
    needs: Mapping[int, Sequence[read.NeedRow]],
) -> list[StepRow]:
    rows = []
    first_open = ""
    from_the_top = not any(needs[step.id] for step in steps)
    for place, step in enumerate(steps, start=1):
        run = runs.get(step.id)
        state = run.state if run else ""
        held_by: tuple[str, ...] = ()
        if state not in BEHIND:
            above = [first_open] if first_open and from_the_top else []
            held_by = (*above, *(need.name for need in needs[step.id] if not _met(need, runs)))
            first_open = first_open or step.name
        rows.append(
            StepRow(
                build=build.code,
                assembly=assembly.path,
                place=f"{assembly.path}/{place}",
                step=step.id,
                name=step.name,
                state=state or ("held" if held_by else "ready"),
                held_by=held_by,
                work=step.work,
                likely_min=step.likely_min,
                wait_low_min=step.wait_low_min,
                wait_high_min=step.wait_high_min,
                one_way=bool(step.one_way),
                hold_point=bool(step.hold_point),
                caution=step.caution,
                started_at=run.started_at if run else "",
                finished_at=run.finished_at if run else "",
                minutes=run.minutes if run else None,
            )
        )
    return rows


def _met(need: read.NeedRow, runs: Mapping[int, read.RunRow]) -> bool:
    """Whether what a step comes after is done, or begun where that is enough."""
    run = runs.get(need.needs)
    return run is not None and (run.state in BEHIND or need.link == "SS")


def _progress(one: _Checklist) -> Progress:
    behind = [row.state in BEHIND for row in one.rows]
    return Progress(
        build=one.build.code,
        assembly=one.assembly.path,
        name=one.assembly.name,
        steps=len(one.rows),
        done=sum(behind),
        left_min=sum(row.likely_min for row, is_behind in zip(one.rows, behind, strict=True) if not is_behind),
    )


def _sentence(builds: Sequence[BuildRow], rows: Sequence[StepRow]) -> str:
    if not builds:
        return "No build is planned or under way."
    if not rows:
        return "No steps are written down yet."
    counts = {state: sum(row.state == state for row in rows) for state in STATES}
    words = [count_of(counts["ready"], "step") + " ready"]
    words += [f"{counts[state]} {state}" for state in STATES if state != "ready" and counts[state]]
    said = ", ".join(words)
    return said[0].upper() + said[1:] + "."
