"""A section's table as CSV: codes as heads, numbers as numbers, nothing live."""

import csv
import io
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pandas as pd  # type: ignore[import-untyped]

from shop.office.files import csv_of
from shop.office.sections import Column, Kind, Table
from tests.shop.office.sample_sections import table

DUBLIN = ZoneInfo("Europe/Dublin")


def test_the_file_begins_with_its_mark_and_codes() -> None:
    told = csv_of(table(), DUBLIN)
    assert told.startswith("\ufeffboard_model,ticket,closed,days,")


def test_numbers_stay_numbers_and_texts_are_defused() -> None:
    rows = list(csv.reader(io.StringIO(csv_of(table(), DUBLIN).removeprefix("\ufeff"))))
    assert rows[1] == "Orrin 14,24178,29,9.04,1.5,42,94.1,61.20,2026-09-30".split(",")
    assert rows[2] == ["'=1+1", "24194", "22", "-1.5", "", "7", "", "-8.00", ""]


def test_another_reader_finds_the_same_figures() -> None:
    found = pd.read_csv(io.BytesIO(csv_of(table(), DUBLIN).encode()))
    assert found["days"].tolist() == [9.04, -1.5]
    assert found["margin"].sum() == 53.2
    assert found["fixed"].isna().tolist() == [False, True]


def test_a_moment_is_told_by_the_shops_clock() -> None:
    moment = datetime(2026, 7, 1, 22, 30, tzinfo=UTC)
    told = csv_of(Table([Column("at", "At", Kind.DATE)], [[moment]]), DUBLIN)
    assert "2026-07-01 23:30" in told
