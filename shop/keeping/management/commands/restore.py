"""A backup put back, onto an empty machine or in the place of the shop here."""

import json
import sys
from argparse import SUPPRESS, ArgumentParser
from pathlib import Path
from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.dateparse import parse_datetime

from shop.keeping import backups, recovery, restoring
from shop.keeping.finishing import Asked, NotTheSame, finish
from shop.keeping.restoring import Outcome, Wish
from shop.keeping.sealed import Foreign, wanted_key
from shop.records.errors import Refused

TRIES = 5
DONE = """
Restored in {seconds:.0f} s. What was done after {made} is not in it: hold the last
numbers below against your papers, and type in what is missing.
"""
DID = {
    "sessions": "sessions ended: everybody signs in anew",
    "messages": "messages that waited are left to you: they may have gone out since",
    "erased again": "customers erased again, who were erased after the backup",
    "photo links": "links by which phones send photos ended",
    "factors": "second factors set anew by their owners",
    "pins": "PINs set anew by their owners",
}


class Command(BaseCommand):
    help = "Put a backup back: the database, the files and the keys."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "backup", nargs="?", type=Path, help="the file, or its folder: the newest"
        )
        parser.add_argument(
            "--look", action="store_true", help="prove it and say, restore nothing"
        )
        parser.add_argument(
            "--replace", default="", metavar="NAME", help="the shop here that gives way"
        )
        parser.add_argument(
            "--new-keys",
            action="store_true",
            help="this machine's keys: factors, PINs, passcodes, slip codes are lost",
        )
        parser.add_argument("--finish", help=SUPPRESS)

    def handle(self, *args: Any, **options: Any) -> None:
        if options["finish"]:
            self.finish(options["finish"])
            return
        start = perf_counter()
        try:
            wish = self.wish_from(options)
            act = restoring.look if options["look"] else restoring.restore
            outcome = act(wish)
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        except OSError as error:
            raise CommandError(f"Nothing was restored: {error.strerror}.") from None
        self.tell(wish.file, outcome, perf_counter() - start)

    def finish(self, asked: str) -> None:
        try:
            told = finish(Asked(**json.loads(asked)))
        except NotTheSame as error:
            raise CommandError(f"{error} is not as the backup says") from None
        self.stdout.write(json.dumps(told))

    def wish_from(self, options: dict[str, Any]) -> Wish:
        if options["backup"] is None:
            raise Refused("Which backup? Name its file, or the folder it lies in.")
        file = newest_in(options["backup"])
        self.stdout.write(f"The backup {file}")
        return Wish(file, self.key_to(file), options["replace"], options["new_keys"])

    def key_to(self, file: Path) -> bytes | None:
        """A key of this machine if one fits, else as somebody types it."""
        with file.open("rb") as source, backups.refusing(file):
            try:
                return backups.key_for(source)
            except Foreign:
                source.seek(0)
                wanted_key(source)
        for _try in range(TRIES if sys.stdin.isatty() else 1):
            try:
                return recovery.secret_of(self.typed())
            except Refused as refusal:
                self.stderr.write(str(refusal))
        raise Refused("Without its recovery key no backup opens.")

    def typed(self) -> str:
        self.stdout.write("Recovery key (nine groups of four letters):")
        self.stdout.flush()
        return sys.stdin.readline()

    def tell(self, file: Path, outcome: Outcome, seconds: float) -> None:
        manifest = outcome.manifest
        made = parse_datetime(manifest.made_at)
        rows = sum(manifest.counts.values())
        self.stdout.write(
            f"Whole. {manifest.vendor} of {made:%Y-%m-%d %H:%M} UTC, Coldrail "
            f"{manifest.version}, {rows} rows, "
            f"{len(manifest.names_in('files/'))} files."
        )
        if not outcome.told:
            self.stdout.write(f"It can be restored here. Looked at in {seconds:.0f} s.")
            return
        self.stdout.write(DONE.format(seconds=seconds, made=f"{made:%Y-%m-%d %H:%M}"))
        for name, last in outcome.told["series"].items():
            self.stdout.write(f"  {name:14} last number {last}")
        for name, count in outcome.told["done"].items():
            self.stdout.write(f"  {count:>6} {DID.get(name, name)}")
        if outcome.put_aside:
            self.stdout.write(f"What stood here lies in {outcome.put_aside}.")


def newest_in(place: Path) -> Path:
    if place.is_file():
        return place
    if not place.is_dir():
        raise Refused(f"{place} is not there. Is its disk connected?")
    kept = backups.kept_in(place)
    if not kept:
        raise Refused(f"No backup lies in {place}.")
    return kept[max(kept)]
