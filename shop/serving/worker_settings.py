"""How gunicorn serves behind our front (``gunicorn -c python:...``).

The workers listen on a Unix socket, whose peers gunicorn trusts in everything;
the peer is our front, which passes on what a visitor sent. So no header may say
anything about scheme or path: only the PROXY line speaks of the visitor.
"""

from shop.serving.preloading import loglevel, pre_fork, preload_app, when_ready

__all__ = ["loglevel", "pre_fork", "preload_app", "when_ready"]
worker_class = "sync"
proxy_protocol = "v1"
secure_scheme_headers: dict[str, str] = {}
forwarder_headers = ""
control_socket_disable = True
umask = 0o077
graceful_timeout = 20
timeout = 180  # bringing 50,000 rows in takes a minute on a busy machine
