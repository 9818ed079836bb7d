"""What alembic runs: the revisions, on the connection that it is given."""

from alembic import context

from app.archive.tables import metadata

context.configure(connection=context.config.attributes["connection"], target_metadata=metadata)
context.run_migrations()
