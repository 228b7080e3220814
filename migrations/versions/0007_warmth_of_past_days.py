"""Warmth of past days, from which stages are reckoned."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "day_means",
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("mean_c", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_day_means_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("garden_id", "on", name=op.f("pk_day_means")),
    )


def downgrade() -> None:
    op.drop_table("day_means")
