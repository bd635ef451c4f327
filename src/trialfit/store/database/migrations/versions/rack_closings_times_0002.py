"""Jobs put away, revisions closed, times taken at the bench."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add what a workshop does with a job besides writing its document."""
    op.add_column("documents", sa.Column("away_at", sa.String(32)))
    op.create_table(
        "rack_moves",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(8), nullable=False),
        sa.Column("moved_at", sa.String(32), nullable=False),
        sa.Column("moved_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_rack_moves"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_rack_moves_document_id"),
        sa.CheckConstraint("kind in ('away', 'back')", name="ck_rack_moves_kind"),
    )
    op.create_index("ix_rack_moves_document_id", "rack_moves", ["document_id"])
    op.create_table(
        "closings",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("revision_id", sa.Integer, nullable=False),
        sa.Column("issue", sa.Integer, nullable=False),
        sa.Column("closed_at", sa.String(32), nullable=False),
        sa.Column("closed_by", sa.String(80), nullable=False),
        sa.Column("record", sa.Text, nullable=False),
        sa.Column("made", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_closings"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_closings_document_id"),
        sa.ForeignKeyConstraint(["revision_id"], ["revisions.id"], name="fk_closings_revision_id"),
        sa.UniqueConstraint("document_id", "issue", name="uq_closings_document_id_issue"),
    )
    op.create_table(
        "bench_times",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("document_id", sa.Integer, nullable=False),
        sa.Column("clock", sa.String(80), nullable=False),
        sa.Column("stopped_by_key", sa.String(80)),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("job", sa.Text, nullable=False),
        sa.Column("operation", sa.Text, nullable=False),
        sa.Column("how_many", sa.Integer, nullable=False),
        sa.Column("started_at", sa.String(32)),
        sa.Column("took", sa.Text),
        sa.Column("day", sa.String(10)),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("entered_at", sa.String(32), nullable=False),
        sa.Column("entered_by", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_bench_times"),
        sa.ForeignKeyConstraint(["document_id"], ["documents.id"], name="fk_bench_times_document_id"),
        sa.UniqueConstraint("clock", name="uq_bench_times_clock"),
        sa.CheckConstraint("state in ('running', 'kept', 'struck')", name="ck_bench_times_state"),
    )
    op.create_index("ix_bench_times_document_id", "bench_times", ["document_id"])
