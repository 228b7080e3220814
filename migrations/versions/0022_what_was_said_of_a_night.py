"""What was said of a night at noon before it, for good; when a group is called; official warnings, their feeds and files."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import bot.storage.types

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("night_odds", sa.Column("kind", sa.String(length=40), nullable=True))
    for name in ("lead_h", "untaught_c", "ground_c", "spread_c"):
        op.add_column("night_odds", sa.Column(name, sa.Double(), nullable=True))
    op.add_column("gardens", sa.Column("call_h", sa.Double(), nullable=True))
    op.create_table(
        "warning_feeds",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=True),
        sa.Column("url", sa.String(length=500), nullable=False),
        sa.Column("codes", sa.JSON(), nullable=False),
        sa.Column("named_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("next_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.Column("last_modified", sa.String(length=80), nullable=True),
        sa.Column("answered_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("troubled_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_warning_feeds_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_warning_feeds")),
        sa.UniqueConstraint("garden_id", "url", name=op.f("uq_warning_feeds_garden_id_url")),
    )
    op.create_index(op.f("ix_warning_feeds_garden_id"), "warning_feeds", ["garden_id"])
    op.create_table(
        "warning_files",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("feed_id", sa.Integer(), nullable=False),
        sa.Column("url", sa.String(length=500), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("fetched_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("listed_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["feed_id"], ["warning_feeds.id"], name=op.f("fk_warning_files_feed_id_warning_feeds"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_warning_files")),
        sa.UniqueConstraint("feed_id", "url", name=op.f("uq_warning_files_feed_id_url")),
    )
    op.create_index(op.f("ix_warning_files_feed_id"), "warning_files", ["feed_id"])
    op.create_table(
        "official_warnings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("sender", sa.String(length=200), nullable=False),
        sa.Column("identifier", sa.String(length=200), nullable=False),
        sa.Column("severity", sa.String(length=80), nullable=False),
        sa.Column("starts_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("ends_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("words", sa.JSON(), nullable=False),
        sa.Column("found_at", bot.storage.types.UtcMoment(timezone=True), nullable=False),
        sa.Column("said_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.Column("said", sa.Boolean(), nullable=False),
        sa.Column("ended_at", bot.storage.types.UtcMoment(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_official_warnings_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_official_warnings")),
    )
    op.create_index(op.f("ix_official_warnings_garden_id"), "official_warnings", ["garden_id"])


def downgrade() -> None:
    for table in ("official_warnings", "warning_files", "warning_feeds"):
        op.drop_table(table)
    op.drop_column("gardens", "call_h")
    for name in ("spread_c", "ground_c", "untaught_c", "lead_h", "kind"):
        op.drop_column("night_odds", name)
