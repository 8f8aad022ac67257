"""How many of everything there may be: what builds, trees and lists multiply to stays a whole number in the store.

SQLite turns whole numbers beyond 2^63 into floating-point ones without a word. The need of a build for a line is
count x quantity x (10,000 + allowance for loss); it is kept so far below that all needs of a workshop can be added up.
"""

from __future__ import annotations

from buildbook.actions.rows import path_of
from buildbook.errors import Forbidden
from buildbook.reckon.explode import Contains, Demand, explode
from buildbook.store.journal import Work
from buildbook.store.read import kitting

UNITS_AT_MOST = 100_000
COUNT_AT_MOST = 10**6
LINE_AT_MOST = 10**9
LOSS_AT_MOST_BP = 100_000
PRODUCT_AT_MOST = 10**17

# Lines of which even the largest count cannot make too many need not be looked at.
LARGE_AT_LEAST = PRODUCT_AT_MOST // COUNT_AT_MOST

BUILDS = "SELECT id, assembly_id, units FROM build ORDER BY priority, id"
# Index: line_of_assembly holds all that is read.
LARGE = """
    SELECT assembly_id, max(qty * (10000 + loss_bp)) FROM line
     GROUP BY assembly_id HAVING max(qty * (10000 + loss_bp)) > ?
"""


def refuse_too_many(work: Work) -> None:
    """Raise Forbidden, naming the assembly, when a build would come to make, or need for a line, more than can be.

    Counted is what is written so far in this action, whatever is chosen and with nothing standing ready-made.
    """
    work.flush()
    demands = [Demand(*row) for row in work.run(BUILDS)]
    links = [Contains(*row) for row in work.run(kitting.ALL_LINKS)]
    large = {row[0]: int(row[1]) for row in work.run(LARGE, (LARGE_AT_LEAST,))}
    for (build, assembly), count in explode(demands, links).gross.items():
        if count > COUNT_AT_MOST:
            raise Forbidden(
                "Nothing was written.",
                f"{_told(work, build, assembly)}: {count:,} of it, and there may be {COUNT_AT_MOST:,}.",
                "Make fewer units, or put fewer inside.",
            )
        if count * large.get(assembly, 0) > PRODUCT_AT_MOST:
            raise Forbidden(
                "Nothing was written.",
                f"{_told(work, build, assembly)}: more for one line than can be counted.",
                "Make fewer units, or take a smaller quantity.",
            )


def _told(work: Work, build: int, assembly: int) -> str:
    code = work.run("SELECT code FROM build WHERE id = ?", (build,)).scalar()
    return f"Build {code} would need too much for {path_of(work, assembly)}"
