"""Stories from colder, milder, shorter and southern years than lowland Britain's, through all seasons.

A grower's judgement (common practice, no source), unless a source is named beside it. The garden and its clock are those
of the other stories; the rules' days are carried to the nights of the place, and to its days where they are known. Nights
and days: test_calendar_elsewhere.py names the sources; Camborne and Braemar are the Met Office's historic station data,
means of 1991-2020 (Open Government Licence v3).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import pytest

from bot.core.finding import Finding
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.carrying import carried, carrier, warmed
from bot.core.growing.crop import Crop
from bot.core.growing.outdoors import Advice, Conditions, Verdict, advise_all
from bot.core.growing.seasons import in_window, turned
from bot.core.growing.stages import reckoned
from bot.core.growing.succession import Where, fill_gap, sowing_places
from bot.core.warnings.hazards import findings
from bot.crops.own import Frost, OwnCrop, built
from tests.support.stories import FRAME, LONG_BED, POT, SILL, TEASEL_LANE, TUNNEL, Story, Weather, batch, crops


def from_f(*degrees_f: float) -> tuple[float, ...]:
    return tuple((one - 32) / 1.8 for one in degrees_f)


NIGHTS_C = {
    "Iowa City": from_f(14, 19, 29, 40, 51, 61, 65, 63, 54, 42, 31, 20),
    "Red River": from_f(-4.7, 1.7, 16.5, 31.5, 43.1, 53.2, 58.0, 55.5, 46.0, 35.0, 19.6, 2.6),  # Ada, Minnesota
    "Edinburgh": (1.4, 1.5, 2.8, 4.4, 6.8, 9.6, 11.4, 11.4, 9.4, 6.5, 3.7, 1.3),
    "Cornwall": (4.9, 4.6, 5.4, 6.6, 8.8, 11.2, 13.2, 13.4, 12.0, 10.0, 7.4, 5.6),  # Camborne
    "Highlands": (-1.2, -1.1, -0.2, 1.4, 3.7, 7.0, 8.8, 8.4, 6.5, 3.8, 0.9, -1.3),  # Braemar
    "Canterbury": (12.0, 12.0, 11.0, 8.0, 5.0, 2.0, 2.0, 3.0, 5.0, 7.0, 9.0, 11.0),  # Christchurch, New Zealand
}
HIGHS_C = {
    "Iowa City": from_f(30, 35, 48, 62, 72, 81, 84, 82, 75, 63, 48, 35),
    "Edinburgh": (7.0, 7.6, 9.5, 11.7, 14.6, 17.2, 19.1, 18.9, 16.5, 13.1, 9.6, 7.0),
    "Cornwall": (9.2, 9.1, 10.2, 12.1, 14.5, 16.9, 18.7, 19.0, 17.5, 14.6, 11.8, 9.9),
    "Highlands": (4.8, 5.2, 7.2, 10.1, 13.7, 16.0, 18.0, 17.4, 15.0, 10.9, 7.4, 5.0),
}


@cache
def rules(place: str) -> Mapping[str, Crop]:
    southern = place == "Canterbury"
    to = carrier(NIGHTS_C[place], southern=southern)
    assert to is not None
    highs_c = HIGHS_C.get(place)
    warmth = warmed(to, NIGHTS_C[place], highs_c, southern=southern) if highs_c is not None else None
    there = {key: carried(crop, to, warmth) for key, crop in crops().items()}
    there = {key: turned(crop) for key, crop in there.items()} if southern else there
    own = {"own-canna": OwnCrop("canna"), "own-skirret": OwnCrop("skirret", eaten=True, frost=Frost.STANDS)}
    return {**there, **{key: built(key, one, there) for key, one in own.items()}}


def called(place: str, on: date, plants: Planting, weather: Weather) -> tuple[Finding, ...]:
    story = Story(on, (plants,), weather)
    garden = replace(TEASEL_LANE, plantings=(replace(plants, id=1),), place_by_id={})
    garden = reckoned(garden, rules(place), on)[0]
    return findings(garden, rules(place), story.nights, story.forecast, story.now)


def advice(place: str, on: date, plants: Planting, weather: Weather) -> Advice:
    story = Story(on, (plants,), weather)
    garden = replace(TEASEL_LANE, plantings=(replace(plants, id=1),), place_by_id={})
    (found,) = advise_all(garden, rules(place), Conditions(on, story.nights))
    return found


@dataclass(frozen=True)
class Night:
    """What a grower there is asked on one evening: the tasks, nothing for an ordinary night. why: the grower's reason."""

    why: str
    place: str
    on: date
    plants: Planting
    weather: Weather
    tasks: frozenset[str] = frozenset()


