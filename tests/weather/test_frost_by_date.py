"""/frost says what past minima say, moved to the garden by readings in both places; without minima it says so."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta

from bot.core.weather import learn
from bot.core.weather.ground import NightKind
from bot.services.weather import frost_dates
from bot.storage.garden import gardens
from bot.storage.models import Learned, NightMinimum, Reading, Thermometer
from tests.support.paged import whole
from tests.support.talk import Talk

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
    assert "1 year in 2 has a frost after 7 May" in told
    assert "1 year in 10 has a frost after 17 May" in told
    assert "1 Nov" in told


async def test_the_gardens_odds_put_off_what_may_go_out(talk: Talk) -> None:
    before = await whole(talk, "Owen", "/out")
    await _load(talk)
    after = await whole(talk, "Owen", "/out")
    assert before != after


async def _read(talk: Talk, nights: int, value_c: float) -> None:
    """Nights of January 2020, when 5.0 C was measured at the place of the minima."""
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        shed = Thermometer(garden_id=row.id, name=f"Shed of {nights}", height_m=1.5, shaded=True)
        session.add(shed)
        await session.flush()
        session.add_all(
            Reading(
                thermometer_id=shed.id,
                read_at=datetime(2020, 1, n + 2, 7, tzinfo=UTC),
                night_on=date(2020, 1, n + 1),
                value_c=value_c,
                accepted=True,
            )
            for n in range(nights)
        )


async def test_what_was_learned_of_the_forecast_moves_no_date_that_was_measured(talk: Talk) -> None:
    await _load(talk)
    before = (await talk.said("Owen", "/frost")).text
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        fit = learn.untaught()
        for n in range(30):  # the forecast has been six degrees too cold here
            on = date(2026, 3, 1) + timedelta(days=n)
            fit = learn.updated(fit, NightKind.RADIATION, -4.0, 2.0, on, confirmed=True)[0]
        session.add(
            Learned(
                garden_id=row.id,
                correction=json.loads(json.dumps(asdict(fit), default=str)),
                updated_at=datetime(2026, 4, 1, tzinfo=UTC),
            )
        )
    after = (await talk.said("Owen", "/frost")).text
    assert after == before
    assert "from the place where somebody measured" in after


async def test_the_dates_move_by_as_much_as_the_garden_was_measured_colder(talk: Talk) -> None:
    await _load(talk)
    await _read(talk, frost_dates.LEAST_NIGHTS - 1, -1.5)
    assert "1 year in 2 has a frost after 7 May" in (await talk.said("Owen", "/frost")).text
    await _read(talk, frost_dates.LEAST_NIGHTS, -1.5)
    told = (await talk.said("Owen", "/frost")).text
    # Every night of 5.0 C there is -1.5 C here, so that no night is free of frost: the last of spring is 30 June.
    assert "1 year in 10 has a frost after 30 Jun" in told
    assert "6.5" in told and "°C colder (" in told and "10 nights" in told


async def test_the_picture_names_what_stands_in_the_open_and_nothing_behind_glass(talk: Talk) -> None:
    # In the demo's garden peppers stand on a windowsill, tomatoes and beans in the greenhouse, courgettes in the frame.
    (picture,) = await talk.write("Miriam", "/picture")
    assert "in the open for Broad beans" in picture.text
    assert not [
        one for one in ("Peppers", "Tomatoes", "Runner beans", "French beans", "Courgettes") if one in picture.text
    ]
