"""How switches, relays and the functions on them stand, in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from buildbook.answers.form import count_of, join_words
from buildbook.reckon.contacts import Placed, Standing, verdicts
from buildbook.reckon.ratings import Rated, Verdict
from buildbook.store.read.contacts import ContactsRow, UseRow
from buildbook.trade.amounts import show_amount
from buildbook.trade.ways import show_ways

MICRO = 1_000_000
STATES = {
    "over": "over",
    "tight": "too tight",
    "unknown": "not all known",
    "full": "full",
    "spare": "with poles to spare",
    "left out": "left out",
}


def set_said(row: ContactsRow, uses: Iterable[UseRow], stands: Standing) -> str:
    """Poles taken and spare, then what does not fit, is borne badly, is not known: "4P3T: 3 of 4 poles taken ..."."""
    ways = show_ways(row.poles, row.throws)
    if stands.state == "left out":
        return f"{ways}: left out, {row.option} is not chosen"
    names = {one.id: one for one in uses}
    said = [
        f"{ways}: {stands.taken_poles} of {count_of(row.poles, 'pole')} taken, {stands.spare_poles or 'none'} to spare"
    ]
    if stands.short_poles:
        said.append(f"{count_of(stands.short_poles, 'pole')} too few")
    said += [f"{names[one.use].name} does not fit: {one.misfit}" for one in stands.placed if one.misfit]
    for one in stands.placed:
        said += [f"{names[one.use].name}: {text}" for text in _badly(row, names[one.use], one)]
    unknown = [names[one.use].name for one in stands.placed if Verdict.UNKNOWN in verdicts(one)]
    if unknown:
        said.append(f"{count_of(len(unknown), 'function')} not all known: {join_words(unknown)}")
    return "; ".join(said)


def _badly(row: ContactsRow, use: UseRow, placed: Placed) -> Iterator[str]:
    """What a contact bears badly."""
    bad = (Verdict.LITTLE, Verdict.TIGHT)
    if placed.current.verdict in bad:
        yield current_said(row, use, placed.current)
    if placed.volts.verdict in bad:
        yield volts_said(row, use, placed.volts)


def fit_of(placed: Placed | None) -> str:
    """A function's state in a word."""
    if placed is None:
        return "left out"
    if placed.misfit or Verdict.LITTLE in verdicts(placed):
        return "over"
    if Verdict.TIGHT in verdicts(placed):
        return "tight"
    return "unknown" if Verdict.UNKNOWN in verdicts(placed) else "fits"


def use_said(row: ContactsRow, use: UseRow, placed: Placed | None) -> str:
    """What a function needs, where it rides, what its contacts bear."""
    ways = show_ways(use.poles, use.throws)
    if placed is None:
        return f"{ways}, left out: {use.option if use.option and not use.chosen else row.option} is not chosen"
    where = f"on {'poles' if len(placed.on) > 1 else 'pole'} {join_words([str(pole) for pole in placed.on])}"
    fit = f"does not fit: {placed.misfit}" if placed.misfit else where
    return f"{ways} {fit}; {current_said(row, use, placed.current)}; {volts_said(row, use, placed.volts)}"


def current_said(row: ContactsRow, use: UseRow, weighed: Rated) -> str:
    """The current against the limit of a contact, and the share of it that practice allows."""
    said = _weighed("current", use.current_ua, row.limit_ua, "A", weighed)
    return f"{said} (more of it than is used at most)" if weighed.verdict is Verdict.TIGHT else said


def volts_said(row: ContactsRow, use: UseRow, weighed: Rated) -> str:
    """The voltage against the limit of a contact."""
    return _weighed("voltage", use.volts_uv, row.limit_uv, "V", weighed)


def _weighed(what: str, micro: int | None, limit: int | None, unit: str, weighed: Rated) -> str:
    if micro is None:
        return f"{what} not known"
    size = show_amount(micro / MICRO, unit)
    if limit is None:
        return f"{size}, limit not known"
    said = f"{size} of {show_amount(limit / MICRO, unit)}"
    if weighed.verdict is Verdict.LITTLE:
        return f"{said}: over the limit by {show_amount((micro - limit) / MICRO, unit)}"
    return f"{said}: too tight" if weighed.verdict is Verdict.TIGHT else said
