"""Every combination of the answers to several questions at once, from what each answer brings by itself.

Each question is an axis of a grid, each of its answers a place on it. A figure that depends on some of the questions is
worked out once for the combinations of those alone, with an axis of length 1 for every other question; numpy's
broadcasting adds such figures up over the whole grid.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from buildbook.reckon.contacts import CURRENT_SHARE, Contacts, standings
from buildbook.reckon.supply import FULL_BP, Supply, in_order, of_load, ratio

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Grid: TypeAlias = NDArray[Any]

Axes: TypeAlias = Sequence[Sequence[int]]
"""The answers of each question, by number: one axis for each question."""


class OverGrid(NamedTuple):
    """How a supply stands over the grid, exactly: load in the unit of its limit, unknown loads, and what is broken."""

    id: int
    load: Grid
    unknown: Grid
    over: Grid
    tight: Grid


def shape_of(axes: Axes, touched: Collection[int]) -> tuple[int, ...]:
    """The shape of a figure that depends on the questions at these places only.

    >>> shape_of([[1, 2], [3, 4, 5]], {1})
    (1, 3)
    """
    return tuple(len(answers) if place in touched else 1 for place, answers in enumerate(axes))


def standings_over(supplies: Sequence[Supply], axes: Axes, chosen: Collection[int] = ()) -> list[OverGrid]:
    """How every supply stands for each combination of answers, each before what it feeds.

    Loads of an answer on an axis count where that answer is taken, other loads of an answer when it is among the
    `chosen`. The same figures as `standings` gives for each combination by itself; whole numbers of any size.

    >>> from buildbook.reckon.supply import Load
    >>> winding = Supply(1, "winding", 0, 6_300_000, 2_500_000, loads=(Load("EZ80", current_ua=600_000, option=8),))
    >>> standings_over([winding], [[8, 9]])[0].load.tolist()
    [600000, 0]
    """
    import numpy as np

    at = {answer: (axis, place) for axis, answers in enumerate(axes) for place, answer in enumerate(answers)}
    order = list(in_order(supplies))
    drawn: dict[int, tuple[Grid, Grid, Grid]] = {}
    found = []
    for _, one in reversed(order):
        total: tuple[Grid, Grid, Grid] = (_plain(axes, 0), _plain(axes, 0), _plain(axes, 0))
        for load in one.loads:
            if load.option in at:
                axis, place = at[load.option]
                total = _add(total, tuple(_placed(axes, axis, place, figure) for figure in of_load(load, one)))
            elif not load.option or load.option in chosen:
                total = _add(total, tuple(_plain(axes, figure) for figure in of_load(load, one)))
        for _, child in order:
            if child.feeder == one.id:
                total = _add(total, _converted(drawn[child.id], child, one))
        drawn[one.id] = total
        load_now, _, unknown = total
        if one.limit is None:
            nowhere = np.zeros(load_now.shape, np.bool_)
            found.append(OverGrid(one.id, load_now, unknown, nowhere, nowhere))
            continue
        over = (load_now > one.limit).astype(np.bool_)
        room = one.limit + (-one.limit * one.keep_free_bp) // FULL_BP
        found.append(OverGrid(one.id, load_now, unknown, over, (load_now > room).astype(np.bool_) & ~over))
    return found[::-1]


def contacts_over(
    contacts: Contacts, axes: Axes, chosen: Collection[int] = (), *, current_share: float = CURRENT_SHARE
) -> OverGrid:
    """How a switch or relay stands for each combination; its load is the poles that are wanted of it.

    It is worked out once for each combination of the questions that bring it something, by `standings`; what other
    answers bring counts when they are among the `chosen`.

    >>> from buildbook.reckon.contacts import Use
    >>> switch = Contacts(1, 1, 2, uses=(Use(1), Use(2, option=8)))
    >>> contacts_over(switch, [[8, 9]]).over.tolist()
    [True, False]
    """
    import numpy as np

    brought = {contacts.option, *(use.option for use in contacts.uses)}
    touched = {place for place, answers in enumerate(axes) if brought & {*answers}}
    others = {*chosen}.difference(*axes)
    shape = shape_of(axes, touched)
    load, unknown = np.zeros(shape, dtype=object), np.zeros(shape, dtype=object)
    over, tight = np.zeros(shape, np.bool_), np.zeros(shape, np.bool_)
    for at in np.ndindex(*shape):
        taken = others | {axes[place][at[place]] for place in touched}
        stands = standings([contacts], taken, current_share=current_share)[0]
        short = stands.short_poles
        load[at], unknown[at] = contacts.poles + short if short else stands.taken_poles, stands.unknown
        over[at], tight[at] = stands.state == "over", stands.state == "tight"
    return OverGrid(contacts.id, load, unknown, over, tight)


def _plain(axes: Axes, figure: int) -> Grid:
    import numpy as np

    return np.full((1,) * len(axes), figure, dtype=object)


def _placed(axes: Axes, axis: int, place: int, figure: int) -> Grid:
    """A figure where one answer is taken, nought elsewhere."""
    import numpy as np

    row = np.zeros(len(axes[axis]), dtype=object)
    row[place] = figure
    return row.reshape(shape_of(axes, {axis}))


def _add(one: Sequence[Grid], other: Sequence[Grid]) -> tuple[Grid, Grid, Grid]:
    first, second, third = (mine + theirs for mine, theirs in zip(one, other, strict=True))
    return first, second, third


def _converted(drawn: tuple[Grid, Grid, Grid], child: Supply, feeder: Supply) -> tuple[Grid, Grid, Grid]:
    import numpy as np

    load, all_on, unknown = drawn
    known = ratio(child, feeder)
    if known is None:
        return load * 0, all_on * 0, unknown + np.where(all_on > 0, 1, 0).astype(object)
    over, under = known
    return -(-load * over // under), -(-all_on * over // under), unknown * child.alike


def spread(axes: Axes, tables: Mapping[tuple[int, ...], Grid]) -> Grid:
    """Add figures up over the whole grid: each table goes by the places of the questions on which it depends.

    >>> import numpy as np
    >>> spread([[1, 2], [3, 4, 5]], {(0,): np.array([10, 20]), (1,): np.array([1, 2, 3]), (): np.array(100)}).tolist()
    [[111, 112, 113], [121, 122, 123]]
    """
    import numpy as np

    whole = np.zeros(tuple(len(answers) for answers in axes), np.int64)
    for touched, table in tables.items():
        whole += table.reshape(shape_of(axes, touched))
    return whole
