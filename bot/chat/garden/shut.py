"""The group can't be written to: organisers hear at once, what it did not get goes on privately, and nothing is lost.

What it costs when nobody notices is a lost crop, so none of the platform's refusals ends in silence.

The group can be written to again, or has a new number: it is tried, organisers are asked, and all stands there anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.calendar import pinned
from bot.chat.garden import everyone
from bot.chat.garden import shut_words as wording
from bot.chat.garden.everyone import tell_organisers
from bot.chat.request import Request
from bot.chat.warnings.announce import post_anew, tell_again
from bot.chat.wire.message import Button, Urgency, post
from bot.services.calendar.reading import calendar_of
from bot.services.look import look, quiet
from bot.services.people.membership import reachable
from bot.services.weather.garden_forecast import Source
from bot.storage import claims
from bot.storage.garden import gardens
from bot.storage.models import Garden, Outbox
from bot.storage.people import members
from bot.storage.states import Shut, WarningState
from bot.storage.warnings import warnings as store
from bot.storage.wire import errand_rows, said
from bot.storage.wire.outbox_rows import Fate, queue

_WHY = {
    Fate.FORBIDDEN: Shut.REMOVED,
    Fate.GONE: Shut.GONE,
    Fate.MUTED: Shut.MUTED,
    Fate.TOPIC_CLOSED: Shut.TOPIC_CLOSED,
    Fate.TOPIC_GONE: Shut.TOPIC_GONE,
}
_LOST = (Shut.REMOVED, Shut.GONE)
_UNSAID = (WarningState.DETECTED, WarningState.OVER)
#: Of use to nobody anywhere else.
_TRIALS = ("probe:", "greeting:", "back:")
#: What holds of a message in the group alone: what it answers, and that another rings in its place.
_OF_GROUP = ("reply_parameters", "disable_notification")


async def refused(session: AsyncSession, row: Outbox, why: Fate, source: Source, now: datetime) -> None:
    """A group takes nothing from us, or a topic of it: who needs to know is told, and what was to be said goes on."""
    known, what = await gardens.of_chat(session, row.chat_id), _WHY[why]
    if not what.silent and row.thread_id is not None:  # it is sent once more without the topic
        for garden in known:
            if garden.thread_id == row.thread_id and not garden.shut:
                await _note(session, garden, what, now)
        return
    for garden in known:
        if what.silent or garden.thread_id is None or garden.shut:
            await _note(session, garden, what if what.silent else Shut.CLOSED, now)
    await _pass_on(session, row, known, source, now)
    if what in _LOST:
        await _let_go(session, row.chat_id, known, source, now)


async def removed(session: AsyncSession, chat_id: int, source: Source, now: datetime) -> None:
    """The bot was removed from a group. By whom is nobody's business."""
    known = await gardens.of_chat(session, chat_id)
    for garden in known:
        await _note(session, garden, Shut.REMOVED, now)
    await _let_go(session, chat_id, known, source, now)


async def muted(session: AsyncSession, chat_id: int, now: datetime) -> None:
    """The bot is in the group, and may not write there any more."""
    for garden in await gardens.of_chat(session, chat_id):
        await _note(session, garden, Shut.MUTED, now)


async def _let_go(session: AsyncSession, chat_id: int, known: Sequence[Garden], source: Source, now: datetime) -> None:
    """What still waits for a group that is lost goes privately."""
    for row in await said.waiting(session, chat_id):
        await _pass_on(session, row, known, source, now)
    await said.forget_group(session, chat_id)


async def _note(session: AsyncSession, garden: Garden, what: Shut, now: datetime) -> None:
    if garden.shut == what:
        return
    garden.shut, garden.shut_at = what, now
    if what in _LOST:
        garden.former_chat_id, garden.former_thread_id = garden.chat_id, garden.thread_id
        garden.chat_id = garden.thread_id = None
    in_force = [one for one in await store.active(session, garden.id, now) if one.state not in _UNSAID]
    unreached = await everyone.unreached(session, garden)
    key = f"shut:{garden.id}:{what}:{now.isoformat()}"
    await tell_organisers(
        session, garden, key, lambda say: wording.note(say, garden.name, what, unreached, in_force), now
    )


