"""What happens to groups: the bot is added or removed, the group gets a new id, people join and leave.

Which group is a garden's: asked privately of the organiser who has added the bot to one. Nobody else is asked.
"""

from __future__ import annotations

from datetime import timedelta

from telegram import ChatMember, ChatMemberRestricted

from bot.chat import rights
from bot.chat.garden import setup_dialogue, shut
from bot.chat.garden import setup_words as setup_wording
from bot.chat.garden.everyone import tell_organisers, voice
from bot.chat.garden.greeting import greet
from bot.chat.garden.group_role import status_of
from bot.chat.html import safe
from bot.chat.people import departures, newcomers, start, unreachable
from bot.chat.people import gate_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import Urgency, post
from bot.services.people import codes, joining
from bot.services.people.joining import Came
from bot.storage.garden import gardens
from bot.storage.models import ClaimCode, Garden, Member
from bot.storage.people import members
from bot.storage.wire import said


async def ask(request: Request) -> None:
    """The update is the bot's being added to a group."""
    user, chat = request.update.effective_user, request.update.effective_chat
    own = await joining.unbound(request.session, user.id) if user is not None else []
    if user is None or chat is None or not own:
        return
    text, buttons = wording.bind_question(request.say, chat.title or "", own, chat.id)
    key = f"{_key(chat.id, user.id)}{request.update.update_id}"
    await post(request.session, key=key, chat_id=user.id, text=text, now=request.now, buttons=buttons)


def _key(chat_id: int, user_id: int) -> str:
    return f"bind:{chat_id}:{user_id}:"


async def press(request: Request, rest: str) -> None:
    """ "garden id:chat id", or "no", under the question about that very group, by whoever was asked."""
    if rest == "no":
        await request.change(request.say.gettext("All right. I do not look after a garden for that group."))
        return
    number, _, chat_number = rest.partition(":")
    garden_id, chat_id = rights.whole(number), _chat(chat_number)
    if garden_id is None or chat_id is None or not await _asked(request, chat_id):
        await rights.stale(request)
        return
    found = await rights.organiser_of(request, garden_id)
    if found is None:
        return
    garden, _ = found
    if garden.chat_id is not None:
        await request.change(request.say.gettext("{garden} already has a group.", garden=safe(garden.name)))
    elif await gardens.of_chat(request.session, chat_id):
        await request.change(
            request.say.gettext("That group already has a garden. To add another, write /setup there.")
        )
    elif request.standing is None or request.standing.outside:
        await request.change(request.say.gettext("I can't see both of us in that group. Please add me there again."))
    else:
        garden.chat_id, garden.thread_id, garden.bot_status = chat_id, None, request.standing.bot
        await greet(request, garden)
        await request.change(
            request.say.gettext("Done: I have said hello to {garden} there.", garden=safe(garden.name))
        )


def _chat(text: str) -> int | None:
    return int(text) if text.removeprefix("-").isdecimal() and len(text) < 20 else None


async def _asked(request: Request, chat_id: int) -> bool:
    """Whether the button stands under our question about this group to this very person: chat ids can be made up."""
    user, message = request.update.effective_user, request.update.effective_message
    row = await said.at(request.session, message.chat.id, message.message_id) if message is not None else None
    return user is not None and row is not None and row.key.startswith(_key(chat_id, user.id))


#: A second tap within this time is the same tap.
_ONCE = timedelta(minutes=10)

_IN = (ChatMember.MEMBER, ChatMember.ADMINISTRATOR, ChatMember.OWNER)


def _is_in(member: ChatMember) -> bool:
    """Whether they are in the group; whoever may not write there for a while still is."""
    return member.status in _IN or (isinstance(member, ChatMemberRestricted) and member.is_member)


def _is_muted(member: ChatMember) -> bool:
    return isinstance(member, ChatMemberRestricted) and not member.can_send_messages


async def ours_changed(request: Request) -> None:
    """The bot was added to a group or removed; or somebody started or blocked it in private."""
    change, chat = request.update.my_chat_member, request.update.effective_chat
    if change is None or chat is None:
        return
    inside = _is_in(change.new_chat_member)
    if chat.type == "private":
        if not inside:
            await unreachable.lost(request.session, chat.id, request.now)
        return
    if not inside:
        await shut.removed(request.session, chat.id, request.source, request.now)
        return
    for one in await gardens.of_chat(request.session, chat.id):
        one.bot_status = status_of(change.new_chat_member)
        await shut.probe(request.session, one, request.now, at_once=True)
    if _is_muted(change.new_chat_member):
        await shut.muted(request.session, chat.id, request.now)
    if _is_in(change.old_chat_member):
        return
    if await shut.came_back(request, chat.id, chat.title or "", status_of(change.new_chat_member), change.from_user.id):
        return
    if request.garden is None:  # nothing is bound to a group but by a tap
        await request.reply(setup_wording.hello(request.say), setup_dialogue.begin_button(request))
        await ask(request)
        return
    await greet(request, request.garden)


