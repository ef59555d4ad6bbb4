"""Alembic comes in here; the connection is the one that the mark book holds open."""

from alembic import context

from exercises.book.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
)
context.run_migrations()
