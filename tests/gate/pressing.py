"""A garden in the middle of its season with a button of every kind, and presses whatever a message shows by now."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta

from sqlalchemy import select

from bot.chat.warnings.manual_words import code
from bot.chat.wire import keyboards
from bot.chat.wire.world import Message
from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Cover
from bot.core.tasks.daily_work import Part
from bot.core.warnings.assumed import ColdNight
from bot.core.warnings.hazards import TaskKind
from bot.services.garden.setup import Question
from bot.services.growing import week
from bot.storage.garden import gardens
from bot.storage.models import (
    Ask,
    Away,
    Entry,
    Errand,
    Knock,
    Member,
    Outbox,
    Person,
    PlaceReport,
    Setup,
    Task,
    Thermometer,
    Warning,
)
from bot.storage.states import ErrandKind, ErrandState
from tests.support.paged import pages
from tests.support.talk import Talk, labels

__all__ = ["Button", "buttons", "lived_in", "pressed"]


@dataclass(frozen=True, slots=True)
class Button:
    """data, and the message under which it stands; user: who it was shown to, None in the group."""

    data: str
    message: Message
    user: int | None


async def pressed(lane: Talk, user: int, data: str, message: Message) -> list[Message]:
    lane.stage.api.press(user, replace(message, keyboard=[[{"text": "x", "callback_data": data}]]), "x")
    return await lane.settled()


async def buttons(lane: Talk) -> dict[str, list[Button]]:
    """All that the bot has ever put under its messages, by kind, the newest first."""
    found: dict[str, dict[str, Button]] = defaultdict(dict)
    async with lane.stage.app.database.begin() as session:
        rows = list(await session.scalars(select(Outbox).order_by(Outbox.id.desc())))
    sent = {row.id: row for row in rows}
    for row in rows:
        shown = sent.get(row.edits or row.id, row)
        message = lane.stage.api.messages.get((shown.chat_id, shown.message_id or 0))
        keyboard = (row.payload.get("reply_markup") or {}).get("inline_keyboard", ())
        for data in (key.get("callback_data") for line in keyboard for key in line):
            if data and message is not None:
                user = shown.chat_id if shown.chat_id > 0 else None
                found[data.partition(":")[0]].setdefault(data, Button(data, message, user))
    return {kind: list(of.values()) for kind, of in found.items()}


async def lived_in(lane: Talk) -> dict[str, list[Button]]:
    """Miriam organises, Owen and Tobias are members, Edith is on the list without an account, and so is a newcomer's name.

    Gives buttons of every kind: those that were shown, and those that only a later day would show.
    """
    async with lane.stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        session.add(Thermometer(garden_id=garden.id, name="Shed", height_m=1.5, shaded=True))
    for who, text in (
        ("Miriam", "/members add Edith"),
        ("Miriam", "/keys"),
        ("Miriam", "/limits"),
        ("Miriam", "/setup heard"),
        ("Miriam", "/hoseban"),
        ("Miriam", "/oncall"),
        ("Miriam", "/places bed 9 in plot 3, 6 ft x 3 ft"),
        ("Miriam", "runner beans not out before 20 May here"),
        ("Miriam", "/own yacon"),
        ("Miriam", "/calendar 12-20 May plant out runner beans"),
        ("Miriam", "/setup"),
        ("Tobias", "/wishes"),
        ("Tobias", "/me"),
        ("Miriam", "/language"),
        ("Miriam", "/wording the language I speak with you = which language I speak with you"),
        ("Miriam", "/wording"),
        ("Tobias", "/language"),
        ("Tobias", "/help"),
        ("Tobias", "/crop runner beans 20"),
        ("Tobias", "can somebody help me move the shed on Saturday?"),
        ("Tobias", "3 kg potatoes from pot 1"),
        ("Miriam", "/journal"),
        ("Tobias", "watered the beans"),
        ("Tobias", "4 on the shed thermometer"),
        ("Owen", "2 kg potatoes from pot 1"),
        ("Miriam", "/warn cold tonight -3"),
    ):
        await lane.write(who, text)
    await pages(lane, "Marcus", "/week")
    await lane.write("Miriam", "/setup", group=True)
    lane.stage.api.send_file(lane.user("Miriam"), lane.user("Miriam"), "places.csv", b"name,kind\nBed 30,bed\n")
    await lane.settled()
    found = await buttons(lane)
    for page in [one for one in found["wish"] if ":page:" in one.data]:
        await pressed(lane, lane.user("Tobias"), page.data, page.message)
    group = found["glang"][0]
    await pressed(lane, lane.user("Miriam"), group.data, group.message)
    call = next(one for one in found["warn"] if ":go:" in one.data)
    await pressed(lane, lane.user("Miriam"), call.data, call.message)
    await lane.look()
    standing = next(one for one in reversed(lane.group()) if "I'll do it" in labels(one))
    await lane.press("Owen", standing, "I'll do it")
    (question,) = await lane.press("Tobias", standing, "Done")
    await lane.press("Tobias", question, "All jobs")
    await lane.press("Tobias", standing, "Not done")
    await lane.write("Miriam", "/calloff")
    await lane.write("Owen", "/swap")
    for one in (await buttons(lane))["job"]:
        await pressed(lane, lane.user("Marcus"), one.data, one.message)
        shown = await buttons(lane)
        if "jshare" in shown and len(shown.get("jlater", ())) > 3:  # one of them is done before another is put off
            break
    shown = await buttons(lane)
    for kind, more in [*(await _later(lane)).items(), *(await _ticks(lane)).items()]:
        shown[kind] = more + shown.get(kind, [])
    return shown


async def _ticks(lane: Talk) -> dict[str, list[Button]]:
    """As under Done of a job at several places."""
    app, now, tobias = lane.stage.app, lane.stage.clock.at, await lane.member("Tobias")
    async with app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        member = await session.get_one(Member, tobias)
        found = await week.answer(session, garden, member, app.source, now)
    *_, one, other = [job for job in found.week.jobs if job.place_ids]
    data = f"jtick:{keyboards.job_id(one)}:{one.place_ids[0]}", f"jall:{keyboards.job_id(other)}"
    message, user = lane.private("Tobias")[-1], lane.user("Tobias")
    return {text.partition(":")[0]: [Button(text, message, user)] for text in data}


async def _later(lane: Talk) -> dict[str, list[Button]]:
    """What stands there on other days, with the rows that it speaks of."""
    at, today = lane.stage.clock.at, lane.stage.clock.at.date()
    async with lane.stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        of = {
            one.person.name: one for one in await session.scalars(select(Member).where(Member.garden_id == garden.id))
        }
        warning = (await session.scalars(select(Warning))).one()
        duty = (await session.scalars(select(Task).order_by(Task.id.desc()))).first()
        assert duty is not None
        newcomer = Member(garden_id=garden.id, person=Person(name="Edith", user_id=4711), adult=False, joined_at=at)
        turn = Task(
            garden_id=garden.id, on=today, part=Part.MORNING, kind=TaskKind.DRAIN, minutes=5, starts_at=at,
            due_at=at + timedelta(hours=3),
        )  # fmt: skip
        session.add_all([newcomer, turn])
        session.add(Ask(task_id=duty.id, member_id=of["Edith"].id, asked_at=at))
        rehearsal = Errand(
            garden_id=garden.id, member_id=of["Miriam"].id, chat_id=1, kind=ErrandKind.REHEARSAL, asked_at=at,
            state=ErrandState.DONE, asked={"answering": "yes", "pages": ["one", "two"]},
        )  # fmt: skip
        session.add(rehearsal)
        await session.flush()
        away = Away(member_id=of["Tobias"].id, from_on=today + timedelta(days=2), to_on=today + timedelta(days=4))
        told = PlaceReport(
            place_id=duty.place_id, did=Did.COVERED, cover=Cover.FLEECE, at=at, until_at=at + timedelta(hours=12)
        )
        session.add_all([away, told])
        await session.flush()
        setup = (await session.scalars(select(Setup).where(Setup.person_id == of["Miriam"].person_id))).one()
        setup.asks, setup.garden_id = Question.LAY, garden.id
        session.add(Ask(task_id=turn.id, member_id=of["Tobias"].id, asked_at=at))
        session.add(Knock(member_id=newcomer.id, shown="Edith", asked_at=at))
        ids = {name: member.id for name, member in of.items()}
        tobias, edith = ids["Tobias"], ids["Edith"]
        entry = (
            await session.scalars(select(Entry.id).where(Entry.member_id == ids["Owen"]).order_by(Entry.id))
        ).first()
        call, helped, asked = (
            code(ColdNight(today + timedelta(days=1), -4.0)),
            f"helped:{warning.id}:{edith}",
            newcomer.id,
        )
        given = {
            "Miriam": [
                *(f"who:{ids['Marcus']}:{deed}" for deed in ("organiser", "child", "hand", "gone", "card")),
                *(f"who:{edith}:{deed}" for deed in ("code", "coded", f"by{ids['Deepa']}", "forgotten")),
                f"knock:{asked}:{edith}", f"knock:{asked}:{edith}:sure", f"knock:{asked}:no",
                f"key:1:held:{ids['Deepa']}", "key:1:lost", f"off:{warning.id}:go", f"warn:{garden.id}:go:{call}",
                f"report:{garden.id}:{today.year}:{today.isoformat()}", f"unlearn:{garden.id}", "ruleback:0", "own:1:fkills",
                f"place:{garden.id}:add", f"back:{garden.id}:here",
                f"played:{rehearsal.id}:1", f"helps:{edith}:no", f"bind:{garden.id}:-100500",
                *(f"{helped}:{deed}" for deed in ("yes", "no", "told", "done")), f"notso:{entry}:yes",
                f"setup:{setup.id}:lay:hollow",
            ],
            "Tobias": [
                f"home:{tobias}:yes", f"home:{tobias}:help", f"cold:{warning.id}:-3", f"garden:{garden.id}", "week:5",
                "out:all", "notes:0", "more:1:out:all", f"more:1:yes:{warning.id}", f"whole:{warning.id}",
                *(f"walk:{deed}:{turn.id}" for deed in ("done", "no", "take")), f"mine:{of['Tobias'].person_id}:yes",
                *(f"still:{tobias}:{deed}" for deed in ("less", "left")), f"away:{tobias}:back:{away.id}",
                f"ison:{warning.id}", f"so:{warning.id}:all", f"stays:{told.id}", f"left:{warning.id}",
            ],
            **{name: [f"no:{warning.id}"] for name in ("Leila", "Marcus")},
            "Kasia": [f"no:{warning.id}", f"adult:{ids['Kasia']}:no"],
            "Deepa": [f"no:{warning.id}", f"swap:{warning.id}:yes:{ids['Owen']}"],
        }  # fmt: skip
    found: dict[str, list[Button]] = defaultdict(list)
    for name, every in given.items():
        for data in every:
            found[data.partition(":")[0]].append(Button(data, lane.private(name)[-1], lane.user(name)))
    return found
