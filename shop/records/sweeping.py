"""What is kept for a while only: answers, sessions, the shared cache."""

from datetime import timedelta
from importlib import import_module

from django.conf import settings
from django.core.cache import caches
from django.core.cache.backends.db import DatabaseCache
from django.db import connection
from django.utils import timezone

from shop.records import clock
from shop.records.models import KeptAnswer

# A tablet that was off line over a holiday still gets its first answer.
ANSWERS_KEPT = timedelta(days=14)


def answers_sweep() -> None:
    old = clock.database_now() - ANSWERS_KEPT
    KeptAnswer.objects.filter(kept_at__lt=old).delete()


def sessions_sweep() -> None:
    import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()


def cache_sweep() -> None:
    """Expired rows of the shared cache, which else go only when it is full."""
    if not isinstance(caches["default"], DatabaseCache):
        return
    now = timezone.now().replace(microsecond=0)
    table = connection.ops.quote_name(str(settings.CACHES["default"]["LOCATION"]))
    with connection.cursor() as cursor:
        cursor.execute(
            f"DELETE FROM {table} WHERE expires < %s",  # noqa: S608  its own name
            [connection.ops.adapt_datetimefield_value(now)],
        )
