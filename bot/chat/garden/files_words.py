"""What files would change in the records, what is wrong with them, and what was stored."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from bot.chat.calendar import calendar_words
from bot.chat.html import bold, lines, safe
from bot.core.calendar.entry import Entry
from bot.i18n import Say
from bot.services.calendar.entries import Compared
from bot.services.calendar.remarks import Remark
from bot.services.garden.received_files import MOST_BYTES
from bot.services.garden.records.problems import Problem, Report, Tally

#: What a phone's screen has room for; more mistakes than that go into a file.
PROBLEMS = 8
_NAMES = 6

Refusal = Callable[[Say], str]


def shown(name: str) -> str:
    return safe(name, 40)


def too_large(say: Say, name: str) -> str:
    return say.gettext(
        "{file} is too big. I can read files of up to {most} MB. Take out pictures and colours, or send it in parts.",
        file=shown(name),
        most=MOST_BYTES // 1_000_000,
    )


def gone(say: Say, name: str) -> str:
    return say.gettext("I can no longer get {file} from the chat app. Please send it again.", file=shown(name))


def nobody_left(say: Say) -> str:
    return say.gettext(
        "Nothing was saved. With these files the garden would have no organiser. Leave at least one in members.csv."
    )


def all_problems(say: Say, n: int) -> str:
    return say.ngettext("{n} thing to correct, line by line.", "{n} things to correct, line by line.", n)


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
        parts.append(say.gettext("Something has changed since then. These things would change now:"))
    elif files_n > 1:
        parts.append(
            say.ngettext("{n} file so far. Nothing is saved yet.", "{n} files so far. Nothing is saved "
                                                                         "yet.", files_n)
        )  # fmt: skip
    else:
        parts.append(say.gettext("Nothing is saved yet."))
    if report.tallies and not changes_n(report):
        parts.append(bold(say.gettext("I know all of this already.")))
    elif report.tallies:
        parts.append(bold(say.gettext("These things would change:")))
        for table, tally in report.tallies.items():
            parts += _tally(say, table, tally)
    if dates is not None:
        parts += [bold(say.gettext("In the calendar:")), dates]
    parts += [say.gettext("Please check: {what}.", what=safe(one, 120)) for one in report.remarks]
    parts += _unknown(say, report.unknown)
    parts += _skipped(say, report.skipped)
    parts.append(
        say.gettext("You can send more files. I read them together. Then tap “Save the changes” or “Do not save”.")
    )
    return lines(parts)


def _wrong(say: Say, problems: Sequence[Problem]) -> str:
    n = len(problems)
    rest = n - PROBLEMS
    return lines([
        bold(say.ngettext("{n} thing to correct. Nothing was saved.", "{n} things to correct. Nothing was "
                                                                         "saved.", n)),
        *(say.gettext("• {what}", what=safe(str(problem), 200)) for problem in problems[:PROBLEMS]),
        say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None,
        say.gettext("Correct it in the file and send the file again. I then use the new one."),
    ])  # fmt: skip


def _tally(say: Say, table: str, tally: Tally) -> Iterator[str]:
    yield say.gettext(
        "{table}: {added} new, {changed} changed, {unchanged} the same",
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
            "{n} is not in the file and does not change", "{n} are not in the file and do not change", len(tally.absent)
        )


def _names(say: Say, names: Sequence[str]) -> str:
    listed = [safe(name, 50) for name in names[:_NAMES]]
    if len(names) > len(listed):
        listed.append(say.ngettext("{n} more", "{n} more", len(names) - len(listed)))
    return say.and_list(listed)


def _unknown(say: Say, plants: Sequence[str]) -> Iterator[str]:
    if plants:
        yield say.gettext(
            "I have no rules for: {plants}. I save them as this garden's own plants. I protect them from "
            "frost and do not treat them as food, until somebody says more with /own.",
            plants=_names(say, plants),
        )


def _skipped(say: Say, skipped: Sequence[str]) -> Iterator[str]:
    if skipped:
        yield say.gettext(
            "I did not read: {files}. The name of a file must say what is in it, such as members.csv.",
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
    return calendar_words.changes(say, compared, today, remarks=remarks, problems=problems, withdrawn=withdrawn)


def stored(say: Say, report: Report, dates_n: int | None) -> str:
    """What an import did, in two or three lines."""
    parts: list[str | None] = [bold(say.gettext("Saved: {garden}.", garden=safe(report.garden, 60)))]
    for table, tally in report.tallies.items():
        parts.append(
            say.gettext(
                "{table}: {added} new, {changed} changed, {unchanged} the same",
                table=table, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
            )
        )  # fmt: skip
    parts += _unknown(say, report.unknown)
    if dates_n is not None:
        parts.append(say.ngettext("calendar: {n} entry", "calendar: {n} entries", dates_n))
    return lines(parts)
