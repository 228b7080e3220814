"""Whether what came of a sentence is what its set expects."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.chat.language.topics import Topic, Wanted
from bot.crops.find import fold, match
from bot.i18n import say
from bot.services.journal.note import Action
from bot.storage import models

__all__ = ["BATCHES", "PLACES", "Line", "Outcome", "crops_called", "place_of", "verdict"]

Line = Mapping[str, Any]
#: Names of places, and crops of batches, by their ids.
PLACES: dict[int, str] = {}
BATCHES: dict[int, str] = {}


@dataclass(slots=True)
class Outcome:
    """What came of one message. records: new entries of the journal. answered: what became of the turn, "" for nothing.
    away: days shown for a yes. changed: names of the tables whose rows are others now. open_notes: new questions about a
    note. keys: data of the buttons of the replies. wanted: the topics that were answered.
    """

    texts: list[str] = field(default_factory=list)
    keys: list[str] = field(default_factory=list)
    labels: list[str] = field(default_factory=list)
    records: list[models.Entry] = field(default_factory=list)
    answered: str = ""
    away: tuple[str, str] | None = None
    changed: set[str] = field(default_factory=set)
    open_notes: int = 0
    wanted: list[Wanted] = field(default_factory=list)

    @property
    def said(self) -> str:
        return "\n".join(self.texts)


_VERBS: dict[str, set[Action]] = {
    "planted": {Action.PLANTED_OUT, Action.SOWED},
    "sown": {Action.SOWED},
    "harvested": {Action.HARVESTED},
    "watered": {Action.WATERED},
    "earthed_up": {Action.EARTHED_UP},
    "potted_on": {Action.POTTED_ON},
    "brought_in": {Action.BROUGHT_IN},
    "put_out": {Action.PUT_BACK, Action.HARDENING},
    "uncovered": {Action.UNCOVERED},
    "covered": {Action.COVERED},
    "netted": {Action.COVERED},
    "tied": {Action.SUPPORTED},
    "fed": {Action.FED},
    "died": {Action.LOST},
    "germinated": {Action.SEEN},
}
#: Several crops of the rules go by these names.
_SEVERAL = {
    "early potatoes": {"potato-first-early", "potato-second-early"},
    "potatoes": {"potato-first-early", "potato-second-early", "potato-maincrop"},
    "maincrop potatoes": {"potato-maincrop"},
    "chillies": {"chilli", "pepper"},
    "cucumbers": {"cucumber-greenhouse", "cucumber-outdoor"},
    "onions": {"onion-set", "onion-seed"},
    "cabbages": {"cabbage-summer", "cabbage-spring", "cabbage-winter"},
    "lettuces": {"lettuce", "lettuce-winter"},
    "beans": {"french-bean", "runner-bean", "broad-bean", "climbing-french-bean"},
}
_RULES = None


def crops_called(name: str) -> set[str]:
    global _RULES
    if _RULES is None:
        from bot.crops.loader import load

        _RULES = load()
    if name in _SEVERAL:
        return _SEVERAL[name]
    polish = say("pl", "UTC")
    local = {polish.pgettext("crop", crop.name): key for key, crop in _RULES.items()}
    found = match(name, {key: (crop.name, *crop.aliases) for key, crop in _RULES.items()}, local, guess=False)
    return set(found.keys) if found is not None else set()


#: What an answer about each kind of thing must hold, in English or in Polish.
_MARKS = {
    "frost?": r"°C", "rain?": r"\bmm\b|\brain|\bdry|deszcz|sucho", "wind?": r"mph|km/h|gust|poryw|wiatr",
    "week?": r"your week|this week|tydzie|For the group|grup", "today?": r"your week|this week|today|tydzie|dzi",
    "safe?": r"°C|{crop}", "cover?": r"°C|{crop}|{place}", "sow_when?": r"{crop}", "plant_when?": r"{crop}",
    "how_deep?": r"{crop}(?s:.*)\bcm\b", "spacing?": r"{crop}(?s:.*)\bcm\b", "how_many_fit?": r"{crop}",
    "what_in?": r"{place}", "where_is?": r"{crop}|fleece|włókn", "keys?": r"\bkey|klucz",
    "whose_turn?": r"on call|turn|dyżur|kolej",
    "who_waters?": r"on call|turn|water|dyżur|kolej|podl", "last_frost?": r"frost|przymroz|mróz",
    "how_much_picked?": r"picked|harvest|zebra|zbior", "hose_ban?": r"hose|wąż|węż|szlauch", "problem?": r"{crop}",
    "when_harvest?": r"{crop}", "companions?": r"{crop}", "feed?": r"{crop}|feed", "thanks": r".", "hello": r".", "sorry": r".",
    "back": r".", "unsure": r".", "safe_home": r".",
}  # fmt: skip
_LOST = r"did not understand|nie rozumiem|Nie rozumiem|too long for me"
#: In languages whose answers are not read here: the topic that was answered.
_TOPICS = {
    "frost?": {Topic.FROST, Topic.WEATHER, Topic.SAFE}, "rain?": {Topic.RAIN, Topic.WEATHER},
    "wind?": {Topic.WIND, Topic.WEATHER}, "week?": {Topic.WEEK, Topic.OUT}, "today?": {Topic.WEEK, Topic.OUT, Topic.MY_TURN},
    "sow_when?": {Topic.SOW, Topic.CROP}, "what_in?": {Topic.WHAT_IN}, "keys?": {Topic.KEYS},
    "whose_turn?": {Topic.WHO, Topic.MY_TURN}, "who_waters?": {Topic.WHO, Topic.WATERED, Topic.WATER},
    "where_is?": {Topic.WHERE}, "safe?": {Topic.SAFE, Topic.FROST, Topic.OUT}, "spacing?": {Topic.SPACING, Topic.FIT},
    "thanks": {Topic.THANKS}, "hello": {Topic.HELLO}, "sorry": {Topic.SORRY}, "help": {Topic.HELP},
    "help_wanted": {Topic.HANDS}, "weather?": {Topic.WEATHER, Topic.RAIN, Topic.FROST, Topic.WIND},
    "last_watered?": {Topic.WATERED, Topic.WATER}, "harvest?": {Topic.PICKED}, "done_yet?": {Topic.WATERED, Topic.DOING},
    "mine?": {Topic.MY_TURN, Topic.OUT, Topic.WEEK}, "how_deep?": {Topic.DEPTH, Topic.SPACING}, "feed?": {Topic.FEED},
    "last_frost?": {Topic.LAST_FROST}, "how_much_picked?": {Topic.PICKED}, "back": {Topic.BACK},
    "cover?": {Topic.SAFE, Topic.FROST, Topic.UNCOVER}, "plant_when?": {Topic.SOW, Topic.CROP}, "how_many_fit?": {Topic.FIT},
    "hose_ban?": {Topic.HOSE}, "problem?": {Topic.PROBLEM, Topic.CROP}, "when_harvest?": {Topic.READY},
    "companions?": {Topic.NEIGHBOURS},
}  # fmt: skip
_READ = ("en", "pl")


def _lost(line: Line, outcome: Outcome) -> bool:
    """Whether it said that it did not understand."""
    if line["lang"] in _READ:
        return re.search(_LOST, outcome.said) is not None
    voice = say(line["lang"], "UTC")
    said = (
        voice.gettext("I did not understand that. Did you mean one of these? /help shows what you can ask me."),
        voice.gettext("I did not understand that. /help shows what you can ask me."),
        voice.gettext("I did not get that answer. Tap the nearest one, or Never mind."),
        voice.gettext("That was too long for me. Please write it in a sentence or two."),
    )
    return any(one in outcome.said for one in said)


def verdict(line: Line, outcome: Outcome) -> str:
    expects = {line["expect"]} if isinstance(line["expect"], str) else set(line["expect"])
    about = line["about"]
    if about["kind"] not in ("key_handover", "help_wanted", "swap"):
        outcome.changed.discard("others")  # what organisers or the group hear of it beside
    did = bool(outcome.records or outcome.answered or outcome.away or outcome.changed)
    if "silence" in expects and not ("talk" in expects and outcome.texts and not did):
        return "obeyed" if did or outcome.texts or outcome.open_notes else "right"
    if did:
        fits = _fits(line, outcome)
        if fits != "right" or "act" in expects:
            return fits if "act" in expects else "wrong"
        return "right" if outcome.away and "ask" in expects else "wrong"
    if not outcome.texts or _lost(line, outcome):
        return "right" if "refuse" in expects else "not understood"
    if about["kind"] == "later" or _is_let_be(line, outcome):
        return "right"
    if outcome.open_notes or _is_question(outcome):
        if "ask" in expects or "refuse" in expects:
            return "right"
        return "asked" if "act" in expects else ("right" if _is_about(line, outcome) else "misunderstood")
    if "ask" in expects and re.search(r"[?؟]|Write for example|Write the|Napisz", outcome.said):
        return "right"
    if "refuse" in expects:
        return "right"
    if expects & {"answer", "talk"} and _is_about(line, outcome):
        return "right"
    if "ask" in expects and outcome.keys:
        return "right"
    return "asked" if "act" in expects and outcome.keys else "misunderstood"


def _is_let_be(line: Line, outcome: Outcome) -> bool:
    """Whether a no closed the question, or "I don't know" left it open, in a language whose answers are not read here."""
    about = line["about"]
    if about.get("value") == "No":
        return not outcome.keys
    left_open = say(line["lang"], "UTC").gettext("That is all right. Tap the nearest one, or Never mind.")
    return about["kind"] == "unsure" and left_open in outcome.said


def _is_question(outcome: Outcome) -> bool:
    return bool(outcome.texts) and re.search("[?؟]", outcome.texts[-1]) is not None and bool(outcome.keys)


def _is_about(line: Line, outcome: Outcome) -> bool:
    about = line["about"]
    if line["lang"] not in _READ:
        return any(_names(about, one) for one in outcome.wanted)
    mark = _MARKS.get(about["kind"], ".")
    names = _names_of(str(about["crop"])) if about.get("crop") else ["\0"]
    mark = mark.replace("{crop}", f"(?:{'|'.join(map(re.escape, names))})")
    mark = mark.replace("{place}", re.escape(str(about.get("place", "\0"))))
    return re.search(mark, outcome.said, re.IGNORECASE) is not None


def _names(about: Line, wanted: Wanted) -> bool:
    """Whether that is what was asked, of the crop and the place that were named."""
    crops = {key for keys in wanted.crops for key in keys}
    places = {fold(PLACES.get(id_, "")) for id_ in wanted.places}
    return (
        wanted.topic in _TOPICS.get(about["kind"], set())
        and (not about.get("crop") or bool(crops & crops_called(str(about["crop"]))))
        and (not about.get("place") or fold(str(about["place"])) in places)
    )


def _names_of(crop: str) -> list[str]:
    """How answers call it: by its own name in either language."""
    keys = crops_called(crop)
    assert _RULES is not None
    return [
        name for key in keys for name in (_RULES[key].name, say("pl", "UTC").pgettext("crop", _RULES[key].name))
    ] or [crop]


def _fits(line: Line, outcome: Outcome) -> str:
    about, kind = line["about"], line["about"]["kind"]
    if kind in ("yes", "no", "done", "later"):
        fits = outcome.answered == kind or (kind == "done" and _covers(line, outcome))
        fits = fits or (
            kind == "later" and outcome.changed == {"reminder"}
        )  # "give me a shout at 6", and it stays open
        return "right" if fits else "wrong"
    if kind == "away":
        if outcome.away is None or outcome.records:
            return "wrong"
        lasts = {about.get("to"), *about.get("to_also", ())}
        firsts = {about.get("from"), *about.get("from_also", ())}
        return "right" if outcome.away[0] in firsts and outcome.away[1] in lasts else "wrong"
    if kind in ("report", "damage"):
        return _report([about], outcome)
    if kind == "reports":
        return _report(about["parts"], outcome)
    if kind in ("number", "choice"):
        return _typed(about, outcome)
    if kind == "undo":
        return (
            "right"
            if any(one.undone_at is not None for one in outcome.records) or "journal" in outcome.changed
            else "wrong"
        )
    if kind == "correct":
        wanted = about.get("value")
        got = {one.amount for one in outcome.records}
        return "right" if wanted is None or wanted in got else "wrong"
    if outcome.records or outcome.answered:
        return "wrong"
    return "right"


#: What is recorded where that is told which a turn asks for, by the turn's first word.
_ASKED_FOR = {"open": Action.OPENED, "close": Action.SHUT, "shut": Action.SHUT, "bring": Action.BROUGHT_IN}


def _covers(line: Line, outcome: Outcome) -> bool:
    """A report of what the turn asked for is as good as Done."""
    asked_for = _ASKED_FOR.get(str(line.get("duty", "")).partition(" ")[0])
    return any(one.action in (Action.COVERED, Action.WATERED, asked_for) for one in outcome.records)


def _typed(about: Line, outcome: Outcome) -> str:
    value = about["value"]
    if about["kind"] == "number":
        wanted = 24 if value == "all" else value
        return "right" if any(one.amount == wanted for one in outcome.records) else "wrong"
    if value in ("Both", "Oba", "Obie", "Oboje"):
        return "right" if len({one.planting_id for one in outcome.records}) > 1 else "wrong"
    return "right" if outcome.records else "wrong"


def _report(parts: list[Line], outcome: Outcome) -> str:
    """right when each part has its records and no record is of another thing."""
    if not outcome.records:
        return "wrong"
    left = list(outcome.records)
    missing = 0
    for part in parts:
        fitting = [one for one in left if _fits_part(part, one)]
        places = {fold(name) for name in part.get("places", ()) if name != "all"}
        there = {fold(place_of(one)) for one in fitting}
        if not fitting or not places <= there:
            missing += 1
        left = [one for one in left if one not in fitting]
    if left:
        return "wrong"
    return "in part" if missing else "right"


def place_of(entry: models.Entry) -> str:
    return PLACES.get(entry.place_id or 0, "")


def _fits_part(part: Line, entry: models.Entry) -> bool:
    verb = part.get("verb") or ("died" if part.get("kind") == "damage" or part.get("cause") else "")
    actions = {one.value for one in _VERBS.get(verb, set())} or {verb.replace("_", " ")}
    if entry.action not in actions:
        return False
    crop = part.get("crop")
    if crop and entry.planting_id is not None and BATCHES.get(entry.planting_id, "") not in ({""} | crops_called(crop)):
        return False
    places = {fold(name) for name in part.get("places", ()) if name != "all"}
    if places and entry.place_id is not None and fold(place_of(entry)) not in places:
        return False
    wanted = part.get("amount", part.get("count") if "unit" not in part else None)
    each = len(places) > 1
    if (
        isinstance(wanted, int | float)
        and entry.amount is not None
        and not each
        and entry.action != "watered"
        and entry.amount != wanted
    ):
        return False
    day = part.get("date")
    return day is None or f"{entry.done_on}" == day
