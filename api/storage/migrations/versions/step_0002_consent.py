"""How boats get their parts, and what they paid."""

import sqlalchemy as sa
from alembic import op

from api.storage.migrations.versions.step_0001_baseline import has, key, words

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the two tables."""
    op.create_table(
        "supplies",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("word", words(40)), has("day", words(10)),
        has("said_by", words(120)), has("source", words(12)), has("price", words(20)),
        has("currency", words(12)), has("made_at", words(32)), has("made_by", words(80)),
    )  # fmt: skip
    op.create_table(
        "payments",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("boat_name", sa.Text),
        has("kind", words(12)), has("amount", words(20)), has("currency", words(12)), has("day", words(10)),
        has("paid_by", words(120)), has("reference", words(80)), has("made_at", words(32)),
        has("made_by", words(80)),
    )  # fmt: skip


def downgrade() -> None:
    """Take them away, and what they hold."""
    op.drop_table("payments")
    op.drop_table("supplies")
