"""Spreadsheets and calendars that an organiser sends privately: fetched, read, shown as a preview, applied by a button.

Files sent one after the other are read together, so that a garden may come in any number of them. The button carries
what the preview rested on: if the files or the records are others by then, a new preview takes its place.

What files would change in the records, what is wrong with them, and what was stored.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession
from telegram.error import BadRequest

from bot.chat import rights
from bot.chat.calendar import calendar_words, pinned
from bot.chat.calendar.entry_lines import with_meaning
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.weather import logged_words as logged_wording
from bot.chat.wire.errands import Desk, Scene, begin, opened
from bot.chat.wire.message import Button
from bot.core.calendar.entry import Entry, EntryState
from bot.i18n import Say
from bot.services.calendar import entries as calendar
from bot.services.calendar.entries import Compared, as_entry, change
from bot.services.calendar.remarks import Remark
from bot.services.garden import received_files as receiving
from bot.services.garden.received_files import Bundle, Received
from bot.services.garden.records.importing import import_tables
from bot.services.garden.records.kept import load
from bot.services.garden.records.problems import Problem, Report, Tally
from bot.services.garden.records.sheet import MOST_BYTES
from bot.services.growing import rules
from bot.services.weather import logged
from bot.storage.garden import gardens
from bot.storage.models import CalendarEntry, Errand
from bot.storage.people import members
from bot.storage.states import ErrandKind, ErrandState

#: What a phone's screen has room for; more mistakes than that go into a file.
PROBLEMS = 8
_NAMES = 6

Refusal = Callable[[Say], str]


def shown(name: str) -> str:
    return safe(name, 40)


def too_large(say: Say, name: str) -> str:
    return say.gettext(
        "{file} is too big. I can read files of up to {most} MB. Take out pictures and colours, or send it in parts.",
        file=shown(name),
        most=MOST_BYTES // 1_000_000,
    )


def gone(say: Say, name: str) -> str:
    return say.gettext("I can no longer get {file} from the chat app. Please send it again.", file=shown(name))


def nobody_left(say: Say) -> str:
    return say.gettext(
        "Nothing was saved. With these files the garden would have no organiser. Leave at least one in members.csv."
    )


def all_problems(say: Say, n: int) -> str:
    return say.ngettext("{n} thing to correct, line by line.", "{n} things to correct, line by line.", n)


def changes_n(report: Report) -> int:
    return sum(len(tally.added) + len(tally.changed) for tally in report.tallies.values())


def preview(
    say: Say, report: Report, dates: str | None, problems: Sequence[Problem], *, again: bool, files_n: int
) -> str:
    """What would change; with mistakes, these and nothing else. again: it is not what was shown before."""
    if problems:
        return _wrong(say, problems)
    parts: list[str | None] = []
    if again:
        parts.append(say.gettext("Something has changed since then. These things would change now:"))
    elif files_n > 1:
        parts.append(
            say.ngettext("{n} file so far. Nothing is saved yet.", "{n} files so far. Nothing is saved "
                                                                         "yet.", files_n)
        )  # fmt: skip
    else:
        parts.append(say.gettext("Nothing is saved yet."))
    if report.tallies and not changes_n(report):
        parts.append(bold(say.gettext("I know all of this already.")))
    elif report.tallies:
        parts.append(bold(say.gettext("These things would change:")))
        for table, tally in report.tallies.items():
            parts += _tally(say, table, tally)
    if dates is not None:
        parts += [bold(say.gettext("In the calendar:")), dates]
    parts += [say.gettext("Please check: {what}.", what=safe(one, 120)) for one in report.remarks]
    parts += _unknown(say, report.unknown)
    parts += _skipped(say, report.skipped)
    parts.append(
        say.gettext("You can send more files. I read them together. Then tap “Save the changes” or “Do not save”.")
    )
    return lines(parts)


def _wrong(say: Say, problems: Sequence[Problem]) -> str:
    n = len(problems)
    rest = n - PROBLEMS
    return lines([
        bold(say.ngettext("{n} thing to correct. Nothing was saved.", "{n} things to correct. Nothing was "
                                                                         "saved.", n)),
        *(say.gettext("• {what}", what=safe(str(problem), 200)) for problem in problems[:PROBLEMS]),
        say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None,
        say.gettext("Correct it in the file and send the file again. I then use the new one."),
    ])  # fmt: skip


def _tally(say: Say, table: str, tally: Tally) -> Iterator[str]:
    yield say.gettext(
        "{table}: {added} new, {changed} changed, {unchanged} the same",
        table=table, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
    )  # fmt: skip
    if tally.added:
        yield "  " + say.gettext("new: {names}", names=_names(say, tally.added))
    if tally.changed:
        each = [
            say.gettext("{name} ({columns})", name=one.name, columns=say.and_list(one.columns)) for one in tally.changed
        ]
        yield "  " + say.gettext("changed: {names}", names=_names(say, each))
    if tally.absent:
        yield "  " + say.ngettext(
            "{n} is not in the file and does not change", "{n} are not in the file and do not change", len(tally.absent)
        )


def _names(say: Say, names: Sequence[str]) -> str:
    listed = [safe(name, 50) for name in names[:_NAMES]]
    if len(names) > len(listed):
        listed.append(say.ngettext("{n} more", "{n} more", len(names) - len(listed)))
    return say.and_list(listed)


def _unknown(say: Say, plants: Sequence[str]) -> Iterator[str]:
    if plants:
        yield say.gettext(
            "I have no rules for: {plants}. I save them as this garden's own plants. I protect them from "
            "frost and do not treat them as food, until somebody says more with /own.",
            plants=_names(say, plants),
        )


def _skipped(say: Say, skipped: Sequence[str]) -> Iterator[str]:
    if skipped:
        yield say.gettext(
            "I did not read: {files}. The name of a file must say what is in it, such as members.csv.",
            files=_names(say, skipped),
        )


def calendar_preview(
    say: Say,
    compared: Compared,
    remarks: Sequence[Remark],
    problems: Sequence[Problem],
    withdrawn: Sequence[Entry],
    today: date,
) -> str:
    return calendar_words.changes(say, compared, today, remarks=remarks, problems=problems, withdrawn=withdrawn)


def stored(say: Say, report: Report, dates_n: int | None) -> str:
    """What an import did, in two or three lines."""
    parts: list[str | None] = [bold(say.gettext("Saved: {garden}.", garden=safe(report.garden, 60)))]
    for table, tally in report.tallies.items():
        parts.append(
            say.gettext(
                "{table}: {added} new, {changed} changed, {unchanged} the same",
                table=table, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
            )
        )  # fmt: skip
    parts += _unknown(say, report.unknown)
    if dates_n is not None:
        parts.append(say.ngettext("calendar: {n} entry", "calendar: {n} entries", dates_n))
    return lines(parts)


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
        await request.reply(too_large(say, name))
        return
    word = say.gettext("I am reading {file} …", file=shown(name))
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


async def _download(desk: Desk, row: Errand) -> tuple[bytes | None, Refusal]:
    """The file's content, or what to say. What may be better in a moment is raised, and tried again."""
    name = row.file_name or "file"
    try:
        file = await desk.bot.get_file(row.file_id or "")
        if file.file_size is None or file.file_size > MOST_BYTES:
            return None, lambda say: too_large(say, name)
        data = bytes(await file.download_as_bytearray())
    except BadRequest as error:
        if "too big" in error.message.lower():
            return None, lambda say: too_large(say, name)
        return None, lambda say: gone(say, name)
    if len(data) > MOST_BYTES:
        return None, lambda say: too_large(say, name)
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
                await scene.tell(nobody_left(scene.say))
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
    await scene.tell(stored(scene.say, report, count if found.has_calendar else None))


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
        shown = calendar_preview(say, compared, found.remarks, found.calendar_problems, withdrawn, today)
    problems = [*report.problems, *found.calendar_problems]
    text = preview(say, report, shown, problems, again=again, files_n=len(ids))
    drop: Button = (say.gettext("Do not save"), f"file:{garden.id}:drop")
    buttons: list[list[Button]] = [[drop]]
    if not problems and (shown is not None or changes_n(report)):
        digest = await _digest(scene, found, ids)
        buttons = [[(say.gettext("Save the changes"), f"file:{garden.id}:apply:{digest}"), drop]]
    await scene.tell(text, buttons)
    if len(problems) > PROBLEMS:
        listed = "\n".join(str(problem) for problem in problems)
        await scene.hand_over(listed.encode("utf-8-sig"), "to-put-right.txt", all_problems(say, len(problems)))


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
    """The files of one member that wait for the button, in the order in which they came."""
    query = select(Errand).where(
        Errand.garden_id == garden_id, Errand.member_id == member_id, Errand.state == ErrandState.KEPT
    )
    rows = (await session.scalars(query.order_by(Errand.id))).all()
    return rows[-_MOST_FILES:]


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
    if await _is_being_applied(session, member.id):
        return
    if not waiting:
        await request.reply(_nothing_left(say))
        return
    digest = deed.partition(":")[2][:16]
    word = say.gettext("I am saving it. One moment …")
    await begin(request, ErrandKind.APPLY, word, asked={"digest": digest}, in_place=True)


def _nothing_left(say: Say) -> str:
    return say.gettext("There is nothing left to save. To change more, send the files again.")


async def _is_being_applied(session: AsyncSession, member_id: int) -> bool:
    busy = (ErrandState.WAITING, ErrandState.WORKING)
    query = select(Errand.id).where(
        Errand.member_id == member_id, Errand.kind == ErrandKind.APPLY, Errand.state.in_(busy)
    )
    return await session.scalar(query.limit(1)) is not None
