"""What is filmed, what is attached, what the audience asks, and the frozen record of a build."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

STRICT: dict[str, Any] = {"sqlite_strict": True, "sqlite_autoincrement": True}


def whole(name: str, to: str = "", *, nullable: bool = False) -> sa.Column[Any]:
    """A whole number."""
    return sa.Column(name, sa.Integer(), *([sa.ForeignKey(f"{to}.id")] if to else []), nullable=nullable)


def words(*names: str) -> list[sa.Column[Any]]:
    """Texts."""
    return [sa.Column(name, sa.Text(), nullable=False) for name in names]


def at_least(column: str, least: int) -> sa.CheckConstraint:
    """A rule that a column never falls below `least`."""
    return sa.CheckConstraint(f"{column} >= {least}", name=f"{column}_at_least_{least}")


def table(name: str, *parts: Any, indexed: tuple[str, ...] = ()) -> None:
    """A strict table whose rows have numbers that are never used twice."""
    op.create_table(name, sa.Column("id", sa.Integer(), primary_key=True, nullable=False), *parts, **STRICT)
    for one in indexed:
        op.create_index(f"ix_{name}_{one}", name, [one])


def upgrade() -> None:
    """Add the column and the tables."""
    op.add_column("episode", sa.Column("words", sa.Text(), nullable=False, server_default=""))
    table(
        "mark",
        whole("episode_id", to="episode"),
        *words("at", "take"),
        whole("offset_s", nullable=True),
        *words("title"),
        at_least("offset_s", 0),
        indexed=("episode_id",),
    )
    table(
        "shot",
        whole("episode_id", to="episode"),
        whole("position"),
        *words("text", "done_at"),
        indexed=("episode_id",),
    )
    table(
        "audience_question",
        whole("build_id", to="build"),
        whole("episode_id", to="episode", nullable=True),
        *words("at", "asked_by", "text", "answer", "answered_at"),
        indexed=("build_id", "episode_id"),
    )
    table(
        "attachment",
        *words("at", "sha256", "name", "media", "caption"),
        whole("size"),
        *(whole(f"{one}_id", to=one, nullable=True) for one in ABOUT),
        at_least("size", 0),
        indexed=tuple(f"{one}_id" for one in ABOUT),
    )
    table(
        "as_built",
        sa.Column("build_id", sa.Integer(), sa.ForeignKey("build.id"), nullable=False, unique=True),
        *words("at", "sha256", "record"),
    )


ABOUT = ("build", "assembly", "step", "part", "episode", "snag", "reading", "entry")


def downgrade() -> None:
    """Take them away, with what is in them."""
    for name in ("as_built", "attachment", "audience_question", "shot", "mark"):
        op.drop_table(name)
    op.drop_column("episode", "words")
