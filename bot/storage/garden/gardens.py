"""Gardens, and the snapshot of one for core."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, bindparam, or_, select
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased

from bot.core.garden import snapshot as core
from bot.storage import claims, revision
from bot.storage.models import (
    Garden,
    Member,
    NamedHelper,
    NightMinimum,
    Person,
    Place,
    Planting,
    Plot,
    PlotHolder,
    Support,
)
from bot.storage.read_once import forget, lasting, resume

#: So long one look at a garden may take: what hangs must not keep the others waiting.
LONGEST_LOOK = timedelta(minutes=3)
#: So long asking the services for a few gardens may take.
LONGEST_ASK = timedelta(minutes=15)
#: No garden is left alone for longer, nor a weather service.
LONGEST_REST, LONGEST_PAUSE = timedelta(hours=2), timedelta(days=2)

_PLACE = (
    Place.id, Place.name, Place.kind, Place.plot_id, Place.shared, Place.movable, Place.cover, Place.length_m,
    Place.width_m, Place.height_m, Place.volume_l, Place.wet_kg, Place.inside, Place.needs_key,
    Place.walk_min,
)  # fmt: skip
_PLANTING = (
    Planting.id, Planting.crop, Planting.place_id, Planting.stage, Planting.count, Planting.variety, Planting.batch,
    Planting.height_cm, Planting.sown_on, Planting.potted_on, Planting.hardening_on, Planting.planted_on,
    Planting.stage_on,
)  # fmt: skip
_SUPPORT = (
    Support.id, Support.place_id, Support.kind, Support.height_m, Support.width_m, Support.solidity, Support.ties,
    Support.tie_n,
)  # fmt: skip


async def all_gardens(session: AsyncSession) -> Sequence[Garden]:
    return (await session.scalars(select(Garden).order_by(Garden.id))).all()


async def all_ids(session: AsyncSession) -> Sequence[int]:
    """Numbers only, so that a garden whose row cannot be read keeps no other away."""
    return (await session.scalars(select(Garden.id).order_by(Garden.id))).all()


async def due(
    session: AsyncSession, now: datetime, after_id: int, most_n: int, *, every: bool = False
) -> dict[int, int]:
    """The next gardens that are to be looked at by now, by number: the revision that each is at. every: due or not.

    On PostgreSQL they are left to this process until they have been looked at, or for as long as a look may take.
    """
    query = select(Garden.id, Garden.revision).where(Garden.id > after_id).order_by(Garden.id).limit(most_n)
    if not every:
        query = query.where(_by(Garden.next_look_at, now, LONGEST_REST))
    rows = (await session.execute(query.with_for_update(skip_locked=True))).all()
    if not claims.owns_all(session):
        for id_, revision_n in rows:
            await revision.look_again(session, id_, revision_n, now + LONGEST_LOOK)
    return {row.id: row.revision for row in rows}


async def without_weather(session: AsyncSession, now: datetime, after_id: int, most_n: int) -> Sequence[int]:
    """The next ones for which a weather service may be asked by now; on PostgreSQL they are left to this process a while."""
    query = select(Garden.id).where(Garden.id > after_id, _by(Garden.ask_weather_at, now, LONGEST_PAUSE))
    ids = (await session.scalars(query.order_by(Garden.id).limit(most_n).with_for_update(skip_locked=True))).all()
    if not claims.owns_all(session):
        for id_ in ids:
            await revision.ask_weather(session, id_, now + LONGEST_ASK)
    return ids


async def without_past_nights(session: AsyncSession, archive: str, garden_id: int | None = None) -> Sequence[int]:
    """Those near which no past night is on record, or only nights of that source without their days' maxima: of all, or
    of one."""
    known = select(NightMinimum.on).where(
        NightMinimum.garden_id == Garden.id, or_(NightMinimum.source != archive, NightMinimum.max_c.is_not(None))
    )
    query = select(Garden.id).where(~known.exists())
    query = query if garden_id is None else query.where(Garden.id == garden_id)
    return (await session.scalars(query.order_by(Garden.id))).all()


def _by(moment: Any, now: datetime, longest: timedelta) -> ColumnElement[bool]:
    """Whether it has come; one that is further ahead than any is planned is from a clock that has been put right since."""
    return or_(moment.is_(None), moment <= now, moment > now + longest)


async def by_id(session: AsyncSession, garden_id: int) -> Garden | None:
    return await session.get(Garden, garden_id)


async def place(session: AsyncSession, place_id: int | None) -> Place | None:
    return await session.get(Place, place_id) if place_id is not None else None


async def in_chat(session: AsyncSession, chat_id: int, thread_id: int | None = None) -> Sequence[Garden]:
    """The gardens of a group chat; where several share one, those of that topic, if any has it."""
    found = await of_chat(session, chat_id)
    return [garden for garden in found if garden.thread_id == thread_id] or found


async def of_chat(session: AsyncSession, chat_id: int) -> Sequence[Garden]:
    """All gardens of a group chat, whatever their topics."""
    return (await session.scalars(select(Garden).where(Garden.chat_id == chat_id).order_by(Garden.id))).all()


async def formerly_of(session: AsyncSession, chat_id: int) -> Sequence[Garden]:
    """Gardens that are in no group since the bot was removed from this one."""
    query = select(Garden).where(Garden.former_chat_id == chat_id, Garden.chat_id.is_(None))
    return (await session.scalars(query.order_by(Garden.id))).all()


async def snapshot(session: AsyncSession, garden: Garden) -> core.Garden:
    """Everything that core needs of one garden: columns only, since a season's plantings are many."""
    places, plantings = await _places_of(session, garden.id), await _plantings_of(session, garden.id)
    return core.Garden(
        id=garden.id,
        name=garden.name,
        latitude=garden.latitude,
        longitude=garden.longitude,
        altitude_m=garden.altitude_m,
        zone=garden.zone,
        lay=garden.lay,
        around=garden.around,
        gust_limit_ms=garden.gust_limit_ms,
        height_wind_limit_ms=garden.height_wind_limit_ms,
        hose_ban=garden.hose_ban,
        members=await _members(session, garden.id),
        plots=await _plots(session, garden.id),
        places=places,
        supports=await _supports_of(session, garden.id),
        plantings=plantings,
    )


