"""Resident memory of the idle bot and the time of `gatepost --help`: `python -m tests.benchmarks.bench_idle`.

Starts `gatepost run` as a process of its own against the stand-in platform on loopback, with the demo's garden, waits
until the watch has looked twice, and reads VmRSS (Linux only).
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from bot.chat.wire import MemoryApi
from bot.cli.demo import _FOLDER
from tests.support.bot_api import TOKEN, BotApiServer

WAIT_S = 75.0


async def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        async with BotApiServer(MemoryApi(lambda: datetime.now(UTC))) as server:
            settings = {
                "GATEPOST_DATABASE_URL": f"sqlite+aiosqlite:///{folder}/idle.sqlite3",
                "GATEPOST_TOKEN": TOKEN,
                "GATEPOST_BOT_API_URL": server.base_url,
                "GATEPOST_FORECAST": f"file:{_FOLDER / 'forecast.json'}",
                "GATEPOST_LOG_LEVEL": "ERROR",
            }
            environ = os.environ | settings
            gatepost = [sys.executable, "-m", "bot"]
            subprocess.run([*gatepost, "import", str(_FOLDER / "garden")], env=environ, check=True, capture_output=True)
            process = await asyncio.create_subprocess_exec(*gatepost, "run", env=environ)
            await asyncio.sleep(WAIT_S)
            lines = Path(f"/proc/{process.pid}/status").read_text().splitlines()
            print(next(line for line in lines if line.startswith("VmRSS")))
            process.terminate()
            print(f"ended with {await process.wait()}")
    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "bot", "--help"], check=True, capture_output=True)
    print(f"gatepost --help: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    asyncio.run(main())