async def join(request: Request, rest: str) -> None:
    """Somebody tapped Join under a message in the group, which proves that they are in it."""
    user, chat = request.update.effective_user, request.update.effective_chat
    garden_id = rights.whole(rest)
    garden = await gardens.by_id(request.session, garden_id) if garden_id is not None else None
    if user is not None and user.is_bot:
        return
    if user is None or chat is None or garden is None or garden.chat_id != chat.id:
        await request.reply(request.say.gettext("Please tap Join in your garden's own group chat."))
        return
    if request.standing is not None:
        garden.bot_status = request.standing.bot
        if request.standing.outside:
            await request.reply(request.say.gettext("Please join this group first, then tap Join again."))
            return
    member, came = await joining.join(request.session, garden, newcomers.newcomer(request.say, user), request.now)
    if came is Came.REMOVED:
        await newcomers.wait(request, garden, member)
    elif came is Came.ALREADY and member.person.private_ok_at is not None:
        await _here_already(request, garden, member)
    else:
        await _welcome(request, garden, member)
        await newcomers.ask(request.session, garden, request.now)


async def _here_already(request: Request, garden: Garden, member: Member) -> None:
    if member.adult:
        say = voice(garden, member.person.language)
        await request.whisper(say.gettext("You have joined already. Good to have you!"))
    else:
        await start.ask_adult(request, garden, member)


async def _welcome(request: Request, garden: Garden, member: Member) -> None:
    """In the group, where they tapped; a second tap at once is not answered a second time."""
    prefix = f"welcome:{member.id}:"
    if await said.since(request.session, prefix, request.now - _ONCE):
        return
    say, chat = voice(garden, member.person.language), request.update.effective_chat
    address = f"https://t.me/{request.bot_name}?start=hello"
    assert chat is not None
    await post(
        request.session,
        key=f"{prefix}{request.update.update_id}",
        chat_id=chat.id,
        thread_id=request.topic,
        text=say.gettext(
            "Welcome, {name}! Last step: open our private chat and press Start, so that I can write to you.",
            name=safe(member.person.name, 40),
        ),
        now=request.now,
        buttons=[[(say.gettext("Open the private chat"), address)]],
        urgency=Urgency.REPLY,
        garden_id=garden.id,
    )
    if member.person.private_ok_at is not None:
        await start.next_step(request, garden, member)


async def code_posted(request: Request) -> bool:
    """A code that others can read no longer works, and the organisers hear of it. False where there was none."""
    message = request.update.effective_message
    text = (message.text or message.caption or "") if message is not None else ""
    found = await codes.posted(request.session, text)
    for code in found:
        await _code_void(request, code)
    return bool(found)


async def _code_void(request: Request, code: ClaimCode) -> None:
    garden = await gardens.by_id(request.session, code.garden_id)
    assert garden is not None
    place = await members.by_id(request.session, code.member_id) if code.member_id is not None else None
    able = [one for one in await members.organisers(request.session, garden.id) if one.person.user_id is not None]
    await request.reply(wording.code_seen(request.say, organised=place is not None and bool(able)))
    await tell_organisers(
        request.session,
        garden,
        f"codeposted:{code.id}:{request.update.update_id}",
        lambda say: wording.code_posted(say, garden.name, place)[0],
        request.now,
        buttons=lambda say: wording.code_posted(say, garden.name, place)[1],
    )


async def migrated(request: Request) -> None:
    """The group has a new id: everything stored moves with it, in this transaction."""
    message, chat = request.update.message, request.update.effective_chat
    if message is None or chat is None:
        return
    if message.migrate_to_chat_id is not None:
        await shut.moved(request.session, chat.id, message.migrate_to_chat_id, request.source, request.now)
    elif message.migrate_from_chat_id is not None:
        await shut.moved(request.session, message.migrate_from_chat_id, chat.id, request.source, request.now)


async def member_changed(request: Request) -> None:
    """Somebody left the group or was removed: their turns are given on. Seen only where the bot is administrator."""
    change = request.update.chat_member
    if change is not None and not _is_in(change.new_chat_member):
        await _gone(request, change.chat.id, change.new_chat_member.user.id)


async def left(request: Request) -> None:
    message = request.update.message
    if message is not None and message.left_chat_member is not None:
        await _gone(request, message.chat.id, message.left_chat_member.id)


async def _gone(request: Request, chat_id: int, user_id: int) -> None:
    """Out of every garden that shares the group."""
    for garden in await gardens.of_chat(request.session, chat_id):
        await departures.leave(request.session, garden.id, user_id, request.now)
