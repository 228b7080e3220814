"""Records in: every mistake of every file at once, or all of it stored in the caller's transaction.

Names that one file uses and another, or the garden itself, must have; crops by any of their names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import PurePath
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.crop import Crop
from bot.crops import loader
from bot.crops.find import company, fold, match
from bot.crops.own import FILE as OWN_CROPS
from bot.crops.own import PREFIX, OwnCrop, OwnCropError, from_toml, key_for, named
from bot.i18n import Say
from bot.services.garden.records.columns import FILES
from bot.services.garden.records.files import Tables, Workbook, read_files
from bot.services.garden.records.history import NAME as HISTORY
from bot.services.garden.records.history import HistoryError, import_history, read_history
from bot.services.garden.records.kept import Stored, load
from bot.services.garden.records.problems import Changed, Problems, Report, Tally, near, shown
from bot.services.garden.records.rows import Row, Rows, check_twice, same
from bot.services.garden.records.sheet import Reading
from bot.services.garden.records.storing import Storing
from bot.services.growing import rules
from bot.storage.garden import gardens
from bot.storage.models import Garden

_SLIP = 0.75  # difflib ratio of a slip of the pen: "tomatoe" is one of "tomato"; less like, it is another plant

# (file, column) -> the table whose names it uses.
_USES = {
    ("members", "plots"): "plots",
    ("members", "helper"): "members",
    ("plots", "holders"): "members",
    ("places", "plot"): "plots",
    ("supports", "place"): "places",
    ("plantings", "place"): "places",
    ("thermometers", "place"): "places",
    ("free_times", "member"): "members",
    ("aways", "member"): "members",
}


def check_names(tables: Tables, stored: Mapping[str, Iterable[str]], problems: Problems) -> None:
    """Adds each name that nothing has. stored: names of the garden as it is, by table."""
    _check_helpers(tables, problems)
    known = {of: [*stored.get(of, ()), *_named(tables, of)] for of in ("members", "plots", "places")}
    for (file, column), of in _USES.items():
        # Without plots.csv the members' own column makes the plots; a broken file would make every name unknown.
        if of in tables.broken or file not in tables.rows or (column == "plots" and "plots" not in tables.rows):
            continue
        spelt = {same(name) for name in known[of]}
        for row in tables.rows[file].rows:
            for name in _listed(row.values.get(column)):
                if same(name) not in spelt:
                    what = _nobody(of, name, known[of], problems.say)
                    problems.add(what, tables.rows[file].file, row.line, column)


def _check_helpers(tables: Tables, problems: Problems) -> None:
    members = tables.rows.get("members")
    for row in members.rows if members is not None else ():
        name, helper = row.values.get("name"), row.values.get("helper")
        if members is not None and name and helper and same(name) == same(helper):
            what = problems.say.gettext("nobody can be their own helper; write another name, or leave it empty")
            problems.add(what, members.file, row.line, "helper")


def with_crop_keys(
    plantings: Rows, crops: Mapping[str, Crop], own: Mapping[str, OwnCrop], problems: Problems
) -> tuple[Rows, dict[str, str]]:
    """The plantings with each crop as its key; adds each crop that cannot be told. own: by key, of crops.toml.

    Also the plants that no rule is known for, key to name as written: they become crops of the garden's own.
    """
    find = _finder(crops, problems.say)
    rows: list[Row] = []
    unknown: dict[str, str] = {}
    for row in plantings.rows:
        written = row.values.get("crop", "")
        key = key_for(written) if written else ""
        found, wrong = (
            (key, "") if key in own or written.startswith(PREFIX) else find(written) if written else (None, "")
        )
        if found is None and not wrong and written:
            found = key
        if found is not None and found.startswith(PREFIX) and found not in own:
            unknown.setdefault(
                found, named(written.removeprefix(PREFIX).replace("-", " ") if key == written else written)
            )
        if wrong:
            problems.add(wrong, plantings.file, row.line, "crop")
        rows.append(Row(row.line, {**row.values, "crop": found}) if found else row)
    return replace(plantings, rows=tuple(rows)), unknown


def _named(tables: Tables, of: str) -> list[str]:
    names = [row.values["name"] for row in tables.rows[of].rows if "name" in row.values] if of in tables.rows else []
    if of == "plots" and "plots" not in tables.rows and "members" in tables.rows:
        names += [name for row in tables.rows["members"].rows for name in row.values.get("plots", ())]
    return names


def _listed(value: Any) -> tuple[str, ...]:
    return value if isinstance(value, tuple) else (value,) if value else ()


def _nobody(of: str, name: str, known: Iterable[str], say: Say) -> str:
    likely, value = near(name, known), shown(name)
    if likely:
        return {
            "members": say.gettext(
                "no member is called '{value}'; did you mean '{likely}'?", value=value, likely=likely
            ),
            "plots": say.gettext("no plot is called '{value}'; did you mean '{likely}'?", value=value, likely=likely),
            "places": say.gettext("no place is called '{value}'; did you mean '{likely}'?", value=value, likely=likely),
        }[of]
    return {
        "members": say.gettext("no member is called '{value}'; add a line to members.csv", value=value),
        "plots": say.gettext("no plot is called '{value}'; add a line to plots.csv", value=value),
        "places": say.gettext("no place is called '{value}'; add a line to places.csv", value=value),
    }[of]


def _finder(crops: Mapping[str, Crop], say: Say) -> Callable[[str], tuple[str | None, str]]:
    """A function from what a cell says to the crop's key, or to what is wrong with it; neither for an unknown plant."""
    exact = {fold(key): key for key in crops}
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = {} if say.language == "en" else {say.pgettext("crop", crop.name): key for key, crop in crops.items()}

    def find(word: str) -> tuple[str | None, str]:
        if key := exact.get(fold(word)):
            return key, ""
        found = match(word, names, local, company(say.language).others)
        if found is None:
            likely = near(word, [*crops, *(crop.name for crop in crops.values())], _SLIP)
            return None, _no_crop(word, likely, say) if likely or not key_for(word).removeprefix(PREFIX) else ""
        if not found.keys:
            return None, _no_crop(word, None, say)
        if len(found.keys) > 1:
            known = say.or_list([shown(key) for key in found.keys])
            return None, say.gettext(
                "'{value}' may mean different crops; write {known}", value=shown(word), known=known
            )
        whole = found.sure and found.words == fold(word)
        return (found.keys[0], "") if whole else (None, _no_crop(word, found.keys[0], say))

    return find


