"""Run by alembic for each command: the connection comes from the caller."""

from __future__ import annotations

from alembic import context

from tankful.desk.store.tables import meta


def run() -> None:
    """Run the steps in the caller's transaction. SQLite changes columns by making a table anew."""
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=meta,
        render_as_batch=True,
    )
    context.run_migrations()


if hasattr(context, "config"):  # false when merely imported
    run()
