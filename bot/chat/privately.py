"""A warning where there is no group to warn: to each member in one short message, and to organisers what it did not reach."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import everyone, keyboards
from bot.chat.message import Urgency, post
from bot.chat.wording import shut as wording
from bot.chat.wording.html import lines
from bot.chat.wording.told import Told
from bot.chat.wording.warnings import private
from bot.core.garden import Role
from bot.services.events import ToGroup, What
from bot.services.outlook import Outlook
from bot.services.views import WarningView
from bot.storage import said
from bot.storage.models import Garden, Member

__all__ = ["until", "warn"]


async def warn(
    session: AsyncSession, garden: Garden, outlook: Outlook, event: ToGroup, key: str, now: datetime
) -> None:
    """Every member who can be reached hears it once; organisers, once a day, also whom it could not reach."""
    if event.what is What.EDIT:  # it changes what the group has
        return
    shown = event.view
    everybody = await everyone.reached(session, garden)
    unreached = await everyone.unreached(session, garden)
    day, since = now.astimezone(garden.tz).date(), (garden.shut_at or now).astimezone(garden.tz).date()
    for member in everybody:
        if event.what is What.AFTER and not _concerns(shown, member):
            continue
        voiced = everyone.voice(garden, member.person.language)
        text = private(Told(voiced, outlook.crops, now), event.what, shown, member.id)
        own, today = f"{key}:to:{member.id}", f"shut:{garden.id}:{day}:{member.id}"
        note = None
        if member.role is Role.ORGANISER and event.what is not What.AFTER:
            note = wording.today(voiced, garden.shut, len(everybody), unreached, mends=since < day)
        if note is not None and await said.by_key(session, today) is None:
            own, text = today, lines([text, note])
        assert member.person.user_id is not None
        await post(
            session,
            key=own,
            chat_id=member.person.user_id,
            text=await everyone.headed(session, garden, text, member.person.user_id),
            now=now,
            buttons=keyboards.private(voiced, shown, event.what, member.id),
            urgency=Urgency.WARNING,
            expires_at=until(shown, event.what, now),
            again=everyone.again(voiced),
        )


def until(shown: WarningView, what: What, now: datetime) -> datetime:
    """A call for help is of use until its hazard has come; thanks and all-clear a day longer."""
    return max(shown.ends_at, now) + timedelta(hours=24 if what in (What.AFTER, What.CALLED_OFF) else 0)


def _concerns(shown: WarningView, member: Member) -> bool:
    """Whether they had a part in it, or look after the garden."""
    asked = any(each.member_id == member.id for duty in shown.duties for each in duty.asked)
    return asked or member.role is Role.ORGANISER