def _no_crop(word: str, likely: str | None, say: Say) -> str:
    if likely:
        return say.gettext("'{value}' is not a crop; did you mean '{likely}'?", value=shown(word), likely=likely)
    return say.gettext("'{value}' is not a crop that Gatepost knows; write its usual English name", value=shown(word))


_DAY_AHEAD = timedelta(hours=14)  # where the day begins first, UTC+14


async def import_records(
    session: AsyncSession,
    files: Mapping[str, bytes],
    say: Say,
    now: datetime,
    garden: Garden | None = None,
    dry_run: bool = False,
    workbook: Workbook | None = None,
) -> Report:
    """Reads files by their names into one garden: the given one, else the one that garden.csv names, else a new one.

    All or nothing: with any problem, or in a dry run (a preview), nothing is stored. The caller's session commits.
    workbook: `read_xlsx`; None reads CSV alone.
    """
    return await import_tables(session, *read_records(files, say, now, workbook), now, garden, dry_run)


def read_records(
    files: Mapping[str, bytes], say: Say, now: datetime, workbook: Workbook | None = None
) -> tuple[Tables, Problems]:
    """Everything that can be told from the files alone. It takes a while, and can be sent to another process and back."""
    problems = Problems(say)
    history = {name: data for name, data in files.items() if PurePath(name).name == HISTORY}
    own = {name: data for name, data in files.items() if PurePath(name).name == OWN_CROPS}
    sheets = {name: data for name, data in files.items() if name not in history and name not in own}
    tables = read_files(sheets, Reading(say, (now + _DAY_AHEAD).date()), problems, workbook)
    for name, data in own.items():
        try:
            tables.own |= from_toml(data)
        except OwnCropError as wrong:
            problems.add(str(wrong), name)
    if "plantings" in tables.rows:
        plantings = tables.rows["plantings"]
        tables.rows["plantings"], tables.unknown = with_crop_keys(plantings, loader.load(), tables.own, problems)
    tables.skipped += problems.left_out
    for data in history.values():
        tables.history = read_history(data, problems)
    for name, rows in tables.rows.items():
        check_twice(name, rows, problems)
    return tables, problems


