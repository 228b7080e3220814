"""What an absence gave on, so that it can be taken back; the forecast that was known before a night."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("aways", sa.Column("given_on", sa.JSON(none_as_null=True), nullable=True))
    op.add_column("night_odds", sa.Column("forecast", sa.JSON(none_as_null=True), nullable=True))


def downgrade() -> None:
    op.drop_column("night_odds", "forecast")
    op.drop_column("aways", "given_on")
