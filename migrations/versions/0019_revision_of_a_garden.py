"""Since when a garden's records are as they are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("gardens", sa.Column("revision", sa.Integer(), server_default="0", nullable=False))


def downgrade() -> None:
    # Not as a batch: that would make the table anew, and dropping the old one would take along every row that points at it.
    op.drop_column("gardens", "revision")
