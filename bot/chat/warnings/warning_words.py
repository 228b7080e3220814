"""Warnings to the group: what, when, who in the first line; then by when, what to do to each, and what may stay."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.tasks import duty_words, what_is_on_words
from bot.chat.warnings import all_clear, brief
from bot.chat.warnings.brief import Short, band, day, headline
from bot.chat.warnings.told import Told
from bot.core.warnings.hazards import AFTERWARDS, Hazard
from bot.i18n import Say
from bot.services.warnings.events import What
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.states import AskState, TaskState, WarningState

#: Of an organiser's reason.
REASON_N = 300
UNDOING = frozenset(AFTERWARDS.values())


def group(told: Told, what: What, view: WarningView) -> str:
    """The message for the group about one step of a warning: in full where a phone shows it at once, else in short."""
    return brief.fitting(lambda short: _put(told, what, view, short))


def whole(told: Told, view: WarningView) -> str:
    """All that there is to say of a warning as it stands now, behind the button of the message in short."""
    return _put(told, standing(What.EDIT, view), view, None)


def is_whole(told: Told, what: What, view: WarningView, member_id: int | None = None) -> bool:
    """Whether the message says all that there is to say. member_id: of whom it goes to privately."""
    text = _put(told, what, view, None) if member_id is None else _private(told, what, view, member_id, None)
    return brief.fits(text)


def _put(told: Told, what: What, view: WarningView, short: Short | None) -> str:
    body = {
        What.HEADS_UP: _heads_up,
        What.CALL: _call,
        What.WORSE: _worse,
        What.OPEN_CALL: _open_call,
        What.TOO_LATE: _too_late,
        What.CALLED_OFF: _called_off,
        What.AFTER: _after,
    }[what]
    if view.severe is not None and not view.duties:
        return lines(_severe(told, view, *view.severe, what))
    first, *rest = body(told, view, short)
    speaks = what not in (What.CALLED_OFF, What.AFTER)
    by_hand = told.say.gettext("This warning comes from an organiser.") if view.by_hand and speaks else None
    official = _official(told, view, *view.severe) if view.severe is not None and speaks else None
    return lines([first, by_hand, official, *rest])


def private(told: Told, what: What, view: WarningView, member_id: int) -> str:
    """The same for one member, where no group can be told: short, since what they are asked for comes beside it."""
    return brief.fitting(lambda short: _private(told, what, view, member_id, short))


def _private(told: Told, what: What, view: WarningView, member_id: int, short: Short | None) -> str:
    as_in_group = what in (What.OPEN_CALL, What.TOO_LATE, What.CALLED_OFF)
    if as_in_group or (view.severe is not None and not view.duties):
        return _put(told, what, view, short)
    if what is What.AFTER:
        return lines(_after_for(told, view, member_id, short))
    heads_up = What.HEADS_UP in (what, standing(What.EDIT, view))
    rest = _ahead_of(told, view, short) if heads_up else _part_in(told, view, member_id, short)
    return lines([*opening(told, what, view, member_id), *rest])


def opening(told: Told, what: What, view: WarningView, member_id: int) -> list[str | None]:
    """What comes, or is over, to whoever reads of it privately."""
    say = told.say
    if what is What.AFTER:
        return _after_for(told, view, member_id, brief.SHORTEST)
    worse = bold(say.gettext("It is worse than I said before.")) if what is What.WORSE else None
    return [
        " ".join(one for one in (worse, bold(headline(told, view))) if one is not None),
        say.gettext("This warning comes from an organiser.") if view.by_hand else None,
        _official(told, view, *view.severe) if view.severe is not None else None,
    ]


def _listing(told: Told, duties_: Sequence[TaskView], short: Short | None, *, asked: bool) -> list[str]:
    if short is None:
        return duty_words.listing(told.say, told.crops, duties_, asked=asked)
    return brief.listing(told.say, duties_, short, asked=asked)


def _ahead_of(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say = told.say
    return [
        say.gettext("Nothing to do yet. We will need this done by {day} {time}:", **_due(told, view)),
        *_listing(told, view.duties, short, asked=False),
        say.gettext("I will ask people by name the day before."),
    ]


def _part_in(told: Told, view: WarningView, member_id: int, short: Short | None) -> list[str | None]:
    """What this member has to do with it: an ask of their own, or nothing, unless they would like to help."""
    say = told.say
    if view.duties_of(member_id):
        return [say.gettext("I will send you your job in a separate message.")]
    if not view.open_duties:
        return [say.gettext("Everything is done. Thank you!")] if view.duties else []
    return [
        say.gettext("You do not need to do anything. I asked others to do this by {time} ({day}):", **_due(told, view)),
        *_listing(told, view.open_duties, short, asked=True),
        say.gettext("Would you like to help too? Please tap."),
    ]


def _after_for(told: Told, view: WarningView, member_id: int, short: Short | None) -> list[str | None]:
    say = told.say
    done = tuple(
        duty
        for duty in view.duties
        if duty.state is TaskState.DONE
        and any(each.member_id == member_id for each in duty.with_state(AskState.ACCEPTED))
    )
    return [
        bold(all_clear.over(told, view)),
        say.gettext("Thank you for this:") if done else None,
        *_listing(told, done, short, asked=False),
        all_clear.how_cold(told, view),
        _harm(told, view),
    ]


def _harm(told: Told, view: WarningView) -> str | None:
    if view.hazard is not Hazard.COLD:
        return None
    return told.say.gettext("Was anything damaged? Tell me, for example: the frost got the courgettes.")


def _official(told: Told, view: WarningView, from_at: datetime, to_at: datetime) -> str:
    return told.say.gettext(
        "{day}, {start} to {end}: an official severe weather warning. Nobody goes to the garden then.",
        day=day(told, view),
        start=told.say.clock(from_at),
        end=told.say.clock(to_at),
    )


def _severe(told: Told, view: WarningView, from_at: datetime, to_at: datetime, what: What) -> list[str | None]:
    """An official warning that asks nothing of anybody but to stay away."""
    say = told.say
    if what is What.CALLED_OFF:
        return _called_off(told, view, None)
    if what is What.AFTER:
        return [bold(say.gettext("The official severe weather warning is over."))]
    return [
        bold(_official(told, view, from_at, to_at)),
        say.gettext("Loose things there can wait. Do what the authorities say."),
    ]


def standing(what: What, view: WarningView) -> What:
    """What an edit shows: the standing message as it would be sent now."""
    if what is not What.EDIT:
        return what
    if view.state is WarningState.OVER:
        return What.CALLED_OFF if view.cleared else What.AFTER
    if view.too_late:
        return What.TOO_LATE
    return What.HEADS_UP if view.state is WarningState.ANNOUNCED else What.CALL


def _stay(told: Told, view: WarningView) -> str | None:
    if not view.stay:
        return None
    return told.say.gettext("Nothing to do for: {crops}.", crops=names.crops(told.say, told.crops, view.stay))


def _lost(told: Told, view: WarningView) -> list[str]:
    """What an earlier frost has ended, said once: nobody is asked to go out for it."""
    say, by_day = told.say, dict[date, list[str]]()
    for crop, on in view.lost:
        by_day.setdefault(on, []).append(crop)
    return [
        say.gettext(
            "Lost in the frost of {day}: {crops}. Did some survive? Please tell me.",
            day=say.day(on),
            crops=names.crops(say, told.crops, crops),
        )
        for on, crops in sorted(by_day.items())
    ]


def _heads_up(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say, more = told.say, short is None or short.extras
    return [
        bold(headline(told, view, short=short is not None)),
        band(told, view) if short is None else None,
        say.gettext("Nothing to do yet. We will need this done by {day} {time}:", **_due(told, view)),
        duty_words.safe_hours(say, view, told.now) if more else None,
        *_listing(told, view.duties, short, asked=False),
        *(duty_words.picking(say, told.crops, view.duties) if more else ()),
        _stay(told, view) if more else None,
        *(_lost(told, view) if more else ()),
        duty_words.no_fire(say, view.hazard, view.duties) if short is None else None,
        say.gettext("I will ask people by name the day before."),
    ]


def _call(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    """The standing message: what is open, who does it, what is done."""
    say, more = told.say, short is None or short.extras
    return [
        " ".join([bold(headline(told, view, short=short is not None)), *_news(told, view, short)]),
        _deadline(told, view) if view.open_duties else None,
        duty_words.safe_hours(say, view, told.now, short=not more) if view.open_duties else None,
        *_listing(told, view.duties, short, asked=True),
        *(duty_words.picking(say, told.crops, view.open_duties) if more else ()),
        _stay(told, view) if more else None,
        *(_lost(told, view) if more and view.announced_at is None else ()),
        *(_how(told, view, short) if _is_time(told, view) else ()),
    ]


def _how(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    """The cautions for those who go."""
    say, is_short = told.say, short is not None
    return [
        duty_words.caution(say, view.hazard, view.open_duties, short=is_short, warned=told.warned),
        duty_words.no_fire(say, view.hazard, view.open_duties, short=is_short),
    ]


def _is_time(told: Told, view: WarningView) -> bool:
    return told.now < view.due_at or view.hazard is Hazard.HEAT


def _deadline(told: Told, view: WarningView) -> str:
    """Nobody is sent out by a message that is read after the last safe time."""
    if _is_time(told, view):
        return told.say.gettext("We need this done by {time} ({day}).", **_due(told, view))
    return told.say.gettext(
        "The safe time for this ended at {time} ({day}). Please do not go out now.", **_due(told, view)
    )


def _news(told: Told, view: WarningView, short: Short | None) -> list[str]:
    """How it stands, and what changed last: on the first line, since no phone rings for a change."""
    say = told.say
    if not view.duties:
        return []
    if not view.open_duties:
        return [say.gettext("Everything is done. Thank you!")]
    last = _last(say, view)
    if last is None:
        return []
    wanting = sum(duty.wanting > 0 for duty in view.duties)
    if short is not None:
        return [last]
    if wanting:
        return [last, say.ngettext("{n} job still needs a yes.", "{n} jobs still need a yes.", wanting)]
    return [last, say.gettext("All the jobs are taken.")]


def _last(say: Say, view: WarningView) -> str | None:
    """The newest yes or Done."""
    said = [
        (each.answered_at, say.gettext("New: {name} said yes.", name=safe(each.name, 40)))
        for duty in view.open_duties
        for each in duty.with_state(AskState.ACCEPTED)
        if each.answered_at is not None
    ]
    said += [
        (duty.done_at, say.gettext("New: {place} is done.", place=safe(duty.place.name, 40)))
        for duty in view.duties
        if duty.state is TaskState.DONE and duty.done_at is not None
    ]
    return max(said)[1] if said else None


def _worse(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    """Spoken anew, in the form of the step it is at."""
    body = _heads_up if view.state is WarningState.ANNOUNCED else _call
    headed, *rest = body(told, view, short)
    return [" ".join([bold(told.say.gettext("It is worse than I said before.")), headed or ""]), *rest]


def _open_call(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say = told.say
    lacking = tuple(duty for duty in view.duties if duty.wanting)
    return [
        bold(say.gettext("We still need help by {time} ({day}):", **_due(told, view))),
        *_listing(told, lacking, short, asked=False),
        say.gettext("Can anybody help? Adults only. Do not go alone after sunset."),
    ]


def _too_late(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say = told.say
    return [
        bold(headline(told, view)),
        say.gettext("The weather leaves no safe time to go out before it. Please stay in.")
        if view.cut_short
        else say.gettext("I saw this too late. There is no safe time left to go out. Please stay in."),
        say.gettext("Later, when it is light and calm, please look at:"),
        *_listing(told, view.duties, short, asked=False),
    ]


def _called_off(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say = told.say
    undo = tuple(duty for duty in view.duties if duty.kind in UNDOING)
    if undo:
        thanks = say.gettext("Thank you for being ready. In daylight, you can undo what is already done:")
    elif view.kept or view.cold_on:
        thanks = say.gettext("Thank you for being ready.")
    else:
        thanks = say.gettext("There is no job for you. Thank you for being ready.")
    return [
        bold(all_clear.off(told, view)),
        say.gettext("Why: {reason}", reason=safe(view.reason, REASON_N)) if view.reason else None,
        all_clear.cold_next(told, view),
        thanks,
        *_listing(told, undo, short, asked=True),
        *what_is_on_words.kept(say, told.crops, view.kept, short=short is not None),
    ]


def _after(told: Told, view: WarningView, short: Short | None) -> list[str | None]:
    say = told.say
    undo = tuple(duty for duty in view.duties if duty.kind in UNDOING and duty.state is not TaskState.MISSED)
    waiting = any(duty in view.open_duties for duty in undo)
    return [
        bold(all_clear.over(told, view)),
        _thanks(say, view, short),
        all_clear.cold_next(told, view),
        *what_is_on_words.kept(say, told.crops, view.kept, short=short is not None),
        say.gettext("Now please:") if waiting else None,
        *_listing(told, undo, short, asked=True),
        duty_words.caution(
            say, view.hazard, [one for one in undo if one in view.open_duties], short=True, warned=told.warned
        ),
        all_clear.how_cold(told, view),
        _harm(told, view) if short is None or short.bullets > 3 else None,
    ]


def _thanks(say: Say, view: WarningView, short: Short | None) -> str | None:
    """Everybody who helped by name; where not all are known, nobody is named alone."""
    done = [duty for duty in view.duties if duty.state is TaskState.DONE and duty.kind not in UNDOING]
    if not all(duty.helped for duty in done):
        return say.gettext("Thank you, all who helped!")
    thanked = list(dict.fromkeys(name for duty in done for name in duty.helped))
    most = len(thanked) if short is None else max(2, short.people)
    people = brief.some(say, duty_words.people(thanked), most)
    return say.gettext("Thank you, {people}!", people=people) if thanked else None


def _due(told: Told, view: WarningView) -> dict[str, str]:
    local = told.say.local(view.due_at)
    return {"time": told.say.clock(view.due_at), "day": told.say.near_day(local.date(), told.now)}
