"""A way to a server on which requests are lost, late, doubled and cut, by chance.

It hands on whole requests, one a connection. What it does to a request is drawn for
each; a doubled one arrives again later, also after the browser has sent others.
"""

import asyncio
import contextlib
import random
import threading
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass, field

LOOPBACK = "127.0.0.1"
PATIENCE = 30.0
BAD_GATEWAY = (
    b"HTTP/1.1 502 Bad Gateway\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
)
BROKEN = (OSError, asyncio.IncompleteReadError, TimeoutError, asyncio.CancelledError)
Reader = asyncio.StreamReader
Writer = asyncio.StreamWriter
# Of a hundred requests.
FAULTS = {
    "lost": 6,
    "late": 6,
    "doubled": 5,
    "doubled later": 4,
    "answer lost": 6,
    "answer cut": 4,
    "refused": 3,
}


@dataclass
class Way:
    """A rough way to ``to``; smooth, or cut altogether, when told so."""

    to: int
    chance: random.Random
    is_rough: bool = False
    is_cut: bool = False
    counts: Counter[str] = field(default_factory=Counter)
    acts: int = 0  # forms that came
    port: int = 0
    later: set["asyncio.Task[bytes]"] = field(default_factory=set)

    def fault(self) -> str:
        if self.is_cut:
            return "lost"
        drawn = self.chance.uniform(0, 100) if self.is_rough else 100.0
        for name, share in FAULTS.items():
            drawn -= share
            if drawn < 0:
                return name
        return ""

    async def serve(self, reader: Reader, writer: Writer) -> None:
        with contextlib.suppress(*BROKEN):
            request = await request_of(reader)
            if request:
                fault = self.fault()
                self.counts[fault or "smooth"] += 1
                self.acts += request.startswith(b"POST ")
                writer.write(await self.answer(request, fault))
                await writer.drain()
        writer.close()

    async def answer(self, request: bytes, fault: str) -> bytes:
        """The bytes that come back; none where they are lost."""
        if fault == "lost":
            return b""
        if fault == "refused":
            return BAD_GATEWAY
        if fault == "late":
            await asyncio.sleep(self.chance.uniform(0.2, 2.0))
        if fault == "doubled later":
            self.again(request, self.chance.uniform(0.5, 4.0))
            return b""
        answer = await handed_on(self.to, request)
        if fault == "doubled":
            self.again(request, 0.0)
        if fault == "answer lost":
            return b""
        return answer[: len(answer) // 2] if fault == "answer cut" else answer

    def again(self, request: bytes, after: float) -> None:
        async def sent() -> bytes:
            await asyncio.sleep(after)
            with contextlib.suppress(OSError):
                return await handed_on(self.to, request)
            return b""

        task = asyncio.create_task(sent())
        self.later.add(task)
        task.add_done_callback(self.later.discard)


async def request_of(reader: Reader) -> bytes:
    """One whole request, to be answered on a connection that closes."""
    head = await reader.readuntil(b"\r\n\r\n")
    lines = [
        line
        for line in head[:-4].split(b"\r\n")
        if not line.lower().startswith(b"connection:")
    ]
    length = next(
        (
            int(line.partition(b":")[2])
            for line in lines
            if line.lower().startswith(b"content-length:")
        ),
        0,
    )
    body = await reader.readexactly(length)
    return b"\r\n".join([*lines, b"Connection: close", b"", b""]) + body


async def handed_on(port: int, request: bytes) -> bytes:
    reader, writer = await asyncio.open_connection(LOOPBACK, port)
    try:
        writer.write(request)
        await writer.drain()
        return await asyncio.wait_for(reader.read(), PATIENCE)
    finally:
        writer.close()


@contextmanager
def rough_way(to: int, seed: int) -> Iterator[Way]:
    """A port of loopback before the port ``to``; smooth until it is made rough."""
    way = Way(to, random.Random(seed))
    ready: Future[tuple[asyncio.AbstractEventLoop, asyncio.Event]] = Future()

    async def run() -> None:
        server = await asyncio.start_server(way.serve, LOOPBACK, 0)
        way.port = server.sockets[0].getsockname()[1]
        stop = asyncio.Event()
        ready.set_result((asyncio.get_running_loop(), stop))
        await stop.wait()
        server.close()

    thread = threading.Thread(target=lambda: asyncio.run(run()), daemon=True)
    thread.start()
    loop, stop = ready.result(timeout=20)
    try:
        yield way
    finally:
        loop.call_soon_threadsafe(stop.set)
        thread.join(timeout=20)
