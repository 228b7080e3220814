"""Readings that a garden's own sensors send, and how long a weather service wants to be left alone.

Revision ID: 0029
Revises: 0022
Create Date: 2026-11-27
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import bot.storage.types

revision = "0029"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sensor_keys",
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("made_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_sensor_keys_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("garden_id", name=op.f("pk_sensor_keys")),
        sa.UniqueConstraint("digest", name=op.f("uq_sensor_keys_digest")),
    )
    op.create_table(
        "sent_readings",
        sa.Column("thermometer_id", sa.Integer(), nullable=False),
        sa.Column("at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("is_minimum", sa.Boolean(), nullable=False),
        sa.Column("value_c", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(
            ["thermometer_id"],
            ["thermometers.id"],
            name=op.f("fk_sent_readings_thermometer_id_thermometers"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("thermometer_id", "at", "is_minimum", name=op.f("pk_sent_readings")),
    )
    op.create_table(
        "service_pauses",
        sa.Column("service", sa.String(length=80), nullable=False),
        sa.Column("until_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("service", name=op.f("pk_service_pauses")),
    )
    op.create_index("ix_gardens_where", "gardens", ["latitude", "longitude"])


def downgrade() -> None:
    op.drop_index("ix_gardens_where", "gardens")
    for table in ("service_pauses", "sent_readings", "sensor_keys"):
        op.drop_table(table)
