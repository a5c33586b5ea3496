"""The names and addresses of this machine on its network; sockets to listen on."""

import errno
import ipaddress
import re
import socket
from collections.abc import Iterable

import ifaddr

from shop.serving.certificates import Address, Hosts

LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?\Z")


class CannotListen(Exception):
    """Why nobody could connect, in words."""


def every_address() -> set[Address]:
    """All that are this machine's."""
    return {
        ipaddress.ip_address(ip.ip if isinstance(ip.ip, str) else ip.ip[0])
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
    }


def addresses() -> tuple[Address, ...]:
    """This machine's addresses that a tablet can reach, IPv4 first."""
    found = every_address()
    usable = (a for a in found if not (a.is_loopback or a.is_link_local))
    return tuple(sorted(usable, key=lambda a: (a.version, int(a))))


def hosts_for(name: str, more: Iterable[str] = ()) -> Hosts:
    """What a certificate for the published name and this machine holds.

    ``more`` are names that somebody else's DNS gives this machine.
    """
    own = own_names(socket.gethostname().lower())
    given = [one.lower() for one in more if is_name(one.lower())]
    names = [f"{name}.local", *given, *own, "localhost"]
    home = (ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1"))
    return Hosts(tuple(dict.fromkeys(names)), (*addresses(), *home))


def own_names(host: str) -> list[str]:
    """The machine's own name, and the same under ``.local``, if they are names."""
    if not is_name(host) or host == "localhost":
        return []
    return [host] if "." in host else [host, f"{host}.local"]


def is_name(host: str) -> bool:
    """A host name, and no address: its last label isn't a number (RFC 3696, 2)."""
    parts = host.split(".")
    return all(map(is_label, parts)) and not parts[-1].isdecimal()


def is_label(name: str) -> bool:
    return bool(LABEL.match(name))


def listen(port: int, *, everywhere: bool) -> socket.socket:
    """A socket on that port, for the whole network or for this machine alone."""
    try:
        return _bound(port, everywhere=everywhere)
    except OSError as refused:
        raise CannotListen(why(refused, port)) from refused


def _bound(port: int, *, everywhere: bool) -> socket.socket:
    if not everywhere:
        return socket.create_server(("127.0.0.1", port), backlog=256)
    if socket.has_dualstack_ipv6():
        whole = {"family": socket.AF_INET6, "dualstack_ipv6": True}
        return socket.create_server(("", port), backlog=256, **whole)  # type: ignore[arg-type]
    return socket.create_server(("", port), backlog=256)


def why(refused: OSError, port: int) -> str:
    if refused.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is in use by another program (or by Coldrail, already "
            "running). Stop that one, or take another port."
        )
    if refused.errno == errno.EACCES:
        return (
            f"Port {port} is one of the system's own (below 1024). Take a higher "
            "one, or give the service CAP_NET_BIND_SERVICE (docs/running.md)."
        )
    return f"Port {port} cannot be listened on: {refused.strerror}."
