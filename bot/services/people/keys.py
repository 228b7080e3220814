"""Keys: who holds which, lent, lost, spare. `Member.has_key`, which the rota reads, is kept in step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Key, KeyMove, Member, Place
from bot.storage.people import members
from bot.storage.states import KeyState

_WITH_SOMEBODY = (KeyState.HELD, KeyState.LENT)


@dataclass(frozen=True, slots=True)
class Held:
    """holder: the name, None with nobody. has_left: the holder is no longer a member. place: what the key opens."""

    id: int
    name: str
    state: KeyState
    holder: str | None
    has_left: bool
    place: str | None


@dataclass(frozen=True, slots=True)
class Move:
    state: KeyState
    holder: str | None
    moved_at: datetime


async def of_garden(session: AsyncSession, garden_id: int) -> tuple[Held, ...]:
    """Every key, by name; first brought in step with the list of members, on which people may stand as holders."""
    await _adopt(session, garden_id)
    people = {row.id: row for row in await session.scalars(select(Member).where(Member.garden_id == garden_id))}
    places = {row.id: row for row in await session.scalars(select(Place).where(Place.garden_id == garden_id))}
    found = []
    for key in await _keys(session, garden_id):
        holder = people.get(key.holder_member_id or 0)
        name, left = (holder.person.name, holder.left_at is not None) if holder else (None, False)
        place = places.get(key.place_id or 0)
        found.append(Held(key.id, key.name, key.state, name, left, place.name if place else None))
    return tuple(found)


async def by_id(session: AsyncSession, key_id: int) -> Key | None:
    return await session.get(Key, key_id)


async def add(session: AsyncSession, garden_id: int, name: str, by: Member, now: datetime) -> Key | None:
    """A new spare key; None when there is one of that name. Named like a place, it is the key of that place."""
    known = {key.name.casefold() for key in await _keys(session, garden_id)}
    if name.casefold() in known:
        return None
    places = await session.scalars(select(Place).where(Place.garden_id == garden_id).order_by(Place.id))
    place = next((one for one in places if one.name.casefold() == name.casefold()), None)
    key = Key(garden_id=garden_id, name=name, place_id=place.id if place else None, state=KeyState.SPARE)
    session.add(key)
    await session.flush()
    session.add(KeyMove(key_id=key.id, member_id=by.id, state=key.state, moved_at=now))
    await session.flush()
    return key


async def move(
    session: AsyncSession, key: Key, state: KeyState, holder: Member | None, by: Member | None, now: datetime
) -> bool:
    """What has become of a key, with its trace; False when it was so already. holder: only for held and lent."""
    holder_id = holder.id if holder is not None and state in _WITH_SOMEBODY else None
    if (key.state, key.holder_member_id) == (state, holder_id):
        return False
    before = key.holder_member_id
    key.state, key.holder_member_id = state, holder_id
    session.add(
        KeyMove(key_id=key.id, member_id=by.id if by else None, holder_member_id=holder_id, state=state, moved_at=now)
    )
    await session.flush()
    for member_id in {before, holder_id} - {None}:
        member = await session.get_one(Member, member_id)
        member.has_key = await _holds(session, member)
    await session.flush()
    return True


async def let_go(session: AsyncSession, member: Member, now: datetime) -> tuple[str, ...]:
    """Whoever held them is to be forgotten: nobody knows where these keys are. Returns their names."""
    held = (await session.scalars(select(Key).where(Key.holder_member_id == member.id).order_by(Key.id))).all()
    for key in held:
        await move(session, key, KeyState.LOST, None, None, now)
    return tuple(key.name for key in held)


async def moves(session: AsyncSession, key: Key, most: int = 3) -> tuple[Move, ...]:
    """The last moves of a key, newest first."""
    query = select(KeyMove).where(KeyMove.key_id == key.id).order_by(KeyMove.moved_at.desc(), KeyMove.id.desc())
    found = []
    for row in await session.scalars(query.limit(most)):
        holder = await session.get(Member, row.holder_member_id) if row.holder_member_id else None
        found.append(Move(row.state, holder.person.name if holder else None, row.moved_at))
    return tuple(found)


async def _keys(session: AsyncSession, garden_id: int) -> Sequence[Key]:
    return (await session.scalars(select(Key).where(Key.garden_id == garden_id).order_by(Key.name, Key.id))).all()


async def _holds(session: AsyncSession, member: Member) -> bool:
    query = select(Key.id).where(Key.holder_member_id == member.id, Key.state.in_(_WITH_SOMEBODY))
    return (await session.scalars(query)).first() is not None


async def _adopt(session: AsyncSession, garden_id: int) -> None:
    """The list of members may be loaded from a file, where a key is only a yes or a no: its word is followed."""
    held: dict[int, list[Key]] = {}
    names = set()
    for key in await _keys(session, garden_id):
        names.add(key.name)
        if key.state in _WITH_SOMEBODY and key.holder_member_id is not None:
            held.setdefault(key.holder_member_id, []).append(key)
    for member in await members.in_garden(session, garden_id):
        if member.has_key and member.id not in held:
            name = next(str(n) for n in range(1, len(names) + 2) if str(n) not in names)
            names.add(name)
            session.add(Key(garden_id=garden_id, name=name, holder_member_id=member.id, state=KeyState.HELD))
        elif not member.has_key:
            for key in held.get(member.id, ()):
                key.state, key.holder_member_id = KeyState.SPARE, None
    await session.flush()
