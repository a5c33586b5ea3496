"""A worker that says how it was asked; ``/slow`` takes its time."""

import json
import time
from collections.abc import Callable, Iterable
from typing import Any

TOLD = ("REMOTE_ADDR", "wsgi.url_scheme", "SCRIPT_NAME", "PATH_INFO", "CONTENT_LENGTH")


def application(
    environ: dict[str, Any], start_response: Callable[..., Any]
) -> Iterable[bytes]:
    if environ["PATH_INFO"] == "/slow":
        time.sleep(1.5)
    taken = environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
    told = {name: str(environ.get(name, "")) for name in TOLD}
    start_response("200 OK", [("Content-Type", "application/json")])
    return [json.dumps(told | {"taken": len(taken)}).encode()]
