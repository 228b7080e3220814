"""The gate for translations: `python -m tests.locale_gate` prints each slip and ends with 1 when there is one.

The template must hold what the sources say now, and a translation must keep the placeholders, the tags and the shape of
its English text. A language may be there in part: what it lacks is said in English. How much of each is done stands in
docs/translating.md; `python -m tests.locale_gate --docs` writes it there.
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

from babel.messages import Catalog, Message
from babel.messages.pofile import PoFileError, read_po

from bot.i18n import LANGUAGES, locale, reader_of
from bot.wordings import LABEL_N, faults, placeholders
from tests.open_data import ROOT
from tests.safety_words import is_safety
from tests.support.texts_in_code import Texts, texts_in

__all__ = ["WHOLE", "Share", "Slip", "extracted", "main", "message_faults", "shares", "slips", "table"]

#: Languages of which nothing may be missing.
WHOLE = {"pl"}
_FORMS = ("zero", "one", "two", "few", "many", "other")
#: The table of docs/translating.md.
_TABLE = re.compile(r"(?<=<!-- shares -->\n).*?(?=<!-- end -->)", re.DOTALL)
#: As many points may the table lag behind, so that not every new text writes it anew.
_LAG = 2

Key = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Slip:
    file: str
    text: str
    what: str

    def __str__(self) -> str:
        return f"{self.file}: {self.what}: {self.text!r}"


def main() -> int:
    sources, texts, page = extracted(), texts_in(ROOT / "bot"), ROOT / "docs" / "translating.md"
    done = shares(ROOT / "locales", sources)
    if "--docs" in sys.argv[1:]:
        page.write_text(_TABLE.sub(lambda _: table(done), page.read_text("utf-8")), "utf-8")
    found = [*slips(ROOT / "locales", sources, texts), *_old_table(page, done)]
    for slip in found:
        print(slip)  # noqa: T201
    for share in done:
        print(share)  # noqa: T201
    print(f"locales: {len(found)} slips" if found else "locales: in order")  # noqa: T201
    return 1 if found else 0


@dataclass(frozen=True, slots=True)
class Share:
    """How many texts of a language are there, and how many of those that keep people from harm. checked_by: who has
    read them as one reads their own language; None for nobody yet."""

    language: str
    done_n: int
    all_n: int
    safety_n: int
    safety_all_n: int
    checked_by: str | None

    @property
    def percent(self) -> int:
        return 100 * self.done_n // self.all_n if self.all_n else 0

    def __str__(self) -> str:
        return (
            f"{self.language}: {self.done_n} of {self.all_n} texts ({self.percent} %), "
            f"{self.safety_n} of {self.safety_all_n} about safety; checked by {self.checked_by or 'nobody yet'}"
        )


def shares(folder: Path, sources: Catalog) -> list[Share]:
    """Of every language but the source; a catalogue that cannot be read has nothing."""
    wanted = _by_key(sources)
    about = {key for key, message in wanted.items() if is_safety(message)}
    found = []
    for language in list(LANGUAGES)[1:]:
        try:
            catalogue = _read(folder / language / "LC_MESSAGES" / "gatepost.po")
        except (OSError, PoFileError):
            catalogue = Catalog(language)
        done = {key for key, message in _by_key(catalogue).items() if key in wanted and _is_done(message)}
        found.append(Share(language, len(done), len(wanted), len(done & about), len(about), checked_by(catalogue)))
    return found


def table(done: Iterable[Share]) -> str:
    """The shares as docs/translating.md has them."""
    lines = ["| Language | Done | About safety | Checked by a native reader |", "|---|---|---|---|"]
    lines += [
        f"| {LANGUAGES[one.language]} ({one.language}) | {one.percent} % | {one.safety_n} of {one.safety_all_n} "
        f"| {one.checked_by or '**nobody yet**'} |"
        for one in done
    ]
    return "\n".join(lines) + "\n"


def _old_table(page: Path, done: Iterable[Share]) -> Iterator[Slip]:
    """Slips where the table has another share by more than a little, or says otherwise who has checked a language."""
    old = _TABLE.search(page.read_text("utf-8"))
    rows = {row.split("(")[1].split(")")[0]: row for row in old[0].splitlines() if "(" in row} if old else {}
    for one in done:
        row = rows.get(one.language, "")
        said = re.search(r"(\d+) %", row)
        if said is None or abs(int(said[1]) - one.percent) > _LAG or (one.checked_by or "nobody yet") not in row:
            yield Slip(page.name, str(one), "the table lags behind; run python -m tests.locale_gate --docs")


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
            if placeholders(text) is None:
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
    language = path.parent.parent.name
    yield from _header(catalogue, language)
    there = _by_key(catalogue)
    wanted = _by_key(sources)
    yield from ((key[1], "no longer said; run pybabel update") for key in there if key not in wanted)
    for key, message in wanted.items():
        if key not in there:
            if language in WHOLE:
                yield key[1], "is missing; run pybabel update"
        elif language in WHOLE or any(_forms(there[key])):
            yield from ((key[1], what) for what in message_faults(there[key], message, catalogue, texts))


def _header(catalogue: Catalog, language: str) -> Iterator[tuple[str, str]]:
    """The plural rule must be that of CLDR, as babel has it, with the forms in CLDR's order."""
    theirs = locale(language).plural_form
    forms = [form for form in _FORMS if form in {theirs(n) for n in range(1000)}]
    ours = gettext.c2py(catalogue.plural_expr)
    if catalogue.num_plurals != len(forms) or any(ours(n) != forms.index(theirs(n)) for n in range(1000)):
        yield catalogue.plural_forms, f"Plural-Forms should be CLDR's rule with the forms {', '.join(forms)}"
    if checked_by(catalogue) == "":
        yield catalogue.header_comment, "should say who has checked it: a line '# Checked by: nobody'"


def checked_by(catalogue: Catalog) -> str | None:
    """Who has checked it, as its header says; None for nobody, "" where it does not say."""
    return reader_of(catalogue.header_comment)


def _is_done(message: Message) -> bool:
    return all(_forms(message)) and not message.fuzzy


def message_faults(given: Message, source: Message, catalogue: Catalog, texts: Texts) -> Iterator[str]:
    """What is wrong with one translation; source: its English, from a template or a catalogue."""
    if given.fuzzy:
        yield "is marked fuzzy: look it through, and take the mark away"
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
    most = texts.most(english)
    for fault in faults(
        form,
        english,
        typed=bool(source.context),
        ordered=english in texts.ordered,
        may_lack_n=may_lack_n,
        label=english in texts.labels,
        most=most,
    ):
        yield f"{fault.value.format(most=most)}: {form!r}"


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
