"""One crop's care, in a phone's screen: room in a pot, feeding, support, rotation, pests, and what sends it to seed."""

from __future__ import annotations

from collections.abc import Iterator

from bot.chat import names
from bot.chat.growing import pests
from bot.chat.growing.week import support
from bot.chat.html import bold, lines
from bot.chat.warnings.told import Told
from bot.core.growing.crop import Bolting, Crop
from bot.i18n import Say


def care(told: Told, rule: Crop) -> str:
    """What the plants want until harvest, and what to watch for."""
    say = told.say
    return lines([
        bold(say.gettext("{crop}: care", crop=names.crop(say, told.crops, rule.key))),
        *_room(say, rule),
        *_work(say, rule),
        *_rest(say, rule),
        *(_watch(say, rule)),
    ])  # fmt: skip


def harm(told: Told, rule: Crop) -> str:
    """From which cold on it is harmed."""
    return list(_room(told.say, rule))[-1]


def _room(say: Say, rule: Crop) -> Iterator[str]:
    if rule.planting.in_pot_l is not None:
        yield say.gettext(
            "In a pot: {litres}\u00a0litres of compost or more for each plant.",
            litres=say.number(rule.planting.in_pot_l, 1),
        )
    if rule.planting.soil_min_c is not None:
        yield say.gettext(
            "Plant out when the soil is {warmth} or warmer.", warmth=say.celsius(rule.planting.soil_min_c)
        )
    if rule.cold.ninety_c is not None and rule.cold.flowering_c is not None:
        yield say.gettext(
            "Frost on the flowers: at {some} one in ten dies. At {most} nine in ten die.",
            some=say.celsius(rule.cold.flowering_c),
            most=say.celsius(rule.cold.ninety_c[3]),
        )
        return
    young, hardened = say.celsius(rule.cold.tender_c), say.celsius(rule.cold.hardened_c)
    if young == hardened:
        yield say.gettext("Frost harms it below {young}.", young=young)
    else:
        yield say.gettext(
            "Frost harms young plants below {young}. It harms hardened plants below {hardened}.",
            young=young,
            hardened=hardened,
        )


def _work(say: Say, rule: Crop) -> Iterator[str]:
    if rule.support is not None:
        yield say.gettext(
            "It grows to about {m}\u00a0m. Put up {support} when it is {cm}\u00a0cm tall.",
            m=say.number(rule.support.height_m, 1),
            support=support(say, rule.support.kind),
            cm=say.number(rule.support.from_cm),
        )
    if rule.care.earth_up_cm is not None:
        yield say.gettext("Earth up when it is {cm}\u00a0cm tall.", cm=say.number(rule.care.earth_up_cm))
    if rule.care.pinch_cm is not None:
        yield say.gettext("Pinch out the tips at {cm}\u00a0cm.", cm=say.number(rule.care.pinch_cm))
    yield from _feeding(say, rule)
    if rule.harvest.yield_kg is not None:
        yield say.gettext(
            "One plant gives about {kg}\u00a0kg in a normal year.", kg=say.number(rule.harvest.yield_kg, 2)
        )


def _feeding(say: Say, rule: Crop) -> Iterator[str]:
    if rule.care.feed_weeks == 1:
        yield say.gettext("Feed every week.")
    elif rule.care.feed_weeks is not None:
        yield say.ngettext("Feed every {n} week.", "Feed every {n} weeks.", rule.care.feed_weeks)


def feeding(told: Told, rule: Crop) -> str | None:
    """How often it is fed; None where the rule does not say."""
    fed = [*_feeding(told.say, rule)]
    return lines([bold(names.crop(told.say, told.crops, rule.key)), *fed]) if fed else None


def _rest(say: Say, rule: Crop) -> Iterator[str]:
    if rule.rotation_years:
        yield say.ngettext(
            "Wait {n} year before you grow its family ({family}) in the same bed again.",
            "Wait {n} years before you grow its family ({family}) in the same bed again.",
            rule.rotation_years,
            family=rule.family,
        )
    if rule.bolting is not None:
        yield say.gettext(
            "It flowers too early (bolts) after {causes}.", causes=say.or_list(list(_causes(say, rule.bolting)))
        )


def _causes(say: Say, bolting: Bolting) -> Iterator[str]:
    if bolting.chill_days is not None and bolting.chill_c is not None:
        yield say.ngettext("{n} day below {warmth}", "{n} days below {warmth}", bolting.chill_days,
                           warmth=say.celsius(bolting.chill_c))  # fmt: skip
    if bolting.heat_c is not None:
        yield say.gettext("days above {warmth}", warmth=say.celsius(bolting.heat_c))
    if bolting.day_h is not None:
        yield say.gettext("days longer than {hours} hours", hours=say.number(bolting.day_h, 1))
    if bolting.drought:
        yield say.gettext("dry roots")


def _watch(say: Say, rule: Crop) -> Iterator[str]:
    for time in rule.watch:
        yield say.gettext("• {pest}: {care}", pest=pests.name(say, time.what), care=pests.care(say, time.what))
