"""What the frame must know of the workshop whatever place is open: its builds, and the waits that run."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from buildbook.actions.workshop import Workshop
    from buildbook.answers.bench import Waiting

# Stands for whichever build comes first, as long as nobody has chosen one.
FIRST = ""


class Standing(NamedTuple):
    """A build planned or under way, for the title and for choosing."""

    code: str
    name: str
    units: int
    target_on: str
    state: str


class Head(NamedTuple):
    """What the frame must know of the workshop: its builds, the one shown, and whether there is nothing in it yet."""

    builds: tuple[Standing, ...]
    build: str | None
    empty: bool
    waits: tuple[Waiting, ...] = ()


def look(shop: Workshop, build: str | None) -> Head:
    """The builds that count, the one meant if it is still there (FIRST: the first of them), and whether it is empty.

    What comes first is what one most likely came for.
    """
    from buildbook.answers.bench import waiting
    from buildbook.answers.standing import builds_that_count
    from buildbook.answers.workshop import codes

    builds = tuple(Standing(one.code, one.name, one.units, one.target_on, one.state) for one in builds_that_count(shop))
    known = {one.code for one in builds}
    if build == FIRST and builds:
        build = builds[0].code
    empty = not builds and not codes(shop, "assembly", "") and not codes(shop, "part", "")
    return Head(builds, build if build in known else None, empty, waiting(shop))
