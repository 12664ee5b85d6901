"""A season: fleets, lists, rules, boats, what was found, recorded and received, tokens, jobs, trail."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

TABLES = (
    "guesses", "answered", "jobs", "published", "payments", "answers", "supplies", "stock_files", "waivers",
    "inspections", "trail_head", "trail", "tokens", "findings", "requirements", "results", "entries",
    "revisions", "rule_files", "rules", "fleets", "season",
)  # fmt: skip

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
LONG = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def has(name: str, kind: Any, *rest: Any, **more: Any) -> sa.Column[Any]:
    """A column that is never NULL."""
    return sa.Column(name, kind, *rest, nullable=False, **more)


def key(name: str, kind: Any, *rest: Any, **more: Any) -> sa.Column[Any]:
    """A column of the primary key."""
    return sa.Column(name, kind, *rest, primary_key=True, **more)


def words(length: int) -> sa.String:
    """Text of so many characters at most."""
    return sa.String(length)


def of_a_boat() -> sa.ForeignKeyConstraint:
    """What goes with a boat's entry when it goes."""
    return sa.ForeignKeyConstraint(
        ["fleet_id", "boat_id"], ["entries.fleet_id", "entries.boat_id"], ondelete="CASCADE"
    )


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "season",
        key("id", words(40)), has("secret", sa.LargeBinary), has("rules", sa.Integer),
        has("made_at", words(32)),
    )  # fmt: skip
    op.create_table(
        "fleets",
        key("id", words(40)), has("name", words(120)), has("version", sa.Integer),
        sa.Column("revision", sa.Integer), has("folder", words(60)), has("created_at", words(32)),
    )  # fmt: skip
    op.create_table(
        "rules",
        key("number", sa.Integer, autoincrement=False), has("sha256", words(64)),
        sa.Column("samples", sa.Integer), has("base_url", sa.Text), has("received_at", words(32)),
        has("received_by", words(80)),
    )  # fmt: skip
    op.create_table(
        "rule_files",
        key("number", sa.Integer, sa.ForeignKey("rules.number")), key("kind", words(12)),
        key("name", words(200)), has("sha256", words(64)), has("content", sa.LargeBinary),
    )  # fmt: skip
    op.create_table(
        "revisions",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("filename", words(200)), has("media_type", words(120)), has("sha256", words(64)),
        has("size", sa.Integer), has("content", sa.LargeBinary), has("state", words(12)),
        has("reason", sa.Text), has("report", sa.Text), has("uploaded_at", words(32)),
        has("uploaded_by", words(80)), has("withdraw", sa.Integer), has("problem", sa.Text),
        sa.Column("rules", sa.Integer), has("program", words(40)), has("day", words(10)),
        sa.Column("in_force_at", words(32)), sa.Column("snapshot", sa.LargeBinary),
        sa.Column("ordered", sa.LargeBinary),
    )  # fmt: skip
    op.create_table(
        "entries",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("boat_id", words(64)),
        has("row", sa.Integer), has("entry_no", sa.Text), has("boat_name", sa.Text), has("sail_no", sa.Text),
        has("berth", sa.Text), has("search", sa.Text), has("cells", sa.Text),
    )  # fmt: skip
    op.create_table(
        "results",
        key("fleet_id", words(40)), key("boat_id", words(64)), has("version", sa.Integer),
        has("open_shalls", sa.Integer), has("open_shoulds", sa.Integer), has("computed", sa.Integer),
        has("etag", words(64)), has("document", sa.LargeBinary), has("findings", sa.LargeBinary),
        has("stage", words(20)), of_a_boat(),
    )  # fmt: skip
    op.create_table(
        "requirements",
        key("fleet_id", words(40)), key("boat_id", words(64)), has("document", sa.LargeBinary), of_a_boat(),
    )  # fmt: skip
    op.create_table(
        "findings",
        key("fleet_id", words(40)), key("boat_id", words(64)), key("place", sa.Integer),
        has("row", sa.Integer), has("check_id", words(80)), has("family", words(40)), has("level", words(8)),
        has("standing", words(20)), of_a_boat(),
    )  # fmt: skip
    op.create_index("ix_findings_order", "findings", ["fleet_id", "row", "place"])
    op.create_table(
        "tokens",
        key("id", words(20)), has("sha256", words(64), unique=True), has("label", words(80)),
        has("role", words(12)), sa.Column("fleet_id", words(40)), sa.Column("boat_id", words(64)),
        has("created_at", words(32)), has("expires_at", words(32)), sa.Column("revoked_at", words(32)),
        sa.Column("last_used_at", words(32)),
    )  # fmt: skip
    op.create_table(
        "trail",
        key("seq", LONG, autoincrement=False), has("at", words(32)), has("who", words(80)),
        has("role", words(12)), has("action", words(40)), has("fleet_id", words(40)), has("subject", sa.Text),
        has("before", sa.Text), has("after", sa.Text), has("previous", words(64)), has("hash", words(64)),
    )  # fmt: skip
    head = op.create_table(
        "trail_head", key("id", sa.Integer, autoincrement=False), has("seq", LONG), has("hash", words(64))
    )
    op.create_table(
        "inspections",
        key("id", words(40)), has("fleet_id", words(40), sa.ForeignKey("fleets.id")),
        has("boat_id", words(64)), has("number", sa.Integer), has("state", words(12)),
        has("measured", sa.Text), has("photo", words(200)), has("note", sa.Text), has("made_at", words(32)),
        sa.Column("observed_at_phone_clock", words(32)), has("made_by", words(80)),
        has("token_id", words(20)), sa.Column("signed_at", words(32)), sa.Column("signed_by", words(80)),
        sa.Column("withdrawn_at", words(32)), sa.Column("withdrawn_by", words(80)), has("reason", sa.Text),
        has("covers", sa.Text), sa.UniqueConstraint("fleet_id", "number"),
    )  # fmt: skip
    op.create_index("ix_inspections_boat", "inspections", ["fleet_id", "boat_id"])
    op.create_table(
        "waivers",
        key("id", words(40)), has("fleet_id", words(40), sa.ForeignKey("fleets.id")),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("number", sa.Integer),
        has("check_id", words(80)), has("reason", sa.Text), has("officer", words(120)),
        has("until", words(10)), has("state", words(12)), has("made_at", words(32)),
        has("made_by", words(80)),
        sa.Column("withdrawn_at", words(32)), sa.Column("withdrawn_by", words(80)),
        sa.UniqueConstraint("fleet_id", "number"),
    )  # fmt: skip
    op.create_table(
        "stock_files",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("kind", words(12)), has("filename", words(200)), has("sha256", words(64)),
        has("content", sa.LargeBinary), sa.Column("ordered", sa.LargeBinary), has("received_at", words(32)),
        has("received_by", words(80)),
    )  # fmt: skip
    op.create_table(
        "supplies",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("word", words(40)), has("day", words(10)),
        has("said_by", words(120)), has("source", words(12)), has("price", words(20)),
        has("currency", words(12)), has("made_at", words(32)), has("made_by", words(80)),
    )  # fmt: skip
    op.create_table(
        "answers",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("field", words(40)), has("state", words(12)),
        has("text", sa.Text), sa.Column("decimal", words(1)), has("until", words(10)), has("listed", sa.Text),
        has("measured", sa.Text), has("said_by", words(120)), has("source", words(12)),
        has("made_at", words(32)), has("made_by", words(80)), has("token_id", words(20)),
    )  # fmt: skip
    op.create_index("ix_answers_boat", "answers", ["fleet_id", "boat_id"])
    op.create_table(
        "payments",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), key("number", sa.Integer),
        has("boat_id", words(64)), has("entry_no", sa.Text), has("boat_name", sa.Text),
        has("kind", words(12)), has("amount", words(20)), has("currency", words(12)), has("day", words(10)),
        has("paid_by", words(120)), has("reference", words(80)), has("made_at", words(32)),
        has("made_by", words(80)),
    )  # fmt: skip
    op.create_table(
        "published",
        key("fleet_id", words(40), sa.ForeignKey("fleets.id")), has("revision", sa.Integer),
        has("version", sa.Integer), has("day", words(10)), has("program", words(40)), has("made", sa.Text),
        has("order_files", sa.Text), has("published_at", words(32)),
    )  # fmt: skip
    op.create_table(
        "jobs",
        key("id", words(40)), has("fleet_id", words(40), sa.ForeignKey("fleets.id")), has("kind", words(12)),
        sa.Column("revision", sa.Integer), has("state", words(12)), has("stage", words(120)),
        has("done", sa.Integer), has("total", sa.Integer), has("attempts", sa.Integer),
        has("reason", sa.Text), has("asked_by", words(80)), has("created_at", words(32)),
        has("beat_at", sa.Float), sa.Column("finished_at", words(32)), has("due_at", sa.Float),
    )  # fmt: skip
    op.create_index("ix_jobs_state", "jobs", ["state", "created_at"])
    op.create_table(
        "answered",
        key("token_id", words(20)), key("key", words(128)), has("fingerprint", words(64)),
        has("status", sa.Integer), has("headers", sa.Text), has("body", sa.Text), has("at", words(32)),
    )  # fmt: skip
    op.create_table(
        "guesses",
        key("source", words(64)), has("wrong", sa.Integer), has("locked", sa.Integer),
        has("forget_at", sa.Float),
    )  # fmt: skip
    op.create_index("ix_guesses_forget_at", "guesses", ["forget_at"])
    op.bulk_insert(head, [{"id": 1, "seq": 0, "hash": "0" * 64}])
    sqlite = op.get_bind().dialect.name == "sqlite"
    for statement in SQLITE_GUARDS if sqlite else POSTGRES_GUARDS:
        op.execute(statement)


def downgrade() -> None:
    """Take the tables away, and what they hold."""
    if op.get_bind().dialect.name != "sqlite":
        op.execute("DROP TRIGGER trail_append_only ON trail")
        op.execute("DROP FUNCTION trail_append_only()")
    for table in TABLES:
        op.drop_table(table)
