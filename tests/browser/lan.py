"""The shop's network for the browser tests: https, by a name, by our own authority.

Chromium checks the certificate as a tablet would (``trusting.py``). What it says by
TLS is handed on, byte for byte, to the test's server, which speaks without.
"""

import asyncio
import contextlib
import datetime as dt
import ipaddress
import subprocess
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path

from shop.serving import certificates, keeping
from shop.serving.certificates import Hosts
from shop.serving.front import tls_context
from tests.browser import trusting
from tests.serving import NAME

Reader = asyncio.StreamReader
Writer = asyncio.StreamWriter
HOSTS = Hosts((NAME,), (ipaddress.ip_address("127.0.0.1"),))
MAP = f"--host-resolver-rules=MAP {NAME} 127.0.0.1"


def papers(folder: Path) -> Path:
    """An authority that a browser at home in ``folder`` trusts, and a leaf of its."""
    now = dt.datetime.now(dt.UTC)
    authority = certificates.make_authority("Hollin Lane", HOSTS, now)
    (folder / "authority.crt").write_bytes(certificates.pem_of(authority.certificate))
    script = [sys.executable, trusting.__file__, str(folder)]
    subprocess.run([*script, str(folder / "authority.crt")], check=True)
    leaf = folder / "leaf.pem"
    leaf.write_bytes(keeping.pem_of(certificates.make_leaf(authority, HOSTS, now)))
    return leaf


@contextmanager
def in_front_of(port: int, leaf: Path) -> Iterator[int]:
    """A port of https before a port without."""
    ready: Future[tuple[asyncio.AbstractEventLoop, asyncio.Event, int]] = Future()

    async def serve() -> None:
        async def pipe(reader: Reader, writer: Writer) -> None:
            await hand_on(port, reader, writer)

        server = await asyncio.start_server(
            pipe, "127.0.0.1", 0, ssl=tls_context(str(leaf))
        )
        stop = asyncio.Event()
        bound: int = server.sockets[0].getsockname()[1]
        ready.set_result((asyncio.get_running_loop(), stop, bound))
        await stop.wait()
        server.close()

    thread = threading.Thread(target=lambda: asyncio.run(serve()), daemon=True)
    thread.start()
    loop, stop, bound = ready.result(timeout=20)
    yield bound
    loop.call_soon_threadsafe(stop.set)
    thread.join(timeout=20)


async def hand_on(port: int, reader: Reader, writer: Writer) -> None:
    with contextlib.suppress(OSError):
        other_reader, other_writer = await asyncio.open_connection("127.0.0.1", port)
        await asyncio.gather(copied(reader, other_writer), copied(other_reader, writer))


async def copied(source: Reader, target: Writer) -> None:
    with contextlib.suppress(OSError):
        while piece := await source.read(64 * 1024):
            target.write(piece)
            await target.drain()
    target.close()
