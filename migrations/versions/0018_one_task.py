"""One table for all that is to be done, from a warning or from the day; what a warning has said in columns of its own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

#: What the work of a day was called, as a warning's tasks call it.
_TASKS = {"open": "vent"}
_FLAGS = ("again", "by_hand", "too_late", "cut_short", "cleared", "spared", "open_called", "silent", "untold")
_LISTS = ("said_needs", "safe", "stay", "lost", "spell")
_NUMBERS = (
    "called_plant_c", "called_gust_ms", "said_probability", "said_ground_c", "plant_c", "low_c", "high_c", "gust_ms",
    "odds",
)  # fmt: skip
_MOMENTS = ("called_from_at", "called_to_at", "severe_from_at", "severe_to_at", "said_due_at", "spoken_due_at")
_WORDS = ("said_severity", "said_loudest")

_META = sa.MetaData()


def _table(name: str, *columns: sa.Column[Any]) -> sa.Table:
    return sa.Table(name, _META, *columns)


def _when(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.DateTime(timezone=True))


def _number(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Integer())


def _word(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.String())


_ALIKE = ("support_id", "people", "minutes", "target_place_id", "done_by", "place_id", "warning_id")
_MEMBERS = (
    "state",
    "why",
    "asked_at",
    "told_at",
    "reminded_at",
    "answered_at",
    "home_asked_at",
    "home_said_at",
    "home_told_at",
)
_warnings = _table(
    "warnings", _number("id"), _number("garden_id"), sa.Column("window_on", sa.Date()), sa.Column("said", sa.JSON()),
    *(sa.Column(name, sa.Boolean()) for name in _FLAGS), *(sa.Column(name, sa.JSON()) for name in _LISTS),
    *(sa.Column(name, sa.Double()) for name in _NUMBERS), *map(_when, _MOMENTS), *map(_word, _WORDS), _word("off_reason"),
)  # fmt: skip
_duties = _table(
    "duties", _number("id"), *map(_number, _ALIKE), _word("task"), _word("cover"), sa.Column("unliftable", sa.Boolean()),
    _word("crops"), _when("starts_at"), _when("due_at"), _word("state"), _when("done_at"), _when("escalated_at"),
)  # fmt: skip
_tasks = _table(
    "tasks", _number("id"), _number("garden_id"), sa.Column("on", sa.Date()), _word("part"), *map(_number, _ALIKE),
    _word("kind"), _word("cover"), sa.Column("unliftable", sa.Boolean()), _word("crops"), sa.Column("litres", sa.Double()),
    _word("item"), sa.Column("why", sa.JSON()), _when("starts_at"), _when("due_at"), _word("state"), _when("done_at"),
    _when("escalated_at"), _when("told_due_at"), _number("more"), _when("unneeded_since_at"), _when("kept_until_at"),
)  # fmt: skip
_turns = _table(
    "day_turns", _number("id"), _number("garden_id"), sa.Column("on", sa.Date()), _word("part"),
    sa.Column("chores", sa.JSON()), _number("minutes"), _when("due_at"), _word("state"), _when("done_at"),
    _number("done_by"), _when("escalated_at"),
)  # fmt: skip
_turn_asks = _table(
    "day_turn_asks", _number("id"), _number("turn_id"), _number("member_id"), _word("state"), _when("asked_at"),
    _when("answered_at"),
)  # fmt: skip
_asks = _table(
    "asks", _number("id"), _number("task_id"), _number("member_id"), _word("state"), _word("why"), _when("asked_at"),
    _when("answered_at"),
)  # fmt: skip
_old_reports = _table(
    "duty_reports", _number("id"), _number("duty_id"), _number("member_id"), sa.Column("done", sa.Boolean()),
    _when("reported_at"), sa.Column("before", sa.JSON()),
)  # fmt: skip
_reports = _table(
    "task_reports", _number("id"), _number("task_id"), _number("member_id"), sa.Column("done", sa.Boolean()),
    _when("reported_at"), sa.Column("before", sa.JSON(none_as_null=True)),
)  # fmt: skip
_aways = _table("aways", _number("id"), sa.Column("given_on", sa.JSON(none_as_null=True)))
_places = _table("places", _number("id"))


def upgrade() -> None:
    connection = op.get_bind()
    _make_tasks()
    _add_said()
    _carry_duties(connection)
    _carry_said(connection)
    _point_at("asks", "duty_id", "duties", "task_id", "tasks", "CASCADE", index=False)
    _point_at("place_reports", "duty_id", "duties", "task_id", "tasks", "SET NULL", index=True)
    _carry_reports(connection)
    _carry_days(connection)
    op.drop_index(op.f("ix_duty_reports_duty_id"), table_name="duty_reports")
    op.drop_table("duty_reports")
    op.drop_index(op.f("ix_day_turn_asks_member_id"), table_name="day_turn_asks")
    op.drop_table("day_turn_asks")
    op.drop_index(op.f("ix_day_turns_garden_id"), table_name="day_turns")
    op.drop_table("day_turns")
    op.drop_index(op.f("ix_duties_warning_id"), table_name="duties")
    op.drop_table("duties")
    op.drop_column("warnings", "said")


def _make_tasks() -> None:
    op.create_table(
        "tasks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("garden_id", sa.Integer(), nullable=False),
        sa.Column("warning_id", sa.Integer(), nullable=True),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("part", sa.String(length=40), nullable=True),
        sa.Column("place_id", sa.Integer(), nullable=True),
        sa.Column("support_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("target_place_id", sa.Integer(), nullable=True),
        sa.Column("cover", sa.String(length=40), nullable=True),
        sa.Column("unliftable", sa.Boolean(), nullable=False),
        sa.Column("crops", sa.String(length=200), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("litres", sa.Double(), nullable=True),
        sa.Column("item", sa.String(length=200), nullable=False),
        sa.Column("why", sa.JSON(), nullable=False),
        *(sa.Column(name, sa.DateTime(timezone=True), nullable=False) for name in ("starts_at", "due_at")),
        sa.Column("state", sa.String(length=40), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by", sa.Integer(), nullable=True),
        sa.Column("escalated_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("told_due_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("more", sa.Integer(), nullable=False),
        sa.Column("unneeded_since_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("kept_until_at", sa.DateTime(timezone=True), nullable=True),
        *(
            sa.ForeignKeyConstraint([name], [f"{of}.id"], name=op.f(f"fk_tasks_{name}_{of}"), ondelete=gone)
            for name, of, gone in (
                ("done_by", "members", "SET NULL"),
                ("garden_id", "gardens", "CASCADE"),
                ("place_id", "places", "CASCADE"),
                ("target_place_id", "places", "SET NULL"),
                ("warning_id", "warnings", "CASCADE"),
            )
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tasks")),
        sa.UniqueConstraint(
            "warning_id", "place_id", "support_id", "kind", name=op.f("uq_tasks_warning_id_place_id_support_id_kind")
        ),
    )
    op.create_index(op.f("ix_tasks_garden_id"), "tasks", ["garden_id"], unique=False)
    op.create_index(op.f("ix_tasks_warning_id"), "tasks", ["warning_id"], unique=False)
    op.create_table(
        "task_reports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("task_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("reported_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("before", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["task_id"], ["tasks.id"], name=op.f("fk_task_reports_task_id_tasks"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_task_reports_member_id_members"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_task_reports")),
    )
    op.create_index(op.f("ix_task_reports_task_id"), "task_reports", ["task_id"], unique=False)


def _add_said() -> None:
    """Not as a batch: that would make the table anew, and dropping the old one would take along every row on it."""
    for name in _FLAGS:
        op.add_column("warnings", sa.Column(name, sa.Boolean(), nullable=False, server_default=sa.false()))
    for name in _LISTS:
        op.add_column("warnings", sa.Column(name, sa.JSON(), nullable=False, server_default=sa.text("'[]'")))
    for name in _NUMBERS:
        op.add_column("warnings", sa.Column(name, sa.Double(), nullable=True))
    for name in _MOMENTS:
        op.add_column("warnings", sa.Column(name, sa.DateTime(timezone=True), nullable=True))
    for name in _WORDS:
        op.add_column("warnings", sa.Column(name, sa.String(length=40), nullable=True))
    op.add_column("warnings", sa.Column("off_reason", sa.Text(), nullable=True))


def _point_at(table: str, old: str, of: str, new: str, to: str, gone: str, *, index: bool) -> None:
    """A column that pointed at one table points at another, with the same numbers; nothing hangs on these two's rows."""
    if index:
        op.drop_index(op.f(f"ix_{table}_{old}"), table_name=table)
    with op.batch_alter_table(table) as batch:
        batch.drop_constraint(op.f(f"fk_{table}_{old}_{of}"), type_="foreignkey")
        if table == "asks":
            batch.drop_constraint(op.f(f"uq_asks_{old}_member_id"), type_="unique")
        batch.alter_column(old, new_column_name=new)
    with op.batch_alter_table(table) as batch:
        batch.create_foreign_key(op.f(f"fk_{table}_{new}_{to}"), to, [new], ["id"], ondelete=gone)
        if table == "asks":
            batch.create_unique_constraint(op.f(f"uq_asks_{new}_member_id"), [new, "member_id"])
    if index:
        op.create_index(op.f(f"ix_{table}_{new}"), table, [new], unique=False)


