"""Names as accounts bring them: nothing that cannot be seen is kept, and nothing that is shown can be tapped."""

from __future__ import annotations

import re
import unicodedata

import pytest

from bot.core.people.names import clean, untappable
from tests.gate.lists import STRANGER, Gate
from tests.support.village import AMIRA, GROUP, JOE

#: As the Bot API tells what a chat app finds in plain text by itself (MessageEntity, Bot API 10.0); reduced to its core.
TAPPED = re.compile(
    r"(?:^|[^\w/])/\w"  # bot_command
    r"|@\w|#\w"  # mention, hashtag
    r"|[^\W\d_][\w-]*\.[^\W\d_]{2,}"  # url and email: a domain
    r"|\w+://\w"  # url with a scheme
    r"|\d+\.\d+\.\d+\.\d+"  # url: an address of numbers
)
HOSTILE = (
    "http://evil.example/x", "https://t.me/evil", "t.me/evil", "/start", "/forget@evil_bot", "@evilbot", "a@evil.example",
    "#win", "tg://resolve?domain=evil", "evil.example", "127.0.0.1", "Anna /kick", "<b>Anna</b>", "Anna&amp;",
)  # fmt: skip
UNSEEN = (
    "\u202e",
    "\u200b",
    "\u200d",
    "\u2066",
    "\ufeff",
    "\u00ad",
    "\x00",
    "\x1b",
    "\u2028",
    "\u3164",
    "\u2800",
    "\U000e0041",
)


@pytest.mark.parametrize("sign", UNSEEN)
def test_signs_that_cannot_be_seen_are_not_kept(sign: str) -> None:
    assert clean(f"{sign}An{sign}na{sign} B.") in ("Anna B.", "An na B.")
    assert clean(sign * 3) == ""


@pytest.mark.parametrize(
    "name", ["Żaneta", "Ngô", "Ольга", "نور", "สมชาย", "J. Smith-Jones", "O'Neill", "李", "Ann 2", "🌻"]
)
def test_names_of_people_stay_as_they_are(name: str) -> None:
    assert clean(name) == unicodedata.normalize("NFC", name)
    assert untappable(name) == name


def test_a_name_is_bounded_in_length_and_in_height() -> None:
    assert len(clean("A" * 500)) == 80
    assert len(clean("Z" + "\u0335\u0301" * 200)) < 6


@pytest.mark.parametrize("name", HOSTILE)
async def test_no_message_that_names_somebody_has_anything_to_tap(gate: Gate, name: str) -> None:
    await gate.listing(f'"{name} the first",member,yes,no,12,Plot 3')
    gate.comes(STRANGER, name, last_name="\u202eZ")
    said = await gate.joins(STRANGER)
    said += await gate.village.write(STRANGER, "/start hello")
    said += await gate.village.tap(STRANGER, "Yes")
    for command in ("/members", "/oncall", "/keys", "/me", f"/members add {name} junior"):
        said += await gate.village.write(AMIRA, command)
    said += gate.village.stage.api.said(GROUP)
    # What the bot itself offers to be tapped is taken out: its commands.
    ours = re.compile(r"/(?:start|members|week|wishes|help|me|keys|setup|away|oncall|places)\b(?! the| Z| junior)")
    hit = re.compile(re.escape(untappable(name)[:20]))
    named = [one.text for one in said if hit.search(one.text)]
    assert named, "somebody is named"
    for text in named:
        assert not TAPPED.search(ours.sub("", text)), text
    assert all(not {"\u202e", "\u200b"} & set(one.text) for one in said)


@pytest.mark.parametrize(
    ("account", "kept"),
    [
        (("\u200b\u202e", "Berg", "b_berg"), "Berg"),
        (("\u3164", None, "nobody_here"), "nobody_here"),
        (("...", None, None), "New member"),
    ],
)
async def test_a_name_that_nobody_can_see_gives_way_to_what_else_is_known(
    gate: Gate, account: tuple[str, str | None, str | None], kept: str
) -> None:
    first, last, username = account
    gate.comes(STRANGER, first, last_name=last, username=username)
    (welcome,) = await gate.joins(STRANGER)
    assert f"Welcome, {kept}!" in welcome.text
    assert (kept, STRANGER) in await gate.names()


async def test_a_name_from_a_spreadsheet_or_an_organiser_goes_through_the_same_door(gate: Gate) -> None:
    await gate.listing("Wan\u200bda,member,yes,no,12,Plot 3")
    await gate.village.write(AMIRA, "/members add Ed\u200bith\u202e")
    (refused,) = await gate.village.write(AMIRA, "/members add \u200b\u3164")
    assert "can't read that as a name" in refused.text
    assert [name for name, _ in await gate.names()] == ["Amira", "Wanda", "Edith"]
    await gate.village.joined(JOE)
    (twice,) = await gate.village.write(AMIRA, "/members add edith")
    assert "on the list already" in twice.text
