"""/week: what should I do this week.

The week's jobs in words: each what, where and by when; the rest one tap away.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from datetime import timedelta

from bot.chat import names
from bot.chat.growing import pests, shares, signs
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.tasks import daily, what_is_on_words
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.core.finding import DAILY, TaskKind
from bot.core.garden.snapshot import Cover, Garden, SupportKind
from bot.core.growing.crop import Kind, Start, Watch
from bot.core.growing.jobs.job import WEATHER, Job, JobKind
from bot.core.growing.jobs.raising import LEGGY
from bot.core.growing.succession import Where
from bot.core.growing.water import CAN_L
from bot.core.growing.week import Week
from bot.i18n import Say
from bot.services.growing import week

#: So many buttons at most; the rest is one tap away.
SHOWN = 7


def whole(told: Told, garden: Garden, given: Week, *, start: int = 0, more: Sequence[str] = ()) -> tuple[str, int]:
    """(text, how many jobs are in it): jobs from number start+1 on, numbered as on the buttons, as many as a phone shows
    at once and SHOWN at most. more: what is said below them.
    """
    say = told.say
    beyond = _beyond(say, garden, given)
    if not given.jobs:
        return lines([
            bold(say.gettext("Nothing to do now.")),
            say.gettext("Enjoy the garden, or ask a neighbour if you can help."),
            *beyond,
            *more,
        ]), 0  # fmt: skip
    jobs = given.jobs[start : start + SHOWN]
    first = say.gettext("Nothing urgent. Nice jobs for this week:") if given.nothing_urgent else None

    def below(shown_n: int) -> list[str | None]:
        rest = len(given.jobs) - start - shown_n
        return [
            say.ngettext("And {n} more.", "And {n} more.", rest) if rest else None,
            *beyond,
            *_once(say, garden, jobs[:shown_n]),
            say.gettext("Tap a job for Done, Not now and Why."),
            *more,
        ]

    return within(
        [bold(first or say.gettext("Your jobs this week, the most urgent first:"))],
        [
            say.gettext("{number}. {job}", number=say.number(n), job=one(told, garden, job))
            for n, job in enumerate(jobs, start + 1)
        ],
        below,
    )


def which_done(say: Say, title: str) -> str:
    """A job at several places: each is done by itself."""
    return lines([title, bold(say.gettext("Tap what is done, one after the other."))])


def ticked(say: Say, place: str, *, more: bool) -> str:
    """One place of a job is noted."""
    return lines([
        say.gettext("{place} is done. Thank you!", place=safe(place, 40)),
        bold(say.gettext("Tap what is done, one after the other.")) if more else None,
    ])  # fmt: skip


def _beyond(say: Say, garden: Garden, given: Week) -> list[str]:
    """What is not for this member to do, and why."""
    found = []
    if given.with_adult:
        found.append(
            say.gettext(
                "Do this together with your adult. Work before frost and wind is for the adult. You can hold, "
                "bring and count things. Are you an adult? Send /start."
            )
        )
    if given.too_heavy:
        where = say.and_list(_places(garden, given.too_heavy))
        found.append(
            say.gettext(
                "Not on your list, because it is too heavy for you: {places}. I will ask other people.", places=where
            )
        )
    return found


def _once(say: Say, garden: Garden, shown: Iterable[Job]) -> list[str]:
    """Cautions that hold for several jobs of the list, said once below it."""
    kinds = {job.kind for job in shown}
    found = [signs.compost(say)] if kinds & _COMPOST else []
    return [*found, signs.hose(say)] if JobKind.WATER in kinds and not garden.hose_ban else found


def one(told: Told, garden: Garden, job: Job) -> str:
    """One job in a line or two: what, where, by when."""
    shared = shares.of_job(told.say, job)
    parts = [job_title(told, garden, job), _extra(told, garden, job), shared, _by(told, job)]
    return " ".join(part for part in parts if part)


def job_title(told: Told, garden: Garden, job: Job) -> str:
    """What to do, to what, where."""
    say = told.say
    thing = _things(told, garden, job)
    water = job.kind is JobKind.WATER
    where = say.and_list(_thirsty(say, garden, job) if water else _places(garden, job.place_ids)) or thing
    words = {"thing": thing, "where": where, "detail": _detail(told, garden, job)}
    if job.kind.value in {task.value for task in TaskKind if task not in DAILY}:
        task = names.task(say, TaskKind(job.kind.value))
        if not thing:
            return say.gettext("{task}: {where}.", task=task, where=where)
        return say.gettext("{task}: {thing} ({where}).", task=task, thing=thing, where=where)
    if job.kind is JobKind.SOW and not _is_seed(told, job):
        return say.gettext("Plant: {thing}, {detail}.", **words)
    if job.kind is JobKind.HARVEST and (crop := told.crops.get(job.crop or "")):
        if crop.kind is Kind.FLOWER:
            return say.gettext("Cut for the vase: {thing} ({where}).", **words)
        if crop.kind is Kind.GREEN_MANURE:
            return say.gettext("Cut down to feed the soil: {thing} ({where}).", **words)
    return say.fill(_TITLES[job.kind](say), **words)


def _is_seed(told: Told, job: Job) -> bool:
    crop = told.crops.get(job.crop or "")
    return crop is None or crop.sowing.start is Start.SEED


#: A caution belongs to the work at hand: lifting and eating for a harvest, canes for supports, the plant for the rest.
_EATING = frozenset(
    {"green-potato", "raw-bean", "favism", "bitter-cucurbit", "rhubarb-leaf", "rhubarb-frosted", "stone-kernels"}
)
_NO_PLANTS = frozenset({JobKind.FIND_SOMEBODY, JobKind.SPEAK_TO, JobKind.COMPLETE, JobKind.WATER})
_PESTS = frozenset({JobKind.WATCH, JobKind.NET})
_COMPOST = frozenset({JobKind.SOW, JobKind.SOW_AGAIN, JobKind.POT_ON, JobKind.PLANT_OUT, JobKind.EARTH_UP})


def cautions(told: Told, garden: Garden, job: Job) -> list[str]:
    """What helps and the usual cautions for this job's crops: those about eating only with a harvest."""
    if job.kind in _NO_PLANTS:
        return [signs.hose(told.say)] if job.kind is JobKind.WATER and not garden.hose_ban else []
    by_id = {planting.id: planting for planting in garden.plantings}
    keys = {by_id[one].crop for one in job.planting_ids if one in by_id} | ({job.crop} if job.crop else set())
    safety = dict.fromkeys(key for crop in sorted(keys) if crop in told.crops for key in told.crops[crop].safety)
    shown = [key for key in safety if (job.kind is JobKind.HARVEST) or key not in _EATING]
    helps = [pests.care(told.say, Watch(job.detail))] if job.kind in _PESTS and job.detail else []
    compost = [signs.compost(told.say)] if job.kind in _COMPOST else []
    return [*helps, *(signs.caution(told.say, key) for key in shown), *compost]


