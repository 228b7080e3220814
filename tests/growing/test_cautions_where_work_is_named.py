"""What can hurt somebody is said where the work is named; heat in a closed house is answered always.

The sources of each caution: `bot/crops/keys.py`, by key in `sources.toml`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.chat.growing import week
from bot.chat.language.cries import fire
from bot.chat.tasks import daily_words
from bot.chat.warnings.told import Told
from bot.core.garden.snapshot import Garden
from bot.core.growing.jobs.job import Item
from bot.core.growing.week import Job, JobKind, Week
from bot.core.tasks.daily_work import Part
from bot.core.warnings.hazards import TaskKind
from bot.crops.keys import GENERAL, SAFETY
from bot.crops.loader import load, load_rules
from bot.i18n import say
from bot.services.tasks.daily.walk_views import WalkView
from bot.services.warnings.views import TaskView
from bot.storage.states import TaskState
from tests.support.paged import pressed
from tests.support.rings import lines_of
from tests.support.talk import MONDAY_AT, Talk

CROPS = load()
ENGLISH, POLISH = say("en", "Europe/London"), say("pl", "Europe/Warsaw")
POTATOES = ("potato-first-early", "potato-second-early", "potato-maincrop")
CUCURBITS = (
    "courgette", "marrow", "pumpkin", "winter-squash", "cucumber-greenhouse", "cucumber-outdoor", "melon",
)  # fmt: skip
PHASEOLUS = ("runner-bean", "french-bean", "climbing-french-bean")
NOBODY = Garden(1, "Teasel Lane", 52.1, -1.3, None, "Europe/London")


def job(kind: JobKind, crop: str) -> Job:
    item = Item(f"{kind}:1", kind, (kind, crop), 1.0, crop=crop, detail=CROPS[crop].harvest.ready)
    return Job(item.key, kind, crop, item.detail, (item,), (), (), None, None, 1.0, None, None, ())


def line(crop: str) -> str:
    """The week's own line of a harvest, before anything is tapped."""
    return week.one(Told(ENGLISH, CROPS, MONDAY_AT), NOBODY, job(JobKind.HARVEST, crop))


def tapped(kind: JobKind, crop: str) -> str:
    return "\n".join(week.cautions(Told(ENGLISH, CROPS, MONDAY_AT), NOBODY, job(kind, crop)))


def test_broad_beans_are_never_for_people_with_g6pd_deficiency() -> None:
    # ANSES, Favism: broad beans are to be avoided irrespective of their mode of preparation.
    assert "G6PD" in line("broad-bean") and "not even cooked" in line("broad-bean")
    assert "must not eat broad beans, not even cooked" in tapped(JobKind.HARVEST, "broad-bean")
    assert "soak" not in line("broad-bean") + tapped(JobKind.HARVEST, "broad-bean")


@pytest.mark.parametrize("crop", PHASEOLUS)
def test_pods_are_cooked_and_only_dried_beans_are_soaked(crop: str) -> None:
    # FSAI 2024: fresh beans boiled 10 minutes; dried ones soaked 12 hours, that water thrown away, boiled 30 minutes.
    assert "Cook the pods; soak dried beans for 12 hours and boil them hard for 30 minutes." in line(crop)
    whole = tapped(JobKind.HARVEST, crop)
    assert "Fresh pods: boil for 10 minutes. Dried or ripe beans: soak for 12 hours" in whole and "G6PD" not in whole


@pytest.mark.parametrize(
    ("crops", "short", "long"),
    [
        (CUCURBITS, "Does it taste bitter? Spit it out. It is poisonous.", "If a fruit tastes bitter, spit it out"),
        (POTATOES, "Throw away green ones.", "Cooking does not make them safe"),
        (POTATOES, "Leaves and stems are poisonous.", "Leaves and stems, and the fruits of potatoes"),
        (("tomato",), "Leaves and stems are poisonous.", "are poisonous"),
        (("rhubarb",), "The leaves are poisonous.", "Eat only the stalks"),
        (("rhubarb",), "Don't eat stalks that are soft after frost.", "Put them in the compost"),
        (
            ("celery", "celeriac", "parsnip"),
            "Its juice (sap) and sunlight make blisters",
            "Wear gloves and long sleeves",
        ),
    ],
)
def test_the_weeks_line_of_a_harvest_has_the_caution_and_a_tap_the_whole(
    crops: tuple[str, ...], short: str, long: str
) -> None:
    for crop in crops:
        assert short in line(crop), crop
        assert long in tapped(JobKind.HARVEST, crop), crop


@pytest.mark.parametrize("kind", [JobKind.SOW, JobKind.SOW_AGAIN, JobKind.POT_ON, JobKind.PLANT_OUT])
def test_work_with_compost_says_how_to_handle_it(kind: JobKind) -> None:
    # Public Health Scotland, October 2024; RHS, 3 September 2010.
    told = tapped(kind, "tomato")
    assert "wear gloves" in told and "wash your hands" in told and "Legionella" in told


def whole(*jobs: Job, hose_ban: bool = False) -> str:
    garden = replace(NOBODY, hose_ban=hose_ban)
    return week.whole(Told(ENGLISH, CROPS, MONDAY_AT), garden, Week(jobs, nothing_urgent=True))[0]


