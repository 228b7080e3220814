"""past days, turns, hose ban."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Not in batch mode: that would make the table of gardens anew, and every row that hangs on it would go with the old.
    op.add_column("gardens", sa.Column("hose_ban", sa.Boolean(), server_default=sa.false(), nullable=False))
    op.add_column("gardens", sa.Column("turns_planned_on", sa.Date(), nullable=True))
    op.create_table(
        "past_days",
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("source", sa.String(length=80), nullable=False),
        sa.Column("noted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("min_c", sa.Double(), nullable=True),
        sa.Column("max_c", sa.Double(), nullable=True),
        sa.Column("mean_c", sa.Double(), nullable=True),
        sa.Column("dew_c", sa.Double(), nullable=True),
        sa.Column("humidity_min_pct", sa.Double(), nullable=True),
        sa.Column("humidity_max_pct", sa.Double(), nullable=True),
        sa.Column("wind_ms", sa.Double(), nullable=True),
        sa.Column("cloud_pct", sa.Double(), nullable=True),
        sa.Column("sun_mj_m2", sa.Double(), nullable=True),
        sa.Column("rain_mm", sa.Double(), nullable=True),
        sa.Column("hours", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_past_days_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("garden_id", "on", name=op.f("pk_past_days")),
    )
    op.create_table(
        "day_turns",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("part", sa.String(length=40), nullable=False),
        sa.Column("chores", sa.JSON(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=40), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by", sa.Integer(), nullable=True),
        sa.Column("escalated_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["done_by"], ["members.id"], name=op.f("fk_day_turns_done_by_members"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_day_turns_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_turns")),
        sa.UniqueConstraint("garden_id", "on", "part", name=op.f("uq_day_turns_garden_id_on_part")),
    )
    op.create_index(op.f("ix_day_turns_garden_id"), "day_turns", ["garden_id"], unique=False)
    op.create_table(
        "day_turn_asks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("turn_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=40), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_day_turn_asks_member_id_members"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["turn_id"], ["day_turns.id"], name=op.f("fk_day_turn_asks_turn_id_day_turns"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_day_turn_asks")),
        sa.UniqueConstraint("turn_id", "member_id", name=op.f("uq_day_turn_asks_turn_id_member_id")),
    )
    op.create_index(op.f("ix_day_turn_asks_member_id"), "day_turn_asks", ["member_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_day_turn_asks_member_id"), table_name="day_turn_asks")
    op.drop_table("day_turn_asks")
    op.drop_index(op.f("ix_day_turns_garden_id"), table_name="day_turns")
    op.drop_table("day_turns")
    op.drop_table("past_days")
    op.drop_column("gardens", "turns_planned_on")
    op.drop_column("gardens", "hose_ban")
