"""Checked rows into the database: new ones are added, known ones changed where they differ, others left alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Stage
from bot.services.garden.records.columns import FILES
from bot.services.garden.records.files import Tables
from bot.services.garden.records.kept import Kept, Stored
from bot.services.garden.records.problems import Changed, Tally
from bot.services.garden.records.rows import COUNTED, KEYS, Row, key_of, same
from bot.services.garden.records.written_days import WEEKDAYS
from bot.storage.models import (
    Away,
    FreeTime,
    Garden,
    Member,
    NamedHelper,
    NightMinimum,
    Person,
    Place,
    PlaceReport,
    Planting,
    Plot,
    PlotHolder,
    Support,
    Thermometer,
)  # fmt: skip

_TABLES: dict[str, type[Any]] = {
    "members": Member, "plots": Plot, "places": Place, "supports": Support, "plantings": Planting,
    "thermometers": Thermometer, "free_times": FreeTime, "aways": Away, "minima": NightMinimum,
}  # fmt: skip
# Columns that name a row of another table, and the attribute that holds its id.
_LINKS = {"plot": ("plots", "plot_id"), "place": ("places", "place_id"), "member": ("members", "member_id")}
# Holders and helpers are rows of their own.
_APART = frozenset({"plots", "holders", "helper"})


class Storing:
    """One import into one garden. tallies: what it did, by file."""

    def __init__(self, session: AsyncSession, garden: Garden, stored: Stored, tables: Tables, now: datetime) -> None:
        self.session = session
        self.garden = garden
        self.stored = stored
        self.tables = tables
        self.now = now
        self.tallies: dict[str, Tally] = {}
        self.ids = {
            file: {same(kept.values["name"]): kept.row.id for kept in stored.get(file, ())}
            for file, _ in _LINKS.values()
        }

    async def run(self) -> None:
        """Stores every table, in an order in which a name is stored before it is used."""
        for file in _TABLES:
            if file in self.tables.rows:
                await self._store(file, self.tables.rows[file].rows)
            elif file == "plots":
                await self._plots_of_members()
            if file == "plots":
                await self._hold()
            if file == "members" and file in self.tallies:
                await self._help()

    async def _store(self, file: str, rows: Sequence[Row]) -> None:
        kept = dict(_keyed(file, [each.values for each in self.stored.get(file, ())], self.stored.get(file, ())))
        wanted = dict(_keyed(file, [row.values for row in rows], rows))
        met: set[Hashable] = set()
        added, changed, fresh = [], [], []
        for key, row in wanted.items():
            known = _match(file, key, row, kept, wanted)
            if known is None:
                fresh.append((row, self._new(file, row.values)))
                added.append(label(file, row.values))
            elif columns := self._change(file, kept[known], row.values):
                changed.append(Changed(label(file, row.values), columns))
                if file == "places" and {"cover", "inside"} & set(columns):
                    # What was told before of how it stands counts no more: organisers have written it down anew.
                    place_id = kept[known].row.id
                    self.session.add(PlaceReport(place_id=place_id, did=Did.RECORDED, at=self.now))
            met.add(known)
        self.session.add_all(new for _, new in fresh)
        await self.session.flush()
        if file in self.ids:
            self.ids[file].update({same(row.values["name"]): new.id for row, new in fresh})
        absent = tuple(label(file, each.values) for key, each in kept.items() if key not in met and not _over(each))
        self.tallies[file] = Tally(tuple(added), tuple(changed), len(rows) - len(added) - len(changed), absent)

    def _attributes(self, file: str, values: Mapping[str, Any]) -> dict[str, tuple[str, Any]]:
        """Column -> the attribute that stores it, and its value there."""
        found: dict[str, tuple[str, Any]] = {}
        for column in FILES[file]:
            if column.name not in values or column.name in _APART:
                continue
            value = values[column.name]
            if column.name in _LINKS:
                of, attribute = _LINKS[column.name]
                found[column.name] = attribute, None if value is None else self.ids[of][same(value)]
            else:
                found[column.name] = column.stored_as, value
        return found

    def _new(self, file: str, values: Mapping[str, Any]) -> Any:
        table = _TABLES[file]
        whole = {column.name: column.default for column in FILES[file]} | dict(values)
        attributes = dict(self._attributes(file, whole).values())
        if hasattr(table, "garden_id"):
            attributes["garden_id"] = self.garden.id
        if table is Member:
            language = attributes.pop("language") or self.garden.language
            attributes["person"] = Person(name=attributes.pop("name"), language=language)
            attributes["joined_at"] = self.now
        return table(**attributes)

    def _change(self, file: str, kept: Kept, values: Mapping[str, Any]) -> tuple[str, ...]:
        """Changes the stored row where the file differs; the columns in which it did."""
        changed = []
        for column, (attribute, value) in self._attributes(file, values).items():
            row = kept.row
            if file == "members" and column == "language":
                row = row.person
                if value is None or row.user_id is not None:  # who writes to the bot chooses their own language
                    continue
            if column not in KEYS[file] and getattr(row, attribute) != value:
                setattr(row, attribute, value)
                changed.append(column)
        if file == "plantings" and "stage" in changed and "stage_on" not in values:
            kept.row.stage_on = None  # the day of the stage before
        return tuple(changed)

    async def _plots_of_members(self) -> None:
        """Without plots.csv, the plots that members.csv names are all that is known of them."""
        names = {same(name): name for row in self._rows("members") for name in row.values.get("plots", ())}
        new = [Plot(garden_id=self.garden.id, name=name) for key, name in names.items() if key not in self.ids["plots"]]
        self.session.add_all(new)
        await self.session.flush()
        self.ids["plots"].update({same(plot.name): plot.id for plot in new})
        if names:
            self.tallies["plots"] = Tally(added=tuple(plot.name for plot in new), unchanged_n=len(names) - len(new))

    async def _hold(self) -> None:
        """Who holds which plot: a plot or member whose row says so has these holders or plots and no others."""
        plots, members = self.ids["plots"], self.ids["members"]
        before = {
            (kept.row.id, members[same(name)])
            for kept in self.stored.get("plots", ())
            for name in kept.values["holders"]
        }
        by_plot = {plots[same(row.values["name"])]: row.values["holders"] for row in self._rows("plots", "holders")}
        by_member = {members[same(row.values["name"])]: row.values["plots"] for row in self._rows("members", "plots")}
        after = {(plot, members[same(name)]) for plot, names in by_plot.items() for name in names}
        after |= {(plots[same(name)], member) for member, names in by_member.items() for name in names}
        after |= {(plot, member) for plot, member in before if plot not in by_plot and member not in by_member}
        for plot_id, member_id in before - after:
            held = await self.session.get_one(PlotHolder, (plot_id, member_id))
            await self.session.delete(held)
        self.session.add_all(PlotHolder(plot_id=plot, member_id=member) for plot, member in sorted(after - before))
        await self.session.flush()
        self._tally_holders({plot for plot, _ in before ^ after})

    async def _help(self) -> None:
        """Who helps whom; a new helper is asked whether they would, and one who stays is not asked again."""
        members = self.ids["members"]
        before = {same(kept.values["name"]): kept.values["helper"] for kept in self.stored.get("members", ())}
        changed = []
        for row in self._rows("members", "helper"):
            name, helper = row.values["name"], row.values["helper"]
            if same(helper or "") == same(before.get(same(name)) or ""):
                continue
            known = await self.session.get(NamedHelper, members[same(name)])
            if known is not None:
                await self.session.delete(known)
                await self.session.flush()
            if helper:
                self.session.add(NamedHelper(member_id=members[same(name)], helper_id=members[same(helper)]))
            changed.append(name)
        await self.session.flush()
        self._tally_helpers([name for name in changed if same(name) in before])

    def _tally_helpers(self, names: Sequence[str]) -> None:
        """Members who were there and are helped otherwise now count as changed."""
        old = self.tallies["members"]
        more = tuple(Changed(name, ("helper",)) for name in names if name not in {each.name for each in old.changed})
        self.tallies["members"] = Tally(old.added, (*old.changed, *more), old.unchanged_n - len(more), old.absent)

    def _tally_holders(self, plot_ids: set[int]) -> None:
        """Plots that were there and have other holders now count as changed."""
        names = [kept.values["name"] for kept in self.stored.get("plots", ()) if kept.row.id in plot_ids]
        if names:
            old = self.tallies.get("plots", Tally(unchanged_n=len(names)))
            changed = tuple(Changed(name, ("holders",)) for name in names)
            self.tallies["plots"] = Tally(old.added, changed, max(0, old.unchanged_n - len(names)), old.absent)

    def _rows(self, file: str, column: str = "name") -> Sequence[Row]:
        rows = self.tables.rows.get(file)
        return rows.rows if rows is not None and column in rows.columns else ()


def label(file: str, values: Mapping[str, Any]) -> str:
    """What a row is called in a report."""
    if file == "plantings":
        what = " ".join(values[name] for name in ("crop", "variety", "batch") if values.get(name))
        return f"{what}, {values['place']}"
    parts = [
        WEEKDAYS[value] if name == "weekday" else value for name in KEYS[file] if (value := values[name]) is not None
    ]
    return ", ".join(part.isoformat() if isinstance(part, date) else str(part) for part in parts)


def _keyed(file: str, values: Sequence[Mapping[str, Any]], things: Sequence[Any]) -> Iterator[tuple[Hashable, Any]]:
    seen: Counter[Hashable] = Counter()
    for each, thing in zip(values, things, strict=True):
        key = key_of(file, each)
        seen[key] += 1
        yield ((key, seen[key]) if file in COUNTED else key), thing


def _match(
    file: str, key: Hashable, row: Row, kept: Mapping[Hashable, Kept], wanted: Mapping[Hashable, Row]
) -> Hashable:
    """The key of the stored row that this one is about, None for a new one."""
    if key in kept:
        return key
    if file == "plantings" and row.values["stage"] is Stage.ENDED:
        growing = key_of(file, {**row.values, "stage": None})  # this is how the file says that it has ended
        return growing if growing in kept and growing not in wanted else None
    return None


def _over(kept: Kept) -> bool:
    return kept.values.get("stage") is Stage.ENDED
