"""A machine without a shop, as a process: it restores what it is told, and looks.

A line of JSON in, one out: ``{"file": ..., "key": ...}`` is restored or refused;
``{"look": true}`` says whether somebody gets in and an invoice can be made.
"""

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from tests.drills.place import ROOT, die_with_parent

OWN = ("restore.lock", "backup.lock")


@dataclass
class EmptyMachine:
    """Its data folder, and the process that stands for it."""

    folder: Path
    process: "subprocess.Popen[str]"

    @classmethod
    def start(cls, folder: Path, url: str = "") -> "EmptyMachine":
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.drills.empty_machine"],
            cwd=ROOT,
            env=environment(folder, url),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            preexec_fn=die_with_parent,  # noqa: PLW1509  no thread runs yet
        )
        machine = cls(folder, process)
        machine.ask(ready=True)  # its settings have made what they make
        return machine

    def ask(self, **question: Any) -> Any:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(question) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def stop(self) -> None:
        with suppress(ProcessLookupError):
            self.process.kill()
        with self.process:  # its pipes are closed, its end is waited for
            pass

    def stands(self) -> dict[str, str]:
        """Every file that it has, by what is in it; locks apart."""
        return {
            str(path.relative_to(self.folder)): sha256(path.read_bytes()).hexdigest()
            for path in sorted(self.folder.rglob("*"))
            if path.is_file() and path.name not in OWN
        }


def environment(folder: Path, url: str = "") -> Mapping[str, str]:
    own = {
        "COLDRAIL_DATA": str(folder),
        "COLDRAIL_PROFILE": "test",
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "DATABASE_URL": url or f"sqlite:///{folder}/coldrail.sqlite3",
    }
    (folder / "static").mkdir(parents=True, exist_ok=True)
    return os.environ | own


def answered(asked: Mapping[str, Any]) -> Mapping[str, Any]:
    from shop.keeping import recovery, restoring
    from shop.records.errors import Refused

    if "ready" in asked:
        return asked
    if "look" in asked:
        return looked()
    try:
        secret = recovery.secret_of(asked["key"])
        done = restoring.restore(restoring.Wish(Path(asked["file"]), secret))
    except Refused as refusal:
        return {"refused": str(refusal)}
    return {"done": dict(done.told["done"])}


def looked() -> Mapping[str, Any]:
    """In a process that began before the restore: with the keys as they are now."""
    from django.conf import settings
    from django.contrib.auth import authenticate

    from shop.billing.models import Invoice
    from shop.billing.papers import invoice_pdf
    from shop.people.models import Person

    secret = (settings.DATA_DIR / "secret_key").read_text()
    settings.SECRET_KEY = secret.strip()
    owner = Person.objects.filter(memberships__role="owner").first()
    invoice = Invoice.objects.order_by("pk").last()
    word = f"{owner.username}-bench" if owner else ""
    name = owner.username if owner else ""
    return {
        "comes_in": authenticate(None, username=name, password=word) is not None,
        "invoice": len(invoice_pdf(invoice)) if invoice else 0,
    }


def main() -> None:
    import django

    django.setup()
    for line in sys.stdin:
        sys.stdout.write(json.dumps(answered(json.loads(line))) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
