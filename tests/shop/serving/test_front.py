"""The front before a stand-in worker that answers with what it was asked."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from unittest.mock import Mock

import pytest

from shop.serving import http1
from shop.serving.front import Front, Limits, Reader, Writer, finish, peer_of

pytestmark = pytest.mark.one_database

HOSTS = frozenset({"coldrail.local"})
GET = b"GET / HTTP/1.1\r\nHost: coldrail.local\r\n\r\n"


class Standing:
    """A front, its port, and every request that reached the worker."""

    def __init__(self, front: Front, port: int, trust: int) -> None:
        self.front, self.port, self.trust = front, port, trust
        self.asked: list[bytes] = []

    async def send(self, *pieces: bytes, trust: bool = False) -> bytes:
        """Send, then read until the front closes."""
        reader, writer = await self.connect(trust=trust)
        for piece in pieces:
            writer.write(piece)
            await writer.drain()
        try:
            return await asyncio.wait_for(reader.read(), 10)
        finally:
            await finish(writer)

    async def connect(self, *, trust: bool = False) -> tuple[Reader, Writer]:
        port = self.trust if trust else self.port
        return await asyncio.open_connection("127.0.0.1", port)


@asynccontextmanager
async def standing(folder: Path, **limits: float) -> AsyncIterator[Standing]:
    front = Front(str(folder / "web"), 8443, HOSTS, Limits(**limits))  # type: ignore[arg-type]
    serve = asyncio.start_server
    shop = await serve(front.shop, "127.0.0.1", 0, limit=http1.LARGEST_HEAD)
    trust = await serve(front.trust, "127.0.0.1", 0, limit=http1.LARGEST_HEAD)
    ports = [server.sockets[0].getsockname()[1] for server in (shop, trust)]
    state = Standing(front, ports[0], ports[1])

    async def work(reader: Reader, writer: Writer) -> None:
        """One request; the answer's end is the end of the connection."""
        asked = await reader.readuntil(http1.END_OF_HEAD)
        head = http1.read_head(asked.partition(b"\r\n")[2])
        state.asked.append(asked + await reader.readexactly(head.length))
        writer.write(b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\nwell")
        await finish(writer)

    worker = await asyncio.start_unix_server(work, folder / "web")
    try:
        yield state
    finally:
        for server in (shop, trust, worker):
            server.close()
        if front.connected:
            await asyncio.wait(front.connected, timeout=5)


def played(
    folder: Path, act: Callable[[Standing], Awaitable[None]], **limits: float
) -> None:
    async def play() -> None:
        async with standing(folder, **limits) as state:
            await act(state)

    asyncio.run(play())


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        (("192.168.7.31", 5), ("192.168.7.31", 5)),
        (("::ffff:192.168.7.31", 5, 0, 0), ("192.168.7.31", 5)),
        (("fe80::31%eth0", 5, 0, 2), ("fe80::31", 5)),
        (None, ("0.0.0.0", 0)),  # noqa: S104  nobody there any more
    ],
)
def test_a_socket_for_both_families_tells_addresses_as_they_are(
    seen: tuple[object, ...] | None, told: tuple[str, int]
) -> None:
    writer = Mock(Writer)
    writer.get_extra_info.return_value = seen
    assert peer_of(writer) == told


def test_a_request_and_who_asks_reach_the_worker(tmp_path: Path) -> None:
    async def act(state: Standing) -> None:
        assert (await state.send(GET)).endswith(b"well")
        line, _end, rest = state.asked[0].partition(b"\r\n")
        assert line.startswith(b"PROXY TCP4 127.0.0.1 127.0.0.1 ")
        assert rest == GET

    played(tmp_path, act)


