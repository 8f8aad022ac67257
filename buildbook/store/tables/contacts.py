"""Switches and relays as poles and throws, and the functions that ride on them."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, UniqueConstraint

from buildbook.store.tables.base import STRICT, Row, at_least, link, whole, words


class Contacts(Row, table=True):
    """A switch or relay of a project: so many poles, each with so many throws; the limits are of one contact.

    One that comes with a candidate answer is there while that is the chosen one.
    """

    __tablename__ = "contacts"
    __table_args__ = (
        UniqueConstraint("project_id", "code"),
        CheckConstraint("kind IN ('switch', 'relay')", name="kind_known"),
        at_least("poles", 1),
        at_least("throws", 1),
        at_least("limit_ua", 1),
        at_least("limit_uv", 1),
        STRICT,
    )
    project_id: int = link("project", index=False)
    code: str = words(...)
    name: str = words()
    kind: str = words("switch")
    poles: int = whole(1)
    throws: int = whole(1)
    option_id: int | None = link("choice_option", optional=True)
    limit_ua: int | None = whole(None, nullable=True)
    limit_uv: int | None = whole(None, nullable=True)
    note: str = words()


class ContactUse(Row, table=True):
    """A function that needs poles of a switch or relay; `pole` is the first one that it must have, if it must."""

    __tablename__ = "contact_use"
    __table_args__ = (
        at_least("poles", 1),
        at_least("throws", 1),
        at_least("pole", 1),
        at_least("current_ua", 0),
        at_least("volts_uv", 0),
        STRICT,
    )
    contacts_id: int = link("contacts")
    name: str = words(...)
    poles: int = whole(1)
    throws: int = whole(1)
    pole: int | None = whole(None, nullable=True)
    option_id: int | None = link("choice_option", optional=True)
    assembly_id: int | None = link("assembly", optional=True)
    current_ua: int | None = whole(None, nullable=True)
    volts_uv: int | None = whole(None, nullable=True)
    note: str = words()
