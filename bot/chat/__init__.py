"""The chat: what members write and press, what they are told, and the wire between."""

import os

# The chat library is moving its time spans from seconds to timedelta and warns on each use until told which is wanted.
os.environ.setdefault("PTB_TIMEDELTA", "true")
