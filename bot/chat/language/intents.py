"""Free text: what somebody wants who writes without a command.

What is sent without words: a picture, a voice message, a sticker.
"""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from dataclasses import replace

from bot.chat import help, presses, questions, rights
from bot.chat import question_words as wording
from bot.chat.garden import places, setup_dialogue, unheard
from bot.chat.growing import outdoors, signs, week
from bot.chat.journal import note
from bot.chat.language import note_answers, replies, typed, waiting
from bot.chat.language.cries import fire
from bot.chat.language.known import Known
from bot.chat.language.openings import begins_question
from bot.chat.language.replies import Reply
from bot.chat.language.statements import Half, half_said
from bot.chat.language.tokens import QUESTION_MARKS, is_question, tokens
from bot.chat.language.topic_names import Topic
from bot.chat.language.topics import ASKED, BESIDE, Things, Wanted, nearest, things_in, wanted
from bot.chat.people import away, helpers, start
from bot.chat.request import Request
from bot.chat.tasks import answers, safely_home, told_done
from bot.chat.warnings import calloff
from bot.chat.weather import nights
from bot.chat.wire.message import Button, Urgency, post
from bot.core.finding import TaskKind
from bot.core.garden.snapshot import Role
from bot.crops.find import fold
from bot.i18n import Say
from bot.services.look import look
from bot.storage.wire import said


async def answer_wordless(request: Request) -> None:
    """Say once, privately, what can be read instead; an album comes as many messages, and is one thing."""
    message = request.update.message
    if not request.private or message is None or message.location is not None:
        return
    if message.sticker is not None:
        text = request.say.gettext("I only read words. /help shows what you can ask me.")
    elif message.photo or message.video is not None:
        text = request.say.gettext(
            "I can't see pictures. Send it again with a line such as “lost 2 lettuces in Pot 5”. Then I note that."
        )
    else:
        text = request.say.gettext("I can only read words, not listen. Please write it in a sentence or two.")
    what = message.media_group_id or request.update.update_id
    await post(
        request.session,
        key=f"wordless:{message.chat.id}:{what}",
        chat_id=message.chat.id,
        text=text,
        now=request.now,
        urgency=Urgency.REPLY,
        garden_id=request.garden.id if request.garden else None,
    )


#: The longest message that is read but for reports; nobody asks for their week in more.
READ_N = 1000

#: The longest message of others' talk in which a report is looked for.
OVERHEARD_N = 200

Intent = Callable[[Request], Awaitable[None]]


async def answer(request: Request) -> None:
    """What is meant for the bot is answered: a question's answer, a report, a dialogue, then what is wanted. In a group
    everything else is other people's talk: nothing changes and nothing is said.
    """
    text = request.text
    if await safely_home.heard(request):  # to whomever it was said
        return
    # Said to whomever, and whatever else the message is: a heater in a closed house can kill by the morning.
    burning = fire(text[:READ_N], request.say, to_us=request.addressed)
    if burning:
        await request.reply(signs.heat(request.say))
        await request.reply(signs.heat_instead(request.say))
    if not request.addressed:
        await _overheard(request)
        return
    if not text:
        if not await setup_dialogue.heard(request) and not await safely_home.unclear(request):
            await answer_wordless(request)
        return
    if len(text) > READ_N:
        if await note.note(request, await waiting.of(request)) or burning:
            return
        if request.private and not await safely_home.unclear(request):
            await request.reply(request.say.gettext("That was too long for me. Please write it in a sentence or two."))
        return
    if await _looked(request) or await typed.pressed(request):
        return
    asked = await waiting.of(request)
    if request.garden is None and request.choices and asked is None:
        await rights.choose(request)
        return
    if await note.note(request, asked):
        if await answers.is_open(request) and await told_done.is_told_first(request):
            await answers.done(request, Things())
        return
    if burning:
        return
    if await setup_dialogue.heard(request) or await calloff.reason(request) or await typed.meant(request):
        return
    await _intended(request)


