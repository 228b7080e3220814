"""Named helpers for people without the app; corrections, reports of duties, and when somebody was last heard from."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "named_helpers",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("helper_id", sa.Integer(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("agreed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["helper_id"], ["members.id"], name=op.f("fk_named_helpers_helper_id_members"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_named_helpers_member_id_members"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("member_id", name=op.f("pk_named_helpers")),
    )
    op.create_index(op.f("ix_named_helpers_helper_id"), "named_helpers", ["helper_id"], unique=False)
    op.create_table(
        "duty_reports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("duty_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("reported_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["duty_id"], ["duties.id"], name=op.f("fk_duty_reports_duty_id_duties"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_duty_reports_member_id_members"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_duty_reports")),
    )
    op.create_index(op.f("ix_duty_reports_duty_id"), "duty_reports", ["duty_id"], unique=False)
    op.add_column("asks", sa.Column("told_at", sa.DateTime(timezone=True), nullable=True))
    # A table with a new foreign key is made anew on SQLite; nothing else hangs on the journal's rows.
    with op.batch_alter_table("journal", schema=None) as batch_op:
        batch_op.add_column(sa.Column("corrects_id", sa.Integer(), nullable=True))
        batch_op.create_index(batch_op.f("ix_journal_corrects_id"), ["corrects_id"], unique=False)
        batch_op.create_foreign_key(
            batch_op.f("fk_journal_corrects_id_journal"), "journal", ["corrects_id"], ["id"], ondelete="SET NULL"
        )

    op.add_column("members", sa.Column("heard_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("members", sa.Column("still_asked_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    # Not as a batch: that would make the table anew, and dropping the old one would take along every row that points at it.
    op.drop_column("members", "still_asked_at")
    op.drop_column("members", "heard_at")

    with op.batch_alter_table("journal", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("fk_journal_corrects_id_journal"), type_="foreignkey")
        batch_op.drop_index(batch_op.f("ix_journal_corrects_id"))
        batch_op.drop_column("corrects_id")

    op.drop_column("asks", "told_at")

    op.drop_index(op.f("ix_duty_reports_duty_id"), table_name="duty_reports")
    op.drop_table("duty_reports")
    op.drop_index(op.f("ix_named_helpers_helper_id"), table_name="named_helpers")
    op.drop_table("named_helpers")
