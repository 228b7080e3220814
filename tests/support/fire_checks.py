"""What must hold after the bot was killed again and again: each check raises AssertionError, naming what is wrong.

What had to be said is read from the rows of warnings and asks, not from the outbox; what was said, from the platform.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select, text
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.wire.inbox import RETRY_AFTER
from bot.core.garden.place_state import OFF, UNDOES
from bot.services.tasks.daily.walk_views import by_walk
from bot.storage.models import Ask, Inbox, Member, Outbox, Person, PlaceReport, Task, TaskReport, Warning
from bot.storage.session import Database
from bot.storage.states import AskState, SendState, TaskState, WarningState
from tests.support.bot_api import BotApiServer
from tests.support.garden_bot import EFFECTS
from tests.support.neighbours import Press

__all__ = ["Aftermath", "aftermath"]

AGAIN = ":again"
#: Urgency of warnings and duties.
WARNING = 0
GROUP_CALLS = ("heads-up", "call", "worse", "too late", "open call")


@dataclass(frozen=True, slots=True)
class Aftermath:
    """Everything that is left when the fortnight is over. effects: update ids, one for each time one took effect."""

    rows: dict[str, Outbox]
    inbox: dict[int, Inbox]
    effects: Counter[int]
    warnings: dict[int, Warning]
    duties: dict[int, Task]  # of warnings
    asks: list[Ask]  # for them
    reports: list[TaskReport]
    place_reports: list[PlaceReport]
    walks: dict[int, list[Task]]  # of days, by the number that their buttons name
    walk_asks: list[tuple[int, Ask]]  # for the first task of each, with that number
    users: dict[int, int]  # account by member
    blocked: set[int]  # accounts that the bot may not write to any more
    arrived: dict[int, list[str]]  # by chat, texts in the order of arrival
    presses: dict[int, Press]  # by update id
    sound: list[str]

    def check(self) -> None:
        self.database_is_sound()
        self.every_message_was_settled()
        self.what_arrived_is_what_was_sent()
        self.repeats_are_marked_and_only_of_uncertain_sends()
        self.every_warning_was_told()
        self.every_ask_was_told()
        self.every_walk_was_told_once()
        self.chats_are_in_order()
        self.every_press_took_effect_once()
        self.states_are_those_that_were_pressed()
        self.reports_are_of_those_who_pressed_done()
        self.done_is_what_was_reported()

    def database_is_sound(self) -> None:
        assert self.sound == ["ok"], self.sound

    def every_message_was_settled(self) -> None:
        """Nothing hangs; what was let go of had passed the moment written into it, or was replaced by a newer change."""
        for row in self.rows.values():
            assert row.state not in (SendState.PENDING, SendState.SENDING), f"{row.key} is {row.state}"
            if row.state is SendState.EXPIRED and row.error == "too late":
                assert row.expires_at is not None and row.settled_at is not None
                assert row.expires_at <= row.settled_at, f"{row.key} was given up before its time"
            elif row.state is SendState.EXPIRED:
                assert row.edits is not None, f"{row.key}: {row.error}"
                assert any(each.id > row.id for each in self._changes_of(row)), f"{row.key} was replaced by nothing"
            elif row.state is SendState.FAILED:
                assert "Forbidden" in (row.error or "") or row.edits is not None, f"{row.key}: {row.error}"

    def what_arrived_is_what_was_sent(self) -> None:
        """Each text of each chat: as often as it was sent, or at most once more for each uncertain send of it."""
        sent, unsure = Counter[tuple[int, str]](), Counter[tuple[int, str]]()
        for row in self._new_messages():
            sent[row.chat_id, row.payload["text"]] += row.state is SendState.SENT
            unsure[row.chat_id, row.payload["text"]] += row.state is SendState.UNCERTAIN
        came = Counter((chat, words) for chat, texts in self.arrived.items() for words in texts)
        for which in sent.keys() | came.keys():
            assert sent[which] <= came[which] <= sent[which] + unsure[which], (which, sent[which], came[which])

    def repeats_are_marked_and_only_of_uncertain_sends(self) -> None:
        for key, row in self.rows.items():
            if key.endswith(AGAIN):
                first = self.rows[key.removesuffix(AGAIN)]
                assert first.state is SendState.UNCERTAIN, f"{key} was repeated though {first.state}"
                assert row.payload["text"].startswith(row.payload["again_prefix"]), f"{key} is not marked"
        for row in self._new_messages():
            if row.urgency == WARNING and row.state is SendState.UNCERTAIN and "Forbidden" not in (row.error or ""):
                repeats = row.key.count(AGAIN)
                assert f"{row.key}{AGAIN}" in self.rows or repeats >= 5, f"{row.key} was left uncertain"

    def every_warning_was_told(self) -> None:
        cold = {one.window_on: one for one in self.warnings.values() if one.hazard == "cold"}
        for warning in self.warnings.values():
            if warning.hazard == "cold" and _is_of_spell(warning, cold):
                continue  # it was told of with the night before, or goes on in the next; tests/warnings/test_a_spell_of_nights.py
            for kinds in _steps(warning):
                since = warning.detected_at.isoformat()
                keys = [key for kind in kinds if (key := f"warning:{warning.id}:{kind}:{since}") in self.rows]
                assert keys, f"{warning.hazard} of {warning.window_on}: nobody was told ({', '.join(kinds)})"
                self._told_or_late(keys[0])

    def every_ask_was_told(self) -> None:
        """Each member asked for a duty, and each reminded, by a private message of the same moment."""
        for ask in self.asks:
            duty = self.duties[ask.task_id]
            if ask.why == "OFFERED" or ask.member_id not in self.users:
                continue
            for at in filter(None, (ask.asked_at, ask.reminded_at)):
                # One message is about everything that was asked of somebody at that moment.
                end = f":{at.isoformat()}"
                asks = [key for key in self.rows if key.startswith("ask:") and key.endswith(end)]
                keys = [key for key in asks if key.split(":")[2] == str(ask.member_id)]
                assert keys, f"member {ask.member_id} never heard of duty {duty.id}"
                self._told_or_late(keys[0])

    def every_walk_was_told_once(self) -> None:
        """Each member who has a walk of a day by turns, by one list; and none is done that nobody said so of."""
        pressed = {(press.user, *one[:2]) for press in self.presses.values() for one in _verbs(press)}
        for number, ask in self.walk_asks:
            if ask.member_id not in self.users:
                continue
            keys = [key for key in self.rows if _is_list(key, number, ask.member_id)]
            assert len(keys) == 1, f"member {ask.member_id} heard {len(keys)} times of walk {number}"
            self._told_or_late(keys[0])
            user = self.users[ask.member_id]
            if ask.state is AskState.PASSED and user not in self.blocked:
                assert (user, "walk:no", number) in pressed, f"walk {number}: who said no?"
        for number, walk in self.walks.items():
            for task in walk:
                if task.state is TaskState.DONE:
                    assert task.done_by is not None
                    by = self.users[task.done_by]
                    assert (by, "walk:done", number) in pressed, f"walk {number}: who has done it?"

    def _told_or_late(self, key: str) -> None:
        """A message arrived; or it expired, a call for help not before its hazard had come to an end; or was refused."""
        row = self.rows[key]
        while (repeat := self.rows.get(f"{row.key}{AGAIN}")) is not None:
            row = repeat
        texts = {self.rows[key].payload["text"], row.payload["text"]}
        if texts & set(self.arrived[row.chat_id]) or row.state is SendState.FAILED:
            return
        assert row.state is SendState.EXPIRED, f"{key} never arrived, and is {row.state}"
        kind = key.split(":")[2]
        if key.startswith("warning:") and kind in GROUP_CALLS:
            warning = self.warnings[int(key.split(":")[1])]
            assert row.settled_at is not None and row.settled_at >= warning.ends_at, f"{key} expired too early"

    def chats_are_in_order(self) -> None:
        """What is as urgent arrives in the order in which it was queued; repeats come when they are known to be due."""
        for chat, texts in self.arrived.items():
            place = {words: n for n, words in reversed([*enumerate(texts)])}
            for urgency in (0, 1, 2):
                mine = [row for row in self._new_messages() if (row.chat_id, row.urgency) == (chat, urgency)]
                once = Counter(row.payload["text"] for row in mine)
                firsts = [row for row in mine if AGAIN not in row.key and once[row.payload["text"]] == 1]
                order = [
                    (place[row.payload["text"]], row.key)
                    for row in sorted(firsts, key=lambda row: row.id)
                    if row.payload["text"] in place
                ]
                assert order == sorted(order), f"chat {chat}: {[key for _, key in order]}"

    def every_press_took_effect_once(self) -> None:
        for row in self.inbox.values():  # what the database cut off is tried again, and keeps the error of that time
            assert row.done_at is not None and row.attempts <= len(RETRY_AFTER), f"update {row.update_id}: {row.error}"
            assert row.error is None or row.attempts, f"update {row.update_id}: {row.error}"
        assert self.effects == Counter(self.inbox.keys())
        for update_id, press in self.presses.items():
            assert update_id in self.inbox, f"{press.button} of {press.user} was lost"
            answer = self.rows.get(f"reply:{update_id}:1")
            assert answer is not None, f"{press.button} of {press.user} was not answered"
            assert "something went wrong" not in answer.payload["text"], f"{press.button} of {press.user} failed"

    def states_are_those_that_were_pressed(self) -> None:
        """Nobody has said yes or no who did not press it, or reported it done; whoever was thanked for a yes has the duty."""
        pressed = {(press.user, *one[:2]) for press in self.presses.values() for one in _verbs(press)}
        reported = {(report.task_id, report.member_id) for report in self.reports if report.done}
        for ask in self.asks:
            user, warning_id = self.users.get(ask.member_id), self.duties[ask.task_id].cause_id
            if user is None:
                continue
            if ask.state is AskState.ACCEPTED:
                said = (user, "yes", warning_id) in pressed or (ask.task_id, ask.member_id) in reported
                assert said, f"ask {ask.id}: who said yes?"
            if ask.state is AskState.PASSED and user not in self.blocked:
                assert (user, "no", warning_id) in pressed, f"ask {ask.id}: who said no?"
        self._first_answers_are_not_taken_for_second_ones()

    def reports_are_of_those_who_pressed_done(self) -> None:
        """Each member reports a duty once, by a button that takes it; or what they had reported before lies on for it."""
        for task_id, reports in self._standing().items():
            twice = [member for member, n in Counter(one.member_id for one in reports).items() if n > 1]
            assert not twice, f"duty {task_id} was reported twice by {twice}"
        for report in (one for one in self.reports if one.done):
            duty = self.duties[report.task_id]
            lies_on = any(
                told.member_id == report.member_id
                and told.task_id not in (None, duty.id)
                and told.at <= report.reported_at
                for told in self.place_reports
                if told.place_id == duty.place_id
            )
            assert lies_on or self._took(report.member_id, duty), f"report {report.id}: who has done duty {duty.id}?"

    def done_is_what_was_reported(self) -> None:
        """By as many as it wants, or by somebody who said so of the whole of it; thanked for it is one who reported it."""
        standing = self._standing()
        for duty in (one for one in self.duties.values() if one.state is TaskState.DONE):
            by = {report.member_id for report in standing.get(duty.id, ())}
            if not by:  # there was nothing left to undo
                assert duty.kind in UNDOES, f"duty {duty.id} is done, and nobody said so"
                by = {one.member_id for one in self.place_reports if OFF.get(one.did) is UNDOES[duty.kind]}
            elif duty.people > len(by):
                whole = any(self._took(member, duty, whole=True) for member in by)
                carried = any(report.before is None for report in standing[duty.id])
                assert whole or carried, f"duty {duty.id} wants {duty.people}, and {len(by)} said their part"
            assert duty.done_by is None or duty.done_by in by, f"duty {duty.id}: who has done it?"

    def _standing(self) -> dict[int, list[TaskReport]]:
        """By duty, who has said done since it was last said that it is not."""
        found: dict[int, list[TaskReport]] = {}
        for report in self.reports:
            found[report.task_id] = [*found.get(report.task_id, []), report] if report.done else []
        return found

    def _took(self, member_id: int | None, duty: Task, *, whole: bool = False) -> bool:
        """Whether a member pressed a button that reports this duty; whole: one that says so of all of it."""
        user = self.users.get(member_id or 0)
        mine = (one for press in self.presses.values() if press.user == user for one in _verbs(press))
        deeds = {deed for verb, number, deed in mine if (verb, number) == ("done", duty.warning_id)}
        of_all = {"all", "mine-whole", f"t{duty.id}-whole"}
        return bool(
            deeds & (of_all if whole else {*of_all, "", "mine", "mine-part", f"t{duty.id}", f"t{duty.id}-part"})
        )

    def _first_answers_are_not_taken_for_second_ones(self) -> None:
        """Had a press been worked on twice, its lasting answer could be that the same had been said before."""
        known = set[tuple[int, int, str]]()
        for update_id, press in sorted(self.presses.items()):
            these = {(press.user, warning_id, verb) for verb, warning_id, _ in _verbs(press)}
            words = self.rows[f"reply:{update_id}:1"].payload["text"]
            if {verb for *_, verb in these} <= {"yes", "no"} and not these & known:
                assert "that already" not in words, f"{press.button} of {press.user}: {words}"
            known |= these

    def _changes_of(self, row: Outbox) -> list[Outbox]:
        """All changes of the message that this one changes, or of its repeats."""
        key_of = {each.id: each.key.replace(AGAIN, "") for each in self.rows.values()}
        changes = [(key_of[each.edits], each) for each in self.rows.values() if each.edits is not None]
        return [each for key, each in changes if row.edits is not None and key == key_of[row.edits]]

    def _new_messages(self) -> Iterable[Outbox]:
        return (row for row in self.rows.values() if row.method == "sendMessage")


def _steps(warning: Warning) -> list[tuple[str, ...]]:
    """The messages that the group must have had of a warning's last round; of each tuple one."""
    steps: list[tuple[str, ...]] = []
    if warning.announced_at is not None:
        steps.append(("heads-up",))
    if warning.called_at is not None:
        steps.append(("call", "too late"))
    if warning.state is WarningState.OVER and steps:
        steps.append(("called off",) if warning.cleared else ("after",))
    return steps if warning.called_at is not None or warning.cleared else steps[:1]


