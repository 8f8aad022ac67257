"""The draft of an episode, written from the record of its span: each sentence with the rows that it came from.

It is written anew each time and never stored. What the builder wrote about the episode, its recap and the own words,
stands beside it and is left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.told import StepTold, Told, told
from buildbook.answers.until import day_said
from buildbook.trade.money import show_money
from buildbook.trade.units import Unit, show_minutes, show_quantity

if TYPE_CHECKING:
    from buildbook.store.workshop import Workshop

# So many of the next steps are named; the others are counted.
NAMED = 5


class Source(NamedTuple):
    """A row of the record: its table and number."""

    tab: str
    id: int


class Sentence(NamedTuple):
    """Something said in the draft, and the rows that it came from."""

    text: str
    rows: tuple[Source, ...]


class Section(NamedTuple):
    """A part of the draft."""

    title: str
    sentences: tuple[Sentence, ...]


class Figures(NamedTuple):
    """The figures of the draft: steps, minutes, readings, snags, and money in millionths of `currency`."""

    currency: str
    steps_total: int
    done_before: int
    done_after: int
    steps_finished: int
    minutes: int
    readings: int
    readings_out: int
    snags_opened: int
    snags_closed: int
    taken_pieces: int
    taken_micros: int
    came_micros: int
    came_unpriced: int


@dataclass(frozen=True, slots=True)
class Draft(Answer):
    """The draft of an episode, and apart from it the recap and the own words of its builder."""

    SCHEMA: ClassVar[str] = "buildbook.draft/1"
    build: str
    number: int
    title: str
    opened_at: str
    closed_at: str
    recap: str
    words: str
    sections: tuple[Section, ...]
    figures: Figures


def draft(shop: Workshop, number: int | None = None, build: str | None = None, *, first_person: bool = False) -> Draft:
    """The draft of an episode, the open one or else the last without a number; with `first_person` the builder speaks.

    Raises BadInput when there is no such episode, or when it is not clear which build is meant.
    """
    facts = told(shop, number, build)
    sections = tuple(
        Section(title, sentences)
        for title, write in SECTIONS
        if (sentences := tuple(Sentence(*one) for one in write(facts, first_person=first_person)))
    )
    one, figures = facts.episode, figures_of(facts)
    many = count_of(sum(len(section.sentences) for section in sections), "sentence")
    sentence = f"Episode {one.number} of {facts.build.code}, {one.title}: a draft of {many}"
    sentence += ", and own words." if one.words else "; no own words yet."
    return Draft(
        sentence,
        facts.build.code,
        one.number,
        one.title,
        one.opened_at,
        one.closed_at,
        one.recap,
        one.words,
        sections,
        figures,
    )


def figures_of(facts: Told) -> Figures:
    """The figures behind the draft."""
    inside = (facts.episode.opened_at, facts.episode.closed_at or "9999")
    return Figures(
        currency=facts.currency,
        steps_total=facts.steps_total,
        done_before=facts.done_before,
        done_after=facts.done_after,
        steps_finished=sum(one.state == "done" for one in facts.steps),
        minutes=facts.minutes,
        readings=len(facts.readings),
        readings_out=sum(one.out for one in facts.readings),
        snags_opened=sum(inside[0] <= one.opened_at <= inside[1] for one in facts.snags),
        snags_closed=sum(bool(one.closed_at) and one.closed_at <= inside[1] for one in facts.snags),
        taken_pieces=facts.taken_pieces,
        taken_micros=facts.taken_micros,
        came_micros=sum(one.value_micros for one in facts.came),
        came_unpriced=sum(one.unpriced_qty > 0 for one in facts.came),
    )


Written = Iterator[tuple[str, tuple[Source, ...]]]


def sources(tab: str, *numbers: int) -> tuple[Source, ...]:
    """Rows of one table."""
    return tuple(Source(tab, number) for number in numbers)


def ended(text: str) -> str:
    """A sentence of the builder's on one line, with its full stop."""
    plain = " ".join(text.split())
    return plain if not plain or plain[-1] in ".!?…" else f"{plain}."


