"""The last moment that a bot believed, and since when looking at a garden has failed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "last_moment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("believed_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_last_moment")),
    )
    op.add_column("gardens", sa.Column("trouble_since_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("gardens", sa.Column("trouble_said_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    op.drop_column("gardens", "trouble_said_at")
    op.drop_column("gardens", "trouble_since_at")
    op.drop_table("last_moment")
