"""What files would change in the records, what is wrong with them, and what was stored."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from bot.chat.calendar import calendar_file_words
from bot.chat.html import bold, lines, safe
from bot.core.calendar.entry import Entry
from bot.i18n import Say
from bot.services.calendar.entries import Compared
from bot.services.calendar.ical_in import Remark
from bot.services.garden.received_files import MOST_BYTES
from bot.services.garden.records.outcome_of_import import Report, Tally
from bot.services.garden.records.problems import Problem

__all__ = [
    "PROBLEMS", "Refusal", "all_problems", "calendar", "changes_n", "gone", "nobody_left", "preview", "shown", "stored",
    "too_large",
]  # fmt: skip

#: What a phone's screen has room for; more mistakes than that go into a file.
PROBLEMS = 8
_NAMES = 6

Refusal = Callable[[Say], str]


def shown(name: str) -> str:
    return safe(name, 40)


def too_large(say: Say, name: str) -> str:
    return say.gettext(
        "{file} is too large: I read files of up to {most} MB. Leave out pictures and formats, or send it in parts.",
        file=shown(name),
        most=MOST_BYTES // 1_000_000,
    )


def gone(say: Say, name: str) -> str:
    return say.gettext("The chat app no longer gives me {file}. Please send it again.", file=shown(name))


def nobody_left(say: Say) -> str:
    return say.gettext(
        "Nothing was stored: by these files nobody would be an organiser. Leave at least one in members.csv."
    )


def all_problems(say: Say, n: int) -> str:
    return say.ngettext("{n} thing to put right, line by line.", "{n} things to put right, line by line.", n)


def changes_n(report: Report) -> int:
    return sum(len(tally.added) + len(tally.changed) for tally in report.tallies.values())


def preview(
    say: Say, report: Report, dates: str | None, problems: Sequence[Problem], *, again: bool, files_n: int
) -> str:
    """What would change; with mistakes, these and nothing else. again: it is not what was shown before."""
    if problems:
        return _wrong(say, problems)
    parts: list[str | None] = []
    if again:
        parts.append(say.gettext("Something has changed since. This is what would happen now:"))
    elif files_n > 1:
        parts.append(
            say.ngettext("With {n} file so far. Nothing is stored yet.", "With {n} files so far. Nothing is stored yet.", files_n)
        )  # fmt: skip
    else:
        parts.append(say.gettext("Nothing is stored yet."))
    if report.tallies and not changes_n(report):
        parts.append(bold(say.gettext("The records say all of this already.")))
    elif report.tallies:
        parts.append(bold(say.gettext("What would change in the records:")))
        for table, tally in report.tallies.items():
            parts += _tally(say, table, tally)
    if dates is not None:
        parts += [bold(say.gettext("In the calendar:")), dates]
    parts += [say.gettext("Please look: {what}.", what=safe(one, 120)) for one in report.remarks]
    parts += _unknown(say, report.unknown)
    parts += _skipped(say, report.skipped)
    parts.append(say.gettext("More files may follow; they are read together. Then tap Apply, or Drop."))
    return lines(parts)


def _wrong(say: Say, problems: Sequence[Problem]) -> str:
    n = len(problems)
    rest = n - PROBLEMS
    return lines([
        bold(say.ngettext("{n} thing to put right. Nothing was stored.", "{n} things to put right. Nothing was stored.", n)),
        *(say.gettext("• {what}", what=safe(str(problem), 200)) for problem in problems[:PROBLEMS]),
        say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None,
        say.gettext("Put it right in the file and send that one again; it takes the place of the first."),
    ])  # fmt: skip


def _tally(say: Say, table: str, tally: Tally) -> Iterator[str]:
    yield say.gettext(
        "{table}: {added} new, {changed} changed, {unchanged} as before",
        table=table, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
    )  # fmt: skip
    if tally.added:
        yield "  " + say.gettext("new: {names}", names=_names(say, tally.added))
    if tally.changed:
        each = [
            say.gettext("{name} ({columns})", name=one.name, columns=say.and_list(one.columns)) for one in tally.changed
        ]
        yield "  " + say.gettext("changed: {names}", names=_names(say, each))
    if tally.absent:
        yield "  " + say.ngettext(
            "{n} not in the file stays as it is", "{n} not in the file stay as they are", len(tally.absent)
        )


def _names(say: Say, names: Sequence[str]) -> str:
    listed = [safe(name, 50) for name in names[:_NAMES]]
    if len(names) > len(listed):
        listed.append(say.ngettext("{n} more", "{n} more", len(names) - len(listed)))
    return say.and_list(listed)


def _unknown(say: Say, plants: Sequence[str]) -> Iterator[str]:
    if plants:
        yield say.gettext(
            "No rule for: {plants}. They become this garden's own: protected from frost, and no food, until somebody says "
            "more with /own.",
            plants=_names(say, plants),
        )


def _skipped(say: Say, skipped: Sequence[str]) -> Iterator[str]:
    if skipped:
        yield say.gettext(
            "Left out: {files}. A file is named after what it holds, such as members.csv.",
            files=_names(say, skipped),
        )


def calendar(
    say: Say,
    compared: Compared,
    remarks: Sequence[Remark],
    problems: Sequence[Problem],
    withdrawn: Sequence[Entry],
    today: date,
) -> str:
    return calendar_file_words.changes(say, compared, today, remarks=remarks, problems=problems, withdrawn=withdrawn)


def stored(say: Say, report: Report, dates_n: int | None) -> str:
    """What an import did, in two or three lines."""
    parts: list[str | None] = [bold(say.gettext("Stored: {garden}.", garden=safe(report.garden, 60)))]
    for table, tally in report.tallies.items():
        parts.append(
            say.gettext(
                "{table}: {added} new, {changed} changed, {unchanged} as before",
                table=table, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
            )
        )  # fmt: skip
    parts += _unknown(say, report.unknown)
    if dates_n is not None:
        parts.append(say.ngettext("calendar: {n} entry", "calendar: {n} entries", dates_n))
    return lines(parts)
