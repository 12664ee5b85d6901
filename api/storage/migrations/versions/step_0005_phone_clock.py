"""When something was seen aboard, by the clock of the phone it was entered on; what is there has none.

The trail needs no step: the time stands in what a record tells, which its hash covers as it always did.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column."""
    op.add_column("inspections", sa.Column("observed_at_phone_clock", sa.String(length=32), nullable=True))


def downgrade() -> None:
    """Take the column away, and what it holds; the trail goes on telling it, and stays whole."""
    with op.batch_alter_table("inspections") as inspections:
        inspections.drop_column("observed_at_phone_clock")
