"""Who signed which hold point, and what a signature there confirms. It says what was checked, and nothing more."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from buildbook.reckon.power import checks_before
from buildbook.store.read import order as read
from buildbook.store.read.kitting import inside
from buildbook.store.read.workshop import settings

if TYPE_CHECKING:
    from buildbook.answers.bench import StepRow
    from buildbook.store.workshop import Workshop

SIGNER = "signer"
"""The setting that remembers who signed last."""


class HoldPointRow(NamedTuple):
    """A hold point: how it stands, what its signature confirms, and who signed what and when, if anybody."""

    step: int
    place: str
    name: str
    work: str
    state: str
    confirms: tuple[str, ...]
    signed_at: str
    signed_by: str
    signed: str


def last_signer(shop: Workshop) -> str:
    """Who signed last, or nobody yet."""
    return settings(shop.reads).get(SIGNER, "")


def hold_points(rows: Iterable[StepRow], steps: Iterable[int] | None = None) -> tuple[HoldPointRow, ...]:
    """The hold points among these rows of the Bench; only those of the steps named, where they are."""
    wanted = None if steps is None else set(steps)
    return tuple(
        HoldPointRow(
            row.step, row.place, row.name, row.work, row.state, row.confirms, row.signed_at, row.signed_by, row.signed
        )
        for row in rows
        if row.hold_point and (wanted is None or row.step in wanted)
    )


def checks_before_step(shop: Workshop, build_id: int, assembly: int, step: int) -> list[int]:
    """The safety hold points that come before a step of a build of that assembly."""
    found, tree = read.order(shop.reads), inside(shop.reads, assembly)
    steps = read.by_work(found, tree, build_id)
    return [one.id for one in checks_before(step, steps, read.links(found, tree))]


def signature_said(by: str, checked: str) -> str:
    """A signature in words: "by the builder: bare metal over the whole washer".

    >>> signature_said("", "Looked at."), signature_said("K. Lund", "Looked at.")
    ('Looked at.', 'by K. Lund: Looked at.')
    """
    return f"by {by}: {checked}" if by else checked
