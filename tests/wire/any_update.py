"""Invented updates of every published kind, whole or odd, from a seed: the schema of Bot API 10.0."""

from __future__ import annotations

import json
import random
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

__all__ = ["Updates", "schema"]

#: What no schema allows, and what a slip, a proxy or a new version may bring.
_ODD: tuple[Any, ...] = (
    None, [], {}, "", 0, -1, 2**70, -(2**70), 1.5, True, "\x00", "\ud83d", [[]], [{}], {"id": "x"}, "9" * 400,
)  # fmt: skip
_TEXTS = (
    "/week",
    "/start a—b",
    "hello",
    "planted 0 Bed 1",
    "-\u00a03",
    "",
    "\u202e<b>",
    "/",
    "join:1",
    "done:1",
    "🌱" * 60,
)
_NUMBERS = (0, 1, -1, 7, 501, -1001, 2**31, 2**40, 2**52)
_MOMENTS = (1, 1_777_885_200, 2_000_000_000)
_DEEP = 3  # optional fields are given up to here


@cache
def schema() -> dict[str, Any]:
    """Fields with their types by the type's name, "!" after a required one; a list of its kinds for a type of several."""
    path = Path(__file__).parent / "data" / "bot-api-10.0-updates.json"
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


@dataclass(slots=True)
class Updates:
    """oddness: how likely any value is one that it should not be."""

    chance: random.Random
    people: tuple[int, ...]
    groups: tuple[int, ...]
    oddness: float = 0.0

    def kinds(self) -> list[str]:
        return [name for name in schema()["Update"] if name != "update_id!"]

    def one(self, kind: str, number: int, only: str | None = None) -> dict[str, Any]:
        """An update of a kind. only: the one optional field of its body; without, each by chance."""
        body = self._object(schema()["Update"][kind], 0, only)
        return {"update_id": number, kind: body}

    def fields(self, kind: str) -> list[str]:
        """The optional fields of a kind's body."""
        return [name for name in schema()[schema()["Update"][kind]] if not name.endswith("!")]

    def _value(self, kind: str, depth: int) -> Any:
        if self.chance.random() < self.oddness:
            return self.chance.choice(_ODD)
        kind = self.chance.choice(kind.split("|"))
        if kind.startswith("Array of "):
            return [
                self._value(kind.removeprefix("Array of "), depth + 1) for _ in range(self.chance.choice((0, 0, 1, 2)))
            ]
        match kind:
            case "String":
                return self.chance.choice(_TEXTS)
            case "Integer":
                return self.chance.choice((*_NUMBERS, *self.people, *self.groups))
            case "Float":
                return self.chance.choice((0.0, -91.5, 52.2))
            case "Boolean" | "True":
                return True
            case "Chat":
                return self._chat()
            case "User":
                return {"id": self.chance.choice(self.people), "is_bot": False, "first_name": "A"}
        return self._object(kind, depth)

    def _field(self, name: str, kind: str, depth: int) -> Any:
        """Moments and times as the platform sends them: within a few years, and weeks."""
        if kind == "Integer" and self.chance.random() >= self.oddness:
            if "date" in name:
                return self.chance.choice(_MOMENTS)
            if any(word in name for word in ("duration", "period", "time", "delay")):
                return self.chance.choice((0, 60, 1_000_000))
        return self._value(kind, depth)

    def _chat(self) -> dict[str, Any]:
        group = self.chance.random() < 0.5
        id_ = self.chance.choice(self.groups if group else self.people)
        return {"id": id_, "type": "supergroup" if group else "private", "title": "G"}

    def _object(self, kind: str, depth: int, only: str | None = None) -> Any:
        form = schema()[kind]
        if isinstance(form, list):
            return self._object(self.chance.choice(form), depth)
        share = 0.0 if only is not None or depth >= _DEEP else (0.12, 0.3, 0.2)[depth]
        found = {}
        for name, type_ in form.items():
            needed = name.endswith("!") or name == "from"
            if needed or name == only or self.chance.random() < share:
                found[name.rstrip("!")] = self._field(name, type_, depth + 1)
        if kind == "InaccessibleMessage":
            found["date"] = 0
        return found
