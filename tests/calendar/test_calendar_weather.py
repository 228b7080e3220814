"""The forecast against the calendar, at Teasel Lane."""

from __future__ import annotations

from datetime import date, time

from bot.core.calendar.entry import Entry, EntryKind
from bot.core.calendar.weather_conflicts import Contradiction, Sky, Trouble, contradictions
from bot.core.garden.snapshot import Stage
from tests.support.stories import SILL, ZONE, Story, Weather, batch, crops

TODAY = date(2026, 5, 10)
MILD = (9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0)
FROST_ON_THE_14TH = (9.0, 9.0, 9.0, 9.0, -4.0, 9.0, 9.0)


def planting_out(crop: str = "runner-bean", first: int = 12, last: int = 20) -> Entry:
    return Entry("Plant out", EntryKind.PLANT_OUT, date(2026, 5, first), date(2026, 5, last), crop=crop, uid="beans")


def against(weather: Weather, *entries: Entry, story: Story | None = None) -> tuple[Contradiction, ...]:
    told = story or Story(TODAY, (), weather)
    sky = Sky(TODAY, ZONE, told.nights, told.forecast, told.advice)
    return contradictions(entries, crops(), sky)


def test_planting_out_before_a_killing_night_moves_to_the_day_after_it() -> None:
    (one,) = against(Weather(FROST_ON_THE_14TH), planting_out())
    assert (one.trouble, one.on, one.new_first_on) == (Trouble.COLD_NIGHT, date(2026, 5, 14), date(2026, 5, 15))
    assert one.odds is not None
    assert one.odds > 0.1


def test_mild_nights_contradict_nothing() -> None:
    assert against(Weather(MILD), planting_out()) == ()


def test_a_night_before_the_entry_begins_contradicts_nothing() -> None:
    early = (-4.0, *MILD[1:])
    assert against(Weather(early), planting_out()) == ()


def test_hardy_plants_may_go_out_before_the_same_frost() -> None:
    light = Weather((9.0, 9.0, 9.0, 9.0, 1.0, 9.0, 9.0))
    assert against(light, planting_out("kale")) == ()
    assert len(against(light, planting_out("runner-bean"))) == 1


def test_an_entry_beyond_the_forecast_is_left_alone() -> None:
    assert against(Weather(FROST_ON_THE_14TH), planting_out(first=25, last=30)) == ()


def test_an_entry_that_is_over_is_left_alone() -> None:
    assert against(Weather(FROST_ON_THE_14TH), planting_out(first=1, last=9)) == ()


def test_a_batch_that_is_advised_to_wait_speaks_against_planting_it_out() -> None:
    # Soil at 8 C, below the 15.6 C (60 F) that snap beans need: Texas A&M AgriLife (Scoggin 2014), read 2026-11-25.
    story = Story(TODAY, (batch("runner-bean", SILL, Stage.HARDENED),), Weather(MILD), soil_c=8.0)
    (one,) = against(Weather(MILD), planting_out(first=11, last=12), story=story)
    assert one.trouble is Trouble.NOT_YET
    assert one.new_first_on is not None
    assert one.new_first_on > date(2026, 5, 12)


def work(day: int, starts: time | None = None, ends: time | None = None) -> Entry:
    return Entry("Work day", EntryKind.WORK, date(2026, 5, day), date(2026, 5, day), starts, ends, uid="work")


def test_a_work_day_in_a_storm_moves_to_the_next_calm_day() -> None:
    # 17 m/s is above 35 mph (15.6 m/s): common practice, no source.
    storm = Weather(MILD, gusts_ms=(3.0, 3.0, 17.0, 17.0))
    (one,) = against(storm, work(12))
    assert (one.trouble, one.on, one.new_first_on) == (Trouble.GUST, date(2026, 5, 12), date(2026, 5, 14))


def test_hours_before_the_gusts_are_left_alone() -> None:
    storm = Weather(MILD, gusts_ms=(3.0, 3.0, 17.0))
    assert against(storm, work(12, time(9), time(12))) == ()
    assert len(against(storm, work(12, time(13), time(15)))) == 1


def test_a_talk_indoors_is_not_moved_by_wind() -> None:
    talk = Entry("Talk", EntryKind.OTHER, date(2026, 5, 12), date(2026, 5, 12), time(13), time(15), uid="talk")
    assert against(Weather(MILD, gusts_ms=(3.0, 3.0, 25.0)), talk) == ()


def test_the_same_advice_has_the_same_key_and_other_advice_another() -> None:
    (one,) = against(Weather(FROST_ON_THE_14TH), planting_out())
    (again,) = against(Weather((9.0, 9.0, 9.0, 9.0, -5.0, 9.0, 9.0)), planting_out())
    (later,) = against(Weather((9.0, 9.0, 9.0, 9.0, -4.0, -4.0, 9.0)), planting_out())
    assert one.key == again.key != later.key