def _is_of_spell(warning: Warning, cold: Mapping[date, Warning]) -> bool:
    """Whether a message about another night may have spoken of this one, or its own end is told by an edit."""
    day = timedelta(days=1)
    return warning.window_on - day in cold or warning.window_on + day in cold


def _verbs(press: Press) -> list[tuple[str, int, str]]:
    """What the button does, to the warnings or the walk of which numbers, and what of it: "done:12:mine-whole", "walk:no:7",
    "yes:12-13" under a message that is about two.
    """
    data = next(key["callback_data"] for row in press.message.keyboard for key in row if key["text"] == press.button)
    parts = data.split(":")
    at = next(n for n, part in enumerate(parts) if part.replace("-", "").isdecimal())
    return [(":".join(parts[:at]), int(one), ":".join(parts[at + 1 :])) for one in parts[at].split("-")]


def _is_list(key: str, turn_id: int, member_id: int) -> bool:
    kind, _, rest = key.partition(":")
    walks, _, member = rest.partition(":")
    return kind == "walk" and str(turn_id) in walks.split("-") and member == str(member_id)


async def _sound(session: AsyncSession) -> list[str]:
    found = [str(row[0]) for row in await session.execute(text("PRAGMA integrity_check"))]
    return found + [str(row) for row in await session.execute(text("PRAGMA foreign_key_check"))]


