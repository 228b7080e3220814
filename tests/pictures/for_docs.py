"""The three pictures of docs/deploy.md, from the demo's garden: `python -m tests.pictures.for_docs`.

A warning and a week as a phone shows them, and the ten days that /picture brings.
"""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from PIL import Image, ImageDraw, ImageFont

from bot.chat.wire.world import Message
from bot.cli import demo
from bot.cli.playing import Deed, play
from bot.pictures.looks import LIGHT
from bot.pictures.sheet import BOLD, REGULAR
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.session import Database
from tests.open_data import ROOT

FOLDER = ROOT / "docs" / "pictures"
WIDTH, EDGE, PAD, LINE = 720, 24, 26, 38
SIZE, SMALL = 27, 22
UNTIL_AT = datetime(2026, 5, 4, 15, 0, tzinfo=UTC)
ASKED_AT = datetime(2026, 5, 3, 16, 30, tzinfo=UTC)


async def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite+aiosqlite:///{folder}/demo.sqlite3")
        await demo._furnish(database)
        source = Source(f"file:{demo._FOLDER / 'forecast.json'}")
        async with on_stage(database, source, demo._START_AT) as stage:
            deeds = [
                Deed(ASKED_AT, "Tobias", "private", words) for words in ("What should I do this week?", "/picture")
            ]
            async for one in play(stage, UNTIL_AT, deeds):
                if isinstance(one, Message) and _keep(stage, one):
                    break
        await database.close()


def _keep(stage: Stage, message: Message) -> bool:
    """Save what is one of the three; whether it was the last."""
    in_group = stage.api.chats[message.chat_id].type != "private"
    if message.kind == "photo":
        (FOLDER / "ten-days.png").write_bytes(stage.api.files[message.file_id or ""])
    elif in_group and "We need this done by" in message.text and "Bring in" in message.text:
        _phone(message, "Teasel Lane").save(FOLDER / "warning.png", optimize=True)
        return True
    elif not in_group and "Tap a job" in message.text:
        _phone(message, "Gatepost", asked="What should I do this week?").save(FOLDER / "week.png", optimize=True)
    return False


def _phone(message: Message, title: str, asked: str = "") -> Image.Image:
    """A chat with one message of the bot's, and what was asked before it."""
    regular, bold = ImageFont.truetype(str(REGULAR), SIZE), ImageFont.truetype(str(BOLD), SIZE)
    small = ImageFont.truetype(str(REGULAR), SMALL)
    lines = [line for part in message.text.splitlines() for line in _wrapped(part, regular, WIDTH - 2 * (EDGE + PAD))]
    rows = [[str(key["text"]) for key in row] for row in message.keyboard]
    height = 90 + (LINE + 3 * PAD if asked else 0) + LINE * (len(lines) + 1) + 3 * PAD + 74 * len(rows) + EDGE
    image = Image.new("RGB", (WIDTH, height), LIGHT.stripe)
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 0, WIDTH, 70), fill=LIGHT.fourth)
    pen.text((EDGE, 18), title, font=bold, fill=LIGHT.paper)
    y = 90.0
    if asked:
        left = WIDTH - EDGE - 2 * PAD - regular.getlength(asked)
        pen.rounded_rectangle((left, y, WIDTH - EDGE, y + LINE + PAD), 18, fill="#dcefd9")
        pen.text((left + PAD, y + PAD / 2), asked, font=regular, fill=LIGHT.ink)
        y += LINE + 2 * PAD
    bottom = y + LINE * (len(lines) + 1) + PAD
    pen.rounded_rectangle((EDGE, y, WIDTH - EDGE, bottom), 18, fill=LIGHT.paper)
    pen.text((EDGE + PAD, y + PAD / 2), "Gatepost", font=small, fill=LIGHT.fourth)
    for number, line in enumerate(lines, start=1):
        pen.text((EDGE + PAD, y + PAD / 2 + LINE * number), line, font=regular, fill=LIGHT.ink)
    end = _keys(pen, rows, bottom + 10, bold)
    return image.crop((0, 0, WIDTH, int(end) + EDGE)).quantize(48)


def _keys(pen: ImageDraw.ImageDraw, rows: Sequence[Sequence[str]], y: float, font: ImageFont.FreeTypeFont) -> float:
    """Gives where they end."""
    for row in rows:
        wide = (WIDTH - 2 * EDGE - 10 * (len(row) - 1)) / len(row)
        for number, label in enumerate(row):
            x = EDGE + number * (wide + 10)
            pen.rounded_rectangle((x, y, x + wide, y + 64), 14, fill=LIGHT.paper, outline=LIGHT.rule, width=2)
            pen.text((x + wide / 2, y + 32), label, font=font, fill=LIGHT.first, anchor="mm")
        y += 74
    return y


def _wrapped(text: str, font: ImageFont.FreeTypeFont, wide: float) -> Iterator[str]:
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}".strip()
        if line and font.getlength(longer) > wide:
            yield line
            longer = word
        line = longer
    yield line


if __name__ == "__main__":
    asyncio.run(main())