@lasting(Place)
async def _places_of(session: AsyncSession, garden_id: int) -> tuple[core.Place, ...]:
    return await _rows(session, _places(), garden_id, core.Place)


@lasting(Planting)
async def _plantings_of(session: AsyncSession, garden_id: int) -> tuple[core.Planting, ...]:
    return await _rows(session, _plantings(), garden_id, core.Planting)


@lasting(Support, Place)
async def _supports_of(session: AsyncSession, garden_id: int) -> tuple[core.Support, ...]:
    return await _rows(session, _supports(), garden_id, core.Support)


async def _rows(session: AsyncSession, query: Any, garden_id: int, shape: Any) -> tuple[Any, ...]:
    rows = (await session.execute(query, {"garden_id": garden_id})).mappings()
    return tuple(shape(**row) for row in rows)


# A statement is put together once, since that takes as long as asking. Each is given `garden_id`.

_GARDEN_ID: Any = bindparam("garden_id")


@cache
def _places() -> Any:
    return select(*_PLACE).where(Place.garden_id == _GARDEN_ID).order_by(Place.id)


@cache
def _plantings() -> Any:
    grows = Planting.stage != core.Stage.ENDED
    return select(*_PLANTING).where(Planting.garden_id == _GARDEN_ID, grows).order_by(Planting.id)


@cache
def _supports() -> Any:
    in_garden = Support.place_id.in_(select(Place.id).where(Place.garden_id == _GARDEN_ID))
    return select(*_SUPPORT).where(in_garden).order_by(Support.id)


