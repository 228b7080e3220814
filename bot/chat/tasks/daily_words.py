"""The daily work by turns in words: whose it is, what, where, by when, and who has a key."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from bot.chat import names
from bot.chat.growing import signs
from bot.chat.html import bold, lines, safe
from bot.chat.screen import pages
from bot.chat.warnings.brief import fits
from bot.chat.weather.weather_words import not_then
from bot.core.garden.snapshot import Garden
from bot.core.growing.water import CAN_L
from bot.core.warnings.hazards import TaskKind
from bot.core.warnings.safety import Closed
from bot.core.weather.odds import StepCode
from bot.crops import loader
from bot.crops.own import PREFIX
from bot.i18n import Say
from bot.services.tasks.daily.walk_views import WalkView
from bot.services.warnings.views import TaskView


@dataclass(frozen=True, slots=True)
class _Room:
    """How much of a list there is room for. named: places by name, the rest is counted; extras: what the buttons say,
    too; whole: cautions in full.
    """

    named: int = 10
    extras: bool = True
    whole: bool = True


#: From long to short; the first that a phone shows at once is taken.
_ROOMS = (_Room(), _Room(5, extras=False), _Room(5, extras=False, whole=False), _Room(2, extras=False, whole=False))
_ROUGH_N = 2
#: Cans that one person carries in one go, one after the other: common practice, no source.
_CANS_N = 8


def yours(
    say: Say,
    garden: Garden,
    turns: Sequence[WalkView],
    member_id: int,
    others: Sequence[str] = (),
    *,
    rough: Sequence[Closed] = (),
    today: bool = True,
    whole: bool = False,
) -> tuple[str, bool]:
    """(text, whether it is all of it): the one private message with a member's list, as much as a phone shows at once.
    rough: stretches of the day in which nobody should be out. whole: all of it in any case.
    """
    minutes = sum(turn.minutes for turn in turns)
    dues = {line.due_at for turn in turns for line in turn.lines}
    words = {"time": say.clock(min(dues)), "day": say.day(turns[0].on)}
    if not today:
        first = say.gettext("Your turn at the garden on {day}, by {time}:", **words)
    elif len(dues) == 1:
        first = say.gettext("Your turn at the garden today, by {time}:", **words)
    else:
        first = say.gettext("Your turn at the garden today, first job by {time}:", **words)
    with_you = say.and_list(safe(name, 40) for name in others)
    answers = [turn.answer_by for turn in turns if turn.answer_by is not None]

    def put(room: _Room) -> str:
        extras = [
            _several(say, turns, with_you),
            say.ngettext("About {n} minute.", "About {n} minutes.", minutes),
            say.gettext("Also on call: {people}.", people=with_you) if with_you else None,
            say.gettext("If you can't, just say so. I will ask the next person, and that is fine."),
        ]
        return lines([
            bold(first),
            *_what(say, [line for turn in turns for line in turn.lines], rough, room),
            *_cautions(say, garden, turns, room),
            *_keys(say, turns, member_id),
            *(extras if room.extras else ()),
            say.gettext("No answer by {time}? Then I will also ask the next person.", time=say.clock(min(answers)))
            if answers
            else None,
        ])  # fmt: skip

    everything = put(_ROOMS[0])
    return (everything, True) if whole or fits(everything) else (pages(_fitting(put))[0], False)


def _fitting(put: Callable[[_Room], str]) -> str:
    """The longest form that a phone shows at once, else the shortest."""
    return next((text for room in _ROOMS if fits(text := put(room))), put(_ROOMS[-1]))


def _several(say: Say, turns: Sequence[WalkView], with_you: str) -> str | None:
    """More cans than one person carries in one go."""
    litres = sum(line.litres or 0.0 for turn in turns for line in turn.lines)
    walks = math.ceil(litres / CAN_L / _CANS_N)
    if walks < 2:
        return None
    if with_you:
        return say.ngettext(
            "Too much to carry at once: share it with {people}, or go {n} time.",
            "Too much to carry at once: share it with {people}, or go {n} times.",
            walks,
            people=with_you,
        )
    return say.ngettext("Too much to carry at once: go {n} time.", "Too much to carry at once: go {n} times.", walks)


def _what(say: Say, given: Sequence[TaskView], rough: Sequence[Closed], room: _Room) -> list[str]:
    """The work, and when nobody should be out for it."""
    return [*chores(say, given, room.named), *(not_then(say, one) for one in rough[:_ROUGH_N])]


def chores(say: Say, given: Sequence[TaskView], named: int = _ROOMS[0].named) -> list[str]:
    """A line for each kind of work, in the order in which it is due. named: places by name at most."""
    kinds = dict.fromkeys(line.kind for line in sorted(given, key=lambda one: one.due_at))
    return [
        say.gettext("• {chore}", chore=_chore(say, kind, [one for one in given if one.kind is kind], named))
        for kind in kinds
    ]


def _chore(say: Say, kind: TaskKind, given: Sequence[TaskView], named: int) -> str:
    time = say.clock(min(line.due_at for line in given))
    if kind is TaskKind.WATER:
        return _water(say, given, named)
    where = say.and_list(_places(say, given, named))
    if kind is TaskKind.VENT:
        return say.gettext("Open {places} by {time}: it will get warm inside.", places=where, time=time)
    if kind is TaskKind.SHADE:
        return say.gettext("Shade {places} by {time}.", places=where, time=time)
    if kind is TaskKind.DRAIN:
        return say.gettext("Drain the hoses by {time}: a hard frost is likely tonight.", time=time)
    windy = any(step.code is StepCode.GUST for line in given for step in line.why)
    if windy:
        return say.gettext("Close {places} by {time}, before the wind.", places=where, time=time)
    return say.gettext("Close {places} by {time}: the night will be cool.", places=where, time=time)


def _water(say: Say, given: Sequence[TaskView], named: int) -> str:
    """How much for each place, and in all, in cans."""
    litres = sum(max(1, round(line.litres or 0.0)) for line in given)
    cans = math.ceil(litres / CAN_L)
    if len(given) == 1:
        return say.ngettext(
            "Water {place} early or late in the day: about {litres}, {n} can.",
            "Water {place} early or late in the day: about {litres}, {n} cans.",
            cans,
            place=_named(say, given[0]) if given[0].site is not None else say.and_list(_places(say, given, named)),
            litres=names.litres(say, litres),
        )
    return say.ngettext(
        "Water early or late in the day: {places}. In all {litres}, {n} can.",
        "Water early or late in the day: {places}. In all {litres}, {n} cans.",
        cans,
        places=say.and_list(_thirsty(say, given, named)),
        litres=names.litres(say, litres),
    )


def _thirsty(say: Say, given: Sequence[TaskView], named: int) -> list[str]:
    known = [line for line in given if line.site is not None]
    told = [
        say.gettext("{place} ({litres})", place=_named(say, line), litres=names.litres(say, line.litres or 0.0))
        for line in known[:named]
    ]
    return [*told, *_more(say, len(known) - named)]


def _named(say: Say, line: TaskView) -> str:
    """A place by its name, and what there wants the water where the rest does not."""
    place, shared = safe(line.site.name if line.site is not None else "", 40), loader.load()
    if not line.crops:
        return place
    wanting = [names.crop(say, shared, key) if key in shared else key.removeprefix(PREFIX) for key in line.crops]
    return say.gettext("{place} (the {crops})", place=place, crops=say.and_list(wanting))


def _places(say: Say, given: Iterable[TaskView], named: int) -> list[str]:
    known = [safe(line.site.name, 40) for line in given if line.site is not None]
    return [*known[:named], *_more(say, len(known) - named)]


def _more(say: Say, n: int) -> list[str]:
    return [say.ngettext("{n} more place", "{n} more places", n)] if n > 0 else []


def _cautions(say: Say, garden: Garden, turns: Sequence[WalkView], room: _Room) -> list[str]:
    kinds = {line.kind for turn in turns for line in turn.lines}
    found = []
    if TaskKind.WATER in kinds and garden.hose_ban:
        found.append(say.gettext("Cans only: there is a hose ban."))
    elif TaskKind.WATER in kinds:
        found.append(signs.hose(say) if room.whole else signs.hose_short(say))
    if any((line.litres or 0.0) > CAN_L for turn in turns for line in turn.lines):
        found.append(say.gettext("A full can weighs more than 10 kg. Fill it only halfway if that is easier."))
    if kinds & {TaskKind.SHADE, TaskKind.VENT, TaskKind.CLOSE}:
        found.append(say.gettext("No ladders. Do not go in wind or thunder."))
    return found


def _keys(say: Say, turns: Sequence[WalkView], member_id: int) -> list[str]:
    """Where to get in; a name only to ask."""
    places = {place.id: place for turn in turns for place in turn.locked}
    if not places:
        return []
    where = say.and_list(safe(place.name, 40) for place in places.values())
    holders = {one: name for turn in turns for one, name in turn.holders}
    n = len(places)
    if member_id in holders:
        return [
            say.ngettext("{places} is locked: take your key.", "{places} are locked: take your key.", n, places=where)
        ]
    if not holders:
        return [
            say.ngettext(
                "{places} is locked. I do not know who has a key: please ask an organiser.",
                "{places} are locked. I do not know who has a key: please ask an organiser.",
                n,
                places=where,
            )
        ]
    return [
        say.ngettext(
            "{places} is locked: {people} can lend you a key.",
            "{places} are locked: {people} can lend you a key.",
            n,
            places=where,
            people=say.or_list([safe(name, 40) for name in list(holders.values())[:3]]),
        )
    ]


def today(say: Say, turns: Sequence[WalkView], reader_id: int | None = None) -> list[str]:
    """Whose turn it is today, a line a walk; what is the reader's own is said to be."""
    return [line for turn in turns if (line := _whose(say, turn, reader_id)) is not None]


