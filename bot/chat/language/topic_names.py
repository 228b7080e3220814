"""What may be wished, and how people ask for what "I did not understand" may name instead."""

from __future__ import annotations

from enum import StrEnum

from bot.i18n import Say


class Topic(StrEnum):
    """What is wanted; those from WHAT_IN on need a crop or a place to speak of."""

    NEWS = "news"
    LANGUAGE = "language"
    PICTURE = "picture"
    WISHES = "wishes"
    EMPTY = "empty"
    SOW_NOW = "sow now"
    WATERED = "watered"
    UNDO = "undo"
    CORRECT = "correct"
    KEY_GIVEN = "key given"
    KEYS = "keys"
    HOSE = "hose"
    LAST_FROST = "last frost"
    LOST = "lost"
    PICKED = "picked"
    SWAP = "swap"
    MY_TURN = "my turn"
    WHO = "who"
    COMING = "coming"
    DOING = "doing"
    DIARY = "diary"
    REMIND = "remind"
    HANDS = "hands"
    LIFTING = "lifting"
    BACK = "back"
    WHO_AWAY = "who away"
    AWAY = "away"
    UNCOVER = "uncover"
    COVERED = "covered"
    SAFE = "safe"
    DEPTH = "depth"
    SPACING = "spacing"
    FIT = "fit"
    KEEP = "keep"
    READY = "ready"
    FEED = "feed"
    PROBLEM = "problem"
    NEIGHBOURS = "neighbours"
    SOW = "sow"
    WATER = "water"
    WHAT_IN = "what in"
    WHERE = "where"
    HOLDER = "holder"
    CROP = "crop"
    RAIN = "rain"
    WIND = "wind"
    FROST = "frost"
    WEATHER = "weather"
    OUT = "out"
    WEEK = "week"
    BROKEN = "broken"
    HELP = "help"
    STOP = "stop"
    SORRY = "sorry"
    THANKS = "thanks"
    HELLO = "hello"


def examples(voice: Say) -> dict[Topic, str]:
    """How people ask for what "I did not understand" may name instead."""
    return {
        Topic.FROST: voice.pgettext("examples of questions", "will it freeze tonight|frost forecast|how cold will it get"),
        Topic.RAIN: voice.pgettext("examples of questions", "will it rain tomorrow|when does it rain"),
        Topic.WIND: voice.pgettext("examples of questions", "how windy will it be|is a gale coming"),
        Topic.WEEK: voice.pgettext("examples of questions", "what should i do this week|what needs doing|any jobs"),
        Topic.OUT: voice.pgettext("examples of questions", "what can go out yet|can i plant out|hardening off"),
        Topic.MY_TURN: voice.pgettext("examples of questions", "when is my turn|am i on call|what have i been asked to do"),
        Topic.WHO: voice.pgettext("examples of questions", "whose turn is it|who waters today|who is on call"),
        Topic.KEYS: voice.pgettext("examples of questions", "who has the key|where is the key"),
        Topic.AWAY: voice.pgettext("examples of questions", "i am away next week|on holiday from friday|not here"),
        Topic.DIARY: voice.pgettext("examples of questions", "when is the work day|what is on in may|calendar dates"),
        Topic.HOSE: voice.pgettext("examples of questions", "is there a hose ban|can i use the hose"),
        Topic.LAST_FROST: voice.pgettext("examples of questions", "when is the last frost|first frost date"),
        Topic.PICKED: voice.pgettext("examples of questions", "how much have we picked|how many kilos did we harvest"),
    }  # fmt: skip
