"""`python -m bot`: the same as `gatepost`."""

import sys

from bot.cli import main

sys.exit(main())
