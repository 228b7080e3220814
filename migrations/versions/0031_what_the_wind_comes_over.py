"""What the wind comes over at a garden: fields, as it was reckoned before, unless an organiser says otherwise."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("gardens", sa.Column("around", sa.String(40), nullable=False, server_default="fields"))


def downgrade() -> None:
    op.drop_column("gardens", "around")
