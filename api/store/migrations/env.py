"""Run by Alembic: migrate by the connection that was handed over, inside its transaction."""

from alembic import context

from api.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
