"""Candidates side by side: how far each is from the one taken now, which break a limit, and which are beaten.

One beats another that is at least as good in every respect and better in one (Pareto, "Manuale di economia politica",
1906). What nobody knows of a candidate is neither good nor bad: it beats and is beaten by none in that respect. What
breaks a limit is struck out; it beats nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from buildbook.errors import BadInput

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Table: TypeAlias = NDArray[np.int64]
    Marks: TypeAlias = NDArray[np.bool_]


class Criterion(NamedTuple):
    """A respect in which candidates differ; of money, hours, area and days less is better, of headroom more."""

    name: str
    less_is_better: bool = True


class Candidate(NamedTuple):
    """One candidate: a figure for each criterion, None where it is not known, and the limits that it breaks."""

    key: str
    figures: Mapping[str, int | None]
    breaks: tuple[str, ...] = ()


class Compared(NamedTuple):
    """How a candidate stands: figure less that of the other, by criterion; None where either is not known.

    `beaten_by` are those that beat it; one that is struck out, since it `breaks` limits, is beaten by none.
    """

    key: str
    differences: Mapping[str, int | None]
    breaks: tuple[str, ...]
    beaten_by: tuple[str, ...]

    @property
    def unbeaten(self) -> bool:
        """Whether it keeps all limits and no other beats it."""
        return not self.breaks and not self.beaten_by


def compare(candidates: Sequence[Candidate], criteria: Sequence[Criterion], against: str) -> list[Compared]:
    """Lay the candidates side by side, each against the one of the key `against`.

    Raises BadInput where there is none of that key.

    >>> pair = [Candidate("valve", {"hours": 35, "money": 0}), Candidate("diodes", {"hours": 20, "money": 1})]
    >>> [(one.differences["hours"], one.unbeaten) for one in compare(pair, [Criterion("hours")], "valve")]
    [(0, False), (-15, True)]
    """
    known = {one.key: one for one in candidates}
    if against not in known:
        raise BadInput("Nothing was compared.", f"There is no candidate {against}.", "Name one of them.")
    base = known[against]
    telling = [one for one in criteria if any(each.figures.get(one.name) is not None for each in candidates)]
    free = [one for one in candidates if not one.breaks]
    found = []
    for one in candidates:
        differences = {each.name: _less(one.figures.get(each.name), base.figures.get(each.name)) for each in criteria}
        beaten = () if one.breaks else tuple(other.key for other in free if beats(other, one, telling))
        found.append(Compared(one.key, differences, one.breaks, beaten))
    return found


def beats(one: Candidate, other: Candidate, criteria: Sequence[Criterion]) -> bool:
    """Whether the one is at least as good in every respect, and better in one; never where a figure is not known."""
    better = False
    for criterion in criteria:
        mine, theirs = one.figures.get(criterion.name), other.figures.get(criterion.name)
        if mine is None or theirs is None:
            return False
        gap = theirs - mine if criterion.less_is_better else mine - theirs
        if gap < 0:
            return False
        better = better or gap > 0
    return better


def _less(figure: int | None, base: int | None) -> int | None:
    return None if figure is None or base is None else figure - base


def unbeaten_rows(table: Table) -> Marks:
    """Which rows of a table no other row beats, in each column less being better.

    The row of the least sum of ranks is beaten by none; it is kept, what it beats is left out, and so on (Chomicki and
    others, "Skyline with Presorting", 2003).

    >>> import numpy as np
    >>> unbeaten_rows(np.array([[1, 3], [2, 2], [2, 3], [1, 3]])).tolist()
    [True, True, False, True]
    """
    import numpy as np

    rows = len(table)
    kept = np.zeros(rows, np.bool_)
    if not table.size:
        return ~kept
    # Ranks rather than figures, since a sum of figures might not fit.
    ranks = np.stack([np.unique(column, return_inverse=True)[1].reshape(-1) for column in table.T], axis=1)
    left = np.argsort(ranks.sum(axis=1), kind="stable")
    while len(left):
        best = ranks[left[0]]
        there = ranks[left]
        same = (there == best).all(axis=1)
        kept[left[same]] = True
        left = left[~(there >= best).all(axis=1)]
    return kept
