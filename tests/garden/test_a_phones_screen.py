"""What people ask for about themselves and their garden is at most twelve lines of forty letters.

The rest is a tap away, by buttons that make sense read aloud alone. The measure is this project's own promise: one
screen of a phone. Lines are counted by Python's `textwrap`.
"""

from __future__ import annotations

import re
import textwrap

import pytest

from tests.support.talk import Talk, labels

ROWS, LETTERS = 12, 40


def rows(text: str) -> int:
    return sum(max(1, len(textwrap.wrap(line, LETTERS))) for line in text.splitlines())


def names_something(label: str) -> bool:
    """Whether a label read aloud alone has a word in it that is no unit and says more than that there is more."""
    words = {word.casefold() for word in re.findall(r"[^\W\d_]+", label)}
    return bool(words - {"a", "kg", "min", "week", "m", "rest", "more", "the", "all", "that", "is"})


@pytest.mark.parametrize("language", ["English", "Polski"])
@pytest.mark.parametrize(
    "command", ["/help", "/wishes", "/me", "/members", "/keys", "/away", "/setup", "/places", "/garden", "/language"]
)
async def test_the_answer_to_a_command_fits_a_phone(street: Talk, command: str, language: str) -> None:
    await street.write("Miriam", "/language")
    await street.tap("Miriam", language)
    for message in await street.write("Miriam", command):
        assert rows(message.text) <= ROWS, message.text


@pytest.mark.parametrize("command", ["/wishes", "/me", "/members", "/keys", "/setup", "/places"])
async def test_so_does_whatever_its_buttons_show(street: Talk, command: str) -> None:
    (shown,) = await street.write("Miriam", command)
    for label in labels(shown):
        (shown,) = await street.write("Miriam", command)
        for message in await street.press("Miriam", shown, label):
            if message.file_id is None:
                assert rows(message.text) <= ROWS, message.text
                for button in labels(message):
                    assert names_something(button), button