_TITLES: dict[JobKind, Callable[[Say], str]] = {
    JobKind.CHIT: lambda say: say.gettext("Let sprout (chit): {thing}."),
    JobKind.SOW: lambda say: say.gettext("Sow: {thing}, {detail}."),
    JobKind.SOW_AGAIN: lambda say: say.gettext("Sow more, so you can pick all season: {thing}, {detail}."),
    JobKind.POT_ON: lambda say: say.gettext("Move to bigger pots: {thing} ({where})."),
    JobKind.HARDEN_OFF: lambda say: say.gettext("Harden off: {thing} ({where})."),
    JobKind.PLANT_OUT: lambda say: say.gettext("Plant out: {thing} ({where})."),
    JobKind.WATER: lambda say: say.gettext("Water: {where}."),
    JobKind.SUPPORT: lambda say: say.gettext("Put up {detail}: {thing} ({where})."),
    JobKind.FASTEN: lambda say: say.gettext(
        "Tie firmly, or put in a low place: {thing} ({where}). A normal strong wind can tip it over."
    ),
    JobKind.FEED: lambda say: say.gettext("Feed: {thing} ({where})."),
    JobKind.PINCH: lambda say: say.gettext("Pinch out the tips: {thing} ({where})."),
    JobKind.WATCH: lambda say: say.gettext("Look for {detail}: {thing} ({where})."),
    JobKind.NET: lambda say: say.gettext("Put a net over it against {detail}: {thing} ({where})."),
    JobKind.BLIGHT: lambda say: say.gettext(
        "This weather brings blight. Look for brown patches. Put those leaves in the bin: {thing} ({where})."
    ),
    JobKind.SWING: lambda say: say.gettext("It was cold and then hot. Check these plants: {thing} ({where})."),
    JobKind.BOLTING: lambda say: say.gettext(
        "These may flower too early (bolt) soon. Eat them first: {thing} ({where})."
    ),
    JobKind.CUT_HAULM: lambda say: say.gettext("Cut down the leaves and stems: {thing} ({where})."),
    JobKind.HARVEST: lambda say: say.gettext("Harvest: {thing} ({where})."),
    JobKind.ROTATION: lambda say: say.gettext(
        "The same family grew in this bed not long ago. Look for disease: {thing} ({where})."
    ),
    JobKind.FIND_SOMEBODY: lambda say: say.gettext("Please find somebody for this. {detail}: {where}."),
    JobKind.SPEAK_TO: lambda say: say.gettext("Please talk to {detail}. They have not answered for some time."),
    JobKind.COMPLETE: lambda say: say.gettext("Please tell me the size, weight or number that is missing: {where}."),
}