def _carry_duties(connection: sa.Connection) -> None:
    """Each duty is a task of the same number, with what its warning had said of it."""
    said_of = sa.select(_warnings.c.id, _warnings.c.garden_id, _warnings.c.window_on, _warnings.c.said)
    warnings = {row.id: row for row in connection.execute(said_of)}
    for row in connection.execute(sa.select(_duties).order_by(_duties.c.id)).mappings():
        values = {"kind" if name == "task" else name: value for name, value in row.items()}
        warning = warnings[row["warning_id"]]
        said, key = warning.said or {}, str(row["id"])
        connection.execute(
            sa.insert(_tasks).values(
                **values, garden_id=warning.garden_id, on=warning.window_on, item="", why=[],
                more=said.get("more", {}).get(key, 0), told_due_at=_moment(said.get("told", {}).get(key)),
                unneeded_since_at=_moment(said.get("unneeded", {}).get(key)),
                kept_until_at=_moment(said.get("kept", {}).get(key)),
            )
        )  # fmt: skip


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _carry_said(connection: sa.Connection) -> None:
    for id_, said in list(connection.execute(sa.select(_warnings.c.id, _warnings.c.said))):
        connection.execute(sa.update(_warnings).where(_warnings.c.id == id_).values(**_said(said or {})))


