"""The tables. What changes here needs a step under `migrations`, and `layout.HEAD` moved on to it."""

from __future__ import annotations

from sqlalchemy import (
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

documents = Table(
    "documents",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String(8), nullable=False),
    Column("name", String(80), nullable=False),
    Column("started_at", String(32), nullable=False),
    Column("away_at", String(32)),
    UniqueConstraint("kind", "name"),
    CheckConstraint("kind in ('job', 'shop')", name="kind"),
)
"""A job, or the shop. Each has revisions and a cursor. A job that was put away says since when."""

rack_moves = Table(
    "rack_moves",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("document_id", Integer, ForeignKey("documents.id"), nullable=False),
    Column("kind", String(8), nullable=False),
    Column("moved_at", String(32), nullable=False),
    Column("moved_by", String(80), nullable=False),
    Index(None, "document_id"),
    CheckConstraint("kind in ('away', 'back')", name="kind"),
)
"""When a job was put away or back on the rack, and by whom. Rows are added, never changed or taken out."""

revisions = Table(
    "revisions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("document_id", Integer, ForeignKey("documents.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("parent_id", Integer, ForeignKey("revisions.id")),
    Column("text", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("saved_at", String(32), nullable=False),
    Column("saved_by", String(80), nullable=False),
    UniqueConstraint("document_id", "number"),
    Index(None, "parent_id"),
)
"""Whole documents as text. Rows are added, never changed or taken out."""

cursors = Table(
    "cursors",
    metadata,
    Column("document_id", Integer, ForeignKey("documents.id"), primary_key=True),
    Column("revision_id", Integer, ForeignKey("revisions.id"), nullable=False),
)
"""Which revision of a document holds now: what undo and redo move."""

steps = Table(
    "steps",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("document_id", Integer, ForeignKey("documents.id"), nullable=False),
    Column("key", String(80)),
    Column("kind", String(8), nullable=False),
    Column("base", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("revision_id", Integer, ForeignKey("revisions.id"), nullable=False),
    Column("taken_at", String(32), nullable=False),
    Column("taken_by", String(80), nullable=False),
    UniqueConstraint("document_id", "key"),
    CheckConstraint("kind in ('start', 'save', 'undo', 'redo')", name="kind"),
)
"""Every movement of a cursor, with the key of the request that asked for it: a request sent twice is known again."""

pictures = Table(
    "pictures",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("kind", String(8), nullable=False),
    Column("size_bytes", Integer, nullable=False),
    Column("added_at", String(32), nullable=False),
)
"""Files in the workshop's photographs/ folder, each named by the hash of what is in it."""

job_pictures = Table(
    "job_pictures",
    metadata,
    Column("document_id", Integer, ForeignKey("documents.id"), primary_key=True),
    Column("file", String(160), primary_key=True),
    Column("sha256", String(64), ForeignKey("pictures.sha256"), nullable=False),
    Column("added_at", String(32), nullable=False),
    Column("added_by", String(80), nullable=False),
)
"""What a file is called in a job's photographs/ folder."""

job_lines = Table(
    "job_lines",
    metadata,
    Column("document_id", Integer, ForeignKey("documents.id"), primary_key=True),
    Column("owner", Text, nullable=False),
    Column("engine", Text, nullable=False),
    Column("day", String(10), nullable=False),
    Column("story", Text, nullable=False),
    Column("parts", Text, nullable=False),
    Column("threads", Text, nullable=False),
    Column("owner_folded", Text, nullable=False),
    Column("engine_folded", Text, nullable=False),
    Column("parts_folded", Text, nullable=False),
    Column("threads_folded", Text, nullable=False),
    Column("words_folded", Text, nullable=False),
)
"""What the list of jobs shows and is searched by, taken from the revision that holds now."""

closings = Table(
    "closings",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("document_id", Integer, ForeignKey("documents.id"), nullable=False),
    Column("revision_id", Integer, ForeignKey("revisions.id"), nullable=False),
    Column("issue", Integer, nullable=False),
    Column("closed_at", String(32), nullable=False),
    Column("closed_by", String(80), nullable=False),
    Column("record", Text, nullable=False),
    Column("made", Text, nullable=False),
    UniqueConstraint("document_id", "issue"),
)
"""Closed revisions, by the number their sheets bear: the record of closing as JSON, and plan and sheets as they were
given out, a ZIP file in base 64. Rows are added, never changed or taken out."""

bench_times = Table(
    "bench_times",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("document_id", Integer, ForeignKey("documents.id"), nullable=False),
    Column("clock", String(80), nullable=False),
    Column("stopped_by_key", String(80)),
    Column("state", String(8), nullable=False),
    Column("job", Text, nullable=False),
    Column("operation", Text, nullable=False),
    Column("how_many", Integer, nullable=False),
    Column("started_at", String(32)),
    Column("took", Text),
    Column("day", String(10)),
    Column("note", Text, nullable=False),
    Column("entered_at", String(32), nullable=False),
    Column("entered_by", String(80), nullable=False),
    UniqueConstraint("clock"),
    Index(None, "document_id"),
    CheckConstraint("state in ('running', 'kept', 'struck')", name="state"),
)
"""Clocks that run at the bench and the times they gave; `clock` is the name under which one was started, so that a
press sent twice starts it once. What was struck out stays, and counts no longer."""

passcodes = Table(
    "passcodes",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("hashed", Text, nullable=False),
    Column("set_at", String(32), nullable=False),
    CheckConstraint("id = 1", name="only_one"),
)
"""The workshop's passcode as argon2 keeps it."""

sessions = Table(
    "sessions",
    metadata,
    Column("token_sha256", String(64), primary_key=True),
    Column("started_at", String(32), nullable=False),
    Column("ends_at", String(32), nullable=False),
)
"""Who has given the passcode. The token itself is nowhere in the database."""