def _things(told: Told, garden: Garden, job: Job) -> str:
    by_id = {planting.id: planting for planting in garden.plantings}
    keys = [by_id[one].crop for one in job.planting_ids if one in by_id] or ([job.crop] if job.crop else [])
    return names.crops(told.say, told.crops, keys)


def _places(garden: Garden, place_ids: Iterable[int]) -> list[str]:
    return [safe(garden.place_by_id[id_].name, 40) for id_ in place_ids if id_ in garden.place_by_id]


def _detail(told: Told, garden: Garden, job: Job) -> str:
    say, detail = told.say, job.detail or ""
    if job.kind in _PESTS:
        return pests.name(say, Watch(detail))
    if job.kind in (JobKind.SOW, JobKind.SOW_AGAIN):
        return names.where(say, Where(detail))
    if job.kind is JobKind.SUPPORT:
        return support(say, SupportKind(detail))
    if job.kind is JobKind.FIND_SOMEBODY:
        return names.task(say, TaskKind(detail))
    if job.kind is JobKind.SPEAK_TO:
        ids = {item.member_id for item in job.items}
        return say.and_list(safe(member.name, 40) for member in garden.members if member.id in ids)
    return ""


def support(say: Say, kind: SupportKind) -> str:
    return {
        SupportKind.CANES: say.pgettext("support", "canes"),
        SupportKind.FRAME: say.pgettext("support", "a frame"),
        SupportKind.TRELLIS: say.pgettext("support", "a trellis"),
        SupportKind.STAKES: say.pgettext("support", "stakes"),
    }[kind]


def _extra(told: Told, garden: Garden, job: Job) -> str | None:
    """The figure that the hands need: into where, with what, how long, how much, how to tell."""
    say, first = told.say, job.items[0]
    if job.kind in WEATHER:
        return " ".join(part for part in (_into_or_with(told, garden, job), _weight(say, garden, job)) if part) or None
    if job.kind is JobKind.WATER and job.litres:
        return _water(say, garden, job)
    if job.kind is JobKind.HARDEN_OFF and first.detail == "night":
        return say.gettext("Put them outside today. They can stay out all night.")
    if job.kind is JobKind.HARDEN_OFF and first.hours:
        return say.ngettext("{n} hour out in the open today.", "{n} hours out in the open today.", first.hours)
    return _known(told, job)


def _into_or_with(told: Told, garden: Garden, job: Job) -> str | None:
    say, target_id = told.say, job.items[0].target_place_id
    if target_id in garden.place_by_id:
        return say.gettext("Into {target}.", target=safe(garden.place_by_id[target_id].name, 40))
    if job.kind is JobKind.COVER and job.detail:
        return say.gettext("With {cover}.", cover=names.cover(say, Cover(job.detail)))
    return _known(told, job)


def _weight(say: Say, garden: Garden, job: Job) -> str | None:
    place = garden.place_by_id.get(job.place_ids[0]) if job.place_ids else None
    if place is None:
        return None
    return what_is_on_words.of(
        say, TaskKind(job.kind.value), place, job.items[0].people, several=len(job.place_ids) > 1
    )


