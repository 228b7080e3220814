"""A shared harvest in words: the household's share, and what is left. Nobody is named."""

from __future__ import annotations

from bot.chat.html import safe
from bot.core.growing.shares import Share
from bot.core.growing.week import Job
from bot.i18n import Say

__all__ = ["found_empty", "of_job"]


def of_job(say: Say, job: Job) -> str | None:
    """None for what is not shared."""
    one = next((item.share for item in job.items if item.share is not None), None)
    return _share(say, one) if one is not None else None


def _share(say: Say, one: Share) -> str:
    if one.mine_kg is not None and one.of_kg is not None and one.left_kg is not None:
        return say.gettext(
            "Your household's share: about {mine}\u00a0kg of {all}\u00a0kg. {left}\u00a0kg are left.",
            mine=say.number(one.mine_kg, _digits(one.mine_kg)),
            all=say.number(one.of_kg, 1),
            left=say.number(one.left_kg, 1),
        )
    return say.ngettext(
        "Your household's share: {n} plant of {all}. {left} are left.",
        "Your household's share: {n} plants of {all}. {left} are left.",
        one.plants,
        all=say.number(one.of_plants),
        left=say.number(one.left_plants),
    )


def _digits(kg: float) -> int:
    """A small share is told to the ten grams."""
    return 1 if kg >= 0.1 else 2


def found_empty(say: Say, what: str, place: str) -> str:
    """To organisers."""
    return say.gettext(
        "Somebody went to pick their share of {what} ({place}). It was already gone. If nothing is left, write to "
        "me: cleared {place}. A message to the group about the shares may help.",
        what=what,
        place=safe(place, 40),
    )
