"""Done, in words: what of it, what was taken, and the way back."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from bot.chat.html import bold, lines, safe
from bot.chat.tasks import duty_words
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.tasks.answers import Answer, Reply
from bot.services.tasks.completion import Reportable
from bot.services.warnings.views import TaskView, WarningView

Rows = list[list[Button]]
#: So many things to tick fit a phone and the platform's limit of buttons.
_TICKS_N = 30


def question(told: Told, shown: WarningView, may: Reportable, name: str | None) -> tuple[str, Rows]:
    """What is done? name: of whom it is asked, where it must be asked before everybody."""
    say = told.say
    mine = [duty for duty in shown.duties if duty.id in may.mine]
    others = [duty for duty in shown.duties if duty.id in may.every and duty.id not in may.mine]
    first = say.gettext("What is done?") if name is None else say.gettext("{name}, what is done?", name=safe(name, 40))
    text = lines([
        bold(first),
        say.gettext("I already know that yours is done, thank you.") if may.before and not mine else None,
        say.gettext("Your jobs:") if mine else None,
        *duty_words.listing(say, told.crops, mine, asked=False),
        say.gettext("Other people's jobs:") if mine and others else None,
        *duty_words.listing(say, told.crops, others, asked=False),
        say.gettext("I will note nothing until you tap."),
    ])  # fmt: skip
    own: list[Button] = [(say.gettext("My jobs"), f"done:{shown.id}:mine")] if mine else []
    return text, [
        [*own, (say.gettext("All jobs"), f"done:{shown.id}:all")],
        [(say.gettext("Let me choose jobs"), f"done:{shown.id}:which")],
    ]


def was_it_done(told: Told, shown: WarningView, mine: Sequence[TaskView]) -> tuple[str, Rows]:
    """The morning after, to whoever had said yes to what nobody has reported."""
    say = told.say
    text = lines([
        bold(say.gettext("Was it done?")),
        *duty_words.listing(say, told.crops, mine, asked=False),
        say.gettext("Either answer is fine. I will ask only once."),
    ])  # fmt: skip
    return text, [[(say.gettext("Done"), f"done:{shown.id}"), (say.gettext("Not done"), f"left:{shown.id}")]]


def ticks(told: Told, shown: WarningView, may: Reportable, given: Answer | None) -> tuple[str, Rows]:
    """A list to tick, each tap taken at once. given: what the last tap did."""
    say = told.say
    left = [duty for duty in shown.duties if duty.id in may.every]
    text = lines(
        [
            *(_noted(told, shown, given) if given is not None else []),
            bold(say.gettext("Tap what is done, one after the other.")) if left else None,
        ]
    )
    rows: Rows = [[(duty_words.label(say, duty), f"done:{shown.id}:t{duty.id}")] for duty in left[:_TICKS_N]]
    return text, [*rows, *_undo(say, shown, given)]


def taken(told: Told, shown: WarningView, given: Answer, whose: str) -> tuple[str, Rows]:
    """What was taken, with Undo; and of what wants several people, whether the whole of it is done.

    whose: what the two buttons of that question go on with, up to their last word.
    """
    say = told.say
    shared = _of(shown, given.shared)
    several = say.ngettext(
        "This job needs several people. Is all of it done?",
        "These jobs need several people. Is all of it done?",
        len(shared),
    )
    text = lines(
        [
            *_noted(told, shown, given),
            *([bold(several), *duty_words.listing(say, told.crops, shared, asked=False)] if shared else []),
        ]
    )
    rows: Rows = []
    if shared:
        rows = [[(say.gettext("All of this job"), f"{whose}whole"), (say.gettext("Only my part"), f"{whose}part")]]
    return text, [*rows, *_undo(say, shown, given)]


def taken_back(told: Told, shown: WarningView, given: Answer) -> str:
    """After Undo."""
    say, text = told.say, duty_words.reply(told.say, given.reply)
    return lines([text, *duty_words.listing(say, told.crops, _of(shown, given.task_ids), asked=False)])


def _noted(told: Told, shown: WarningView, given: Answer) -> list[str]:
    if given.reply is Reply.WHOLE:
        return []
    noted = duty_words.listing(told.say, told.crops, _of(shown, given.task_ids), asked=False)
    first = duty_words.reply(told.say, given.reply)
    return [first, *([told.say.gettext("Noted as done:")] if noted and given.reply is Reply.THANKS else []), *noted]


def _of(shown: WarningView, ids: Collection[int]) -> Sequence[TaskView]:
    return [duty for duty in shown.duties if duty.id in ids]


def _undo(say: Say, shown: WarningView, given: Answer | None) -> Rows:
    if given is None or given.report_ids is None:
        return []
    first, last = given.report_ids
    return [[(say.gettext("Undo"), f"done:{shown.id}:undo{first}-{last}")]]
