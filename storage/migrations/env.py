"""Where Alembic gets the connection: from whoever runs the upgrade, whose transaction it is."""

from alembic import context

from storage.tables import METADATA

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=METADATA)
context.run_migrations()
