"""Every benchmark in one table: `python -m tests.bench.run [--quick] [NAME...]`, from the top folder.

Each is a race against a baseline in the same run; the ratio counts, not the time. `--quick` takes a workshop of a
twentieth of the size and three rounds, and proves nothing but that all is well with the benchmarks.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path

from tests.bench import (
    binding,
    checking,
    choosing,
    ordering,
    planning,
    race,
    readiness,
    reading,
    screen,
    searching,
    starting,
    writing,
)
from tests.bench.race import Ground, Make, Outcome

RACES: Mapping[str, Make] = {
    "version": starting.version,
    "help": starting.help_text,
    "bench-report": starting.bench_report,
    "short-report": starting.short_report,
    "whole-shortage": reading.whole_shortage,
    "whole-shortage-orm": reading.whole_shortage_orm,
    "build-shortage": reading.build_shortage,
    "cost": reading.cost_of_build,
    "cost-at-units": reading.cost_at_units,
    "readiness": readiness.every_step,
    "triples": checking.triples,
    "whole-checks": checking.whole_checks,
    "forecast-draws": planning.many_draws,
    "first-plan-50": planning.first_plan_50,
    "first-plan-200": planning.first_plan_200,
    "first-plan-500": planning.first_plan_500,
    "orders-100": ordering.orders_of_100,
    "orders-300": ordering.orders_of_300,
    "orders-1000": ordering.orders_of_1000,
    "first-orders-1000": ordering.first_orders_1000,
    "combinations": choosing.all_combinations,
    "search": searching.each_letter,
    "search-before": searching.each_letter_before,
    "book": binding.bound,
    "action": writing.one_action,
    "import": writing.import_list,
    "first-frame": screen.first_frame,
    "bench-on-screen": screen.bench_on_screen,
    "down-p50": screen.down_p50,
    "down-p95": screen.down_p95,
    "page-p50": screen.page_p50,
    "page-p95": screen.page_p95,
    "narrowing": screen.narrowing,
    "memory": screen.memory,
}
# Cold starts are short and vary much; the slow ones need no more rounds than it takes to have a median.
ROUNDS = {
    "version": 21,
    "help": 21,
    "bench-report": 21,
    "short-report": 21,
    "whole-shortage-orm": 5,
    "triples": 3,
    "forecast-draws": 2,
    "first-plan-50": 5,
    "first-plan-200": 1,
    "first-plan-500": 1,
    "combinations": 3,
    "search": 7,
    "search-before": 5,
    "book": 3,
    "import": 5,
    "down-p50": 7,
    "down-p95": 7,
    "page-p50": 7,
    "page-p95": 7,
    "narrowing": 7,
    "memory": 3,
}
USUALLY = 11


def run(names: Sequence[str], *, quick: bool) -> list[Outcome]:
    """Run these races, or all, one after the other."""
    outcomes = []
    for name in names or RACES:
        with tempfile.TemporaryDirectory(prefix="buildbook-bench-") as folder, ExitStack() as closing:
            made = RACES[name](Ground(Path(folder), 0.05 if quick else 1, closing))
            print(f"{name} ...", file=sys.stderr, flush=True)  # noqa: T201 (this is a program)
            outcomes.append(race.run(made, 3 if quick else ROUNDS.get(name, USUALLY)))
    return outcomes


def main() -> None:
    """Read the command line, run, print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="a small workshop and three rounds")
    parser.add_argument("names", metavar="NAME", nargs="*", help=", ".join(RACES))
    asked = parser.parse_args()
    if unknown := set(asked.names) - set(RACES):
        parser.error(f"there is no {', '.join(sorted(unknown))}")
    race.show(run(asked.names, quick=asked.quick))


if __name__ == "__main__":
    main()
