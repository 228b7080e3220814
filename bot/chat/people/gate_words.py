"""Words at the gate: who has come, who they may be on the list, codes, and which group is a garden's."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, mention, safe
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.people import codes
from bot.services.people.codes import Code
from bot.storage.models import Garden, Knock, Member

Rows = list[list[Button]]
Asked = tuple[str, Rows]
#: Names that a question offers.
NAMES_N = 4


def knocked(say: Say, garden: str, knock: Knock, member: Member, likely: Sequence[Member]) -> Asked:
    """To an organiser. likely: who on the list may be meant; of no use for somebody who was removed."""
    who, where = _account(knock, member), safe(garden, 60)
    number = f"knock:{member.id}"
    if member.removed_at is not None:
        text = lines([
            bold(say.gettext("{name} would like to come back to {garden}.", name=who, garden=where)),
            say.gettext("They were removed from the list on {day}.", day=say.day(say.local(member.removed_at).date())),
        ])  # fmt: skip
        return text, [[(say.gettext("Let them in"), f"{number}:in"), (say.gettext("No"), f"{number}:no")]]
    offered = likely[:NAMES_N]
    text = lines([
        bold(say.gettext("{name} has joined {garden}. Are they on the list already?", name=who, garden=where)),
        *(_place(say, one) for one in offered),
        say.gettext("If they are, they get all that belongs to that name: wishes, plots, keys. Anybody can "
                    "use a name, so ask them yourself if you are not sure. Until you answer, they are a new "
                    "member."),
    ])  # fmt: skip
    rows: Rows = [[(one.person.name[:20], f"{number}:{one.id}")] for one in offered]
    return text, [*rows, [(say.gettext("Somebody new"), f"{number}:no")]]


def _account(knock: Knock, member: Member) -> str:
    """The account as the group sees it, to be opened by a tap, with its user name."""
    name = mention(knock.shown, member.person.user_id) if member.person.user_id is not None else safe(knock.shown, 40)
    return name if not member.person.username else f"{name} ({safe(member.person.username, 40)})"


def _place(say: Say, member: Member) -> str:
    name = safe(member.person.name, 40)
    if member.role is Role.ORGANISER:
        return say.gettext("• {name}: organiser, with all the rights of that role", name=name)
    return say.gettext("• {name}: member", name=name)


def sure_of_place(say: Say, garden: str, knock: Knock, member: Member, place: Member) -> Asked:
    """Asked before an account gets an organiser's place."""
    text = lines([
        bold(
            say.gettext(
                "Do you want to make {account} an organiser of {garden}?",
                account=_account(knock, member),
                garden=safe(garden, 60),
            )
        ),
        say.gettext(
            "{name} is an organiser on the list. This account could then do a lot: see and change who is in "
            "the garden, get all the data as files, and call people to the garden. Have you asked {name} "
            "yourself, face to face or by phone?",
            name=safe(place.person.name, 40),
        ),
    ])  # fmt: skip
    number = f"knock:{member.id}"
    yes: Button = (say.gettext("Yes, it is them"), f"{number}:{place.id}:sure")
    return text, [[yes, (say.gettext("Not yet"), f"{number}:later")]]


def agreed(say: Say, garden: str, name: str, role: Role) -> str:
    """To the newcomer, and in other words what an organiser is answered: who they are from now on."""
    return lines([
        bold(say.gettext("You are {name} on the list of {garden}.", name=safe(name, 40), garden=safe(garden, 60))),
        say.gettext("All that belongs to {name} is yours now: wishes, plots, keys. /me shows it.", name=safe(name, 40)),
        say.gettext("You are an organiser. /help shows what you can do.") if role is Role.ORGANISER else None,
    ])  # fmt: skip


def somebody_new(say: Say, garden: str) -> str:
    return say.gettext("The organisers of {garden} have put you on the list as a new member.", garden=safe(garden, 60))


def back_again(say: Say, garden: str) -> str:
    return say.gettext("An organiser has let you in again: welcome back to {garden}!", garden=safe(garden, 60))


def refused(say: Say, garden: str) -> str:
    return say.gettext(
        "The organisers of {garden} do not want to change this. If that is a mistake, please talk to one of them.",
        garden=safe(garden, 60),
    )


def wait_outside(say: Say, name: str, *, asked: bool) -> str:
    """To somebody who was removed. asked: whether there is an organiser whom the bot could ask."""
    if asked:
        return say.gettext("{name}, an organiser has to let you in first. I have asked them.", name=safe(name, 40))
    return say.gettext("{name}, an organiser has to let you in first. Please ask one.", name=safe(name, 40))


# -- codes


