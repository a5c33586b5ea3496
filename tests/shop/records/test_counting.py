"""What is counted within a minute, in the cache that all workers share."""

import time
from typing import Any

import pytest
from django.core.cache import caches

from shop.records import counting


@pytest.fixture(params=["own memory", "database"], autouse=True)
def cache_of(request: pytest.FixtureRequest, settings: Any, db: None) -> None:
    if request.param == "database":
        settings.CACHES = settings.CACHES | {"default": settings.SHARED}
        caches["default"].clear()


def test_the_minute_begins_with_the_first_and_ends(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """In the shared cache too, where each count is a new row of its own."""
    now = time.time()
    for second, expected in ((0, 1), (30, 2), (59, 3), (61, 1)):
        monkeypatch.setattr(time, "time", lambda at=now + second: at)
        assert counting.counted("wrong") == expected
    assert counting.count_of("wrong") == 1
    assert counting.count_of("nothing") == 0
