"""Alembic's entry: runs the steps on the connection that the studio opened."""

from alembic import context

from everyrung.store.tables import Base

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Base.metadata, render_as_batch=True, compare_type=True)
with context.begin_transaction():
    context.run_migrations()
