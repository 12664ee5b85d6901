"""Inspections, waivers, order files, jobs, and the answers kept for repeated writes."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "answered",
        sa.Column("token_id", sa.String(length=20), nullable=False),
        sa.Column("key", sa.String(length=128), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("headers", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.PrimaryKeyConstraint("token_id", "key", name=op.f("pk_answered")),
    )
    op.create_table(
        "inspections",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("boat_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("measured", sa.Text(), nullable=False),
        sa.Column("photo", sa.String(length=200), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made_at", sa.String(length=32), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("token_id", sa.String(length=20), nullable=False),
        sa.Column("signed_at", sa.String(length=32), nullable=True),
        sa.Column("signed_by", sa.String(length=80), nullable=True),
        sa.Column("withdrawn_at", sa.String(length=32), nullable=True),
        sa.Column("withdrawn_by", sa.String(length=80), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_inspections_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inspections")),
        sa.UniqueConstraint("fleet_id", "number", name=op.f("uq_inspections_fleet_id")),
    )
    op.create_index("ix_inspections_boat", "inspections", ["fleet_id", "boat_id"], unique=False)
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("stage", sa.String(length=120), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("asked_by", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.String(length=32), nullable=False),
        sa.Column("beat_at", sa.Float(), nullable=False),
        sa.Column("finished_at", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_jobs_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_index("ix_jobs_state", "jobs", ["state", "created_at"], unique=False)
    op.create_table(
        "order_files",
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.String(length=32), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_order_files_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("fleet_id", "name", name=op.f("pk_order_files")),
    )
    op.create_table(
        "waivers",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("boat_id", sa.String(length=64), nullable=False),
        sa.Column("entry_no", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("check_id", sa.String(length=80), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("officer", sa.String(length=120), nullable=False),
        sa.Column("until", sa.String(length=10), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("made_at", sa.String(length=32), nullable=False),
        sa.Column("made_by", sa.String(length=80), nullable=False),
        sa.Column("withdrawn_at", sa.String(length=32), nullable=True),
        sa.Column("withdrawn_by", sa.String(length=80), nullable=True),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_waivers_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_waivers")),
        sa.UniqueConstraint("fleet_id", "number", name=op.f("uq_waivers_fleet_id")),
    )


def downgrade() -> None:
    """Take the tables away, and what they hold."""
    op.drop_table("waivers")
    op.drop_table("order_files")
    op.drop_index("ix_jobs_state", table_name="jobs")
    op.drop_table("jobs")
    op.drop_index("ix_inspections_boat", table_name="inspections")
    op.drop_table("inspections")
    op.drop_table("answered")
