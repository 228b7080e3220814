"""No token in any log, and no second process on one SQLite file."""

from __future__ import annotations

import io
import logging
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from telegram import Bot

from bot.chat.wire.redact import quieten, redact
from bot.storage.claims import AlreadyRunning, single_instance
from tests.support.bot_api import TOKEN
from tests.support.cast import FARAH


@pytest.fixture
def log() -> Iterator[io.StringIO]:
    """What the root logger writes at DEBUG, set up as the bot sets it up."""
    stream, root = io.StringIO(), logging.getLogger()
    handler, level = logging.StreamHandler(stream), root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    quieten()
    yield stream
    root.removeHandler(handler)
    root.setLevel(level)


async def test_a_real_call_logs_no_token_even_at_debug(bot: Bot, log: io.StringIO) -> None:
    logging.getLogger("httpx").setLevel(logging.INFO)  # as a library's default would have it
    await bot.send_message(FARAH, "Hello")
    assert "HTTP Request" in log.getvalue()
    assert TOKEN not in log.getvalue()


def test_tokens_are_removed_from_messages_arguments_and_tracebacks(log: io.StringIO) -> None:
    logger = logging.getLogger("bot.test")
    logger.error("plain %s", TOKEN)
    logger.error("split %s:%s", *TOKEN.split(":"))
    logger.error("in a mapping %(url)s", {"url": f"https://example.org/bot{TOKEN}/getMe"})
    try:
        raise ValueError(f"https://example.org/bot{TOKEN}/getMe")
    except ValueError:
        logger.exception("failed")
    assert "ValueError" in log.getvalue()
    assert TOKEN.split(":")[1] not in log.getvalue()


def test_times_and_addresses_are_left_alone() -> None:
    text = "2026-04-20 18:00:00 listening on http://127.0.0.1:8443/hook for 3 chats"
    assert redact(text) == text


def test_http_libraries_are_quiet() -> None:
    quieten()
    assert not logging.getLogger("httpx").isEnabledFor(logging.INFO)
    assert not logging.getLogger("httpcore").isEnabledFor(logging.DEBUG)


def test_a_second_process_is_refused_and_the_lock_dies_with_its_holder(tmp_path: Path) -> None:
    database = tmp_path / "gatepost.sqlite3"
    hold = (
        "import sys, time; from pathlib import Path; from bot.storage.claims import single_instance\n"
        "with single_instance(Path(sys.argv[1])): print('held', flush=True); time.sleep(60)"
    )
    root = Path(__file__).resolve().parents[2]
    with subprocess.Popen([sys.executable, "-c", hold, database], stdout=subprocess.PIPE, cwd=root) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == b"held\n"
        with (
            pytest.raises(AlreadyRunning, match=rf"in use by process {holder.pid}; stop that one first"),
            single_instance(database),
        ):
            pass
        holder.kill()
    for _ in range(50):  # the system lets go once the process is gone
        try:
            with single_instance(database):
                return
        except AlreadyRunning:
            time.sleep(0.1)
    pytest.fail("the lock outlived its holder")
