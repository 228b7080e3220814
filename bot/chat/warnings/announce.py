"""Events of the watch, put into words and into the outbox, in the transaction that decided them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import datetime, timedelta
from uuid import uuid4

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.garden.everyone import again, headed, keyed, tell_everyone, voice, voices
from bot.chat.html import lines
from bot.chat.people import helpers_words
from bot.chat.tasks import ask_words, duty_words, reported_done_words
from bot.chat.warnings import lately, official, privately
from bot.chat.warnings.told import Told
from bot.chat.warnings.warning_words import group, is_whole, standing
from bot.chat.weather import weather_words
from bot.chat.wire import keyboards
from bot.chat.wire.message import Letter, Urgency, edit, post, post_all
from bot.i18n import Say
from bot.services.look import Look
from bot.services.people import proxy
from bot.services.warnings.events import (
    Event,
    OfficialEvent,
    ToGroup,
    ToKeeper,
    ToMember,
    ToOrganisers,
    WeatherEvent,
    What,
)
from bot.services.warnings.views import WarningView, view
from bot.storage.models import Garden, Member, Outbox, Warning
from bot.storage.people import members
from bot.storage.states import SendState, WarningState
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

__all__ = ["post_anew", "refresh_standing", "tell", "tell_again"]

#: A standing message that is new; every other one is spoken without becoming what edits change.
_STANDING = (What.HEADS_UP, What.CALL, What.WORSE, What.TOO_LATE, What.CALLED_OFF, What.AFTER)


async def tell(session: AsyncSession, garden: Garden, outlook: Look, events: Sequence[Event], now: datetime) -> None:
    """Queue everything that a tick has to say; keys keep each from being queued twice.

    Whatever one person is asked at one moment is one message, and so is what they are warned of where there is no group.
    What a group hears of several warnings at one moment rings once.
    """
    asks = defaultdict[int, list[ToMember]](list)
    for event in events:
        if isinstance(event, ToMember) and _is_ask(event):
            asks[event.member_id].append(event)
    above: dict[int, list[privately.Above]] = defaultdict(list)
    rings = True
    for event in events:
        if isinstance(event, ToGroup):
            for member_id, one in (await _to_group(session, garden, outlook, event, now, asks, rings=rings)).items():
                above[member_id].append(one)
            rings = rings and event.what is What.EDIT
        elif isinstance(event, ToMember):
            if not _is_ask(event):
                letters: list[Letter] = []
                await _to_member(session, garden, outlook, [event], now, letters)
                await post_all(session, letters, now)
        elif isinstance(event, ToOrganisers):
            await _to_organisers(session, garden, outlook, event, now)
        elif isinstance(event, ToKeeper):
            await _to_keeper(session, garden, outlook, event, now)
        elif isinstance(event, OfficialEvent):
            await _official(session, garden, event, now)
        else:
            await _about_weather(session, garden, event, now)
    known = await _heard(session, garden, asks, now)
    letters = []
    for member_id, asked in asks.items():
        await _to_member(session, garden, outlook, asked, now, letters, above[member_id], known)
    await post_all(session, letters, now)


async def _heard(session: AsyncSession, garden: Garden, asks: Collection[int], now: datetime) -> lately.Heard:
    """What those who are asked were told lately; most nights ask several."""
    if len(asks) < 2:
        return {}
    people = [one.person for one in await members.in_garden(session, garden.id) if one.id in asks]
    return await lately.heard(session, [one.user_id for one in people if one.user_id is not None], now)


def _is_ask(event: ToMember) -> bool:
    """Whether it asks for what they have not answered."""
    asks = event.what in (What.ASK, What.REMIND, What.EARLIER)
    return asks and bool(event.view.unanswered_by(event.member_id))


async def refresh_standing(
    session: AsyncSession, garden: Garden, outlook: Look, warning: Warning, now: datetime
) -> None:
    """Bring the group's standing message up to who has said yes and what is done."""
    shown = await view(session, warning, outlook)
    await _to_group(session, garden, outlook, ToGroup(What.EDIT, shown), now)


async def tell_again(session: AsyncSession, garden: Garden, outlook: Look, key: str, now: datetime) -> None:
    """The group refused the message about a warning that was queued under `key`: say it privately, as things are now."""
    _, number, what, *_ = key.split(":")
    warning = await store.by_id(session, int(number)) if what in tuple(What) else None
    if warning is not None:
        await _to_group(session, garden, outlook, ToGroup(What(what), await view(session, warning, outlook)), now)


async def post_anew(session: AsyncSession, garden: Garden, outlook: Look, now: datetime) -> None:
    """The group that can be written to now has not what was said elsewhere: what stands is posted there anew."""
    for warning in await store.active(session, garden.id, now):
        before = await said.by_id(session, warning.outbox_id)
        waits = before is not None and before.state is SendState.PENDING and before.chat_id == garden.chat_id
        if warning.state is not WarningState.DETECTED and not waits:
            event = ToGroup(What.EDIT, await view(session, warning, outlook))
            await _post(session, garden, outlook, event, f"warning:{warning.id}:anew:{now.isoformat()}", now)


