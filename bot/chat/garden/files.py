"""Spreadsheets and calendars that an organiser sends privately: fetched, read, shown as a preview, applied by a button.

Files sent one after the other are read together, so that a garden may come in any number of them. The button carries
what the preview rested on: if the files or the records are others by then, a new preview takes its place.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy.ext.asyncio import AsyncSession
from telegram.error import BadRequest

from bot.chat import rights
from bot.chat.calendar import pinned
from bot.chat.calendar.entry_lines import with_meaning
from bot.chat.garden import files_words as wording
from bot.chat.request import Request
from bot.chat.weather import logged_words as logged_wording
from bot.chat.wire.errands import Desk, Scene, begin, opened
from bot.chat.wire.message import Button
from bot.core.calendar.entry import Entry, EntryState
from bot.i18n import Say
from bot.services.calendar import entries as calendar
from bot.services.calendar.entries import as_entry, change
from bot.services.garden import received_files as receiving
from bot.services.garden.received_files import MOST_BYTES, Bundle, Received
from bot.services.garden.records.importing import import_tables
from bot.services.garden.records.kept import load
from bot.services.garden.records.problems import Report
from bot.services.growing import rules
from bot.services.weather import logged
from bot.storage.garden import gardens
from bot.storage.models import CalendarEntry, Errand
from bot.storage.people import members
from bot.storage.states import ErrandKind, ErrandState
from bot.storage.wire import errand_rows

#: Waiting files of one member; a garden has at most a dozen.
_MOST_FILES = 30


async def received(request: Request) -> None:
    """A document came in: what can be refused is refused before anything is fetched."""
    message = request.update.message
    document = message.document if message is not None else None
    if document is None or await rights.organiser(request) is None:
        return
    say, name = request.say, document.file_name or "file"
    if document.file_size is None or document.file_size > MOST_BYTES:
        await request.reply(wording.too_large(say, name))
        return
    word = say.gettext("I am reading {file} …", file=wording.shown(name))
    await begin(request, ErrandKind.FILE, word, file=(document.file_id, name, document.file_size))


async def fetch(desk: Desk, row: Errand) -> None:
    """Get the file, keep it, and say what it and those before it would change."""
    async with opened(desk, row) as scene:
        if scene is None or not await _may(scene):
            return
        has_data = scene.errand.data is not None
    if not has_data:
        data, refusal = await _download(desk, row)
        async with opened(desk, row) as scene:
            if scene is None:
                return
            if data is None:
                await scene.tell(refusal(scene.say))
                scene.settle(ErrandState.FAILED)
                return
            scene.errand.data = data
    async with opened(desk, row) as scene:
        is_log = scene is not None and scene.errand.data is not None and logged.is_log(scene.errand.data)
    await (_log(desk, row) if is_log else _preview(desk, row))


async def _log(desk: Desk, row: Errand) -> None:
    """What a thermometer logged is taken at once: there is nothing in it to choose, and given again it changes nothing."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        bundle = _bundle([scene.errand], scene)
    lines = await logged.read(bundle)
    async with opened(desk, row) as scene:
        if scene is None or not await _may(scene):
            return
        await gardens.lock(scene.session, scene.garden.id)
        taken, unknown = await logged.take(scene.session, scene.garden, scene.member, lines, scene.now)
        await scene.tell(logged_wording.taken(scene.say, taken, unknown, lines.problems))
        scene.settle()


async def _download(desk: Desk, row: Errand) -> tuple[bytes | None, wording.Refusal]:
    """The file's content, or what to say. What may be better in a moment is raised, and tried again."""
    name = row.file_name or "file"
    try:
        file = await desk.bot.get_file(row.file_id or "")
        if file.file_size is None or file.file_size > MOST_BYTES:
            return None, lambda say: wording.too_large(say, name)
        data = bytes(await file.download_as_bytearray())
    except BadRequest as error:
        if "too big" in error.message.lower():
            return None, lambda say: wording.too_large(say, name)
        return None, lambda say: wording.gone(say, name)
    if len(data) > MOST_BYTES:
        return None, lambda say: wording.too_large(say, name)
    return data, lambda say: ""


