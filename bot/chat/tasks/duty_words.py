"""Duties in words: the lines of a list, the private ask, and how answers are taken."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from bot.chat import names
from bot.chat.growing import signs
from bot.chat.html import bold, lines, safe
from bot.chat.tasks import what_is_on_words
from bot.chat.warnings import brief
from bot.chat.warnings.told import Told
from bot.core.garden.snapshot import UNDER_GLASS, PlaceKind
from bot.core.growing.crop import Crop
from bot.core.people.lifting import HANDLED, HIGHER_KG, Zone, load_kg
from bot.core.tasks.rota import Short, Shortage, Why
from bot.core.warnings.fastening import Loose
from bot.core.warnings.hazards import AFTERWARDS, Hazard, TaskKind
from bot.i18n import Say
from bot.services.look import Look
from bot.services.tasks.answers import Reply
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks


def people(given: Iterable[str]) -> list[str]:
    """Names as people wrote them, made safe."""
    return [safe(name, 40) for name in given]


def listing(say: Say, rules: Mapping[str, Crop], duties: Sequence[TaskView], *, asked: bool) -> list[str]:
    """One line for each task that is the same at several places; with who is asked or has done it."""
    groups: dict[tuple[object, ...], list[TaskView]] = {}
    for duty in duties:
        who = (duty.state, tuple(each.name for each in duty.asked if each.state in tasks.KEEPING), duty.done_by)
        target = duty.target.id if duty.target else None
        verb = what_is_on_words.verb(say, duty)
        load = _load(say, duty, several=False)
        doubt = duty.perhaps, duty.perhaps_less, duty.if_on
        groups.setdefault((verb, target, duty.cover, load, doubt, who if asked else None), []).append(duty)
    return [_line(say, rules, group, asked=asked) for group in groups.values()]


def label(say: Say, duty: TaskView) -> str:
    """What stands on its button in a list to tick."""
    return f"{names.task(say, duty.kind)}: {duty.place.name}"[:60]


def _line(say: Say, rules: Mapping[str, Crop], group: Sequence[TaskView], *, asked: bool) -> str:
    first = group[0]
    where = say.and_list(safe(duty.place.name, 40) for duty in group)
    what = names.crops(say, rules, (key for duty in group for key in duty.crops))
    thing = say.gettext("{places} ({crops})", places=where, crops=what) if what else where
    parts = [_what(say, first, thing, what)]
    if (load := _load(say, first, several=len({duty.place.id for duty in group}) > 1)) is not None:
        parts.append(load)
    if asked:
        parts.append(_who(say, first))
    return "• " + " ".join(part for part in parts if part)


def _load(say: Say, duty: TaskView, *, several: bool) -> str | None:
    return what_is_on_words.of(say, duty.kind, duty.place, duty.people, several=several)


def _what(say: Say, duty: TaskView, thing: str, crops: str) -> str:
    if duty.place.kind in UNDER_GLASS and crops and duty.kind in (TaskKind.BRING_IN, TaskKind.PUT_BACK):
        return _trays(say, duty, crops)
    if duty.perhaps is not None:
        return what_is_on_words.perhaps(say, duty, duty.perhaps, thing)
    if duty.if_on:
        return say.gettext(
            "{task}: {thing}, if the cover is still on.", task=what_is_on_words.verb(say, duty), thing=thing
        )
    if duty.target is not None:
        return say.gettext(
            "{task}: {thing}, into {target}.",
            task=what_is_on_words.verb(say, duty),
            thing=thing,
            target=safe(duty.target.name, 40),
        )
    if duty.cover is not None:
        return say.gettext(
            "{task}: {thing}, with {cover}.",
            task=what_is_on_words.verb(say, duty),
            thing=thing,
            cover=names.cover(say, duty.cover),
        )
    return say.gettext("{task}: {thing}.", task=what_is_on_words.verb(say, duty), thing=thing)


def _trays(say: Say, duty: TaskView, crops: str) -> str:
    """A house is never carried; the trays that stand in it are."""
    place = safe(duty.place.name, 40)
    if duty.target is None:
        return say.gettext("Carry the trays back to {place}: {crops}.", place=place, crops=crops)
    return say.gettext(
        "Carry the trays from {place} into {target}: {crops}.",
        place=place,
        target=safe(duty.target.name, 40),
        crops=crops,
    )


def _who(say: Say, duty: TaskView) -> str:
    """Who has done it, has said yes, or is asked. A name thanks or asks, never blames."""
    if duty.state is TaskState.DONE:
        if duty.done_by is None:
            return say.gettext("Done.")
        return say.gettext("Done, thank you {name}.", name=safe(duty.done_by, 40))
    yes = people(each.name for each in duty.with_state(AskState.ACCEPTED))
    maybe = people(each.name for each in duty.with_state(AskState.ASKED))
    parts = []
    if yes:
        parts.append(say.ngettext("{names} will do it.", "{names} will do it.", len(yes), names=say.and_list(yes)))
    if maybe:
        parts.append(say.gettext("{names}?", names=say.or_list(maybe) if len(maybe) < 2 else say.and_list(maybe)))
    if duty.lacking:
        parts.append(say.ngettext("{n} person needed.", "{n} people needed.", duty.lacking))
    return " ".join(parts)


def picking(say: Say, rules: Mapping[str, Crop], duties: Iterable[TaskView]) -> list[str]:
    """What to do with what is picked or lifted, a line for each way."""
    by_key: dict[str, list[str]] = {}
    for duty in duties:
        for key in duty.crops if duty.kind is TaskKind.PICK else ():
            way = rules[key].harvest.before_frost if key in rules else None
            if way is not None:
                by_key.setdefault(way, []).append(key)
    return [signs.before_frost(say, way, names.crops(say, rules, keys)) for way, keys in sorted(by_key.items())]


def safe_hours(say: Say, view: WarningView, now: datetime, *, short: bool = False) -> str | None:
    """When it is safe to be out, where dangerous weather takes a part of the time that is left."""
    left = [(max(start_at, now), end_at) for start_at, end_at in view.safe if end_at > now]
    if not left or (short and left == [(now, view.due_at)]):  # from now until it is due
        return None
    spans = [_span(say, start_at, end_at, now) for start_at, end_at in left]
    if short:
        return say.gettext("Go out only in these hours: {hours}.", hours=say.and_list(spans))
    return say.gettext(
        "Dangerous weather is coming too. Go out only in these hours: {hours}.", hours=say.and_list(spans)
    )


def _span(say: Say, start_at: datetime, end_at: datetime, now: datetime) -> str:
    times = {"start": say.clock(start_at), "end": say.clock(end_at)}
    first, last = (say.near_day(say.local(at).date(), now) for at in (start_at, end_at))
    if first == last:
        return say.gettext("{start} to {end} ({day})", day=first, **times)
    return say.gettext("{start} ({day}) to {end} ({last})", day=first, last=last, **times)


def caution(
    say: Say, hazard: Hazard, duties: Sequence[TaskView], *, short: bool = False, warned: bool = False
) -> str | None:
    """The usual caution for what these duties ask of people. warned: on lifting, this week; before what is heavy, again."""
    tasks = {duty.kind for duty in duties}
    if hazard is Hazard.WIND and tasks - frozenset(AFTERWARDS.values()):
        return say.gettext("Go only while it is still calm. Stay away from trees and glass. No ladders.")
    if hazard is Hazard.WIND and TaskKind.LOOK in tasks:
        return say.gettext("Watch out for loose branches and broken glass. No ladders.")
    if not tasks & HANDLED or (warned and not any(_heavy(duty) for duty in duties)):
        return None
    return lifting(say, short=short)


def lifting(say: Say, *, short: bool) -> str:
    """How to lift, in a sentence or two."""
    words = {"kg": say.number(HIGHER_KG[Zone.WAIST][0])}
    if short:
        return say.gettext("Lift only what feels safe. Heavy pot? Two people. Never more than {kg} kg alone.", **words)
    return say.gettext(
        "Lift only what feels safe, with a straight back. Heavy pot? Lift with two people. Never more than {kg} kg alone.",
        **words,
    )


def _heavy(duty: TaskView) -> bool:
    """Whether it is, or may be, more than anybody lifts alone: what is not weighed counts as heavy."""
    if duty.kind not in HANDLED or duty.place.kind is not PlaceKind.CONTAINER:
        return False
    kg = load_kg(duty.place)
    return kg is None or kg > HIGHER_KG[Zone.WAIST][0]


def no_fire(say: Say, hazard: Hazard, duties: Iterable[TaskView], *, short: bool = False) -> str | None:
    """For a cold night, where plants stand in a tunnel or a greenhouse, or go there; not when it is over."""
    before = (duty for duty in duties if duty.kind not in AFTERWARDS.values())
    places = [place for duty in before for place in (duty.place, duty.target) if place is not None]
    house = any(place.kind in UNDER_GLASS for place in places)
    if hazard is not Hazard.COLD or not house:
        return None
    return signs.no_fire_short(say) if short else signs.no_fire(say)


def with_you(say: Say, mine: Iterable[TaskView], member_id: int, short: brief.Short | None = None) -> str | None:
    """Who else is on the same duties."""
    others = dict.fromkeys(
        each.name for duty in mine for each in duty.asked if each.member_id != member_id and each.state in tasks.KEEPING
    )
    most = len(others) if short is None else max(1, short.people)
    return say.gettext("With you: {people}.", people=brief.some(say, people(others), most)) if others else None


def hands(told: Told, view: WarningView, name: str, task_ids: Sequence[int]) -> str:
    """To the group: somebody who is on it asks for one more person."""
    say = told.say
    wanted = [duty for duty in view.open_duties if duty.id in task_ids]
    due_at = min((duty.due_at for duty in wanted), default=view.due_at)
    first = say.gettext(
        "{name} needs one more person by {time} ({day}):",
        name=safe(name, 40),
        time=say.clock(due_at),
        day=say.near_day(say.local(due_at).date(), told.now),
    )
    return lines([
        bold(first),
        *listing(say, told.crops, wanted, asked=False),
        say.gettext("Can anybody help? Adults only. Do not go alone after sunset."),
    ])  # fmt: skip


def released(told: Told, view: WarningView, free_of: Sequence[TaskView]) -> str:
    """To whoever had said yes, when it is no longer needed; or to whoever was asked, when others see to it."""
    say = told.say
    if all(duty.state in tasks.LIVE for duty in free_of):
        first = say.gettext("You do not need to do this any more. Thank you!")
        return lines([bold(first), *listing(say, told.crops, free_of, asked=False)])
    first = say.gettext(
        "You do not need to come for {hazard} on {day} any more. Thank you for saying yes!",
        hazard=names.hazard(say, view.hazard),
        day=say.day(view.window_on),
    )
    left = say.gettext("Not needed now:")
    why = say.gettext("Why: {reason}", reason=safe(view.reason, 300)) if view.reason else None
    return lines([bold(first), why, left, *listing(say, told.crops, free_of, asked=False)])


def fasten(say: Say, outlook: Look, pots: Sequence[Loose]) -> str:
    """To whoever looks after pots that tip in a wind that any week may bring; said once."""
    crop_of = {one.id: one.crop for one in outlook.garden.plantings}
    rows = [
        say.gettext(
            "{place} ({crops}) falls over in gusts of about {gust}.",
            place=safe(outlook.garden.place_by_id[one.place_id].name, 40),
            crops=names.crops(say, outlook.crops, [crop_of[one.planting_id]]),
            gust=say.wind(one.gust_ms),
        )
        for one in pots
    ]
    return lines([
        bold(say.gettext("On a calm day, please tie these for good or move them lower:")),
        *(f"• {row}" for row in rows),
        say.gettext("Tie it to something firm, put weight at the bottom, or set it in a bigger pot. I will say this "
                    "only once."),
    ])  # fmt: skip


def stay_in(say: Say) -> str:
    """In place of a latest time that has gone by."""
    return say.gettext("There is no safe time left to go out for this. Please stay in. It can wait.")


def why_me(say: Say, words: Iterable[str]) -> str:
    """Why a member was asked, the weightiest reason first."""
    texts = {
        Why.AGREED.name: say.gettext("you have said yes"),
        Why.ONLY_ONE.name: say.gettext("nobody else could come then"),
        Why.HAS_KEY.name: say.gettext("you have a key"),
        Why.HAS_SKILL.name: say.gettext("you know how to do it"),
        Why.CAN_LIFT.name: say.gettext("you said you can lift that much"),
        Why.TURN_DUE.name: say.gettext("of all who could come, you have had the fewest turns"),
        Why.OWN_PLACE.name: say.gettext("you look after that place"),
        Why.FREE_THEN.name: say.gettext("you are free then"),
        "OFFERED": say.gettext("you offered to help"),
        "SWAPPED": say.gettext("you took it over for somebody"),
    }
    reasons = [texts[word] for word in dict.fromkeys(words) if word in texts]
    return say.gettext("I asked you because {reasons}.", reasons=say.and_list(reasons or [texts["FREE_THEN"]]))


def reply(say: Say, given: Reply) -> str:
    """How an answer was taken."""
    return {
        Reply.THANKS: say.gettext("Thank you!"),
        Reply.ALREADY: say.gettext("I already have your answer, thank you."),
        Reply.NOT_NEEDED: say.gettext("Other people do this job now. Thank you for offering!"),
        Reply.TOO_LATE: say.gettext("This is no longer needed. Thank you!"),
        Reply.ADULTS_ONLY: say.gettext("Only adults take turns. You can come with your adult: hold, fetch and count."),
        Reply.TOO_HEAVY: say.gettext(
            "That is heavier than you said you can lift, so I will ask others. Thank you for offering! You "
            "can change it in /wishes."
        ),
        Reply.PASSED: say.gettext("All right, I will ask the next person."),
        Reply.NOT_ASKED: say.gettext("I had not asked you for this, so nothing changes."),
        Reply.HANDS: say.gettext("I will look for one more person for you, and tell the group."),
        Reply.REOPENED: say.gettext("The job is open again. Thank you for looking!"),
        Reply.TAKEN_BACK: say.gettext("All right, that is not done yet. Everything is as it was before."),
        Reply.WHOLE: say.gettext("This job needs several people. Is all of it done?"),
        Reply.PART: say.gettext("Thank you, I noted your part. The job is done when the others say so too."),
        Reply.LEFT: say.gettext("Thank you for telling me. That is fine."),
        Reply.UNKNOWN: say.gettext("I do not know of any job there."),
    }[given]


def shortages(told: Told, view: WarningView, short: Sequence[Shortage]) -> str:
    """To organisers: what nobody can be found for, and what is missing; in short where a phone would not show it at once."""
    return brief.fitting(lambda form: _shortages(told, view, short, form))


def _shortages(told: Told, view: WarningView, short: Sequence[Shortage], form: brief.Short | None) -> str:
    say, by_id = told.say, {duty.id: duty for duty in view.duties}
    due = {"time": say.clock(view.due_at), "day": say.day(say.local(view.due_at).date())}
    by_missing: dict[str, list[TaskView]] = {}
    counted = form is None or not form.last  # where there is no room, of how many is left out
    for each in short:
        if each.task_id in by_id:
            by_missing.setdefault(_missing(say, each, counted=counted), []).append(by_id[each.task_id])
    parts = [bold(say.gettext("I can't find enough people by {time} on {day}:", **due))]
    for missing, duties in by_missing.items():
        if form is None:
            parts += listing(say, told.crops, duties, asked=False)
        else:
            parts += brief.listing(say, duties, form, asked=False)
        parts.append(missing)
    if any(each.short is Short.ANSWER for each in short):
        parts.append(say.gettext("I am asking the whole group, too. Can you ask around?"))
    else:
        parts.append(say.gettext("If time gets short, I will ask the whole group. Can you ask around?"))
    return lines(dict.fromkeys(parts))


def _missing(say: Say, short: Shortage, *, counted: bool) -> str:
    what = {
        Short.PEOPLE: say.gettext("adults I can reach"),
        Short.FREE: say.gettext("people who are free then"),
        Short.NOT_REFUSED: say.gettext("people who have not said no"),
        Short.NEAR: say.gettext("people near enough to come in time"),
        Short.LIFT: say.gettext("people who can lift {kg} kg", kg=say.number(short.kg_each)),
        Short.WEEK: say.gettext("people with a turn left this week"),
        Short.ANSWER: say.gettext("people who have said yes"),
        Short.KEY: say.gettext("a key holder who is free then"),
        Short.SKILL: say.gettext("somebody who knows how and is free then"),
        Short.ELSEWHERE: say.gettext("people not needed elsewhere then"),
    }[short.short]
    if not counted:
        return say.gettext("Missing: {what}.", what=what)
    return say.gettext(
        "Missing: {what} ({have} of {need}).", what=what, have=say.number(short.have), need=say.number(short.need)
    )
