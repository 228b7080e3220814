"""What was reckoned last for each of some keys; the one that has been asked for longest ago goes first."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable
from typing import Generic, TypeVar

_Value = TypeVar("_Value")


class Kept(Generic[_Value]):
    """most_n: how many are kept."""

    def __init__(self, most_n: int) -> None:
        self.most_n = most_n
        self._by_key: OrderedDict[Hashable, _Value] = OrderedDict()

    def get(self, key: Hashable) -> _Value | None:
        if key not in self._by_key:
            return None
        self._by_key.move_to_end(key)
        return self._by_key[key]

    def put(self, key: Hashable, value: _Value) -> None:
        self._by_key[key] = value
        self._by_key.move_to_end(key)
        while len(self._by_key) > self.most_n:
            self._by_key.popitem(last=False)

    def clear(self) -> None:
        self._by_key.clear()
