"""long work and files that were sent."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "errands",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=False),
        sa.Column("thread_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(length=40), nullable=False),
        sa.Column("file_id", sa.String(length=200), nullable=True),
        sa.Column("file_name", sa.String(length=200), nullable=True),
        sa.Column("file_bytes_n", sa.BigInteger(), nullable=True),
        sa.Column("data", sa.LargeBinary(), nullable=True),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("claimed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("retry_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("outbox_id", sa.Integer(), nullable=True),
        sa.Column("error", sa.String(length=200), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_errands_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_errands_member_id_members"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["outbox_id"], ["outbox.id"], name=op.f("fk_errands_outbox_id_outbox"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_errands")),
    )
    op.create_index(op.f("ix_errands_member_id"), "errands", ["member_id"], unique=False)
    op.create_index("ix_errands_waiting", "errands", ["state", "id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_errands_waiting", table_name="errands")
    op.drop_index(op.f("ix_errands_member_id"), table_name="errands")
    op.drop_table("errands")
