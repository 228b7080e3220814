"""Words for a named helper: what to pass on to a member without the app, and the buttons that bring back the answer."""

from __future__ import annotations

from collections.abc import Iterable

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.tasks import duty_words
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.people.proxy import Naming
from bot.services.warnings.events import ToMember, What
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.models import Member

Rows = list[list[Button]]


def message(told: Told, event: ToMember, member: Member) -> tuple[str, Rows]:
    """What the helper is asked to pass on, by why it is said."""
    say, shown, name = told.say, event.view, safe(member.person.name, 40)
    if event.what is What.THANKS:
        first = say.gettext("Please thank {name} from all of us:", name=name)
        return lines([bold(first), *duty_words.listing(say, told.crops, event.duties, asked=False)]), []
    if event.what is What.RELEASED:
        first = say.gettext("Please tell {name}: they do not need to come for this any more. Thank you!", name=name)
        return lines(
            [bold(first), _when(say, shown), *duty_words.listing(say, told.crops, event.duties, asked=False)]
        ), []
    if event.what is What.PASSED_BY:
        first = say.gettext("I have no answer from {name} yet, so I ask the next person.", name=name)
        then = say.gettext("If you have asked them, please tell them that they do not need to come. Thank you!")
        return lines([bold(first), *duty_words.listing(say, told.crops, event.duties, asked=False), then]), []
    if event.what is What.EARLIER and not shown.unanswered_by(member.id):
        return taken(told, shown, member, earlier=True)
    return _ask(told, shown, member, event.what), answers(say, shown.id, member.id)


def _ask(told: Told, shown: WarningView, member: Member, what: What) -> str:
    say = told.say
    mine = shown.unanswered_by(member.id)
    words = _by(told, shown, mine) | {"name": safe(member.person.name, 40)}
    first = {
        What.REMIND: say.gettext("Have you reached {name}? Can they help by {time}, {day}?"),
        What.EARLIER: say.gettext("We need it earlier than I said: can {name} help by {time}, {day}?"),
    }.get(what, say.gettext("Please ask {name} for me: can they help by {time}, {day}?"))
    return lines([
        bold(say.fill(first, **words)),
        *duty_words.listing(say, told.crops, mine, asked=False),
        say.ngettext("About {n} minute.", "About {n} minutes.", sum(duty.minutes for duty in mine)),
        duty_words.with_you(say, mine, member.id),
        duty_words.caution(say, shown.hazard, mine),
        say.gettext("Until you tell me that they said yes, I count on nobody. If they can't come, that is fine."),
    ])  # fmt: skip


def taken(told: Told, shown: WarningView, member: Member, *, earlier: bool = False) -> tuple[str, Rows]:
    """After their yes: what it is, to be passed on, and the way to report it done."""
    say, mine = told.say, shown.open_duties_of(member.id)
    words = _by(told, shown, mine) | {"name": safe(member.person.name, 40)}
    if earlier:
        first = say.gettext("Please tell {name}: we need it earlier than I said, by {time}, {day}.", **words)
    else:
        first = say.gettext("{name} does it, by {time}, {day}:", **words)
    number = f"helped:{shown.id}:{member.id}"
    buttons: Rows = [
        [(say.gettext("Done"), f"{number}:done"), (say.gettext("Now they can't come"), f"{number}:no")],
        [(say.gettext("Why"), f"why:{shown.id}")],
    ]
    return lines([
        bold(first),
        *duty_words.listing(say, told.crops, mine, asked=False),
        duty_words.with_you(say, mine, member.id),
        duty_words.caution(say, shown.hazard, mine),
    ]), buttons  # fmt: skip


def theirs(told: Told, shown: WarningView, member: Member) -> tuple[str, Rows]:
    """What this member is on, as their helper sees it among their own turns."""
    if shown.unanswered_by(member.id):
        return _ask(told, shown, member, What.ASK), answers(told.say, shown.id, member.id)
    return taken(told, shown, member)


def told(say: Say, name: str) -> str:
    """After "Told"."""
    return say.gettext("Thank you. Please tap here when {name} has answered.", name=safe(name, 40))


def answers(say: Say, warning_id: int, member_id: int, *, told: bool = False) -> Rows:
    number = f"helped:{warning_id}:{member_id}"
    first: list[list[Button]] = [] if told else [[(say.gettext("I have told them"), f"{number}:told")]]
    yes: list[Button] = [(say.gettext("They said yes"), f"{number}:yes"), (say.gettext("They said no"), f"{number}:no")]
    return [*first, yes, [(say.gettext("Why"), f"why:{warning_id}")]]


def question(say: Say, garden: str, member: Member) -> tuple[str, Rows]:
    """Somebody has been named as a helper, and is asked whether they would."""
    text = lines([
        bold(
            say.gettext(
                "Would you help {name}, who has no app, in {garden}?",
                name=safe(member.person.name, 40), garden=safe(garden, 60),
            )
        ),
        say.gettext("I would write to you, at least a day before. You ask them, and tap their answer here."),
        say.gettext("No answer means no. You can stop at any time."),
    ])  # fmt: skip
    yes: Button = (say.gettext("Yes, I will help"), f"helps:{member.id}:yes")
    return text, [[yes, (say.gettext("No, thank you"), f"helps:{member.id}:no")]]


def agreed(say: Say, member: Member, *, yes: bool) -> str:
    name = safe(member.person.name, 40)
    if yes:
        return say.gettext("Thank you! From now on I ask {name} through you. To stop, tell an organiser.", name=name)
    return say.gettext("All right. I ask the organisers to find a new helper for {name}.", name=name)


def naming(say: Say, given: Naming, helper: Member | None) -> str:
    name = safe(helper.person.name, 40) if helper is not None else ""
    return {
        Naming.ASKED: say.gettext("I am asking {name} if they want to.", name=name),
        Naming.ALREADY: say.gettext("It is like that already."),
        Naming.HAS_APP: say.gettext("I can write to them myself, so they need no helper."),
        Naming.UNREACHABLE: say.gettext("A helper must be an adult whom I can write to."),
        Naming.NONE: say.gettext("Nobody helps them now, so I do not ask them for anything."),
    }[given]


def choices(say: Say, member: Member, able: Iterable[Member]) -> tuple[str, Rows]:
    """Who could help this member."""
    text = say.gettext(
        "Who can ask {name} for me? Choose somebody who often sees or phones them.",
        name=bold(safe(member.person.name, 40)),
    )
    keys: list[Button] = [(one.person.name[:20], f"who:{member.id}:by{one.id}") for one in able][:24]
    rows = [keys[n : n + 2] for n in range(0, len(keys), 2)]
    nobody: list[Button] = [
        (say.gettext("No helper"), f"who:{member.id}:by0"), (say.gettext("Back"), f"who:{member.id}:card"),
    ]  # fmt: skip
    return text, [*rows, nobody]


def _when(say: Say, shown: WarningView) -> str:
    return say.gettext("{hazard}, {day}", hazard=names.hazard(say, shown.hazard), day=say.day(shown.window_on))


def _by(told: Told, shown: WarningView, mine: Iterable[TaskView]) -> dict[str, str]:
    due_at = min((duty.due_at for duty in mine), default=shown.due_at)
    return {"time": told.say.clock(due_at), "day": told.say.near_day(told.say.local(due_at).date(), told.now)}
