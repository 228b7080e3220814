"""The maximum of the day beside each past night's minimum: what is sown in cool soil goes by the mean of both."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("night_minima", sa.Column("max_c", sa.Double(), nullable=True))


def downgrade() -> None:
    op.drop_column("night_minima", "max_c")
