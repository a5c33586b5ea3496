"""A ZIP that is written as it is read: only a piece of it is ever in memory.

The same files give the same bytes: every entry carries the same date, and none that of
today. Each file's SHA-256 is reckoned while it passes (FIPS 180-4).
"""

import csv
import hashlib
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence

from shop.records.cells import written

PIECE_BYTES = 1 << 16
# The first moment that a ZIP can say (APPNOTE.TXT 4.4.6).
LONG_AGO = (1980, 1, 1, 0, 0, 0)
READABLE = 0o644 << 16
ROWS_AT_ONCE = 200


class Pipe(io.RawIOBase):
    """What was written and not taken yet; it can't go back."""

    def __init__(self) -> None:
        super().__init__()
        self.held = bytearray()
        self.passed = 0

    def writable(self) -> bool:
        return True

    def seekable(self) -> bool:
        return False

    def tell(self) -> int:
        return self.passed

    def write(self, data: object) -> int:
        piece = bytes(data)  # type: ignore[call-overload]
        self.held += piece
        self.passed += len(piece)
        return len(piece)

    def take(self) -> bytes:
        taken = bytes(self.held)
        self.held.clear()
        return taken


Part = tuple[str, Iterable[bytes]]


class Zip:
    """Writes parts one after the other; ``hashes`` by name, in their order."""

    def __init__(self) -> None:
        self.hashes: dict[str, str] = {}

    def stream(self, parts: Iterable[Part]) -> Iterator[bytes]:
        pipe = Pipe()
        with zipfile.ZipFile(pipe, "w") as archive:
            for name, pieces in parts:
                yield from self._put(archive, pipe, name, pieces)
        yield pipe.take()

    def _put(
        self,
        archive: zipfile.ZipFile,
        pipe: Pipe,
        name: str,
        pieces: Iterable[bytes],
    ) -> Iterator[bytes]:
        digest = hashlib.sha256()
        with archive.open(_entry(name), "w") as file:
            for piece in pieces:
                digest.update(piece)
                file.write(piece)
                if len(pipe.held) >= PIECE_BYTES:
                    yield pipe.take()
        self.hashes[name] = digest.hexdigest()
        yield pipe.take()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, LONG_AGO)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 3  # Unix, wherever it is made
    entry.external_attr = READABLE
    return entry


def csv_pieces(rows: Iterable[Sequence[object]]) -> Iterator[bytes]:
    """Rows as CSV (RFC 4180, UTF-8), some at once; texts defused."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for count, row in enumerate(rows, 1):
        writer.writerow([written(cell) for cell in row])
        if count % ROWS_AT_ONCE == 0:
            yield _taken(out)
    yield _taken(out)


def _taken(out: io.StringIO) -> bytes:
    text = out.getvalue()
    out.seek(0)
    out.truncate()
    return text.encode()
