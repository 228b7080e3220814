"""A ledger of what people report of places, in place of flags that each report wrote over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

_HOUSES = ("tunnel", "greenhouse", "cold frame")
_ON = {
    "cover": "covered", "bring in": "brought in", "move out of the rain": "brought in", "lay down": "laid down",
    "earth up": "earthed up",
}  # fmt: skip
_OFF = {"uncover": "uncovered", "put back": "put back", "stand up": "stood up"}
_EARTH_FOR = timedelta(days=4)
#: A note tells a day, not a night: whatever was covered by it is taken to be on surely until about the next morning.
_NOTE_FOR = timedelta(hours=18)


def upgrade() -> None:
    op.create_table(
        "place_reports",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("did", sa.String(length=40), nullable=False),
        sa.Column("cover", sa.String(length=40), nullable=True),
        sa.Column("target_place_id", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("still", sa.Boolean(), server_default=sa.false(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("duty_id", sa.Integer(), nullable=True),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["duty_id"], ["duties.id"], name=op.f("fk_place_reports_duty_id_duties"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["journal.id"], name=op.f("fk_place_reports_entry_id_journal"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["members.id"], name=op.f("fk_place_reports_member_id_members"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["place_id"], ["places.id"], name=op.f("fk_place_reports_place_id_places"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["target_place_id"],
            ["places.id"],
            name=op.f("fk_place_reports_target_place_id_places"),
            ondelete="SET NULL",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_place_reports")),
    )
    op.create_index(op.f("ix_place_reports_place_id"), "place_reports", ["place_id"], unique=False)
    op.create_index(op.f("ix_place_reports_duty_id"), "place_reports", ["duty_id"], unique=False)
    op.create_index(op.f("ix_place_reports_entry_id"), "place_reports", ["entry_id"], unique=False)
    _carry_over(op.get_bind())
    # Not as a batch: that would make the table anew, and dropping the old one would take along every row that points at it.
    op.drop_column("duties", "before")


def downgrade() -> None:
    """What lies over places for a night is forgotten; their records stay, so that every warning comes as for bare ground."""
    op.add_column("duties", sa.Column("before", sa.JSON(), nullable=True))
    op.drop_index(op.f("ix_place_reports_entry_id"), table_name="place_reports")
    op.drop_index(op.f("ix_place_reports_duty_id"), table_name="place_reports")
    op.drop_index(op.f("ix_place_reports_place_id"), table_name="place_reports")
    op.drop_table("place_reports")


class _Told(NamedTuple):
    """before: the record as it stood then, None where that was not kept; restores: the record goes back to what it was."""

    at: datetime
    row: dict[str, Any]
    before: dict[str, Any] | None = None
    restores: dict[str, Any] | None = None


def _when(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.DateTime(timezone=True))


def _number(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Integer())


def _word(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.String())


_META = sa.MetaData()
_places = sa.Table("places", _META, _number("id"), _word("kind"), _word("cover"), _word("inside"))
_warnings = sa.Table("warnings", _META, _number("id"), _when("ends_at"))
_duties = sa.Table(
    "duties", _META, _number("id"), _number("warning_id"), _number("place_id"), _word("task"), _word("state"),
    _word("cover"), _number("target_place_id"), sa.Column("before", sa.JSON()), _when("due_at"), _when("done_at"),
    _number("done_by"),
)  # fmt: skip
_journal = sa.Table(
    "journal", _META, _number("id"), _number("member_id"), _number("place_id"), _word("action"), _when("written_at"),
    sa.Column("undo", sa.JSON()), _when("undone_at"),
)  # fmt: skip
_turns = sa.Table(
    "day_turns", _META, _number("id"), sa.Column("chores", sa.JSON()), _word("state"), _when("due_at"),
    _when("done_at"), _number("done_by"),
)  # fmt: skip
_reports = sa.Table(
    "place_reports", _META, _number("place_id"), _word("did"), _word("cover"), _number("target_place_id"), _when("at"),
    _when("until_at"), sa.Column("still", sa.Boolean()), _number("member_id"), _number("duty_id"), _number("entry_id"),
)  # fmt: skip


_KEPT = tuple(column.name for column in _reports.c)


def _carry_over(connection: sa.Connection) -> None:
    """Each thing that was reported done becomes a report, and each place's record is again what organisers wrote down."""
    places = {row.id: row for row in connection.execute(sa.select(_places))}
    told: dict[int, list[_Told]] = defaultdict(list)
    for place_id, one in [*_of_duties(connection, places), *_of_journal(connection), *_of_turns(connection)]:
        if place_id in places:
            told[place_id].append(one)
    for place_id, events in told.items():
        events.sort(key=lambda one: one.at)
        _carry_place(connection, places[place_id], events)


