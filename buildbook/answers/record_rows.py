"""What the record of a build is made of; it is kept as JSON, so that its shapes are its own and only ever grow."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Section:
    """One assembly of the build, `depth` deep in its tree, made `count` times; `state` in a word."""

    code: str
    name: str
    kind: str
    depth: int
    count: int
    state: str


@dataclass(frozen=True, slots=True)
class PartLine:
    """A line of a parts list; quantities in base units of `unit`."""

    section: str
    refs: str
    key: str
    kind: str
    name: str
    value: str
    package: str
    maker_number: str
    unit: str
    qty: int
    need: int
    fitted: int
    state: str
    option: str
    note: str


@dataclass(frozen=True, slots=True)
class Held:
    """A part as it was taken for a line, perhaps a stand-in; `worth_micros` in millionths of the currency."""

    section: str
    refs: str
    wanted: str
    key: str
    value: str
    unit: str
    qty: int
    worth_micros: int
    unpriced_qty: int


@dataclass(frozen=True, slots=True)
class Bought:
    """An order row of a part of the build; None where its price was not written down."""

    key: str
    supplier: str
    order_code: str
    ref: str
    placed_on: str
    unit: str
    qty: int
    received_qty: int
    price_micros: int | None
    per_qty: int


@dataclass(frozen=True, slots=True)
class Worked:
    """A step: what it was thought to take and took (None: not kept), when, who signed what, what to mind."""

    section: str
    place: str
    name: str
    work: str
    state: str
    likely_min: int
    minutes: int | None
    wait_low_min: int
    wait_high_min: int
    tools: str
    one_way: bool
    hold_point: bool
    caution: str
    started_at: str
    finished_at: str
    signed_at: str
    signed_by: str
    signed: str
    early: str


@dataclass(frozen=True, slots=True)
class Done:
    """A step done, and the minutes of hands-on time it was thought to take."""

    at: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Answered:
    """A candidate answer to a question of the design."""

    code: str
    name: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Chosen:
    """A question of the design: open, chosen or shelved, with the reason."""

    code: str
    question: str
    state: str
    reason: str
    answers: tuple[Answered, ...]


@dataclass(frozen=True, slots=True)
class SupplyAnswer:
    """How a supply would stand with an answer; `load_micro` in millionths of the supply's unit."""

    answer: str
    chosen: bool
    load_micro: int
    state: str
    said: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """What draws on a supply, in words."""

    name: str
    section: str
    option: str
    counts: bool
    qty: int
    said: str


@dataclass(frozen=True, slots=True)
class Supplied:
    """One supply, in millionths of `unit`; `percent` of the limit, None where that is not known."""

    code: str
    kind: str
    name: str
    depth: int
    unit: str
    limit_micro: int | None
    load_micro: int
    all_on_micro: int
    keep_free_micro: int
    percent: int | None
    state: str
    said: str
    made: str
    fuse: str
    note: str
    answers: tuple[SupplyAnswer, ...]
    loads: tuple[Drawn, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """A rating, a switch or a bank of capacitors as it was weighed, in words."""

    kind: str
    place: str
    name: str
    state: str
    said: str
    note: str


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading: what was typed, what it is in SI units, and how it stands in its limits."""

    at: str
    text: str
    value: float
    state: str
    note: str


@dataclass(frozen=True, slots=True)
class Point:
    """A test point of one unit, with its limits (SI units and words) and all readings, the oldest first."""

    section: str
    code: str
    name: str
    unit: str
    unit_number: int
    units: int
    nominal: float | None
    low: float | None
    high: float | None
    limits: str
    condition: str
    caution: str
    standard: str
    source: str
    state: str
    said: str
    readings: tuple[Taken, ...]


@dataclass(frozen=True, slots=True)
class CostShare:
    """What a section costs, in millionths of the currency."""

    name: str
    spent: int
    in_stock: int
    ordered: int
    to_spend: int
    total: int
    unpriced_lines: int


@dataclass(frozen=True, slots=True)
class Cost:
    """What the build costs, in millionths of `currency`."""

    currency: str
    said: str
    total_micros: int
    per_unit_micros: int
    spent_micros: int
    in_stock_micros: int
    ordered_micros: int
    to_spend_micros: int
    labour_minutes: int
    labour_micros: int
    consumables_micros: int
    sections: tuple[CostShare, ...]
    unpriced: tuple[str, ...]
