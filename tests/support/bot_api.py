"""A stand-in for the chat platform on loopback: real HTTP, so that the chat library's own network path runs."""

from __future__ import annotations

import asyncio
import json
import random
import time
from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from email.parser import BytesParser
from email.policy import HTTP
from enum import StrEnum
from typing import Any, Self
from urllib.parse import parse_qsl, unquote

from bot.chat.wire.platform import ApiError, MemoryApi, Upload, error_body
from tests.support.bot_api_forms import FormError, decoded

__all__ = ["TOKEN", "BotApiServer", "Fault", "Faults", "Limits"]

TOKEN = "7000000001:AAAA-invented-token-for-tests"


class Fault(StrEnum):
    TOO_MANY = "429 with retry_after"
    SERVER_ERROR = "500 answered by the Bot API itself, nothing stored"
    GATEWAY_ERROR = "502 answered by a gateway, though the call was carried out"
    CUT_BEFORE = "connection cut before anything is stored"
    CUT_AFTER = "connection cut after storing"
    DELAY = "stored, then answered too late"


@dataclass(slots=True)
class Faults:
    """A seeded plan: each call meets one of `kinds` with probability `share`. `next_up` is met first, in order."""

    seed: int = 0
    share: float = 0.0
    kinds: tuple[Fault, ...] = tuple(Fault)
    delay_s: float = 1.0
    next_up: deque[Fault] = field(default_factory=deque)
    methods: frozenset[str] = frozenset()
    met: dict[Fault, int] = field(default_factory=lambda: defaultdict(int))
    _random: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self._random = random.Random(self.seed)

    def meet(self, method: str) -> Fault | None:
        if self.methods and method not in self.methods:
            return None
        fault = self.next_up.popleft() if self.next_up else None
        if fault is None and self._random.random() < self.share:
            fault = self._random.choice(self.kinds)
        if fault:
            self.met[fault] += 1
        return fault


@dataclass(slots=True)
class Limits:
    """Sliding windows of what the platform takes, as (calls, seconds). Bot FAQ, "My bot is hitting limits" (read via a
    copy, 2026-11-25): about 30 a second over all, 1 a second in a chat with short bursts let through, 20 a minute in
    a group. The size of a burst is not published; three at most here is common practice, no source.
    """

    overall: tuple[int, float] = (30, 1.0)
    chat: tuple[int, float] = (3, 3.0)
    group: tuple[int, float] = (20, 60.0)
    refused: int = 0
    _taken: dict[Any, deque[float]] = field(default_factory=lambda: defaultdict(deque))

    def check(self, chat_id: int) -> None:
        """Count one call. Raises ApiError 429 when it is one too many."""
        now, wait = time.monotonic(), 0.0
        windows = [("all", self.overall), (chat_id, self.chat)]
        if chat_id < 0:
            windows.append((("group", chat_id), self.group))
        for name, (most, period_s) in windows:
            taken = self._taken[name]
            while taken and taken[0] <= now - period_s:
                taken.popleft()
            if len(taken) >= most:
                wait = max(wait, taken[0] + period_s - now)
        if wait:
            self.refused += 1
            raise too_many(int(wait) + 1)
        for name, _ in windows:
            self._taken[name].append(now)


def too_many(seconds: int) -> ApiError:
    return ApiError(429, f"Too Many Requests: retry after {seconds}", retry_after=seconds)


class _Cut(Exception):
    """The connection ends here, without an answer."""


