"""The words of small talk, and of help with the bot: concepts, each a list of phrases, of one language."""

from __future__ import annotations

from bot.i18n import Say


def small_talk(voice: Say) -> dict[str, str]:
    return {
        "help": voice.pgettext(
            "concept: help with the bot",
            "who are you|what are you|are you a robot|are you a bot|help|what can you do|how do you work|commands|"
            "how does this work|instructions|menu|what can u do|wat can u do|what do you do|what does this do|"
            "how do i use|how do i use this|how does it work|what is this|explain|guide|info|what are the commands|options",
        ),
        "stop": voice.pgettext(
            "concept: stop",
            "stop|stop it|stop writing|leave me alone|unsubscribe|no more messages|be quiet|shut up|mute",
        ),
        "sorry": voice.pgettext(
            "concept: sorry",
            "sorry|apologies|my bad|oops|whoops|my apologies|forgive me|my fault"
            "|soz|sozzles|apols|mea culpa|sorry about that|beg pardon|pardon me",
        ),
        "thanks": voice.pgettext(
            "concept: thanks",
            "thanks|thank you|ta|cheers|ty|thx|much appreciated|many thanks|brilliant|great job|well done|good bot|"
            "nice one|lovely|perfect|legend|you're a star|appreciate it|great|good stuff|super|wonderful"
            "|nice wan|nice1|tysm|tyvm|thank u|thankyou|thanku|thnx|tnx|thanx|much obliged|cheers pal|cheers mate"
            "|ta very much|ta muchly|fanks|gracias|merci|danke|diolch|bless you|bless|you're a gem|youre a gem"
            "|you're a diamond|youre a diamond|you're a lifesaver|lifesaver|good lad|good man",
        ),
        "of_day": voice.pgettext(
            "concept: a part of a day, which greets nobody",
            "this morning|in the morning|yesterday morning|tomorrow morning|every morning|this afternoon|in the afternoon|"
            "tomorrow afternoon|this evening|all morning|all afternoon|one morning|mornings",
        ),
        "hello": voice.pgettext(
            "concept: hello",
            "hello|hi|hiya|hey|morning|good morning|good evening|evening all|afternoon|good afternoon|hullo|yo|howdy|hi there",
        ),
    }
