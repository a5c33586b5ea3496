"""A backup now, a look at one, a new recovery key."""

import getpass
from argparse import ArgumentParser
from pathlib import Path
from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from shop.keeping import backups, recovery
from shop.keeping.contents import Manifest
from shop.records.errors import Refused

KEEP_IT = """
The recovery key of the backups:

    {key}

Write it down and keep it away from this machine. Without it no backup opens.
"""


class Command(BaseCommand):
    help = "Make a sealed backup of the database and the files, and read it back."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", metavar="FILE", help="open all of a backup")
        parser.add_argument(
            "--new-key", action="store_true", help="seal with a new recovery key"
        )
        parser.add_argument(
            "--ask-key", action="store_true", help="type the key for --check"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["check"]:
                self.check_one(Path(options["check"]), asks=options["ask_key"])
                return
            if options["new_key"] or not recovery.known():
                recovery.key_make(is_told=False)
            start = perf_counter()
            made = backups.backup_make()
            self.tell(made.file, made.manifest, perf_counter() - start)
            self.tell_key()
        except Refused as refusal:
            raise CommandError(str(refusal)) from None

    def check_one(self, file: Path, *, asks: bool) -> None:
        if not file.is_file():
            raise CommandError(f"{file} is not there.")
        secret = None
        if asks:
            secret = recovery.secret_of(getpass.getpass("Recovery key: "))
        start = perf_counter()
        manifest = backups.backup_check(file, secret)
        self.tell(file, manifest, perf_counter() - start)

    def tell(self, file: Path, manifest: Manifest, seconds: float) -> None:
        rows = sum(manifest.counts.values())
        self.stdout.write(
            f"{file}: whole. {manifest.vendor} of {manifest.made_at[:16]}, "
            f"{len(manifest.counts)} tables, {rows} rows, "
            f"{len(manifest.members) - 1} files, "
            f"{file.stat().st_size / 1e6:.1f} MB, {seconds:.1f} s"
        )
        if manifest.gone:
            self.stdout.write(f"Removed meanwhile: {len(manifest.gone)} files")

    def tell_key(self) -> None:
        """Once, to whoever stands here first."""
        if new := [key for key in recovery.known() if not key.is_told]:
            self.stdout.write(KEEP_IT.format(key=new[-1]))
            recovery.all_told()
