"""rehearsals distances and safely home."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "rehearsals",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("answering", sa.Boolean(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("finished_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("played", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_rehearsals_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_rehearsals_member_id_members"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rehearsals")),
    )
    op.create_index(op.f("ix_rehearsals_member_id"), "rehearsals", ["member_id"], unique=False)
    op.add_column("asks", sa.Column("home_asked_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("asks", sa.Column("home_said_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("asks", sa.Column("home_told_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("members", sa.Column("travel_min", sa.Integer(), nullable=True))
    op.add_column("places", sa.Column("walk_min", sa.Integer(), nullable=True))


def downgrade() -> None:
    op.drop_column("places", "walk_min")
    op.drop_column("members", "travel_min")
    op.drop_column("asks", "home_told_at")
    op.drop_column("asks", "home_said_at")
    op.drop_column("asks", "home_asked_at")
    op.drop_index(op.f("ix_rehearsals_member_id"), table_name="rehearsals")
    op.drop_table("rehearsals")
