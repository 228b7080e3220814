"""/week: what should I do this week."""

from __future__ import annotations

from bot.chat.growing import week_words as wording
from bot.chat.request import Request
from bot.chat.tasks import daily
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.i18n import Say
from bot.services.growing import week

WORD = "week"


def about(say: Say) -> str:
    return say.gettext("your jobs this week, on your plots and for the group")


async def answer(request: Request) -> None:
    await show(request, 0)


async def show(request: Request, start: int) -> None:
    """The jobs from number start+1 on, with a button for each."""
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    found = await week.answer(request.session, garden, member, request.source, request.now)
    told = Told(say, found.outlook.crops, request.now)
    others = await daily.today(request.session, say, found.outlook, request.now, member.id) if start == 0 else []
    more = [say.gettext("For the group today:"), *others] if others else []
    if found.outlook.forecast is None:
        more.append(say.gettext("I have no weather forecast now. This list does not use one."))
    text, shown_n = wording.whole(told, found.outlook.garden, found.week, start=start, more=more)
    await request.reply(text, keyboards.week(say, found.week, start, shown_n))
