"""The stage of each boat beside her result."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

READY = tuple(sa.table(name) for name in ("findings", "requirements", "results", "entries"))


def upgrade() -> None:
    """Add the column; answers that were made ready without it are made again when they are asked for."""
    for table in READY:
        op.execute(sa.delete(table))
    op.add_column("results", sa.Column("stage", sa.String(20), nullable=False, server_default=""))


def downgrade() -> None:
    """Take the column away."""
    with op.batch_alter_table("results") as results:
        results.drop_column("stage")
