"""What a phone shows at once: how many lines a message takes, and its lists in short, so that they fit.

The first line of a warning: what comes, when, and how likely.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from bot.chat import names
from bot.chat.html import safe
from bot.chat.tasks import what_is_on_words
from bot.chat.warnings.told import Told
from bot.chat.wire.markup import strip_tags
from bot.core.finding import Hazard, TaskKind
from bot.core.garden.place_state import Layer
from bot.core.garden.snapshot import UNDER_GLASS
from bot.i18n import Say
from bot.services.warnings.views import Asked, TaskView, WarningView
from bot.storage.states import AskState, TaskState

#: A warning or an ask is so many lines of so many letters at most (common practice, no source: one screen of a phone).
ROWS, LETTERS = 12, 40


@dataclass(frozen=True, slots=True)
class Short:
    """How short a message is put.

    places, people: named at most in a line, the rest is counted. bullets: lines of a list at most. detail: with what,
    and into what. extras: whether what can wait for a tap is there besides.
    """

    places: int
    people: int
    bullets: int
    detail: bool
    extras: bool

    @property
    def cut(self) -> bool:
        """Where even what somebody is to do is cut, and the rest of it a tap away: names of places may be long."""
        return self.bullets <= 3

    @property
    def last(self) -> bool:
        """Whether nothing shorter is left to try."""
        return self.bullets == 1


#: From long to short; the first that fits is taken.
_SHORTS = (
    Short(places=5, people=4, bullets=9, detail=True, extras=True),
    Short(places=3, people=3, bullets=9, detail=True, extras=True),
    Short(places=5, people=4, bullets=9, detail=True, extras=False),
    Short(places=3, people=3, bullets=9, detail=True, extras=False),
    Short(places=2, people=2, bullets=9, detail=True, extras=False),
    Short(places=2, people=1, bullets=7, detail=False, extras=False),
    Short(places=0, people=0, bullets=5, detail=False, extras=False),
    Short(places=0, people=0, bullets=3, detail=False, extras=False),
    Short(places=0, people=0, bullets=1, detail=False, extras=False),
)

#: Things by their number alone.
SHORTEST = _SHORTS[-3]


def rows(text: str) -> int:
    """Lines on a phone."""
    return sum(_rows(line) for line in text.removesuffix("\n").split("\n"))


@lru_cache(4096)
def _rows(line: str) -> int:
    """Of a line with its tags: forms of a message, and messages of one night, have most of theirs in common."""
    return max(1, sum(_wrapped(part) for part in strip_tags(line).splitlines()))


def _wrapped(line: str) -> int:
    if len(line) <= LETTERS and "\t" not in line:
        return 1
    return max(1, len(textwrap.wrap(line, LETTERS)))


def fits(text: str) -> bool:
    return rows(text) <= ROWS


def fitting(put: Callable[[Short | None], str]) -> str:
    """A message in full where that fits, else in the longest form that does. put: gives it as short as it is told."""
    text = ""
    for short in (None, *_SHORTS):
        text = put(short)
        if fits(text):
            break
    return text


def some(say: Say, things: Iterable[str], most: int) -> str:
    """Some of them by name, and how many more."""
    known = list(dict.fromkeys(things))
    if len(known) <= most:
        return say.and_list(known)
    rest = len(known) - most
    return say.and_list([*known[:most], say.ngettext("{n} more", "{n} more", rest)])


def listing(say: Say, duties: Sequence[TaskView], short: Short, *, asked: bool, loads: bool = False) -> list[str]:
    """One line a task, whoever it is for; what does not fit is counted. loads: with what there is to lift, for whoever does
    it: nothing of it is left out while there is room.
    """
    groups: dict[tuple[object, ...], list[TaskView]] = {}
    for duty in duties:
        detail = short.detail or loads
        target = duty.target.id if duty.target is not None and detail else None
        cover = duty.cover if detail else None
        doubt = duty.perhaps, duty.if_on
        load = what_is_on_words.of(say, duty.kind, duty.place, duty.people, several=False) if loads else None
        groups.setdefault((what_is_on_words.verb(say, duty), _is_trays(duty), target, cover, doubt, load), []).append(
            duty
        )
    most = len(groups) if loads and not short.cut else short.bullets
    if short.detail and len(groups) > most:
        short = Short(short.places, short.people, short.bullets, detail=False, extras=short.extras)
        return listing(say, duties, short, asked=asked, loads=loads)
    found = [_line(say, group, short, asked=asked, loads=loads) for group in groups.values()]
    left = sum(len(group) for group in [*groups.values()][most:])
    more = [say.ngettext("And {n} more thing.", "And {n} more things.", left)] if left else []
    return [*found[:most], *more]


def _line(say: Say, group: Sequence[TaskView], short: Short, *, asked: bool, loads: bool) -> str:
    first = group[0]
    several = len({duty.place.id for duty in group}) > 1
    parts = [
        _what(say, first, _places(say, group, short, loads=loads), short, alone=not loads),
        what_is_on_words.of(say, first.kind, first.place, first.people, several=several, short=not short.detail)
        if loads
        else None,
        _who(say, group, short) if asked else None,
    ]
    return "• " + " ".join(part for part in parts if part)


def _places(say: Say, group: Sequence[TaskView], short: Short, *, loads: bool) -> str:
    """Whoever does it reads the name of each, as long as there is room."""
    letters = LETTERS // 2 if short.last else LETTERS
    where = list(dict.fromkeys(safe(duty.place.name, letters) for duty in group))
    if loads and not short.last:
        return some(say, where, short.bullets if short.cut else len(where))
    if short.places == 0 and len(where) > 1:
        return say.ngettext("{n} place", "{n} places", len(where))
    return some(say, where, max(1, short.places))


def _is_trays(duty: TaskView) -> bool:
    """A house is never carried; the trays that stand in it are."""
    return duty.place.kind in UNDER_GLASS and bool(duty.crops) and duty.kind in (TaskKind.BRING_IN, TaskKind.PUT_BACK)


def _what(say: Say, duty: TaskView, where: str, short: Short, *, alone: bool) -> str:
    """alone: without what to do where it is not as it perhaps is; whoever does it reads that, too."""
    task = what_is_on_words.verb(say, duty)
    if duty.perhaps is not None:
        return (
            _doubtful(say, duty.perhaps, where) if alone else what_is_on_words.perhaps(say, duty, duty.perhaps, where)
        )
    if _is_trays(duty):
        task = say.pgettext("task", "Carry the trays")
    if duty.if_on:
        return say.gettext("{task}: {thing}, if the cover is still on.", task=task, thing=where)
    told = short.detail or not (alone or short.last)
    if duty.target is not None and told:
        target = safe(duty.target.name, 40)
        return say.gettext("{task}: {thing}, into {target}.", task=task, thing=where, target=target)
    if duty.cover is not None and told:
        cover = names.cover(say, duty.cover)
        return say.gettext("{task}: {thing}, with {cover}.", task=task, thing=where, cover=cover)
    return say.gettext("{task}: {thing}.", task=task, thing=where)


def _doubtful(say: Say, layer: Layer, where: str) -> str:
    if layer is Layer.INSIDE:
        return say.gettext("Maybe still inside, please look: {thing}.", thing=where)
    if layer is Layer.DOWN:
        return say.gettext("Maybe still lying down, please look: {thing}.", thing=where)
    return say.gettext("Maybe still covered, please look: {thing}.", thing=where)


def _who(say: Say, group: Sequence[TaskView], short: Short) -> str:
    """Who has done it, has said yes, or is asked, and how many are wanted. A name thanks or asks, never blames."""
    done = [duty for duty in group if duty.state is TaskState.DONE]
    if len(done) == len(group):
        by = [safe(duty.done_by, 40) for duty in done if duty.done_by is not None]
        if len(by) < len(done) or (not short.people and len(set(by)) > 1):  # nobody is named where others are not
            return say.gettext("Done.")
        return say.gettext("Done, thank you {name}.", name=some(say, by, max(1, short.people)))
    left = [duty for duty in group if duty.state is not TaskState.DONE]
    parts = []
    if done:
        parts.append(
            say.ngettext("{n} of {all} is done.", "{n} of {all} are done.", len(done), all=say.number(len(group)))
        )
    yes, maybe = (_names(left, state) for state in (AskState.ACCEPTED, AskState.ASKED))
    if yes:
        who = _people(say, yes, short)
        parts.append(say.ngettext("{names} will do it.", "{names} will do it.", len(yes), names=who))
    if maybe:
        parts.append(say.gettext("{names}?", names=_people(say, maybe, short)))
    if lacking := _lacking(left):
        parts.append(say.ngettext("{n} person needed.", "{n} people needed.", lacking))
    return " ".join(parts)


def _names(duties: Iterable[TaskView], state: AskState) -> list[str]:
    return list(dict.fromkeys(safe(each.name, 40) for duty in duties for each in duty.with_state(state)))


def _people(say: Say, who: Sequence[str], short: Short) -> str:
    if short.people == 0 and len(who) > 1:
        return say.ngettext("{n} person", "{n} people", len(who))
    return some(say, who, max(1, short.people))


def _lacking(duties: Iterable[TaskView]) -> int:
    """People still to be found: things that the same people are asked for are one walk."""
    walks: dict[tuple[tuple[Asked, ...], TaskKind], int] = {}
    for duty in duties:
        walks[duty.asked, duty.kind] = max(walks.get((duty.asked, duty.kind), 0), duty.lacking)
    return sum(walks.values())


def headline(told: Told, view: WarningView, *, short: bool = False) -> str:
    """What comes, when, and how likely, in one line. short: without the odds of a night."""
    if short and view.hazard is Hazard.COLD and view.facts.get("plant_c") is not None:
        plant = told.say.celsius(view.facts["plant_c"] or 0.0)
        return told.say.gettext("{night}: about {plant} at the plants.", night=_night(told, view), plant=plant)
    return {Hazard.COLD: _cold, Hazard.WIND: _wind, Hazard.HEAT: _heat, Hazard.RAIN: _rain}[view.hazard](told, view)


def _cold(told: Told, view: WarningView) -> str:
    say, plant_c = told.say, view.facts.get("plant_c")
    night = _night(told, view)
    odds = say.in_ten(view.facts.get("odds") or view.probability)
    if plant_c is None:
        return say.gettext("{night}: cold that can damage plants. Chance: {odds}.", night=night, odds=odds)
    return say.gettext(
        "{night}: about {plant} at the plants. Chance of damage: {odds}.",
        night=night,
        plant=say.celsius(plant_c),
        odds=odds,
    )


def _night(told: Told, view: WarningView) -> str:
    say, last_on = told.say, view.spell[-1] if view.spell else view.window_on
    today = say.local(told.now).date()
    words = {"day": say.day(view.window_on), "last": say.day(last_on)}
    ahead = (view.window_on - today).days
    if len(view.spell) > 1:
        return {
            0: say.gettext("Each night from tonight to {last}", **words),
            1: say.gettext("Each night from tomorrow to {last}", **words),
        }.get(ahead, say.gettext("Each night from {day} to {last}", **words))
    if view.spell:
        return {
            0: say.gettext("Tonight and tomorrow night"),
            1: say.gettext("Tomorrow night and the night after"),
        }.get(ahead, say.gettext("The nights of {day} and {last}", **words))
    return {0: say.gettext("Tonight"), 1: say.gettext("Tomorrow night")}.get(
        ahead, say.gettext("The night of {day}", **words)
    )


def day(told: Told, view: WarningView) -> str:
    return _day_of(told, view.window_on)


def _day_of(told: Told, on: date) -> str:
    say = told.say
    today = say.local(told.now).date()
    if on == today:
        return say.gettext("Today")
    if on == today + timedelta(days=1):
        return say.gettext("Tomorrow")
    return say.gettext("On {day}", day=say.day(on))


def _wind(told: Told, view: WarningView) -> str:
    say, gust_ms = told.say, view.facts.get("gust_ms")
    if gust_ms is None:
        return say.gettext("{day}: strong wind ({odds}).", day=day(told, view), odds=say.in_ten(view.probability))
    first_on, last_on = (say.local(at).date() for at in (view.starts_at, view.ends_at))
    if last_on > first_on:
        return say.gettext(
            "{day} from {start}, and again until {last}: gusts of about {gust}.",
            day=_day_of(told, first_on),
            start=say.clock(view.starts_at),
            last=say.near_day(last_on, told.now),
            gust=say.wind(gust_ms),
        )
    return say.gettext(
        "{day} from {start}: gusts of about {gust}.",
        day=_day_of(told, first_on),
        start=say.clock(view.starts_at),
        gust=say.wind(gust_ms),
    )


def _heat(told: Told, view: WarningView) -> str:
    return told.say.gettext(
        "{day} from {start}: too hot under glass and plastic.",
        day=day(told, view),
        start=told.say.clock(view.starts_at),
    )


def _rain(told: Told, view: WarningView) -> str:
    return told.say.gettext(
        "{day} from {start}: heavy rain.", day=day(told, view), start=told.say.clock(view.starts_at)
    )


def band(told: Told, view: WarningView) -> str | None:
    """The honest range, for a night."""
    low_c, high_c = view.facts.get("low_c"), view.facts.get("high_c")
    if view.hazard is not Hazard.COLD or low_c is None or high_c is None:
        return None
    return told.say.gettext(
        "It could be between {low} and {high} there.", low=told.say.celsius(low_c), high=told.say.celsius(high_c)
    )
