"""Runs the steps on the connection it is handed; whoever hands it over begins and ends the transaction."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
