"""Members as organisers see them: roles, who can be reached; no more than they need."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bot.chat.html import bold, lines, safe
from bot.chat.screen import within
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.people.membership import Reply, reachable
from bot.services.people.parting import Left, OnCallWeek
from bot.storage.models import Member

#: By member: who is named to help them, and whether that helper has agreed.
Helpers = Mapping[int, tuple[Member, bool]]

#: Names on a page at most.
_PAGE_N = 9


def listing(
    say: Say, garden_id: int, members: Sequence[Member], helpers: Helpers, start: int
) -> tuple[str, list[list[Button]]]:
    """The members from number start+1 on, as many as a phone shows at once, and a button for each."""
    text, shown_n = within(
        [bold(say.ngettext("{n} member:", "{n} members:", len(members)))],
        [_line(say, one, helpers) for one in members[start : start + _PAGE_N]],
        lambda shown_n: [say.gettext("Tap a name to change it. To add somebody without the app: /members add Edith")],
    )
    return text, _listing_buttons(say, garden_id, members, start, start + shown_n)


def _line(say: Say, member: Member, helpers: Helpers) -> str:
    about = [_role(say, member)]
    if not member.adult:
        about.append(say.gettext("not adult"))
    helper, agreed = helpers.get(member.id, (None, False)) if member.person.user_id is None else (None, False)
    if helper is not None and agreed:
        about.append(say.gettext("helped by {name}", name=safe(helper.person.name, 40)))
    elif helper is not None:
        about.append(say.gettext("waiting for {name} as helper", name=safe(helper.person.name, 40)))
    elif member.person.user_id is None:
        about.append(say.gettext("has not joined yet"))
    elif not reachable(member):
        about.append(say.gettext("I can't write to them yet"))
    return say.gettext("• {name}: {about}", name=safe(member.person.name, 40), about=say.and_list(about))


def _role(say: Say, member: Member) -> str:
    return say.gettext("organiser") if member.role is Role.ORGANISER else say.gettext("member")


def _listing_buttons(say: Say, garden_id: int, members: Sequence[Member], start: int, end: int) -> list[list[Button]]:
    keys: list[Button] = [(one.person.name[:20], f"who:{one.id}:card") for one in members[start:end]]
    rows = [keys[n : n + 2] for n in range(0, len(keys), 2)]
    more: list[Button] = []
    if start > 0:
        more.append((say.gettext("Back"), f"who:{garden_id}:list:{max(0, start - _PAGE_N)}"))
    if len(members) > end:
        more.append((say.gettext("Show the rest"), f"who:{garden_id}:list:{end}"))
    return [*rows, more] if more else rows


def card(say: Say, member: Member, helpers: Helpers, also: str | None = None) -> str:
    """One member. also: what has just been done, said first."""
    return lines([
        also,
        bold(safe(member.person.name, 60)),
        _line(say, member, helpers),
        None
        if reachable(member) or member.id in helpers
        else say.gettext(
            "I can ask them only after they press Start in a private chat with me. If they do not have the "
            "app, they need a helper."
        ),
    ])  # fmt: skip


def card_buttons(say: Say, member: Member, me: Member) -> list[list[Button]]:
    """Each says what it sets, so that a second tap changes nothing more."""
    mine = member.id == me.id
    adult = say.gettext("Not an adult") if member.adult else say.gettext("Is an adult")
    first: list[Button] = [
        (say.gettext("Make them a member"), f"who:{member.id}:member")
        if member.role is Role.ORGANISER
        else (say.gettext("Make them organiser"), f"who:{member.id}:organiser"),
        (adult, f"who:{member.id}:{'child' if member.adult else 'adult'}"),
    ]
    second: list[Button] = [(say.gettext("Remove"), f"who:{member.id}:remove")]
    if not mine:
        second.insert(0, (say.gettext("Hand over my role"), f"who:{member.id}:hand"))
    without: list[Button] = [(say.gettext("Choose a helper"), f"who:{member.id}:helper")]
    if member.person.user_id is None:
        without.append((say.gettext("Forget them"), f"who:{member.id}:forget"))
        code: Button = (say.gettext("Make an app code"), f"who:{member.id}:code")
        return [first, second, without, [code], [(say.gettext("Show all members"), f"who:{member.garden_id}:list:0")]]
    return [first, second, [(say.gettext("Show all members"), f"who:{member.garden_id}:list:0")]]


def sure(say: Say, member: Member) -> tuple[str, list[list[Button]]]:
    """Asked before somebody is taken off the list."""
    text = say.gettext(
        "Remove {name} from the list? Their turns go to others. If they tap Join again, I ask the organisers. "
        "They can still read the group chat, unless somebody removes them from it.",
        name=bold(safe(member.person.name, 60)),
    )
    yes: Button = (say.gettext("Yes, remove"), f"who:{member.id}:gone")
    return text, [[yes, (say.gettext("No"), f"who:{member.id}:card")]]


def reply(say: Say, given: Reply) -> str:
    return {
        Reply.DONE: say.gettext("Done."),
        Reply.ALREADY: say.gettext("It is like that already."),
        Reply.LAST_ORGANISER: say.gettext(
            "A garden needs somebody who looks after it. First give the role of organiser to one more person. "
            "Then you can do this. Thank you for all you do!"
        ),
        Reply.UNREACHABLE: say.gettext("I must be able to write to an organiser. Ask them to press Start first."),
        Reply.ADULTS_ONLY: say.gettext("The role of organiser is for adults."),
    }[given]


def sure_forgotten(say: Say, member: Member) -> tuple[str, list[list[Button]]]:
    """Asked before somebody without the app is forgotten, as they wish."""
    text = say.gettext(
        "Has {name} asked for this? I delete their name, wishes and plots, and their turns go to others. What "
        "was done stays in the journal, without the name. You can't undo this.",
        name=bold(safe(member.person.name, 60)),
    )
    yes: Button = (say.gettext("Yes, forget them"), f"who:{member.id}:forgotten")
    return text, [[yes, (say.gettext("No"), f"who:{member.id}:card")]]


def promoted(say: Say, garden: str, role: Role) -> str:
    """To whoever has been made an organiser, or a member again."""
    if role is Role.ORGANISER:
        return say.gettext(
            "You are an organiser of {garden} now. /help shows what you can do.", garden=safe(garden, 60)
        )
    return say.gettext(
        "You are now a member of {garden}, and no longer an organiser. Thank you for all you did!",
        garden=safe(garden, 60),
    )


def taken_off(say: Say, garden: str) -> str:
    return say.gettext(
        "An organiser took you off the list of {garden}. I do not ask you for help there now. Thank you for "
        "what you did! /me shows what I keep about you.",
        garden=safe(garden, 60),
    )


def left(say: Say, garden: str, gone: Left, behind: Sequence[str], *, named: bool) -> str:
    """To organisers. behind: `left_behind`."""
    where = safe(garden, 60)
    first = (
        say.gettext("{name} has left {garden}.", name=safe(gone.name, 40), garden=where)
        if named
        else say.gettext("Somebody has left {garden}. I have deleted what I knew about them.", garden=where)
    )
    return lines([bold(first), *behind])


def left_behind(say: Say, gone: Left, weeks: Iterable[OnCallWeek], people: Mapping[int, Member]) -> list[str]:
    """What was theirs and what becomes of it; nothing when they leave nothing behind."""
    found = []
    if gone.has_turns:
        found.append(say.gettext("• Their turns go to others. I ask the next person."))
    for week in weeks:
        names = say.and_list(safe(people[one].person.name, 40) for one in week.people)
        day = say.day(week.starts_on)
        found.append(
            say.gettext("• On call instead, week of {day}: {people}.", day=day, people=names)
            if week.people
            else say.gettext("• On call, week of {day}: nobody yet.", day=day)
        )
    if gone.keys:
        keys = say.and_list(safe(key, 40) for key in gone.keys)
        found.append(say.gettext("• They still have a key ({keys}). Please get it back, then send /keys.", keys=keys))
    if gone.helped:
        names = say.and_list(safe(one.person.name, 40) for one in gone.helped)
        found.append(say.gettext("• No helper now for: {names}. Choose somebody: /members", names=names))
    return found


def on_call_instead(say: Say, weeks: Iterable[OnCallWeek]) -> str:
    days = say.and_list(say.day(week.starts_on) for week in weeks)
    return say.gettext(
        "Somebody has left, so you are on call in the week of {days}. If you can't, write /away, and I find "
        "somebody else.",
        days=days,
    )


def nobody_left(say: Say, garden: str) -> str:
    return say.gettext(
        "{garden} has nobody who looks after it now. The person who runs me can change that: gatepost code "
        "prints a code. The new organiser sends it to me after /start, in our private chat. Until then I go "
        "on as before.",
        garden=bold(safe(garden, 60)),
    )


def helper_lost(say: Say, helper: Member, helped: Sequence[Member]) -> str:
    return say.gettext(
        "I can't write to {helper} now, so I can't ask {names} for anything. Choose a new helper with "
        "/members. Or ask {helper} to press Start in our private chat.",
        helper=safe(helper.person.name, 40),
        names=say.and_list(safe(one.person.name, 40) for one in helped),
    )
