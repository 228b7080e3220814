"""A second language of a group, and texts that a garden says in its own words."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("gardens", sa.Column("second_language", sa.String(length=80), server_default="", nullable=False))
    op.add_column("gardens", sa.Column("wordings", sa.JSON(none_as_null=True), server_default="{}", nullable=False))


def downgrade() -> None:
    op.drop_column("gardens", "wordings")
    op.drop_column("gardens", "second_language")
