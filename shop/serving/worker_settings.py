"""How gunicorn serves behind our front (``gunicorn -c python:...``).

The workers listen on a Unix socket, whose peers gunicorn trusts in everything;
the peer is our front, which passes on what a visitor sent. So no header may say
anything about scheme or path: only the PROXY line speaks of the visitor.
"""

import gc
from typing import Any

worker_class = "sync"
preload_app = True
proxy_protocol = "v1"
secure_scheme_headers: dict[str, str] = {}
forwarder_headers = ""
control_socket_disable = True
umask = 0o077
graceful_timeout = 20
timeout = 180  # bringing 50,000 rows in takes a minute on a busy machine
loglevel = "warning"


def when_ready(_server: Any) -> None:
    """What rooms make ready is made once, and not by each worker at a first page."""
    from django.db import connections  # noqa: PLC0415  the settings stand now

    from shop.records import warming  # noqa: PLC0415

    warming.make_ready()
    connections.close_all()  # the workers have their own


def pre_fork(_server: Any, _worker: Any) -> None:
    """What was loaded stays: no worker's collector walks through it at a tap."""
    gc.collect()
    gc.freeze()
