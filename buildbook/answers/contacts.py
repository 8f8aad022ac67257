"""Switches and relays: which function rides on which pole, what does not fit, what is spare, what a contact bears.

It says what was weighed and against which limit, and no more: whether a set may be switched on is not for it to say.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.contacts_words import STATES, fit_of, set_said, use_said
from buildbook.answers.form import Answer, count_of
from buildbook.answers.standing import find_build
from buildbook.reckon import contacts as reckon
from buildbook.reckon.contacts import Placed, Standing
from buildbook.reckon.ratings import Rated
from buildbook.store.read import contacts as read
from buildbook.store.read.standing import builds
from buildbook.store.read.supply import AnswerRow
from buildbook.store.read.workshop import settings
from buildbook.trade.derating import shares
from buildbook.trade.ways import show_ways

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop


@dataclass(frozen=True, slots=True)
class PoleLine:
    """One pole, the function that rides on it (none where it is free), and the throws that are left on it."""

    pole: int
    use: str
    throws: int
    spare_throws: int


@dataclass(frozen=True, slots=True)
class UseLine:
    """A function, with the poles it rides `on`; it counts unless it comes with an answer that is not chosen.

    `pole` is the first that it must have. Percentages are those of the limit of a contact, rounded up, nothing where
    either is not known. `state` is fits, over, tight, unknown or left out.
    """

    name: str
    assembly: str
    option: str
    counts: bool
    poles: int
    throws: int
    pole: int | None
    on: tuple[int, ...]
    current_ua: int | None
    volts_uv: int | None
    current_percent: int | None
    volts_percent: int | None
    state: str
    said: str
    note: str


@dataclass(frozen=True, slots=True)
class ContactsWithAnswer:
    """How a switch or relay would stand with an answer (QUESTION:ANSWER), the other questions as they are."""

    answer: str
    chosen: bool
    spare_poles: int
    short_poles: int
    state: str
    said: str


@dataclass(frozen=True, slots=True)
class ContactsLine:
    """A switch or relay; limits are of one contact. It counts unless it comes with an answer that is not chosen.

    `short_poles` are wanted by functions that find too few, `spare_throws` unused on poles that are taken. `unknown`
    functions have a current or a voltage that could not be weighed.
    """

    project: str
    code: str
    kind: str
    name: str
    ways: str
    poles: int
    throws: int
    option: str
    counts: bool
    limit_ua: int | None
    limit_uv: int | None
    taken_poles: int
    spare_poles: int
    short_poles: int
    spare_throws: int
    unknown: int
    state: str
    said: str
    by_pole: tuple[PoleLine, ...]
    uses: tuple[UseLine, ...]
    answers: tuple[ContactsWithAnswer, ...]
    note: str


@dataclass(frozen=True, slots=True)
class ContactSets(Answer):
    """Every switch and relay, as they were written down."""

    SCHEMA: ClassVar[str] = "buildbook.contacts/1"
    rows: tuple[ContactsLine, ...]


def contacts(shop: Workshop, build: str | None = None) -> ContactSets:
    """The switches and relays of every project, or of that of one build. Raises BadInput for an unknown build."""
    rows = contact_sets(shop, build)
    said = contacts_said(rows)
    sentence = f"{said[0].upper()}{said[1:]}; weighed against the limits written down" if said else "No contacts yet"
    return ContactSets(f"{sentence}.", rows)


def contact_sets(shop: Workshop, build: str | None = None) -> tuple[ContactsLine, ...]:
    """The switches and relays with how they stand."""
    own = find_build(builds(shop.reads), build) if build else None
    kept = [row for row in read.contacts(shop.reads) if own is None or row.project == own.project]
    if not kept:
        return ()
    uses, answers = read.uses(shop.reads), read.answers(shop.reads)
    sets = [weighable(row, uses.get(row.id, ())) for row in kept]
    chosen = {one.id for one in answers if one.chosen}
    share = shares(settings(shop.reads))["switch"]
    ways = {one.id: reckon.standings(sets, _instead(chosen, one, answers), current_share=share) for one in answers}
    found = []
    for at, (row, stands) in enumerate(zip(kept, reckon.standings(sets, chosen, current_share=share), strict=True)):
        others = [one for one in answers if one.project_id == row.project_id]
        own_uses = uses.get(row.id, [])
        with_answers = _with_answers(row, own_uses, others, {one.id: ways[one.id][at] for one in others})
        found.append(_line(row, own_uses, stands, with_answers))
    return tuple(found)


def contacts_said(rows: Sequence[ContactsLine]) -> str:
    """How many switches and relays there are, and how they stand; nothing when there are none."""
    if not rows:
        return ""
    kinds = [("switch", "switches"), ("relay", "relays")]
    many = [(sum(row.kind == kind for row in rows), kind, several) for kind, several in kinds]
    head = " and ".join(count_of(*one) for one in many if one[0])
    counts = {state: sum(row.state == state for row in rows) for state in STATES}
    said = [f"{count} {STATES[state]}" for state, count in counts.items() if count]
    unknown = sum(row.unknown for row in rows)
    said += [f"{count_of(unknown, 'function')} not all known"] if unknown else []
    said += [f"{one.code} {STATES[way.state]} with {way.answer}" for one in rows for way in one.answers if _breaks(way)]
    return f"{head}: {', '.join(said)}"


def _breaks(way: ContactsWithAnswer) -> bool:
    return not way.chosen and way.state in ("over", "tight")


def weighable(row: read.ContactsRow, uses: Iterable[read.UseRow]) -> reckon.Contacts:
    """A switch or relay with its functions, as it is reckoned with."""
    own = [reckon.Use(u.id, u.poles, u.throws, u.pole, u.option_id, u.current_ua, u.volts_uv) for u in uses]
    return reckon.Contacts(row.id, row.poles, row.throws, row.limit_ua, row.limit_uv, row.option_id, tuple(own))


def _instead(chosen: Collection[int], answer: AnswerRow, every: Iterable[AnswerRow]) -> set[int]:
    """What is chosen when this answer is taken in place of the others to its question."""
    rivals = {one.id for one in every if one.choice == answer.choice}
    return {*chosen} - rivals | {answer.id}


def _with_answers(
    row: read.ContactsRow, uses: Sequence[read.UseRow], answers: Sequence[AnswerRow], stands: dict[int, Standing]
) -> tuple[ContactsWithAnswer, ...]:
    """How it stands with each answer of the questions that make a difference to it."""
    found = []
    for choice in dict.fromkeys(one.choice for one in answers):
        rivals = [one for one in answers if one.choice == choice]
        if len({stands[one.id] for one in rivals}) > 1:
            found += [_with_answer(row, uses, one, stands[one.id]) for one in rivals]
    return tuple(found)


def _with_answer(
    row: read.ContactsRow, uses: Iterable[read.UseRow], answer: AnswerRow, stands: Standing
) -> ContactsWithAnswer:
    said = f"with {answer.code}: {set_said(row, uses, stands)}"
    return ContactsWithAnswer(
        answer.code, bool(answer.chosen), stands.spare_poles, stands.short_poles, stands.state, said
    )


def _line(
    row: read.ContactsRow, uses: Sequence[read.UseRow], stands: Standing, answers: tuple[ContactsWithAnswer, ...]
) -> ContactsLine:
    placed = {one.use: one for one in stands.placed}
    counts = stands.state != "left out"
    return ContactsLine(
        project=row.project,
        code=row.code,
        kind=row.kind,
        name=row.name,
        ways=show_ways(row.poles, row.throws),
        poles=row.poles,
        throws=row.throws,
        option=row.option,
        counts=counts,
        limit_ua=row.limit_ua,
        limit_uv=row.limit_uv,
        taken_poles=stands.taken_poles,
        spare_poles=stands.spare_poles,
        short_poles=stands.short_poles,
        spare_throws=stands.spare_throws,
        unknown=stands.unknown,
        state=stands.state,
        said=set_said(row, uses, stands),
        by_pole=_by_pole(row, uses, placed) if counts else (),
        uses=tuple(_use_line(row, one, placed.get(one.id)) for one in uses),
        answers=answers,
        note=row.note,
    )


def _by_pole(row: read.ContactsRow, uses: Iterable[read.UseRow], placed: dict[int, Placed]) -> tuple[PoleLine, ...]:
    riding = {pole: one for one in uses if one.id in placed for pole in placed[one.id].on}
    return tuple(
        PoleLine(pole, one.name if one else "", one.throws if one else 0, row.throws - (one.throws if one else 0))
        for pole in range(1, row.poles + 1)
        for one in (riding.get(pole),)
    )


def _use_line(row: read.ContactsRow, one: read.UseRow, placed: Placed | None) -> UseLine:
    return UseLine(
        name=one.name,
        assembly=one.assembly,
        option=one.option,
        counts=placed is not None,
        poles=one.poles,
        throws=one.throws,
        pole=one.pole,
        on=placed.on if placed else (),
        current_ua=one.current_ua,
        volts_uv=one.volts_uv,
        current_percent=percent(placed.current) if placed else None,
        volts_percent=percent(placed.volts) if placed else None,
        state=fit_of(placed),
        said=use_said(row, one, placed),
        note=one.note,
    )


def percent(weighed: Rated) -> int | None:
    """The share of the limit, rounded up: never less than it is."""
    return None if weighed.share is None else ceil(round(weighed.share * 100, 6))