def wintered(crop: str, on: date, count: int = 24) -> Planting:
    """In the ground since the summer before that day."""
    year = on.year - (on.month < 7)
    return batch(crop, LONG_BED, Stage.GROWING, count, sown_on=date(year, 5, 1), planted_on=date(year, 7, 1))


def out(crop: str, on: date, count: int = 12, **known: float) -> Planting:
    return batch(crop, LONG_BED, Stage.GROWING, count, planted_on=on, **known)


def fruiting(crop: str, sown: date, ready: date, count: int = 6) -> Planting:
    return batch(crop, LONG_BED, Stage.READY, count, sown_on=sown, planted_on=sown, stage_on=ready)


COVER, PICK = frozenset({"cover"}), frozenset({"pick or lift"})
NIGHTS = (
    # Autumn, which comes weeks earlier where the year is short.
    Night("first frost of the prairie: what is ripe is picked", "Red River", date(2026, 9, 20),
          fruiting("tomato", date(2026, 4, 1), date(2026, 8, 10)), Weather((-3.0,), (14.0,)), PICK),
    Night("pumpkins are cut before the first hard frost", "Red River", date(2026, 9, 18),
          fruiting("pumpkin", date(2026, 5, 25), date(2026, 9, 5), 4), Weather((-3.0,), (13.0,)), PICK),
    Night("peppers at the end of a Highland summer", "Highlands", date(2026, 9, 12),
          fruiting("pepper", date(2026, 4, 20), date(2026, 8, 20)), Weather((-2.0,), (13.0,)), PICK),
    Night("kale is sweeter for a frost", "Red River", date(2026, 10, 5), wintered("kale", date(2026, 10, 5)),
          Weather((-4.0,), (9.0,))),
    Night("leeks stand a frost of October", "Iowa City", date(2026, 10, 20), wintered("leek", date(2026, 10, 20)),
          Weather((-4.0,), (10.0,))),
    Night("sprouts stand it too", "Iowa City", date(2026, 11, 5), wintered("brussels-sprouts", date(2026, 11, 5)),
          Weather((-5.0,), (6.0,))),
    Night("parsnips wait in the ground", "Edinburgh", date(2026, 11, 20), wintered("parsnip", date(2026, 11, 20)),
          Weather((-6.0,), (3.0,))),
    Night("in Cornwall a touch of air frost in December is nothing to leeks", "Cornwall", date(2026, 12, 15),
          wintered("leek", date(2026, 12, 15)), Weather((-2.0,), (8.0,))),
    Night("courgettes in an October frost of Edinburgh are picked", "Edinburgh", date(2026, 10, 8),
          fruiting("courgette", date(2026, 5, 30), date(2026, 7, 20)), Weather((-2.5,), (11.0,)), PICK),
    # Winter is no emergency.
    Night("garlic sleeps under the snow", "Iowa City", date(2027, 1, 15), out("garlic", date(2026, 10, 10), 60),
          Weather((-9.0,), (-2.0,))),
    Night("winter kale at minus eight", "Edinburgh", date(2027, 1, 12), wintered("kale", date(2027, 1, 12)),
          Weather((-8.0,), (1.0,))),
    Night("swedes at minus seven", "Highlands", date(2027, 1, 12), wintered("swede", date(2027, 1, 12)),
          Weather((-7.0,), (1.0,))),
    Night("broad beans of autumn in a Cornish frost", "Cornwall", date(2027, 1, 20),
          batch("broad-bean", LONG_BED, Stage.GROWING, 40, sown_on=date(2026, 11, 20)), Weather((-3.0,), (7.0,))),
    Night("a tree at rest", "Red River", date(2027, 1, 10), batch("apple", LONG_BED, Stage.GROWING, 2,
          planted_on=date(2022, 4, 10), height_cm=170.0), Weather((-15.0,), (-6.0,))),
    Night("raspberry canes at rest", "Highlands", date(2027, 2, 1), batch("raspberry-summer", LONG_BED, Stage.GROWING, 20,
          planted_on=date(2023, 11, 10)), Weather((-9.0,), (0.0,))),
    Night("tulips under the soil", "Iowa City", date(2027, 2, 10), batch("tulip", LONG_BED, Stage.SOWN, 60,
          planted_on=date(2026, 10, 15)), Weather((-14.0,), (-4.0,))),
    Night("daffodils in bud bow and rise again", "Edinburgh", date(2027, 3, 20), out("daffodil", date(2025, 10, 1), 80),
          Weather((-4.0,), (7.0,))),
    Night("where winter lasts into April, garlic stands an April night of minus nine", "Red River", date(2027, 4, 8),
          out("garlic", date(2026, 9, 25), 60), Weather((-9.0,), (4.0,))),
    # Spring.
    Night("peas just up shrug off a light frost", "Red River", date(2026, 5, 12),
          batch("pea", LONG_BED, Stage.SEEDLING, 120, sown_on=date(2026, 4, 24)), Weather((-1.0,), (14.0,))),
    Night("hardened cabbages in a May frost of the prairie", "Red River", date(2026, 5, 14),
          out("cabbage-summer", date(2026, 5, 7), 24), Weather((-2.0,), (13.0,))),
    Night("onion sets in an April frost", "Iowa City", date(2026, 4, 20), out("onion-set", date(2026, 4, 6), 200),
          Weather((-2.0,), (14.0,))),
    Night("tomatoes set out in good faith, and then a frost of late May", "Iowa City", date(2026, 5, 22),
          out("tomato", date(2026, 5, 14), 12, height_cm=30.0), Weather((-1.0,), (16.0,)), COVER),
    Night("beans that are up in a Scottish June frost", "Highlands", date(2026, 6, 24),
          batch("french-bean", LONG_BED, Stage.SEEDLING, 40, sown_on=date(2026, 6, 12)), Weather((-1.0,), (15.0,)), COVER),
    Night("Cornish earlies in March are earthed over", "Cornwall", date(2026, 3, 25),
          out("potato-first-early", date(2026, 2, 22), 40, height_cm=10.0), Weather((-2.5,), (10.0,)),
          frozenset({"earth up"})),
    Night("earlies under the soil in April need nothing", "Edinburgh", date(2026, 4, 10),
          batch("potato-first-early", LONG_BED, Stage.SOWN, 40, planted_on=date(2026, 4, 4)), Weather((-4.0,), (9.0,))),
    Night("apple blossom in a May frost", "Edinburgh", date(2026, 5, 14), batch("apple", LONG_BED, Stage.FLOWERING, 2,
          planted_on=date(2021, 3, 1), height_cm=160.0, stage_on=date(2026, 5, 10)), Weather((-3.0,), (11.0,)), COVER),
    Night("plums in a Cornish March flower early", "Cornwall", date(2026, 4, 2), batch("plum", LONG_BED, Stage.FLOWERING, 2,
          planted_on=date(2021, 3, 1), height_cm=160.0, stage_on=date(2026, 3, 28)), Weather((-3.5,), (9.0,)), COVER),
    Night("strawberries in flower in June of the Highlands", "Highlands", date(2026, 6, 10),
          batch("strawberry", LONG_BED, Stage.FLOWERING, 40, planted_on=date(2025, 8, 1), stage_on=date(2026, 6, 1)),
          Weather((-3.0,), (13.0,)), COVER),
    Night("trays on the windowsill sleep through any frost", "Red River", date(2026, 4, 20),
          batch("tomato", SILL, Stage.SEEDLING, 30, sown_on=date(2026, 4, 1)), Weather((-9.0,), (4.0,))),
    Night("lettuces in a cold tunnel at minus one", "Iowa City", date(2026, 4, 5),
          batch("lettuce", TUNNEL, Stage.GROWING, 30, sown_on=date(2026, 2, 28), planted_on=date(2026, 3, 25)),
          Weather((-1.0,), (12.0,))),
    # South of the equator.
    Night("tomatoes in a frost of late November", "Canterbury", date(2026, 11, 24),
          out("tomato", date(2026, 11, 5), 12, height_cm=35.0), Weather((-1.5,), (16.0,)), COVER),
    Night("the last courgettes of April", "Canterbury", date(2026, 4, 14),
          fruiting("courgette", date(2025, 11, 5), date(2026, 1, 10)), Weather((-2.5,), (13.0,)), PICK),
    Night("leeks of July", "Canterbury", date(2026, 7, 10), batch("leek", LONG_BED, Stage.GROWING, 60,
          sown_on=date(2025, 10, 1), planted_on=date(2025, 12, 10)), Weather((-5.0,), (9.0,))),
    Night("broad beans of autumn in a July frost", "Canterbury", date(2026, 7, 20),
          batch("broad-bean", LONG_BED, Stage.GROWING, 40, sown_on=date(2026, 5, 1)), Weather((-4.0,), (10.0,))),
    Night("apricots in flower in September", "Canterbury", date(2026, 9, 14), batch("apricot", LONG_BED, Stage.FLOWERING, 1,
          planted_on=date(2021, 7, 1), height_cm=170.0, stage_on=date(2026, 9, 10)), Weather((-3.0,), (13.0,)), COVER),
    Night("dahlias at the end of their autumn are cut", "Canterbury", date(2026, 5, 2),
          batch("dahlia", LONG_BED, Stage.READY, 12, planted_on=date(2025, 11, 20), stage_on=date(2026, 2, 1)),
          Weather((-2.5,), (12.0,)), PICK),
    # Plants that the rules do not know.
    Night("an unknown plant is covered as if it were tender", "Edinburgh", date(2026, 6, 2),
          out("own-canna", date(2026, 5, 28), 12, height_cm=40.0), Weather((-1.5,), (13.0,)), COVER),
    Night("one of which the garden says that it stands the winter is not", "Edinburgh", date(2026, 6, 2),
          out("own-skirret", date(2026, 5, 1), 12), Weather((-1.5,), (13.0,))),
)  # fmt: skip


