"""Who lifts nothing until a day; what was not understood; whether sure reports in the group are taken."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("members", sa.Column("lift_back_on", sa.Date(), nullable=True))
    op.add_column("members", sa.Column("lift_back_kg", sa.Double(), nullable=True))
    op.add_column("inbox", sa.Column("unheard_garden_id", sa.Integer(), nullable=True))
    op.add_column("gardens", sa.Column("hears_reports", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    op.drop_column("gardens", "hears_reports")
    op.drop_column("inbox", "unheard_garden_id")
    op.drop_column("members", "lift_back_kg")
    op.drop_column("members", "lift_back_on")