async def _overheard(request: Request) -> None:
    """Other people's talk: only where organisers have asked for it, a plain report of what is ours is taken."""
    garden = request.garden
    if garden is None or not garden.hears_reports or request.member is None or request.answered_id is not None:
        return
    if len(request.text) <= OVERHEARD_N and not is_question(request.text):
        await note.overheard(request)


async def _intended(request: Request) -> None:
    """An answer to what they were asked for, a question, a word in passing; else what it may have meant."""
    given = replies.reply(request.say, request.text)
    replied = request.answered_id is not None and not request.private
    if replied and given is not None and replies.is_only(request.say, request.text):
        await _about_that(request, given)
        return
    known = await _known(request)
    others = known.others(request.own_name)
    given = given or _to_another(request, others)
    if given in _FOR_ANOTHER and await _of_another(request, _FOR_ANOTHER[given]):
        return
    want = wanted(request.text, request.say, replace(known, people=others))
    if given is Reply.YES and replies.is_of_others(request.say, request.text, others):
        given = Reply.UNSURE
    if given in (Reply.YES, Reply.NO) and replies.is_lost_in_words(request.say, request.text):
        given = Reply.UNSURE
    asked = is_question(request.text) or begins_question(fold(request.text).split(), request.say.language)
    told = replies.opens(request.say, request.text) or (given in _TOLD and not asked)
    asks = want is not None and want.topic in ASKED and not told
    plain = given is not None and replies.is_only(request.say, request.text)
    # Of somebody who is waited for, no word is lost that is not plainly about something else.
    if not asks and not plain and await safely_home.unclear(request):
        return
    is_open = await answers.is_open(request)
    if is_open and want is not None and want.topic in BESIDE and request.member is not None:
        await _beside_an_answer(request, want, given)
    elif (
        given in (Reply.YES, Reply.UNSURE)
        and is_open
        and want is not None
        and want.topic in _OF_CROPS
        and is_question(request.text)
    ):
        await questions.answer(request, want)  # "ok, sow some more then?"
        await _unsure(request)
    elif given is Reply.LATER and is_open and want is not None and want.topic is Topic.REMIND:
        await questions.answer(request, want)  # "remind me in half an hour"
        await _later(request)
    elif given is not None and not asks and is_open:
        await _ANSWERS[given](request)
    elif want is not None and want.topic is Topic.SORRY and await _is_put_right(request, is_open=is_open):
        pass  # "sorry, bed 3"
    elif want is not None and request.member is not None and not (is_open and want.topic in _EXCUSES):
        await questions.answer(request, want)
    elif want is not None and want.topic in _OF_ANYBODY:
        await _OF_ANYBODY[want.topic](request)
    elif await safely_home.unclear(request) or await _describes(request):
        pass
    elif is_open and request.private and await told_done.is_told(request, known):
        await _done(request)
    elif is_open and request.private and told_done.leaves_out(request, known):
        await _part(request)
    elif is_open and request.private and request.member is not None:
        await _unsure(request)
    elif request.member is not None and (half := half_said(request.text, request.say, known)) is not None:
        await request.reply(_why_no_note(request.say, half))
    elif given is not None and plain:
        await _ANSWERS[given](request)
    elif request.member is not None and (
        await note.corrected(request, said_so=False) or await note.note(request, guess=True)
    ):
        pass
    elif request.private and request.member is None:
        await start.answer(request)  # which says how to come in
    elif (
        given not in _NOT_AWAY
        and not things_in(request.text, request.say, known)
        and await away.guessed(request, others)
    ):
        pass
    else:
        await _not_understood(request)


async def _is_put_right(request: Request, *, is_open: bool) -> bool:
    """Whether "sorry" puts the last record right; to whoever was asked for something, only with a number."""
    number = any(token.value is not None for token in tokens(request.text))
    return (number or not is_open) and await note.corrected(request, said_so=False)


async def _looked(request: Request) -> bool:
    if not await told_done.is_unharmed(request):
        return False
    await _done(request)
    return True


