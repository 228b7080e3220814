"""What waits to be sent, what was tried, and what changes a message are found however many messages there are."""

from __future__ import annotations

from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_index("ix_outbox_in_turn", "outbox", ["state", "urgency", "id"])
    op.create_index("ix_outbox_tried", "outbox", ["state", "attempts"])
    op.create_index("ix_outbox_edits", "outbox", ["edits"])


def downgrade() -> None:
    op.drop_index("ix_outbox_edits", "outbox")
    op.drop_index("ix_outbox_tried", "outbox")
    op.drop_index("ix_outbox_in_turn", "outbox")
