"""When a job is due, so that one site follows many inspections; jobs that wait already are due at once."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column."""
    op.add_column("jobs", sa.Column("due_at", sa.Float(), nullable=False, server_default="0"))


def downgrade() -> None:
    """Take the column away: waiting jobs are done at once then."""
    with op.batch_alter_table("jobs") as jobs:
        jobs.drop_column("due_at")
