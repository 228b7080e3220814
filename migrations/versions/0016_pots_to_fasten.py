"""When whoever looks after a pot was told to fasten it for good."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("places", sa.Column("fasten_told_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    op.drop_column("places", "fasten_told_at")