def test_a_worker_is_asked_only_once_the_whole_request_is_there(
    tmp_path: Path,
) -> None:
    async def act(state: Standing) -> None:
        reader, writer = await state.connect()
        writer.write(b"POST / HTTP/1.1\r\nContent-Length: 6\r\n\r\nabc")
        await writer.drain()
        await asyncio.sleep(0.3)
        assert state.asked == []
        writer.write(b"def")
        assert (await reader.read()).endswith(b"well")
        assert state.asked[0].endswith(b"\r\n\r\nabcdef")
        await finish(writer)

    played(tmp_path, act)


def test_a_second_request_in_the_same_breath_is_not_passed_on(tmp_path: Path) -> None:
    """What follows the length that was announced never reaches a worker."""

    async def act(state: Standing) -> None:
        smuggled = b"GET /office/ HTTP/1.1\r\n\r\n"
        await state.send(b"POST / HTTP/1.1\r\nContent-Length: 2\r\n\r\nab" + smuggled)
        assert len(state.asked) == 1
        assert b"office" not in state.asked[0]

    played(tmp_path, act)


@pytest.mark.parametrize(
    ("request_", "status"),
    [
        (b"nonsense\r\n\r\n", 400),
        (b"GET / HTTP/1.1\r\nA: " + b"x" * 40_000 + b"\r\n\r\n", 431),
        (b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", 411),
        (b"POST / HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n", 413),
        (b"PROXY TCP4 1.2.3.4 1.2.3.4 1 1\r\nGET / HTTP/1.1\r\n\r\n", 400),
    ],
)
def test_what_makes_no_sense_is_answered_by_the_front(
    tmp_path: Path, request_: bytes, status: int
) -> None:
    async def act(state: Standing) -> None:
        answer = await state.send(request_)
        assert answer.startswith(b"HTTP/1.1 %d " % status)
        assert state.asked == []

    played(tmp_path, act)


def test_who_is_silent_or_slow_is_let_go(tmp_path: Path) -> None:
    async def act(state: Standing) -> None:
        assert await state.send() == b""
        assert b" 408 " in await state.send(b"GET / HT")
        assert b" 408 " in await state.send(
            b"POST / HTTP/1.1\r\nContent-Length: 5\r\n\r\na"
        )
        assert state.asked == []

    played(tmp_path, act, idle=0.2, head=0.2, body=0.2)


def test_one_address_cannot_take_all_connections(tmp_path: Path) -> None:
    async def act(state: Standing) -> None:
        held = [await state.connect() for _one in range(3)]
        await asyncio.sleep(0.1)
        assert b" 503 " in await state.send(GET)
        for _reader, writer in held:
            await finish(writer)
        await asyncio.sleep(0.1)
        assert (await state.send(GET)).endswith(b"well")

    played(tmp_path, act, of_one_address=3)


def test_without_workers_it_says_so(tmp_path: Path) -> None:
    async def act(state: Standing) -> None:
        (tmp_path / "web").unlink()
        assert b" 503 " in await state.send(GET)

    played(tmp_path, act, worker=0.2)


def test_the_open_door_gives_the_trust_page_and_the_way(tmp_path: Path) -> None:
    async def act(state: Standing) -> None:
        asked = b"GET /trust/ HTTP/1.1\r\nHost: coldrail.local\r\nCookie: a=b\r\n\r\n"
        assert (await state.send(asked, trust=True)).endswith(b"well")
        assert b"cookie" not in state.asked[0].lower()
        way = await state.send(
            b"GET /sign-in/?a=1 HTTP/1.1\r\nHost: coldrail.local:8080\r\n\r\n",
            trust=True,
        )
        assert b" 307 " in way
        assert b"Location: https://coldrail.local:8443/sign-in/?a=1\r\n" in way
        posted = b"POST /sign-in/ HTTP/1.1\r\nHost: coldrail.local\r\n\r\n"
        assert b" 405 " in await state.send(posted, trust=True)
        elsewhere = b"GET / HTTP/1.1\r\nHost: elsewhere.example\r\n\r\n"
        assert b" 400 " in await state.send(elsewhere, trust=True)
        assert len(state.asked) == 1

    played(tmp_path, act)
