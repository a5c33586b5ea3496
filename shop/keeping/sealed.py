"""A stream sealed in chunks, so that no bit of it can be changed unseen. PURE.

AES-256-GCM over chunks by the STREAM construction (Hoang, Reyhanitabar, Rogaway and
Vizár, "Online Authenticated-Encryption and its Nonce-Reuse Misuse-Resistance",
CRYPTO 2015): each chunk's nonce is a prefix (7 bytes), the chunk's number (4) and
whether it is the last (1). Chunks left out, doubled, swapped or cut off at the end
don't open. Key and prefix are a file's own, by HKDF-SHA256 (RFC 5869) from the
recovery key and a salt; the head is authenticated with every chunk.
"""

import io
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

MAGIC = b"COLDRAIL BACKUP 1\n"
KEY_ID_BYTES = 8
SALT_BYTES = 32
HEAD_BYTES = len(MAGIC) + KEY_ID_BYTES + SALT_BYTES
CHUNK = 256 * 1024
TAG_BYTES = 16
PREFIX_BYTES = 7


class Foreign(Exception):
    """Not one of our backups, or made with another key."""


class Damaged(Exception):
    """A chunk does not open: changed, out of place, or the end is missing."""


def derived(secret: bytes, salt: bytes | None, info: bytes, length: int) -> bytes:
    return HKDF(SHA256(), length, salt, info).derive(secret)


def key_id(secret: bytes) -> bytes:
    """Tells which key a backup wants, and nothing of the key."""
    return derived(secret, None, b"coldrail key id", KEY_ID_BYTES)


def head_of(secret: bytes, salt: bytes) -> bytes:
    return MAGIC + key_id(secret) + salt


class Chunks:
    """The cipher of one file: seals and opens its chunks by number."""

    def __init__(self, secret: bytes, head: bytes) -> None:
        salt = head[-SALT_BYTES:]
        made = derived(secret, salt, b"coldrail backup 1", 32 + PREFIX_BYTES)
        self.cipher, self.prefix, self.head = AESGCM(made[:32]), made[32:], head

    def nonce(self, number: int, *, is_last: bool) -> bytes:
        return self.prefix + number.to_bytes(4, "big") + bytes([is_last])

    def sealed(self, number: int, data: bytes, *, is_last: bool) -> bytes:
        return self.cipher.encrypt(self.nonce(number, is_last=is_last), data, self.head)

    def opened(self, number: int, data: bytes, *, is_last: bool) -> bytes:
        nonce = self.nonce(number, is_last=is_last)
        try:
            return self.cipher.decrypt(nonce, data, self.head)
        except InvalidTag:
            raise Damaged(f"chunk {number}") from None


class Sealer(io.RawIOBase):
    """What is written here lies sealed in ``target`` once it is closed."""

    def __init__(self, target: BinaryIO, secret: bytes, salt: bytes) -> None:
        head = head_of(secret, salt)
        self.target, self.chunks = target, Chunks(secret, head)
        self.held, self.number = bytearray(), 0
        target.write(head)

    def writable(self) -> bool:
        return True

    def write(self, data: "bytes | bytearray | memoryview", /) -> int:  # type: ignore[override]
        self.held += data
        while len(self.held) > CHUNK:  # the last chunk is kept for finish()
            self._put(bytes(self.held[:CHUNK]), is_last=False)
            del self.held[:CHUNK]
        return len(data)

    def finish(self) -> None:
        """Seal the last chunk. Without it the file does not open."""
        self._put(bytes(self.held), is_last=True)
        self.held.clear()

    def _put(self, data: bytes, *, is_last: bool) -> None:
        self.target.write(self.chunks.sealed(self.number, data, is_last=is_last))
        self.number += 1


class Opener(io.RawIOBase):
    """Reads what a ``Sealer`` wrote; raises before it gives out a changed byte.

    Whether it was whole is known once it was read to its end.
    """

    def __init__(self, source: BinaryIO, secret: bytes) -> None:
        head = read_head(source)
        if head[len(MAGIC) : -SALT_BYTES] != key_id(secret):
            raise Foreign("made with another recovery key")
        self.source, self.chunks = source, Chunks(secret, head)
        self.number, self.held = 0, b""
        self.ahead = source.read(CHUNK + TAG_BYTES)
        self.is_over = False

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: "bytearray | memoryview", /) -> int:  # type: ignore[override]
        while not self.held and not self.is_over:
            self._next()
        given = self.held[: len(buffer)]
        buffer[: len(given)] = given
        self.held = self.held[len(given) :]
        return len(given)

    def _next(self) -> None:
        chunk, self.ahead = self.ahead, self.source.read(CHUNK + TAG_BYTES)
        self.is_over = not self.ahead
        self.held = self.chunks.opened(self.number, chunk, is_last=self.is_over)
        self.number += 1


def read_head(source: BinaryIO) -> bytes:
    head = source.read(HEAD_BYTES)
    if not head.startswith(MAGIC):
        raise Foreign("no backup of Coldrail, or one of a newer version")
    if len(head) < HEAD_BYTES:
        raise Damaged("the head is cut off")
    return head


def wanted_key(source: BinaryIO) -> bytes:
    """The id of the key that a backup was made with."""
    return read_head(source)[len(MAGIC) : -SALT_BYTES]
