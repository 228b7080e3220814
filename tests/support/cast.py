"""The standing cast of the chat's tests: invented people of an invented garden, by their ids on the platform."""

from __future__ import annotations

FARAH, CALLUM, INES = 101, 102, 103
GROUP = -1001000000001
