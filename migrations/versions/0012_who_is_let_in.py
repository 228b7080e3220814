"""Codes that run out, guesses at them, questions about newcomers, and who was taken off the list."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "claim_codes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_claim_codes_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_claim_codes_member_id_members"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_claim_codes")),
        sa.UniqueConstraint("digest", name=op.f("uq_claim_codes_digest")),
    )
    op.create_index(op.f("ix_claim_codes_garden_id"), "claim_codes", ["garden_id"], unique=False)
    op.create_table(
        "code_guesses",
        sa.Column("user_id", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("wrong_n", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("user_id", name=op.f("pk_code_guesses")),
    )
    op.create_table(
        "knocks",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("shown", sa.String(length=80), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_knocks_member_id_members"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("member_id", name=op.f("pk_knocks")),
    )
    op.add_column("members", sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True))
    # The codes of before never ran out; whoever has not used theirs asks for a new one.
    op.drop_column("gardens", "claim_code")


def downgrade() -> None:
    op.add_column("gardens", sa.Column("claim_code", sa.String(length=80), nullable=True))
    op.drop_column("members", "removed_at")
    op.drop_table("knocks")
    op.drop_table("code_guesses")
    op.drop_index(op.f("ix_claim_codes_garden_id"), table_name="claim_codes")
    op.drop_table("claim_codes")
