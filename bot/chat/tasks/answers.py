"""Yes, no and done, by button or by words: stored, thanked for, and shown to the group."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from datetime import datetime
from functools import partial

from bot.chat.garden.everyone import tell_everyone
from bot.chat.html import lines
from bot.chat.language.day import named_on as day_named
from bot.chat.language.topics import Things
from bot.chat.request import Request
from bot.chat.tasks import ask_words, daily, duty_words, reported_done, safely_home
from bot.chat.tasks import turns as duties_command
from bot.chat.warnings import lately
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Urgency
from bot.core.warnings.hazards import TaskKind
from bot.services.look import Look, look
from bot.services.tasks import answers, completion
from bot.services.tasks.answers import Answer, Reply
from bot.services.tasks.completion import Share
from bot.services.warnings.views import view
from bot.storage.models import Ask, Member, Task, Warning
from bot.storage.states import AskState
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

_NOTHING = Things()


async def accept(request: Request, warnings: Sequence[Warning], member: Member) -> None:
    """Yes to what the message asks for; under one to everybody, to the first thing that lacks somebody."""
    shown = await _shown(request)
    given = [await answers.accept(request.session, one, member, request.now, shown) for one in warnings]
    await _answered(request, warnings, member, given)


async def pass_on(request: Request, warnings: Sequence[Warning], member: Member) -> None:
    given = [await answers.pass_on(request.session, one, member, request.now) for one in warnings]
    await _answered(request, warnings, member, given)


async def _shown(request: Request) -> frozenset[int] | None:
    """What the message under which somebody pressed asked them for by name; None for any other message."""
    query = request.update.callback_query
    message = query.message if query is not None else None
    row = await said.at(request.session, message.chat.id, message.message_id) if message is not None else None
    about = row.payload.get("about") if row is not None else None
    return frozenset(about) if about else None


async def hands(request: Request, warning: Warning, member: Member) -> None:
    """One more person: the next person is asked by name at the next look, and the group hears of it at once."""
    given = await answers.hands(request.session, warning, member, request.now)
    await _answered(request, [warning], member, [given])
    garden = request.garden
    if garden is None or not given.task_ids:
        return
    outlook = await look(request.session, garden, request.source, request.now)
    shown = await view(request.session, warning, outlook)
    await tell_everyone(
        request.session,
        garden,
        f"hands:{warning.id}:{member.id}:{'-'.join(map(str, given.task_ids))[:80]}",
        lambda say: duty_words.hands(Told(say, outlook.crops, request.now), shown, member.person.name, given.task_ids),
        request.now,
        buttons=lambda say: [[(say.gettext("I'll do it"), f"yes:{warning.id}")]],
        urgency=Urgency.WARNING,
        expires_at=max(warning.due_at, request.now),
        repeatable=True,
    )


async def left(request: Request, warning: Warning, member: Member) -> None:
    """Not done, to "Was it done?": nobody but them hears of it."""
    given = await completion.left(request.session, warning, member)
    await request.change(duty_words.reply(request.say, given.reply))


async def yes(request: Request, about: Things, but: Things = _NOTHING) -> bool:
    """To what is asked, or of it to what the words name; what they leave out of theirs is asked of others. False where
    they name something else, or a later day.
    """
    open_ = await _open(request)
    left = frozenset(duty.id for _, duty in open_ if _fits(but, duty))
    named = _named(about, open_, whither=not but) if about else open_
    named = [one for one in named if one[1].id not in left]
    if open_ and (not named or _is_too_late(request, open_)):
        return False
    shown = frozenset(duty.id for _, duty in named) if about or but else None

    async def deed(one: Request, warning: Warning, member: Member) -> None:
        given = [await answers.accept(one.session, warning, member, one.now, shown)]
        if left:
            given.append(await answers.pass_on(one.session, warning, member, one.now, left))
        await _answered(one, [warning] * len(given), member, given)

    await _by_words(request, deed, "yes", named if about or but else ())
    return True


async def no(request: Request, about: Things) -> bool:
    """To all that is asked; False where the words name only some of it."""
    open_ = await _open(request)
    if 0 < sum(_fits(about, duty) for _, duty in open_) < len(open_):
        return False
    await _by_words(request, lambda one, warning, member: pass_on(one, [warning], member), "no")
    return True


async def done(request: Request, about: Things, *, whole: bool = False) -> None:
    """about: what the words name, so that nothing else of theirs is taken for done. whole: it was said that all of it is."""
    share = Share.WHOLE if whole else Share.UNSAID
    named = _named(about, await _open(request))
    await _by_words(request, partial(reported_done.by_words, about=about, share=share), "done", named)


async def unclear(request: Request, lead: str) -> None:
    """What is asked of them, once more, with its buttons, below a word on their answer."""
    await duties_command.show(request, lead)


async def still_open(request: Request) -> None:
    """What is left of what is theirs, where anything is, after a report that says that some is not done."""
    if request.private and await _open(request):
        await unclear(request, request.say.gettext("This is still open:"))


async def is_open(request: Request) -> bool:
    """Whether anything that they were asked for, or that is theirs by turns, waits for a word of theirs."""
    member = request.member
    if member is None:
        return False
    return (
        bool(await store.open_of_member(request.session, member.id))
        or await daily.soonest(request.session, member) is not None
    )


async def is_asked_only(request: Request, kind: TaskKind) -> bool:
    """Whether all that waits for a word of theirs is of one kind."""
    open_ = await _open(request)
    return bool(open_) and all(duty.kind is kind for _, duty in open_)


async def is_asked_any(request: Request, *kinds: TaskKind) -> bool:
    """Whether something of one of these kinds waits for a word of theirs."""
    return not (await asked_kinds(request)).isdisjoint(kinds)


async def asked_kinds(request: Request) -> frozenset[TaskKind]:
    """The kinds of all that waits for a word of theirs, by warnings and by turns."""
    walks = await daily.kinds(request.session, request.member) if request.member is not None else frozenset()
    return walks | {duty.kind for _, duty in await _open(request)}


async def is_theirs(request: Request, about: Things) -> bool:
    """Whether something that waits for a word of theirs is among what words name."""
    return bool(_named(about, await _open(request)))


async def open_n(request: Request) -> int:
    """Of how many things the soonest warning waits for a word of theirs."""
    open_ = await _open(request)
    return sum(duty.cause_id == open_[0][1].cause_id for _, duty in open_)


async def last_due_at(request: Request) -> datetime | None:
    """When the last of what waits for a word of theirs is due."""
    walk_at = await daily.soonest(request.session, request.member) if request.member is not None else None
    return max([*(duty.due_at for _, duty in await _open(request)), *filter(None, [walk_at])], default=None)


async def need(request: Request) -> bool:
    """One more person for what they have agreed to; False where they have agreed to nothing of what is open."""
    agreed = any(ask.state is AskState.ACCEPTED for ask, _ in await _open(request))
    if not agreed and await is_open(request):
        return False
    await _by_words(request, hands)
    return True


async def _by_words(
    request: Request,
    deed: Callable[[Request, Warning, Member], Awaitable[None]],
    verb: str | None = None,
    named: Sequence[tuple[Ask, Task]] = (),
) -> None:
    """The words are about the soonest thing that this member was asked for, or that is theirs by turns; about what they
    name before anything else.

    verb: what they mean to a walk by turns; None where they mean nothing to it. named: what of theirs they name.
    """
    member = request.member
    open_ = named or await _open(request)
    warning = await store.by_id(request.session, open_[0][1].cause_id) if open_ else None
    walk_at = await daily.soonest(request.session, member) if member and verb else None
    is_walk = walk_at is not None and not named and (not open_ or walk_at < open_[0][1].due_at)
    if member is not None and verb is not None and is_walk:
        await daily.by_words(request, member, verb)
        return
    if member is None or warning is None:
        if await safely_home.unclear(request):  # of somebody who is waited for, no word is lost
            return
        await request.reply(request.say.gettext("There is nothing open that I asked you for. Thank you!"))
        return
    await deed(request, warning, member)


async def _open(request: Request) -> list[tuple[Ask, Task]]:
    member = request.member
    return await store.open_of_member(request.session, member.id) if member else []


def _is_too_late(request: Request, open_: Sequence[tuple[Ask, Task]]) -> bool:
    """Whether they name a day on which all of it is over: "yes, but tomorrow"."""
    say = request.say
    named_on = day_named(request.text, say, say.local(request.now).date())
    return named_on is not None and named_on > max(say.local(duty.due_at).date() for _, duty in open_)


def _named(about: Things, open_: Sequence[tuple[Ask, Task]], *, whither: bool = True) -> list[tuple[Ask, Task]]:
    """What of it the words name; whither: or only say where it is carried to."""
    fits = [one for one in open_ if _fits(about, one[1])]
    return fits or [one for one in open_ if whither and about.says_whither(one[1].kind)]


def _fits(about: Things, duty: Task) -> bool:
    return about.fit(duty.crops.split(), (duty.place_id, duty.target_place_id))


async def _answered(request: Request, warnings: Sequence[Warning], member: Member, given: Sequence[Answer]) -> None:
    """Tell the person privately how it was taken, and the group by its standing message."""
    assert request.garden is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = [await view(request.session, one, outlook) for one in warnings]
    text = lines(dict.fromkeys(duty_words.reply(request.say, one.reply) for one in _plain(given)))
    taken = [
        one
        for one, answer in zip(shown, given, strict=True)
        if answer.reply in (Reply.THANKS, Reply.ALREADY) and one.open_duties_of(member.id)
    ]
    if taken:
        told = await _told(request, outlook)
        whole = ask_words.is_whole(told, taken, member.id, [text])
        rows = keyboards.taken(request.say, [one.id for one in taken], whole=whole)
        await _say(request, ask_words.yours(told, taken, member.id, above=[text]), rows)
    else:
        await request.whisper(text)
    for warning, answer in zip(warnings, given, strict=True):
        if answer.task_ids:
            await refresh_standing(request.session, request.garden, outlook, warning, request.now)


async def _told(request: Request, outlook: Look) -> Told:
    """What comes in place of the question says again what that said."""
    told, user = Told(request.say, outlook.crops, request.now), request.update.effective_user
    query = request.update.callback_query
    message = query.message if query is not None else None
    asked = await said.at(request.session, message.chat.id, message.message_id) if message is not None else None
    if user is None:
        return told
    return await lately.reader(request.session, told, user.id, asked.id if asked is not None else None)


def _plain(given: Sequence[Answer]) -> Sequence[Answer]:
    """Where something of a message is taken, it is no matter that the rest of it was before."""
    changed = [one for one in given if one.task_ids]
    return changed or given


async def _say(request: Request, text: str, rows: keyboards.Rows) -> None:
    """In the place of what was asked privately, so that no old button stays there; else as a new message."""
    if request.private and request.update.callback_query is not None:
        await request.change(text, rows)
    else:
        await request.whisper(text, rows)
