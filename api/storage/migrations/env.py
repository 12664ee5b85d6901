"""Run by Alembic: the steps go over the connection that was handed in."""

from __future__ import annotations

from alembic import context

from api.storage.schema import metadata


def run_steps() -> None:
    """Take the steps asked for, in the transaction of whoever asked."""
    context.configure(
        connection=context.config.attributes["connection"], target_metadata=metadata, render_as_batch=True
    )
    with context.begin_transaction():
        context.run_migrations()


if hasattr(context, "config"):  # loaded by Alembic, and not only read
    run_steps()