async def _pass_on(session: AsyncSession, row: Outbox, known: Sequence[Garden], source: Source, now: datetime) -> None:
    """What the group was to be told: a warning anew to each, an answer to whoever asked, anything else to each as it is."""
    late = row.expires_at is not None and row.expires_at <= now
    if not row.method.startswith("send") or late or row.key.startswith(_TRIALS):
        return
    if row.key.startswith("reply:"):
        await _answer(session, row, now)
    elif row.key.startswith("errand:"):
        errand = await errand_rows.by_id(session, int(row.key.split(":")[1]))
        member = await members.by_id(session, errand.member_id) if errand is not None else None
        if member is not None and reachable(member):
            await _copy(session, row, member.person.user_id, now)
    elif row.key.startswith("warning:"):
        warning = await store.by_id(session, int(row.key.split(":")[1]))
        for garden in known if warning is not None else ():
            if warning is not None and garden.id == warning.garden_id:
                await tell_again(session, garden, await look(session, garden, source, now), row.key, now)
    else:
        for garden in known:
            if row.thread_id in (None, garden.thread_id, garden.former_thread_id):
                for member in await everyone.reached(session, garden):
                    await _copy(session, row, member.person.user_id, now)


async def _answer(session: AsyncSession, row: Outbox, now: datetime) -> None:
    """Privately, if they have opened their chat with the bot."""
    number = row.key.split(":")[1]
    asked = await said.heard(session, int(number)) if number.isdecimal() else {}
    body = next((one for one in asked.values() if isinstance(one, dict)), {})
    user_id = (body.get("from") or {}).get("id")
    person = await members.person_by_user(session, user_id) if isinstance(user_id, int) else None
    theirs = await members.of_user(session, user_id) if person is not None and isinstance(user_id, int) else ()
    if any(reachable(one) for one in theirs):
        await _copy(session, row, user_id, now)


async def _copy(session: AsyncSession, row: Outbox, user_id: int | None, now: datetime) -> None:
    if user_id is None:
        return
    await queue(
        session,
        key=f"{row.key}:to:{user_id}"[-150:],
        chat_id=user_id,
        thread_id=None,
        method=row.method,
        payload={name: value for name, value in row.payload.items() if name not in _OF_GROUP},
        urgency=row.urgency,
        now=now,
        send_at=max(now, row.send_at),
        expires_at=row.expires_at,
        repeatable=row.repeatable,
        garden_id=row.garden_id,
    )


#: The group is tried again so often by itself: common practice, no source.
PROBE_H = 3


async def probe(session: AsyncSession, garden: Garden, now: datetime, *, at_once: bool = False) -> None:
    """Try the group: words that are true as soon as anybody can read them. at_once: somebody may just have mended it."""
    chat_id = garden.former_chat_id if garden.shut == Shut.GONE else garden.chat_id
    if chat_id is None or not garden.shut or not Shut(garden.shut).silent:
        return
    local = now.astimezone(garden.tz)
    if not at_once and quiet(garden).ends_at(now) > now:
        return
    moment = f"{now:%Y%m%d%H%M}" if at_once else f"{local:%Y%m%d}-{local.hour // PROBE_H}"
    await post(
        session,
        key=f"probe:{garden.id}:{moment}",
        chat_id=chat_id,
        thread_id=garden.thread_id or garden.former_thread_id,
        text=wording.again(everyone.voice(garden)),
        now=now,
    )


async def arrived(session: AsyncSession, row: Outbox, source: Source, now: datetime) -> None:
    """A message has reached a group: where it could not be written to before, all goes there again."""
    if row.chat_id > 0 or row.method != "sendMessage":
        return
    lost = [one for one in await gardens.formerly_of(session, row.chat_id) if one.shut == Shut.GONE]
    for garden in [*lost, *await gardens.of_chat(session, row.chat_id)]:
        if garden.shut and _is_where_it_writes(garden, row.thread_id):
            garden.chat_id, garden.thread_id = row.chat_id, garden.thread_id or garden.former_thread_id
            await _open(session, garden, source, now)


def _is_where_it_writes(garden: Garden, thread_id: int | None) -> bool:
    """Whether a message in that topic shows that this garden's messages arrive again."""
    what, own = Shut(garden.shut), garden.thread_id
    if not what.silent:
        return thread_id is not None and thread_id == own
    return what is not Shut.CLOSED or thread_id in (None, own)


