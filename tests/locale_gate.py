"""The gate for translations: `python -m tests.locale_gate` prints each slip and ends with 1 when there is one.

The template must hold what the sources say now, every language must be complete, and a translation must keep the
placeholders, the tags and the shape of its English text.
"""

from __future__ import annotations

import gettext
import re
import shlex
import subprocess
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from string import Formatter

from babel.messages import Catalog, Message
from babel.messages.plurals import get_plural
from babel.messages.pofile import PoFileError, read_po

from bot.i18n import LANGUAGES
from tests.open_data import ROOT
from tests.support.texts_in_code import Texts, texts_in

__all__ = ["LABEL_N", "Slip", "extracted", "main", "slips"]

#: The longest label of a button that fits beside another on a narrow phone. Common practice, no source.
LABEL_N = 20
_TAGS = re.compile(r"</?[a-zA-Z][^>]*>|[<>&]")

Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Slip:
    file: str
    text: str
    what: str

    def __str__(self) -> str:
        return f"{self.file}: {self.what}: {self.text!r}"


def main() -> int:
    found = list(slips(ROOT / "locales", extracted(), texts_in(ROOT / "bot")))
    for slip in found:
        print(slip)  # noqa: T201
    print(f"locales: {len(found)} slips" if found else "locales: in order")  # noqa: T201
    return 1 if found else 0


def extracted() -> Catalog:
    """The template as `task extract` would write it now."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    _, *command = shlex.split(project["tool"]["taskipy"]["tasks"]["extract"])
    with tempfile.TemporaryDirectory() as folder:
        target = str(Path(folder) / "gatepost.pot")
        command[command.index("-o") + 1] = target
        subprocess.run([sys.executable, "-m", "babel.messages.frontend", "-q", *command], cwd=ROOT, check=True)
        return _read(Path(target))


def slips(folder: Path, sources: Catalog, texts: Texts) -> Iterator[Slip]:
    """Everything that is wrong with the template and the catalogues of a folder, and with the texts in the sources."""
    template = folder / "gatepost.pot"
    yield from (Slip(f"bot/{file}", call, "a text must be written out in the call") for file, call in texts.hidden)
    yield from _source_slips(sources, texts.labels)
    for key in _by_key(sources).keys() ^ _by_key(_read(template)).keys():
        what = (
            "not in the template; run task extract" if key in _by_key(sources) else "no longer said; run task extract"
        )
        yield Slip(template.name, key[1], what)
    for language in list(LANGUAGES)[1:]:
        path = folder / language / "LC_MESSAGES" / "gatepost.po"
        yield from (Slip(f"{language}: {path.name}", text, what) for text, what in _language(path, sources, texts))


def _source_slips(sources: Catalog, labels: Iterable[str]) -> Iterator[Slip]:
    for message in _messages(sources):
        for text in _ids(message):
            if text != text.strip():
                yield Slip("sources", text, "begins or ends with a space: a whole sentence is needed")
            if _placeholders(text) is None:
                yield Slip("sources", text, "its braces are no placeholders")
    yield from (Slip("sources", text, f"over {LABEL_N} on a button") for text in labels if len(text) > LABEL_N)


def _language(path: Path, sources: Catalog, texts: Texts) -> Iterator[tuple[str, str]]:
    """(English text, what is wrong) of one language."""
    if not path.is_file():
        yield "", "is missing; run pybabel init"
        return
    try:
        catalogue = _read(path)
    except PoFileError as broken:
        yield str(broken), "cannot be read"
        return
    yield from _header(catalogue, path.parent.parent.name)
    there = _by_key(catalogue)
    wanted = _by_key(sources)
    yield from ((key[1], "no longer said; run pybabel update") for key in there if key not in wanted)
    for key, message in wanted.items():
        if key not in there:
            yield key[1], "is missing; run pybabel update"
        else:
            yield from ((key[1], what) for what in _message(there[key], message, catalogue, texts))


def _header(catalogue: Catalog, language: str) -> Iterator[tuple[str, str]]:
    """The plural rule must be that of CLDR, as babel has it."""
    ours, theirs = gettext.c2py(catalogue.plural_expr), gettext.c2py(get_plural(language).plural_expr)
    if any(ours(n) != theirs(n) for n in range(1000)):
        yield catalogue.plural_forms, f"Plural-Forms should be {get_plural(language).plural_forms}"


def _message(given: Message, source: Message, catalogue: Catalog, texts: Texts) -> Iterator[str]:
    if given.fuzzy:
        yield "is marked fuzzy"
    forms = _forms(given)
    if _ids(source) != _ids(given):
        yield "has another plural; run pybabel update"
        return
    if not all(forms) or len(forms) != (catalogue.num_plurals if source.pluralizable else 1):
        yield "is not translated, or not in every plural form"
        return
    alone = _alone(catalogue.plural_expr)
    for index, form in enumerate(forms):
        yield from _form(form, source, texts, may_lack_n=source.pluralizable and index in alone)


def _form(form: str, source: Message, texts: Texts, *, may_lack_n: bool) -> Iterator[str]:
    english = _ids(source)[-1]
    found, wanted = _placeholders(form), _placeholders(english)
    if found is None:
        yield f"is no valid format: {form!r}"
    elif found != wanted and not (may_lack_n and wanted is not None and found == wanted - {("n", "", "")}):
        yield f"has other placeholders: {form!r}"
    if Counter(_TAGS.findall(form)) != Counter(_TAGS.findall(english)):
        yield f"gains or loses a tag: {form!r}"
    if form != form.strip():
        yield f"begins or ends with a space: {form!r}"
    if english in texts.labels and len(form) > LABEL_N:
        yield f"is over {LABEL_N} on a button: {form!r}"
    if source.context and form.count(";") != english.count(";"):
        yield f"has another number of parts between ;: {form!r}"
    if english in texts.ordered and form.count("|") != english.count("|"):
        yield f"has another number of parts between |: {form!r}"
    if "|" in english and not all(part.strip() for part in re.split(r"[|;/]", form)):
        yield f"has an empty alternative: {form!r}"


def _placeholders(text: str) -> frozenset[tuple[str, str, str]] | None:
    """(name, format, conversion) of each; None when str.format would fail."""
    try:
        parsed = list(Formatter().parse(text))
    except ValueError:
        return None
    found = frozenset((name, form or "", turn or "") for _, name, form, turn in parsed if name is not None)
    return found if all(name.isidentifier() and not form and not turn for name, form, turn in found) else None


@cache
def _alone(plural_expr: str) -> frozenset[int]:
    """The plural forms that stand for one number only, so that a text may spell it out."""
    rule = gettext.c2py(plural_expr)
    counts = Counter(rule(n) for n in range(1000))
    return frozenset(form for form, times in counts.items() if times == 1)


def _read(path: Path) -> Catalog:
    language = path.parent.parent.name
    with path.open("rb") as file:
        return read_po(file, locale=language if language in LANGUAGES else None, abort_invalid=True)


def _by_key(catalogue: Catalog) -> dict[Key, Message]:
    return {(message.context or "", _ids(message)[0]): message for message in _messages(catalogue)}


def _messages(catalogue: Catalog) -> Iterator[Message]:
    return (message for message in catalogue if message.id)


def _ids(message: Message) -> tuple[str, ...]:
    return tuple(message.id) if isinstance(message.id, (list, tuple)) else (message.id,)


def _forms(message: Message) -> tuple[str, ...]:
    return tuple(message.string) if isinstance(message.string, (list, tuple)) else (message.string or "",)


if __name__ == "__main__":
    sys.exit(main())
