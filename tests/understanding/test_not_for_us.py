"""In a group only what is said to the bot counts; everything else is other people's talk: silence, and no change."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.storage.models import Base, Entry
from bot.storage.states import AskState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

ENGLISH = """
ok
OK!
yes
Yes please
no
No, sorry
done
All done!
I can't
I'll do it
pass
count me in
I need help
need a hand
undo
Lovely weather today
What a forecast, eh?
weather is turning
what should I do?
Who is on this week?
help yourselves to rhubarb
my turn to bring the biscuits
how cold was the pool
windy up on the hill
I planted 3 tomatoes on my balcony at home
leeks are ready for anyone
2 kg potatoes from the supermarket
picked 2 kg of beans
watered the tomatoes
watered bed 1
sowed carrots in bed 2
planted out the lettuces
the beans are up
peas are flowering
potted on the runner beans
lost 5 lettuces to slugs
the frost got the courgettes
cleared bed 2
covered the potatoes
took the fleece off bed 1
earthed up the potatoes
fed the tomatoes
-1 on the shed thermometer
minus two at my place
the carrots are not up yet
runner beans not out before 25 May here
12 pots in the yard, 30 litres
tunnel, locked
plot 3 Amira and Joe
I'm away 8-15 May
cold tonight -3
wind tomorrow 60 mph
the first
both
bed 2
40
thanks!
good morning all
see you on Sunday
who has the key?
where is the hose
the gate was left open again
any spare canes?
that is yours, not mine
👍
@somebody can you water pot 5?
/help@another_bot
gatepost_bot is quiet today
"""

POLISH = """
ok
tak
Tak, chętnie
nie
Nie, niestety
zrobione
Gotowe!
nie mogę
zrobię
biorę to
nie dam rady
potrzebuję pomocy
cofnij
Ładna pogoda dzisiaj
jaka prognoza?
co robić
w tym tygodniu mnie nie ma
zrobiłam to
odpadam
posadziłam 3 pomidory na balkonie w domu
pory gotowe dla chętnych
2 kg ziemniaków ze sklepu
zebrałam 2 kg fasoli
podlałam pomidory
podlałem grządkę 1
posiałam marchew
posadziliśmy sałatę
fasola wzeszła
groch kwitnie
przesadziłam fasolę wielokwiatową
mróz zabrał cukinie
okryłam ziemniaki
-1 na termometrze
jutro mróz
wiatr jutro 90 km/h
tunel, zamknięty
pierwsza
obie
40
dzięki!
dzień dobry wszystkim
do zobaczenia w niedzielę
kto ma klucz?
nie będzie mnie 8-15 maja
@ktos podlej donicę 5
"""


async def _rows(lane: Talk) -> dict[str, list[Any]]:
    """Everything that is stored but what came in, and when a member was last heard."""
    kept: dict[str, list[Any]] = {}
    async with lane.stage.app.database.begin() as session:
        for table in Base.metadata.sorted_tables:
            columns = [column for column in table.columns if column.name != "heard_at"]
            if table.name != "inbox":
                found = await session.execute(select(*columns).order_by(*table.primary_key.columns))
                kept[table.name] = [tuple(map(repr, row)) for row in found]
    return kept


async def _asked(lane: Talk) -> Message:
    """People are asked for a cold night, in the group and by name."""
    lane.weather([calm(), COLD])
    await lane.look()
    assert any(ask.state is AskState.ASKED for _, asks in await lane.duties() for ask in asks)
    return lane.standing()


@pytest.mark.parametrize("sentences", [ENGLISH, POLISH], ids=["English", "Polish"])
async def test_small_talk_changes_nothing_and_is_met_with_silence(lane: Talk, sentences: str) -> None:
    await _asked(lane)
    lane.stage.api.add_user(77, "Passer-by")
    lane.stage.api.join(77, lane.group_id)
    await lane.settled()
    before = await _rows(lane)
    said = [line for line in sentences.strip().splitlines() if line]
    assert len(said) >= (60 if sentences is ENGLISH else 40)
    for words in said:
        for user in (lane.user("Miriam"), lane.user("Tobias"), lane.user("Kasia"), 77):
            lane.stage.api.write(user, lane.group_id, words)
            assert await lane.settled() == [], (user, words)
    assert await _rows(lane) == before


async def test_an_answer_to_somebody_elses_message_is_none_to_ours(lane: Talk) -> None:
    await _asked(lane)
    lane.stage.api.write(lane.user("Owen"), lane.group_id, "shall I bring cake?")
    theirs = max(id_ for chat, id_ in lane.stage.api.messages if chat == lane.group_id)
    await lane.settled()
    before = await lane.duties()
    for name in ("Miriam", "Tobias", "Leila"):
        lane.stage.api.write(lane.user(name), lane.group_id, "yes", reply_to=theirs)
        assert await lane.settled() == []
    assert [duty.state for duty, _ in await lane.duties()] == [duty.state for duty, _ in before]


@pytest.mark.parametrize("words", ["I'll do it", "yes", "ok"])
async def test_a_reply_to_the_call_takes_what_it_asks_for(lane: Talk, words: str) -> None:
    call = await _asked(lane)
    lane.stage.api.write(lane.user("Tobias"), lane.group_id, words, reply_to=call.id)
    await lane.settled()
    tobias = await lane.member("Tobias")
    assert any(
        ask.state is AskState.ACCEPTED and ask.member_id == tobias for _, asks in await lane.duties() for ask in asks
    )


async def test_a_yes_under_a_message_that_asks_for_nothing_takes_nothing(lane: Talk) -> None:
    await _asked(lane)
    before = [duty.state for duty, _ in await lane.duties()]
    (shown, *_) = await lane.write("Owen", "@gatepost_bot what is the weather?", group=True)
    lane.stage.api.write(lane.user("Tobias"), lane.group_id, "ok", reply_to=shown.id)
    (answer,) = await lane.settled()
    assert "nothing changes" in answer.text
    assert [duty.state for duty, _ in await lane.duties()] == before


@pytest.mark.parametrize("words", ["@gatepost_bot watered bed 1", "watered bed 1, @Gatepost_Bot"])
async def test_what_names_the_bot_is_heard_in_the_group(lane: Talk, words: str) -> None:
    (kept,) = await lane.write("Miriam", words, group=True)
    assert "Watered: Bed 1" in kept.text


async def test_a_question_asked_in_the_group_is_answered_by_a_reply(lane: Talk) -> None:
    (asked,) = await lane.write("Tobias", "@gatepost_bot potted on the beans", group=True)
    choice = next(label for label in labels(asked) if "Runner" in label)
    assert await lane.write("Tobias", "the first", group=True) == [], "not under the question"
    lane.stage.api.write(lane.user("Tobias"), lane.group_id, choice, reply_to=asked.id)
    assert "Runner beans" in texts(await lane.settled())


async def test_a_caption_is_small_talk_like_any_other(lane: Talk) -> None:
    for words in ("watered bed 1", "ok", "2 kg of potatoes"):
        lane.stage.api.send_file(lane.user("Tobias"), lane.group_id, "bed.jpg", b"x", words)
        assert await lane.settled() == [], words
    lane.stage.api.send_file(lane.user("Tobias"), lane.group_id, "bed.jpg", b"x", "@gatepost_bot watered pot 5")
    assert "Watered" in texts(await lane.settled())
    async with lane.stage.app.database.begin() as session:
        assert len((await session.scalars(select(Entry))).all()) == 1
