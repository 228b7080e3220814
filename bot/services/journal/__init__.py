"""The journal: what members report from the plot, kept, asked about, and taken back.

From the bottom: note, outcome, scene; asking, finding, changing; undoing; recording.
"""

from bot.services.journal.question import asked_last
from bot.services.journal.recording import answer, record
from bot.services.journal.undoing import last, undo

__all__ = ["answer", "asked_last", "last", "record", "undo"]
