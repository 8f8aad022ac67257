"""Switches and relays: which function rides on which pole, what does not fit, what is spare, what a contact bears.

The poles of one function need not be neighbours, as each is a circuit of its own, but neighbours are taken where there
are enough; those of a function that is bound to a first pole are that one and the next. What nobody knows of a current
or a voltage is counted as unknown, never as nought.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from enum import StrEnum
from typing import Literal, NamedTuple, TypeAlias

from buildbook.reckon.ratings import Rated, Verdict, rated
from buildbook.trade.derating import USUAL

State: TypeAlias = Literal["over", "tight", "unknown", "full", "spare", "left out"]
# Common practice: of the current that is printed on a contact a share is used at most; the voltage may be used in full.
CURRENT_SHARE = USUAL["switch"].share
VOLTS_SHARE = 1.0


class Use(NamedTuple):
    """A function: so many poles with so many throws each, `pole` the first of them where it must be that one.

    `current_ua` and `volts_uv` are borne by each of its contacts, None where they are not known. `option` is the
    candidate answer with which it comes, 0 for none.
    """

    id: int
    poles: int = 1
    throws: int = 1
    pole: int | None = None
    option: int = 0
    current_ua: int | None = None
    volts_uv: int | None = None


class Contacts(NamedTuple):
    """A switch or relay; the limits are of one contact, None where they are not known."""

    id: int
    poles: int
    throws: int
    limit_ua: int | None = None
    limit_uv: int | None = None
    option: int = 0
    uses: tuple[Use, ...] = ()


class Misfit(StrEnum):
    """Why a function does not fit."""

    THROWS = "too few throws"
    OUTSIDE = "its pole is not there"
    CLASH = "its pole is taken"
    POLES = "too few poles"


class Placed(NamedTuple):
    """A function with the poles on which it rides, lowest first; none, and why, where it does not fit.

    `current` and `volts` say whether a contact bears them.
    """

    use: int
    on: tuple[int, ...]
    misfit: Misfit | None
    current: Rated
    volts: Rated


class Standing(NamedTuple):
    """How a switch or relay stands, with every function that counts.

    `short_poles` are the poles wanted by functions that find too few; `spare_throws` are those that no function uses
    on the poles that are taken. `unknown` functions have a current or a voltage that cannot be weighed.
    """

    id: int
    placed: tuple[Placed, ...]
    taken_poles: int
    spare_poles: int
    short_poles: int
    spare_throws: int
    unknown: int
    state: State


def standings(
    sets: Sequence[Contacts], chosen: Collection[int] = (), *, current_share: float = CURRENT_SHARE
) -> list[Standing]:
    """How every switch and relay stands; one that comes with an answer, or a function, counts when that is chosen.

    >>> band = Contacts(1, 4, 3, uses=(Use(1, 2, 3), Use(2, 1, 3, pole=1), Use(3, 2, 3)))
    >>> found = standings([band])[0]
    >>> [(one.on, one.misfit and one.misfit.value) for one in found.placed], found.state
    ([((2, 3), None), ((1,), None), ((), 'too few poles')], 'over')
    """
    return [_standing(one, chosen, current_share) for one in sets]


def _standing(one: Contacts, chosen: Collection[int], current_share: float) -> Standing:
    if one.option and one.option not in chosen:
        return Standing(one.id, (), 0, 0, 0, 0, 0, "left out")
    uses = [use for use in one.uses if not use.option or use.option in chosen]
    on = assign(one.poles, one.throws, uses)
    placed = tuple(_placed(use, found, one, current_share) for use, found in zip(uses, on, strict=True))
    taken = sum(len(each.on) for each in placed)
    spare = one.poles - taken
    wanting = sum(use.poles for use, each in zip(uses, placed, strict=True) if each.misfit is Misfit.POLES)
    throws = sum(len(each.on) * (one.throws - use.throws) for use, each in zip(uses, placed, strict=True))
    unknown = sum(Verdict.UNKNOWN in verdicts(each) for each in placed)
    return Standing(
        one.id, placed, taken, spare, max(0, wanting - spare), throws, unknown, _state(placed, spare_poles=spare)
    )


def _placed(use: Use, found: tuple[int, ...] | Misfit, one: Contacts, current_share: float) -> Placed:
    misfit = found if isinstance(found, Misfit) else None
    current = rated(use.current_ua, one.limit_ua, current_share)
    return Placed(use.id, _poles(found), misfit, current, rated(use.volts_uv, one.limit_uv, VOLTS_SHARE))


def verdicts(placed: Placed) -> tuple[Verdict, Verdict]:
    """What is said of the current and the voltage of a function."""
    return placed.current.verdict, placed.volts.verdict


def _state(placed: Sequence[Placed], *, spare_poles: int) -> State:
    said = {verdict for one in placed for verdict in verdicts(one)}
    if Verdict.LITTLE in said or any(one.misfit for one in placed):
        return "over"
    if Verdict.TIGHT in said:
        return "tight"
    if Verdict.UNKNOWN in said:
        return "unknown"
    return "spare" if spare_poles else "full"


def assign(poles: int, throws: int, uses: Sequence[Use]) -> list[tuple[int, ...] | Misfit]:
    """The poles of each function, or why it does not fit; every function fits where that can be done at all.

    Those bound to a pole come first, as they were written down; each of the others then takes the snuggest run of
    free neighbours that is long enough, or else the lowest free poles. As any free pole will do for these, they fit
    exactly when they want no more of them than are free.
    """
    found: dict[int, tuple[int, ...] | Misfit] = {}
    free = set(range(1, poles + 1))
    # Sorting keeps the order in which they were written down.
    for at in sorted(range(len(uses)), key=lambda at: uses[at].pole is None):
        found[at] = _place(uses[at], poles, throws, free)
        free.difference_update(_poles(found[at]))
    return [found[at] for at in range(len(uses))]


def _poles(found: tuple[int, ...] | Misfit) -> tuple[int, ...]:
    return () if isinstance(found, Misfit) else found


def _place(use: Use, poles: int, throws: int, free: set[int]) -> tuple[int, ...] | Misfit:
    if use.throws > throws:
        return Misfit.THROWS
    if use.pole is not None:
        wanted = tuple(range(use.pole, use.pole + use.poles))
        if wanted[0] < 1 or wanted[-1] > poles:
            return Misfit.OUTSIDE
        return wanted if free >= set(wanted) else Misfit.CLASH
    if use.poles > len(free):
        return Misfit.POLES
    runs = [run for run in _runs(free) if len(run) >= use.poles]
    return tuple((min(runs, key=len) if runs else sorted(free))[: use.poles])


def _runs(free: Collection[int]) -> Iterator[list[int]]:
    """The free poles as runs of neighbours, lowest first."""
    run: list[int] = []
    for pole in sorted(free):
        if run and pole != run[-1] + 1:
            yield run
            run = []
        run.append(pole)
    if run:
        yield run
