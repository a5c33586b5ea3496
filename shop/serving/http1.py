"""The little of HTTP/1.1 that the front must understand. PURE (RFC 9112).

The front hands exactly one whole request to the shop's server on a connection
of its own, so that no length can be read in two ways. What it does not
understand it refuses.
"""

import re
from dataclasses import dataclass

LARGEST_HEAD = 32 * 1024
# A dozen photos of a tablet; the views have narrower limits of their own.
LARGEST_BODY = 64 * 1024 * 1024
END_OF_HEAD = b"\r\n\r\n"
REQUEST_LINE = re.compile(rb"([A-Z]{3,10}) (/[!-~]*) HTTP/1\.[01]\Z")
FIELD_NAME = re.compile(rb"[!#$%&'*+.^_`|~0-9A-Za-z-]+\Z")
HOST = re.compile(rb"(\[[0-9a-fA-F:.]+\]|[0-9a-zA-Z.-]+)(:[0-9]{1,5})?\Z")
REASONS = {
    400: "Bad Request",
    405: "Method Not Allowed",
    408: "Request Timeout",
    411: "Length Required",
    413: "Content Too Large",
    431: "Request Header Fields Too Large",
    502: "Bad Gateway",
    503: "Service Unavailable",
}


class NotServed(Exception):
    """A request that is answered by the front itself, with this status."""

    def __init__(self, status: int) -> None:
        super().__init__(status)
        self.status = status


@dataclass(frozen=True)
class Head:
    """A request's line and fields; ``raw`` is what came, with its empty line."""

    raw: bytes
    method: str
    target: str
    fields: tuple[tuple[bytes, bytes], ...]

    def all_of(self, name: bytes) -> list[bytes]:
        return [value for key, value in self.fields if key == name]

    def first(self, name: bytes) -> bytes:
        return next(iter(self.all_of(name)), b"")

    @property
    def length(self) -> int:
        """How many bytes follow; raises ``NotServed`` where that is not plain."""
        if self.all_of(b"transfer-encoding"):
            raise NotServed(411)
        lengths = self.all_of(b"content-length")
        if not lengths:
            return 0
        if len(lengths) > 1 or not re.fullmatch(rb"[0-9]{1,15}", lengths[0]):
            raise NotServed(400)
        if int(lengths[0]) > LARGEST_BODY:
            raise NotServed(413)
        return int(lengths[0])

    @property
    def awaits_word(self) -> bool:
        """Whether the client holds its body back until it is told to go on."""
        return self.first(b"expect").lower() == b"100-continue"

    @property
    def host(self) -> str:
        """The host without its port; empty where the field makes no sense."""
        match = HOST.match(self.first(b"host"))
        return match[1].decode().lower() if match else ""


def read_head(raw: bytes) -> Head:
    """The head of a request, up to and with its empty line."""
    first, *lines = raw.removesuffix(END_OF_HEAD).split(b"\r\n")
    line = REQUEST_LINE.match(first)
    if line is None:
        raise NotServed(400)
    fields = tuple(_field(text) for text in lines)
    return Head(raw, line[1].decode(), line[2].decode(), fields)


def _field(text: bytes) -> tuple[bytes, bytes]:
    name, colon, value = text.partition(b":")
    if not colon or not FIELD_NAME.match(name) or b"\n" in text or b"\r" in text:
        raise NotServed(400)
    return name.lower(), value.strip(b" \t")


def answer(status: int, *, location: str = "") -> bytes:
    """A whole answer of the front's own."""
    reason = REASONS.get(status, "Temporary Redirect")
    text = f"{status} {reason}\n" if not location else f"{location}\n"
    lines = [
        f"HTTP/1.1 {status} {reason}",
        "Content-Type: text/plain; charset=utf-8",
        f"Content-Length: {len(text)}",
        "Connection: close",
        "Cache-Control: no-store",
    ]
    if location:
        lines.append(f"Location: {location}")
    return ("\r\n".join(lines) + "\r\n\r\n" + text).encode()


def proxy_line(source: str, port: int) -> bytes:
    """The PROXY protocol's first line (version 1), which says who is asking."""
    family = "TCP6" if ":" in source else "TCP4"
    here = "::1" if ":" in source else "127.0.0.1"
    return f"PROXY {family} {source} {here} {port} 0\r\n".encode()


# What a device may ask for before it trusts the shop's certificate.
OPEN_PATHS = ("/trust/", "/static/")
PASSED_ON = (b"host", b"user-agent", b"accept-language", b"accept-encoding")


def is_open(head: Head) -> bool:
    """Whether a request may be answered without encryption."""
    path = head.target.partition("?")[0]
    is_reading = head.method in {"GET", "HEAD"}
    return is_reading and path.startswith(OPEN_PATHS) and ".." not in path


def bare(head: Head) -> bytes:
    """The same question without cookie, body or anything else about the asker."""
    lines = [f"{head.method} {head.target} HTTP/1.1".encode()]
    for name in PASSED_ON:
        lines += [name + b": " + value for value in head.all_of(name)[:1]]
    lines.append(b"connection: close")
    return b"\r\n".join(lines) + END_OF_HEAD
