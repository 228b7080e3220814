"""A rehearsal is long work like any other, so that its table of its own goes; what was played is asked for anew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import bot.storage.types

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.drop_index(op.f("ix_rehearsals_member_id"), table_name="rehearsals")
    op.drop_table("rehearsals")


def downgrade() -> None:
    op.create_table(
        "rehearsals",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("answering", sa.Boolean(), nullable=False),
        sa.Column("asked_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("started_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("finished_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.Column("played", sa.JSON(none_as_null=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_rehearsals_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_rehearsals_member_id_members"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rehearsals")),
    )
    op.create_index(op.f("ix_rehearsals_member_id"), "rehearsals", ["member_id"], unique=False)