@cache
def _people() -> Any:
    columns = (
        Member.id, Person.name, Member.role, Member.adult, Person.private_ok_at, Person.blocked_at, Member.lift_kg,
        Member.has_key, Person.user_id,
    )  # fmt: skip
    present = (Member.garden_id == _GARDEN_ID, Member.left_at.is_(None))
    return select(*columns).join(Person).where(*present).order_by(Member.id)


@cache
def _helped() -> Any:
    helper = aliased(Member)
    return (
        select(NamedHelper.member_id, NamedHelper.helper_id, Person.private_ok_at, Person.blocked_at)
        .join(helper, helper.id == NamedHelper.helper_id)
        .join(Person, Person.id == helper.person_id)
        .where(helper.garden_id == _GARDEN_ID, helper.left_at.is_(None), NamedHelper.agreed_at.is_not(None))
    )


@cache
def _held_plots() -> Any:
    return (
        select(Plot.id, Plot.name, PlotHolder.member_id)
        .outerjoin(PlotHolder, PlotHolder.plot_id == Plot.id)
        .where(Plot.garden_id == _GARDEN_ID)
        .order_by(Plot.id, PlotHolder.member_id)
    )


@lasting(Member, Person, NamedHelper)
async def _members(session: AsyncSession, garden_id: int) -> tuple[core.Member, ...]:
    through = await helped(session, garden_id)
    rows = await session.execute(_people(), {"garden_id": garden_id})
    return tuple(
        core.Member(
            id=id_,
            name=name,
            role=role,
            adult=adult,
            reachable=_reachable(ok_at, blocked_at) or (user_id is None and id_ in through),
            lift_kg=lift_kg,
            has_key=has_key,
            helper_id=through.get(id_) if user_id is None else None,
        )
        for id_, name, role, adult, ok_at, blocked_at, lift_kg, has_key, user_id in rows
    )


def _reachable(ok_at: datetime | None, blocked_at: datetime | None) -> bool:
    return ok_at is not None and (blocked_at is None or blocked_at < ok_at)


async def helped(session: AsyncSession, garden_id: int) -> dict[int, int]:
    """Helper by member, where the helper has agreed and can be written to now."""
    rows = await session.execute(_helped(), {"garden_id": garden_id})
    return {member: by for member, by, ok_at, blocked_at in rows if _reachable(ok_at, blocked_at)}


@lasting(Plot, PlotHolder)
async def _plots(session: AsyncSession, garden_id: int) -> tuple[core.Plot, ...]:
    rows = await session.execute(_held_plots(), {"garden_id": garden_id})
    holders: dict[tuple[int, str], list[int]] = defaultdict(list)
    for plot_id, name, member_id in rows:
        holders[plot_id, name].extend([] if member_id is None else [member_id])
    return tuple(core.Plot(id=key[0], name=key[1], holder_ids=tuple(ids)) for key, ids in holders.items())


async def lock(session: AsyncSession, garden_id: int) -> Garden | None:
    """The garden's row, held until the transaction ends, so that two processes do not decide at once."""
    await claims.own(session, _name(garden_id))
    row: Garden | None = await session.scalar(_row(locks=True), {"garden_id": garden_id})
    if row is not None:
        resume(session, garden_id, row.revision)
    return row


async def hold(session: AsyncSession, garden_id: int) -> None:
    """For whoever answers in a garden: wait for those who work on it, so that nothing is decided by what they are changing.

    Whether it is to be looked at can be noted on its row meanwhile. On SQLite a writing transaction shuts out every other.
    """
    if not claims.owns_all(session):
        await claims.own(session, _name(garden_id))
        forget(session.sync_session)
        await session.execute(_row(locks=False), {"garden_id": garden_id})


def _name(garden_id: int) -> str:
    return f"garden {garden_id}"


@cache
def _row(*, locks: bool) -> Any:
    """locks: and nobody else's until the transaction ends."""
    query = select(Garden).where(Garden.id == _GARDEN_ID).execution_options(populate_existing=True)
    return query.with_for_update() if locks else query