@pytest.mark.parametrize("night", NIGHTS, ids=[one.why for one in NIGHTS])
def test_what_a_grower_there_does_tonight(night: Night) -> None:
    found = {one.task.value for one in called(night.place, night.on, night.plants, night.weather)}
    assert found == night.tasks, (night.place, found)


#: (place, day, crop, where it may be started then; empty: not the time). Sources: test_calendar_elsewhere.py.
STARTS: tuple[tuple[str, date, str, set[Where]], ...] = (
    ("Iowa City", date(2026, 4, 12), "pea", {Where.OUTDOORS}),
    ("Iowa City", date(2026, 3, 1), "pea", set()),
    ("Iowa City", date(2026, 5, 12), "french-bean", {Where.OUTDOORS}),
    ("Iowa City", date(2026, 4, 10), "french-bean", set()),
    ("Red River", date(2026, 4, 1), "carrot", set()),
    ("Red River", date(2026, 5, 5), "carrot", {Where.OUTDOORS}),
    ("Red River", date(2026, 5, 25), "sweetcorn", {Where.OUTDOORS}),
    ("Edinburgh", date(2026, 4, 9), "potato-first-early", {Where.OUTDOORS}),  # allotments of Edinburgh, 2015: 9 April
    ("Cornwall", date(2026, 2, 25), "potato-first-early", {Where.OUTDOORS}),
    ("Highlands", date(2026, 3, 25), "potato-first-early", set()),
    ("Canterbury", date(2026, 9, 15), "pea", {Where.OUTDOORS}),
    ("Canterbury", date(2026, 10, 15), "carrot", {Where.OUTDOORS}),
    ("Canterbury", date(2026, 4, 15), "tomato", set()),
)


