"""The words of what lies covered or stands inside, and of going out to it: concepts, each a list of phrases."""

from __future__ import annotations

from bot.i18n import Say


def cover_words(voice: Say) -> dict[str, str]:
    return {
        "covered": voice.pgettext(
            "concept: what lies covered now, or stands inside",
            "still covered|what's covered|whats covered|what is covered|which are covered|still under fleece|"
            "what's inside|whats inside|what is inside|still inside",
        ),
        "uncover": voice.pgettext(
            "concept: taking the cover off",
            "uncover|uncovered|unfleece|take * fleece off|take off * fleece|fleece off|fleece come off|"
            "fleece comes off|remove * fleece|lift * fleece|take * cover off|take off * cover|cover off|covers off|"
            "cover come off|take * covers off|remove * cover|cloches off|take * cloches off|still need * fleece|"
            "still need * cover|need * fleece on|need * cover on|keep * fleece on|keep * cover on|"
            "leave * fleece on|leave * cover on|have to do it again|have to cover again|have to cover * again|"
            "do it again tonight|do that again tonight|need to do it again|need to cover again|need covering again|"
            "same again tonight|do i do it again|fleece stay on|cover stay on|how long * fleece|how long * covered|"
            "fleece * any more|fleece * anymore|fleece * still needed|cover * still needed|go back out|go back outside|"
            "go out again|go outside again|back out yet|back outside yet",
        ),
        "on_day": voice.pgettext(
            "concept: a cover on a day that is named",
            "fleece on mon*|fleece on tue*|fleece on wed*|fleece on thu*|fleece on fri*|fleece on sat*|fleece on sun*|"
            "cover on mon*|cover on tue*|cover on wed*|cover on thu*|cover on fri*|cover on sat*|cover on sun*",
        ),
        "going": voice.pgettext(
            "concept: being out in the weather, of people",
            "safe to go|safe to come|safe to be|safe to walk|safe to work|safe going|ok to go up|ok to go out|"
            "ok to go down|"
            "ok to go there|ok to come up|ok to come down|can i go out|can we go out",
        ),
    }
