"""What stood before a report of done, so that it can be taken back."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("duty_reports", sa.Column("before", sa.JSON(), nullable=True))


def downgrade() -> None:
    op.drop_column("duty_reports", "before")
