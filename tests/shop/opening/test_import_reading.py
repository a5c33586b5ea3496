"""Files as they come: encodings, separators, and what is no table at all."""

import csv
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.opening.imports.columns import CUSTOMERS, STOCK, TICKETS, guessed, missing
from shop.opening.imports.reading import (
    NotATable,
    counted,
    encoding_of,
    records,
    refuse_others,
    separator_of,
    text_of,
)
from shop.records.cells import LIVE, defused, table

TEXT = "name;phone\nZoë Strauß;0142\nÅse Løv;0143\n"
# What a spreadsheet may run (OWASP, "CSV Injection"), and ways to hide it.
PAYLOADS = [
    *("=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1", "\r=1", "\n=1", " =1", "\u00a0=1"),
    *("=cmd|' /C calc'!A0", '=HYPERLINK("http://x.example")', "\0=1", " \0 @A1"),
    *("＝1+1", "＋1", "－1", "＠A1", "%0A=1", "|calc", "=1\0"),
]


@pytest.mark.parametrize(
    ("codec", "guess"),
    [
        ("utf-8", "utf-8"),
        ("utf-8-sig", "utf-8"),
        ("utf-16", "utf-16"),
        ("cp1252", "cp1252"),
        ("latin-1", "cp1252"),  # the same bytes for these letters
    ],
)
def test_an_encoding_is_guessed_and_its_mark_is_gone(codec: str, guess: str) -> None:
    body = TEXT.encode(codec)
    assert encoding_of(body) == guess
    assert text_of(body, guess) == TEXT


def test_utf_16_of_the_other_order_is_read_too() -> None:
    body = b"\xfe\xff" + TEXT.encode("utf-16-be")
    assert text_of(body, encoding_of(body)) == TEXT


def test_bytes_that_only_latin_1_has() -> None:
    assert encoding_of(b"name\n\x81\x8d\n") == "latin-1"


def test_a_wrong_encoding_is_said() -> None:
    with pytest.raises(NotATable, match="encoding"):
        text_of(TEXT.encode("cp1252"), "utf-8")


def workbook() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    return out.getvalue()


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf \r\n", "empty"),
        (b"\0" * 4096, "empty"),
        (workbook(), "workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "workbook"),
        (b"%PDF-1.7", "not_text"),
        (b"\xff\xd8\xff\xe0", "not_text"),
        ("name\n".encode("utf-32"), "not_text"),
        (b"a" * 20_000_001, "too_large"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_table_is_named(body: bytes, code: str) -> None:
    with pytest.raises(NotATable) as refused:
        refuse_others(body)
    assert refused.value.code == code


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_separator_is_guessed_though_cells_hold_the_others(separator: str) -> None:
    cells = [["name", "address"], ["Pell, Ada", "17 Weir Street; back door"]] * 3
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerows(cells)
    assert separator_of(out.getvalue()) == separator


def test_lines_are_the_file_s_own_and_empty_rows_are_skipped() -> None:
    text = 'name,told\r\n\r\nAda,"two\r\nlines"\r\n , \r\nBo,one\r\n'
    found = [(row.line, row.cells) for row in records(text, ",")]
    assert found == [
        (1, ["name", "told"]),
        (3, ["Ada", "two\r\nlines"]),
        (6, ["Bo", "one"]),
    ]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("name,phone\n", "header_only"),
        ("name\n" + "x\n" * 100_001, "too_many"),
        ("name," * 300 + "\n", "too_wide"),
        ('name\n"' + "x" * 200_000, "cell_too_long"),
    ],
    ids=["header", "rows", "columns", "quote"],
)
def test_what_is_no_list_of_rows_is_named(text: str, code: str) -> None:
    with pytest.raises(NotATable) as refused:
        counted(text, ",")
    assert refused.value.code == code


def test_columns_are_guessed_by_their_heads() -> None:
    header = ["Last Name", "First name", "E-Mail:", "Mobile", "City", "ZIP"]
    assert guessed(header, CUSTOMERS) == {
        "first_name": 1,
        "name": 0,
        "phone": 3,
        "email": 2,
        "town": 4,
        "postcode": 5,
    }
    assert guessed(["SKU", "Description", "Qty"], STOCK) == {
        "code": 0,
        "name": 1,
        "quantity": 2,
    }
    assert missing(guessed(["Ticket", "Client"], TICKETS), TICKETS) == ["model", "told"]


@pytest.mark.parametrize("payload", PAYLOADS)
def test_no_cell_is_live(payload: str) -> None:
    written = next(csv.reader(io.StringIO(table([[payload]]), newline="")))
    assert written[0].startswith("'")
    assert "\0" not in written[0]


@given(st.text())
def test_any_text_is_defused_and_else_kept(text: str) -> None:
    safe = defused(text)
    assert not safe.lstrip(" \u00a0").startswith(LIVE)
    assert safe.removeprefix("'") == text.replace("\0", "") or safe == text.replace(
        "\0", ""
    )
