"""Why: the chain of a decision, step by step, with its numbers and where each comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.chat import names
from bot.chat.html import bold, lines, ours
from bot.chat.weather.weather_words import credit
from bot.core.weather.odds import Step, StepCode
from bot.crops.loader import Source
from bot.i18n import Say

_LITTLE_L = 0.5
#: Steps that change a temperature; one that changes nothing is not worth a line.
_ADDED = (StepCode.ALTITUDE, StepCode.LIE_OF_LAND, StepCode.SITE_LEARNED, StepCode.PLACE, StepCode.PLACE_LEARNED)


def chain(
    say: Say,
    title: str,
    steps: Iterable[Step],
    sources: dict[str, Source],
    *,
    rain: bool = False,
    more: Iterable[str] = (),
) -> str:
    """A line a step, then the sources that they name. title, more: already safe in HTML."""
    given = [step for step in dict.fromkeys(steps) if not step.source.startswith("0 readings")]
    worded = [line for step in given if (line := _step(say, step, rain=rain)) is not None]
    cited = [_source(say, key, sources) for key in dict.fromkeys(step.source for step in given) if key]
    return lines([
        bold(title),
        *worded,
        *more,
        say.gettext("Sources:") if cited else None,
        *(f"– {ours(one, 200)}" for one in dict.fromkeys(cited)),
    ])  # fmt: skip


def _source(say: Say, key: str, sources: dict[str, Source]) -> str:
    if key in ("practice", "common practice, no source"):
        return say.gettext("common practice, no source")
    if key == "past-days":
        return say.gettext("past days as forecast at the time; nothing was measured here")
    if key == "mean-wind":
        return say.gettext("gust worked out from the mean wind; this forecast gives no gusts")
    if key == "garden":
        return say.gettext("this garden's own rule")
    if (whose := credit(say, key)) is not None:
        return whose
    if key in sources:
        source = sources[key]
        return ", ".join(part for part in (source.author, source.title, source.where) if part)
    return key


def _step(say: Say, step: Step, *, rain: bool) -> str | None:
    """One step as a sentence; a step without a value has nothing to say."""
    if step.value is None or (step.code in _ADDED and not any((step.value, step.low, step.high))):
        return None
    if rain and step.code in (StepCode.FORECAST, StepCode.THRESHOLD):
        return _rain(say, step.code, say.number(step.value, 1))
    worded = _WORDED[step.code]
    return worded(say, step.value, step)


def _rain(say: Say, code: StepCode, mm: str) -> str:
    if code is StepCode.FORECAST:
        return say.gettext("Rain in the worst hour: {mm} mm.", mm=mm)
    return say.gettext("Heavy rain begins at {mm} mm an hour.", mm=mm)


def _span(say: Say, step: Step) -> str:
    """The range of a step in degrees as a sentence of its own, or nothing."""
    if step.low is None or step.high is None:
        return ""
    return say.gettext(
        "It could be between {low} and {high}.",
        low=say.celsius_exact(step.low),
        high=say.celsius_exact(step.high),
    )


def _cold(say: Say, code: StepCode, value: str) -> str:
    texts = {
        StepCode.FORECAST: say.gettext("The forecast says {value} for the air."),
        StepCode.ALTITUDE: say.gettext("The garden's height changes that by {value}."),
        StepCode.LIE_OF_LAND: say.gettext("The shape of the ground changes it by {value} on such a night."),
        StepCode.SITE_LEARNED: say.gettext("Your own readings change it by {value}."),
        StepCode.LEAD_ERROR: say.gettext("This far ahead, the forecast is usually wrong by about {value}."),
        StepCode.GROUND: say.gettext("Near the ground, wind and cloud change it by {value}."),
        StepCode.PLACE: say.gettext("The place and its cover change that by {value}."),
        StepCode.PLACE_LEARNED: say.gettext("Readings from this place change it by {value}."),
        StepCode.THRESHOLD: say.gettext("Harm begins at {value}."),
        StepCode.SOIL: say.gettext("The soil is at about {value}."),
    }
    return say.fill(texts[code], value=value)


def _degrees(say: Say, value: float, step: Step) -> str:
    return f"{_cold(say, step.code, say.celsius_exact(value))} {_span(say, step)}".rstrip()


def _odds(say: Say, value: float, step: Step) -> str:
    return say.gettext("Chance of damage if we do nothing: {odds}.", odds=say.in_ten(value))


def _cost_loss(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "I ask for help when the chance of damage is above {share} in 100. This weighs the work against the loss.",
        share=say.number(value * 100),
    )


def _climate(say: Say, value: float, step: Step) -> str:
    return say.gettext("Chance of another frost later, from past years: {odds}.", odds=say.in_ten(value))


def _gust(say: Say, value: float, step: Step) -> str:
    return say.gettext("Strongest gust in the forecast: {wind}.", wind=say.wind(value))


def _height(say: Say, value: float, step: Step) -> str:
    return say.gettext("At its height that is {wind}.", wind=say.wind(value))


def _force(say: Say, value: float, step: Step) -> str:
    return say.gettext("The wind will pull with {share} % of what it can take.", share=say.number(value * 100))


def _holds(say: Say, value: float, step: Step) -> str:
    if step.low is None or step.high is None:
        return say.gettext("It should hold in gusts up to {wind}.", wind=say.wind(value))
    return say.gettext(
        "It should hold in gusts up to {wind} (it could be between {low} and {high}).",
        wind=say.wind(value),
        low=say.wind(step.low),
        high=say.wind(step.high),
    )


def _season(say: Say, value: float, step: Step) -> str:
    days = round(value)
    if days <= 0:
        return say.gettext("This is the season for it.")
    if days > 1000:
        return say.gettext("The same plant family grew here in {year}.", year=str(days))
    return say.ngettext(
        "The season for planting it out begins in {n} day.", "The season for planting it out begins in {n} days.", days
    )


def _size(say: Say, value: float, step: Step) -> str:
    if step.high is None:
        return say.gettext("It is {cm} cm tall.", cm=say.number(value))
    return say.gettext(
        "It is {cm} cm tall. From {limit} cm on, it is time.", cm=say.number(value), limit=say.number(step.high)
    )


def _hardening(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Hardened off for {days} days. It needs {low} to {high}.",
        days=say.number(value),
        low=say.number(step.low or 0),
        high=say.number(step.high or 0),
    )


def _practice(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "Gardeners' habit: about {n} day (common practice, no source).",
        "Gardeners' habit: about {n} days (common practice, no source).",
        round(value),
    )


def _published(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Guides say {low} to {high} days. I use that to be safe.",
        low=say.number(step.low or value),
        high=say.number(step.high or value),
    )


def _chilling(say: Say, value: float, step: Step) -> str:
    if step.low is None:
        return say.gettext("Below {value} it stops growing.", value=say.celsius(value))
    return say.gettext(
        "Below {value} it stops growing. Most of the coming nights go down to about {night}.",
        value=say.celsius(value),
        night=say.celsius(step.low),
    )


def _gain(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "In a bigger pot it can stay inside for about {n} more day (common practice, no source).",
        "In a bigger pot it can stay inside for about {n} more days (common practice, no source).",
        round(value),
    )


def _first_hours(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Many start with {habit} hours. Guides say about {least}. I use {least} to be safe.",
        habit=say.number(value),
        least=say.number(step.low or 0),
    )


def _every(say: Say, value: float, step: Step) -> str:
    return say.ngettext("We do it again every {n} day.", "We do it again every {n} days.", round(value))


def _others_wait(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "{n} more can wait. They do not keep well, so open one at a time.",
        "{n} more can wait. They do not keep well, so open one at a time.",
        round(value),
    )


def _waiting(say: Say, value: float, step: Step) -> str | None:
    days = round(value)
    if days <= 0:
        return None
    return say.ngettext("Waiting costs {n} day of harvest at most.", "Waiting costs {n} days of harvest at most.", days)


def _loss(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "Losing it would cost about {n} week of growing.",
        "Losing it would cost about {n} weeks of growing.",
        round(value),
    )


def _called(say: Say, value: float, step: Step) -> str:
    return say.gettext("An organiser sent this by hand. The numbers are theirs, not from the forecast.")


def _hutton(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Blight weather: two days in a row never below 10 °C, each with {hours} damp hours or more.",
        hours=say.number(value),
    )


def _chill(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Cold so far: {value} degree-days or days. From {limit} on, it goes to seed.",
        value=say.number(value),
        limit=say.number(step.low or 0),
    )


def _hottest(say: Say, value: float, step: Step) -> str:
    return say.gettext("The hottest day ahead: {value}.", value=say.celsius(value))


def _swing(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "Growers say that a jump from about 1 to 20 °C in four days upsets many plants. Nobody has "
        "measured how likely this is."
    )


def _dry(say: Say, value: float, step: Step) -> str:
    return say.gettext("The roots are dry.")


def _night(say: Say, value: float, step: Step) -> str:
    worded = say.gettext("The lowest in the garden that night is likely to be {value}.", value=say.celsius_exact(value))
    return f"{worded} {_span(say, step)}".rstrip()


def _checked(say: Say, value: float, step: Step) -> str:
    return say.gettext("Plants there grow badly below {value}.", value=say.celsius_exact(value))


def _hard_frost(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "At {value} or colder, hoses and taps with water in them can burst.", value=say.celsius_exact(value)
    )


def _drunk(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "Plants and sun used {litres} in {n} day.",
        "Plants and sun used {litres} in {n} days.",
        round(step.high or 1),
        litres=names.litres(say, value),
    )


def _rained(say: Say, value: float, step: Step) -> str:
    if not step.low:
        return say.gettext("No rain reaches it there.")
    if value < _LITTLE_L:
        return say.gettext("Rain brought it almost nothing in that time.")
    return say.gettext("Rain brought it {litres} in that time.", litres=names.litres(say, value))


def _dry_by(say: Say, value: float, step: Step) -> str:
    return say.gettext(
        "By this evening, {missing} of water will be missing. Up to {allowed} does no harm.",
        missing=names.litres(say, value),
        allowed=names.litres(say, step.high or 0.0),
    )


def _rain_to_come(say: Say, value: float, step: Step) -> str:
    if value < _LITTLE_L:
        return say.gettext("The rain tomorrow will bring next to nothing.")
    return say.gettext("Tomorrow's rain should bring {litres}.", litres=names.litres(say, value))


def _unknown_rain(say: Say, value: float, step: Step) -> str:
    return say.ngettext(
        "I do not know the rain of {n} day, so I count it as none.",
        "I do not know the rain of {n} days, so I count it as none.",
        round(value),
    )


_WORDED: dict[StepCode, Callable[[Say, float, Step], str | None]] = {
    **dict.fromkeys(
        (
            StepCode.FORECAST,
            StepCode.ALTITUDE,
            StepCode.LIE_OF_LAND,
            StepCode.SITE_LEARNED,
            StepCode.LEAD_ERROR,
            StepCode.GROUND,
            StepCode.PLACE,
            StepCode.PLACE_LEARNED,
            StepCode.THRESHOLD,
            StepCode.SOIL,
        ),
        _degrees,
    ),
    StepCode.ODDS: _odds,
    StepCode.COST_LOSS: _cost_loss,
    StepCode.CLIMATE: _climate,
    StepCode.GUST: _gust,
    StepCode.HEIGHT: _height,
    StepCode.FORCE: _force,
    StepCode.HOLDS: _holds,
    StepCode.SEASON: _season,
    StepCode.SIZE: _size,
    StepCode.HARDENING: _hardening,
    StepCode.PRACTICE: _practice,
    StepCode.PUBLISHED: _published,
    StepCode.CHILLING: _chilling,
    StepCode.GAIN: _gain,
    StepCode.FIRST_HOURS: _first_hours,
    StepCode.EVERY: _every,
    StepCode.OTHERS_WAIT: _others_wait,
    StepCode.WAITING: _waiting,
    StepCode.LOSS: _loss,
    StepCode.HUTTON: _hutton,
    StepCode.CHILL: _chill,
    StepCode.HOTTEST: _hottest,
    StepCode.DRY: _dry,
    StepCode.SWING: _swing,
    StepCode.CALLED: _called,
    StepCode.NIGHT: _night,
    StepCode.CHECKED: _checked,
    StepCode.HARD_FROST: _hard_frost,
    StepCode.DRUNK: _drunk,
    StepCode.RAINED: _rained,
    StepCode.DRY_BY: _dry_by,
    StepCode.RAIN_TO_COME: _rain_to_come,
    StepCode.UNKNOWN_RAIN: _unknown_rain,
}
