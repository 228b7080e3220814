"""/export: the whole garden as files, for organisers, privately."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

from bot.chat import rights
from bot.chat.request import Request
from bot.chat.wire.errands import Desk, begin, opened
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.garden.records.exporting import export_csv
from bot.storage.models import Errand
from bot.storage.states import ErrandKind

WORD = "export"
FOR = Role.ORGANISER

#: Zip files carry the day and hour of each part; a fixed one makes the same garden the same file.
_DAY_ZERO = (1980, 1, 1, 0, 0, 0)


def about(say: Say) -> str:
    return say.gettext("all the garden data as files; send me the files to load them again")


async def answer(request: Request) -> None:
    if await rights.organiser(request) is None:
        return
    if not request.private:
        await request.reply(
            request.say.gettext("Please ask me in our private chat. The files have names of people in them.")
        )
        return
    await begin(request, ErrandKind.EXPORT, request.say.gettext("I am making the files. One moment …"))


async def work(desk: Desk, row: Errand) -> None:
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if not scene.is_organiser:
            await scene.tell(scene.say.gettext("Please ask one of the organisers to do that."))
            scene.settle()
            return
        files = await export_csv(scene.session, scene.garden)
    data = packed(files)
    async with opened(desk, row) as scene:
        if scene is None:
            return
        say = scene.say
        words = say.gettext(
            "All the garden data, one file for each table. It has names of people in it, so keep it safe. To "
            "load it again, send it to me."
        )
        name = f"garden-{say.local(scene.now).date().isoformat()}.zip"
        await scene.hand_over(data, name, words)
        await scene.tell(say.ngettext("Ready: {n} file.", "Ready: {n} files.", len(files)))
        scene.settle()


def packed(files: Mapping[str, bytes]) -> bytes:
    """A zip of files by name; the same files give the same bytes."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in files.items():
            out.writestr(zipfile.ZipInfo(name, _DAY_ZERO), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()
