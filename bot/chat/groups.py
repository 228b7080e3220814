"""What happens to groups: the bot is added or removed, the group gets a new id, people join and leave."""

from __future__ import annotations

from telegram import ChatMember, ChatMemberRestricted

from bot.chat import farewell, reopened, setting_up, shut, unreachable, welcome
from bot.chat.greeting import greet
from bot.chat.standing import status_of
from bot.chat.telling import voice
from bot.chat.turn import Turn
from bot.chat.wording import setup as setup_wording
from bot.chat.wording.html import safe
from bot.i18n import best_language
from bot.services import joining
from bot.storage import gardens, members

__all__ = ["join", "left", "member_changed", "migrated", "ours_changed"]

_IN = (ChatMember.MEMBER, ChatMember.ADMINISTRATOR, ChatMember.OWNER)


def _is_in(member: ChatMember) -> bool:
    """Whether they are in the group; whoever may not write there for a while still is."""
    return member.status in _IN or (isinstance(member, ChatMemberRestricted) and member.is_member)


def _is_muted(member: ChatMember) -> bool:
    return isinstance(member, ChatMemberRestricted) and not member.can_send_messages


async def ours_changed(turn: Turn) -> None:
    """The bot was added to a group or removed; or somebody started or blocked it in private."""
    change, chat = turn.update.my_chat_member, turn.update.effective_chat
    if change is None or chat is None:
        return
    inside = _is_in(change.new_chat_member)
    if chat.type == "private":
        if not inside:
            await unreachable.lost(turn.session, chat.id, turn.now)
        return
    if not inside:
        await shut.removed(turn.session, chat.id, turn.source, turn.now)
        return
    for one in await gardens.of_chat(turn.session, chat.id):
        one.bot_status = status_of(change.new_chat_member)
        await reopened.probe(turn.session, one, turn.now, at_once=True)
    if _is_muted(change.new_chat_member):
        await shut.muted(turn.session, chat.id, turn.now)
    if _is_in(change.old_chat_member):
        return
    if await reopened.came_back(
        turn, chat.id, chat.title or "", status_of(change.new_chat_member), change.from_user.id
    ):
        return
    garden = turn.garden or await joining.bind_group(turn.session, chat.id, None, change.from_user.id)
    if garden is None:
        await turn.reply(setup_wording.hello(turn.say), setting_up.begin_button(turn))
        return
    garden.bot_status = status_of(change.new_chat_member)
    await greet(turn, garden)


async def join(turn: Turn, rest: str) -> None:
    """Somebody tapped Join under a message in the group, which proves that they are in it."""
    user, chat = turn.update.effective_user, turn.update.effective_chat
    garden = await gardens.by_id(turn.session, int(rest)) if rest.isdecimal() and len(rest) < 10 else None
    if user is None or chat is None or garden is None or garden.chat_id != chat.id:
        await turn.reply(turn.say.gettext("Please tap Join in your garden's own group chat."))
        return
    if turn.standing is not None:
        garden.bot_status = turn.standing.bot
        if turn.standing.outside:
            await turn.reply(turn.say.gettext("Please join this group first, then tap Join again."))
            return
    who = joining.Newcomer(user.id, user.first_name, user.username, best_language(user.language_code))
    before = await members.of_user(turn.session, user.id, garden.id)
    member = await joining.join(turn.session, garden, who, turn.now)
    say = voice(garden, member.person.language)
    if before and member.person.private_ok_at is not None:
        if member.adult:
            await turn.whisper(say.gettext("You have joined already. Good to have you!"))
        else:
            await welcome.ask_adult(turn, garden, member)
        return
    address = f"https://t.me/{turn.bot_name}?start=hello"
    await turn.reply(
        say.gettext(
            "Welcome, {name}! Last step: open our private chat and press Start, so that I can write to you.",
            name=safe(user.first_name, 40),
        ),
        [[(say.gettext("Open the private chat"), address)]],
    )
    if member.person.private_ok_at is not None:
        await welcome.next_step(turn, garden, member)


async def migrated(turn: Turn) -> None:
    """The group has a new id: everything stored moves with it, in this transaction."""
    message, chat = turn.update.message, turn.update.effective_chat
    if message is None or chat is None:
        return
    if message.migrate_to_chat_id is not None:
        await reopened.moved(turn.session, chat.id, message.migrate_to_chat_id, turn.source, turn.now)
    elif message.migrate_from_chat_id is not None:
        await reopened.moved(turn.session, message.migrate_from_chat_id, chat.id, turn.source, turn.now)


async def member_changed(turn: Turn) -> None:
    """Somebody left the group or was removed: their turns are given on. Seen only where the bot is administrator."""
    change = turn.update.chat_member
    if change is not None and not _is_in(change.new_chat_member):
        await _gone(turn, change.chat.id, change.new_chat_member.user.id)


async def left(turn: Turn) -> None:
    message = turn.update.message
    if message is not None and message.left_chat_member is not None:
        await _gone(turn, message.chat.id, message.left_chat_member.id)


async def _gone(turn: Turn, chat_id: int, user_id: int) -> None:
    """Out of every garden that shares the group."""
    for garden in await gardens.of_chat(turn.session, chat_id):
        await farewell.leave(turn.session, garden.id, user_id, turn.now)
