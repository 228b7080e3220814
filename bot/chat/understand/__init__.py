"""Plain sentences from the plot, understood: pure text, in each language, with the garden's own names.

From the bottom: tokens; vocabulary; days, numbers, verbs, things; temperature, rule; sentence.
"""

from bot.chat.understand.known import Known
from bot.chat.understand.sentence import understand

__all__ = ["Known", "understand"]