async def import_tables(
    session: AsyncSession,
    tables: Tables,
    problems: Problems,
    now: datetime,
    garden: Garden | None = None,
    dry_run: bool = False,
) -> Report:
    """The rest of `import_records`, for files that have been read."""
    about = _about_garden(tables, garden is not None, problems)
    garden = garden or await _called(session, about.get("name", ""), problems)
    stored = await load(session, garden) if garden else {}
    names = {file: [kept.values["name"] for kept in stored.get(file, ())] for file in ("members", "plots", "places")}
    check_names(tables, names, problems)
    title = about.get("name") or (garden.name if garden else "")
    if problems.found:
        return Report(title, garden.id if garden else None, problems=problems.in_order(), skipped=tuple(tables.skipped))
    lost_n = 0
    try:
        async with session.begin_nested() as nested:
            garden_id, tallies = await _store(session, garden, about, stored, tables, now)
            tallies |= await _own_crops(session, garden_id, tables, now)
            if tables.history:
                kept, lost_n = await import_history(session, await session.get_one(Garden, garden_id), tables.history)
                tallies |= kept
            if dry_run:
                await nested.rollback()
    except HistoryError as wrong:
        what = problems.say.gettext("{table} has data that I cannot use here; export it again", table=str(wrong))
        problems.add(what, HISTORY)
        return Report(title, garden.id if garden else None, problems=problems.in_order())
    if lost_n:
        what = problems.say.ngettext(
            "{n} row about things that are not here", "{n} rows about things that are not here", lost_n
        )
        tables = replace(tables, skipped=[*tables.skipped, f"{HISTORY} ({what})"])
    return Report(
        title,
        None if dry_run and garden is None else garden_id,
        tallies=tallies,
        skipped=tuple(tables.skipped),
        remarks=tuple(problems.remarks),
        unknown=tuple(tables.unknown.values()),
        stored=not dry_run,
    )


async def _own_crops(session: AsyncSession, garden_id: int, tables: Tables, now: datetime) -> dict[str, Tally]:
    """Crops of crops.toml, and plants that no rule is known for."""
    given = {**{key: OwnCrop(name) for key, name in tables.unknown.items()}, **tables.own}
    if not given:
        return {}
    added, changed, unchanged_n = await rules.take(session, garden_id, given, now)
    return {"crops": Tally(added, tuple(Changed(name, ()) for name in changed), unchanged_n)}


def _about_garden(tables: Tables, known: bool, problems: Problems) -> Mapping[str, Any]:
    """What garden.csv says; it may be missing when the garden is known."""
    say, rows = problems.say, tables.rows.get("garden")
    if rows is None:
        if not known and "garden" not in tables.broken:
            problems.add(say.gettext("is missing; it gives the name and the location of the garden"), "garden.csv")
        if known and not tables.rows and not tables.history and not tables.own and not tables.broken:
            problems.add(say.gettext("none of {known} is among the files", known=say.and_list(FILES)), "*")
        return {}
    if len(rows.rows) != 1:
        problems.add(say.gettext("has {n} gardens; leave only one", n=len(rows.rows)), rows.file)
        return {}
    return rows.rows[0].values


async def _called(session: AsyncSession, name: str, problems: Problems) -> Garden | None:
    """The garden of this name, if there is one."""
    found = [garden for garden in await gardens.all_gardens(session) if same(garden.name) == same(name)]
    if len(found) > 1:
        what = problems.say.gettext(
            "{n} gardens are called '{value}'; give them different names", n=len(found), value=shown(name)
        )
        problems.add(what, "garden.csv")
    return found[0] if found else None


async def _store(
    session: AsyncSession,
    garden: Garden | None,
    about: Mapping[str, Any],
    stored: Stored,
    tables: Tables,
    now: datetime,
) -> tuple[int, dict[str, Tally]]:
    if garden is None:
        whole = {column.name: column.default for column in FILES["garden"]} | dict(about)
        garden = Garden(**whole)
        session.add(garden)
        await session.flush()
        tally = Tally(added=(garden.name,))
    else:
        await gardens.lock(session, garden.id)
        changed = tuple(column for column, value in about.items() if getattr(garden, column) != value)
        for column in changed:
            setattr(garden, column, about[column])
        tally = Tally(changed=(Changed(garden.name, changed),)) if changed else Tally(unchanged_n=1)
    storing = Storing(session, garden, stored, tables, now)
    await storing.run()
    return garden.id, ({"garden": tally} if about else {}) | storing.tallies
