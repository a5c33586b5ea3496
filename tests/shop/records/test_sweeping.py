"""What is kept for a while only goes when its time is over, and not before."""

from datetime import timedelta
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.db import connection
from django.utils import timezone

from shop.records import sweeping
from shop.records.models import KeptAnswer

pytestmark = pytest.mark.django_db
ONE_MINUTE = timedelta(minutes=1)
AGE = "UPDATE records_shared_cache SET expires = %s WHERE cache_key LIKE '%%old'"


def test_old_answers_go_and_young_ones_stay() -> None:
    for days in (1, 13, 15):
        KeptAnswer.objects.create(
            key=f"key of {days} days",
            request_hash="",
            kept_at=timezone.now() - timedelta(days=days),
        )
    sweeping.answers_sweep()
    keys = set(KeptAnswer.objects.values_list("key", flat=True))
    assert keys == {"key of 1 days", "key of 13 days"}


def test_expired_sessions_go() -> None:
    for hours in (-1, 1):
        Session.objects.create(
            session_key=f"of {hours}",
            expire_date=timezone.now() + timedelta(hours=hours),
        )
    sweeping.sessions_sweep()
    assert Session.objects.get().session_key == "of 1"


def test_expired_rows_of_the_shared_cache_go(settings: Any) -> None:
    settings.CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.db.DatabaseCache",
            "LOCATION": "records_shared_cache",
        },
        "process": settings.CACHES["process"],
    }
    caches["default"].set("young", 1, 60)
    caches["default"].set("old", 1, -60)
    past = connection.ops.adapt_datetimefield_value(timezone.now() - ONE_MINUTE)
    with connection.cursor() as cursor:
        cursor.execute(AGE, [past])
        sweeping.cache_sweep()
        cursor.execute("SELECT cache_key FROM records_shared_cache")
        assert [key for (key,) in cursor.fetchall()] == [":1:young"]
