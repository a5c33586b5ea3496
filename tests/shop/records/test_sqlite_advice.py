"""Which SQLite is fit for several writers (release notes of SQLite 3.51.3)."""

import pytest

from shop.records.sqlite_advice import has_wal_reset_fault


@pytest.mark.parametrize(
    ("version", "has_fault"),
    [
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((4, 0, 0), False),
    ],
)
def test_versions_with_the_fault(
    version: tuple[int, int, int], has_fault: bool
) -> None:
    assert has_wal_reset_fault(version) is has_fault
