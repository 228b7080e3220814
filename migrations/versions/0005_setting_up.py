"""setting up a garden in the chat, the bot's standing in a group, and whose matters a message speaks of."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "setups",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=True),
        sa.Column("chat_id", sa.BigInteger(), nullable=True),
        sa.Column("thread_id", sa.Integer(), nullable=True),
        sa.Column("title", sa.String(length=80), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=True),
        sa.Column("latitude", sa.Double(), nullable=True),
        sa.Column("longitude", sa.Double(), nullable=True),
        sa.Column("zone", sa.String(length=80), nullable=True),
        sa.Column("asks", sa.String(length=20), nullable=False),
        sa.Column("bot_status", sa.String(length=80), nullable=False),
        sa.Column("draft", sa.JSON(), nullable=False),
        sa.Column("touched_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["garden_id"], ["gardens.id"], name=op.f("fk_setups_garden_id_gardens"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_setups_person_id_people"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setups")),
        sa.UniqueConstraint("person_id", name=op.f("uq_setups_person_id")),
    )
    op.create_index(op.f("ix_setups_chat_id"), "setups", ["chat_id"], unique=False)
    op.add_column("gardens", sa.Column("bot_status", sa.String(length=80), server_default="", nullable=False))
    op.add_column("outbox", sa.Column("garden_id", sa.Integer(), nullable=True))


def downgrade() -> None:
    op.drop_column("outbox", "garden_id")
    op.drop_column("gardens", "bot_status")
    op.drop_index(op.f("ix_setups_chat_id"), table_name="setups")
    op.drop_table("setups")
