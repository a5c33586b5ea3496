"""A management command in a process and an empty database of its own."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence

from tests import machine

LEFT_OUT = "Left out: PostgreSQL (--only-sqlite)"


def on_each_database(
    command: Sequence[str], *, only_sqlite: bool, say: Callable[[str], object]
) -> bool:
    """Run ``manage.py command`` on SQLite and on PostgreSQL; whether all went well."""
    machine.equip(needs_postgres=not only_sqlite, needs_browser=False)
    went_well = [run(command, None)]
    if only_sqlite:
        say(LEFT_OUT)
    else:
        with machine.postgres() as url:
            went_well.append(run(command, url))
    return all(went_well)


def run(command: Sequence[str], url: str | None) -> bool:
    with tempfile.TemporaryDirectory(prefix="coldrail-") as folder:
        environment = os.environ | {"COLDRAIL_DATA": folder, "COLDRAIL_PROFILE": "test"}
        environment.pop("DATABASE_URL", None)
        if url:
            environment["DATABASE_URL"] = url
        done = subprocess.run(
            [sys.executable, "manage.py", *command], env=environment, check=False
        )
    return done.returncode == 0