def _said(said: Mapping[str, Any]) -> dict[str, Any]:
    last, called, severe, facts = (said.get(name) or {} for name in ("last", "called", "severe", "facts"))
    return {
        **{name: bool(said.get(name)) for name in _FLAGS if name != "open_called"},
        "open_called": bool(said.get("open_call")),
        "called_plant_c": called.get("plant_c"),
        "called_gust_ms": called.get("gust_ms"),
        "called_from_at": _moment(called.get("from")),
        "called_to_at": _moment(called.get("to")),
        "severe_from_at": _moment(severe.get("from")),
        "severe_to_at": _moment(severe.get("to")),
        "off_reason": said.get("off"),
        "said_severity": last.get("severity"),
        "said_loudest": last.get("loudest"),
        "said_due_at": _moment(last.get("due_at")),
        "spoken_due_at": _moment(last.get("spoken_due_at")),
        "said_probability": last.get("probability"),
        "said_needs": last.get("needs", []),
        "said_ground_c": last.get("ground_c"),
        **{name: facts.get(name) for name in ("plant_c", "low_c", "high_c", "gust_ms")},
        "safe": [[span["from"], span["to"]] for span in said.get("safe", [])],
        "stay": said.get("stay", []),
        "lost": said.get("lost", []),
    }


def _carry_reports(connection: sa.Connection) -> None:
    for row in connection.execute(sa.select(_old_reports).order_by(_old_reports.c.id)).mappings():
        values = {**row, "task_id": row["duty_id"]}
        del values["duty_id"]
        connection.execute(sa.insert(_reports).values(**values))