def _carry_place(connection: sa.Connection, place: Any, events: list[_Told]) -> None:
    """Follow the flags through what was told. Where they are not what it made of them, an organiser wrote them anew."""
    now = {"cover": place.cover, "inside": place.inside}
    first = next((one.before for one in events if one.before is not None), None)
    base = stands = {**now, **(first or {})} if first is not None else now
    rows: list[dict[str, Any]] = []
    for one in events:
        if one.before is not None and any(stands[key] != value for key, value in one.before.items()):
            base = stands = {**stands, **one.before}
            rows.append(_row(place_id=place.id, did="recorded", at=one.at - timedelta(seconds=1)))
        rows.append(one.row)
        stands = {**stands, **_made(one)}
    if stands == now:
        connection.execute(sa.update(_places).where(_places.c.id == place.id).values(**base))
    elif first is not None:
        rows.append(_row(place_id=place.id, did="recorded", at=events[-1].at + timedelta(seconds=1)))
    connection.execute(sa.insert(_reports), [{key: row[key] for key in _KEPT} for row in rows])


def _made(one: _Told) -> dict[str, Any]:
    if one.restores is not None:
        return one.restores
    if one.before is None:
        return {}
    if one.row["did"] in ("covered", "uncovered"):
        return {"cover": one.row["cover"] or "none"}
    return {"inside": one.row["house"]} if one.row["did"] == "brought in" else {}


def _row(**values: Any) -> dict[str, Any]:
    empty = dict.fromkeys(("cover", "target_place_id", "until_at", "member_id", "duty_id", "entry_id"))
    return {**empty, "still": False, **values}


def _of_duties(connection: sa.Connection, places: dict[int, Any]) -> Iterable[tuple[int, _Told]]:
    ends = {row.id: row.ends_at for row in connection.execute(sa.select(_warnings))}
    duties = list(connection.execute(sa.select(_duties).where(_duties.c.state == "done").order_by(_duties.c.id)))
    before = {
        (duty.warning_id, duty.place_id, undoes): duty.before
        for duty in duties
        for task, undoes in (("cover", "uncover"), ("bring in", "put back"))
        if duty.task == task and duty.before
    }
    for duty in duties:
        kind = places[duty.place_id].kind if duty.place_id in places else ""
        shuts = duty.task == "pin down" and kind in _HOUSES
        did = "shut" if shuts else "opened" if duty.task == "vent" else _ON.get(duty.task) or _OFF.get(duty.task)
        if did is None:
            continue
        at, house = duty.done_at or duty.due_at, places.get(duty.target_place_id)
        until_at = ends.get(duty.warning_id, at) if duty.task in _ON else None
        row = _row(
            place_id=duty.place_id, did=did, cover=duty.cover if did == "covered" else None, at=at,
            target_place_id=duty.target_place_id if did == "brought in" else None,
            until_at=at + _EARTH_FOR if did == "earthed up" else until_at,
            member_id=duty.done_by, duty_id=duty.id,
        )  # fmt: skip
        row["house"] = house.kind if house is not None else None
        kept = duty.before if duty.task in ("cover", "bring in") else None
        yield duty.place_id, _Told(at, row, kept, before.get((duty.warning_id, duty.place_id, duty.task)))


def _of_journal(connection: sa.Connection) -> Iterable[tuple[int, _Told]]:
    noted = sa.select(_journal).where(
        _journal.c.undone_at.is_(None), _journal.c.action.in_(("covered", "uncovered", "earthed up"))
    )
    for entry in connection.execute(noted.order_by(_journal.c.id)):
        if entry.place_id is None:
            continue
        cover = (entry.undo or {}).get("cover") or {}
        if not cover and entry.action != "earthed up":
            continue
        lasts = {"covered": _NOTE_FOR, "earthed up": _EARTH_FOR}.get(entry.action)
        row = _row(
            place_id=entry.place_id, did=entry.action, at=entry.written_at, member_id=entry.member_id,
            cover=cover.get("after") if entry.action == "covered" else None,
            until_at=entry.written_at + lasts if lasts else None, entry_id=entry.id,
        )  # fmt: skip
        before = {"cover": cover["before"]} if cover else None
        yield entry.place_id, _Told(entry.written_at, row, before)


def _of_turns(connection: sa.Connection) -> Iterable[tuple[int, _Told]]:
    for turn in connection.execute(sa.select(_turns).where(_turns.c.state == "done").order_by(_turns.c.id)):
        at = turn.done_at or turn.due_at
        for chore in turn.chores or []:
            did = {"open": "opened", "close": "shut"}.get(chore.get("kind"))
            if did is not None and chore.get("place_id"):
                row = _row(place_id=chore["place_id"], did=did, at=at, member_id=turn.done_by)
                yield chore["place_id"], _Told(at, row)
