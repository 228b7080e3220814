"""Pictures read back: what every one of them has to keep, whatever it shows."""

from __future__ import annotations

import struct
from io import BytesIO
from itertools import combinations

import pytest
from PIL import Image, features

from bot.pictures.sheet import GAP, LEAST_TEXT, WIDTH, Sheet

RIGHT_TO_LEFT = pytest.mark.skipif(not features.check("raqm"), reason="the FriBiDi library is not on this machine")


def png_size(png: bytes) -> tuple[int, int]:
    """Width and height from the header chunk (W3C, Portable Network Graphics, third edition, 11.2.1 IHDR)."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", png[16:24])


def opened(png: bytes) -> Image.Image:
    return Image.open(BytesIO(png)).convert("RGB")


def columns_of(png: bytes, colour: str) -> list[int]:
    """The columns in which there is ink very near to a colour."""
    wanted = tuple(int(colour[index : index + 2], 16) for index in (1, 3, 5))
    image = opened(png)
    pixels = image.load()
    assert pixels is not None

    def near(x: int, y: int) -> bool:
        found = pixels[x, y]
        assert isinstance(found, tuple)
        return all(abs(one - other) < 12 for one, other in zip(found, wanted, strict=True))

    return [x for x in range(image.width) if any(near(x, y) for y in range(image.height))]


def assert_readable(sheet: Sheet, height: float) -> None:
    """Every text is on the picture, inside its edge, large enough, and on no other text."""
    assert sheet.texts
    for box in sheet.texts:
        assert box.left >= GAP - 1 and box.right <= WIDTH - GAP + 1, box
        assert box.top >= 0 and box.bottom <= height, box
        assert box.size >= LEAST_TEXT, box
    for one, other in combinations(sheet.texts, 2):
        assert not one.overlaps(other), (one, other)
