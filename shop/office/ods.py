"""A table as a spreadsheet: the least that is an OpenDocument 1.3 file. PURE.

The package: ``mimetype`` first and stored, then the manifest and the content
(OASIS, OpenDocument 1.3, parts 2 and 3). Every cell has the type of its value, so
nothing in it is reckoned when it is opened: there is no formula to run.
"""

import io
import zipfile
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from xml.sax.saxutils import escape, quoteattr

from shop.office.sections import Cell
from shop.records.cells import defused

MIME = "application/vnd.oasis.opendocument.spreadsheet"
LONGEST_NAME = 31  # of a sheet, in the programs that read these
NOT_IN_A_NAME = str.maketrans(dict.fromkeys("[]*?:/\\'"))
NOT_IN_XML = dict.fromkeys(
    {*range(32), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF} - {9, 10, 13}
)
SAME_MOMENT = (1980, 1, 1, 0, 0, 0)  # the same table gives the same bytes
NAMES = " ".join(
    f'xmlns:{short}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
    for short, name in (("office", "office"), ("table", "table"), ("text", "text"))
)
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
MANIFEST_NAMES = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
MANIFEST = (
    f'{HEAD}<manifest:manifest xmlns:manifest="{MANIFEST_NAMES}"'
    ' manifest:version="1.3">'
    f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIME}"'
    ' manifest:version="1.3"/>'
    '<manifest:file-entry manifest:full-path="content.xml"'
    ' manifest:media-type="text/xml"/></manifest:manifest>'
)


def document(name: str, rows: Sequence[Sequence[Cell]]) -> bytes:
    """One sheet of this name; the first row is its head."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as package:
        package.writestr(_entry("mimetype", zipfile.ZIP_STORED), MIME)
        packed = zipfile.ZIP_DEFLATED
        package.writestr(_entry("META-INF/manifest.xml", packed), MANIFEST)
        package.writestr(_entry("content.xml", packed), content(name, rows))
    return file.getvalue()


def _entry(name: str, how: int) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, SAME_MOMENT)
    entry.compress_type = how
    return entry


def content(name: str, rows: Sequence[Sequence[Cell]]) -> str:
    body = "".join(
        f"<table:table-row>{''.join(map(_cell, row))}</table:table-row>" for row in rows
    )
    wide = max((len(row) for row in rows), default=1)
    return (
        f'{HEAD}<office:document-content {NAMES} office:version="1.3"><office:body>'
        f"<office:spreadsheet><table:table table:name={quoteattr(sheet_name(name))}>"
        f'<table:table-column table:number-columns-repeated="{wide}"/>{body}'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )


def sheet_name(title: str) -> str:
    """What a sheet may be called.

    >>> sheet_name("Fixed: by model / by person, in the last twelve months")
    'Fixed by model  by person, in t'
    """
    return _plain(title).translate(NOT_IN_A_NAME)[:LONGEST_NAME].strip() or "1"


def _cell(cell: Cell) -> str:
    if cell is None or cell == "":
        return "<table:table-cell/>"
    if isinstance(cell, (datetime, date)):
        moment = cell.isoformat()
        return _typed("date", f'office:date-value="{moment}"', moment)
    if isinstance(cell, (int, float, Decimal)):
        return _typed("float", f'office:value="{cell}"', f"{cell}")
    return _typed("string", "", escape(defused(_plain(cell))))


def _typed(kind: str, value: str, words: str) -> str:
    attributes = f'office:value-type="{kind}" {value}'.strip()
    return f"<table:table-cell {attributes}><text:p>{words}</text:p></table:table-cell>"


def _plain(text: str) -> str:
    """Without what XML 1.0 can't hold."""
    return text.translate(NOT_IN_XML)
