"""What one process keeps in its own memory to spare itself work.

Nothing that two processes must agree on: that is Django's default cache, which
lies in the database.
"""

from django.core.cache import caches
from django.utils.connection import ConnectionProxy

cache = ConnectionProxy(caches, "process")
