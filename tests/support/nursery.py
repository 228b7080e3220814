"""A process with everything imported, from which a new life of the bot is forked in an instant, for a test to kill.

`python -m tests.support.nursery MODULE:FUNCTION ARGUMENT...`

For each line on stdin it forks a child that awaits FUNCTION(ARGUMENT...), prints the child's process id, waits for its
death and prints how it died (negative: the signal).
"""

from __future__ import annotations

import asyncio
import importlib
import logging
import os
import sys

from bot.crops import loader
from bot.i18n import LANGUAGES, say


def main() -> None:
    hook, *arguments = sys.argv[1:]
    module, _, function = hook.partition(":")
    serve = getattr(importlib.import_module(module), function)
    loader.load_rules()
    for language in LANGUAGES:
        say(language, "UTC").gettext("Done")  # reads its catalogue
    logging.basicConfig(level=logging.ERROR)
    logging.getLogger("telegram.request").setLevel(logging.CRITICAL)  # it prints each gateway's page that it meets
    for _ in iter(sys.stdin.readline, ""):
        child = os.fork()
        if not child:
            os.close(0)
            asyncio.run(serve(*arguments))
            os._exit(0)
        print(child, flush=True)  # noqa: T201
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
