"""What an import stores, and what a second one of the same garden changes, adds and leaves alone."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import select, update

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.services.garden.records.importing import import_records
from bot.services.garden.records.problems import Changed, Tally
from bot.storage.models import Away, FreeTime, Garden, Member, NightMinimum, Person, Place, Planting, Plot, PlotHolder
from bot.storage.session import Database
from tests.garden.records.record_files import GARDEN, NOW, SAY, bring, bring_files, said, stored_rows

PLACES = "name,kind,wet_kg\nBed 1,open bed,\nPot 1,container,30\n"
PEAS = "crop,variety,batch,place,count,stage,height_cm\npea,Early,,Bed 1,60,growing,20\n"


async def one(database: Database, table: type[Any]) -> Any:
    async with database.begin() as session:
        return (await session.scalars(select(table))).one()


async def every(database: Database, column: Any, *order: Any) -> list[Any]:
    async with database.begin() as session:
        return list((await session.execute(select(column).order_by(*order))).scalars())


async def holders(database: Database) -> set[tuple[str, str]]:
    query = select(Plot.name, Person.name).join(PlotHolder, PlotHolder.plot_id == Plot.id)
    query = query.join(Member, Member.id == PlotHolder.member_id).join(Person, Person.id == Member.person_id)
    async with database.begin() as session:
        return {(plot, name) for plot, name in await session.execute(query)}


async def test_a_garden_alone_is_enough(database: Database) -> None:
    report = await bring(database, garden=GARDEN)
    garden = await one(database, Garden)
    assert (garden.name, garden.latitude, garden.altitude_m, garden.language) == ("Mallow End", 52.21, None, "en")
    assert (report.stored, report.garden_id, report.tallies) == (
        True,
        garden.id,
        {"garden": Tally(added=("Mallow End",))},
    )


async def test_every_column_of_a_place_arrives(database: Database) -> None:
    header = "name;kind;plot;shared;movable;cover;length_m;width_m;height_m;volume_l;wet_kg;inside;needs_key"
    line = "Pot 1;pot;Plot 1;yes;ja;fleece;0,4 m;0,35;0,5;40 l;32,5 kg;tunnel;no".replace("ja", "tak")
    await bring(database, garden=GARDEN, plots="name\nPlot 1\n", places=f"{header}\n{line}\n")
    place = await one(database, Place)
    assert (place.kind, place.shared, place.movable, place.cover) == (PlaceKind.CONTAINER, True, True, "fleece")
    assert (place.length_m, place.width_m, place.height_m, place.volume_l, place.wet_kg) == (0.4, 0.35, 0.5, 40.0, 32.5)
    assert (place.inside, place.needs_key, place.plot_id) == (PlaceKind.TUNNEL, False, (await one(database, Plot)).id)


async def test_times_absences_and_past_nights_arrive(database: Database) -> None:
    await bring(
        database,
        garden=GARDEN,
        members="name\nAda\n",
        free_times="member,weekday,from,to\nada,Sat,9,12:00\n",
        aways="member,from,to\nAda,1 August 2026,15 August 2026\n",
        minima="date;min_c\n12.04.2024;-1,5\n",
    )
    free, away, night = [await one(database, table) for table in (FreeTime, Away, NightMinimum)]
    assert (free.weekday, free.from_h, free.to_h) == (date(2026, 5, 9).weekday(), 9, 12)
    assert (away.from_on, away.to_on) == (date(2026, 8, 1), date(2026, 8, 15))
    assert (night.on, night.min_c) == (date(2024, 4, 12), -1.5)


async def test_a_second_import_changes_adds_and_leaves_alone(database: Database) -> None:
    await bring(database, garden=GARDEN, members="name,lift_kg,role\nAda,12,organiser\nBo,20,member\n", places=PLACES)
    report = await bring(database, garden=GARDEN, members="name,lift_kg\nada,15\nCy,\n", places=PLACES)
    assert said(report) == []
    assert report.tallies == {
        "garden": Tally(unchanged_n=1),
        "members": Tally(added=("Cy",), changed=(Changed("ada", ("lift_kg",)),), absent=("Bo",)),
        "places": Tally(unchanged_n=2),
    }
    # A column that the file has not stays: Ada is an organiser still, and Bo is there.
    assert await every(database, Member.lift_kg, Member.id) == [15.0, 20.0, None]
    assert await every(database, Member.role, Member.id) == ["organiser", "member", "member"]
    assert await every(database, Person.name, Person.id) == ["Ada", "Bo", "Cy"]


async def test_an_empty_cell_clears_and_an_absent_column_keeps(database: Database) -> None:
    await bring(database, garden=GARDEN, places="name,kind,wet_kg,cover\nPot 1,container,30,fleece\n")
    await bring(database, garden=GARDEN, places="name,kind,wet_kg\nPot 1,container,\n")
    place = await one(database, Place)
    assert (place.wet_kg, place.cover) == (None, "fleece")


async def test_a_preview_tells_everything_and_stores_nothing(database: Database) -> None:
    await bring(database, garden=GARDEN, places=PLACES)
    before = await stored_rows(database)
    tables = (GARDEN, "name\nAda\n", PLACES.replace("30", "31"), PEAS)
    files = {
        f"{name}.csv": text.encode()
        for name, text in zip(("garden", "members", "places", "plantings"), tables, strict=True)
    }
    preview = await bring_files(database, files, dry_run=True)
    assert (preview.stored, await stored_rows(database)) == (False, before)
    assert await every(database, Place.wet_kg, Place.id) == [None, 30.0]
    real = await bring_files(database, files)
    assert (real.stored, real.tallies) == (True, preview.tallies)


async def test_a_preview_of_a_new_garden_stores_no_garden(database: Database) -> None:
    files = {"garden.csv": GARDEN.encode()}
    async with database.begin() as session:
        report = await import_records(session, files, SAY, NOW, dry_run=True)
    assert (report.stored, report.garden_id, await stored_rows(database)) == (False, None, 0)


async def test_one_mistake_in_a_second_import_changes_nothing(database: Database) -> None:
    await bring(database, garden=GARDEN, places=PLACES)
    report = await bring(
        database, garden=GARDEN, places=PLACES.replace("30", "31"), plantings=PEAS.replace("Bed 1", "Bed 9")
    )
    assert said(report) == ["plantings.csv line 2, column place: no place is called 'Bed 9'; did you mean 'Bed 1'?"]
    assert await every(database, Place.wet_kg, Place.id) == [None, 30.0]


async def test_names_may_be_those_of_the_stored_garden(database: Database) -> None:
    await bring(database, garden=GARDEN, places=PLACES)
    assert said(await bring(database, garden=GARDEN, plantings=PEAS)) == []


async def test_a_planting_is_known_by_crop_variety_batch_and_place(database: Database) -> None:
    await bring(database, garden=GARDEN, places=PLACES, plantings=PEAS)
    lines = "Peas,early,,bed 1,55,flowering,90\npea,Early,second,Bed 1,60,sown,\npea,Early,,Pot 1,9,sown,\n"
    report = await bring(database, garden=GARDEN, plantings=PEAS.splitlines()[0] + "\n" + lines)
    tally = report.tallies["plantings"]
    assert [each.columns for each in tally.changed] == [("count", "stage", "height_cm")]
    assert tally.added == ("pea Early second, Bed 1", "pea Early, Pot 1")
    assert await every(database, Planting.count, Planting.id) == [55, 60, 9]


async def test_an_ended_planting_leaves_its_place_to_the_next(database: Database) -> None:
    await bring(database, garden=GARDEN, places=PLACES, plantings=PEAS)
    header = "crop,variety,place,count,stage,ended_on\n"
    ended = "pea,Early,Bed 1,60,ended,2026-05-01\n"
    first = await bring(database, garden=GARDEN, plantings=header + ended)
    assert [each.columns for each in first.tallies["plantings"].changed] == [("stage", "ended_on")]
    again = await bring(database, garden=GARDEN, plantings=header + ended + "pea,Early,Bed 1,40,sown,\n")
    assert again.tallies["plantings"] == Tally(added=("pea Early, Bed 1",), unchanged_n=1)
    assert await every(database, Planting.stage, Planting.id) == [Stage.ENDED, Stage.SOWN]


async def test_a_new_stage_without_its_day_forgets_the_old_day(database: Database) -> None:
    await bring(
        database,
        garden=GARDEN,
        places=PLACES,
        plantings="crop,place,count,stage,stage_on\npea,Bed 1,6,growing,2026-04-01\n",
    )
    await bring(database, garden=GARDEN, plantings="crop,place,count,stage\npea,Bed 1,6,flowering\n")
    assert (await one(database, Planting)).stage_on is None


async def test_holders_come_from_either_side_and_a_row_says_them_whole(database: Database) -> None:
    await bring(
        database,
        garden=GARDEN,
        members="name,plots\nAda,Plot 1; Plot 2\nBo,\n",
        plots="name,holders\nPlot 1,Bo\nPlot 2,\n",
    )
    assert await holders(database) == {("Plot 1", "Ada"), ("Plot 1", "Bo"), ("Plot 2", "Ada")}
    report = await bring(database, garden=GARDEN, plots="name,holders\nPlot 1,bo\n")
    assert await holders(database) == {("Plot 1", "Bo"), ("Plot 2", "Ada")}
    assert report.tallies["plots"] == Tally(changed=(Changed("Plot 1", ("holders",)),), absent=("Plot 2",))


async def test_without_a_file_of_plots_the_members_name_them(database: Database) -> None:
    report = await bring(database, garden=GARDEN, members="name,plots\nAda,A1\nBo,a1; A2\n")
    assert sorted(report.tallies["plots"].added) == ["A2", "a1"]
    assert {(plot.casefold(), name) for plot, name in await holders(database)} == {
        ("a1", "Ada"),
        ("a1", "Bo"),
        ("a2", "Bo"),
    }


async def test_what_the_chat_knows_of_people_is_never_touched(database: Database) -> None:
    await bring(database, garden=GARDEN, members="name,language\nAda,en\n")
    async with database.begin() as session:
        await session.execute(update(Person).values(user_id=77, username="ada", private_ok_at=NOW, language="pl"))
        await session.execute(update(Garden).values(chat_id=-5, thread_id=3))
    report = await bring(database, garden=GARDEN, members="name,language\nAda,en\n")
    person, garden = await one(database, Person), await one(database, Garden)
    assert (person.user_id, person.username, person.private_ok_at, person.language) == (77, "ada", NOW, "pl")
    assert (garden.chat_id, garden.thread_id) == (-5, 3)
    assert report.tallies["members"] == Tally(unchanged_n=1)


async def test_who_has_left_does_not_come_back_by_a_name(database: Database) -> None:
    await bring(database, garden=GARDEN, members="name\nAda\n")
    async with database.begin() as session:
        await session.execute(update(Member).values(left_at=NOW))
    report = await bring(database, garden=GARDEN, members="name\nAda\n")
    assert report.tallies["members"].added == ("Ada",)
    assert await every(database, Member.left_at, Member.id) == [NOW, None]


async def test_two_gardens_keep_their_records_apart(database: Database) -> None:
    await bring(database, garden=GARDEN, members="name\nAda\n", places=PLACES)
    report = await bring(database, garden=GARDEN.replace("Mallow End", "Burr Side"), members="name\nAda\n")
    assert report.tallies["members"].added == ("Ada",)
    assert len(set(await every(database, Member.garden_id))) == 2
    refused = await bring(database, garden=GARDEN.replace("Mallow End", "Burr Side"), plantings=PEAS)
    assert said(refused) == ["plantings.csv line 2, column place: no place is called 'Bed 1'; add a line to places.csv"]


async def test_a_known_garden_needs_no_file_of_its_own_and_may_be_renamed(database: Database) -> None:
    await bring(database, garden=GARDEN)
    garden = await one(database, Garden)
    async with database.begin() as session:
        report = await import_records(session, {"places.csv": PLACES.encode()}, SAY, NOW, await session.merge(garden))
    assert (report.garden, report.tallies["places"].added) == ("Mallow End", ("Bed 1", "Pot 1"))
    async with database.begin() as session:
        files = {"garden.csv": GARDEN.replace("Mallow End", "Mallow Hill").encode()}
        await import_records(session, files, SAY, NOW, await session.merge(garden))
    assert (await one(database, Garden)).name == "Mallow Hill"


async def test_a_known_garden_with_no_files_is_told_which_there_are(database: Database) -> None:
    await bring(database, garden=GARDEN)
    async with database.begin() as session:
        report = await import_records(session, {}, SAY, NOW, (await session.scalars(select(Garden))).one())
    assert len(report.problems) == 1
    assert "members, plots, places" in said(report)[0]


async def test_other_files_of_the_folder_are_said_to_be_skipped(database: Database) -> None:
    report = await bring_files(database, {"garden.csv": GARDEN.encode(), "shopping.csv": b"what\nseed\n"})
    assert (report.stored, report.skipped) == (True, ("shopping.csv",))
