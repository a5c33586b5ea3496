"""The spreadsheet, read again by hand: its package, its types, nothing that runs.

OASIS, OpenDocument 1.3, part 2 (3.3: "mimetype" is the first file and is stored; 3.2:
the manifest names every file) and part 3 (19.389: the types of cells).
"""

import io
import zipfile
from datetime import date, datetime
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.office import ods
from shop.office.sections import Cell

OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
MANIFEST = "{urn:oasis:names:tc:opendocument:xmlns:manifest:1.0}"
Told = list[list[tuple[str | None, str | None, str]]]


def read_again(body: bytes) -> Told:
    """Of each cell its type, its value and its words."""
    with zipfile.ZipFile(io.BytesIO(body)) as package:
        root = ElementTree.fromstring(package.read("content.xml"))  # noqa: S314  ours
    return [
        [
            (
                cell.get(f"{OFFICE}value-type"),
                cell.get(f"{OFFICE}value") or cell.get(f"{OFFICE}date-value"),
                "".join(cell.itertext()),
            )
            for cell in row
        ]
        for row in root.iter(f"{TABLE}table-row")
    ]


def test_the_package_says_first_what_it_is() -> None:
    body = ods.document("Days", [["a"]])
    # 30 bytes of header, then the name, then the type itself: found without unpacking.
    assert body[30:38] == b"mimetype"
    assert body[38 : 38 + len(ods.MIME)] == ods.MIME.encode()
    with zipfile.ZipFile(io.BytesIO(body)) as package:
        first = package.infolist()[0]
        assert (first.filename, first.compress_type) == ("mimetype", 0)
        manifest = ElementTree.fromstring(  # noqa: S314  ours
            package.read("META-INF/manifest.xml")
        )
        named = {one.get(f"{MANIFEST}full-path") for one in manifest}
        outside = {"mimetype", "META-INF/manifest.xml"}
        assert named - {"/"} == set(package.namelist()) - outside


def test_each_cell_has_the_type_of_its_value() -> None:
    row: list[Cell] = [
        "Orrin 14",
        29,
        9.04,
        Decimal("-8.00"),
        date(2026, 9, 30),
        datetime(2026, 9, 30, 14, 5),  # noqa: DTZ001  by the shop's clock
        None,
    ]
    [told] = read_again(ods.document("t", [row]))
    assert told == [
        ("string", None, "Orrin 14"),
        ("float", "29", "29"),
        ("float", "9.04", "9.04"),
        ("float", "-8.00", "-8.00"),
        ("date", "2026-09-30", "2026-09-30"),
        ("date", "2026-09-30T14:05:00", "2026-09-30T14:05:00"),
        (None, None, ""),
    ]


@pytest.mark.parametrize("live", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_text_is_a_formula(live: str) -> None:
    [[(kind, value, words)]] = read_again(ods.document("t", [[live]]))
    assert (kind, value) == ("string", None)
    assert words.startswith("'")
    assert "formula" not in ods.content("t", [[live]])


@given(st.lists(st.lists(st.text(max_size=9) | st.integers(), max_size=4), max_size=5))
def test_any_text_is_well_formed(rows: list[list[Cell]]) -> None:
    told = read_again(ods.document("<&>'\"", rows))
    assert [len(row) for row in told] == [len(row) for row in rows]


@given(st.text(max_size=60))
def test_a_sheet_always_has_a_name_that_may_be(title: str) -> None:
    name = ods.sheet_name(title)
    assert 1 <= len(name) <= 31
    assert not set(name) & set("[]*?:/\\'")


def test_the_same_table_gives_the_same_bytes() -> None:
    assert ods.document("t", [["a", 1]]) == ods.document("t", [["a", 1]])
