"""The names of crops as texts to translate: the extraction method that `pyproject.toml` names for the rule files."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterator
from typing import Any, BinaryIO

__all__ = ["names"]

Found = tuple[int, str, tuple[str, str], list[str]]


def names(file: BinaryIO, keywords: Collection[str], comment_tags: Collection[str], options: Any) -> Iterator[Found]:
    """A rule file's `name` as if it stood in pgettext("crop", name); the signature is that of Babel's extractors."""
    found = tomllib.loads(file.read().decode("utf-8")).get("name")
    if isinstance(found, str):
        yield 1, "pgettext", ("crop", found), []
