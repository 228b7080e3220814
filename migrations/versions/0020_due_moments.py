"""When a garden is to be looked at next, and when a weather service may be asked for it again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("gardens", sa.Column("next_look_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("gardens", sa.Column("ask_weather_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    # Not as a batch: that would make the table anew, and dropping the old one would take along every row that points at it.
    op.drop_column("gardens", "ask_weather_at")
    op.drop_column("gardens", "next_look_at")
