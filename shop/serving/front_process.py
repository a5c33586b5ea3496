"""The front as a process of its own: ``python -m shop.serving.front_process``.

``serve`` binds the sockets and hands them over, so that a front that starts anew
loses nobody. SIGHUP takes a renewed certificate, SIGTERM lets open requests end.
"""

import argparse
import asyncio
import signal
import socket
import sys

from shop.serving import http1
from shop.serving.front import Front, tls_context

STOPPING = 20.0
HANDSHAKE = 15.0


def arguments(given: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="front")
    parser.add_argument("--web", required=True, help="the workers' Unix socket")
    parser.add_argument("--shop", type=int, required=True, help="a bound socket")
    parser.add_argument("--trust", type=int, help="a bound socket, without TLS")
    parser.add_argument("--certificate", help="a file with key and certificate")
    parser.add_argument("--https-port", type=int, default=443)
    parser.add_argument("--hosts", default="", help="names, separated by commas")
    return parser.parse_args(given)


async def run(given: argparse.Namespace) -> None:
    loop, stop = asyncio.get_running_loop(), asyncio.Event()
    loop.add_signal_handler(signal.SIGTERM, stop.set)
    loop.add_signal_handler(signal.SIGINT, lambda: None)  # serve says when
    front = Front(
        given.web, given.https_port, frozenset(filter(None, given.hosts.split(",")))
    )
    servers = [await listen_to_shop(front, given)]
    if given.trust is not None:
        sock = socket.socket(fileno=given.trust)
        limit = http1.LARGEST_HEAD
        servers.append(await asyncio.start_server(front.trust, sock=sock, limit=limit))
    await stop.wait()
    for server in servers:
        server.close()
    for task in front.connected - front.asking:
        task.cancel()
    if front.connected:
        await asyncio.wait(front.connected, timeout=STOPPING)


async def listen_to_shop(front: Front, given: argparse.Namespace) -> asyncio.Server:
    sock, limit = socket.socket(fileno=given.shop), http1.LARGEST_HEAD
    if not given.certificate:
        return await asyncio.start_server(front.shop, sock=sock, limit=limit)
    context = tls_context(given.certificate)
    loop = asyncio.get_running_loop()
    loop.add_signal_handler(
        signal.SIGHUP, lambda: context.load_cert_chain(given.certificate)
    )
    return await asyncio.start_server(
        front.shop,
        sock=sock,
        limit=limit,
        ssl=context,
        ssl_handshake_timeout=HANDSHAKE,
        ssl_shutdown_timeout=2.0,
    )


if __name__ == "__main__":
    asyncio.run(run(arguments(sys.argv[1:])))
