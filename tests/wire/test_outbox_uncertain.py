"""When nobody can tell whether a message arrived: a marked repeat where it matters, no blind one elsewhere."""

from __future__ import annotations

import httpx
import pytest
from telegram import Bot
from telegram.request import HTTPXRequest

from bot.storage.wire.outbox_claims import claim
from bot.storage.wire.outbox_rows import recover
from tests.support.bot_api import TOKEN, BotApiServer, Fault
from tests.support.cast import CALLUM, FARAH, GROUP
from tests.support.ends import Clock, Ends

AGAIN = "This may have reached you already:"
MAYBE_STORED = [Fault.CUT_AFTER, Fault.DELAY, Fault.GATEWAY_ERROR, Fault.CUT_BEFORE]


def texts(server: BotApiServer, chat: int) -> list[str]:
    return [message.text for message in server.api.said(chat)]


@pytest.mark.parametrize("fault", MAYBE_STORED)
async def test_a_warning_that_may_be_lost_is_repeated_once_and_marked(
    ends: Ends, bot_api: BotApiServer, clock: Clock, fault: Fault
) -> None:
    bot_api.faults.next_up.append(fault)
    await ends.say(FARAH, "Cover by 19:50", key="w", repeatable=True, payload={"again_prefix": AGAIN})
    await ends.send()
    clock.pass_by(seconds=1)
    await ends.send()
    first = [] if fault is Fault.CUT_BEFORE else ["Cover by 19:50"]
    assert texts(bot_api, FARAH) == [*first, f"{AGAIN}\nCover by 19:50"]
    assert await ends.states() == [("w", "uncertain"), ("w:again", "sent")]


@pytest.mark.parametrize("fault", MAYBE_STORED)
async def test_anything_else_that_may_be_lost_is_not_repeated(
    ends: Ends, bot_api: BotApiServer, clock: Clock, fault: Fault
) -> None:
    bot_api.faults.next_up.append(fault)
    await ends.say(FARAH, "Noted: sowed peas", key="r")
    await ends.send()
    clock.pass_by(minutes=10)
    await ends.send()
    assert await ends.states() == [("r", "uncertain")]
    assert len(texts(bot_api, FARAH)) <= 1


async def test_a_refusal_by_the_platform_itself_is_tried_again_unmarked(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    bot_api.faults.next_up.extend([Fault.SERVER_ERROR] * 2)
    await ends.say(FARAH, "Noted: sowed peas", key="r")
    for _ in range(3):
        await ends.send()
        clock.pass_by(seconds=4)
    assert await ends.states() == [("r", "sent")]
    assert texts(bot_api, FARAH) == ["Noted: sowed peas"]


async def test_no_connection_means_not_sent_and_what_follows_keeps_its_place(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    # A port that nobody listens on: the connection is refused before anything is written.
    request = HTTPXRequest(connect_timeout=1.0)
    bot, ends.bot = ends.bot, Bot(TOKEN, base_url="http://127.0.0.1:1/bot", request=request)
    await ends.say(FARAH, "one")
    async with request:
        await ends.send()
    ends.bot = bot
    await ends.say(FARAH, "two")
    await ends.send()
    assert texts(bot_api, FARAH) == []
    clock.pass_by(seconds=2)
    await ends.send()
    assert texts(bot_api, FARAH) == ["one", "two"]


async def test_a_change_is_repeated_freely_since_it_shows_nothing_twice(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    call = await ends.say(GROUP, "Two pots to cover", key="call")
    await ends.send()
    bot_api.faults.next_up.append(Fault.CUT_AFTER)
    await ends.say(GROUP, "All covered", key="change", method="editMessageText", edits=call)
    await ends.send()
    clock.pass_by(seconds=2)
    await ends.send()
    assert await ends.states() == [("call", "sent"), ("change", "sent")]
    assert [(m.text, len(m.edits)) for m in bot_api.api.said(GROUP)] == [("All covered", 1)]


async def test_a_change_follows_the_repeat_of_its_message(ends: Ends, bot_api: BotApiServer, clock: Clock) -> None:
    bot_api.faults.next_up.append(Fault.CUT_BEFORE)
    call = await ends.say(GROUP, "Two to cover", key="call", repeatable=True, payload={"again_prefix": AGAIN})
    await ends.say(GROUP, "One to cover", key="before", method="editMessageText", edits=call)
    await ends.send()
    clock.pass_by(seconds=1)
    await ends.send()
    assert texts(bot_api, GROUP) == ["One to cover"]
    await ends.say(GROUP, "All covered", key="after", method="editMessageText", edits=call)
    await ends.send()
    assert texts(bot_api, GROUP) == ["All covered"]


async def test_what_a_killed_process_was_sending_is_uncertain_at_the_next_start(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    await ends.say(FARAH, "Cover by 19:50", key="w", repeatable=True, payload={"again_prefix": AGAIN})
    await ends.say(CALLUM, "Noted", key="r")
    for _ in range(2):
        async with ends.database.begin() as session:
            assert await claim(session, clock()) is not None
    clock.pass_by(minutes=2)
    async with ends.database.begin() as session:
        assert await recover(session, clock(), clock.now) == 2
    clock.pass_by(seconds=1)
    await ends.send()
    assert await ends.states() == [("w", "uncertain"), ("r", "uncertain"), ("w:again", "sent")]
    assert texts(bot_api, FARAH) == [f"{AGAIN}\nCover by 19:50"]


async def test_a_repeat_that_fails_too_is_repeated_later_but_not_for_ever(
    ends: Ends, bot_api: BotApiServer, clock: Clock
) -> None:
    bot_api.faults.next_up.extend([Fault.CUT_BEFORE] * 20)
    await ends.say(FARAH, "Cover by 19:50", key="w", repeatable=True, payload={"again_prefix": AGAIN})
    for _ in range(12):
        await ends.send()
        clock.pass_by(minutes=1)
    assert [state for _, state in await ends.states()] == ["uncertain"] * 6


async def test_a_repeatable_message_must_say_how_a_repeat_is_marked(ends: Ends) -> None:
    with pytest.raises(ValueError, match="no again_prefix"):
        await ends.say(FARAH, "Cover by 19:50", repeatable=True)


def test_the_chat_library_still_chains_the_network_errors_that_tell_unsent_from_uncertain() -> None:
    assert issubclass(httpx.ConnectTimeout, httpx.TimeoutException)
    assert not issubclass(httpx.ReadError, httpx.ConnectError)