def _known(told: Told, job: Job) -> str | None:
    """What the trade knows of the work, in a sentence."""
    say, first = told.say, job.items[0]
    if job.kind is JobKind.HARVEST and job.detail:
        return _harvest(told, job)
    if job.kind is JobKind.CUT_HAULM:
        return say.gettext("Dig them up two to three weeks later, when the skins no longer rub off.")
    if job.kind is JobKind.EARTH_UP and first.cm:
        return say.gettext("Pull soil up over the lower {cm}\u00a0cm.", cm=say.number(first.cm))
    if job.kind in (JobKind.SOW, JobKind.SOW_AGAIN) and first.cm:
        return say.gettext("{cm}\u00a0cm deep.", cm=say.number(first.cm, 1))
    if job.kind is JobKind.CHIT:
        return say.gettext(
            "In a light, cool place without frost, until the shoots are 2\u00a0cm long. That takes about six weeks."
        )
    if job.kind is JobKind.POT_ON and job.detail == LEGGY:
        return _leggy(told, job)
    if job.kind is JobKind.POT_ON:
        return say.gettext("Then they can wait about two weeks more.")
    return None


def _leggy(told: Told, job: Job) -> str:
    """What helps seedlings that are tall and thin: common practice, no source."""
    say, crop = told.say, told.crops.get(job.crop or "")
    given = say.gettext("They are too tall and thin. Give more light, a cooler place, and a thin stick to each.")
    if crop is None or "roots-from-stem" not in crop.habits:
        return given
    return " ".join([given, say.gettext("Plant them deep, up to the lowest leaves. The stem makes roots.")])


def _water(say: Say, garden: Garden, job: Job) -> str:
    """How much in all, and for each place where there are several; a hose ban is said where it matters."""
    cans = math.ceil((job.litres or 0.0) / CAN_L)
    total = say.ngettext(
        "About {litres}, {n} can.", "About {litres}, {n} cans.", cans, litres=names.litres(say, job.litres or 0.0)
    )
    if garden.hose_ban:
        return " ".join([total, say.gettext("Use cans only. There is a hose ban.")])
    return total


def _thirsty(say: Say, garden: Garden, job: Job) -> list[str]:
    by_id = garden.place_by_id
    known = [(by_id[item.place_id].name, item.litres or 0.0) for item in job.items if item.place_id in by_id]
    if len(known) == 1:
        return [safe(known[0][0], 40)]
    return [
        say.gettext("{place} ({litres})", place=safe(name, 40), litres=names.litres(say, litres))
        for name, litres in known
    ]


def _harvest(told: Told, job: Job) -> str:
    """The sign to look for first, and what must be eaten soon."""
    say = told.say
    sign = say.gettext("Check first: {sign}", sign=signs.ready(say, job.detail or ""))
    crop = told.crops.get(job.crop or "")
    if crop is None:
        return sign
    soon = say.gettext("Eat it soon. It does not keep.") if crop.is_eaten_fresh else ""
    return " ".join(part for part in (sign, soon, *(signs.brief(say, key) for key in crop.safety)) if part)


def _by(told: Told, job: Job) -> str | None:
    """A deadline by the clock where weather sets it, else by the day."""
    say, today = told.say, told.say.local(told.now).date()
    if job.due_at is not None:
        day = say.near_day(say.local(job.due_at).date(), told.now)
        return bold(say.gettext("By {time} {day}.", time=say.clock(job.due_at), day=day))
    if job.by_on is not None and job.by_on <= today:
        return None if job.kind is JobKind.HARDEN_OFF else say.gettext("Today.")  # its hours say "today"
    if job.by_on is not None and job.by_on - today <= timedelta(days=14):
        return say.gettext("By {day}.", day=say.near_day(job.by_on, told.now))
    return None


WORD = "week"


def about(say: Say) -> str:
    return say.gettext("your jobs this week, on your plots and for the group")


async def answer(request: Request) -> None:
    await show(request, 0)


async def show(request: Request, start: int) -> None:
    """The jobs from number start+1 on, with a button for each."""
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    found = await week.answer(request.session, garden, member, request.source, request.now)
    told = Told(say, found.outlook.crops, request.now)
    others = await daily.today(request.session, say, found.outlook, request.now, member.id) if start == 0 else []
    more = [say.gettext("For the group today:"), *others] if others else []
    if found.outlook.forecast is None:
        more.append(say.gettext("I have no weather forecast now. This list does not use one."))
    text, shown_n = whole(told, found.outlook.garden, found.week, start=start, more=more)
    await request.reply(text, keyboards.week(say, found.week, start, shown_n))
