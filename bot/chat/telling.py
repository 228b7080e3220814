"""Events of the watch, put into words and into the outbox, in the transaction that decided them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from uuid import uuid4

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import keyboards
from bot.chat.message import Urgency, edit, post
from bot.chat.wording import duties, helped, weather
from bot.chat.wording.html import bold, lines, safe
from bot.chat.wording.told import Told
from bot.chat.wording.warnings import group, standing
from bot.i18n import Say, say
from bot.services import helping
from bot.services.events import Event, ToGroup, ToMember, ToOrganisers, WeatherEvent, What
from bot.services.outlook import Outlook
from bot.services.views import WarningView, view
from bot.storage import gardens, members
from bot.storage import warnings as store
from bot.storage.models import Garden, Member, Outbox, Warning

__all__ = ["refresh_standing", "tell", "tell_organisers", "voice"]

#: A standing message that is new; every other one is spoken without becoming what edits change.
_STANDING = (What.HEADS_UP, What.CALL, What.WORSE, What.TOO_LATE, What.CALLED_OFF, What.AFTER)


def voice(garden: Garden, person_language: str | None = None) -> Say:
    """The group's voice, or one person's."""
    return say(person_language or garden.language, garden.zone, garden.wind_unit)


async def tell(session: AsyncSession, garden: Garden, outlook: Outlook, events: Sequence[Event], now: datetime) -> None:
    """Queue everything that a tick has to say; keys keep each from being queued twice."""
    for event in events:
        if isinstance(event, ToGroup):
            await _to_group(session, garden, outlook, event, now)
        elif isinstance(event, ToMember):
            await _to_member(session, garden, outlook, event, now)
        elif isinstance(event, ToOrganisers):
            await _to_organisers(session, garden, outlook, event, now)
        else:
            await _about_weather(session, garden, event, now)


async def tell_organisers(
    session: AsyncSession,
    garden: Garden,
    key: str,
    words: Callable[[Say], str],
    now: datetime,
    *,
    but: int | None = None,
) -> None:
    """Each organiser hears it privately, in their language, once under the key. but: the member who need not hear it."""
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is not None and organiser.id != but:
            await post(
                session,
                key=f"{key}:{organiser.id}",
                chat_id=organiser.person.user_id,
                text=words(voice(garden, organiser.person.language)),
                now=now,
            )


async def refresh_standing(
    session: AsyncSession, garden: Garden, outlook: Outlook, warning: Warning, now: datetime
) -> None:
    """Bring the group's standing message up to who has said yes and what is done."""
    shown = await view(session, warning, outlook)
    await _to_group(session, garden, outlook, ToGroup(What.EDIT, shown), now)


async def _to_group(session: AsyncSession, garden: Garden, outlook: Outlook, event: ToGroup, now: datetime) -> None:
    if garden.chat_id is None:
        return
    voiced, shown = voice(garden), event.view
    what = standing(event.what, shown)
    text = await _headed(session, garden, group(Told(voiced, outlook.crops, now), what, shown))
    buttons = keyboards.warning(voiced, shown, what)
    warning = await store.by_id(session, shown.id)
    before = await session.get(Outbox, warning.outbox_id) if warning and warning.outbox_id else None
    if event.what is What.EDIT:
        if before is not None:
            # Several may fall into one moment; each replaces those before it that are not sent yet.
            key = f"warning:{shown.id}:edit:{uuid4().hex}"
            await edit(session, key=key, row=before, text=text, now=now, buttons=buttons)
        return
    row = await post(
        session,
        key=f"warning:{shown.id}:{event.what}:{_version(shown, event.what)}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=text,
        now=now,
        buttons=buttons,
        urgency=Urgency.WARNING,
        # A call for help is of use until its hazard has come; thanks and all-clear a day longer.
        expires_at=max(shown.ends_at, now) + timedelta(hours=24 if event.what in (What.AFTER, What.CALLED_OFF) else 0),
        again=_again(voiced),
    )
    if row is not None and warning is not None and event.what in _STANDING:
        await session.flush()
        warning.outbox_id = row.id


