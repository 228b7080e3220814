"""What was understood and kept, what is asked, and why something was not kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta

from bot.chat import names
from bot.chat.growing import stages_words
from bot.chat.html import lines, safe
from bot.chat.journal.amounts import amount, month_day, plants
from bot.chat.journal.refusal_words import refused
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Cover, Garden, Planting, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.seasons import growing_name
from bot.i18n import Say
from bot.services.growing.rules import figure
from bot.services.journal.note import Action, Note, Unit
from bot.services.journal.outcome import (
    NEVER_MIND,
    Change,
    Outcome,
    Question,
    QuestionKind,
    Recorded,
    Refused,
    Undone,
)
from bot.services.journal.question import ALL
from bot.services.weather.readings import Learnt, Taken
from bot.storage.models import Entry

__all__ = ["kept", "learnt", "question", "refused", "replies", "undone"]

Rules = Mapping[str, Crop]
Reply = tuple[str, list[list[Button]]]

_LABEL_N = 60
#: Notes after which it is said how far the batch counts as having come, or what is waited for.
_TELLS_MORE = frozenset({Action.SOWED, Action.POTTED_ON, Action.PLANTED_OUT, Action.SEEN})
_MOVED = frozenset({Action.POTTED_ON, Action.HARDENING, Action.HARDENED, Action.PLANTED_OUT})


def replies(say: Say, rules: Rules, outcomes: Sequence[Outcome], more: Sequence[str] = ()) -> list[Reply]:
    """One message for all that was kept, with one Undo; then a message for each question, and one for what was not.

    rules: as they were before, so that a changed figure can be told from the old one. more: what comes of what was kept.
    """
    recorded = [one for one in outcomes if isinstance(one, Recorded)]
    out = [kept(say, rules, recorded, more)] if recorded else []
    out += [question(say, rules, one) for one in outcomes if isinstance(one, Question)]
    others = [refused(say, rules, one) for one in outcomes if isinstance(one, Refused)]
    others += [undone(say, one) for one in outcomes if isinstance(one, Undone)]
    return [*out, (lines(dict.fromkeys(others)), [])] if others else out


def kept(say: Say, rules: Rules, recorded: Sequence[Recorded], more: Sequence[str] = ()) -> Reply:
    """A line for each thing done, a line for what comes of it, and Undo for all of it."""
    parts = [line for one in recorded for line in _kept(say, rules, one)]
    undo = (say.gettext("Undo"), f"undo:{recorded[0].entries[0].id}")
    return lines(dict.fromkeys([*parts, *more])), [[undo]]


def question(say: Say, rules: Rules, asked: Question) -> Reply:
    """What was understood so far and what is asked, with a button for each answer."""
    rows: list[list[Button]] = [
        [(_label(say, rules, asked, option), f"note:{asked.pending_id}:{n}")] for n, option in enumerate(asked.options)
    ]
    if asked.kind is QuestionKind.COUNT:
        rows = [[button for row in rows for button in row]]
    no = (QuestionKind.CONFIRM, QuestionKind.VARIETY, QuestionKind.READING, QuestionKind.MUCH, QuestionKind.PLANT)
    never = say.gettext("No") if asked.kind in no else say.gettext("Never mind")
    rows.append([(never, f"note:{asked.pending_id}:{NEVER_MIND}")])
    understood = None if asked.kind is QuestionKind.PLANT else _understood(say, rules, asked)
    return lines([understood, _ask(say, asked)]), rows


def undone(say: Say, given: Undone) -> str:
    """What was taken back, in the writer's own words."""
    words = safe(given.entries[0].words, 100)
    if given.trace is not None and given.trace.disputed:
        return say.gettext(
            "Taken back: “{words}”. You two disagree about this. The organisers have all versions and will help.",
            words=words,
        )
    if given.writer is not None:
        return say.gettext(
            "Taken back: “{words}”. Both versions stay in the journal. If you know what is right, write it now.",
            words=words,
        )
    return say.gettext("Taken back: “{words}”.", words=words)


