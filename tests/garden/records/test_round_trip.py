"""A garden out as files and in again elsewhere: nothing is lost. The CSV is read back by the standard library."""

from __future__ import annotations

import asyncio
import csv
import io
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import create_engine, select

from bot.core.garden.snapshot import Cover, Lay, PlaceKind, Role, Stage, SupportKind
from bot.services.garden.records.exporting import export_csv
from bot.services.garden.records.from_xlsx import export_xlsx
from bot.storage.garden import gardens
from bot.storage.models import (
    Away,
    Base,
    FreeTime,
    Garden,
    Member,
    NightMinimum,
    Person,
    Place,
    Planting,
    Plot,
    PlotHolder,
    Support,
    Thermometer,
)  # fmt: skip
from bot.storage.session import Database
from tests.garden.records.record_files import NOW, bring, bring_files, said

signs = st.characters(codec="utf-8", categories=["L", "M", "N", "P", "S"], exclude_characters="\u0345")
names = st.text(signs, min_size=1, max_size=10).map(
    lambda name: f"{name} x" if name.startswith("'") or not any(sign.isalpha() for sign in name) else name
)
flags = st.booleans()
past = st.none() | st.dates(date(1990, 1, 1), date(2026, 5, 3))


def sizes(low: float, high: float) -> st.SearchStrategy[float]:
    # A workbook keeps 15 digits (Microsoft, "Excel specifications and limits", number precision; from memory).
    full = st.floats(low, high, allow_nan=False).map(lambda value: float(f"{value:.15g}"))
    return full | full.map(lambda value: round(value, 3))  # "1.234" may be taken for thousands


def rows(table: type[Base], **columns: st.SearchStrategy[Any]) -> st.SearchStrategy[list[Any]]:
    made = st.fixed_dictionaries(columns)
    unique = (lambda values: values["name"].casefold()) if "name" in columns else None
    return st.lists(made, max_size=3, unique_by=unique).map(lambda every: [table(**values) for values in every])


people = st.lists(st.tuples(names, st.sampled_from(["en", "pl"])), max_size=3)
garden_rows = st.builds(
    Garden, name=names, latitude=sizes(-90, 90), longitude=sizes(-180, 180), altitude_m=st.none() | sizes(-430, 6000),
    zone=st.sampled_from(["Europe/London", "UTC"]), language=st.sampled_from(["en", "pl"]), lay=st.sampled_from(Lay),
    wind_unit=st.sampled_from(["mph", "km/h"]), quiet_from_h=st.integers(0, 24), quiet_to_h=st.integers(0, 24),
)  # fmt: skip
place_rows = rows(
    Place, name=names, kind=st.sampled_from(PlaceKind), shared=flags, movable=flags, cover=st.sampled_from(Cover),
    length_m=st.none() | sizes(0.01, 500), volume_l=st.none() | sizes(0.1, 5000), wet_kg=st.none() | sizes(0.1, 5000),
    inside=st.none() | st.sampled_from([PlaceKind.TUNNEL, PlaceKind.INDOORS]), needs_key=flags,
    walk_min=st.none() | st.integers(0, 120),
)  # fmt: skip
planting_rows = rows(
    Planting, crop=st.sampled_from(["pea", "tomato", "onion-set"]), variety=st.just("") | names, batch=st.just("") | names,
    count=st.integers(0, 100_000), stage=st.sampled_from(Stage), stage_on=past, height_cm=st.none() | sizes(0, 1000),
    sown_on=st.none(), potted_on=past, hardening_on=past, planted_on=past, ended_on=past,
)  # fmt: skip
support_rows = rows(
    Support, kind=st.sampled_from(SupportKind), height_m=sizes(0.05, 10), width_m=sizes(0.05, 100), solidity=sizes(0, 1),
    ties=st.integers(0, 500), tie_n=st.none() | sizes(1, 100_000),
)  # fmt: skip
thermometer_rows = rows(
    Thermometer, name=names, height_m=sizes(0, 10), shaded=flags, cover=st.sampled_from(Cover), momentary=flags
)


@st.composite
def small_gardens(draw: st.DrawFn) -> list[list[Any]]:
    """Rows in groups, each of which is stored before the next; ids are given from 1 on in each table."""
    garden = draw(garden_rows)
    named = draw(people)
    folk = [Person(id=n, name=name, language=language) for n, (name, language) in enumerate(named, 1)]
    members = [
        Member(
            person_id=person.id, role=draw(st.sampled_from(Role)), adult=draw(flags), lift_kg=draw(st.none() | sizes(0, 200)),
            has_key=draw(flags), mornings_only=draw(flags), per_week=draw(st.none() | st.integers(0, 21)),
            travel_min=draw(st.none() | st.integers(0, 600)),
            skills=draw(st.sampled_from(["", "pruning", "first-aid wiring"])), joined_at=NOW,
        )
        for person in folk
    ]  # fmt: skip
    plots, places = draw(rows(Plot, name=names)), draw(place_rows)
    things = [*draw(support_rows), *draw(planting_rows)] if places else []
    for thing in things:
        thing.place_id = draw(st.integers(1, len(places)))
    ids = range(1, len(folk) + 1)
    hours = st.integers(0, 9), st.integers(10, 24)
    free = [
        FreeTime(member_id=n, weekday=draw(st.integers(0, 6)), from_h=draw(hours[0]), to_h=draw(hours[1])) for n in ids
    ]
    aways = [Away(member_id=n, from_on=date(2026, 8, n), to_on=date(2026, 8, 9)) for n in ids]
    held = [
        PlotHolder(plot_id=p, member_id=m)
        for p in range(1, len(plots) + 1)
        for m in range(1, len(folk) + 1)
        if draw(flags)
    ]
    minima = [
        NightMinimum(
            on=date(2020, 1, n), min_c=draw(sizes(-70, 0)), max_c=draw(st.none() | sizes(0, 60)), source="a station"
        )
        for n in range(1, 3)
    ]
    groups: list[list[Any]] = [
        [garden],
        folk,
        members,
        plots,
        places,
        things,
        draw(thermometer_rows),
        free,
        aways,
        held,
        minima,
    ]
    for group in groups:
        for n, row in enumerate(group, 1):
            if hasattr(type(row), "garden_id") and not isinstance(row, Person):
                row.garden_id = 1
            if hasattr(type(row), "id") and not isinstance(row, Support | Planting):
                row.id = n
    return groups


