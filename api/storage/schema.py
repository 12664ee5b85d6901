"""The tables. Times are UTC text (ISO 8601), flags are integers, documents are JSON text."""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# One row: what the season is told apart by, the secret that digests of private cells are made with, and the
# number of the rules in force.
season: Final = Table(
    "season",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("secret", LargeBinary, nullable=False),
    Column("rules", Integer, nullable=False),
    Column("made_at", String(32), nullable=False),
)

# `revision` is the list in force; `folder` is where what is made for the fleet lies, below the output folder.
fleets: Final = Table(
    "fleets",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("name", String(120), nullable=False),
    Column("version", Integer, nullable=False),
    Column("revision", Integer),
    Column("folder", String(60), nullable=False, default=""),
    Column("created_at", String(32), nullable=False),
)

# Policy, price book and catalogue as they were received, with how many strikes a boat are sampled and where
# the site will be on the web: a number for each change of any of them. A list names those it was judged by.
# `content` is a file as received, packed (zlib), here and below; hash and size are those of the file.
rules: Final = Table(
    "rules",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("sha256", String(64), nullable=False),
    Column("samples", Integer),
    Column("base_url", Text, nullable=False),
    Column("received_at", String(32), nullable=False),
    Column("received_by", String(80), nullable=False),
)
rule_files: Final = Table(
    "rule_files",
    metadata,
    Column("number", ForeignKey("rules.number"), primary_key=True),
    Column("kind", String(12), primary_key=True),
    Column("name", String(200), primary_key=True),
    Column("sha256", String(64), nullable=False),
    Column("content", LargeBinary, nullable=False),
)

