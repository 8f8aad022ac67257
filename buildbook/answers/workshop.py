"""The workshop as a whole: how it stands, whether its file is sound, and its settings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from buildbook.answers.bench import StepsOfBuild, count_steps
from buildbook.answers.form import Answer, count_of, join_words
from buildbook.answers.standing import builds_that_count
from buildbook.store.read import workshop as read
from buildbook.trade import fuses
from buildbook.trade.derating import SETTING, USUAL, show_share
from buildbook.trade.derating import SETTINGS as DERATINGS
from buildbook.trade.money import DEFAULT_CURRENCY

if TYPE_CHECKING:
    import sqlite3
    from pathlib import Path

    from buildbook.errors import StoreFault
    from buildbook.store.checkup import Proof
    from buildbook.store.workshop import Workshop

MOST_CODES = 200
MEANINGS = {
    "currency": "in which all money is reckoned (ISO 4217); fixed once a price is written down",
    "labour_rate": "price of an hour's work, if it is to count",
    "fuse_window": "between which multiples of the primary current a mains fuse is proposed",
    "landed_cost": "whether what arrives is worth its share of postage, discount and tax: no, yes, without tax",
    **DERATINGS,
}
DEFAULTS = {
    "currency": DEFAULT_CURRENCY,
    "fuse_window": fuses.USUAL,
    "landed_cost": "no",
    **{f"{SETTING}{name}": show_share(usual.share) for name, usual in USUAL.items()},
}


@dataclass(frozen=True, slots=True)
class BuildRow:
    """One build planned or under way, with how many of its steps are done."""

    build: str
    project: str
    name: str
    units: int
    state: str
    target_on: str
    steps: int
    steps_done: int
    steps_ready: int


@dataclass(frozen=True, slots=True)
class Overview(Answer):
    """How the workshop stands."""

    SCHEMA: ClassVar[str] = "buildbook.overview/1"
    rows: tuple[BuildRow, ...]
    projects: int
    parts: int
    bins: int
    open_questions: int
    last_at: str
    last_done: str


def overview(shop: Workshop) -> Overview:
    """Every build planned or under way, and how much lies in the drawers."""
    counts = read.counts(shop.reads)
    steps = count_steps(shop)
    rows = tuple(
        BuildRow(
            build=build.code,
            project=build.project,
            name=build.name,
            units=build.units,
            state=build.state,
            target_on=build.target_on,
            steps=steps[build.id].steps,
            steps_done=steps[build.id].done,
            steps_ready=steps[build.id].ready,
        )
        for build in builds_that_count(shop)
    )
    last_at, last_done = read.last_action(shop.reads)
    return Overview(
        sentence=_sentence(rows, counts, list(steps.values())),
        rows=rows,
        projects=counts.projects,
        parts=counts.parts,
        bins=counts.bins,
        open_questions=counts.open_questions,
        last_at=last_at,
        last_done=last_done,
    )


def _sentence(rows: tuple[BuildRow, ...], counts: read.Counts, steps: list[StepsOfBuild]) -> str:
    if not counts.projects and not counts.parts:
        return "The workshop is empty."
    said = [count_of(len(rows), "build") + " planned or under way"]
    if any(one.steps for one in steps):
        said.append(f"{count_of(sum(one.ready for one in steps), 'step')} ready")
    said.append(f"{count_of(counts.open_questions, 'question')} open")
    said.append(f"{count_of(counts.parts, 'part')} in {count_of(counts.bins, 'bin')}")
    return ", ".join(said)[0].upper() + ", ".join(said)[1:] + "."


@dataclass(frozen=True, slots=True)
class Checkup(Answer):
    """What was proved of the file, and what failed."""

    SCHEMA: ClassVar[str] = "buildbook.checkup/1"
    holds: bool
    rows: tuple[Proof, ...]


def checkup(shop: Workshop) -> Checkup:
    """Prove all that can be proved of the workshop file."""
    from buildbook.store.checkup import check

    proofs = check(shop)
    failed = [proof.name for proof in proofs if not proof.holds]
    if failed:
        sentence = f"The workshop is damaged: {len(failed)} of {len(proofs)} proofs fail ({join_words(failed)})."
    else:
        sentence = f"The workshop is sound: all {len(proofs)} proofs hold."
    return Checkup(sentence, not failed, proofs)


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One setting; `value` is empty while it has not been set."""

    key: str
    value: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Settings(Answer):
    """The settings of the workshop."""

    SCHEMA: ClassVar[str] = "buildbook.settings/1"
    rows: tuple[SettingRow, ...]


def settings(shop: Workshop) -> Settings:
    """Every setting there is, set or not; `labour_rate` is in millionths of the currency."""
    known = {**DEFAULTS, **read.settings(shop.reads)}
    rows = tuple(SettingRow(key, known.get(key, ""), meaning) for key, meaning in MEANINGS.items())
    unset = [row.key for row in rows if not row.value]
    said = f"{join_words(unset)} {'is' if len(unset) == 1 else 'are'} not set" if unset else "all are set"
    return Settings(f"{count_of(len(rows), 'setting')}: {said}.", rows)


def codes(shop: Workshop, kind: str, begun: str) -> list[tuple[str, str]]:
    """Codes of a build, assembly, choice or part (`kind`) that begin so, with names; in small letters if typed so."""
    found = read.codes(shop.reads, kind, begun, MOST_CODES)
    if begun.islower():
        return [(code.lower(), name) for code, name in found]
    return found


def changes_seen(shop: Workshop) -> int:
    """A number that is another one after somebody else has written to the file."""
    return int(shop.reads.execute("PRAGMA data_version").fetchone()[0])


def trouble(path: Path, error: sqlite3.Error) -> StoreFault:
    """What SQLite said of the file while it was read, as one sentence each of what, why and what to do."""
    from buildbook.store.workshop import fault

    return fault(path, error)
