"""Plain sentences from the plot, understood: pure text, in each language, with the garden's own names.

From the bottom: tokens; vocabulary; days, numbers, verbs, things; temperature, rule; sentence.
"""

from bot.chat.language.known import Known
from bot.chat.language.sentence import understand

__all__ = ["Known", "understand"]
