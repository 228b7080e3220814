"""What the idle bot needs, and the time of `gatepost --help`: `python -m tests.benchmarks.bench_idle`.

Starts `gatepost run` as a process of its own against the stand-in platform on loopback, with the demo's garden, waits
until the watch has looked twice, and reads memory (VmRSS; its peak so far, VmHWM; Linux only), disk and traffic.
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

from bot.chat.wire.platform import MemoryApi
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
            await asyncio.sleep(WAIT_S / 3)
            before, began_s = server.bytes_n, time.monotonic()
            await asyncio.sleep(WAIT_S * 2 / 3)
            an_hour = (server.bytes_n - before) * 3600 / (time.monotonic() - began_s)
            lines = Path(f"/proc/{process.pid}/status").read_text().splitlines()
            print(*(line for line in lines if line.startswith(("VmRSS", "VmHWM"))), sep="\n")
            print(f"traffic with the chat platform: {an_hour / 1000:.0f} kB an hour, before encryption")
            process.terminate()
            print(f"ended with {await process.wait()}")
            print(f"database with a garden of 9 members: {Path(folder, 'idle.sqlite3').stat().st_size / 1e6:.1f} MB")
    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "bot", "--help"], check=True, capture_output=True)
    print(f"gatepost --help: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    asyncio.run(main())
