"""/rehearse: a cold snap played on a copy of the garden, told to one organiser, without anybody being disturbed.

A rehearsal that was asked for is played in a process of its own, and told to whoever asked.

A rehearsal in words: pages of a phone's size, each of them marked as what it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from bot import worker
from bot.chat import rights
from bot.chat.html import bold, safe
from bot.chat.request import Request
from bot.chat.warnings.brief import ROWS, rows
from bot.chat.wire.errands import Desk, begin, opened
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.services.warnings.rehearsing import LONGEST_S, Deed, Played, Scene, SceneKind, Script
from bot.services.weather import garden_forecast
from bot.storage.models import Errand, Member
from bot.storage.states import ErrandKind
from bot.storage.wire import errand_rows

#: Lines of one page below what it is and when.
_BODY_N = ROWS - 3
#: A rehearsal longer than that ends there, and says so.
PAGES = 60


def pages(say: Say, garden: str, played: Played, *, answering: bool) -> list[str]:
    """First what is played, then a page for each moment at which something is said or done; HTML."""
    bodies = ["\n".join(_opening(say, garden, played, answering=answering))]
    for _, moment in groupby(played.scenes, key=lambda scene: scene.at):
        bodies += _moment(say, tuple(moment))
    if len(bodies) > PAGES:
        bodies = [*bodies[: PAGES - 1], say.gettext("It goes on like this. I left out the rest.")]
    total = len(bodies)
    head = say.gettext("Rehearsal, {n} of {total}. Nobody else reads this.")
    return [
        "\n".join([bold(say.fill(head, n=say.number(n), total=say.number(total))), body])
        for n, body in enumerate(bodies, 1)
    ]


def _opening(say: Say, garden: str, played: Played, *, answering: bool) -> Iterator[str]:
    day = say.day(played.evening_on)
    yield say.gettext("We play a cold night with a copy of {garden}. Nobody else gets a message.", garden=safe(garden))
    if not played.scenes:
        yield say.gettext(
            "Even on an invented night of {cold}, there would be no job for anybody. So I ask nobody.",
            cold=say.celsius(played.invented_c or 0.0),
        )
        return
    if played.invented_c is None:
        yield say.gettext("The real forecast has a cold night: {day}.", day=day)
    else:
        yield say.gettext(
            "The forecast has no harmful cold for the night of {day}. So I invented it: {cold} in the air.",
            day=day,
            cold=say.celsius(played.invented_c),
        )
    if answering:
        yield say.gettext("I invent the answers too. Of four people, two say yes, one says no and one says nothing.")
    else:
        yield say.gettext("Here, nobody answers.")
    if played.unreached:
        shown = say.and_list(safe(name, 40) for name in played.unreached[:12])
        yield say.gettext("I play as if everybody had pressed Start. Not yet in real life: {people}.", people=shown)


def _moment(say: Say, scenes: Sequence[Scene]) -> Iterator[str]:
    """One moment on one page, or on several where it is long."""
    local = say.local(scenes[0].at)
    when = say.gettext("{day} {time}", day=say.day(local.date()), time=say.clock(scenes[0].at))
    kept: list[str] = []
    for block in _blocks(say, scenes):
        if kept and rows("\n".join([*kept, block])) > _BODY_N:
            yield "\n".join([when, *kept])
            kept = []
        kept.append(block)
    yield "\n".join([when, *kept])


def _blocks(say: Say, scenes: Sequence[Scene]) -> Iterator[str]:
    for scene in scenes:
        who = say.and_list(safe(name, 40) for name in scene.who)
        if scene.kind is SceneKind.DEED:
            yield _deed(say, scene, who)
            continue
        head = {
            SceneKind.GROUP: say.gettext("The group reads:"),
            SceneKind.STANDING: say.gettext("The group's message now says (without a sound):"),
            SceneKind.ASKED: say.gettext("{name} reads privately:", name=who),
            SceneKind.ORGANISERS: say.gettext("The organisers read privately:"),
        }[scene.kind]
        parts = _short(scene) if scene.kind is SceneKind.ASKED else scene.text.splitlines()
        yield from _quoted(head, parts)


def _short(scene: Scene) -> list[str]:
    """Of a private message its first line and what is asked; the rest is the same for everybody."""
    first, *rest = scene.text.splitlines()
    return [first, *(line for line in rest if line.startswith("•"))]


def _quoted(head: str, parts: Sequence[str]) -> Iterator[str]:
    """The text set off from what is told about it, in pieces that a page can hold; no mark-up runs over a line."""
    piece: list[str] = []
    for line in parts:
        if piece and rows("\n".join([head, *piece, line])) > _BODY_N:
            yield _block(head, piece)
            piece = []
        piece.append(line)
    yield _block(head, piece)


def _block(head: str, piece: Sequence[str]) -> str:
    text = "\n".join(piece)
    return f"{head}\n<blockquote>{text}</blockquote>"


def _deed(say: Say, scene: Scene, who: str) -> str:
    n = len(scene.who)
    return {
        Deed.YES: say.ngettext("{people} taps I'll do it.", "{people} tap I'll do it.", n, people=who),
        Deed.NO: say.ngettext("{people} taps I can't.", "{people} tap I can't.", n, people=who),
        Deed.DONE: say.ngettext("{people} taps Done.", "{people} tap Done.", n, people=who),
    }[Deed(scene.text)]


async def play(script: Script) -> Played:
    """Off the event loop, and never longer than LONGEST_S."""
    return await worker.run("rehearsal", "bot.rehearsal:play", script, Played, timeout_s=LONGEST_S)


async def work(desk: Desk, row: Errand) -> None:
    """Copy the garden, play, tell: the playing is between the transactions."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if not scene.is_organiser:  # and may not read it any more
            scene.settle()
            return
        rows = await rehearsing.copy_of(scene.session, scene.garden.id)
        forecast = await garden_forecast.current(scene.session, scene.garden, desk.source, scene.now)
        answering = bool(row.asked.get("answering"))
        script = Script(scene.garden.id, rows, forecast, scene.now, scene.say.language, answering)
    played = await play(script)
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if scene.is_organiser:
            told = pages(scene.say, scene.garden.name, played, answering=answering)
            scene.errand.asked = {**row.asked, "pages": told}
            await scene.more(told[0], buttons(scene.say, scene.errand, 0))
        scene.settle()