# Every list, kept whole and packed, with its hash; `withdraw` says that boats it leaves out have withdrawn;
# `report` is what became of its rows, `problem` what was wrong with the list as a whole. From when it was
# judged on there are the number of its rules, the program and the day it was judged with, when it came into
# force, and what was found, in columns over the fleet: a snapshot of then, and the order as made last, both
# packed JSON.
revisions: Final = Table(
    "revisions",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("filename", String(200), nullable=False),
    Column("media_type", String(120), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("size", Integer, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("state", String(12), nullable=False),
    Column("reason", Text, nullable=False),
    Column("report", Text, nullable=False),
    Column("uploaded_at", String(32), nullable=False),
    Column("uploaded_by", String(80), nullable=False),
    Column("withdraw", Integer, nullable=False),
    Column("problem", Text, nullable=False),
    Column("rules", Integer),
    Column("program", String(40), nullable=False, default=""),
    Column("day", String(10), nullable=False, default=""),
    Column("in_force_at", String(32)),
    Column("snapshot", LargeBinary),
    Column("ordered", LargeBinary),
)

# A boat of the revision in force. `cells` are her cells as written, contact details left out.
entries: Final = Table(
    "entries",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("boat_id", String(64), primary_key=True),
    Column("row", Integer, nullable=False),
    Column("entry_no", Text, nullable=False),
    Column("boat_name", Text, nullable=False),
    Column("sail_no", Text, nullable=False),
    Column("berth", Text, nullable=False),
    Column("search", Text, nullable=False),
    Column("cells", Text, nullable=False),
)

# What the program found for a boat: JSON text, packed (zlib), beside the columns lists are made from;
# `findings` are a line each, in the order of their `place`.
results: Final = Table(
    "results",
    metadata,
    Column("fleet_id", String(40), primary_key=True),
    Column("boat_id", String(64), primary_key=True),
    Column("version", Integer, nullable=False),
    Column("open_shalls", Integer, nullable=False),
    Column("open_shoulds", Integer, nullable=False),
    Column("computed", Integer, nullable=False),
    Column("stage", String(20), nullable=False),
    Column("etag", String(64), nullable=False),
    Column("document", LargeBinary, nullable=False),
    Column("findings", LargeBinary, nullable=False),
    ForeignKeyConstraint(
        ["fleet_id", "boat_id"], ["entries.fleet_id", "entries.boat_id"], ondelete="CASCADE"
    ),
)

# What a boat needs, apart from how she stands: it is long, and few measurements change it.
requirements: Final = Table(
    "requirements",
    metadata,
    Column("fleet_id", String(40), primary_key=True),
    Column("boat_id", String(64), primary_key=True),
    Column("document", LargeBinary, nullable=False),
    ForeignKeyConstraint(
        ["fleet_id", "boat_id"], ["entries.fleet_id", "entries.boat_id"], ondelete="CASCADE"
    ),
)

# What findings are chosen by; what they say stands with the boat's result.
findings: Final = Table(
    "findings",
    metadata,
    Column("fleet_id", String(40), primary_key=True),
    Column("boat_id", String(64), primary_key=True),
    Column("place", Integer, primary_key=True),
    Column("row", Integer, nullable=False),
    Column("check_id", String(80), nullable=False),
    Column("family", String(40), nullable=False),
    Column("level", String(8), nullable=False),
    Column("standing", String(20), nullable=False),
    ForeignKeyConstraint(
        ["fleet_id", "boat_id"], ["entries.fleet_id", "entries.boat_id"], ondelete="CASCADE"
    ),
    Index("ix_findings_order", "fleet_id", "row", "place"),
)

tokens: Final = Table(
    "tokens",
    metadata,
    Column("id", String(20), primary_key=True),
    Column("sha256", String(64), nullable=False),
    Column("label", String(80), nullable=False),
    Column("role", String(12), nullable=False),
    Column("fleet_id", String(40)),
    Column("boat_id", String(64)),
    Column("created_at", String(32), nullable=False),
    Column("expires_at", String(32), nullable=False),
    Column("revoked_at", String(32)),
    Column("last_used_at", String(32)),
    UniqueConstraint("sha256"),
)

trail: Final = Table(
    "trail",
    metadata,
    Column("seq", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=False),
    Column("at", String(32), nullable=False),
    Column("who", String(80), nullable=False),
    Column("role", String(12), nullable=False),
    Column("action", String(40), nullable=False),
    Column("fleet_id", String(40), nullable=False),
    Column("subject", Text, nullable=False),
    Column("before", Text, nullable=False),
    Column("after", Text, nullable=False),
    Column("previous", String(64), nullable=False),
    Column("hash", String(64), nullable=False),
)

# One row. Whoever writes holds it, so that writers stand in line and the chain has one end.
trail_head: Final = Table(
    "trail_head",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("seq", BigInteger().with_variant(Integer, "sqlite"), nullable=False),
    Column("hash", String(64), nullable=False),
)

# Inspections and waivers outlive the revision they were made under, so they point at no entry. `covers` are
# the values that a sign-off saw, by column: where a later list changes one, the inspection is open again.
inspections: Final = Table(
    "inspections",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("fleet_id", ForeignKey("fleets.id"), nullable=False),
    Column("boat_id", String(64), nullable=False),
    Column("number", Integer, nullable=False),
    Column("state", String(12), nullable=False),
    Column("measured", Text, nullable=False),
    Column("photo", String(200), nullable=False),
    Column("note", Text, nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("observed_at_phone_clock", String(32)),
    Column("made_by", String(80), nullable=False),
    Column("token_id", String(20), nullable=False),
    Column("signed_at", String(32)),
    Column("signed_by", String(80)),
    Column("withdrawn_at", String(32)),
    Column("withdrawn_by", String(80)),
    Column("reason", Text, nullable=False),
    Column("covers", Text, nullable=False, default="{}"),
    UniqueConstraint("fleet_id", "number"),
    Index("ix_inspections_boat", "fleet_id", "boat_id"),
)

waivers: Final = Table(
    "waivers",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("fleet_id", ForeignKey("fleets.id"), nullable=False),
    Column("boat_id", String(64), nullable=False),
    Column("entry_no", Text, nullable=False),
    Column("number", Integer, nullable=False),
    Column("check_id", String(80), nullable=False),
    Column("reason", Text, nullable=False),
    Column("officer", String(120), nullable=False),
    Column("until", String(10), nullable=False),
    Column("state", String(12), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("made_by", String(80), nullable=False),
    Column("withdrawn_at", String(32)),
    Column("withdrawn_by", String(80)),
    UniqueConstraint("fleet_id", "number"),
)

# Deliveries and stocktakes as they were received; `ordered` is the order that a delivery came for, as it was
# then: packed JSON.
stock_files: Final = Table(
    "stock_files",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("kind", String(12), nullable=False),
    Column("filename", String(200), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("ordered", LargeBinary),
    Column("received_at", String(32), nullable=False),
    Column("received_by", String(80), nullable=False),
)

# How boats get their parts, as it was said one after the other; the last of a boat counts. They and payments
# outlive the revision they were made under. Sums of money are decimal text.
supplies: Final = Table(
    "supplies",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("boat_id", String(64), nullable=False),
    Column("entry_no", Text, nullable=False),
    Column("word", String(40), nullable=False),
    Column("day", String(10), nullable=False),
    Column("said_by", String(120), nullable=False),
    Column("source", String(12), nullable=False),
    Column("price", String(20), nullable=False),
    Column("currency", String(12), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("made_by", String(80), nullable=False),
)

# What her skipper answered, a row for each column and each time; the last of a column counts. `state` is
# said, unknown (she does not know) or later (she measures by the day in `until`). `listed` is what the list
# in force said of the column then, `decimal` how that list writes decimals, `measured` what had been
# measured, if anything. They outlive the revision they were made under.
answers: Final = Table(
    "answers",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("boat_id", String(64), nullable=False),
    Column("entry_no", Text, nullable=False),
    Column("field", String(40), nullable=False),
    Column("state", String(12), nullable=False),
    Column("text", Text, nullable=False),
    Column("decimal", String(1)),
    Column("until", String(10), nullable=False),
    Column("listed", Text, nullable=False),
    Column("measured", Text, nullable=False),
    Column("said_by", String(120), nullable=False),
    Column("source", String(12), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("made_by", String(80), nullable=False),
    Column("token_id", String(20), nullable=False),
    Index("ix_answers_boat", "fleet_id", "boat_id"),
)
payments: Final = Table(
    "payments",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("boat_id", String(64), nullable=False),
    Column("entry_no", Text, nullable=False),
    Column("boat_name", Text, nullable=False),
    Column("kind", String(12), nullable=False),
    Column("amount", String(20), nullable=False),
    Column("currency", String(12), nullable=False),
    Column("day", String(10), nullable=False),
    Column("paid_by", String(120), nullable=False),
    Column("reference", String(80), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("made_by", String(80), nullable=False),
)

# What was made last for a fleet, and of what: the list, the version of the fleet, the day and the program;
# `made` are the parts, `order_files` the hash of each file of the order and of the loft's papers, as JSON.
published: Final = Table(
    "published",
    metadata,
    Column("fleet_id", ForeignKey("fleets.id"), primary_key=True),
    Column("revision", Integer, nullable=False),
    Column("version", Integer, nullable=False),
    Column("day", String(10), nullable=False),
    Column("program", String(40), nullable=False),
    Column("made", Text, nullable=False),
    Column("order_files", Text, nullable=False),
    Column("published_at", String(32), nullable=False),
)

jobs: Final = Table(
    "jobs",
    metadata,
    Column("id", String(40), primary_key=True),
    Column("fleet_id", ForeignKey("fleets.id"), nullable=False),
    Column("kind", String(12), nullable=False),
    Column("revision", Integer),
    Column("state", String(12), nullable=False),
    Column("stage", String(120), nullable=False),
    Column("done", Integer, nullable=False),
    Column("total", Integer, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("reason", Text, nullable=False),
    Column("asked_by", String(80), nullable=False),
    Column("created_at", String(32), nullable=False),
    Column("beat_at", Float, nullable=False),
    Column("finished_at", String(32)),
    Column("due_at", Float, nullable=False),
    Index("ix_jobs_state", "state", "created_at"),
)

# What was answered to a write, so that the same key gets the same answer.
answered: Final = Table(
    "answered",
    metadata,
    Column("token_id", String(20), primary_key=True),
    Column("key", String(128), primary_key=True),
    Column("fingerprint", String(64), nullable=False),
    Column("status", Integer, nullable=False),
    Column("headers", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("at", String(32), nullable=False),
)

# Wrong tokens by source address (its hash), each row until `forget_at`, in seconds since 1970. Of no worth
# later, so that no backup holds it.
guesses: Final = Table(
    "guesses",
    metadata,
    Column("source", String(64), primary_key=True),
    Column("wrong", Integer, nullable=False),
    Column("locked", Integer, nullable=False),
    Column("forget_at", Float, nullable=False),
    Index("ix_guesses_forget_at", "forget_at"),
    info={"passing": True},
)