def _carry_days(connection: sa.Connection) -> None:
    """Each thing that a walk did is a task, and whoever was asked for the walk was asked for each."""
    next_id = (connection.execute(sa.select(sa.func.max(_tasks.c.id))).scalar() or 0) + 1
    next_ask = (connection.execute(sa.select(sa.func.max(_asks.c.id))).scalar() or 0) + 1
    places = set(connection.execute(sa.select(_places.c.id)).scalars())
    asks: dict[int, list[Any]] = defaultdict(list)
    for ask in connection.execute(sa.select(_turn_asks).order_by(_turn_asks.c.id)):
        asks[ask.turn_id].append(ask)
    became: dict[int, list[int]] = defaultdict(list)
    for turn in list(connection.execute(sa.select(_turns).order_by(_turns.c.id))):
        for chore in turn.chores:
            if chore["place_id"] and chore["place_id"] not in places:
                continue
            connection.execute(sa.insert(_tasks).values(id=next_id, **_chore(turn, chore)))
            for ask in asks[turn.id]:
                connection.execute(
                    sa.insert(_asks).values(
                        id=next_ask, task_id=next_id, member_id=ask.member_id, state=ask.state, why="",
                        asked_at=ask.asked_at, answered_at=ask.answered_at,
                    )
                )  # fmt: skip
                became[ask.id].append(next_ask)
                next_ask += 1
            next_id += 1
    if connection.dialect.name == "postgresql":  # which counts on by itself
        for name in ("tasks", "asks", "task_reports"):
            last = f"(SELECT coalesce(max(id), 0) + 1 FROM {name})"
            connection.execute(sa.text(f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), {last}, false)"))
    for away in list(connection.execute(sa.select(_aways).where(_aways.c.given_on.is_not(None)))):
        walks = [[one, *states] for id_, *states in away.given_on.get("walks", []) for one in became[id_]]
        kept = {"asks": [*away.given_on.get("asks", []), *walks]}
        connection.execute(sa.update(_aways).where(_aways.c.id == away.id).values(given_on=kept))


def _chore(turn: Any, chore: Mapping[str, Any]) -> dict[str, Any]:
    due_at = _moment(chore.get("due_at")) or turn.due_at
    return {
        "garden_id": turn.garden_id, "warning_id": None, "on": _day(turn.on), "part": turn.part,
        "place_id": chore["place_id"] or None, "support_id": 0, "kind": _TASKS.get(chore["kind"], chore["kind"]),
        "target_place_id": None, "cover": None, "unliftable": False, "crops": "", "people": 1,
        "minutes": chore.get("minutes", turn.minutes), "litres": chore.get("litres"), "item": chore.get("key", "")[:200],
        "why": chore.get("why", []), "starts_at": turn.due_at, "due_at": due_at, "state": turn.state,
        "done_at": turn.done_at, "done_by": turn.done_by, "escalated_at": turn.escalated_at, "more": 0,
    }  # fmt: skip


def _day(value: date | str) -> date:
    return value if isinstance(value, date) else date.fromisoformat(value)


