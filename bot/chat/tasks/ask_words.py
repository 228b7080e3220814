"""What one person is asked, and what is theirs: one message for everything of one look, in full or as a phone shows it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime

from bot.chat.html import bold, lines
from bot.chat.tasks import duty_words
from bot.chat.warnings import brief
from bot.chat.warnings.brief import Short
from bot.chat.warnings.told import Told
from bot.i18n import Say
from bot.services.warnings.events import What
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.states import WarningState

#: A warning, and what of it is meant.
Part = tuple[WarningView, tuple[TaskView, ...]]


def ask(told: Told, views: Sequence[WarningView], member_id: int, what: What, above: Sequence[str | None] = ()) -> str:
    """The private question: all that they have not answered, by when, with whom. above: what comes, where they have not
    read of it elsewhere.
    """
    parts = _unanswered(views, member_id)
    return brief.fitting(lambda short: lines([*above, _ask(told, views, parts, member_id, what, short)]))


def yours(
    told: Told,
    views: Sequence[WarningView],
    member_id: int,
    *,
    above: Sequence[str | None] = (),
    earlier: bool = False,
) -> str:
    """What they have said yes to, and is not done yet. above: how what they said was taken."""
    parts = _taken(views, member_id)
    return brief.fitting(lambda short: lines([*above, _yours(told, views, parts, member_id, short, earlier=earlier)]))


def whole(told: Told, views: Sequence[WarningView], member_id: int) -> str | None:
    """All of either, for whoever taps for it; None where nothing is theirs."""
    if parts := _unanswered(views, member_id):
        return _ask(told, views, parts, member_id, What.ASK, None)
    parts = _taken(views, member_id)
    return _yours(told, views, parts, member_id, None, earlier=False) if parts else None


def is_whole(told: Told, views: Sequence[WarningView], member_id: int, above: Sequence[str | None] = ()) -> bool:
    """Whether the message says all that there is to say."""
    text = whole(told, views, member_id)
    return text is None or brief.fits(lines([*above, text]))


def _ask(
    told: Told, views: Sequence[WarningView], parts: Sequence[Part], member_id: int, what: What, short: Short | None
) -> str:
    say = told.say
    first = {
        What.REMIND: say.gettext("You have not answered yet. Can you help by {time}, {day}?"),
        What.EARLIER: say.gettext("It is earlier than I said. Can you help by {time}, {day}?"),
    }.get(what, say.gettext("Can you help by {time}, {day}?"))
    minutes = sum(duty.minutes for _, mine in parts for duty in mine)
    due_at = _due_at(parts, views)
    return lines([
        bold(say.fill(first, **_by(told, due_at)) if due_at > told.now else duty_words.stay_in(say)),
        *_body(told, parts, short),
        say.ngettext("About {n} minute.", "About {n} minutes.", minutes) if short is None or short.extras else None,
        duty_words.with_you(say, [duty for _, mine in parts for duty in mine], member_id, short)
        if short is None or short.detail
        else None,
        *_cautions(told, parts, short),
        _no_matter(say, short),
    ])  # fmt: skip


def _no_matter(say: Say, short: Short | None) -> str | None:
    """Saying no is as easy as saying yes; where there is no room for it, the button says so."""
    if short is None:
        return say.gettext("If you can't, just say so. I will ask the next person, and that is fine.")
    return say.gettext("Can't help? Just say so. I will ask others.") if short.detail else None


def _yours(
    told: Told,
    views: Sequence[WarningView],
    parts: Sequence[Part],
    member_id: int,
    short: Short | None,
    *,
    earlier: bool,
) -> str:
    say = told.say
    due_at = _due_at(parts, views)
    if due_at <= told.now and any(view.state is not WarningState.OVER for view, _ in parts):
        first = duty_words.stay_in(say)
    elif earlier:
        first = say.gettext("It is earlier than I said. Please finish by {time}, {day}.", **_by(told, due_at))
    else:
        first = say.gettext("Your job, by {time}, {day}:", **_by(told, due_at))
    return lines([
        bold(first),
        *_body(told, parts, short),
        duty_words.with_you(say, [duty for _, mine in parts for duty in mine], member_id, short),
        *_cautions(told, parts, short),
    ])  # fmt: skip


def _unanswered(views: Sequence[WarningView], member_id: int) -> list[Part]:
    return _parts(views, lambda view: view.unanswered_by(member_id))


def _taken(views: Sequence[WarningView], member_id: int) -> list[Part]:
    return _parts(views, lambda view: view.open_duties_of(member_id))


def _parts(views: Sequence[WarningView], of: Callable[[WarningView], tuple[TaskView, ...]]) -> list[Part]:
    """Warnings with what of them is meant, the soonest first."""
    found = [(view, of(view)) for view in views]
    return sorted((part for part in found if part[1]), key=lambda part: min(duty.due_at for duty in part[1]))


def _due_at(parts: Sequence[Part], views: Sequence[WarningView]) -> datetime:
    return min((duty.due_at for _, mine in parts for duty in mine), default=views[0].due_at)


def _body(told: Told, parts: Sequence[Part], short: Short | None) -> Iterator[str]:
    """What is to be done, with its hour where that is a later one."""
    say, said_at = told.say, _due_at(parts, [view for view, _ in parts]) if parts else told.now
    for view, mine in parts:
        due_at = min(duty.due_at for duty in mine)
        if due_at != said_at:
            yield say.gettext("And by {time}, {day}:", **_by(told, due_at))
        hours = duty_words.safe_hours(say, view, told.now, short=short is not None and short.cut)
        if hours is not None:
            yield hours
        if short is None:
            yield from duty_words.listing(say, told.crops, mine, asked=False)
        else:
            yield from brief.listing(say, mine, short, asked=False, loads=True)
        if short is None or short.extras:
            yield from duty_words.picking(say, told.crops, mine)


def _cautions(told: Told, parts: Sequence[Part], short: Short | None) -> list[str]:
    found = [
        duty_words.caution(told.say, view.hazard, mine, short=short is not None, warned=told.warned)
        for view, mine in parts
    ]
    found += [duty_words.no_fire(told.say, view.hazard, mine, short=True) for view, mine in parts]
    return list(dict.fromkeys(one for one in found if one is not None))


def _by(told: Told, at: datetime) -> dict[str, str]:
    return {"time": told.say.clock(at), "day": told.say.near_day(told.say.local(at).date(), told.now)}
