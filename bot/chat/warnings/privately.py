"""A warning where there is no group to warn: to each member in one short message, and to organisers what it did not reach."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden import everyone
from bot.chat.garden import shut_words as wording
from bot.chat.html import lines
from bot.chat.warnings.told import Told
from bot.chat.warnings.warning_words import is_whole, opening, private
from bot.chat.wire import keyboards
from bot.chat.wire.message import Urgency, post
from bot.core.garden.snapshot import Role
from bot.services.look import Look
from bot.services.warnings.events import ToGroup, What
from bot.services.warnings.views import WarningView
from bot.storage.models import Garden, Member
from bot.storage.wire import said

#: What is said to everybody alike, whatever else they are asked.
_WHOLE = (What.TOO_LATE, What.OPEN_CALL, What.CALLED_OFF)


@dataclass(frozen=True, slots=True)
class Above:
    """What somebody who is asked at this very moment reads in the same message. note: below it, to organisers; key: under
    which that is said once.
    """

    lines: tuple[str | None, ...]
    note: str | None
    key: str | None
    buttons: keyboards.Rows


async def warn(
    session: AsyncSession,
    garden: Garden,
    outlook: Look,
    event: ToGroup,
    key: str,
    now: datetime,
    asked: Collection[int] = (),
) -> dict[int, Above]:
    """Every member who can be reached hears it once; organisers, once a day, also whom it could not reach.

    asked: whoever is asked at this moment reads of it there; it is given back for each of them.
    """
    above: dict[int, Above] = {}
    if event.what is What.EDIT:  # it changes what the group has
        return above
    shown = event.view
    everybody = await everyone.reached(session, garden)
    unreached = await everyone.unreached(session, garden)
    day, since = now.astimezone(garden.tz).date(), (garden.shut_at or now).astimezone(garden.tz).date()
    for member in everybody:
        if event.what is What.AFTER and not _concerns(shown, member):
            continue
        voiced = everyone.voice(garden, member.person.language)
        told = Told(voiced, outlook.crops, now)
        text = private(told, event.what, shown, member.id)
        own, today = f"{key}:to:{member.id}", f"shut:{garden.id}:{day}:{member.id}"
        note = None
        if member.role is Role.ORGANISER and event.what is not What.AFTER:
            note = wording.today(voiced, garden.shut, len(everybody), unreached, mends=since < day)
        if note is not None and await said.by_key(session, today) is not None:
            note = None
        if member.id in asked and event.what not in _WHOLE:
            buttons = keyboards.private(voiced, shown, event.what, member.id) if event.what is What.AFTER else []
            first = tuple(opening(told, event.what, shown, member.id))
            above[member.id] = Above(first, note, today if note is not None else None, buttons)
            continue
        if note is not None:
            own, text = today, lines([text, note])
        assert member.person.user_id is not None
        await post(
            session,
            key=own,
            chat_id=member.person.user_id,
            text=await everyone.headed(session, garden, text, member.person.user_id),
            now=now,
            buttons=keyboards.private(
                voiced, shown, event.what, member.id, whole=is_whole(told, event.what, shown, member.id)
            ),
            urgency=Urgency.WARNING,
            expires_at=until(shown, event.what, now),
            again=everyone.again(voiced),
        )
    return above


def until(shown: WarningView, what: What, now: datetime) -> datetime:
    """A call for help is of use until its hazard has come; thanks and all-clear a day longer."""
    return max(shown.ends_at, now) + timedelta(hours=24 if what in (What.AFTER, What.CALLED_OFF) else 0)


def _concerns(shown: WarningView, member: Member) -> bool:
    """Whether they had a part in it, or look after the garden."""
    asked = any(each.member_id == member.id for duty in shown.duties for each in duty.asked)
    return asked or member.role is Role.ORGANISER
