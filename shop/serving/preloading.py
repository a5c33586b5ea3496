"""What gunicorn loads and makes ready before its workers part from it.

Every server of ours is started with this (``gunicorn -c python:...``), the demo with
nothing else.
"""

import gc
from typing import Any

preload_app = True
loglevel = "warning"


def when_ready(_server: Any) -> None:
    """What rooms make ready is made once, and not by each worker at a first page."""
    from django.db import connections  # noqa: PLC0415  the settings stand now

    from shop.records import warming  # noqa: PLC0415

    if warming.make_ready():
        connections.close_all()  # the workers have their own


def pre_fork(_server: Any, _worker: Any) -> None:
    """What was loaded stays: no worker's collector walks through it at a tap."""
    gc.collect()
    gc.freeze()
