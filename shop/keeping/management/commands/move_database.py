"""From SQLite to PostgreSQL, with the two proved equal."""

from argparse import ArgumentParser
from pathlib import Path
from time import perf_counter
from typing import Any
from urllib.parse import urlsplit

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection, connections

from shop.keeping.moving import Moving, Unequal
from shop.keeping.proofs import Proof
from shop.keeping.standing_still import connected, working_with
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.job_process import NAME

STOP_FIRST = (
    "{who}. Stop the web workers and the jobs first. "
    "If they are stopped, whatever it looks like: --stopped."
)
DONE = """
Both sides are equal in {tables} tables, {rows} rows, {seconds:.1f} s.
The old database was left as it is. Now set, for every process of the shop:

    DATABASE_URL={url}
"""


class Command(BaseCommand):
    help = (
        "Copy the shop from SQLite to an empty PostgreSQL, and prove both equal. "
        "Stop the web workers and the jobs before."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, metavar="postgres://...")
        parser.add_argument(
            "--stopped",
            action="store_true",
            help="the workers and the jobs are stopped, whatever it looks like",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        url = options["to"]
        if connection.vendor != "sqlite":
            raise CommandError("The shop is not on SQLite: there is nothing to move.")
        if not urlsplit(url).scheme.startswith("postgres"):
            raise CommandError("--to is the address of a PostgreSQL: postgres://...")
        if not options["stopped"]:
            refuse_at_work()
        start = perf_counter()
        try:
            with connected(url, "moved") as alias:
                proofs = self.move(alias)
        except (Refused, Unequal, DatabaseError) as error:
            raise CommandError(f"Nothing was moved. {error}") from None
        self.tell(proofs, perf_counter() - start, url)

    def move(self, alias: str) -> list[Proof]:
        if not connections[alias].introspection.table_names():
            self.stdout.write("Making the tables ...")
            call_command("migrate", database=alias, verbosity=0)
        return Moving("default", alias).move(self.progress)

    def progress(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def tell(self, proofs: list[Proof], seconds: float, url: str) -> None:
        for one in proofs:
            sums = f"{len(one.values)} counts, {len(one.sums)} sums"
            told = f"{one.rows:>8} rows  {sums:22} sha256 {one.digest[:16]}"
            self.stdout.write(f"  {one.table:36} {told}  equal")
        rows = sum(one.rows for one in proofs)
        told = DONE.format(
            tables=len(proofs), rows=rows, seconds=seconds, url=without_password(url)
        )
        self.stdout.write(told)


def refuse_at_work() -> None:
    if holder := records.lease_holder(NAME):
        raise CommandError(STOP_FIRST.format(who=f"The jobs run: {holder}"))
    if pids := working_with(Path(str(connection.settings_dict["NAME"]))):
        told = ", ".join(map(str, pids))
        raise CommandError(STOP_FIRST.format(who=f"The database is open in {told}"))


def without_password(url: str) -> str:
    password = urlsplit(url).password
    return url.replace(f":{password}@", ":***@") if password else url
