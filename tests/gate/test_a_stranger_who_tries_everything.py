"""One who means no good does all they can think of, in the group and privately, and gets nothing."""

from __future__ import annotations

from bot.chat.commands import COMMANDS
from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role
from tests.gate.lists import STRANGER, Gate, everything
from tests.support.village import AMIRA, GROUP, JOE

LISTED = "Wanda,organiser,yes,yes,20,Plot 7\nBen,member,yes,yes,12,Plot 3"
SECOND = 67
OTHER = -1002
#: What only members of the garden may read: its people, plots and place.
SECRETS = ("Wanda", "Plot 7", "Plot 3", "Tunnel key", "52.2", "Ben ")


def _leaks(said: list[Message], to: int) -> list[str]:
    return [one.text for one in said if one.chat_id == to for word in SECRETS if word in one.text]


async def test_somebody_outside_the_group_learns_and_changes_nothing_privately(gate: Gate) -> None:
    await gate.listing(LISTED)
    await gate.village.joined(JOE)
    api = gate.village.stage.api
    api.add_user(STRANGER, "Wanda", username="amira")  # the name of one organiser, the user name of another
    before = await everything(gate.database)
    said: list[Message] = []
    for command in COMMANDS:
        for tail in ("", " add Mallory", " Wanda", " 1", " picture", " new Tunnel", " tonight -9"):
            if command.WORD != "start":  # wrong codes are counted: test_codes.py
                said += await gate.village.write(STRANGER, f"/{command.WORD}{tail}")
    for text in ("Wanda", "I am Wanda", "done", "yes", "planted 12 lettuces in Bed 1", "-9 on the shed thermometer",
                 "beans not out before 20 May here", "12 pots in the yard, 30 litres", "what should I do?"):  # fmt: skip
        said += await gate.village.write(STRANGER, text)
    said += await gate.village.pin(STRANGER, 0.0, 0.0)
    api.send_file(STRANGER, STRANGER, "members.csv", b"name,role\nWanda,organiser\n")
    said += await gate.village.settled()
    assert await everything(gate.database) == before
    assert _leaks(said, STRANGER) == []
    assert {one.chat_id for one in said} == {STRANGER}, "nobody else hears of it"
    assert all(one.kind == "text" and "went wrong" not in one.text for one in said)


async def test_somebody_in_the_group_who_takes_a_name_takes_every_way_and_stays_a_plain_newcomer(gate: Gate) -> None:
    """Joins as an organiser is called, guesses codes, has a group of their own, is removed, and comes under another name."""
    await gate.listing(LISTED)
    await gate.village.joined(JOE)
    api = gate.village.stage.api
    gate.comes(STRANGER, "Wanda")
    await gate.joins(STRANGER)
    await gate.joins(STRANGER)
    await gate.village.write(STRANGER, "/start hello")
    await gate.village.tap(STRANGER, "Yes")
    for text in ("/export", "/members", "/setup", "/places bed 1", "/limits", "/rehearse", "/report", "/learned",
                 "/warn cold tonight -9", "/calloff", "/calendar 3 June seed swap", "/hoseban"):  # fmt: skip
        said = await gate.village.write(STRANGER, text)
        assert _leaks(said, STRANGER) == [] and all(one.kind == "text" for one in said), text
    for n in range(7):
        await gate.village.write(STRANGER, f"/start {n}23456789ABCD")
    assert "try again in" in api.said(STRANGER)[-1].text
    (refused,) = await gate.village.tap(STRANGER, "I am an organiser", chat=GROUP)
    assert "Only an administrator" in refused.text

    # A group of their own, in which they are the administrator.
    api.add_group(OTHER, "Elm Lane").statuses[STRANGER] = "creator"
    said = await gate.village.added(by=STRANGER, chat=OTHER)
    assert "Elm Lane" not in "".join(one.text for one in said)
    said = await gate.village.tap(STRANGER, "I am an organiser", chat=OTHER)
    assert "Plot" not in "".join(one.text for one in said)
    api.leave(api.bot.id, OTHER)
    await gate.village.settled()
    came = await gate.member(STRANGER)
    assert came is not None and (came.role, came.has_key, came.lift_kg) == (Role.MEMBER, False, None)
    assert ("Wanda", None) in await gate.names()

    # Taken off the list, they do not come back by themselves.
    await gate.village.write(AMIRA, "/members")
    card = [
        key for row in api.said(AMIRA)[-1].keyboard for key in row if key.get("callback_data") == f"who:{came.id}:card"
    ]
    await _open(gate, card[0]["callback_data"])
    await gate.village.tap(AMIRA, "Remove")
    await gate.village.tap(AMIRA, "Yes, remove")
    for _ in range(3):
        await gate.joins(STRANGER)
    assert await gate.member(STRANGER) is None

    # Another account, another spelling: the same question, and no more rights than anybody new.
    gate.comes(SECOND, "W\u200banda", last_name="\u202e(organiser)")
    await gate.joins(SECOND)
    second = await gate.member(SECOND)
    assert second is not None and second.role is Role.MEMBER and not second.has_key
    assert ("Wanda", None) in await gate.names()


async def _open(gate: Gate, data: str) -> None:
    gate.village.stage.api.press(AMIRA, gate.village.stage.api.said(AMIRA)[-1], data)
    await gate.village.settled()