def test_the_weeks_list_says_it_once_for_all_jobs_with_compost() -> None:
    raising = [job(JobKind.POT_ON, "leek"), job(JobKind.POT_ON, "tomato"), job(JobKind.PLANT_OUT, "kale")]
    assert whole(*raising).count("Compost: wear gloves") == 1
    assert "Legionella" not in whole(job(JobKind.HARVEST, "kale"))


def test_a_hose_that_stood_in_the_sun_is_run_gently_first() -> None:
    # RHS, 3 September 2010; the National Allotment Society, as quoted by an allotment association.
    water = job(JobKind.WATER, "kale")
    assert "let the water run gently, without the spray" in whole(water)
    assert "Was the hose in the sun" not in whole(water, hose_ban=True)


def test_a_turn_of_watering_says_so_too() -> None:
    line = TaskView(
        1, TaskKind.WATER, None, (), None, None, 1, 10, MONDAY_AT, MONDAY_AT, TaskState.OPEN, (), None, litres=20.0
    )
    walk = WalkView(date(2026, 5, 4), Part.MORNING, (line,))
    assert "let the water run gently, without the spray" in daily_words.open_call(ENGLISH, NOBODY, walk)
    assert "Was the hose in the sun" not in daily_words.open_call(ENGLISH, replace(NOBODY, hose_ban=True), walk)


async def test_a_cold_night_of_a_house_says_no_fire_in_it(talk: Talk) -> None:
    for _ in talk.stage.steps(talk.stage.clock() + timedelta(hours=30)):
        await talk.stage.tick()
    cold = [message.text for message in talk.group() if "at the plants" in message.text]
    assert len(cold) == 2
    (call,) = [text for text in cold if "We need this done by" in text]
    assert "No fuel heater, flame or candle under glass. Carbon monoxide and fire kill." in call
    standing = next(one for one in talk.group() if "We need this done by" in one.text)
    everything = await pressed(talk, "Owen", standing, "Show all")
    assert "Use no paraffin, gas, charcoal or candles under glass or plastic" in everything and "RCD" in everything
    for _ in talk.stage.steps(talk.stage.clock() + timedelta(hours=16)):
        await talk.stage.tick()
    others = [message.text for message in talk.group() if "gusts" in message.text]
    assert others and not any("paraffin" in text for text in others)


ASKED_ENGLISH = (
    "can I put a paraffin heater in the tunnel tonight?", "Is it ok to light a few candles in the greenhouse",
    "could we run the generator inside the polytunnel?", "I put a BBQ in the tunnel to keep it warm",
    "what about a gas heater for the greenhouse?", "tea lights under flower pots in the cold frame?",
    "charcoal in the tunnel tonight", "is a camping stove in the shed fine while I pot on?", "which heater is best?",
    "shall I use kerosene tonight", "propane heater overnight ok?", "put a paraffin lamp in the greenhouse",
    "Can we plug an electric heater in the greenhouse?", "lit the paraffin heater in the tunnel and watered pot 1",
)  # fmt: skip
ASKED_POLISH = (
    "czy mogę wstawić piecyk naftowy do tunelu na noc?", "mogę zapalić świeczki w szklarni?", "grill w tunelu na noc?",
    "czy agregat może stać w tunelu?", "grzejnik gazowy w foliaku ok?", "znicze pod folią przeciw przymrozkom",
    "węgiel drzewny w szklarni na dziś w nocy", "jaki grzejnik do szklarni?", "farelka w tunelu?",
    "nagrzewnica na propan w szklarni", "can I put a paraffin heater in the tunnel tonight?",
)  # fmt: skip


@pytest.mark.parametrize("text", ASKED_ENGLISH)
async def test_a_question_about_fire_in_a_house_is_always_answered(talk: Talk, text: str) -> None:
    told = [message.text for message in await talk.write("Miriam", text)]
    assert "carbon monoxide" in told[0] and "112" in told[0] and "RCD" in told[1]
    assert all(lines_of(one) <= 12 for one in told[:2])
    assert not any("did not understand" in one for one in told)


@pytest.mark.parametrize("text", ASKED_POLISH)
def test_a_polish_question_about_fire_in_a_house_is_known_for_one(text: str) -> None:
    assert fire(text, POLISH, to_us=True)


async def test_a_polish_reader_is_answered_in_polish(talk: Talk) -> None:
    told = await talk.write("Kasia", "czy mogę wstawić piecyk naftowy do tunelu na noc?")
    assert "tlenek węgla" in told[0].text and "112" in told[0].text


async def test_in_the_group_fire_in_a_house_is_answered_and_a_barbecue_in_the_open_is_not(talk: Talk) -> None:
    told, instead = await talk.write("Owen", "I'll put the gas heater in the tunnel tonight", group=True)
    assert "carbon monoxide" in told.text and "RCD" in instead.text
    assert await talk.write("Owen", "Barbecue at the plots on Saturday, who brings bread?", group=True) == []


@pytest.mark.parametrize(
    "text",
    ["the frost got the courgettes", "picked 2 kg of tomatoes in the tunnel", "my heather is in flower", "hello"],
)
def test_what_has_no_fire_in_it_is_no_question_about_one(text: str) -> None:
    assert not fire(text, ENGLISH, to_us=True)


def test_every_caution_has_its_source_or_says_that_it_has_none() -> None:
    _, sources, _ = load_rules()
    for key, cited in {**SAFETY, **GENERAL}.items():
        assert cited and set(cited) <= {*sources, "practice"}, key