def downgrade() -> None:
    """The work of days is forgotten, and so is what warnings have said: it is said anew."""
    connection = op.get_bind()
    op.create_table(
        "duties",
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("id", "warning_id", "place_id", "support_id")),
        sa.Column("task", sa.String(length=40), nullable=False),
        sa.Column("target_place_id", sa.Integer(), nullable=True),
        sa.Column("cover", sa.String(length=40), nullable=True),
        sa.Column("unliftable", sa.Boolean(), nullable=False),
        sa.Column("crops", sa.String(length=200), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("people", "minutes")),
        *(sa.Column(name, sa.DateTime(timezone=True), nullable=False) for name in ("starts_at", "due_at")),
        sa.Column("state", sa.String(length=40), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by", sa.Integer(), nullable=True),
        sa.Column("escalated_at", sa.DateTime(timezone=True), nullable=True),
        *(
            sa.ForeignKeyConstraint([name], [f"{of}.id"], name=op.f(f"fk_duties_{name}_{of}"), ondelete=gone)
            for name, of, gone in (
                ("done_by", "members", "SET NULL"),
                ("place_id", "places", "CASCADE"),
                ("target_place_id", "places", "SET NULL"),
                ("warning_id", "warnings", "CASCADE"),
            )
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_duties")),
        sa.UniqueConstraint(
            "warning_id", "place_id", "support_id", "task", name=op.f("uq_duties_warning_id_place_id_support_id_task")
        ),
    )
    op.create_index(op.f("ix_duties_warning_id"), "duties", ["warning_id"], unique=False)
    _make_reports_and_days()
    connection.execute(sa.delete(_tasks).where(_tasks.c.warning_id.is_(None)))  # with their asks and reports
    for row in connection.execute(sa.select(_tasks).order_by(_tasks.c.id)).mappings():
        values = {"task" if name == "kind" else name: value for name, value in row.items()}
        known = {name: value for name, value in values.items() if name in _duties.c}
        connection.execute(sa.insert(_duties).values(**known))
    for row in connection.execute(sa.select(_reports).order_by(_reports.c.id)).mappings():
        report = {"duty_id" if name == "task_id" else name: value for name, value in row.items()}
        connection.execute(sa.insert(_old_reports).values(**report))
    _point_at("asks", "task_id", "tasks", "duty_id", "duties", "CASCADE", index=False)
    _point_at("place_reports", "task_id", "tasks", "duty_id", "duties", "SET NULL", index=True)
    op.drop_index(op.f("ix_task_reports_task_id"), table_name="task_reports")
    op.drop_table("task_reports")
    op.drop_index(op.f("ix_tasks_warning_id"), table_name="tasks")
    op.drop_index(op.f("ix_tasks_garden_id"), table_name="tasks")
    op.drop_table("tasks")
    op.add_column("warnings", sa.Column("said", sa.JSON(), nullable=False, server_default=sa.text("'{}'")))
    for name in (*_FLAGS, *_LISTS, *_NUMBERS, *_MOMENTS, *_WORDS, "off_reason"):
        op.drop_column("warnings", name)


def _make_reports_and_days() -> None:
    op.create_table(
        "duty_reports",
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("id", "duty_id")),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("reported_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("before", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["duty_id"], ["duties.id"], name=op.f("fk_duty_reports_duty_id_duties"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_duty_reports_member_id_members"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_duty_reports")),
    )
    op.create_index(op.f("ix_duty_reports_duty_id"), "duty_reports", ["duty_id"], unique=False)
    op.create_table(
        "day_turns",
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("id", "garden_id", "minutes")),
        sa.Column("on", sa.Date(), nullable=False),
        *(sa.Column(name, sa.String(length=40), nullable=False) for name in ("part", "state")),
        sa.Column("chores", sa.JSON(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        *(sa.Column(name, sa.DateTime(timezone=True), nullable=True) for name in ("done_at", "escalated_at")),
        sa.Column("done_by", sa.Integer(), nullable=True),
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
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("id", "turn_id", "member_id")),
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
