"""Runs the steps on the connection that `trialfit.store.database.migrate` hands over."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], render_as_batch=True)
context.run_migrations()