@pytest.mark.parametrize(("place", "on", "crop", "where"), STARTS)
def test_when_a_grower_there_sows(place: str, on: date, crop: str, where: set[Where]) -> None:
    found = {one.where for one in sowing_places(rules(place)[crop], on)} - {Where.CHIT}
    assert (Where.OUTDOORS in found) == (Where.OUTDOORS in where), (place, crop, found)


#: (crop, in flower or ripe, not yet, then). Apples: the blossom festival of Cotehele, 26 April to 11 May 2025, 26 to 29
#: April 2024 (Cornish Times). Strawberries: to pick from June (Mitchell Fruit Garden, Newquay), in the open at the time of
#: the county show (Barefoot Cornwall, 27 May 2014). Cherries and pears in flower on 16 May of a cool spring (The Guardian,
#: 2018, Tamar Valley). All copies, read 2026-11-28.
CORNISH_FRUIT = (
    ("apple", "flowering", date(2026, 4, 1), date(2026, 5, 5)),
    ("pear", "flowering", date(2026, 3, 1), date(2026, 4, 25)),
    ("strawberry", "window", date(2026, 5, 10), date(2026, 6, 8)),
    ("cherry", "window", date(2026, 5, 20), date(2026, 6, 25)),
)


@pytest.mark.parametrize(("crop", "what", "not_yet_on", "then_on"), CORNISH_FRUIT)
def test_mild_nights_by_the_sea_bring_no_fruit_forward(crop: str, what: str, not_yet_on: date, then_on: date) -> None:
    days = getattr(rules("Cornwall")[crop].harvest, what)
    assert not in_window(not_yet_on, days) and in_window(then_on, days), days