def lower(text: str) -> str:
    """A name within a sentence: its first letter small, unless the word has capitals or figures throughout."""
    first = text.split(" ", 1)[0]
    return text if not first[1:].islower() and len(first) > 1 else text[:1].lower() + text[1:]


def _where_we_were(facts: Told, *, first_person: bool) -> Written:
    former = facts.former
    if former is None:
        return
    share = _share(facts.done_before, facts.steps_total)
    ended_on = day_said(former.closed_at[:10])
    yield (
        f"Episode {former.number}, {former.title}, ended on {ended_on}; {share} were done when this one began.",
        sources("episode", former.id),
    )
    if former.recap:
        yield f"It closed with: {ended(former.recap)}", sources("episode", former.id)
    done = [one for one in facts.steps if one.state == "done"]
    if done:
        yield f"The first step after it was: {lower(done[0].name)} ({done[0].section}).", sources("step", done[0].id)


def _share(done: int, total: int) -> str:
    return f"{done} of {count_of(total, 'step')}" + (f" ({100 * done // total} %)" if total else "")


def _what_was_done(facts: Told, *, first_person: bool) -> Written:
    homes: dict[str, list[StepTold]] = {}
    for step in facts.steps:
        if step.state == "done":
            homes.setdefault(step.section, []).append(step)
    for section, steps in homes.items():
        minutes = sum(step.minutes or 0 for step in steps)
        took = f" ({show_minutes(minutes)})" if minutes else ""
        opening = f"{section}, what I did: " if first_person else f"{section}: "
        said = "; ".join(lower(step.name) for step in steps)
        yield f"{opening}{said}{took}.", sources("step", *(step.id for step in steps))
    boards: dict[str, list[int]] = {}
    for line in facts.fitted:
        boards.setdefault(line.assembly, []).append(line.line)
    for board, lines in boards.items():
        whole = count_of(len(lines), "line") + " of the parts list"
        said = f"I fitted {whole}" if first_person else f"{whole} {'was' if len(lines) == 1 else 'were'} fitted"
        yield f"{board}: {said}.", sources("line", *lines)


def _what_was_measured(facts: Told, *, first_person: bool) -> Written:
    for one in facts.readings:
        note = f"; {lower(one.note)}" if one.note else ""
        said = f"I read {one.said}" if first_person else one.said
        yield ended(f"{one.name}: {said}{note}"), sources("reading", one.id)


def _what_went_wrong(facts: Told, *, first_person: bool) -> Written:
    end = facts.episode.closed_at or "9999"
    for snag in facts.snags:
        before = "" if snag.opened_at >= facts.episode.opened_at else " was still open from before"
        yield f"Snag {snag.number}{before}: {ended(lower(snag.title))}", sources("snag", snag.id)
        for one in facts.tries:
            if one.snag == snag.id:
                tried = f"{'I tried' if first_person else 'Tried'}: {lower(ended(one.tried))}"
                showed = f" It showed: {lower(ended(one.showed))}" if one.showed else ""
                yield tried + showed, sources("snag_try", one.id)
        if snag.closed_at and snag.closed_at <= end:
            yield f"It turned out to be: {lower(ended(snag.cause))}", sources("snag", snag.id)
        else:
            still = "is still" if not facts.episode.closed_at else "was still"
            yield f"Snag {snag.number} {still} open at the end.", sources("snag", snag.id)


def _what_was_decided(facts: Told, *, first_person: bool) -> Written:
    for one in facts.decided:
        if one.state == "chosen":
            chose = "I chose " if first_person else ""
            yield (
                f"{one.question or one.code} {chose}{one.answer}: {ended(lower(one.reason))}",
                sources("choice", one.id),
            )


