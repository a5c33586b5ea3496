"""Before a new version changes the tables of a shop: a sealed backup."""

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from shop.keeping import ground


def is_due() -> bool:
    """Whether a shop's tables are about to be changed, outside the tests."""
    return settings.BACKS_UP_BEFORE_CHANGES and changes() > 0 and has_shop()


def has_shop() -> bool:
    return ground.shop_here()[0] is not None


def changes() -> int:
    """How many migrations the database lacks; none where it can't be asked."""
    try:
        executor = MigrationExecutor(connection)
        return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    except DatabaseError:
        return 0