def _kept(say: Say, rules: Rules, one: Recorded) -> list[str]:
    note, written_at = one.note, one.entries[0].written_at
    found = []
    if note.action is Action.RULE:
        found = [_rule(say, rules, key, note) for key in _changed_crops(one)]
    elif note.action is Action.READING:
        found = [
            say.gettext(
                "Noted: {thermometer}, {temperature}, {day}.",
                thermometer=safe(one.thermometer or "", 40),
                temperature=say.celsius_exact(note.amount or 0.0),
                day=_day(say, note.done_on, written_at),
            )
        ]
        found += learnt(say, one.taken) if one.taken else []
    else:
        for entry, change in zip(one.entries, one.changes, strict=True):
            number = _number(say, note.action, entry, change)
            place = one.garden.place_by_id.get(change.place_id or 0)
            crop = names.crop(say, rules, change.planting.crop) if change.planting else ""
            where = safe(place.name, 40) if place else ""
            found.append(_sentence(say, note, crop, where, number, _day(say, note.done_on, written_at)))
            found += _afterwards(say, rules, one, change)
    if one.cells is not None:
        found.append(
            say.gettext(
                "I counted {n} cells in a tray. Is your tray different? Write “2 trays of 40”.", n=say.number(one.cells)
            )
        )
    return found


def learnt(say: Say, taken: Taken) -> list[str]:
    """Whether a reading taught something, and of which night; if not, why."""
    night = {"day": say.day(taken.reading.night_on + timedelta(days=1))}
    if taken.learnt is Learnt.YES:
        return [
            say.gettext(
                "I learn from this. I expected {temperature} for the night before {day}.",
                temperature=say.celsius_exact(taken.expected_c or 0.0),
                **night,
            )
        ]
    return [
        {
            Learnt.NOT_COMPARED: say.gettext(
                "I cannot learn from this. I have no forecast for the night before {day} to compare.",
                **night,
            ),
            Learnt.NOT_AT_NIGHT: say.gettext("This thermometer does not keep the lowest reading of the night."),
            Learnt.NIGHT_KNOWN: say.gettext(
                "I already have a reading for the night before {day}. So I learn nothing new.",
                **night,
            ),
        }[taken.learnt]
    ]


def _number(say: Say, action: Action, entry: Entry, change: Change) -> str:
    """How much or how many: as said, else of a batch that moved all that it has."""
    if entry.amount is not None:
        counted = entry.unit == Unit.PIECE and action is not Action.HARVESTED
        return plants(say, round(entry.amount)) if counted else amount(say, entry.amount, Unit(entry.unit))
    return plants(say, change.planting.count) if change.planting and action in _MOVED else ""


def _changed_crops(one: Recorded) -> list[str]:
    return [str((entry.undo or {})["rule"]["crop"]) for entry in one.entries]


def _afterwards(say: Say, rules: Rules, one: Recorded, change: Change) -> list[str]:
    """What comes next and how that is known; after a loss, what is left and whether there is time to sow again."""
    planting = change.planting
    if planting is None:
        return []
    if one.note.action is Action.LOST:
        left = say.ngettext("{n} plant is left.", "{n} plants are left.", planting.count)
        return [left if planting.count else say.gettext("No plants are left."), *_again(say, rules, one, planting)]
    if one.note.action not in _TELLS_MORE:
        return []
    told = []
    if change.too_soon is not None:
        before = names.crop(say, rules, change.too_soon.crop)
        told.append(
            say.gettext(
                "The same family grew here in {year} ({crop}). Use another bed if you can. Or look for disease.",
                year=growing_name(change.too_soon.year, south=rules[change.too_soon.crop].south),
                crop=before,
            )
        )
    if one.note.not_yet:
        told.append(say.gettext("I will ask again in a week."))
    elif change.reached is not None:
        crop = names.crop(say, rules, planting.crop)
        told.append(stages_words.counts_as(say, change.reached, crop))
        told.append(stages_words.put_right(say, change.reached.stage, crop))
    elif change.coming is not None and change.coming.due_on is not None:
        told.append(stages_words.coming(say, change.coming, say.day(change.coming.due_on)))
    return [line for line in told if line]


