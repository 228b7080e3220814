"""/frost says what past minima say, moved to the site by what was learned; without them it says so."""

from __future__ import annotations

from datetime import date, timedelta

from bot.storage.garden import gardens
from bot.storage.models import NightMinimum
from tests.dialogues.talk import Talk

#: The worked series of last frosts: days of the year 112 to 137 (mean 126), Weibull median rank 5.5 between 126 and 128.
LAST_FROSTS = (112, 118, 121, 124, 126, 128, 129, 131, 134, 137)


async def _load(talk: Talk) -> None:
    """Ten years, each with one spring frost on its day and one autumn frost on 1 November; mild otherwise."""
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        for year, day_of_year in zip(range(2011, 2021), LAST_FROSTS, strict=True):
            spring_on = (date(2011, 1, 1) + timedelta(days=day_of_year - 1)).replace(year=year)
            days = (date(year, 1, 1) + timedelta(days=n) for n in range(365 + (year % 4 == 0)))
            session.add_all(
                NightMinimum(
                    garden_id=row.id,
                    on=on,
                    min_c=-1.0 if on in (spring_on, date(year, 11, 1)) else 5.0,
                    source="invented",
                )
                for on in days
            )


async def test_without_ten_years_the_usual_word_is_given_and_called_that(talk: Talk) -> None:
    told = await talk.said("Owen", "/frost")
    assert "second week of May" in told.text and "minima.csv" in told.text


async def test_half_of_the_years_and_one_in_ten_are_said_so_that_they_can_not_be_read_backwards(talk: Talk) -> None:
    await _load(talk)
    told = (await talk.said("Owen", "/frost")).text
    # Weibull positions r/(n+1), by hand: rank 5.5 lies between days 126 and 128, so day 127, 7 May; rank 9.9 lies between
    # days 134 and 137, so day 136.7, 17 May.
    assert "Half of the years still have a frost after 7 May" in told
    assert "One year in ten still has a frost after 17 May" in told
    assert "1 Nov" in told


async def test_the_gardens_odds_put_off_what_may_go_out(talk: Talk) -> None:
    before = (await talk.said("Owen", "/out")).text
    await _load(talk)
    after = (await talk.said("Owen", "/out")).text
    assert before != after
