"""Pictures, voice messages and stickers are answered kindly, and long rows of digits quickly."""

from __future__ import annotations

import time
from typing import Any

import pytest

from tests.support.talk import Talk, texts

FILE = {"file_id": "f", "file_unique_id": "u"}
#: Fields of Bot API 10.0: PhotoSize, Voice, VideoNote, Sticker, Contact.
PHOTO: dict[str, Any] = {"photo": [FILE | {"width": 90, "height": 90}]}
VOICE: dict[str, Any] = {"voice": FILE | {"duration": 3}}
ROUND: dict[str, Any] = {"video_note": FILE | {"length": 240, "duration": 3}}
STICKER: dict[str, Any] = {
    "sticker": FILE | {"type": "regular", "width": 512, "height": 512, "is_animated": False, "is_video": False}
}
CONTACT: dict[str, Any] = {"contact": {"phone_number": "1", "first_name": "Somebody"}}


@pytest.mark.parametrize(
    ("also", "said"),
    [(PHOTO, "with a line"), (VOICE, "write it"), (ROUND, "write it"), (STICKER, "/help"), (CONTACT, "write it")],
)
async def test_what_has_no_words_is_answered_once_in_private_and_left_alone_in_the_group(
    lane: Talk, also: dict[str, Any], said: str
) -> None:
    owen = lane.user("Owen")
    lane.stage.api.write(owen, owen, "", also=also)
    (answer,) = await lane.settled()
    assert answer.chat_id == owen and said in answer.text
    lane.stage.api.write(owen, lane.group_id, "", also=also)
    assert await lane.settled() == []


async def test_the_line_that_it_asks_for_under_a_picture_is_noted(lane: Talk) -> None:
    owen = lane.user("Owen")
    lane.stage.api.write(owen, owen, "", also=PHOTO)
    (answer,) = await lane.settled()
    line = answer.text.partition("“")[2].partition("”")[0]
    lane.stage.api.write(owen, owen, "", also=PHOTO | {"caption": line})
    assert "2 plants" in texts(await lane.settled())


async def test_an_album_is_answered_once(lane: Talk) -> None:
    owen = lane.user("Owen")
    for _ in range(10):
        lane.stage.api.write(owen, owen, "", also=PHOTO | {"media_group_id": "77"})
    assert len(await lane.settled()) == 1


@pytest.mark.parametrize(
    "text",
    ["9" * 990, "9 " * 495, "9," * 495, "9.9" * 330, "-9" * 495, "9/9" * 330, "9:9" * 330, "9kg" * 330, "x9" * 495],
    ids=lambda text: text[:3],
)
async def test_digits_without_end_are_answered_soon(lane: Talk, text: str) -> None:
    """A limit on what would hang, not a measure: 0.26 to 0.52 s was too long."""
    await lane.write("Owen", "hello")  # what is loaded once
    began_s = time.process_time()
    said = await lane.write("Owen", text)
    spent_s = time.process_time() - began_s
    assert texts(said)
    assert spent_s < 0.3, spent_s