def _again(say: Say, rules: Rules, one: Recorded, planting: Planting) -> list[str]:
    crop = rules.get(planting.crop)
    if crop is None or not (crop.sowing.indoors or crop.sowing.under_cover or crop.sowing.outdoors):
        return []
    if one.resow_until is None:
        return [say.gettext("This is not the time to sow them again.")]
    return [say.gettext("There is still time to sow again, until {day}.", day=say.day(one.resow_until))]


def _sentence(say: Say, note: Note, crop: str, where: str, number: str, day: str) -> str:
    """What was done, in a line. crop, where and number may be empty."""
    thing = say.gettext("{crop} ({place})", crop=crop, place=where) if crop and where else crop or where
    if note.action is Action.COVERED and note.cover is not None:
        cover = names.cover(say, note.cover)
        return say.gettext("Covered with {cover}: {thing}, {day}.", cover=cover, thing=thing, day=day)
    if note.action is Action.SEEN:
        shown = _NOT_YET if note.not_yet else _SHOWN
        return say.fill(shown[note.stage or Stage.SEEDLING](say), thing=thing, day=day)
    if number and note.action in _NUMBERED:
        return say.fill(_NUMBERED[note.action](say), thing=thing, number=number, day=day)
    return say.fill(_PLAIN[note.action](say), thing=thing, day=day)


_SHOWN: dict[Stage, Callable[[Say], str]] = {
    Stage.SEEDLING: lambda say: say.gettext("Up: {thing}, {day}."),
    Stage.FLOWERING: lambda say: say.gettext("In flower: {thing}, {day}."),
    Stage.READY: lambda say: say.gettext("Ready: {thing}, {day}."),
}
_NOT_YET: dict[Stage, Callable[[Say], str]] = {
    Stage.SEEDLING: lambda say: say.gettext("Not up yet: {thing}, {day}."),
    Stage.FLOWERING: lambda say: say.gettext("Not in flower yet: {thing}, {day}."),
    Stage.READY: lambda say: say.gettext("Not ready yet: {thing}, {day}."),
}
_NUMBERED: dict[Action, Callable[[Say], str]] = {
    Action.SOWED: lambda say: say.gettext("Sown: {thing}, {number}, {day}."),
    Action.POTTED_ON: lambda say: say.gettext("Potted on: {thing}, {number}, {day}."),
    Action.HARDENING: lambda say: say.gettext("Hardening off started: {thing}, {number}, {day}."),
    Action.HARDENED: lambda say: say.gettext("Hardened off: {thing}, {number}, {day}."),
    Action.PLANTED_OUT: lambda say: say.gettext("Planted out: {thing}, {number}, {day}."),
    Action.HARVESTED: lambda say: say.gettext("Harvested: {thing}, {number}, {day}."),
    Action.LOST: lambda say: say.gettext("Lost: {thing}, {number}, {day}."),
    Action.MEASURED: lambda say: say.gettext("Measured: {thing}, {number} tall, {day}."),
    Action.WATERED: lambda say: say.gettext("Watered: {thing}, {number}, {day}."),
}
_PLAIN: dict[Action, Callable[[Say], str]] = {
    Action.SOWED: lambda say: say.gettext("Sown: {thing}, {day}."),
    Action.POTTED_ON: lambda say: say.gettext("Potted on: {thing}, {day}."),
    Action.HARDENING: lambda say: say.gettext("Hardening off started: {thing}, {day}."),
    Action.HARDENED: lambda say: say.gettext("Hardened off: {thing}, {day}."),
    Action.PLANTED_OUT: lambda say: say.gettext("Planted out: {thing}, {day}."),
    Action.COVERED: lambda say: say.gettext("Covered: {thing}, {day}."),
    Action.UNCOVERED: lambda say: say.gettext("Uncovered: {thing}, {day}."),
    Action.BROUGHT_IN: lambda say: say.gettext("Brought in: {thing}, {day}."),
    Action.PUT_BACK: lambda say: say.gettext("Put back outside: {thing}, {day}."),
    Action.WATERED: lambda say: say.gettext("Watered: {thing}, {day}."),
    Action.FED: lambda say: say.gettext("Fed: {thing}, {day}."),
    Action.SUPPORTED: lambda say: say.gettext("Tied and supported: {thing}, {day}."),
    Action.EARTHED_UP: lambda say: say.gettext("Earthed up: {thing}, {day}."),
    Action.HARVESTED: lambda say: say.gettext("Harvested: {thing}, {day}."),
    Action.LOST: lambda say: say.gettext("Lost: {thing}, {day}."),
    Action.CLEARED: lambda say: say.gettext("Cleared: {thing}, {day}."),
    Action.MEASURED: lambda say: say.gettext("Measured: {thing}, {day}."),
    Action.MOVED: lambda say: say.gettext("Moved: {thing}, {day}."),
    Action.OPENED: lambda say: say.gettext("Opened: {thing}, {day}."),
    Action.SHUT: lambda say: say.gettext("Shut: {thing}, {day}."),
    Action.WEEDED: lambda say: say.gettext("Weeded: {thing}, {day}."),
    Action.THINNED: lambda say: say.gettext("Thinned: {thing}, {day}."),
    Action.MULCHED: lambda say: say.gettext("Mulched: {thing}, {day}."),
    Action.PRUNED: lambda say: say.gettext("Pinched out or pruned: {thing}, {day}."),
}


