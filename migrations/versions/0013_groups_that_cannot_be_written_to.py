"""What keeps the bot from writing to a group, and the group that it was removed from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("gardens", sa.Column("shut", sa.String(length=80), nullable=False, server_default=""))
    op.add_column("gardens", sa.Column("shut_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("gardens", sa.Column("former_chat_id", sa.BigInteger(), nullable=True))
    op.add_column("gardens", sa.Column("former_thread_id", sa.Integer(), nullable=True))


def downgrade() -> None:
    for name in ("former_thread_id", "former_chat_id", "shut_at", "shut"):
        op.drop_column("gardens", name)
