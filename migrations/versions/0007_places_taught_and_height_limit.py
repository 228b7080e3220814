"""What places taught, and a limit for work at height."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "place_learned",
        sa.Column("thermometer_id", sa.Integer(), nullable=False),
        sa.Column("correction", sa.JSON(), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["thermometer_id"],
            ["thermometers.id"],
            name=op.f("fk_place_learned_thermometer_id_thermometers"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("thermometer_id", name=op.f("pk_place_learned")),
    )
    op.add_column("gardens", sa.Column("height_wind_limit_ms", sa.Double(), nullable=True))


def downgrade() -> None:
    op.drop_column("gardens", "height_wind_limit_ms")
    op.drop_table("place_learned")