def _rule(say: Say, rules: Rules, crop: str, note: Note) -> str:
    was = figure(rules[crop], note.rule_key) if crop in rules else None
    words = {
        "crop": names.crop(say, rules, crop),
        "day": month_day(say, note.rule_value),
        "was": month_day(say, str(was)) if was is not None else say.gettext("nothing"),
    }
    first, sowing = note.rule_key.endswith(".from"), note.rule_key.startswith("sowing.")
    if sowing and first:
        return say.gettext("In this garden: {crop}. Don't sow before {day} (it was {was}).", **words)
    if sowing:
        return say.gettext("In this garden: {crop}. Don't sow after {day} (it was {was}).", **words)
    if first:
        return say.gettext("In this garden: {crop}. Don't plant out before {day} (it was {was}).", **words)
    return say.gettext("In this garden: {crop}. Don't plant out after {day} (it was {was}).", **words)


def _understood(say: Say, rules: Rules, asked: Question) -> str:
    """The note as far as it was understood, so that a slip is seen."""
    note, crops = asked.note, [names.crop(say, rules, key) for key in asked.note.crops]
    if note.action is Action.READING:
        return say.gettext("The thermometer shows {temperature}.", temperature=say.celsius_exact(note.amount or 0.0))
    if note.action is Action.RULE:
        return _rule(say, rules, note.crops[0], note) if len(crops) == 1 else say.gettext("A rule of this garden.")
    places = [_place(asked.garden, id_) for id_ in (*note.places, *note.from_places)]
    number = amount(say, note.amount, note.unit) if note.amount is not None else ""
    if note.count is not None and not number:
        number = plants(say, note.count)
    same_year = note.done_on.year == asked.today.year
    day = say.day(note.done_on) if same_year else say.long_day(note.done_on)
    return _sentence(say, note, _either(say, crops), _either(say, places), number, day)


def _either(say: Say, things: Iterable[str]) -> str:
    found = list(dict.fromkeys(things))
    return say.or_list(found[:4]) if found else ""


