"""A file of text as a table: its encoding and separator guessed by trying. PURE."""

import codecs
import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
ENCODINGS = ("utf-8", "utf-16", "cp1252", "latin-1")
WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # a zip (XLSX, ODS), an old XLS
OTHERS = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"\x1f\x8b")
MOST_BYTES = 20_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
LOOKED_AT = 50


class NotATable(ValueError):
    """Why a file can't be read: a code for the page to put into words."""

    def __init__(self, code: str, **values: int) -> None:
        self.code, self.values = code, values
        super().__init__(code)


@dataclass(frozen=True)
class Record:
    """One row: its cells, and the line of the file on which it begins."""

    line: int
    cells: list[str]


def refuse_others(body: bytes) -> None:
    """Refuse what is no text at all, whatever its name says."""
    if not body.strip(b"\0 \r\n\t\xef\xbb\xbf\xff\xfe"):
        raise NotATable("empty")
    if len(body) > MOST_BYTES:
        raise NotATable("too_large")
    if body.startswith(WORKBOOKS):
        raise NotATable("workbook")
    if body.startswith(OTHERS) or body.startswith(codecs.BOM_UTF32_LE):
        raise NotATable("not_text")


def encoding_of(body: bytes) -> str:
    """The first encoding that the bytes make sense in.

    >>> encoding_of("Zoë".encode("utf-8")), encoding_of("Zoë".encode("cp1252"))
    ('utf-8', 'cp1252')
    """
    if body.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    for encoding in ("utf-8", "cp1252"):
        try:
            body.decode(encoding)
        except UnicodeDecodeError:
            continue
        return encoding
    return "latin-1"


def text_of(body: bytes, encoding: str) -> str:
    """The text without its byte-order mark."""
    if encoding not in ENCODINGS:
        raise NotATable("encoding")
    try:
        return body.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise NotATable("encoding") from error


def separator_of(text: str) -> str:
    """The separator by which most of the first rows have the header's width.

    >>> separator_of("name;phone\\nPell, Ada;0142\\n")
    ';'
    """

    def score(separator: str) -> tuple[int, int]:
        try:
            rows = list(islice(records(text, separator), LOOKED_AT))
        except NotATable:
            return 0, 0
        width = len(rows[0].cells) if rows else 0
        alike = sum(len(row.cells) == width for row in rows)
        return (alike, width) if width > 1 else (0, 0)

    return max(SEPARATORS, key=score)


def records(text: str, separator: str) -> Iterator[Record]:
    """All rows but empty ones, the header first."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    line = 1
    try:
        for cells in reader:
            if len(cells) > MOST_COLUMNS:
                raise NotATable("too_wide", line=line)
            if any(cell.strip() for cell in cells):
                yield Record(line, [cell.strip() for cell in cells])
            line = reader.line_num + 1
    except csv.Error as error:
        raise NotATable("cell_too_long", line=line) from error


def counted(text: str, separator: str) -> int:
    """How many rows stand under the header; refused when none, or far too many."""
    count = -1
    for count, _row in enumerate(records(text, separator)):
        if count > MOST_ROWS:
            raise NotATable("too_many", most=MOST_ROWS)
    if count < 1:
        raise NotATable("header_only")
    return count