async def _to_group(
    session: AsyncSession,
    garden: Garden,
    outlook: Look,
    event: ToGroup,
    now: datetime,
    asked: Collection[int] = (),
    *,
    rings: bool = True,
) -> dict[int, privately.Above]:
    """asked: members who are asked at this moment; without a group, what they are to hear above that is given back."""
    key = f"warning:{event.view.id}:{event.what}:{_version(event.view, event.what)}"
    if garden.group_id is None:
        return await privately.warn(session, garden, outlook, event, key, now, asked)
    if event.what is What.EDIT:
        await _edit(session, garden, outlook, event, now)
    else:
        await _post(session, garden, outlook, event, key, now, rings=rings)
    return {}


async def _edit(session: AsyncSession, garden: Garden, outlook: Look, event: ToGroup, now: datetime) -> None:
    """Change the standing message, where this group has it."""
    warning = await store.by_id(session, event.view.id)
    before = await said.by_id(session, warning.outbox_id) if warning is not None else None
    if before is not None and before.chat_id == garden.chat_id:
        for voiced in voices(garden):
            key = keyed(before.key, garden, voiced)
            row = before if key == before.key else await said.by_key(session, key)
            if row is not None:
                text, buttons = await _said(session, garden, outlook, event, voiced, now, row)
                # Several may fall into one moment; each replaces those before it that are not sent yet.
                key = f"warning:{event.view.id}:edit:{uuid4().hex}"
                await edit(session, key=key, row=row, text=text, now=now, buttons=buttons)


async def _post(
    session: AsyncSession, garden: Garden, outlook: Look, event: ToGroup, key: str, now: datetime, *, rings: bool = True
) -> None:
    """In each of the group's languages; the first of them rings."""
    assert garden.chat_id is not None
    shown, what = event.view, standing(event.what, event.view)
    row, *_ = [
        await _post_in(session, garden, outlook, event, keyed(key, garden, voiced), voiced, now, rings=rings and n == 0)
        for n, voiced in enumerate(voices(garden))
    ]
    warning = await store.by_id(session, shown.id)
    if row is not None and warning is not None and what in _STANDING:
        await session.flush()
        warning.outbox_id = row.id


async def _post_in(
    session: AsyncSession,
    garden: Garden,
    outlook: Look,
    event: ToGroup,
    key: str,
    voiced: Say,
    now: datetime,
    *,
    rings: bool,
) -> Outbox | None:
    assert garden.chat_id is not None
    text, buttons = await _said(session, garden, outlook, event, voiced, now)
    return await post(
        session,
        key=key,
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=text,
        now=now,
        buttons=buttons,
        urgency=Urgency.WARNING,
        expires_at=privately.until(event.view, standing(event.what, event.view), now),
        again=again(voiced),
        rings=rings,
    )


async def _said(
    session: AsyncSession,
    garden: Garden,
    outlook: Look,
    event: ToGroup,
    voiced: Say,
    now: datetime,
    before: Outbox | None = None,
) -> tuple[str, keyboards.Rows]:
    """The group's words and buttons for one step of a warning, in one of its languages. before: the message that they
    change."""
    what = standing(event.what, event.view)
    told = Told(voiced, outlook.crops, now)
    if garden.chat_id is not None:
        told = await lately.reader(session, told, garden.chat_id, before.id if before is not None else None)
    text = await headed(session, garden, group(told, what, event.view))
    return text, keyboards.warning(voiced, event.view, what, whole=is_whole(told, what, event.view))


def _version(shown: WarningView, what: What) -> str:
    """What tells two messages of the same kind about one warning apart: it may be called off and come back."""
    since = shown.detected_at.isoformat()
    return f"{since}:{shown.severity}:{shown.due_at.isoformat()}" if what is What.WORSE else since


async def _to_member(
    session: AsyncSession,
    garden: Garden,
    outlook: Look,
    events: Sequence[ToMember],
    now: datetime,
    letters: list[Letter],
    above: Sequence[privately.Above] = (),
    known: lately.Heard | None = None,
) -> None:
    """One message: one event, or all that ask something of them; each of its own for whoever passes them on. letters: to
    which it is added; they are queued before one more is put into words for a chat that has one of them."""
    member = await members.by_id(session, events[0].member_id)
    reader = await _reader(session, member, events[0]) if member is not None else None
    if member is None or reader is None or reader.person.user_id is None:
        return
    if reader is not member and len(events) > 1:
        for event in events:
            await _to_member(session, garden, outlook, [event], now, letters)
        return
    if any(one.chat_id == reader.person.user_id for one in letters):
        await post_all(session, letters, now)
        letters.clear()
    voiced = voice(garden, reader.person.language)
    told = await lately.reader(session, Told(voiced, outlook.crops, now), reader.person.user_id, known=known)
    shown = [event.view for event in events]
    mine = [duty for one in shown for duty in one.duties_of(member.id)]
    if reader is member:
        text, buttons = _private(told, events, member, above)
    else:
        text, buttons = helpers_words.message(told, events[0], member)
    text = await headed(session, garden, text, reader.person.user_id)
    about = "-".join(str(duty.id) for duty in mine)[:80]
    own_key = f"ask:{shown[0].id}:{member.id}:{_what(events)}:{about}:{now.isoformat()}"
    # Some come when everything that they are about is over.
    is_late = events[0].what in (What.THANKS, What.WAS_IT_DONE)
    until_at = max((duty.due_at for duty in mine), default=max(shown[0].ends_at, now + timedelta(hours=1)))
    letters.append(
        Letter(
            key=next((one.key for one in above if one.key is not None), own_key),
            chat_id=reader.person.user_id,
            text=text,
            buttons=buttons,
            urgency=Urgency.WARNING,
            expires_at=now + timedelta(hours=24) if is_late else until_at,
            again=again(voiced),
            about=[duty.id for one in shown for duty in one.unanswered_by(member.id)],
        )
    )