def _whose(say: Say, turn: WalkView, reader_id: int | None) -> str | None:
    what = part(say, turn)
    if turn.live and reader_id is not None and turn.is_of(reader_id):
        return say.gettext("• Today, {what}: your turn, see /turns.", what=what)
    if turn.done:
        if turn.done_by is None:
            return say.gettext("• Today, {what}: done.", what=what)
        return say.gettext("• Today, {what}: done, thank you {name}.", what=what, name=safe(turn.done_by, 40))
    if not turn.live:
        return None
    if not turn.people:
        return say.gettext("• Today, {what}: we need somebody.", what=what)
    people = say.and_list(safe(name, 40) for _, name in turn.people)
    return say.gettext("• Today, {what}: {people}.", what=what, people=people)


def part(say: Say, turn: WalkView) -> str:
    """What tells two walks of one person apart."""
    return say.and_list(names.chore(say, kind) for kind in dict.fromkeys(line.kind for line in turn.lines))


def thanks(say: Say, turn: WalkView) -> str:
    return say.gettext("Thank you! Done: {what}.", what=part(say, turn))


def not_needed(say: Say, turn: WalkView) -> str:
    return _fitting(lambda room: lines([
        bold(say.gettext("Not needed any more today, thank you:")),
        *chores(say, turn.lines, room.named),
        say.gettext("It is part of the group's warning now."),
    ]))  # fmt: skip


def open_call(say: Say, garden: Garden, turn: WalkView, rough: Sequence[Closed] = ()) -> str:
    """To the group, when nobody is left who could be asked by name. rough: as of `yours`."""
    first = say.gettext("Who can help today, by {time}?", time=say.clock(min(one.due_at for one in turn.lines)))
    return _fitting(lambda room: lines([
        bold(first),
        *_what(say, turn.lines, rough, room),
        *_cautions(say, garden, [turn], room),
        say.ngettext("About {n} minute.", "About {n} minutes.", turn.minutes) if room.extras else None,
    ]))  # fmt: skip


def unheard(say: Say) -> str:
    """To organisers, once, until somebody answers again."""
    return lines([
        bold(say.gettext("For a week, nobody has answered me about the daily turns.")),
        say.gettext("Maybe people do the jobs but do not tap. Or they do not read what I write. Can you ask around?"),
    ])  # fmt: skip


def to_organisers(say: Say, turn: WalkView, rough: Sequence[Closed] = ()) -> str:
    return _fitting(lambda room: lines([
        bold(say.gettext("Nobody is free for today's turn:")),
        *_what(say, turn.lines, rough, room),
        say.gettext("I have asked the group. Can you ask around?"),
    ]))  # fmt: skip
