"""Fleets, uploads, boats, what was found, tokens, and the chained trail."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# The trail is added to, never changed: the database itself refuses.
SQLITE_GUARDS = tuple(
    f"CREATE TRIGGER trail_no_{what.lower()} BEFORE {what} ON trail "
    "BEGIN SELECT RAISE(ABORT, 'the trail is append-only'); END"
    for what in ("UPDATE", "DELETE")
)
POSTGRES_GUARDS = (
    "CREATE FUNCTION trail_append_only() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE EXCEPTION 'the trail is append-only'; END $$",
    "CREATE TRIGGER trail_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON trail "
    "FOR EACH STATEMENT EXECUTE FUNCTION trail_append_only()",
)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "fleets",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("created_at", sa.String(length=32), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fleets")),
    )
    op.create_table(
        "tokens",
        sa.Column("id", sa.String(length=20), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=12), nullable=False),
        sa.Column("fleet_id", sa.String(length=40), nullable=True),
        sa.Column("boat_id", sa.String(length=64), nullable=True),
        sa.Column("created_at", sa.String(length=32), nullable=False),
        sa.Column("expires_at", sa.String(length=32), nullable=False),
        sa.Column("revoked_at", sa.String(length=32), nullable=True),
        sa.Column("last_used_at", sa.String(length=32), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tokens")),
        sa.UniqueConstraint("sha256", name=op.f("uq_tokens_sha256")),
    )
    op.create_table(
        "trail",
        sa.Column(
            "seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("role", sa.String(length=12), nullable=False),
        sa.Column("action", sa.String(length=40), nullable=False),
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.Column("after", sa.Text(), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_trail")),
    )
    op.create_table(
        "trail_head",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trail_head")),
    )
    op.create_table(
        "entries",
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("boat_id", sa.String(length=64), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("entry_no", sa.Text(), nullable=False),
        sa.Column("boat_name", sa.Text(), nullable=False),
        sa.Column("sail_no", sa.Text(), nullable=False),
        sa.Column("berth", sa.Text(), nullable=False),
        sa.Column("search", sa.Text(), nullable=False),
        sa.Column("cells", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_entries_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("fleet_id", "boat_id", name=op.f("pk_entries")),
    )
    op.create_table(
        "revisions",
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("filename", sa.String(length=200), nullable=False),
        sa.Column("media_type", sa.String(length=120), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("report", sa.Text(), nullable=False),
        sa.Column("uploaded_at", sa.String(length=32), nullable=False),
        sa.Column("uploaded_by", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(["fleet_id"], ["fleets.id"], name=op.f("fk_revisions_fleet_id_fleets")),
        sa.PrimaryKeyConstraint("fleet_id", "number", name=op.f("pk_revisions")),
    )
    op.create_table(
        "findings",
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("boat_id", sa.String(length=64), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("check_id", sa.String(length=80), nullable=False),
        sa.Column("family", sa.String(length=40), nullable=False),
        sa.Column("level", sa.String(length=8), nullable=False),
        sa.Column("standing", sa.String(length=20), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["fleet_id", "boat_id"],
            ["entries.fleet_id", "entries.boat_id"],
            name=op.f("fk_findings_fleet_id_entries"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("fleet_id", "boat_id", "place", name=op.f("pk_findings")),
    )
    op.create_index("ix_findings_order", "findings", ["fleet_id", "row", "place"], unique=False)
    op.create_table(
        "results",
        sa.Column("fleet_id", sa.String(length=40), nullable=False),
        sa.Column("boat_id", sa.String(length=64), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("open_shalls", sa.Integer(), nullable=False),
        sa.Column("open_shoulds", sa.Integer(), nullable=False),
        sa.Column("computed", sa.Integer(), nullable=False),
        sa.Column("etag", sa.String(length=64), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("requirement", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["fleet_id", "boat_id"],
            ["entries.fleet_id", "entries.boat_id"],
            name=op.f("fk_results_fleet_id_entries"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("fleet_id", "boat_id", name=op.f("pk_results")),
    )
    head = sa.table("trail_head", sa.column("id"), sa.column("seq"), sa.column("hash"))
    op.bulk_insert(head, [{"id": 1, "seq": 0, "hash": "0" * 64}])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for statement in SQLITE_GUARDS if sqlite else POSTGRES_GUARDS:
        op.execute(statement)


def downgrade() -> None:
    """Take the tables away, and what they hold."""
    if op.get_bind().dialect.name != "sqlite":
        op.execute("DROP TRIGGER trail_append_only ON trail")
        op.execute("DROP FUNCTION trail_append_only()")
    op.drop_table("results")
    op.drop_index("ix_findings_order", table_name="findings")
    op.drop_table("findings")
    op.drop_table("revisions")
    op.drop_table("entries")
    op.drop_table("trail_head")
    op.drop_table("trail")
    op.drop_table("tokens")
    op.drop_table("fleets")
