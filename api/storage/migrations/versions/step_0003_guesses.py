"""Wrong tokens by source address, so that a lock-out counts for every process and over a restart."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "guesses",
        sa.Column("source", sa.String(length=64), nullable=False),
        sa.Column("wrong", sa.Integer(), nullable=False),
        sa.Column("locked", sa.Integer(), nullable=False),
        sa.Column("forget_at", sa.Float(), nullable=False),
        sa.PrimaryKeyConstraint("source", name=op.f("pk_guesses")),
    )
    op.create_index("ix_guesses_forget_at", "guesses", ["forget_at"], unique=False)


def downgrade() -> None:
    """Take the table away, and what it holds."""
    op.drop_index("ix_guesses_forget_at", table_name="guesses")
    op.drop_table("guesses")