def hardened(crop: str, sown: date) -> Planting:
    return batch(crop, FRAME, Stage.HARDENED, 12, sown_on=sown, height_cm=20.0)


@pytest.mark.parametrize(
    ("place", "on", "goes_out"),
    [
        ("Cornwall", date(2026, 5, 6), True),  # mild nights since weeks
        ("Highlands", date(2026, 5, 20), False),  # a month too early there, however mild the week
        ("Red River", date(2026, 5, 12), False),  # "wait to plant until May 20 or 25": NDSU Extension
        ("Red River", date(2026, 5, 28), True),
        ("Canterbury", date(2026, 11, 12), True),  # November: Canterbury Horticultural Society
        ("Canterbury", date(2026, 9, 25), False),
    ],
)
def test_whether_hardened_tomatoes_go_out_in_a_mild_week(place: str, on: date, goes_out: bool) -> None:
    found = advice(place, on, hardened("tomato", date(on.year, max(1, on.month - 2), 1)), Weather((10.0,) * 8, (19.0,)))
    assert (found.verdict is Verdict.PLANT_OUT) is goes_out, found


def test_a_pot_of_peppers_is_carried_in_before_a_prairie_frost_of_august() -> None:
    """Weeks of picking are still to come; in the last of them the fruit is picked instead."""
    peppers = batch("pepper", POT, Stage.GROWING, 1, planted_on=date(2026, 6, 1), height_cm=45.0)
    found = called("Red River", date(2026, 8, 22), peppers, Weather((-1.0,), (17.0,)))
    assert {one.task.value for one in found} == {"bring in"}


def test_a_gap_in_a_short_summer_is_filled_with_nothing_that_frost_would_take() -> None:
    fillers = {one.crop for one in fill_gap(rules("Red River"), date(2026, 8, 1), date(2026, 9, 15))}
    assert "radish" in fillers or "lettuce" in fillers
    assert not fillers & {"french-bean", "courgette", "sweetcorn", "pumpkin", "cucumber-outdoor"}
