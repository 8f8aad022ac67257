"""A race between ours and a baseline, run alternately so that whatever else the machine does slows both alike."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from tests.bench.huge import copy_of, huge_workshop


@dataclass(frozen=True, slots=True)
class Race:
    """What is measured: the time of `ours` may be at most `goal` times that of the `baseline`.

    `agree` is given both results, and is true when they say the same; None where there is nothing to compare. `clock`
    is that of the wall, or of the processor where nothing is waited for, so that other programs count less.
    """

    what: str
    against: str
    goal: float
    ours: Callable[[], Any]
    baseline: Callable[[], Any]
    agree: Callable[[Any, Any], bool] | None = None
    clock: Callable[[], float] = perf_counter


@dataclass(frozen=True, slots=True)
class Outcome:
    """The median times of one race, in seconds."""

    race: Race
    ours_s: float
    baseline_s: float

    @property
    def ratio(self) -> float:
        """How many times as long ours takes."""
        return self.ours_s / self.baseline_s

    @property
    def met(self) -> bool:
        """Whether the goal is met."""
        return self.ratio <= self.goal

    @property
    def goal(self) -> float:
        """The ratio that is allowed."""
        return self.race.goal


@dataclass(frozen=True, slots=True)
class Ground:
    """Where races are run: a folder of their own, the scale of the workshop, and what is closed afterwards.

    A `trial` only shows that they run.
    """

    folder: Path
    scale: float
    closing: ExitStack
    trial: bool = False

    @property
    def workshop(self) -> Path:
        """The generated workshop of that scale; only to be read."""
        return huge_workshop(self.scale)

    def workshop_copy(self, name: str) -> Path:
        """A copy of it that may be written to."""
        return copy_of(self.workshop, self.folder / f"{name}.db")


Make = Callable[[Ground], Race]


def run(race: Race, repeats: int) -> Outcome:
    """Run both sides once to warm up, then `repeats` times in turn; the medians count.

    The garbage collector is kept from going through what other races have left, as in a process of one's own.
    """
    race.ours()
    race.baseline()
    gc.collect()
    gc.freeze()
    ours: list[float] = []
    baseline: list[float] = []
    for _ in range(repeats):
        for side, times in ((race.baseline, baseline), (race.ours, ours)):
            began = race.clock()
            side()
            times.append(race.clock() - began)
    gc.unfreeze()
    return Outcome(race, median(ours), median(baseline))


def show(outcomes: Sequence[Outcome]) -> None:
    """Print one table of all outcomes."""
    from rich.console import Console
    from rich.table import Table

    table = Table(caption="Medians of alternating runs; read the ratios, not the times.", caption_justify="left")
    for heading in ("what", "against"):
        table.add_column(heading, overflow="fold")
    for heading in ("goal", "measured", "ours", "baseline"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("", no_wrap=True)
    for one in outcomes:
        table.add_row(
            one.race.what,
            one.race.against,
            f"{one.goal:g} x",
            f"{one.ratio:.2f} x",
            _time(one.ours_s),
            _time(one.baseline_s),
            "met" if one.met else "NOT MET",
        )
    console = Console(width=None if sys.stdout.isatty() else 150)
    console.print(table)


def _time(seconds: float) -> str:
    return f"{seconds:.2f} s" if seconds >= 1 else f"{seconds * 1000:.1f} ms"
