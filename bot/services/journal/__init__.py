"""The journal: what members report from the plot, kept, asked about, and taken back.

From the bottom: note, outcome, scene; asking, finding, changing; undoing; recording.
"""

from bot.services.journal.recording import answer, record
from bot.services.journal.undoing import undo

__all__ = ["answer", "record", "undo"]
