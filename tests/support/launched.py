"""Runs the bot in a process of its own, for a test to kill.

`python -m tests.support.launched MODULE:FUNCTION DATABASE_URL BASE_URL`

FUNCTION(database_url, base_url) is awaited until the process is killed.
"""

from __future__ import annotations

import asyncio
import importlib
import logging
import sys


def main() -> None:
    hook, database_url, base_url = sys.argv[1:]
    module, _, function = hook.partition(":")
    logging.basicConfig(level=logging.ERROR)
    asyncio.run(getattr(importlib.import_module(module), function)(database_url, base_url))


if __name__ == "__main__":
    main()