async def _open(session: AsyncSession, garden: Garden, source: Source, now: datetime) -> None:
    """Warnings and calendar stand in the group again, and organisers hear of it."""
    what, garden.shut, garden.shut_at = Shut(garden.shut), "", None
    garden.former_chat_id = garden.former_thread_id = None
    key = f"open:{garden.id}:{now.isoformat()}"
    await tell_organisers(session, garden, key, lambda say: wording.back(say, garden.name, what), now)
    if what.silent:
        await _stand(session, garden, source, now)


async def _stand(session: AsyncSession, garden: Garden, source: Source, now: datetime) -> None:
    await post_anew(session, garden, await look(session, garden, source, now), now)
    if (await calendar_of(session, garden.id)).pinned_id is not None:
        await pinned.pin(session, garden, now)


async def moved(session: AsyncSession, old: int, new: int, source: Source, now: datetime) -> None:
    """A group became a supergroup, in which messages have other numbers: what stands is posted there anew, once."""
    known = await gardens.of_chat(session, old)
    await claims.move_chat(session, old, new)
    for garden in known:
        await session.refresh(garden)
        if garden.group_id is not None:
            await _stand(session, garden, source, now)


async def came_back(request: Request, chat_id: int, title: str, status: str, by: int) -> bool:
    """The bot was added to a group again: whoever looks after the garden says whether it goes on. False for any other.

    An organiser who adds it has said so by that.
    """
    known = await gardens.formerly_of(request.session, chat_id)
    for garden in known:
        garden.bot_status = status
        organisers = await members.organisers(request.session, garden.id)
        if any(one.person.user_id == by for one in organisers):
            await _go_on(request, garden)
            continue
        for one in organisers:
            if one.person.user_id is not None:
                say = everyone.voice(garden, one.person.language)
                await post(
                    request.session,
                    key=f"back:{garden.id}:{one.id}:{request.now.isoformat()}",
                    chat_id=one.person.user_id,
                    text=wording.offer(say, garden.name, title),
                    now=request.now,
                    buttons=[
                        [
                            (say.gettext("Write there again"), f"back:{garden.id}:yes"),
                            (say.gettext("No"), f"back:{garden.id}:no"),
                        ]
                    ],
                    urgency=Urgency.REPLY,
                )
        say = everyone.voice(garden)
        asked: list[list[Button]] = [[(say.gettext("Write here again"), f"back:{garden.id}:yes")]]
        await request.reply(wording.asked_in_group(say, garden.name), asked)
    return bool(known)


async def press(request: Request, rest: str) -> None:
    """ "garden id:yes", "no", or "here": the answer to what organisers were asked about the group."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, said = found
    say = request.say
    if said == "no" and garden.chat_id is None:
        await request.change(say.gettext("All right, I write nothing there. I warn each of you in a private chat."))
    elif said == "yes" and garden.former_chat_id is not None and garden.chat_id is None:
        await _go_on(request, garden)
        await request.change(say.gettext("Good, I write there again. The current warnings are there in a moment."))
    elif said in ("yes", "no") and garden.group_id is not None:
        await request.change(say.gettext("I already write in the group of this garden."))
    elif said == "here":
        await _here(request, garden)
    else:
        await rights.stale(request)


async def _go_on(request: Request, garden: Garden) -> None:
    """Bound again. Whether anything can be written there shows with what is said next."""
    garden.chat_id, garden.thread_id = garden.former_chat_id, garden.former_thread_id
    garden.former_chat_id = garden.former_thread_id = None
    garden.shut, garden.shut_at = "", None
    assert garden.chat_id is not None
    await post(
        request.session,
        key=f"back:{garden.id}:group:{request.now.isoformat()}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=wording.again(everyone.voice(garden)),
        now=request.now,
    )
    await request.session.flush()
    await _stand(request.session, garden, request.source, request.now)


async def _here(request: Request, garden: Garden) -> None:
    """The topic in which an organiser taps is the garden's from now on."""
    chat = request.update.effective_chat
    if chat is None or chat.id != garden.chat_id:
        await rights.stale(request)
        return
    garden.thread_id, garden.shut, garden.shut_at = request.topic, "", None
    await request.change(request.say.gettext("From now on I write here."))
    await request.session.flush()
    await _stand(request.session, garden, request.source, request.now)