async def aftermath(database: Database, server: BotApiServer, presses: Iterable[tuple[int, Press]]) -> Aftermath:
    arrived: dict[int, list[str]] = defaultdict(list)
    for parameters in server.made(["sendMessage"]):
        arrived[int(parameters["chat_id"])].append(parameters["text"])
    async with database.begin() as session:
        sound = await _sound(session) if database.is_sqlite else ["ok"]
        people = {row.id: row for row in await session.scalars(select(Person))}
        members = (await session.scalars(select(Member))).all()
        tasks = (await session.scalars(select(Task).order_by(Task.id))).all()
        walks = {walk[0].id: walk for walk in by_walk(task for task in tasks if task.warning_id is None)}
        asks = (await session.scalars(select(Ask).order_by(Ask.id))).all()
        duties = {task.id: task for task in tasks if task.warning_id is not None}
        reports = (await session.scalars(select(TaskReport).order_by(TaskReport.id))).all()
        return Aftermath(
            rows={row.key: row for row in await session.scalars(select(Outbox).order_by(Outbox.id))},
            inbox={row.update_id: row for row in await session.scalars(select(Inbox))},
            effects=Counter(await session.scalars(select(EFFECTS.c.update_id))),
            warnings={row.id: row for row in await session.scalars(select(Warning))},
            duties=duties,
            asks=[ask for ask in asks if ask.task_id in duties],
            reports=[report for report in reports if report.task_id in duties],
            place_reports=[*await session.scalars(select(PlaceReport).order_by(PlaceReport.id))],
            walks=walks,
            walk_asks=[(ask.task_id, ask) for ask in asks if ask.task_id in walks],
            users={row.id: user for row in members if (user := people[row.person_id].user_id)},
            blocked={row.user_id for row in people.values() if row.user_id and row.blocked_at},
            arrived=arrived,
            presses=dict(presses),
            sound=sound,
        )
