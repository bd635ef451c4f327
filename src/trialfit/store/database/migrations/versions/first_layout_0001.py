"""The first layout."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make every table."""
    op.create_table(
        "documents",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("started_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_documents"),
        sa.UniqueConstraint("kind", "name", name="uq_documents_kind_name"),
        sa.CheckConstraint("kind in ('job', 'shop')", name="ck_documents_kind"),
    )
    op.create_table(
        "revisions",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("parent_id", sa.Integer),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("saved_at", sa.String(32), nullable=False),
        sa.Column("saved_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_revisions"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_revisions_document_id"),
        sa.ForeignKeyConstraint(["parent_id"], ["revisions.id"], name="fk_revisions_parent_id"),
        sa.UniqueConstraint("document_id", "number", name="uq_revisions_document_id_number"),
    )
    op.create_index("ix_revisions_parent_id", "revisions", ["parent_id"])
    op.create_table(
        "cursors",
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("revision_id", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("document_id", name="pk_cursors"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_cursors_document_id"),
        sa.ForeignKeyConstraint(["revision_id"], ["revisions.id"], name="fk_cursors_revision_id"),
    )
    op.create_table(
        "steps",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("key", sa.String(80)),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("base", sa.Integer, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("revision_id", sa.Integer, nullable=False),
        sa.Column("taken_at", sa.String(32), nullable=False),
        sa.Column("taken_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_steps"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_steps_document_id"),
        sa.ForeignKeyConstraint(["revision_id"], ["revisions.id"], name="fk_steps_revision_id"),
        sa.UniqueConstraint("document_id", "key", name="uq_steps_document_id_key"),
        sa.CheckConstraint("kind in ('start', 'save', 'undo', 'redo')", name="ck_steps_kind"),
    )
    op.create_table(
        "pictures",
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("size_bytes", sa.Integer, nullable=False),
        sa.Column("added_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_pictures"),
    )
    op.create_table(
        "job_pictures",
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("file", sa.String(160), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("added_at", sa.String(32), nullable=False),
        sa.Column("added_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("document_id", "file", name="pk_job_pictures"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_job_pictures_document_id"),
        sa.ForeignKeyConstraint(["sha256"], ["pictures.sha256"], name="fk_job_pictures_sha256"),
    )
    folded = ("owner_folded", "engine_folded", "parts_folded", "threads_folded", "words_folded")
    op.create_table(
        "job_lines",
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("owner", sa.Text, nullable=False),
        sa.Column("engine", sa.Text, nullable=False),
        sa.Column("day", sa.String(10), nullable=False),
        sa.Column("story", sa.Text, nullable=False),
        sa.Column("parts", sa.Text, nullable=False),
        sa.Column("threads", sa.Text, nullable=False),
        *(sa.Column(name, sa.Text, nullable=False) for name in folded),
        sa.PrimaryKeyConstraint("document_id", name="pk_job_lines"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_job_lines_document_id"),
    )
    op.create_table(
        "passcodes",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("hashed", sa.Text, nullable=False),
        sa.Column("set_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_passcodes"),
        sa.CheckConstraint("id = 1", name="ck_passcodes_only_one"),
    )
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(64), nullable=False),
        sa.Column("started_at", sa.String(32), nullable=False),
        sa.Column("ends_at", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("token_sha256", name="pk_sessions"),
    )
