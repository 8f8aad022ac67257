"""The supply budget as it is drawn: fuses, cores, windings and rails with their limits, and what draws on them."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Integer, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, later, link, whole, words


class Supply(Row, table=True):
    """A fuse, core, winding or rail of a project, fed by another or by nothing.

    Voltages are in microvolts. `limit_micro` is in microamps, of a core in microvoltamperes; nothing where it is not
    known. `factor_ppm` is a rectifier's factor or a switching regulator's efficiency, in millionths.
    """

    __tablename__ = "supply"
    __table_args__ = (
        UniqueConstraint("project_id", "code"),
        CheckConstraint("kind IN ('fuse', 'core', 'winding', 'rail')", name="kind_known"),
        CheckConstraint("way IN ('straight', 'rectifier', 'linear', 'switching')", name="way_known"),
        CheckConstraint("fed_by_id <> id", name="not_fed_by_itself"),
        at_least("volts_uv", 0),
        at_least("limit_micro", 1),
        at_least("factor_ppm", 1),
        at_least("alike", 1),
        CheckConstraint("keep_free_bp BETWEEN 0 AND 10000", name="keep_free_in_percent"),
        STRICT,
    )
    project_id: int = link("project", index=False)
    fed_by_id: int | None = link("supply", optional=True)
    code: str = words(...)
    name: str = words()
    kind: str = words(...)
    volts_uv: int = whole(0)
    limit_micro: int | None = whole(None, nullable=True)
    keep_free_bp: int = whole(0)
    way: str = words("straight")
    circuit: str = words()
    factor_ppm: int | None = whole(None, nullable=True)
    alike: int = whole(1)
    note: str = words()
    tolerance_bp: int = later(Integer, 0)


class SupplyLoad(Row, table=True):
    """What draws on a supply: microamps or microwatts each, neither where it is not known; on for part of the time."""

    __tablename__ = "supply_load"
    __table_args__ = (
        at_least("qty", 1),
        at_least("current_ua", 0),
        at_least("power_uw", 0),
        CheckConstraint("current_ua IS NULL OR power_uw IS NULL", name="current_or_power"),
        CheckConstraint("duty_bp BETWEEN 0 AND 10000", name="duty_in_percent"),
        STRICT,
    )
    supply_id: int = link("supply")
    assembly_id: int | None = link("assembly", optional=True)
    option_id: int | None = link("choice_option", optional=True)
    name: str = words(...)
    qty: int = whole(1)
    current_ua: int | None = whole(None, nullable=True)
    power_uw: int | None = whole(None, nullable=True)
    duty_bp: int = whole(10000)
    note: str = words()