async def _beside_an_answer(request: Request, want: Wanted, given: Reply | None) -> None:
    """What is told while an answer of theirs is waited for: no word of it is lost, and it is an answer only where it
    begins as one, or rules the work out.
    """
    if want.topic is Topic.LIFTING:
        carried = await answers.is_asked_any(request, TaskKind.BRING_IN, TaskKind.PUT_BACK)
        _, but = told_done.taken_up(request, await _known(request))
        answers_it = given is Reply.NO and (carried or replies.refuses(request.say, request.text))
        # "I can do pot 1 but not pot 2, it's too heavy", "can't lift it on my own, need a hand"
        answers_it = answers_it or (given is Reply.YES and bool(but)) or given is Reply.HANDS
    else:
        answers_it = given is not None and replies.opens(request.say, request.text)
    if given is not None and answers_it:
        await _ANSWERS[given](request)
    await questions.answer(request, want)


def _to_another(request: Request, people: frozenset[str]) -> Reply | None:
    """ "Ask Kasia" is a no, as "ask somebody else" is."""
    words = fold(request.text).split()
    if request.text.endswith(QUESTION_MARKS) or not replies.is_of_others(request.say, request.text, people):
        return None
    said = replies.reply(request.say, " ".join("someone" if word in people else word for word in words))
    return said if said is Reply.NO else None


async def _of_another(request: Request, deed: str) -> bool:
    """ "Edith says yes", from Edith's named helper: as their button."""
    member = request.member
    if not request.private or member is None or request.text.endswith(QUESTION_MARKS):
        return False
    helped = await helpers.named_in(request, member)
    if helped is None or not replies.is_of_others(
        request.say, request.text, frozenset(fold(helped.person.name).split())
    ):
        return False
    return await helpers.by_words(request, helped, deed)


def _why_no_note(say: Say, half: Half) -> str:
    if half is Half.NOT_SO:
        return say.gettext("I noted nothing: that sounds as if it is not done, or not here. Tell me when it is.")
    return say.gettext("What was that done to? Write it with the plant or the place, for example: watered bed 1")


async def _known(request: Request) -> Known:
    """What a message may name; nothing, to somebody who is no member."""
    if request.garden is None or request.member is None:
        return Known({}, {}, (), {}, {})
    return await note.known_of(request, await look(request.session, request.garden, request.source, request.now))


async def _not_understood(request: Request) -> None:
    """With the two nearest things that it may have meant; of an answer that fits no question, what to do."""
    if choices := await note_answers.buttons(request):
        text = request.say.gettext("I did not get that answer. Tap the nearest one, or Never mind.")
        await request.reply(text, choices)
        return
    await unheard.note(request)
    buttons: list[Button] = [
        (wording.label(request.say, topic), f"ask:{topic.name.lower()}") for topic in nearest(request.text, request.say)
    ]
    if buttons and request.private:
        text = request.say.gettext(
            "I did not understand that. Did you mean one of these? /help shows what you can ask me."
        )
        await request.reply(text, [buttons])
    else:
        await request.reply(request.say.gettext("I did not understand that. /help shows what you can ask me."))


async def _about_that(request: Request, given: Reply) -> None:
    """In a group an answer is about the message that it replies to, and about nothing else."""
    chat = request.update.effective_chat
    row = await said.at(request.session, chat.id, request.answered_id) if chat and request.answered_id else None
    warning = re.match(r"warning:([0-9]{1,9}):", row.key) if row is not None else None
    if warning is not None and given in _VERBS:
        await presses.press(request, f"{_VERBS[given]}:{warning[1]}")
    else:
        await request.reply(
            request.say.gettext("I asked for nothing there, so nothing changes. /turns shows what is yours.")
        )