def _what_was_put_off(facts: Told, *, first_person: bool) -> Written:
    for one in facts.decided:
        if one.state == "shelved":
            said = "I put it off" if first_person else "Put off"
            yield f"{one.question or one.code} {said}: {ended(lower(one.reason))}", sources("choice", one.id)
    left = [one for one in facts.steps if one.state == "dropped"]
    if left:
        said = join_words([f"{lower(one.name)} ({one.section})" for one in left])
        yield f"{'I left out' if first_person else 'Left out'}: {said}.", sources("step", *(one.id for one in left))


def _parts_and_money(facts: Told, *, first_person: bool) -> Written:
    for order in facts.ordered:
        due = f", due on {day_said(order.due_on)}" if order.due_on else ""
        said = f"{'I ordered' if first_person else 'Ordered'} from {order.supplier}: "
        yield f"{said}{count_of(order.lines, 'part')} for this build{due}.", sources("purchase", order.id)
    for supplier in dict.fromkeys(one.supplier for one in facts.came):
        rows = [one for one in facts.came if one.supplier == supplier]
        parts = join_words([f"{show_quantity(one.qty, Unit(one.unit))} of {one.key}" for one in rows])
        paid, unknown = sum(one.value_micros for one in rows), sum(one.unpriced_qty > 0 for one in rows)
        cost = f" for {show_money(paid, facts.currency)} {facts.currency}" if paid else ""
        cost += f", {count_of(unknown, 'part')} without a known price" if unknown else ""
        origin = f" from {supplier}" if supplier else ""
        yield f"Came in{origin}: {parts}{cost}.", sources("part", *(one.part for one in rows))
    if facts.taken_micros > 0:
        worth = f"{show_money(facts.taken_micros, facts.currency)} {facts.currency}"
        took = "I took" if first_person else "This build took"
        yield f"{took} parts worth {worth} from the drawers.", sources("build", facts.build.id)


def _time_and_progress(facts: Told, *, first_person: bool) -> Written:
    finished = [one for one in facts.steps if one.state == "done"]
    timed = [one for one in finished if one.minutes]
    rows = sources("step", *(one.id for one in finished))
    if facts.minutes:
        over = f" on {count_of(len(timed), 'step')}" if timed else ""
        tried = sum(one.minutes or 0 for one in facts.tries)
        looking = f", {show_minutes(tried)} of it looking for faults" if tried else ""
        yield (
            f"{show_minutes(facts.minutes)} at the bench were written down{over}{looking}.",
            rows + sources("snag_try", *(one.id for one in facts.tries if one.minutes)),
        )
    if facts.done_after != facts.done_before:
        before, after = _share(facts.done_before, facts.steps_total), _share(facts.done_after, facts.steps_total)
        yield f"Before it, {before} were done; after it, {after}.", rows


def _what_was_noted(facts: Told, *, first_person: bool) -> Written:
    for note in facts.notes:
        yield f"{day_said(note.at[:10])}: {ended(note.text)}", sources("entry", note.id)


def _what_comes_next(facts: Told, *, first_person: bool) -> Written:
    if facts.next is None:
        return
    rows = facts.next.rows
    for state, said in (("in hand", "In hand"), ("ready", "Ready to begin")):
        found = [row for row in rows if row.state == state]
        if found:
            names = "; ".join(lower(row.name) for row in found[:NAMED])
            more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
            yield f"{said}: {names}{more}.", sources("step", *(row.step for row in found))
    if any(row.state in ("waiting", "held") for row in rows):
        held = sources("step", *(row.step for row in rows if row.state in ("waiting", "held")))
        yield f"The bench says: {facts.next.sentence}", held


SECTIONS: tuple[tuple[str, Callable[..., Written]], ...] = (
    ("Where we were", _where_we_were),
    ("What was done", _what_was_done),
    ("What was measured", _what_was_measured),
    ("What went wrong", _what_went_wrong),
    ("What was decided", _what_was_decided),
    ("What was put off", _what_was_put_off),
    ("Parts and money", _parts_and_money),
    ("Time and progress", _time_and_progress),
    ("What was noted", _what_was_noted),
    ("What comes next", _what_comes_next),
)