def _version(shown: WarningView, what: What) -> str:
    """What tells two messages of the same kind about one warning apart: it may be called off and come back."""
    since = shown.detected_at.isoformat()
    return f"{since}:{shown.severity}:{shown.due_at.isoformat()}" if what is What.WORSE else since


async def _to_member(session: AsyncSession, garden: Garden, outlook: Outlook, event: ToMember, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    reader = await _reader(session, member, event) if member is not None else None
    if member is None or reader is None or reader.person.user_id is None:
        return
    shown, voiced = event.view, voice(garden, reader.person.language)
    told = Told(voiced, outlook.crops, now)
    mine = shown.duties_of(member.id)
    text, buttons = _private(told, event, member) if reader is member else helped.message(told, event, member)
    text = await _headed(session, garden, text, reader.person.user_id)
    about = "-".join(str(duty.id) for duty in mine)[:80]
    await post(
        session,
        key=f"ask:{shown.id}:{member.id}:{event.what}:{about}:{now.isoformat()}",
        chat_id=reader.person.user_id,
        text=text,
        now=now,
        buttons=buttons,
        urgency=Urgency.WARNING,
        # Thanks come when everything that they are for is over.
        expires_at=now + timedelta(hours=24)
        if event.what is What.THANKS
        else max((duty.due_at for duty in mine), default=max(shown.ends_at, now + timedelta(hours=1))),
        again=_again(voiced),
    )


async def _reader(session: AsyncSession, member: Member, event: ToMember) -> Member | None:
    """Who is written to: the member, or their helper where they have no app; some things only a helper has to hear."""
    if member.person.user_id is None:
        return await helping.helper_of(session, member)
    return None if event.what in (What.PASSED_BY, What.THANKS) else member


def _private(told: Told, event: ToMember, member: Member) -> tuple[str, keyboards.Rows]:
    """The words and the buttons for one member."""
    voiced, shown = told.say, event.view
    if event.what is What.RELEASED:
        return duties.released(told, shown, event.duties), []
    if event.what is What.EARLIER and not shown.unanswered_by(member.id):
        text = duties.yours(voiced, told.crops, shown, member.id, told.now, earlier=True)
        return text, keyboards.taken(voiced, shown.id)
    doubtful = [duty for duty in shown.unanswered_by(member.id) if duty.perhaps is not None]
    text = duties.ask(voiced, told.crops, shown, member.id, told.now, event.what)
    return text, keyboards.ask(voiced, shown.id, doubtful)


async def _to_organisers(
    session: AsyncSession, garden: Garden, outlook: Outlook, event: ToOrganisers, now: datetime
) -> None:
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is None:
            continue
        voiced = voice(garden, organiser.person.language)
        await post(
            session,
            key=f"short:{event.view.id}:{organiser.id}:{now.isoformat()}",
            chat_id=organiser.person.user_id,
            text=await _headed(
                session,
                garden,
                duties.shortages(voiced, outlook.crops, event.view, event.shortages),
                organiser.person.user_id,
            ),
            now=now,
            urgency=Urgency.WARNING,
            expires_at=max(event.view.ends_at, now + timedelta(hours=1)),
            again=_again(voiced),
        )


async def _headed(session: AsyncSession, garden: Garden, text: str, user_id: int | None = None) -> str:
    """The garden's name first, where a person belongs to several, or several speak in one group chat or topic."""
    if user_id is not None:
        several = await members.gardens_of(session, user_id)
    else:
        there = await gardens.of_chat(session, garden.chat_id) if garden.chat_id is not None else ()
        several = [one for one in there if one.thread_id == garden.thread_id]
    return text if len(several) < 2 else lines([bold(safe(garden.name)), text])


def _again(voiced: Say) -> str:
    """The line that a repeat begins with."""
    return voiced.gettext("(Sent once more: I am not sure that you got this.)")


async def _about_weather(session: AsyncSession, garden: Garden, event: WeatherEvent, now: datetime) -> None:
    if garden.chat_id is None:
        return
    await post(
        session,
        key=f"weather:{garden.id}:{event.state}:{event.since_at.isoformat()}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=await _headed(session, garden, weather.about(voice(garden), event, now)),
        now=now,
        urgency=Urgency.WARNING,
        expires_at=now + timedelta(hours=12),
        again=_again(voice(garden)),
    )
