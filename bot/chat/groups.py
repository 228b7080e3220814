"""What happens to groups: the bot is added or removed, the group gets a new id, people join and leave."""

from __future__ import annotations

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import ChatMember

from bot.chat import farewell, unreachable
from bot.chat.message import Button, post
from bot.chat.telling import voice
from bot.chat.turn import Turn
from bot.chat.wording.html import bold, lines, safe
from bot.i18n import best_language
from bot.services import joining
from bot.storage import chats, claims, gardens
from bot.storage.models import Garden

__all__ = ["join", "left", "member_changed", "migrated", "ours_changed"]

_IN = (ChatMember.MEMBER, ChatMember.ADMINISTRATOR, ChatMember.OWNER)


async def ours_changed(turn: Turn) -> None:
    """The bot was added to a group or removed; or somebody started or blocked it in private."""
    change, chat = turn.update.my_chat_member, turn.update.effective_chat
    if change is None or chat is None:
        return
    inside = change.new_chat_member.status in _IN
    if chat.type == "private":
        if not inside:
            await unreachable.lost(turn.session, chat.id, turn.now)
        return
    if not inside:
        await chats.forget_group(turn.session, chat.id)
        return
    if change.old_chat_member.status in _IN:
        return
    garden = turn.garden or await joining.bind_group(turn.session, chat.id, None, change.from_user.id)
    if garden is None:
        await turn.reply(
            turn.say.gettext(
                "Hello! I do not know your garden yet. Whoever looks after it: please send me /start privately first, "
                "then add me again."
            )
        )
        return
    await _greet(turn.session, turn, garden)


async def _greet(session: AsyncSession, turn: Turn, garden: Garden) -> None:
    """Once, and it names the one thing to do."""
    say = voice(garden)
    assert garden.chat_id is not None
    buttons: list[list[Button]] = [[(say.gettext("Join"), f"join:{garden.id}")]]
    text = lines([
        bold(say.gettext("Hello, {garden}!", garden=safe(garden.name))),
        say.gettext("I watch the weather for what grows here, and ask for hands before cold and wind."),
        say.gettext("One thing to do: everyone who takes part, please tap Join."),
    ])  # fmt: skip
    await post(
        session,
        key=f"greeting:{garden.id}:{garden.chat_id}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=text,
        now=turn.now,
        buttons=buttons,
    )


async def join(turn: Turn, rest: str) -> None:
    """Somebody tapped Join under a message in the group, which proves that they are in it."""
    user, chat = turn.update.effective_user, turn.update.effective_chat
    garden = await gardens.by_id(turn.session, int(rest)) if rest.isdecimal() and len(rest) < 10 else None
    if user is None or chat is None or garden is None or garden.chat_id != chat.id:
        await turn.reply(turn.say.gettext("Please tap Join in your garden's own group chat."))
        return
    who = joining.Newcomer(user.id, user.first_name, user.username, best_language(user.language_code))
    before = turn.member is not None
    member = await joining.join(turn.session, garden, who, turn.now)
    say = voice(garden, member.person.language)
    if before and member.person.private_ok_at is not None:
        await turn.whisper(say.gettext("You have joined already. Good to have you!"))
        return
    address = f"https://t.me/{turn.bot_name}?start=hello"
    await turn.reply(
        say.gettext(
            "Welcome, {name}! Last step: open our private chat and press Start, so that I can write to you.",
            name=safe(user.first_name, 40),
        ),
        [[(say.gettext("Open the private chat"), address)]],
    )


async def migrated(turn: Turn) -> None:
    """The group has a new id: everything stored moves with it, in this transaction."""
    message, chat = turn.update.message, turn.update.effective_chat
    if message is None or chat is None:
        return
    if message.migrate_to_chat_id is not None:
        await claims.move_chat(turn.session, chat.id, message.migrate_to_chat_id)
    elif message.migrate_from_chat_id is not None:
        await claims.move_chat(turn.session, message.migrate_from_chat_id, chat.id)


async def member_changed(turn: Turn) -> None:
    """Somebody left the group or was removed: their turns are given on. Seen only where the bot is administrator."""
    change = turn.update.chat_member
    if change is not None and change.new_chat_member.status not in _IN and turn.garden is not None:
        await farewell.leave(turn.session, turn.garden.id, change.new_chat_member.user.id, turn.now)


async def left(turn: Turn) -> None:
    message = turn.update.message
    if message is not None and message.left_chat_member is not None and turn.garden is not None:
        await farewell.leave(turn.session, turn.garden.id, message.left_chat_member.id, turn.now)
