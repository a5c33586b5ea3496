"""The front: takes the network's connections, and waits in the workers' place.

A sync worker is held by whoever is connected to it: a browser's spare
connection, a slow tablet, a slow upload. Here such a connection costs nothing:
TLS ends in this process, which reads a whole request before it asks a worker,
and takes the whole answer as fast as the worker gives it.

Only the standard library, so that the process stays small.
"""

import asyncio
import contextlib
import ipaddress
import ssl
import tempfile
from collections import Counter
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import IO

from shop.serving import http1
from shop.serving.http1 import Head, NotServed

CHUNK = 64 * 1024
IN_MEMORY = 1024 * 1024
# A worker's answer waits here for a slow tablet; only a larger one holds the worker.
ANSWER_BUFFER = 4 * 1024 * 1024
LINGER = 2.0  # seconds

Reader = asyncio.StreamReader
Writer = asyncio.StreamWriter
Peer = tuple[str, int]
Answer = Callable[[Reader, Writer, Peer], Awaitable[None]]


@dataclass(frozen=True)
class Limits:
    """How many connections, and how long each thing may take (seconds)."""

    connections: int = 400
    of_one_address: int = 100
    idle: float = 60.0
    head: float = 15.0
    body: float = 120.0
    answer: float = 200.0
    worker: float = 10.0


@dataclass
class Front:
    """One front: where the workers listen, and who is connected."""

    web: str
    https_port: int = 443
    hosts: frozenset[str] = frozenset()
    limits: Limits = field(default_factory=Limits)
    connected: set[asyncio.Task[None]] = field(default_factory=set)
    asking: set[asyncio.Task[None]] = field(default_factory=set)
    of_address: Counter[str] = field(default_factory=Counter)

    async def shop(self, reader: Reader, writer: Writer) -> None:
        """A connection to the shop itself."""
        await self._hold(self._whole_request, reader, writer)

    async def trust(self, reader: Reader, writer: Writer) -> None:
        """A connection without encryption: the trust page, or the way to TLS."""
        await self._hold(self._open_request, reader, writer)

    async def _hold(self, answer: Answer, reader: Reader, writer: Writer) -> None:
        """Keep to the limits, answer, and close in the end."""
        peer, task = peer_of(writer), current_task()
        self.connected.add(task)
        self.of_address[peer[0]] += 1
        try:
            self._admit(peer[0])
            await answer(reader, writer, peer)
        except NotServed as refused:
            writer.write(http1.answer(refused.status))
            await linger(reader, writer)
        except (OSError, EOFError, asyncio.LimitOverrunError, asyncio.CancelledError):
            pass  # gone, never said a word, or we are stopping
        finally:
            self.connected.discard(task)
            self.asking.discard(task)
            self.of_address -= Counter([peer[0]])
            await finish(writer)

    def _admit(self, address: str) -> None:
        is_full = len(self.connected) > self.limits.connections
        if is_full or self.of_address[address] > self.limits.of_one_address:
            raise NotServed(503)

    async def _whole_request(self, reader: Reader, writer: Writer, peer: Peer) -> None:
        head = await self._head(reader)
        with tempfile.SpooledTemporaryFile(IN_MEMORY) as body:
            if head.awaits_word and head.length:
                writer.write(b"HTTP/1.1 100 Continue\r\n\r\n")
            await self._take(head.length, reader, body)
            await self._ask(head.raw, body, peer, writer)

    async def _open_request(self, reader: Reader, writer: Writer, peer: Peer) -> None:
        head = await self._head(reader)
        if not http1.is_open(head):
            writer.write(self._way_to_tls(head))
            return
        with tempfile.SpooledTemporaryFile(IN_MEMORY) as nothing:
            await self._ask(http1.bare(head), nothing, peer, writer)

    def _way_to_tls(self, head: Head) -> bytes:
        if head.method not in {"GET", "HEAD"}:
            raise NotServed(405)
        if head.host.strip("[]") not in self.hosts:
            raise NotServed(400)
        port = "" if self.https_port == 443 else f":{self.https_port}"
        return http1.answer(307, location=f"https://{head.host}{port}{head.target}")

    async def _head(self, reader: Reader) -> Head:
        """The request's head. Who never begins one may wait longer than who does."""
        async with asyncio.timeout(self.limits.idle):
            begun = await reader.readexactly(1)
        self.asking.add(current_task())
        try:
            async with asyncio.timeout(self.limits.head):
                rest = await reader.readuntil(http1.END_OF_HEAD)
        except TimeoutError:
            raise NotServed(408) from None
        except asyncio.LimitOverrunError:
            raise NotServed(431) from None
        return http1.read_head(begun + rest)

    async def _take(self, length: int, reader: Reader, body: IO[bytes]) -> None:
        try:
            async with asyncio.timeout(self.limits.body):
                while length:
                    piece = await reader.read(min(CHUNK, length))
                    if not piece:
                        raise EOFError
                    body.write(piece)
                    length -= len(piece)
        except TimeoutError:
            raise NotServed(408) from None
        body.seek(0)

    async def _ask(
        self, head: bytes, body: IO[bytes], peer: Peer, writer: Writer
    ) -> None:
        """Hand the request to a worker, and its answer to the client."""
        from_web, to_web = await self._worker()
        try:
            to_web.write(http1.proxy_line(*peer) + head)
            while piece := body.read(CHUNK):
                to_web.write(piece)
                await to_web.drain()
            writer.transport.set_write_buffer_limits(high=ANSWER_BUFFER)
            await self._pass_on(from_web, writer)
        finally:
            await finish(to_web)

    async def _pass_on(self, from_web: Reader, writer: Writer) -> None:
        async with asyncio.timeout(self.limits.answer):
            first = await from_web.read(CHUNK)
            if not first:
                raise NotServed(502)
            writer.write(first)
            while piece := await from_web.read(CHUNK):
                writer.write(piece)
                await writer.drain()

    async def _worker(self) -> tuple[Reader, Writer]:
        """A worker's ear; while the workers start anew, a little patience."""
        clock = asyncio.get_running_loop().time
        until = clock() + self.limits.worker
        while True:
            try:
                return await asyncio.open_unix_connection(self.web)
            except OSError:
                if clock() > until:
                    raise NotServed(503) from None
            await asyncio.sleep(0.1)


def current_task() -> "asyncio.Task[None]":
    task = asyncio.current_task()
    assert task is not None
    return task


def peer_of(writer: Writer) -> Peer:
    """The address and port of who is connected, IPv4 as such."""
    name = writer.get_extra_info("peername") or ("0.0.0.0", 0)  # noqa: S104  gone
    address = ipaddress.ip_address(name[0].partition("%")[0])
    mapped = getattr(address, "ipv4_mapped", None)
    return str(mapped or address), int(name[1])


async def linger(reader: Reader, writer: Writer) -> None:
    """Hear the client out for a moment: else its own bytes cut our answer off."""
    with contextlib.suppress(OSError, TimeoutError):
        if writer.can_write_eof():
            writer.write_eof()
        async with asyncio.timeout(LINGER):
            while await reader.read(CHUNK):
                pass


async def finish(writer: Writer) -> None:
    with contextlib.suppress(OSError, asyncio.CancelledError, TimeoutError):
        writer.close()
        async with asyncio.timeout(5):
            await writer.wait_closed()


def tls_context(certificate: str) -> ssl.SSLContext:
    """TLS 1.2 or newer with the key and certificate of one file."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_alpn_protocols(["http/1.1"])
    context.load_cert_chain(certificate)
    return context