def pages_of(row: Errand) -> list[str]:
    """What was played, HTML; empty until it has been."""
    found: list[str] = row.asked.get("pages", [])
    return found


def buttons(say: Say, row: Errand, page: int) -> list[list[Button]]:
    """Back and on; after the last page, the other way to play it."""
    total = len(pages_of(row))
    turn: list[Button] = []
    if page > 0:
        turn.append((say.gettext("Back"), f"played:{row.id}:{page - 1}"))
    if page + 1 < total:
        turn.append((say.gettext("Next"), f"played:{row.id}:{page + 1}"))
    if page + 1 < total or total < 2:
        return [turn] if turn else []
    answering = row.asked.get("answering")
    again = say.gettext("Play with no answers") if answering else say.gettext("Play with answers")
    return [turn, [(again, f"played:{row.id}:{'mute' if answering else 'talk'}")]]


WORD = "rehearse"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("practise a cold night; nobody else gets a message")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    if not request.private:
        await request.reply(
            request.say.gettext("Please send /rehearse to me privately. Only you will see the rehearsal.")
        )
        return
    await _ask(request, found[1], answering=True)


async def _ask(request: Request, member: Member, *, answering: bool) -> None:
    say = request.say
    if await rehearsing.is_waiting(request.session, member):
        await request.whisper(say.gettext("Your rehearsal is on its way. I will show it here as soon as it is ready."))
        return
    text = say.gettext(
        "I will play a cold night with a copy of your garden and show you here what happens. Nobody else "
        "gets a message. It takes a minute or two."
    )
    await begin(request, ErrandKind.REHEARSAL, text, asked={"answering": "yes"} if answering else {})


async def press(request: Request, rest: str) -> None:
    """ "rehearsal id:page", or what to play next; only whoever asked turns its pages."""
    number, _, what = rest.partition(":")
    id_, page = rights.whole(number), rights.whole(what)
    row = await errand_rows.by_id(request.session, id_)
    if row is None or row.kind is not ErrandKind.REHEARSAL or not pages_of(row):
        await rights.stale(request)
        return
    own = await rights.own(request, row.member_id)
    found = await rights.organiser(request) if own is not None else None
    if found is None:
        return
    if what in ("mute", "talk"):
        await _ask(request, found[1], answering=what == "talk")
    elif page is not None and page < len(pages_of(row)):
        await request.change(pages_of(row)[page], buttons(request.say, row, page))
    else:
        await rights.stale(request)
