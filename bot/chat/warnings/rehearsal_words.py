"""A rehearsal in words: pages of a phone's size, each of them marked as what it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from bot.chat.html import bold, safe
from bot.chat.warnings.brief import ROWS, rows
from bot.i18n import Say
from bot.services.warnings.rehearsing import Deed, Played, Scene, SceneKind

__all__ = ["PAGES", "pages"]

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
