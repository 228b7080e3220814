"""Short answers to questions in plain words: the number first, and where more stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.language.topics import Topic
from bot.chat.screen import within
from bot.chat.warnings.told import Told
from bot.chat.weather.weather_words import of_night
from bot.core.garden.snapshot import Garden, Place, Stage
from bot.core.weather.night import Night
from bot.core.weather.timeline import Day
from bot.i18n import Say
from bot.services.journal.note import Unit
from bot.services.look import Look
from bot.services.season.report import Season

_SHOWN_N = 8


def frost(told: Told, nights: Sequence[Night]) -> str:
    """How cold each of these nights gets."""
    say = told.say
    return lines(of_night(say, night, say.day(night.evening_on)) for night in nights[:_SHOWN_N])


def rain(told: Told, days: Sequence[Day]) -> str:
    say = told.say
    known = [one for one in days if one.rain_mm is not None]
    if not known:
        return say.gettext("My forecast does not say how much it will rain then.")
    return lines(
        say.gettext("Rain {day}: {mm} mm.", day=say.near_day(one.on, told.now), mm=say.number(one.rain_mm or 0.0, 1))
        for one in known[:_SHOWN_N]
    )


def wind(told: Told, days: Sequence[Day]) -> str:
    say = told.say
    known = [one for one in days if one.gust_max_ms is not None]
    if not known:
        return say.gettext("My forecast does not say how windy it will be then.")
    return lines(
        say.gettext(
            "Gusts {day}: up to {gust}.", day=say.near_day(one.on, told.now), gust=say.wind(one.gust_max_ms or 0.0)
        )
        for one in known[:_SHOWN_N]
    )


def risk(told: Told, outlook: Look, place_ids: Iterable[int], crops: Sequence[str]) -> str:
    """What the coming nights and gusts ask for at some places, or of a crop."""
    say, wanted = told.say, set(place_ids)
    found = [one for one in outlook.findings if one.place_id in wanted]
    if crops:
        batches = {one.id for one in outlook.garden.plantings if one.crop in crops}
        found = [one for one in found if one.planting_id in batches]
    where = outlook.garden.place_by_id
    named = say.and_list([names.crop(say, told.crops, key) for key in crops]) if crops else ""
    subject = named or say.and_list([safe(where[id_].name, 40) for id_ in sorted(wanted)[:6]])
    told_of = dict.fromkeys(
        say.gettext(
            "{task}: {place} ({day}).",
            task=names.task(say, one.task),
            place=safe(where[one.place_id].name, 40),
            day=say.near_day(one.window_on, told.now),
        )
        for one in sorted(found, key=lambda one: one.window_on)
    )
    if told_of:
        title = bold(say.gettext("{subject}: not safe as things are.", subject=subject))
        return within([title], [*told_of], lambda shown_n: _more(say, len(told_of) - shown_n))[0]
    coldest = min(outlook.nights[:5], key=lambda one: one.ground.mean_c, default=None)
    if coldest is None:
        return say.gettext("I have no weather forecast now. Please look at one yourself before dusk.")
    return say.gettext(
        "{subject}: nothing to protect in the coming nights. The coldest is {day}, about {plant} at the ground.",
        subject=subject,
        day=say.day(coldest.evening_on),
        plant=say.celsius(coldest.ground.mean_c),
    )


def _more(say: Say, n: int) -> list[str]:
    return [say.ngettext("And {n} more.", "And {n} more.", n)] if n else []


def what_in(told: Told, garden: Garden, places: Sequence[Place]) -> str:
    """What grows at each of some places."""
    say = told.say
    return lines(_grows(told, garden, place) for place in places[:_SHOWN_N]) or say.gettext("I don't know that place.")


def _grows(told: Told, garden: Garden, place: Place) -> str:
    say = told.say
    here = [one for one in garden.plantings if one.place_id == place.id and one.stage is not Stage.ENDED]
    name = safe(place.name, 40)
    if not here:
        return say.gettext("{place}: nothing that I know of.", place=name)
    listed = say.and_list(
        say.gettext("{crop} ({n})", crop=names.crop(say, told.crops, one.crop), n=say.number(one.count)) for one in here
    )
    return say.gettext("{place}: {things}.", place=name, things=listed)


def empty(say: Say, places: Sequence[Place]) -> str:
    if not places:
        return say.gettext("Something grows everywhere, as far as I know.")
    listed = say.and_list([safe(place.name, 40) for place in places[:20]])
    return say.gettext("Nothing grows here, as far as I know: {places}.", places=listed)


def watered(told: Told, place: Place, on: date | None, name: str | None) -> str:
    """When a place was last watered."""
    say, words = told.say, {"place": safe(place.name, 40)}
    if on is None:
        return say.gettext("{place}: nobody has written lately that it was watered.", **words)
    day = say.near_day(on, told.now)
    if name is None:
        return say.gettext("{place}: last watered {day}.", day=day, **words)
    return say.gettext("{place}: last watered {day} ({name}).", day=day, name=safe(name, 40), **words)


def where(told: Told, garden: Garden, crops: Sequence[str]) -> str:
    """Where some crops stand."""
    say, here = told.say, [one for one in garden.plantings if one.crop in crops and one.stage is not Stage.ENDED]
    if not here:
        named = say.or_list([names.crop(say, told.crops, key) for key in crops])
        return say.gettext("{crop}: I know of none in the garden.", crop=named)
    return lines(
        say.gettext(
            "{crop}: {place} ({n}).",
            crop=names.crop(say, told.crops, one.crop),
            place=safe(garden.place_of(one).name, 40),
            n=say.number(one.count),
        )
        for one in here[:_SHOWN_N]
    )


def holder(told: Told, garden: Garden, places: Sequence[Place]) -> str:
    """Whose the places, or the plots, are."""
    say, people = told.say, {one.id: one.name for one in garden.members}
    plots = {one.id: one for one in garden.plots}
    found = []
    for place in places[:_SHOWN_N]:
        plot = plots.get(place.plot_id or 0)
        holders = [safe(people[id_], 40) for id_ in plot.holder_ids if id_ in people] if plot is not None else []
        if plot is None:
            found.append(say.gettext("{place} belongs to the group.", place=safe(place.name, 40)))
        elif holders:
            found.append(
                say.gettext(
                    "{place} is on {plot}: {people}.",
                    place=safe(place.name, 40),
                    plot=safe(plot.name, 40),
                    people=say.and_list(holders),
                )
            )
        else:
            found.append(
                say.gettext(
                    "{place} is on {plot}. Nobody has that plot now.",
                    place=safe(place.name, 40),
                    plot=safe(plot.name, 40),
                )
            )
    if not places:
        found = [
            say.gettext(
                "{plot}: {people}.",
                plot=safe(one.name, 40),
                people=say.and_list([safe(people[id_], 40) for id_ in one.holder_ids if id_ in people])
                or say.gettext("free"),
            )
            for one in garden.plots[:20]
        ]
    return lines(found) or say.gettext("There are no plots here: everything belongs to the group.")


def picked(told: Told, season: Season, crops: Sequence[str]) -> str:
    """How much was harvested in a year, of some crops or of all."""
    say = told.say
    weighed = [
        say.gettext("{crop}: {kg} kg", crop=names.crop(say, told.crops, key), kg=say.number(kg, 1))
        for key, kg in season.harvest
        if not crops or key in crops
    ]
    counted = [
        say.gettext("{crop}: {n} picked", crop=names.crop(say, told.crops, key), n=say.number(number))
        for key, unit, number in season.counted
        if (not crops or key in crops) and unit is Unit.PIECE
    ]
    if weighed or counted:
        return lines(
            [bold(say.gettext("Picked in {year}:", year=str(season.year))), *weighed[:_SHOWN_N], *counted[:_SHOWN_N]]
        )
    if crops:
        named = say.or_list([names.crop(say, told.crops, key) for key in crops])
        return say.gettext("{crop}: nobody told me of any harvest in {year}.", crop=named, year=str(season.year))
    return say.gettext("Nobody told me of any harvest in {year}.", year=str(season.year))


def lost(told: Told, season: Season) -> str:
    say = told.say
    listed = [
        say.gettext(
            "{crop}: {n}, of these {cold} in a cold night",
            crop=names.crop(say, told.crops, key),
            n=say.number(n),
            cold=say.number(season.cold_lost.get(key, 0)),
        )
        for key, n in season.lost[:_SHOWN_N]
    ]
    if not listed:
        return say.gettext("Nobody told me of any losses in {year}.", year=str(season.year))
    return lines([bold(say.gettext("Plants lost in {year}:", year=str(season.year))), *listed])


def talk(say: Say, topic: Topic) -> str:
    """A word in passing, answered in one line."""
    return {
        Topic.THANKS: say.gettext("You are welcome!"),
        Topic.HELLO: say.gettext("Hello! Ask me what to do this week, or tell me what you did."),
        Topic.SORRY: say.gettext("No harm done. It is good that you are here."),
        Topic.BACK: say.gettext("Good to have you back!"),
        Topic.WHO_AWAY: say.gettext("I tell nobody who is away. /oncall shows who is asked this week."),
        Topic.STOP: say.gettext(
            "I write when something needs you. Away for a while? Send /away. Block me in this app to hear nothing at all."
        ),
        Topic.NEIGHBOURS: say.gettext("I have no sound figures on good neighbours. What counts is room:"),
    }[topic]


def label(say: Say, topic: Topic) -> str:
    """On the button of what a message may have meant."""
    return {
        Topic.FROST: say.gettext("How cold?"),
        Topic.RAIN: say.gettext("Rain?"),
        Topic.WIND: say.gettext("Wind?"),
        Topic.WEEK: say.gettext("What to do?"),
        Topic.OUT: say.gettext("What may go out?"),
        Topic.MY_TURN: say.gettext("My turns"),
        Topic.WHO: say.gettext("Whose turn?"),
        Topic.KEYS: say.gettext("Keys"),
        Topic.AWAY: say.gettext("I am away"),
        Topic.DIARY: say.gettext("Calendar"),
        Topic.HOSE: say.gettext("Hose ban?"),
        Topic.LAST_FROST: say.gettext("Last frost?"),
        Topic.PICKED: say.gettext("What was picked?"),
    }[topic]


def none_then(say: Say, on: date) -> str:
    return say.gettext("My forecast does not reach to {day}.", day=say.day(on))