def _ask(say: Say, asked: Question) -> str:
    if asked.kind is QuestionKind.MUCH:
        return _much(say, asked.note)
    if asked.kind is QuestionKind.COUNT and asked.note.action is Action.LOST:
        return say.gettext("How many plants were lost?")
    if asked.kind is QuestionKind.PLANT:
        return say.gettext(
            "I don't know “{plant}”. Do you want to save it as a crop of this garden? I protect it from frost. I "
            "don't call it food until an organiser tells me more: /own. Some plants are poisonous. Eat only what "
            "you are sure of.",
            plant=safe(asked.note.plant, 60),
        )
    if asked.kind is QuestionKind.VARIETY:
        return say.gettext(
            "I don't know “{words}”. Is it a kind of this crop that people eat? Some poisonous plants have the "
            "name of a vegetable.",
            words=safe(asked.note.beside, 60),
        )
    return _ASK[asked.kind](say)


def _much(say: Say, note: Note) -> str:
    """The figure said back."""
    if note.amount is not None:
        return say.gettext("Really {number} at one time?", number=amount(say, note.amount, note.unit))
    if note.count is not None:
        return say.gettext("Really {number} at one time?", number=plants(say, note.count))
    return say.gettext("Really so many at one time?")


_ASK: dict[QuestionKind, Callable[[Say], str]] = {
    QuestionKind.CONFIRM: lambda say: say.gettext("Is this right?"),
    QuestionKind.CROP: lambda say: say.gettext("Which crop is it?"),
    QuestionKind.PLANTING: lambda say: say.gettext("Which plants do you mean?"),
    QuestionKind.PLACE: lambda say: say.gettext("In which place?"),
    QuestionKind.HOUSE: lambda say: say.gettext("Where did you put them?"),
    QuestionKind.COUNT: lambda say: say.gettext("How many plants, about?"),
    QuestionKind.COVER: lambda say: say.gettext("What did you use to cover?"),
    QuestionKind.THERMOMETER: lambda say: say.gettext("Which thermometer?"),
    QuestionKind.NIGHT: lambda say: say.gettext("Which night was that?"),
    QuestionKind.READING: lambda say: say.gettext("That is not what I expected. Did it really show that?"),
}


def _label(say: Say, rules: Rules, asked: Question, option: int | str) -> str:
    """A button's words; a label is no markup, so names stand as they are."""
    if asked.kind is QuestionKind.PLANT:
        return say.gettext("Yes, save the crop")
    if asked.kind in (QuestionKind.CONFIRM, QuestionKind.VARIETY, QuestionKind.READING, QuestionKind.MUCH):
        return say.gettext("Yes")
    if asked.kind is QuestionKind.NIGHT:
        evening_on = date.fromisoformat(str(option))
        return say.gettext("Night before {morning}", morning=say.day(evening_on + timedelta(days=1)))
    if asked.kind is QuestionKind.CROP:
        return say.gettext("All of these") if option == "all" else names.crop(say, rules, str(option))
    if asked.kind is QuestionKind.COVER:
        return names.cover(say, Cover(str(option)))
    if asked.kind in (QuestionKind.PLACE, QuestionKind.HOUSE) and option != ALL:
        return _cut(asked.garden.place_by_id[int(option)].name)
    if asked.kind is QuestionKind.THERMOMETER:
        return _cut(asked.thermometers.get(int(option), ""))
    if asked.kind is QuestionKind.COUNT:
        return say.number(int(option))
    return say.gettext("All of them") if option == ALL else _batch(say, rules, asked.garden, int(option))


def _batch(say: Say, rules: Rules, garden: Garden, planting_id: int) -> str:
    planting = next(one for one in garden.plantings if one.id == planting_id)
    words = [names.crop(say, rules, planting.crop), planting.variety, planting.batch, garden.place_of(planting).name]
    words.append(names.stage(say, planting.stage))
    return _cut(", ".join(word for word in words if word))


def _place(garden: Garden, id_: int) -> str:
    return safe(garden.place_by_id[id_].name, 40) if id_ in garden.place_by_id else ""


def _cut(text: str) -> str:
    return text if len(text) <= _LABEL_N else text[: _LABEL_N - 1] + "…"


def _day(say: Say, on: date, now: datetime) -> str:
    if on == say.local(now).date() - timedelta(days=1):
        return say.gettext("yesterday")
    return say.near_day(on, now)
