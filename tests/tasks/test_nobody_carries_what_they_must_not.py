"""Weights stand in every list; what members must not lift, or must not do, comes to them by no door.

Figures: HSE INDG143(rev4), L23 and research report 228 (see tests/people/test_lifting.py). By these, two push 40 kg
on a trolley who lift 15 kg, 60 kg wants two who lift 22.5 kg, and 90 kg stays where it stands.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import delete, select, update

from bot.chat.season import wall
from bot.chat.warnings.told import Told
from bot.core.people.lifting import HANDLED
from bot.core.tasks.daily_work import Part
from bot.core.warnings.hazards import TaskKind
from bot.i18n import say
from bot.services.garden import place_ledger
from bot.services.look import look
from bot.services.tasks import answers, completion, swap
from bot.services.tasks.answers import Reply, Walk
from bot.services.tasks.swap import Swap
from bot.services.warnings.views import view
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, Member, OnCall, Person, Place, Planting, Task, Warning
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.paged import whole
from tests.support.talk import COLD, GALE, Talk, texts

KEEPING = (AskState.ASKED, AskState.ACCEPTED)
EVERYBODY = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Robin")


async def heavy(lane: Talk) -> None:
    """Tubs of 40, 60 and 90 kg beside the pots, and a frost tonight. Marcus lifts nothing, as Leila does."""
    await lane.change("Marcus", lift_kg=0)
    async with lane.stage.app.database.begin() as session:
        for name, kg in (("Pot 1", 40), ("Pot 2", 60), ("Pot 4", 90)):
            await session.execute(update(Place).where(Place.name == name).values(wet_kg=kg))
    lane.weather([calm(), COLD])
    await lane.look()


async def on(lane: Talk, *tasks: TaskKind) -> dict[str, set[str]]:
    """Who is on which place, of these tasks."""
    async with lane.stage.app.database.begin() as session:
        query = (
            select(Place.name, Person.name)
            .select_from(Ask)
            .join(Task, Task.id == Ask.task_id)
            .join(Place, Place.id == Task.place_id)
            .join(Member, Member.id == Ask.member_id)
            .join(Person, Person.id == Member.person_id)
            .where(Ask.state.in_(KEEPING), Task.state != TaskState.DROPPED, Task.kind.in_(tasks))
        )
        rows = await session.execute(query)
        found: dict[str, set[str]] = {}
        for place, person in rows:
            found.setdefault(place, set()).add(person)
        return found


async def test_the_weight_stands_in_every_list_that_asks_for_hands(lane: Talk) -> None:
    await heavy(lane)
    assert "Heavy pot? Two people" in lane.standing().text
    group = await lane.whole()
    assert "About 40\N{NO-BREAK SPACE}kg: two people with a trolley. Rest after 20\N{NO-BREAK SPACE}m at most." in group
    assert "No trolley? Cover it where it is." in group
    assert "About 60\N{NO-BREAK SPACE}kg: two people with a trolley" in group
    assert (
        "About 18\N{NO-BREAK SPACE}kg: 3 people together." in group
        and "About 13\N{NO-BREAK SPACE}kg: 2 people together." in group
    )
    (covered,) = [line for line in group.splitlines() if "Cover: Pot 4" in line]
    assert "Too heavy to bring in, so it stays where it is." in covered
    carrier = min((await on(lane, TaskKind.BRING_IN))["Pot 2"])
    assert "About 60\N{NO-BREAK SPACE}kg" in lane.private(carrier)[-1].text
    assert "About 60\N{NO-BREAK SPACE}kg" in texts(await lane.write(carrier, "/turns"))


async def test_the_week_says_the_weight_too(lane: Talk) -> None:
    await heavy(lane)
    carrier = min((await on(lane, TaskKind.BRING_IN))["Pot 2"])
    assert "About 60\N{NO-BREAK SPACE}kg: two people with a trolley" in (await whole(lane, carrier, "/week"))
    (coverer,) = (await on(lane, TaskKind.COVER))["Pot 4"]
    (line,) = [one for one in (await whole(lane, coverer, "/week")).splitlines() if "Too heavy to bring in" in one]
    assert "(Pot 4)" in line, "it is said of the heavy one alone"


async def test_only_whoever_is_glad_to_lift_so_much_is_asked_for_it(lane: Talk) -> None:
    await heavy(lane)
    found = await on(lane, TaskKind.BRING_IN)
    assert found["Pot 2"] == {"Tobias", "Owen"}, "the two who lift 25 kg"
    assert not found["Pot 1"] & {"Leila", "Marcus", "Robin", "Kasia"}, "0, 0, a child, and 12 kg"
    assert "Pot 4" not in found


@pytest.mark.parametrize(("name", "refused"), [("Marcus", "heavier than you said"), ("Robin", "Only adults")])
async def test_by_no_door_does_a_load_come_to_whoever_must_not_lift_it(lane: Talk, name: str, refused: str) -> None:
    await heavy(lane)
    async with lane.stage.app.database.begin() as session:  # all else is done, and nobody is on the loads
        (warning,) = await session.scalars(select(Warning))
        owen = (await session.scalars(select(Member).join(Person).where(Person.name == "Owen"))).one()
        for duty in await session.scalars(select(Task).where(Task.kind.not_in(HANDLED))):
            duty.state = TaskState.DONE
            await place_ledger.by_duty(session, warning.ends_at, duty, owen.id, lane.stage.clock.at)
        await session.execute(delete(Ask))
    # the open call and the group's message
    assert refused in texts(await lane.press(name, lane.standing(), "I'll do it"))
    # the rota, at the next looks
    await lane.until(4, "12:00", every_min=60)
    assert name not in set().union(*(await on(lane, *HANDLED)).values())
    # one more person, of whoever is on a load
    carrier = await _carrier(lane)
    await lane.press(carrier, lane.private(carrier)[-1], "I'll do it" if carrier != "Kasia" else "Zrobię to")
    assert refused in texts(await lane.press(name, lane.standing(), "I'll do it"))
    await lane.press(carrier, lane.private(carrier)[-1], "One more person")
    await lane.look()
    call = next(one for one in reversed(lane.group()) if "one more person" in one.text)
    said = texts(await lane.press(name, call, "I'll do it"))
    assert refused in said
    # a swap
    async with lane.stage.app.database.begin() as session:
        giver, taker = [
            (await session.scalars(select(Member).join(Person).where(Person.name == one))).one()
            for one in (carrier, name)
        ]
        warning = (await session.scalars(select(Warning))).one()
        row = await session.get_one(Garden, giver.garden_id)
        garden = await gardens.snapshot(session, row)
        against = await swap.hindrance(session, garden, warning, giver, taker, lane.stage.clock.at)
        assert against is (Swap.TOO_HEAVY if name == "Marcus" else Swap.ADULTS_ONLY)
        # a walk by turns, whose cans are carried, and the week on call
        task = Task(
            garden_id=row.id, on=lane.stage.clock.at.date(), part=Part.MORNING, place_id=1, kind=TaskKind.WATER, minutes=20,
            state=TaskState.OPEN, starts_at=lane.stage.clock.at, due_at=lane.stage.clock.at + timedelta(hours=3),
        )  # fmt: skip
        session.add(task)
        await session.flush()
        walk = Walk((task,))
        wanted = Reply.TOO_HEAVY if name == "Marcus" else Reply.ADULTS_ONLY
        assert (await answers.accept(session, walk, taker, lane.stage.clock.at)).reply is wanted
        if name == "Robin":
            assert (await completion.done(session, walk, taker, lane.stage.clock.at)).reply is Reply.ADULTS_ONLY
            assert not (await session.scalars(select(OnCall).where(OnCall.member_id == taker.id))).all()
        await session.delete(task)
    # the week
    week = await whole(lane, name, "/week")
    assert "Bring in" not in week and "Lay down" not in week
    assert name not in set().union(*(await on(lane, *HANDLED)).values())


async def _carrier(lane: Talk) -> str:
    found = await on(lane, TaskKind.BRING_IN)
    return min(found["Pot 1"])


async def test_the_week_says_what_was_left_out_and_why(lane: Talk) -> None:
    await heavy(lane)
    async with lane.stage.app.database.begin() as session:
        await session.execute(delete(Ask))  # what is asked of somebody is theirs, and on no other list
    week = await whole(lane, "Marcus", "/week")
    assert "Not on your list, because it is too heavy for you" in week and "Pot 1" in week
    child = await whole(lane, "Robin", "/week")
    assert "Do this together with your adult." in child and "You can hold, bring and count things" in child
    for word in ("Bring in", "Pin down", "Cover:", "Tie", "Shade"):
        assert word not in child


async def test_a_childs_week_before_a_gale_pins_nothing_down(lane: Talk) -> None:
    lane.weather([calm(), GALE])
    await lane.look()
    assert "Tunnel" in lane.standing().text
    child = await whole(lane, "Robin", "/week")
    assert "Tunnel" not in child and "Pot 1" not in child


async def test_whoever_was_asked_and_lifts_less_now_takes_nothing_heavy_by_the_old_button(lane: Talk) -> None:
    await heavy(lane)
    question = lane.private("Owen")[-1]
    await lane.change("Owen", lift_kg=0)
    said = await lane.press("Owen", question, "I'll do it")
    assert "Owen" not in set().union(*(await on(lane, *HANDLED)).values()), texts(said)


async def test_whoever_says_that_they_lift_nothing_any_more_is_freed_of_it(lane: Talk) -> None:
    await heavy(lane)
    await lane.press("Owen", lane.private("Owen")[-1], "I'll do it")
    (card,) = await lane.write("Owen", "/wishes")
    await lane.press("Owen", card, "Change lifting")
    said = await lane.press("Owen", card, "No lifting")
    assert "too heavy for you, so I ask others:" in texts(said) and "Pot 2" in texts(said)
    assert "Owen" not in set().union(*(await on(lane, *HANDLED)).values())


async def test_what_was_laid_down_is_stood_up_only_by_whoever_lifts_so_much(lane: Talk) -> None:
    """A tall pot of 12 kg is laid down before a gale: half of that from the ground asks 15 kg of one, see INDG143."""
    await lane.change("Marcus", lift_kg=0)
    async with lane.stage.app.database.begin() as session:
        thin = {"width_m": 0.25, "length_m": 0.25, "height_m": 0.3, "volume_l": 12, "wet_kg": 12}
        pot_id = await session.scalar(select(Place.id).where(Place.name == "Pot 4"))
        await session.execute(update(Place).where(Place.id == pot_id).values(**thin))
        await session.execute(update(Planting).where(Planting.place_id == pot_id).values(height_cm=160, crop="tomato"))
    lane.weather([calm(), GALE])
    await lane.look()
    tilted = await on(lane, TaskKind.LAY_DOWN)
    assert tilted, lane.standing().text
    assert not {"Leila", "Marcus", "Robin", "Kasia"} & set().union(*tilted.values())
    (line,) = [line for line in lane.standing().text.splitlines() if "Lay down" in line]
    assert "About 12\N{NO-BREAK SPACE}kg." in line
    (who,) = tilted["Pot 4"]
    await lane.write(who, "I'll do it")
    await lane.write(who, "done")
    await lane.until(5, "23:00", every_min=60)
    lane.weather([calm()] * 2)
    await lane.until(6, "12:00", every_min=60)
    standing = await on(lane, TaskKind.STAND_UP)
    assert standing and not {"Leila", "Marcus", "Robin", "Kasia"} & set().union(*standing.values())
    assert "About 12\N{NO-BREAK SPACE}kg." in texts(lane.group())


async def test_hands_beyond_three_do_not_stop_the_watch(lane: Talk) -> None:
    """The rule for teams is published for two and three: a fourth pair of hands makes it no lighter by it."""
    await lane.change("Leila", lift_kg=25)
    lane.weather([calm(), COLD])
    await lane.look()
    carrier = min((await on(lane, TaskKind.BRING_IN))["Pot 1"])
    await lane.press(carrier, lane.private(carrier)[-1], "I'll do it")
    await lane.press(carrier, lane.private(carrier)[-1], "One more person")
    await lane.look()
    people = [duty.people for duty, _ in await lane.duties() if duty.kind is TaskKind.BRING_IN]
    assert max(people) == 4
    assert "About 18\N{NO-BREAK SPACE}kg each: 4 people for each one." in lane.standing().text


async def test_the_sheet_at_the_gate_says_the_weight(lane: Talk) -> None:
    await heavy(lane)
    async with lane.stage.app.database.begin() as session:
        row = (await session.scalars(select(Garden))).one()
        outlook = await look(session, row, Source(f"file:{lane.forecast}"), lane.stage.clock.at)
        shown = [await view(session, one, outlook) for one in await session.scalars(select(Warning))]
    said = wall.warnings(Told(say("en", "Europe/London"), outlook.crops, lane.stage.clock.at), shown, has_forecast=True)
    (line,) = [line for line in said if line.startswith("Bring in, into ") and "Pot 2" in line]
    assert "About 60\N{NO-BREAK SPACE}kg: two people with a trolley" in line
