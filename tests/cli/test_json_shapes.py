"""The shapes of all answers as JSON: each has a name and a version, and does not change by accident."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest

import buildbook.answers
from buildbook.answers.form import Answer, as_json

DEVELOPERS = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"

# A change here is a change for everybody who reads the JSON: take out or rename nothing without a new version.
FIELDS: dict[str, tuple[str, ...]] = {
    "buildbook.agenda/1": ("sentence", "asked_at", "rows", "assumed"),
    "buildbook.audience/1": ("sentence", "rows"),
    "buildbook.attachments/1": ("sentence", "rows"),
    "buildbook.bench-hours/1": ("sentence", "hours", "exceptions", "zone", "assumed", "rows"),
    "buildbook.captions/1": ("sentence", "build", "number", "rows"),
    "buildbook.chapters/1": ("sentence", "build", "number", "take", "rows", "told"),
    "buildbook.draft/1": (
        "sentence",
        "build",
        "number",
        "title",
        "opened_at",
        "closed_at",
        "recap",
        "words",
        "sections",
        "figures",
    ),
    "buildbook.finish-date/1": (
        "sentence",
        "build",
        "asked_at",
        "target_on",
        "likely",
        "safe",
        "chance",
        "steps_left",
        "minutes_left",
        "pace_ratio",
        "pace_steps",
        "rows",
        "drivers",
        "gains",
        "deliveries",
        "without",
        "assumed",
        "curve",
        "done",
    ),
    "buildbook.marks/1": ("sentence", "build", "number", "rows"),
    "buildbook.shots/1": ("sentence", "build", "number", "rows"),
    "buildbook.tonight/1": ("sentence", "start", "end", "rows", "not_tonight", "assumed", "finish", "gap"),
    "buildbook.order/1": ("sentence", "rows", "dismissed"),
    "buildbook.column-sets/1": ("sentence", "rows", "known"),
    "buildbook.order-sum/1": (
        "sentence",
        "ref",
        "supplier",
        "state",
        "currency",
        "total_micros",
        "foreign_currency",
        "rate",
        "foreign_total_micros",
        "basis",
        "rows",
    ),
    "buildbook.price-history/1": ("sentence", "key", "unit", "rows"),
    "buildbook.suppliers/1": ("sentence", "rows", "rates"),
    "buildbook.recipes/1": ("sentence", "rows"),
    "buildbook.why-step/1": (
        "sentence",
        "build",
        "place",
        "step",
        "name",
        "state",
        "until",
        "best_at",
        "one_way",
        "terms",
        "closes_off",
        "hold_points",
    ),
    "buildbook.before-buying/1": ("sentence", "key", "unit", "rows"),
    "buildbook.bench/2": ("sentence", "rows", "progress"),
    "buildbook.board/1": ("sentence", "build", "code", "name", "kind", "count", "kit", "lines", "steps", "snags"),
    "buildbook.boards/1": ("sentence", "rows"),
    "buildbook.checks/1": (
        "sentence",
        "rows",
        "points",
        "snags",
        "beyond",
        "supplies",
        "ratings",
        "rated_boards",
        "banks",
        "contacts",
    ),
    "buildbook.checkup/1": ("sentence", "holds", "rows"),
    "buildbook.contacts/1": ("sentence", "rows"),
    "buildbook.cost-truth/1": (
        "sentence",
        "build",
        "currency",
        "planned_micros",
        "spent_micros",
        "to_come_micros",
        "not_compared_micros",
        "difference",
        "price",
        "quantity",
        "lost_micros",
        "postage",
        "sections",
        "rows",
    ),
    "buildbook.cost/1": (
        "sentence",
        "build",
        "currency",
        "units",
        "total_micros",
        "per_unit_micros",
        "spent_micros",
        "in_stock_micros",
        "ordered_micros",
        "to_spend_micros",
        "outlay_micros",
        "labour_minutes",
        "labour_micros",
        "consumables_micros",
        "sections",
        "kinds",
        "suppliers",
        "at_units",
        "unpriced",
        "open_questions",
    ),
    "buildbook.combine/1": (
        "sentence",
        "project",
        "build",
        "currency",
        "questions",
        "combinations",
        "struck",
        "left",
        "rows",
    ),
    "buildbook.could-make/1": ("sentence", "code", "from_all", "from_free", "missing"),
    "buildbook.cover-over-time/1": (
        "sentence",
        "key",
        "name",
        "unit",
        "asked_at",
        "on_hand",
        "spoken_for",
        "free",
        "wanted",
        "short",
        "covered_on",
        "rows",
        "arrivals",
        "builds",
    ),
    "buildbook.discharge/1": ("sentence", "rows", "caution"),
    "buildbook.episode/1": ("sentence", "build", "number", "title", "opened_at", "closed_at", "recap", "rows"),
    "buildbook.found/1": ("sentence", "rows", "total", "within"),
    "buildbook.landed/1": (
        "sentence",
        "order",
        "supplier",
        "currency",
        "goods_micros",
        "discount_micros",
        "shipping_micros",
        "shipping_from",
        "tax_micros",
        "tax_from",
        "total_micros",
        "carried_micros",
        "into_stock",
        "rows",
    ),
    "buildbook.log/1": ("sentence", "rows", "total", "open_episodes"),
    "buildbook.make/1": ("sentence", "kind", "wanted", "tolerance_percent", "volts", "watts", "rows", "remarks"),
    "buildbook.matters/1": ("sentence", "currency", "rows"),
    "buildbook.offered/1": ("sentence", "key", "unit", "currency", "rows"),
    "buildbook.order-plan/1": (
        "sentence",
        "builds",
        "goal",
        "currency",
        "total_micros",
        "parcels",
        "complete_days",
        "complete_on",
        "proven",
        "bound_micros",
        "gap_micros",
        "over_micros",
        "rows",
        "bills",
        "naive",
        "nobody",
        "left_out",
        "stood_in",
        "in_drafts",
    ),
    "buildbook.orders/1": ("sentence", "rows", "sums", "currency"),
    "buildbook.overview/1": ("sentence", "rows", "projects", "parts", "bins", "open_questions", "last_at", "last_done"),
    "buildbook.ratings/1": ("sentence", "rows", "boards", "remarks"),
    "buildbook.record/1": (
        "sentence",
        "build",
        "project",
        "name",
        "units",
        "target_on",
        "day",
        "frozen_at",
        "note",
        "project_note",
        "sections",
        "lines",
        "held",
        "bought",
        "work",
        "done",
        "choices",
        "supplies",
        "weighed",
        "points",
        "snags",
        "cost",
        "safety_said",
        "cautions",
        "episodes",
        "attached",
    ),
    "buildbook.safety/1": ("sentence", "build", "powers", "hold_points", "points", "banks", "cautions"),
    "buildbook.point-history/1": (
        "sentence",
        "point",
        "name",
        "unit",
        "limits",
        "readings",
        "beyond",
        "mean",
        "spread",
        "lowest",
        "highest",
        "margin",
        "rows",
    ),
    "buildbook.settings/1": ("sentence", "rows"),
    "buildbook.sheet/1": ("sentence", "rows"),
    "buildbook.short/1": ("sentence", "scope", "rows"),
    "buildbook.snag-habits/1": ("sentence", "rows", "rule"),
    "buildbook.snags/1": ("sentence", "rows", "totals"),
    "buildbook.stores/1": ("sentence", "currency", "worth_micros", "rows"),
    "buildbook.supply/1": ("sentence", "rows"),
    "buildbook.switch/1": (
        "sentence",
        "load_amps",
        "drive_volts",
        "base_volts",
        "beta",
        "base_amps",
        "exact_ohms",
        "rows",
        "on_ohms",
        "lost_watts",
        "rule",
        "caution",
    ),
    "buildbook.to-order/1": ("sentence", "currency", "total_micros", "rows", "unpriced"),
    "buildbook.value/1": ("sentence", "text", "readings"),
    "buildbook.weigh/1": (
        "sentence",
        "project",
        "question",
        "asks",
        "state",
        "build",
        "currency",
        "against",
        "rows",
    ),
    "buildbook.where/1": (
        "sentence",
        "key",
        "name",
        "value",
        "unit",
        "on_hand",
        "free",
        "currency",
        "worth_micros",
        "unpriced_qty",
        "bins",
        "builds",
        "uses",
        "stand_ins",
        "coming",
        "movements",
    ),
    "buildbook.why-supplier/1": (
        "sentence",
        "key",
        "currency",
        "supplier",
        "order_code",
        "amount_micros",
        "total_micros",
        "why",
        "next_supplier",
        "next_order_code",
        "next_amount_micros",
        "next_total_micros",
        "dearer_micros",
        "parcels",
        "complete_days",
        "left_out",
        "exact",
    ),
    "buildbook.why/1": ("sentence", "key", "unit", "on_hand", "free", "terms", "remarks"),
}


def answers() -> Iterator[type[Answer]]:
    """Every kind of answer that there is, each in the module where it is defined."""
    for found in pkgutil.iter_modules(buildbook.answers.__path__, "buildbook.answers."):
        module = importlib.import_module(found.name)
        for kind in vars(module).values():
            if isinstance(kind, type) and issubclass(kind, Answer) and kind.__module__ == found.name:
                yield kind


KINDS = {kind.SCHEMA: kind for kind in answers() if kind is not Answer}


def test_every_shape_has_a_name_of_its_own_and_a_version() -> None:
    names = Counter(kind.SCHEMA for kind in answers() if kind is not Answer)
    assert [name for name, count in names.items() if count > 1] == []
    assert [name for name in names if not re.fullmatch(r"buildbook\.[a-z]+(-[a-z]+)*/[1-9][0-9]*", name)] == []


def test_every_shape_is_written_down() -> None:
    assert set(KINDS) == set(FIELDS)


@pytest.mark.parametrize("name", sorted(FIELDS))
def test_a_shape_keeps_its_fields(name: str) -> None:
    assert tuple(field.name for field in fields(KINDS[name])) == FIELDS[name]


@pytest.mark.parametrize("name", sorted(FIELDS))
def test_the_sentence_and_the_name_come_first(name: str) -> None:
    plain = object.__new__(KINDS[name])
    for field in fields(plain):
        object.__setattr__(plain, field.name, ())
    assert tuple(as_json(plain)) == ("sentence", "schema", *FIELDS[name][1:])


@pytest.mark.skipif(not DEVELOPERS.exists(), reason="DEVELOPERS.md is not part of this tree")
def test_the_shapes_are_documented() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    for name, shape in FIELDS.items():
        assert f"`{name}`" in text, name
        row = next(line for line in text.splitlines() if f"`{name}`" in line)
        assert [field for field in shape[1:] if not re.search(rf"\b{field}\b", row)] == [], name
