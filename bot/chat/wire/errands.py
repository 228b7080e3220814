"""Work that takes longer than an answer may: a row and a word that it goes on now, the result when it is there.

A handler only writes the row (`begin`). Whoever does the work opens short transactions around it (`opened`), so that
no file is fetched and no page drawn inside of one; the last of them settles the row together with what it says.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot

from bot.chat.request import Request
from bot.chat.wire.message import Button, Urgency, already, edit, hand_over, post
from bot.core.garden.snapshot import Role
from bot.i18n import Say, say
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Errand, Garden, Member
from bot.storage.people import members
from bot.storage.session import TO_DO, Database
from bot.storage.states import ErrandKind, ErrandState, SendState
from bot.storage.wire import errand_rows, said

#: Of the platform's names of files; they are about 80 characters long, and nothing that is longer is one.
_LINE = 200


@dataclass(frozen=True, slots=True)
class Desk:
    """What the work is done with. now: aware, UTC."""

    database: Database
    bot: Bot
    source: Source
    now: Callable[[], datetime]


@dataclass(slots=True)
class Scene:
    """One transaction of one errand: whose it is, and how to answer them. It never calls the network."""

    session: AsyncSession
    errand: Errand
    garden: Garden
    member: Member
    say: Say
    now: datetime
    answers: int = field(default=0)

    @property
    def is_organiser(self) -> bool:
        return self.member.role is Role.ORGANISER

    def settle(self, state: ErrandState = ErrandState.DONE) -> None:
        """The errand is done; what it held is let go, unless it is kept for a button."""
        self.errand.state = state
        if state is not ErrandState.KEPT:
            self.errand.data = None

    async def tell(self, text: str, buttons: Sequence[Sequence[Button]] = ()) -> None:
        """Change the word that it goes on into the answer; where it may not have arrived, say it anew."""
        row = await said.by_id(self.session, self.errand.outbox_id)
        if row is None or row.state is not SendState.SENT:
            await self.more(text, buttons)
            return
        await edit(
            self.session, key=self._key(), row=row, text=text, now=self.now, buttons=buttons, urgency=Urgency.REPLY
        )

    async def more(self, text: str, buttons: Sequence[Sequence[Button]] = ()) -> None:
        """Say something further, as a message of its own."""
        await post(
            self.session,
            key=self._key(),
            chat_id=self.errand.chat_id,
            thread_id=self.errand.thread_id,
            text=text,
            now=self.now,
            buttons=buttons,
            urgency=Urgency.REPLY,
            again=already(self.say),
        )

    async def show(self, png: bytes, name: str, caption: str) -> None:
        await self._file(png, name, caption, picture=True)

    async def hand_over(self, data: bytes, name: str, caption: str) -> None:
        await self._file(data, name, caption, picture=False)

    async def _file(self, data: bytes, name: str, caption: str, *, picture: bool) -> None:
        await hand_over(
            self.session,
            self.say,
            key=self._key(),
            chat_id=self.errand.chat_id,
            thread_id=self.errand.thread_id,
            picture=picture,
            file=b64encode(data).decode("ascii"),
            name=name,
            caption=caption,
            now=self.now,
        )

    def _key(self) -> str:
        self.answers += 1
        return f"errand:{self.errand.id}:{self.errand.kind.value}:{self.answers}"


async def begin(
    request: Request,
    kind: ErrandKind,
    word: str | None,
    *,
    file: tuple[str, str, int | None] | None = None,
    asked: dict[str, str] | None = None,
    in_place: bool = False,
) -> Errand:
    """Write the errand down and say `word`, which its answer replaces; None for what is there at once, such as a picture.

    file: the platform's id, its name, its size.

    in_place: the word takes the place of the message whose button was pressed. The request has a garden and a member.
    """
    chat, garden, member = request.update.effective_chat, request.garden, request.member
    assert chat is not None and garden is not None and member is not None
    told = None
    if word is not None:
        told = await (request.change(word) if in_place else request.reply(word))
    await request.session.flush()
    shown = told.edits if told is not None and told.edits is not None else told.id if told is not None else None
    place = (told.chat_id, told.thread_id) if told is not None else await request.place()
    chat_id, thread_id = place or (chat.id, request.topic)
    request.session.info[TO_DO] = True
    row = Errand(
        garden_id=garden.id,
        member_id=member.id,
        chat_id=chat_id,
        thread_id=thread_id,
        kind=kind,
        asked=asked or {},
        state=ErrandState.WAITING,
        asked_at=request.now,
        outbox_id=shown,
    )
    if file is not None:
        row.file_id, row.file_name, row.file_bytes_n = file[0][:_LINE], file[1][:_LINE], file[2]
    await errand_rows.add(request.session, row)
    return row


@asynccontextmanager
async def opened(desk: Desk, row: Errand) -> AsyncIterator[Scene | None]:
    """A transaction for the errand; None when it is no longer ours, or whoever asked is no longer a member."""
    async with desk.database.begin() as session:
        held = await errand_rows.held(session, row)
        member = await members.by_id(session, row.member_id)
        garden = await gardens.by_id(session, row.garden_id)
        if held is None or member is None or garden is None:
            if held is not None:
                held.state, held.data = ErrandState.DONE, None
            yield None
            return
        voice = say(member.person.language, garden.zone, garden.wind_unit, garden.wordings)
        yield Scene(session, held, garden, member, voice, desk.now())
