"""Loads the crop rules of a folder: one TOML file a crop, and the sources of their figures.

The published works that the figures of the crop rules come from.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from bot.core.growing.crop import Crop
from bot.crops.examples import Example, read_examples
from bot.crops.find import fold
from bot.crops.keys import GENERAL, SAFETY, check
from bot.crops.mistakes import CropRulesError, Mistake, suggestion
from bot.crops.reading import GARDEN, PRACTICE, Draft, build, read_draft, read_toml

SOURCES_FILE = "sources.toml"


@dataclass(frozen=True, slots=True)
class Source:
    """A published work. where: the table, page or chapter. read_on: when it was read.

    year: of the edition that was read, None when it bears none. via: the copy that was read, if not the original.
    """

    author: str
    title: str
    where: str
    read_on: date
    year: int | None = None
    via: str | None = None


_KINDS: Mapping[str, type] = {"year": int, "read_on": date}  # the others are texts
_NEEDED = frozenset(part.name for part in fields(Source) if part.default is MISSING)
_KNOWN = frozenset(part.name for part in fields(Source))


def read_sources(folder: Path, draft: Draft) -> dict[str, Source]:
    """Every source by its key; mistakes go into the draft, and a wrong source is kept out of what is returned."""
    found: dict[str, Source] = {}
    for key, table in (read_toml(folder / SOURCES_FILE, draft) or {}).items():
        before = len(draft.mistakes)
        if key in (PRACTICE, GARDEN):
            draft.wrong(key, "a source", "another key: this one has a meaning of its own")
        elif not isinstance(table, dict):
            draft.wrong(key, table, "a table")
        else:
            _check(key, table, draft)
            if len(draft.mistakes) == before:
                given: dict[str, Any] = table
                found[key] = Source(**given)
    return found


def _check(key: str, table: Mapping[str, object], draft: Draft) -> None:
    for name in sorted(_NEEDED - table.keys()):
        draft.wrong(f"{key}.{name}", None, "a value")
    for name, value in table.items():
        kind = _KINDS.get(name, str)
        if name not in _KNOWN:
            draft.wrong(f"{key}.{name}", "unknown", suggestion(name, _KNOWN))
        elif type(value) is not kind:
            draft.wrong(f"{key}.{name}", value, {int: "a year", date: "a date without quotes"}.get(kind, "a text"))


PACKAGED = Path(__file__).parent

Rules = tuple[dict[str, Crop], dict[str, Source], dict[str, tuple[Example, ...]]]


def load(folder: Path = PACKAGED) -> dict[str, Crop]:
    """Every crop by its key, sorted. Raises CropRulesError with every mistake of every file at once."""
    return load_rules(folder)[0]


def load_rules(folder: Path = PACKAGED) -> Rules:
    """The crops, the sources that their figures cite, and the crops' own examples, by key. Raises as `load` does.

    The packaged rules are read once a process.
    """
    crops, sources, examples = _packaged() if folder == PACKAGED else _read_rules(folder)
    return dict(crops), dict(sources), dict(examples)


@lru_cache(maxsize=1)
def _packaged() -> Rules:
    return _read_rules(PACKAGED)


def _read_rules(folder: Path) -> Rules:
    about_sources = Draft(f"{folder.name}/{SOURCES_FILE}")
    sources = read_sources(folder, about_sources)
    drafts: dict[str, Draft] = {}
    examples: dict[str, tuple[Example, ...]] = {}
    for path in sorted(folder.glob("*.toml")):
        if path.name != SOURCES_FILE:
            drafts[path.stem] = draft = Draft(f"{folder.name}/{path.name}")
            raw = read_toml(path, draft)
            if raw is not None:
                read_draft(raw, draft)
                check(draft)
                examples[path.stem] = read_examples(raw.get("examples", []), draft)
    _check_cited(drafts, sources, about_sources)
    mistakes = [mistake for draft in (about_sources, *drafts.values()) for mistake in draft.mistakes]
    mistakes += _shared_names(drafts)
    if mistakes:
        raise CropRulesError(mistakes)
    return {key: build(key, draft.values, draft.sources) for key, draft in drafts.items()}, sources, examples


def _check_cited(drafts: dict[str, Draft], sources: dict[str, Source], about_sources: Draft) -> None:
    cited = {source for sources_of in (*SAFETY.values(), *GENERAL.values()) for source in sources_of}
    for draft in drafts.values():
        for key, source in draft.sources.items():
            cited.add(source)
            if source != PRACTICE and source not in sources:
                draft.wrong(key, f"from {source}", f"a source: {suggestion(source, [*sources, PRACTICE])}")
    for key in sorted(sources.keys() - cited):
        about_sources.wrong(key, "cited by no crop", "a source that a figure cites")


def _shared_names(drafts: dict[str, Draft]) -> list[Mistake]:
    """Names and aliases that two crops claim, or one claims twice: one name must lead to one crop."""
    claims: dict[str, list[tuple[Draft, str]]] = defaultdict(list)
    for draft in drafts.values():
        name, aliases = draft.values.get("name"), draft.values.get("aliases", ())
        for word in (name, *aliases) if isinstance(aliases, tuple) else ():
            if isinstance(word, str):
                claims[fold(word)].append((draft, word))
    return [
        Mistake(draft.where, "aliases", word, f"a name that {claimed[0][0].where} has not")
        for claimed in claims.values()
        for draft, word in claimed[1:]
    ]
