"""Runs the migrations on the connection that the store hands over."""

from alembic import context
from sqlmodel import SQLModel

from buildbook.store import tables  # noqa: F401  (fills the metadata)

connection = context.config.attributes["connection"]
context.configure(
    connection=connection, target_metadata=SQLModel.metadata, render_as_batch=True, transactional_ddl=True
)
context.run_migrations()
