"""The shop's server: workers, the jobs, and the front on the network."""

import os
import signal
import tempfile
from argparse import ArgumentParser
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from shop.keeping import at_close, placing
from shop.records.errors import Refused
from shop.serving import network
from shop.serving.serving import NotServed, Server, Wish

HALF_RESTORED = (
    "A restore was stopped while it moved things into place: run manage.py restore "
    "again first, with the same backup."
)


class Command(BaseCommand):
    help = "Serve the shop: this machine alone, or its network (--lan)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--lan", action="store_true", help="HTTPS for the shop's own network"
        )
        parser.add_argument(
            "--behind-proxy",
            action="store_true",
            help="a proxy on this machine ends TLS (docs/running.md)",
        )
        parser.add_argument(
            "--name", default="coldrail", help="published as NAME.local with --lan"
        )
        parser.add_argument(
            "--without-name", action="store_true", help="publish no name"
        )
        parser.add_argument("--port", type=int, help="default 8000, with --lan 8443")
        parser.add_argument(
            "--trust-port", type=int, default=8080, help="the trust page's, plain"
        )
        parser.add_argument(
            "--workers", type=int, default=default_workers(), help="processes"
        )
        parser.add_argument(
            "--without-jobs", action="store_true", help="jobs are run elsewhere"
        )
        parser.add_argument(
            "--without-last-backup", action="store_true", help="none at the end"
        )
        parser.add_argument(
            "--new-authority",
            action="store_true",
            help="make a new authority: every device must trust it anew",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        wish = wish_from(options)
        os.umask(0o077)  # the shop's data is nobody else's on this machine
        with tempfile.TemporaryDirectory(prefix="coldrail-") as folder:
            try:
                server = Server(wish, Path(folder) / "web.sock", self.say)
                with closing(server):
                    self.prepare()
                    code = server.run()
            except NotServed as reason:
                raise CommandError(str(reason)) from reason
        if wish.has_jobs and not options["without_last_backup"]:
            self.back_up()
        if code:
            raise CommandError("Coldrail did not end as it should (see above).")

    def back_up(self) -> None:
        """At close, if anything happened. Told to stop once more, it stops at once."""
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, signal.SIG_DFL)
        try:
            if at_close.is_due():
                self.say("A backup at close; stopped again, it is left out ...\n")
                self.say(f"{at_close.back_up().file}: whole.\n")
        except (Refused, DatabaseError) as reason:
            self.say(f"No backup at close: {reason}\n")

    def prepare(self) -> None:
        """Bring the database and the static files up to this version."""
        if placing.is_half_done():
            raise CommandError(HALF_RESTORED)
        if not settings.IS_PRODUCTION:
            raise CommandError(
                "A shop is served in the production profile: unset COLDRAIL_PROFILE."
            )
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as reason:
            raise CommandError(f"The database cannot be used: {reason}") from reason
        call_command("collectstatic", verbosity=0, interactive=False)

    def say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def default_workers() -> int:
    return max(2, min(4, os.cpu_count() or 1))


def wish_from(options: dict[str, Any]) -> Wish:
    is_lan, is_behind = options["lan"], options["behind_proxy"]
    if is_lan and is_behind:
        raise CommandError("--lan has TLS of its own; --behind-proxy has none.")
    if is_behind and not settings.ALLOWED_HOSTS:
        raise CommandError("Behind a proxy ALLOWED_HOSTS must name the shop's host.")
    name = options["name"].lower().removesuffix(".local")
    if not network.is_label(name):
        raise CommandError(
            f"{name!r} is no name for a network: letters, digits, hyphens, at most 63."
        )
    return Wish(
        served="lan" if is_lan else "" if is_behind else "loopback",
        port=options["port"] or (8443 if is_lan else 8000),
        trust_port=options["trust_port"],
        name=name,
        is_published=is_lan and not options["without_name"],
        workers=options["workers"],
        has_jobs=not options["without_jobs"],
        new_authority=options["new_authority"],
    )
