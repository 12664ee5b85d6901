"""Whether an upload may leave out much of the fleet, and what was wrong with a list that was refused."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Uploads of before say nothing of either."""
    op.add_column("revisions", sa.Column("withdraw", sa.Integer, nullable=False, server_default="0"))
    op.add_column("revisions", sa.Column("problem", sa.Text, nullable=False, server_default=""))


def downgrade() -> None:
    """Take both away."""
    with op.batch_alter_table("revisions") as revisions:
        revisions.drop_column("problem")
        revisions.drop_column("withdraw")