def sure_of_code(say: Say, member: Member) -> Asked:
    """Asked before a code for an organiser's place is made."""
    text = say.gettext(
        "{name} is an organiser on the list. With the code, anybody could do a lot: see and change who is in "
        "the garden, get all the data as files, and call people to the garden. Make a code?",
        name=bold(safe(member.person.name, 40)),
    )
    yes: Button = (say.gettext("Yes, make a code"), f"who:{member.id}:coded")
    return text, [[yes, (say.gettext("No"), f"who:{member.id}:card")]]


def code(say: Say, made: Code) -> str:
    """To the organiser who gives it to somebody."""
    name = safe(made.member_name or "", 40)
    return lines([
        bold(say.gettext("A code for {name}. Give it to them yourself, and to nobody else.", name=name)),
        say.gettext("They must send me this privately: {message}", message=f"<code>/start {made.text}</code>"),
        say.gettext(
            "The person who sends it becomes {name} on the list, with all that belongs to that name. It works "
            "once, until {day}, {time}. In a group it stops working at once. When you make a new code, the "
            "old one stops working.",
            name=name, day=say.day(say.local(made.until).date()), time=say.clock(made.until),
        ),
    ])  # fmt: skip


def claimed(say: Say, garden: Garden) -> str:
    """To whoever has become an organiser by a code."""
    return lines([
        bold(say.gettext("You are now an organiser of {garden}.", garden=safe(garden.name))),
        say.gettext("This role is only for adults. If you are not an adult, please give it to somebody else: "
                    "/members"),
        say.gettext("Next: add me to your group chat. Then I ask you here if it is your garden's group.")
        if garden.chat_id is None
        else None,
        say.gettext("Make me an administrator of that group. Then I can pin the calendar and see who has left."),
    ])  # fmt: skip


def code_used(say: Say, garden: str, shown: str, place: str | None) -> str:
    """To the other organisers."""
    account, where = safe(shown, 40), safe(garden, 60)
    if place is None:
        return say.gettext(
            "{account} now looks after {garden} as an organiser. They got a code from the person who runs me. "
            "Is that wrong? /members",
            account=account, garden=where,
        )  # fmt: skip
    return say.gettext(
        "{account} has sent the code for {name} and is now {name} on the list of {garden}. Is that wrong? /members",
        account=account, name=safe(place, 40), garden=where,
    )  # fmt: skip


def no_code(say: Say) -> str:
    return say.ngettext(
        "I do not know this code. A code works once, and for {n} day. Please ask the person who gave it to "
        "you for a new one.",
        "I do not know this code. A code works once, and for {n} days. Please ask the person who gave it to "
        "you for a new one.",
        codes.HOLDS_FOR.days,
    )


def too_many(say: Say, minutes: int) -> str:
    return say.ngettext(
        "Some of your codes were wrong. To stop people who guess, I wait. Please try again in {n} minute.",
        "Some of your codes were wrong. To stop people who guess, I wait. Please try again in {n} minutes.",
        minutes,
    )


def code_seen(say: Say, *, organised: bool) -> str:
    """In the group where a code was posted. organised: whether an organiser can make a new one in the chat."""
    if organised:
        return say.gettext(
            "Others can read that code here, so it no longer works. An organiser can give you a new one."
        )
    return say.gettext(
        "Others can read that code here, so it no longer works. The person who runs me can make a new one: "
        "gatepost code"
    )


def code_posted(say: Say, garden: str, place: Member | None) -> Asked:
    """To the organisers."""
    if place is None:
        return say.gettext(
            "A code for a new organiser of {garden} is in a group chat now. Others can read it there, so it "
            "no longer works. The person who runs me can make a new one: gatepost code",
            garden=safe(garden, 60),
        ), []  # fmt: skip
    return say.gettext(
        "Somebody posted the code for {name} in a group. Others can read it there, so it no longer works. Do "
        "you want a new one?",
        name=safe(place.person.name, 40),
    ), [[(say.gettext("Make a new code"), f"who:{place.id}:code")]]  # fmt: skip


# -- groups


def bind_question(say: Say, title: str, own: Sequence[Garden], chat_id: int) -> Asked:
    """To an organiser who has added the bot to a group."""
    text = lines([
        bold(say.gettext("You have added me to the group “{group}”. Is it your garden's?", group=safe(title, 60))),
        say.gettext("If it is, I send warnings and ask for help there. Everybody in the group can read that "
                    "and tap Join."),
    ])  # fmt: skip
    rows: Rows = [[(one.name[:40], f"bind:{one.id}:{chat_id}")] for one in own]
    return text, [*rows, [(say.gettext("No"), "bind:no")]]