async def _describes(request: Request) -> bool:
    """Whether an organiser says what there is, "12 pots in the yard, 30 litres", which is then shown before it is kept."""
    garden, member = request.garden, request.member
    if not request.private or garden is None or member is None or request.text.endswith(QUESTION_MARKS):
        return False
    return member.role is Role.ORGANISER and await places.propose(request, garden, member.person, request.text)


async def _part(request: Request) -> None:
    await answers.unclear(request, request.say.gettext("Some of it is done, I think. What is?"))


async def _later(request: Request) -> None:
    await answers.unclear(request, request.say.gettext("All right, it stays open. Please say yes or no in time."))


async def _conditional(request: Request) -> None:
    await answers.unclear(
        request,
        request.say.gettext(
            "With an “if” it stays open. Please tap when you know. After your yes you can ask for one more person."
        ),
    )


async def _hands(request: Request) -> None:
    if not await answers.need(request):
        say = request.say
        more = say.gettext("One more person")
        text = say.gettext("First tap “{yes}”. Then you can tap “{more}”.", yes=say.gettext("I'll do it"), more=more)
        await answers.unclear(request, text)


async def _unsure(request: Request) -> None:
    await answers.unclear(request, request.say.gettext("I am not sure what that means for this. Please tap:"))


async def _yes(request: Request) -> None:
    elsewhen = await answers.is_open(request) and await told_done.is_for_another_day(request)
    if elsewhen or not await answers.yes(request, *told_done.taken_up(request, await _known(request))):
        await _unsure(request)


async def _no(request: Request) -> None:
    if replies.counts_otherwise(request.say, request.text):
        if not await note.corrected(request, said_so=False):
            await _unsure(request)
    elif not await answers.no(request, await _things(request)):
        await _unsure(request)


async def _done(request: Request) -> None:
    """ "Locked up" is no Done of what has nothing to be locked."""
    only_houses = replies.tells_only_of_houses(request.say, request.text)
    if only_houses and await answers.is_open(request) and not await answers.is_asked_any(request, *_OF_HOUSES):
        await _unsure(request)
        return
    known = await _known(request)
    about, but = told_done.taken_up(request, known)
    if but or await told_done.counts_some(request, known):  # "watered the bed, not the greenhouse"
        await _part(request)
        return
    await answers.done(request, about, whole=replies.says_all(request.say, request.text))


async def _things(request: Request) -> Things:
    return things_in(request.text, request.say, await _known(request))


_ANSWERS: dict[Reply, Intent] = {
    Reply.YES: _yes,
    Reply.NO: _no,
    Reply.DONE: _done,
    Reply.HANDS: _hands,
    Reply.PART: _part,
    Reply.LATER: _later,
    Reply.UNSURE: _unsure,
    Reply.IF: _conditional,
}
#: Work after which somebody says that it is open, or shut.
_OF_HOUSES = (TaskKind.VENT, TaskKind.CLOSE)
_OF_CROPS = (Topic.SOW, Topic.SOW_NOW, Topic.DEPTH, Topic.SPACING, Topic.FIT, Topic.FEED, Topic.READY, Topic.KEEP)
#: No question is read into these: "I will do, no need to ask who else can".
_TOLD = (Reply.YES, Reply.NO, Reply.DONE)
_NOT_AWAY = (Reply.DONE, Reply.PART, Reply.HANDS, Reply.IF)
_FOR_ANOTHER = {Reply.YES: "yes", Reply.NO: "no", Reply.DONE: "done"}
#: The buttons under a warning that the words stand for.
_VERBS = {Reply.YES: "yes", Reply.NO: "no", Reply.DONE: "done", Reply.HANDS: "hands"}
#: Said instead of an answer, and none by itself.
_EXCUSES = frozenset({Topic.SORRY, Topic.AWAY, Topic.SWAP})
#: What is answered to somebody who is no member.
_OF_ANYBODY: dict[Topic, Intent] = {
    Topic.HELP: help.answer,
    Topic.WEEK: week.answer,
    Topic.OUT: outdoors.answer,
    Topic.FROST: nights.answer,
    Topic.WEATHER: nights.answer,
}
