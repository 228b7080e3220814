"""Loads the crop rules of a folder: one TOML file a crop, and the sources of their figures."""

from __future__ import annotations

from collections import defaultdict
from functools import lru_cache
from pathlib import Path

from bot.core.growing.crop import Crop
from bot.crops.checks import check
from bot.crops.examples import Example, read_examples
from bot.crops.fields import build
from bot.crops.find import fold
from bot.crops.keys import GENERAL, SAFETY
from bot.crops.mistakes import CropRulesError, Mistake, suggestion
from bot.crops.reading import PRACTICE, Draft, read_draft, read_toml
from bot.crops.sources import SOURCES_FILE, Source, read_sources

__all__ = ["PACKAGED", "Rules", "load", "load_rules"]

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
