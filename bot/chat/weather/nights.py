"""/weather: the coming nights, in numbers that growers use."""

from __future__ import annotations

from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.warnings import official
from bot.chat.weather import weather_words
from bot.i18n import Say
from bot.services.look import look
from bot.services.warnings.official import in_force

WORD = "weather"


def about(say: Say) -> str:
    return say.gettext("cold and wind in the next days")


async def answer(request: Request) -> None:
    say = request.say
    if request.garden is None:
        await request.reply(say.gettext("I don't know which garden you mean. Send /start to me privately."))
        return
    holding = [official.line(say, one, request.now) for one in await in_force(request.session, request.garden.id)]
    seen = await look(request.session, request.garden, request.source, request.now)
    if seen.forecast is None:
        silent = say.gettext("I have no weather forecast now. Please look at one yourself before dusk.")
        await request.reply(lines([*holding, silent]))
        return
    age = weather_words.age(say, seen.forecast, request.now)
    nights = weather_words.coming(say, seen.nights, seen.days)
    picture = say.gettext("The next ten days: /picture")
    text, _ = within([*holding, bold(say.gettext("The next nights:"))], nights, lambda shown_n: [picture, age])
    await request.reply(text)
