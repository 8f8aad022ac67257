"""What holds a step, in words: each thing by its name, with what would release it and where that is done."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from buildbook.answers.standing import stand
from buildbook.answers.until import clock_time, day_said
from buildbook.reckon.readiness import (
    BEFORE,
    BEGUN,
    DONE,
    HELD,
    IN_HAND,
    NO_CHECK,
    OUT,
    PARTS,
    QUESTION,
    READY,
    TAKEN,
    UNREAD,
    UNSIGNED,
    WAIT,
    WAITING,
    Reason,
    Standing,
)
from buildbook.store.read.standing import BuildRow
from buildbook.trade.moments import moment_of

if TYPE_CHECKING:
    from buildbook.store.read.bench import StepRow
    from buildbook.store.read.order import Order
    from buildbook.store.workshop import Workshop

# Under which of these a step that is held by several things is counted: the first that applies.
COUNTED = (
    ((BEFORE, BEGUN), "for an earlier step", "for earlier steps"),
    ((WAIT, TAKEN), "for a wait", "for waits"),
    ((UNSIGNED, NO_CHECK), "for a signature", "for signatures"),
    ((PARTS,), "for parts", "for parts"),
    ((QUESTION,), "for an open question", "for open questions"),
    ((UNREAD, OUT), "for a reading", "for readings"),
)
WAITS = {"dry": "dries", "cure": "cures", "soak": "soaks", "cool": "cools", "charge": "charges"}


@dataclass(frozen=True, slots=True)
class Held:
    """One thing that holds a step. `kind` is one of those of readiness; `what` names it in the fewest words.

    `release` says in a sentence what would release it; `where` is the place of the workshop where that is done, and
    `key` what is meant there: a step as BUILD NUMBER, a section, a part, a question, a test point. `until` is when a
    wait is over.
    """

    kind: str
    what: str
    release: str
    where: str
    key: str
    until: str


class Lacking(NamedTuple):
    """A line that is not kitted: how many pieces are missing, how many of these are short or coming, and until when."""

    key: str
    refs: str
    section: str
    missing: int
    short: int
    coming: int
    due_on: str


PartHolds = Mapping[int, Mapping[int, Lacking]]


def lines_lacking(shop: Workshop, builds: Sequence[BuildRow], found: Order, sections: Mapping[int, str]) -> PartHolds:
    """The lines that steps fit and that are not kitted in full, by build and line."""
    if not found.fitted:
        return {}
    standing = stand(shop, closely=[one.id for one in builds], parts={row.part for row in found.fitted})
    named = {row.line: row for row in found.fitted}
    lacking: dict[int, dict[int, Lacking]] = {}
    for build in builds:
        for need, share in standing.lines_of(build.id):
            missing = need.need - need.fitted - need.kitted
            if need.line in named and missing > 0 and need.assembly in sections:
                row = named[need.line]
                coming = sum(due.qty for due in share.coming)
                lacking.setdefault(build.id, {})[need.line] = Lacking(
                    row.key, row.refs, sections[need.assembly], missing, share.short, coming, standing.due(share)
                )
    return lacking


def part_reasons(found: Order, lacking: Mapping[int, Lacking]) -> dict[int, list[Reason]]:
    """The steps that lines not kitted hold."""
    holds: dict[int, list[Reason]] = {}
    for row in found.fitted:
        if row.line in lacking:
            holds.setdefault(row.step, []).append(Reason(PARTS, row.line))
    return holds


class Names(NamedTuple):
    """What the things are called that hold the steps of one build."""

    build: str
    steps: Mapping[int, StepRow]
    places: Mapping[int, str]
    standing: Mapping[int, Standing]
    lacking: Mapping[int, Lacking]
    questions: Mapping[int, str]
    points: Mapping[int, str]
    now: int

    def held(self, reason: Reason) -> Held:
        """One reason in words."""
        number = reason.number
        if reason.kind == PARTS:
            return self._parts(self.lacking[number])
        if reason.kind == QUESTION:
            code = self.questions[number]
            return Held(QUESTION, f"question {code}", f"Settle the question {code}.", "Checks", code, "")
        if reason.kind in (UNREAD, OUT):
            point = self.points[number]
            said = f"reading {point} not taken" if reason.kind == UNREAD else f"reading {point} out of limits"
            how = "Take the reading" if reason.kind == UNREAD else "Cure it and read again"
            return Held(reason.kind, said, f"{how} at {point}.", "Checks", point, "")
        if reason.kind == NO_CHECK:
            what, release = (
                "no safety check stands before it",
                "Put a hold point of safety checks before it, and sign it.",
            )
            return Held(NO_CHECK, what, release, "Bench", f"{self.build} {number}", "")
        return self._step(reason)

    def _parts(self, line: Lacking) -> Held:
        what = line.refs or line.key
        if line.short:
            said = f"{what}: {line.short} short"
            return Held(PARTS, said, f"Order {line.key}, of which {line.short} is short.", "Buying", line.key, "")
        if line.coming:
            due = f", due {day_said(line.due_on)}" if line.due_on else ""
            return Held(
                PARTS, f"{what}: {line.coming} coming{due}", f"Receive {line.key}{due}.", "Buying", line.key, ""
            )
        return Held(PARTS, f"{what} not kitted", f"Kit {line.section}.", "Boards", line.section, "")

    def _step(self, reason: Reason) -> Held:
        step, place = self.steps[reason.number], self.places[reason.number]
        until = clock_time(reason.until, self.now) if reason.until is not None else ""
        what, release = step.name, f"Finish {place}."
        if reason.kind == BEGUN:
            release = f"Begin {place}."
        elif reason.kind == UNSIGNED:
            what, release = f"{step.name}, not signed", f"Sign what was checked at {place}."
            if self.standing[reason.number].state not in (DONE, WAITING):
                release = f"Finish {place}, and sign what was checked there."
        elif reason.kind == WAIT:
            what, release = f"{step.name}, until {until}", f"Leave it alone until {until}."
        elif reason.kind == TAKEN:
            how = WAITS.get(step.wait_kind, "waits")
            what, release = f"{step.name} {how} until {until}", f"{place} {how} until {until}; leave it alone."
        elif self.standing[reason.number].state == HELD:
            release = f"{place} is held itself: look there first."
        elif self.standing[reason.number].state == READY:
            release = f"{place} is ready: finish it."
        elif self.standing[reason.number].state == IN_HAND:
            release = f"{place} is in hand: finish it."
        key = f"{self.build} {reason.number}"
        return Held(reason.kind, what, release, "Bench", key, moment_of(reason.until))


def summed_up(held: Iterable[Sequence[Reason]]) -> str:
    """What holds steps, each step counted once: " for earlier steps", or ": 5 for parts, 1 for a reading"."""
    counts = [0] * len(COUNTED)
    for reasons in held:
        kinds = {reason.kind for reason in reasons}
        counts[next(at for at, (those, _, _) in enumerate(COUNTED) if kinds & set(those))] += 1
    rows = zip(counts, COUNTED, strict=True)
    said = [(count, one if count == 1 else many) for count, (_, one, many) in rows if count]
    return f" {said[0][1]}" if len(said) == 1 else ": " + ", ".join(f"{count} {words}" for count, words in said)
