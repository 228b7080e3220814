"""How people come to a garden: by its code, by its group, from the list."""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden import Role
from bot.storage import members
from bot.storage.models import Garden, Member, NamedHelper, Person

__all__ = ["Newcomer", "bind_group", "claim", "first_code", "join", "new_code"]


@dataclass(frozen=True, slots=True)
class Newcomer:
    """Somebody as the chat platform knows them."""

    user_id: int
    name: str
    username: str | None
    language: str


def new_code() -> str:
    """A code that lets one person become the organiser of a garden."""
    return secrets.token_urlsafe(9)


async def first_code(session: AsyncSession, garden_id: int | None) -> str | None:
    """The code for a garden that nobody on the chat platform organises yet; made when it has none. Else None."""
    garden = await session.get(Garden, garden_id) if garden_id is not None else None
    if garden is None or any(one.person.user_id is not None for one in await members.organisers(session, garden.id)):
        return None
    garden.claim_code = garden.claim_code or new_code()
    return garden.claim_code


async def claim(session: AsyncSession, code: str, who: Newcomer, now: datetime) -> Garden | None:
    """The garden whose code this is, with `who` as its organiser; the code is used up. None when no garden has it."""
    for garden in await session.scalars(select(Garden).where(Garden.claim_code.is_not(None))):
        # As bytes: of strings it takes ASCII only, and phones change "--" into a long dash.
        if hmac.compare_digest(_bytes(garden.claim_code or ""), _bytes(code)):
            garden.claim_code = None
            member = await join(session, garden, who, now)
            member.role, member.adult = Role.ORGANISER, True
            return garden
    return None


def _bytes(code: str) -> bytes:
    return code.encode("utf-8", "surrogatepass")


async def join(session: AsyncSession, garden: Garden, who: Newcomer, now: datetime) -> Member:
    """The member that `who` is: one known before, else the listed one of the same name without an account, else new."""
    known = await members.of_user(session, who.user_id, garden.id)
    if known:
        return known[0]
    person = await members.person_by_user(session, who.user_id)
    if person is None:
        listed = await _listed(session, garden, who.name)
        if listed is not None:
            listed.person.user_id, listed.person.username = who.user_id, who.username
            await session.execute(
                delete(NamedHelper).where(NamedHelper.member_id == listed.id)
            )  # they have the app now
            return listed
        person = Person(name=who.name[:80], user_id=who.user_id, username=who.username, language=who.language)
        session.add(person)
        await session.flush()
    member = await session.scalar(select(Member).where(Member.garden_id == garden.id, Member.person_id == person.id))
    if member is None:
        # Only adults take turns: nobody counts as one before they have said so themselves.
        member = Member(garden_id=garden.id, person=person, adult=False, joined_at=now)
        session.add(member)
    member.left_at = None
    await session.flush()
    return member


async def bind_group(
    session: AsyncSession, chat_id: int, thread_id: int | None, organiser_user_id: int
) -> Garden | None:
    """The organiser's garden that has no group yet, now bound to this one; None when they have none such."""
    for member in await members.of_user(session, organiser_user_id):
        garden = await session.get(Garden, member.garden_id)
        if garden is not None and garden.chat_id is None and member.role is Role.ORGANISER:
            garden.chat_id, garden.thread_id = chat_id, thread_id
            return garden
    return None


async def _listed(session: AsyncSession, garden: Garden, name: str) -> Member | None:
    """The only member on the list with this name whom nobody's account belongs to yet."""
    free = [
        member
        for member in await members.in_garden(session, garden.id)
        if member.person.user_id is None and member.person.name.casefold() == name.casefold()
    ]
    return free[0] if len(free) == 1 else None