class BotApiServer:
    """Wraps a MemoryApi. calls: (moment, method, parameters) of what was carried out, in order. problems: bad forms.

    polls: how often updates were asked for, answered or not. bytes_n: what went over the wire, both ways, with its heads.
    """

    def __init__(self, api: MemoryApi, *, faults: Faults | None = None, limits: Limits | None = None) -> None:
        self.api, self.limits = api, limits
        self.faults = faults or Faults()
        self.calls: list[tuple[float, str, dict[str, Any]]] = []
        self.problems: list[str] = []
        self.polls = self.bytes_n = 0
        self.base_url = ""
        self._open: set[asyncio.Task[None]] = set()

    async def __aenter__(self) -> Self:
        self._server = await asyncio.start_server(self._serve, "127.0.0.1", 0, limit=2**20)
        self.base_url = f"http://127.0.0.1:{self._server.sockets[0].getsockname()[1]}/bot"
        return self

    async def __aexit__(self, *_: object) -> None:
        self._server.close()
        for task in self._open:
            task.cancel()
        await asyncio.gather(*self._open, return_exceptions=True)

    def made(self, methods: Iterable[str]) -> list[dict[str, Any]]:
        """Parameters of the calls of these methods, in order."""
        wanted = set(methods)
        return [parameters for _, method, parameters in self.calls if method in wanted]

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        assert task is not None
        self._open.add(task)
        try:
            while request := await _request(reader):
                path, kind, sent, size = request
                status, body = await self._answer(path, kind, sent)
                head = f"HTTP/1.1 {status} -\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
                writer.write(head.encode() + body)
                self.bytes_n += size + len(head) + len(body)
                await writer.drain()
        except (_Cut, ConnectionError, asyncio.IncompleteReadError, asyncio.CancelledError):
            pass  # the other side sees the connection end
        finally:
            self._open.discard(task)
            writer.close()

    async def _answer(self, path: str, kind: str, body: bytes) -> tuple[int, bytes]:
        path = unquote(path)
        if path.startswith(f"/file/bot{TOKEN}/"):
            fault = self.faults.meet("file")
            if fault in (Fault.CUT_BEFORE, Fault.CUT_AFTER):
                raise _Cut
            return 200, self.api.download(path)
        token, _, method = path.removeprefix("/bot").rpartition("/")
        if token != TOKEN:
            return 401, error_body(ApiError(401, "Unauthorized"))
        self.polls += method == "getUpdates"
        fault = self.faults.meet(method)
        if fault is Fault.CUT_BEFORE:
            raise _Cut
        if fault is Fault.SERVER_ERROR:
            return 500, error_body(ApiError(500, "Internal Server Error"))
        try:
            if fault is Fault.TOO_MANY:
                raise too_many(1)
            answer = await self._carry_out(method, kind, body)
        except ApiError as error:
            return error.code, error_body(error)
        except FormError as error:
            self.problems.append(str(error))
            return 400, error_body(ApiError(400, f"Bad Request: {error}"))
        return await _late(fault, answer, self.faults.delay_s)

    async def _carry_out(self, method: str, kind: str, body: bytes) -> bytes:
        raw, files = _form(kind, body)
        parameters = decoded(method, raw, files)
        if self.limits and method.startswith(("send", "edit")) and method != "sendChatAction":
            self.limits.check(int(parameters["chat_id"]))
        result = await self.api.call(method, parameters, files)
        self.calls.append((time.monotonic(), method, parameters))
        return json.dumps({"ok": True, "result": result}).encode()


async def _late(fault: Fault | None, answer: bytes, delay_s: float) -> tuple[int, bytes]:
    """The faults that come after the call was carried out."""
    if fault is Fault.CUT_AFTER:
        raise _Cut
    if fault is Fault.GATEWAY_ERROR:
        return 502, b"<html><body>502 Bad Gateway</body></html>"
    if fault is Fault.DELAY:
        await asyncio.sleep(delay_s)
    return 200, answer


async def _request(reader: asyncio.StreamReader) -> tuple[str, str, bytes, int] | None:
    """Path, content type, body and whole size of the next request; None at the end of the connection."""
    try:
        raw = await reader.readuntil(b"\r\n\r\n")
    except asyncio.IncompleteReadError:
        return None
    head = raw.decode("latin-1").split("\r\n")
    headers = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in head[1:])}
    body = await reader.readexactly(int(headers.get("content-length", "0")))
    return head[0].split(" ")[1], headers.get("content-type", ""), body, len(raw) + len(body)


def _form(kind: str, body: bytes) -> tuple[dict[str, str], dict[str, Upload]]:
    """Fields and files of a form in either of the two encodings."""
    if not kind.startswith("multipart/form-data"):
        return dict(parse_qsl(body.decode(), keep_blank_values=True, strict_parsing=bool(body))), {}
    message = BytesParser(policy=HTTP).parsebytes(b"Content-Type: " + kind.encode() + b"\r\n\r\n" + body)
    fields: dict[str, str] = {}
    files: dict[str, Upload] = {}
    for part in message.iter_parts():
        name = part.get_param("name", header="content-disposition")
        content = bytes(part.get_payload(decode=True))
        if (file_name := part.get_filename()) is not None:
            files[str(name)] = (file_name, content)
        else:
            fields[str(name)] = content.decode()
    return fields, files