def _what(events: Sequence[ToMember]) -> What:
    """Why several things are asked at once, by what must not be missed of it."""
    found = {event.what for event in events}
    return next((one for one in (What.EARLIER, What.ASK, What.REMIND) if one in found), events[0].what)


async def _reader(session: AsyncSession, member: Member, event: ToMember) -> Member | None:
    """Who is written to: the member, or their helper where they have no app; some things only a helper has to hear."""
    if member.person.user_id is None:
        return await proxy.helper_of(session, member) if event.what is not What.WAS_IT_DONE else None
    return None if event.what in (What.PASSED_BY, What.THANKS) else member


def _private(
    told: Told, events: Sequence[ToMember], member: Member, above: Sequence[privately.Above]
) -> tuple[str, keyboards.Rows]:
    """The words and the buttons for one member."""
    event, voiced = events[0], told.say
    if event.what is What.RELEASED:
        return duty_words.released(told, event.view, event.duties), []
    if event.what is What.WAS_IT_DONE:
        return reported_done_words.was_it_done(told, event.view, event.duties)
    shown = list({one.view.id: one.view for one in events}.values())
    ids, what = [one.id for one in shown], _what(events)
    if what is What.EARLIER and not any(one.unanswered_by(member.id) for one in shown):
        text = ask_words.yours(told, shown, member.id, earlier=True)
        return text, keyboards.taken(voiced, ids, whole=ask_words.is_whole(told, shown, member.id))
    doubtful = [duty for one in shown for duty in one.unanswered_by(member.id) if duty.perhaps is not None]
    first = [line for one in above for line in one.lines]
    text = ask_words.ask(told, shown, member.id, what, first)
    buttons = keyboards.ask(voiced, ids, doubtful, whole=ask_words.is_whole(told, shown, member.id, first))
    return lines([text, *(one.note for one in above)]), [*(row for one in above for row in one.buttons), *buttons]


async def _to_organisers(
    session: AsyncSession, garden: Garden, outlook: Look, event: ToOrganisers, now: datetime
) -> None:
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is None:
            continue
        voiced = voice(garden, organiser.person.language)
        await post(
            session,
            key=f"short:{event.view.id}:{organiser.id}:{now.isoformat()}",
            chat_id=organiser.person.user_id,
            text=await headed(
                session,
                garden,
                duty_words.shortages(Told(voiced, outlook.crops, now), event.view, event.shortages),
                organiser.person.user_id,
            ),
            now=now,
            urgency=Urgency.WARNING,
            expires_at=max(event.view.ends_at, now + timedelta(hours=1)),
            again=again(voiced),
        )


async def _to_keeper(session: AsyncSession, garden: Garden, outlook: Look, event: ToKeeper, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    if member is None:
        return
    reader = member if member.person.user_id is not None else await proxy.helper_of(session, member)
    if reader is None or reader.person.user_id is None:
        return
    text = duty_words.fasten(voice(garden, reader.person.language), outlook, event.pots)
    await post(
        session,
        key=f"fasten:{member.id}:{'-'.join(str(one.place_id) for one in event.pots)[:80]}:{now.isoformat()}",
        chat_id=reader.person.user_id,
        text=await headed(session, garden, text, reader.person.user_id),
        now=now,
    )


async def _official(session: AsyncSession, garden: Garden, event: OfficialEvent, now: datetime) -> None:
    """In the group's language there, in each one's own in private, as far as the file has it."""
    told = event.told
    await tell_everyone(
        session,
        garden,
        f"official:{told.warning.id}:{told.what}:{now.isoformat()}",
        lambda voiced: official.message(voiced, told, now),
        now,
        urgency=Urgency.WARNING,
        expires_at=max(told.warning.ends_at, now + timedelta(hours=1)),
        repeatable=True,
    )


async def _about_weather(session: AsyncSession, garden: Garden, event: WeatherEvent, now: datetime) -> None:
    await tell_everyone(
        session,
        garden,
        f"weather:{garden.id}:{event.state}:{event.since_at.isoformat()}",
        lambda voiced: weather_words.about(voiced, event, now),
        now,
        urgency=Urgency.WARNING,
        expires_at=now + timedelta(hours=12),
        repeatable=True,
    )
