"""The order that nobody wrote down: which steps ought to come before which, though the project does not say so."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import builds_that_count
from buildbook.errors import BadInput
from buildbook.reckon.forgotten import Forgotten, forgotten
from buildbook.reckon.forgotten_words import nothing_says
from buildbook.store.read import order as read
from buildbook.store.read.bench import waived
from buildbook.store.read.boards import AssemblyRow, assemblies
from buildbook.store.read.kitting import inside
from buildbook.trade.workorder import SERIOUSNESS

if TYPE_CHECKING:
    from buildbook.store.read.standing import BuildRow
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class PairRow:
    """Two steps of one assembly, of which the natural order of work puts one before the other.

    `before` and `after` name them as the command line does, PROJECT/ASSEMBLY/PLACE. `serious` says what comes of it:
    dangerous, cannot be undone, work done twice. `how` is "missing" where the project says nothing, "reversed" where it
    says the opposite. `said` is all of it in a sentence.
    """

    assembly: str
    before: str
    before_step: int
    before_name: str
    after: str
    after_step: int
    after_name: str
    serious: str
    how: str
    reason: str
    said: str


@dataclass(frozen=True, slots=True)
class OrderAnswer(Answer):
    """The pairs that are forgotten, assembly by assembly, the most serious first; how many were said not to matter."""

    SCHEMA: ClassVar[str] = "buildbook.order/1"
    rows: tuple[PairRow, ...]
    dismissed: int


def order(shop: Workshop, code: str | None = None) -> OrderAnswer:
    """What the natural order of work puts before what, and nothing says so, in a build or a project.

    Without a code, in every build planned or under way. What is behind a build is not told of it any more; a project is
    looked at as a whole. Raises BadInput for an unknown code.
    """
    known = assemblies(shop.reads)
    scope = _scope(shop, code, known)
    found = read.order(shop.reads)
    homes = [number for number in known if number in scope.assemblies]
    steps = read.worked(found, homes)
    ids = {step.id for step in steps}
    dismissed = {pair for pair in waived(shop.reads) if ids.issuperset(pair)}
    pairs = forgotten(steps, read.links(found, homes), dismissed)
    over = _behind_all(found, scope)
    named = {
        row.id: _Named(known[home].path, f"{known[home].path}/{row.place}", row.name)
        for home in homes
        for row in found.lists.get(home, ())
    }
    rows = _by_assembly(_row(pair, named) for pair in pairs if pair.before not in over)
    if not scope.assemblies:
        return OrderAnswer("No build is planned or under way.", (), 0)
    return OrderAnswer(_sentence(rows, len(dismissed), some=bool(steps)), rows, len(dismissed))


class _Named(NamedTuple):
    """A step by its assembly, its place and its name."""

    assembly: str
    place: str
    name: str


class _Scope(NamedTuple):
    """The assemblies that are looked at, and the builds by their numbers, with the assemblies of each."""

    assemblies: Collection[int]
    builds: Mapping[int, Collection[int]]


def _scope(shop: Workshop, code: str | None, known: Mapping[int, AssemblyRow]) -> _Scope:
    builds = builds_that_count(shop)
    if code is None:
        return _of_builds(shop, builds)
    wanted = code.strip().upper()
    if own := [build for build in builds if build.code == wanted]:
        return _of_builds(shop, own)
    homes = {number for number, row in known.items() if row.project == wanted}
    if not homes:
        there = [*(build.code for build in builds), *(row.project for row in known.values())]
        codes = ", ".join(dict.fromkeys(there)) or "none yet"
        raise BadInput(f"There is no build or project {code}.", f"There are: {codes}.", "Name one of them.")
    return _Scope(homes, {})


def _of_builds(shop: Workshop, builds: Iterable[BuildRow]) -> _Scope:
    trees = {build.id: inside(shop.reads, build.assembly_id) for build in builds}
    return _Scope(set().union(*trees.values()), trees)


def _behind_all(found: read.Order, scope: _Scope) -> set[int]:
    """The steps that are behind every build that has them: what ought to come before others has come."""
    over: set[int] = set()
    ahead: set[int] = set()
    for build, tree in scope.builds.items():
        done = read.behind(found, build)
        over |= done
        ahead |= {row.id for home in tree for row in found.lists.get(home, ())} - done
    return over - ahead


def _row(pair: Forgotten, named: Mapping[int, _Named]) -> PairRow:
    before, after = named[pair.before], named[pair.after]
    said = nothing_says(before.name, after.name, pair.rule, pair.how)
    return PairRow(
        assembly=before.assembly,
        before=before.place,
        before_step=pair.before,
        before_name=before.name,
        after=after.place,
        after_step=pair.after,
        after_name=after.name,
        serious=pair.rule.serious,
        how=pair.how,
        reason=pair.rule.reason,
        said=said,
    )


def _by_assembly(rows: Iterable[PairRow]) -> tuple[PairRow, ...]:
    """The rows of one assembly together, that of the most serious one first."""
    kept = sorted(rows, key=lambda row: SERIOUSNESS.index(row.serious))
    place = {home: at for at, home in enumerate(dict.fromkeys(row.assembly for row in kept))}
    return tuple(sorted(kept, key=lambda row: place[row.assembly]))


def _sentence(rows: Sequence[PairRow], dismissed: int, *, some: bool) -> str:
    counts = [(sum(row.serious == serious for row in rows), serious) for serious in SERIOUSNESS]
    if not some:
        said = "No steps are written down yet."
    elif not rows:
        said = "Nothing is forgotten that the natural order of work knows of."
    elif len(rows) == 1:
        said = rows[0].said
    else:
        listed = ", ".join(f"{count} {serious}" for count, serious in counts if count)
        said = f"{len(rows)} pairs of steps are in no order that ought to be: {listed}."
    verb = "does" if dismissed == 1 else "do"
    return f"{said} {count_of(dismissed, 'pair')} {verb} not matter here." if dismissed else said