def copied(template: Path, name: str) -> Path:
    path = template.with_name(f"{name}.sqlite3")
    path.write_bytes(template.read_bytes())
    return path


@asynccontextmanager
async def opened(template: Path, name: str) -> AsyncIterator[Database]:
    """An empty database with every table: a copy of one that was made once."""
    database = Database(f"sqlite+aiosqlite:///{copied(template, name)}")
    try:
        yield database
    finally:
        await database.close()


async def contents(database: Database) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, the second of two people of one name told apart as in a file."""
    async with database.begin() as session:
        found = {}
        for table in Base.metadata.sorted_tables:
            key = list(table.primary_key)
            found[table.name] = [tuple(row) for row in await session.execute(select(table).order_by(*key))]
        return found


async def out_and_in(groups: list[list[Any]], template: Path) -> None:
    async with opened(template, "first") as first:
        async with first.begin() as session:
            for row in (row for group in groups for row in group):
                session.add(row)
                await session.flush()
        async with first.begin() as session:
            garden = (await gardens.all_gardens(session))[0]
            files, workbook = await export_csv(session, garden), await export_xlsx(session, garden)
        before = await contents(first)
        again = await bring_files(first, files)
        assert all(not (tally.added or tally.changed or tally.absent) for tally in again.tallies.values())
        assert await contents(first) == before
    for given_files in (files, {"garden.xlsx": workbook}):
        async with opened(template, "second") as second:
            assert said(await bring_files(second, given_files)) == []
            assert without_names_made_apart(await contents(second)) == without_names_made_apart(before)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path: Path = tmp_path_factory.mktemp("round_trip") / "template.sqlite3"
    engine = create_engine(f"sqlite:///{path}")
    Base.metadata.create_all(engine)
    engine.dispose()
    return path


def without_names_made_apart(tables: dict[str, list[tuple[Any, ...]]]) -> dict[str, list[tuple[Any, ...]]]:
    """Without the " (2)" that tells namesakes and nameless batches apart; no drawn name ends in a bracketed number."""

    def bare(value: Any) -> Any:
        return value[: -len(" (2)")].rstrip() if isinstance(value, str) and value[-4:] in (" (2)", " (3)") else value

    loose = {name: [tuple(map(bare, row)) for row in rows] for name, rows in tables.items() if name != "plantings"}
    return {
        **loose,
        "plantings": [tuple(bare("" if v in ("(2)", "(3)") else v) for v in row) for row in tables["plantings"]],
    }


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(groups=small_gardens())
def test_a_garden_comes_back_whole_from_csv_and_from_a_workbook(template: Path, groups: list[list[Any]]) -> None:
    asyncio.run(out_and_in(groups, template))


async def test_exported_csv_is_plain_to_any_reader_of_rfc_4180(database: Database) -> None:
    await bring(
        database,
        garden='name,latitude,longitude,zone,altitude_m\n"Mallow, ""End""",52.21,-1.523,Europe/London,1.2340\n',
        members="name,adult\n'=HYPERLINK(1),no\nZoë ;),yes\n",
        plots='name,holders\nPlot 1,"=HYPERLINK(1);""Zoë ;)"""\n',
    )
    async with database.begin() as session:
        files = await export_csv(session, (await session.scalars(select(Garden))).one())
    read = {
        name: list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))) for name, data in files.items()
    }
    assert sorted(read) == ["garden.csv", "members.csv", "plots.csv"]
    assert read["garden.csv"][0]["name"] == 'Mallow, "End"'
    assert float(read["garden.csv"][0]["longitude"]) == -1.523
    assert [row["name"] for row in read["members.csv"]] == ["'=HYPERLINK(1)", "Zoë ;)"]
    assert read["plots.csv"][0]["holders"] == '\'=HYPERLINK(1);"Zoë ;)"'
    assert all(data.startswith(b"\xef\xbb\xbf") and data.count(b"\n") == data.count(b"\r\n") for data in files.values())


async def test_people_of_one_name_are_told_apart_and_found_again(database: Database) -> None:
    await bring(
        database, garden="name,latitude,longitude,zone\nMallow End,52,-1,UTC\n", members="name,lift_kg\nAda,5\nBo,9\n"
    )
    async with database.begin() as session:
        bo = (await session.scalars(select(Person).where(Person.name == "Bo"))).one()
        bo.name = "Ada"
    async with database.begin() as session:
        files = await export_csv(session, (await session.scalars(select(Garden))).one())
    assert [line.split(",")[0] for line in files["members.csv"].decode("utf-8-sig").splitlines()] == [
        "name",
        "Ada",
        "Ada (2)",
    ]
    lighter = files["members.csv"].replace(b"9", b"8")
    report = await bring(database, garden=files["garden.csv"], members=lighter)
    assert [(each.name, each.columns) for each in report.tallies["members"].changed] == [("Ada (2)", ("lift_kg",))]
    async with database.begin() as session:
        assert list(await session.scalars(select(Person.name).order_by(Person.id))) == ["Ada", "Ada"]
        assert list(await session.scalars(select(Member.lift_kg).order_by(Member.id))) == [5.0, 8.0]