async def _preview(desk: Desk, row: Errand) -> None:
    """Read everything that waits, outside any transaction; then say what it would do, and keep it for the button."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        waiting = [*await _kept(scene.session, row.garden_id, row.member_id), scene.errand]
        bundle = _bundle(waiting, scene)
    found = await receiving.read(bundle)
    async with opened(desk, row) as scene:
        if scene is None or not await _may(scene):
            return
        kept = await _kept(scene.session, row.garden_id, row.member_id)
        for one in kept:
            if one.file_name == row.file_name:  # sent anew, as its corrected version is
                one.state, one.data = ErrandState.DONE, None
        ids = [*(one.id for one in kept if one.state is ErrandState.KEPT), row.id]
        await _tell(scene, found, ids)
        scene.settle(ErrandState.KEPT)


async def apply(desk: Desk, row: Errand) -> None:
    """Store all of it, if it is still what the preview showed; else show anew."""
    async with opened(desk, row) as scene:
        if scene is None or not await _may(scene):
            return
        waiting = await _kept(scene.session, row.garden_id, row.member_id)
        if not waiting:
            scene.settle()
            return
        ids, bundle = [one.id for one in waiting], _bundle(waiting, scene)
    found = await receiving.read(bundle)
    try:
        async with opened(desk, row) as scene:
            if scene is None or not await _may(scene):
                return
            await _store(scene, found, ids, str(row.asked.get("digest")))
            scene.settle()
    except _NobodyLeft:
        async with opened(desk, row) as scene:
            if scene is not None:
                await scene.tell(wording.nobody_left(scene.say))
                scene.settle()


class _NobodyLeft(Exception):
    """The files would leave the garden without an organiser; nothing of them is stored."""


async def _store(scene: Scene, found: Received, ids: Sequence[int], digest: str) -> None:
    session, garden = scene.session, scene.garden
    await gardens.lock(session, garden.id)
    waiting = await _kept(session, garden.id, scene.member.id)
    if [one.id for one in waiting] != list(ids) or await _digest(scene, found, ids) != digest:
        await _tell(scene, found, [one.id for one in waiting], again=True)
        return
    report = await _import(scene, found, dry_run=False)
    if report.problems:
        await _tell(scene, found, ids, again=True)
        return
    count = await _calendar(scene, found)
    if not await members.organisers(session, garden.id):
        raise _NobodyLeft
    for one in waiting:
        one.state, one.data = ErrandState.DONE, None
    await scene.tell(wording.stored(scene.say, report, count if found.has_calendar else None))


async def _import(scene: Scene, found: Received, *, dry_run: bool) -> Report:
    if not found.has_records:
        return Report(scene.garden.name, scene.garden.id, stored=not dry_run)
    if (
        not found.tables.rows and not found.tables.history and not found.tables.own
    ):  # there is nothing to hold against the garden
        return Report(problems=found.problems.in_order(), skipped=tuple(found.tables.skipped))
    # Copies, since the reading adds to them what only the garden can tell.
    problems = type(found.problems)(found.problems.say)
    problems.found = list(found.problems.found)
    return await import_tables(scene.session, found.tables, problems, scene.now, scene.garden, dry_run)


async def _calendar(scene: Scene, found: Received) -> int:
    """Entries stored and published, those that the file calls off withdrawn; how many."""
    if not found.has_calendar:
        return 0
    session, garden, now = scene.session, scene.garden, scene.now
    rows = await calendar.put(session, garden.id, scene.member, await _meant(scene, found), now, found.sequences)
    for row in rows:
        if row.state is EntryState.DRAFT:
            change(session, row, scene.member, now, EntryState.PUBLISHED)
    for row in await _withdrawn(scene, found):
        await calendar.withdraw(session, row, scene.member, now)
    await session.flush()
    await pinned.pin(session, garden, now)
    return len(rows)


async def _meant(scene: Scene, found: Received) -> list[Entry]:
    crops = await rules.of_garden(scene.session, scene.garden.id)
    return [with_meaning(entry, scene.say, crops) for entry in found.entries]


async def _withdrawn(scene: Scene, found: Received) -> list[CalendarEntry]:
    rows = [await calendar.by_uid(scene.session, scene.garden.id, uid) for uid in found.cancelled]
    return [row for row in rows if row is not None and row.state is EntryState.PUBLISHED]


async def _tell(scene: Scene, found: Received, ids: Sequence[int], *, again: bool = False) -> None:
    """The preview, with its buttons; mistakes that a screen has no room for go into a file."""
    say, garden = scene.say, scene.garden
    report = await _import(scene, found, dry_run=True)
    shown = None
    if found.has_calendar:
        compared = await calendar.compare(scene.session, garden.id, await _meant(scene, found))
        withdrawn = [as_entry(row) for row in await _withdrawn(scene, found)]
        today = say.local(scene.now).date()
        shown = wording.calendar(say, compared, found.remarks, found.calendar_problems, withdrawn, today)
    problems = [*report.problems, *found.calendar_problems]
    text = wording.preview(say, report, shown, problems, again=again, files_n=len(ids))
    drop: Button = (say.gettext("Do not save"), f"file:{garden.id}:drop")
    buttons: list[list[Button]] = [[drop]]
    if not problems and (shown is not None or wording.changes_n(report)):
        digest = await _digest(scene, found, ids)
        buttons = [[(say.gettext("Save the changes"), f"file:{garden.id}:apply:{digest}"), drop]]
    await scene.tell(text, buttons)
    if len(problems) > wording.PROBLEMS:
        listed = "\n".join(str(problem) for problem in problems)
        await scene.hand_over(listed.encode("utf-8-sig"), "to-put-right.txt", wording.all_problems(say, len(problems)))


async def _digest(scene: Scene, found: Received, ids: Sequence[int]) -> str:
    """What a preview rests on: the files, and the records that they speak of as they are now."""
    stored = await load(scene.session, scene.garden)
    records = {name: [kept.values for kept in stored.get(name, ())] for name in found.tables.rows}
    known = await calendar.compare(scene.session, scene.garden.id, found.entries) if found.has_calendar else None
    changes = await _import(scene, found, dry_run=True) if found.tables.history else None
    return hashlib.blake2s(repr((list(ids), records, known, changes)).encode(), digest_size=8).hexdigest()


async def _may(scene: Scene) -> bool:
    """Rights may have gone since the file was sent."""
    if scene.is_organiser:
        return True
    await scene.tell(scene.say.gettext("Please ask one of the organisers to do that."))
    scene.settle(ErrandState.FAILED)
    return False


async def _kept(session: AsyncSession, garden_id: int, member_id: int) -> Sequence[Errand]:
    return (await errand_rows.kept(session, garden_id, member_id))[-_MOST_FILES:]


def _bundle(waiting: Sequence[Errand], scene: Scene) -> Bundle:
    files = tuple((one.file_name or "file", one.data) for one in waiting if one.data is not None)
    return Bundle(files, replace(scene.say), scene.now)


async def press(request: Request, rest: str) -> None:
    """ "garden:drop" or "garden:apply:digest". Pressed again, it finds nothing left to do."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, member, deed = found
    say, session = request.say, request.session
    waiting = await _kept(session, garden.id, member.id)
    if deed == "drop":
        for one in waiting:
            one.state, one.data = ErrandState.DONE, None
        await request.change(
            say.gettext("Not saved. Nothing was changed.")
            if waiting
            else say.gettext("These changes are no longer waiting.")
        )
        return
    if await errand_rows.is_under_way(session, member.id, ErrandKind.APPLY):
        return
    if not waiting:
        await request.reply(_nothing_left(say))
        return
    digest = deed.partition(":")[2][:16]
    word = say.gettext("I am saving it. One moment …")
    await begin(request, ErrandKind.APPLY, word, asked={"digest": digest}, in_place=True)


def _nothing_left(say: Say) -> str:
    return say.gettext("There is nothing left to save. To change more, send the files again.")
