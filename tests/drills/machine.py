"""A machine of the shop: its own data folder, one database with all others."""

import os
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tests.drills.place import started

if TYPE_CHECKING:
    import subprocess

LEASE = 3.0  # seconds


def database_url() -> str:
    """The connected database, as another process is told it."""
    from django.db import connection

    if connection.vendor == "sqlite":
        return f"sqlite:///{connection.settings_dict['NAME']}"
    return os.environ["DATABASE_URL"]


@dataclass(frozen=True)
class Machine:
    """Its processes agree with the other machines' on the database and the keys."""

    name: str
    data: Path

    def surroundings(self, **more: str) -> Mapping[str, str]:
        from django.conf import settings

        (self.data / "static").mkdir(parents=True, exist_ok=True)
        return os.environ | {
            "COLDRAIL_DATA": str(self.data),
            "COLDRAIL_PROFILE": "demo",
            "COLDRAIL_JOBS_LEASE": str(LEASE),
            "COLDRAIL_CLOUDS": "never",
            "DATABASE_URL": database_url(),
            "SECRET_KEY": settings.SECRET_KEY,
            **more,
        }

    def jobs(self, post_port: int) -> "subprocess.Popen[bytes]":
        """Its job process, which brings the shop's letters to that port."""
        own = self.surroundings(
            COLDRAIL_PROFILE="production",
            EMAIL_URL=f"smtp://127.0.0.1:{post_port}",
            COLDRAIL_MAIL_FROM=f"{self.name}@shop.example",
        )
        return started("manage.py", "jobs", env=own)


def hurry() -> None:
    """What is due later is due now: a drill does not wait out a back-off."""
    from shop.records.models import JobRun, OutgoingMessage
    from shop.records.services import LONG_AGO

    JobRun.objects.filter(name="messages").update(next_at=LONG_AGO)
    waiting = OutgoingMessage.objects.filter(sent_at=None, given_up_at=None)
    waiting.update(next_try_at=LONG_AGO)


def until(happened: object, seconds: float) -> bool:
    """Wait until something is so; whether it ever was."""
    assert callable(happened)
    start = time.monotonic()
    while time.monotonic() - start < seconds:
        if happened():
            return True
        time.sleep(0.05)
    return False
